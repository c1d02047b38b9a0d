//! Intervals of means that hold where the sample is skewed, and the alarm where none does.
//!
//! In: the first three moments of independent values (replications). Out: an [`Interval`]; the number of
//! values from which on one may be claimed.
//!
//! Student's t takes the mean and the spread of a sample as unrelated. Where one bad month in twenty holds
//! a third of all lateness they are not: samples without it have a mean that is too good and a spread that
//! is too small at once. Johnson (Journal of the American Statistical Association 73, 1978) adds the first
//! terms of that dependence to the statistic; Hall (Annals of Statistics 20, 1992) makes it monotone, so
//! that it can be solved for the mean.

use super::accumulate::Welford;
use super::interval::{Interval, upper_point};
use super::tables::t_quantile;

/// First three moments of independent values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    /// Values.
    pub count: u64,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation (divisor n - 1).
    pub sd: f64,
    /// Their skewness: third central moment over the 3/2 power of the second (divisor n); 0 without spread.
    pub skewness: f64,
}

impl Moments {
    /// From sums about the mean of squares and cubes.
    pub fn from_sums(count: u64, mean: f64, squares: f64, cubes: f64) -> Self {
        let n = count as f64;
        // Sums that come out of cancelling products can be a hair below nothing.
        let squares = squares.max(0.0);
        let skewness = if squares > 0.0 {
            n.sqrt() * cubes / squares.powf(1.5)
        } else {
            0.0
        };
        Self {
            count,
            mean,
            sd: if count > 1 {
                (squares / (n - 1.0)).sqrt()
            } else {
                f64::NAN
            },
            // No sample of n values is more skewed than that (Kirby, Water Resources Research 10, 1974).
            skewness: if count > 1 {
                let most = (n - 2.0) / (n - 1.0).sqrt();
                skewness.clamp(-most, most)
            } else {
                0.0
            },
        }
    }

    /// Interval of the mean; see [`skewed_interval`]. [`Interval::UNKNOWN`] below two values.
    pub fn interval(&self, confidence: f64) -> Interval {
        // No spread seen: the interval is a point, also at confidence 1.
        if self.count > 1 && self.sd == 0.0 {
            return Interval::around(self.mean, 0.0);
        }
        self.within(t_quantile(upper_point(confidence), self.count as f64 - 1.0))
    }

    /// [`Moments::interval`], given Student's t of the level with one degree of freedom less than there are values.
    pub(super) fn within(&self, t: f64) -> Interval {
        if self.sd == 0.0 {
            return Interval::around(self.mean, 0.0);
        }
        if self.count < 2 || self.sd.is_nan() || !t.is_finite() {
            return Interval::UNKNOWN;
        }
        let n = self.count as f64;
        Interval {
            low: self.mean - self.sd * hall(t, self.skewness, n),
            high: self.mean - self.sd * hall(-t, self.skewness, n),
        }
    }

    /// The number of values from which on an interval may be claimed: [`WANTED`] times the square of the
    /// skewness, as far as these values show it.
    pub fn wanted(&self) -> u64 {
        (WANTED * self.skewness * self.skewness).ceil() as u64
    }

    /// [`Moments::wanted`] of a share `p` of so many orders in a replication. Orders that fail one by one are skewed
    /// too where they are few, but that is in the interval of a share already: what counts is the skewness beyond.
    pub fn wanted_beyond(&self, p: f64, orders: f64) -> u64 {
        let single = (1.0 - 2.0 * p).powi(2) / (p * (1.0 - p) * orders);
        let beyond = match single.is_finite() {
            true => (self.skewness.powi(2) - single).max(0.0),
            false => self.skewness.powi(2),
        };
        (WANTED * beyond).ceil() as u64
    }
}

/// Fewest values whose own spread says how far an unseen tail may reach.
const FEW: u64 = 20;

/// Arms of an interval that an unseen tail is allowed.
const FAR: f64 = 10.0;

/// What is known of a tail that a sample may not have shown yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tail {
    /// Values from which on both ends of an interval may be claimed.
    pub wanted: u64,
    /// The tail lies above the mean.
    pub up: bool,
}

impl Tail {
    /// As the values themselves show it.
    pub fn of(seen: &Moments) -> Self {
        Self {
            wanted: seen.wanted(),
            up: seen.skewness > 0.0,
        }
    }

    /// [`Tail::claimed`] of a difference: where ten times the arm on the side of the tail does not reach nothing,
    /// the side is sure, and that far end is told. On the cells of the study of coverage what twenty pairs had not
    /// shown was within five arms of money and lead times in 39 of 40 cases.
    pub fn judged(&self, interval: Interval, mean: f64, count: u64) -> Interval {
        let claimed = self.claimed(interval, count);
        let far = self.bounded(interval, mean, count);
        let keeps = |claimed: f64, far: f64| if far * mean > 0.0 { far } else { claimed };
        Interval {
            low: keeps(claimed.low, far.low),
            high: keeps(claimed.high, far.high),
        }
    }

    /// [`Tail::claimed`], with the end that is left open as far out as an unseen tail is allowed to move the mean, where
    /// there are values enough for their spread to say how far that is.
    pub fn bounded(&self, interval: Interval, mean: f64, count: u64) -> Interval {
        let told = self.claimed(interval, count);
        if count < FEW {
            return told;
        }
        let far = |told: f64, end: f64| match told.is_finite() {
            true => told,
            false => mean + FAR * (end - mean),
        };
        Interval {
            low: far(told.low, interval.low),
            high: far(told.high, interval.high),
        }
    }

    /// An interval as far as it may be claimed of so many values: the end on the side of the tail is left open,
    /// for what was not seen lies there. The other end holds: an unseen tail moves the mean away from it.
    pub fn claimed(&self, interval: Interval, count: u64) -> Interval {
        if count >= self.wanted {
            interval
        } else if self.up {
            Interval {
                high: f64::INFINITY,
                ..interval
            }
        } else {
            Interval {
                low: f64::NEG_INFINITY,
                ..interval
            }
        }
    }
}

/// Values that an interval of the mean wants for each square of the skewness. Cochran's rule for Student's t is
/// n > 25 g^2 ("Sampling Techniques", 1977, 2.15, from memory); with what skewness does to the statistic taken out
/// of it half as many hold as much, as the study of coverage shows.
pub const WANTED: f64 = 12.0;

/// (mean - mu)/s where the adjusted statistic is `t`: with W for it, sqrt(n) (W + g/3 W^2 + g^2/27 W^3 +
/// g/(6n)) = t, whose cubic has one real root.
fn hall(t: f64, skewness: f64, n: f64) -> f64 {
    let (g, u) = (skewness, t / n.sqrt() - skewness / (6.0 * n));
    // The root loses its digits as the skewness goes to nothing, where it is u.
    if (g * u).abs() < 1e-9 {
        u
    } else {
        3.0 / g * ((1.0 + g * u).cbrt() - 1.0)
    }
}

/// Interval of the mean that holds under skewness; with a sample that is not skewed Student's.
pub fn skewed_interval(seen: &Welford, confidence: f64) -> Interval {
    seen.moments().interval(confidence)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Put back into the statistic of Hall (1992), the ends give Student's t; by definition.
    #[test]
    fn the_ends_solve_the_cubic() {
        let seen: Welford = (1..=30)
            .map(|i| f64::from(i * i * i % 97) + f64::from(i / 29) * 400.0)
            .collect();
        let moments = seen.moments();
        assert!(moments.skewness > 2.0);
        let (n, g) = (30.0f64, moments.skewness);
        let interval = moments.interval(0.95);
        // t(0.975, 29), any table.
        for (end, t) in [(interval.low, 2.04523), (interval.high, -2.04523)] {
            let w = (moments.mean - end) / moments.sd;
            let cubic = w + g / 3.0 * w * w + g * g / 27.0 * w.powi(3) + g / (6.0 * n);
            assert!((n.sqrt() * cubic - t).abs() < 1e-4, "{cubic}");
        }
        // The long tail lies above, and so does the longer arm.
        assert!(interval.high - moments.mean > moments.mean - interval.low);
    }

    /// Skewness by hand: 0, 0, 0, 4 have mean 1, squares 12, cubes 24: 2 * 24 / 12^1.5 = 1.154701, the most that
    /// four values can have (2 / sqrt 3).
    #[test]
    fn skewness_by_hand_and_student_without_it() {
        let seen: Welford = [0.0, 0.0, 0.0, 4.0].into_iter().collect();
        assert!((seen.moments().skewness - 2.0 / 3f64.sqrt()).abs() < 1e-12);
        assert_eq!(seen.moments().wanted(), 16);
        let even: Welford = [1.0, 2.0, 3.0, 4.0, 5.0].into_iter().collect();
        let student = super::super::mean_interval(&even, 0.95);
        let ours = skewed_interval(&even, 0.95);
        assert!((student.low - ours.low).abs() < 1e-12 && (student.high - ours.high).abs() < 1e-12);
        assert_eq!(even.moments().wanted(), 0);
    }

    #[test]
    fn the_end_of_an_unseen_tail_is_left_open() {
        let seen: Welford = [0.0, 0.0, 0.0, 4.0].into_iter().collect();
        let moments = seen.moments();
        let told = Tail::of(&moments).claimed(moments.interval(0.95), 4);
        assert!(told.low.is_finite() && told.high == f64::INFINITY);
        let none: Welford = [3.0].into_iter().collect();
        assert_eq!(none.moments().interval(0.95), Interval::UNKNOWN);
        let same: Welford = [3.0; 4].into_iter().collect();
        assert_eq!(same.moments().interval(0.95), Interval::around(3.0, 0.0));
    }
}
