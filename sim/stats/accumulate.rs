//! Running sums: over observations and over time.
//!
//! In: observations one by one, or values that hold until the next change. Out: counts, means,
//! variances, integrals.

use super::skewed::Moments;

/// Mean, variance and skewness of observations, one at a time, without keeping them and without the
/// cancellation of sums of squares (Welford, Technometrics 4, 1962).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Welford {
    count: u64,
    mean: f64,
    squares: f64,
    cubes: f64,
    least: f64,
    greatest: f64,
}

impl Default for Welford {
    fn default() -> Welford {
        Welford::new()
    }
}

impl Welford {
    /// Nothing observed yet.
    pub const fn new() -> Welford {
        Welford {
            count: 0,
            mean: 0.0,
            squares: 0.0,
            cubes: 0.0,
            least: f64::INFINITY,
            greatest: f64::NEG_INFINITY,
        }
    }

    /// Adds one observation.
    #[inline]
    pub fn push(&mut self, x: f64) {
        self.count += 1;
        let from_old = x - self.mean;
        let n = self.count as f64;
        // Third moment: Pébay, Sandia report SAND2008-6212 (2008), for one more value.
        let share = from_old / n;
        self.cubes += share * (from_old * share * (n - 1.0) * (n - 2.0) - 3.0 * self.squares);
        self.mean += share;
        self.squares += from_old * (x - self.mean);
        self.least = self.least.min(x);
        self.greatest = self.greatest.max(x);
    }

    /// Number of observations.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Mean; NaN before the first observation.
    pub fn mean(&self) -> f64 {
        if self.count == 0 { f64::NAN } else { self.mean }
    }

    /// Sample variance (divisor n - 1); NaN below two observations.
    pub fn variance(&self) -> f64 {
        if self.count < 2 {
            f64::NAN
        } else {
            self.squares / (self.count - 1) as f64
        }
    }

    /// Sample standard deviation; NaN below two observations.
    pub fn sd(&self) -> f64 {
        self.variance().sqrt()
    }

    /// Standard error of the mean; NaN below two observations.
    pub fn standard_error(&self) -> f64 {
        (self.variance() / self.count as f64).sqrt()
    }

    /// Mean, spread and skewness.
    pub fn moments(&self) -> Moments {
        Moments::from_sums(self.count, self.mean(), self.squares, self.cubes)
    }

    /// Least observation; infinite before the first.
    pub fn least(&self) -> f64 {
        self.least
    }

    /// Greatest observation; minus infinite before the first.
    pub fn greatest(&self) -> f64 {
        self.greatest
    }
}

impl FromIterator<f64> for Welford {
    fn from_iter<I: IntoIterator<Item = f64>>(values: I) -> Welford {
        let mut all = Welford::new();
        values.into_iter().for_each(|x| all.push(x));
        all
    }
}

/// A value that holds until it is changed, averaged over time. Time is in ticks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeWeighted {
    start: i64,
    last: i64,
    value: f64,
    integral: f64,
    greatest: f64,
}

impl TimeWeighted {
    /// Starts at tick `start` with `value`.
    pub fn new(start: i64, value: f64) -> TimeWeighted {
        TimeWeighted {
            start,
            last: start,
            value,
            integral: 0.0,
            greatest: value,
        }
    }

    /// The value from tick `now` on. A moment before the last one counts as the last one.
    #[inline]
    pub fn set(&mut self, now: i64, value: f64) {
        self.integral = self.integral(now);
        self.last = self.last.max(now);
        self.value = value;
        self.greatest = self.greatest.max(value);
    }

    /// Changes the value by `change` at tick `now`.
    #[inline]
    pub fn add(&mut self, now: i64, change: f64) {
        self.set(now, self.value + change);
    }

    /// Forgets what was before `now` but keeps the value: the end of the warm-up.
    pub fn restart(&mut self, now: i64) {
        *self = TimeWeighted::new(now, self.value);
    }

    /// The value now.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Value times ticks from the start to `now`.
    pub fn integral(&self, now: i64) -> f64 {
        self.integral + self.value * now.saturating_sub(self.last).max(0) as f64
    }

    /// Average from the start to `now`; the value itself while no time has passed.
    pub fn mean(&self, now: i64) -> f64 {
        let ticks = now.max(self.last).saturating_sub(self.start);
        if ticks <= 0 {
            self.value
        } else {
            self.integral(now) / ticks as f64
        }
    }

    /// Greatest value held, even for no time at all.
    pub fn greatest(&self) -> f64 {
        self.greatest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numacc(first: f64, low: f64, high: f64) -> Welford {
        let pairs = (0..500).flat_map(|_| [low, high]);
        std::iter::once(first).chain(pairs).collect()
    }

    /// NIST Statistical Reference Datasets, univariate: certified mean and standard deviation.
    /// The decimal inputs are not exact in binary, which costs digits in NumAcc3 and 4.
    #[test]
    fn nist_numacc_sets() {
        let one: Welford = [10000001.0, 10000003.0, 10000002.0].into_iter().collect();
        assert_eq!((one.mean(), one.sd()), (10000002.0, 1.0));
        for (set, mean, digits) in [
            (numacc(1.2, 1.1, 1.3), 1.2, 12),
            (numacc(1000000.2, 1000000.1, 1000000.3), 1000000.2, 9),
            (numacc(10000000.2, 10000000.1, 10000000.3), 10000000.2, 8),
        ] {
            assert_eq!(set.count(), 1001);
            assert!(
                (set.mean() / mean - 1.0).abs() < 1e-14,
                "mean {}",
                set.mean()
            );
            let error = (set.sd() / 0.1 - 1.0).abs();
            assert!(error < 10f64.powi(-digits), "sd {} near {mean}", set.sd());
        }
    }

    /// Law, "Simulation Modeling and Analysis", chapter 1, the hand simulation of one server: the
    /// queue holds 9.9 customer minutes in 8.6 minutes, the server works 7.7 of them.
    #[test]
    fn time_average_of_the_hand_simulation() {
        // Tenths of a minute as ticks: arrivals and starts of service of customers who wait.
        let mut queue = TimeWeighted::new(0, 0.0);
        let changes = [
            (16, 1.0),
            (21, 1.0),
            (24, -1.0),
            (31, -1.0),
            (40, 1.0),
            (49, -1.0),
            (56, 1.0),
            (58, 1.0),
            (72, 1.0),
            (86, -1.0),
        ];
        for (now, change) in changes {
            queue.add(now, change);
        }
        assert!((queue.integral(86) - 99.0).abs() < 1e-9);
        assert!((queue.mean(86) - 1.151163).abs() < 1e-6);
        let mut busy = TimeWeighted::new(0, 0.0);
        for (now, value) in [(4, 1.0), (33, 0.0), (38, 1.0)] {
            busy.set(now, value);
        }
        assert!((busy.mean(86) - 0.8953488).abs() < 1e-7);
        assert_eq!(queue.greatest(), 3.0);
    }

    #[test]
    fn restart_forgets_and_no_time_gives_the_value() {
        let mut level = TimeWeighted::new(0, 5.0);
        level.set(10, 1.0);
        level.restart(20);
        assert_eq!(level.mean(20), 1.0);
        assert_eq!(level.mean(30), 1.0);
        assert_eq!(level.greatest(), 1.0);
        assert!(Welford::new().mean().is_nan() && Welford::new().variance().is_nan());
    }
}
