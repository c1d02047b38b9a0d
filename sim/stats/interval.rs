//! Confidence intervals of means and proportions, and how many replications they need.
//!
//! In: accumulated observations and a confidence such as 0.95. Out: [`Interval`]s and counts.
//! Formulas: Law, "Simulation Modeling and Analysis", chapters 9 and 10.

use super::accumulate::Welford;
use super::tables::{normal_quantile, t_quantile};

/// A range that holds the true value with the confidence asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end; minus infinity when nothing is known.
    pub low: f64,
    /// Upper end; infinity when nothing is known.
    pub high: f64,
}

impl Interval {
    /// The interval that says nothing.
    pub const UNKNOWN: Interval = Interval {
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
    };

    /// `centre` plus and minus `half_width`.
    pub fn around(centre: f64, half_width: f64) -> Interval {
        Interval {
            low: centre - half_width,
            high: centre + half_width,
        }
    }

    /// Half of the width.
    pub fn half_width(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// True if `x` lies inside, ends included.
    pub fn contains(&self, x: f64) -> bool {
        x >= self.low && x <= self.high
    }
}

/// The probability up to the upper end of a two-sided interval.
pub(super) fn upper_point(confidence: f64) -> f64 {
    0.5 + 0.5 * confidence.clamp(0.0, 1.0)
}

/// t interval of the mean; [`Interval::UNKNOWN`] below two observations.
pub fn mean_interval(observed: &Welford, confidence: f64) -> Interval {
    if observed.count() < 2 {
        return Interval::UNKNOWN;
    }
    let t = t_quantile(upper_point(confidence), (observed.count() - 1) as f64);
    let error = observed.standard_error();
    // No spread seen: the interval is a point, also at confidence 1.
    Interval::around(observed.mean(), if error == 0.0 { 0.0 } else { t * error })
}

/// The confidence each of `intervals` intervals needs so that all hold together (Bonferroni).
pub fn bonferroni(overall_confidence: f64, intervals: usize) -> f64 {
    1.0 - (1.0 - overall_confidence) / intervals.max(1) as f64
}

/// Wilson's interval of a proportion: `successes` of `n`. It stays inside 0..1 and says something
/// sensible for none and for all (Wilson 1927; recommended by Newcombe 1998).
pub fn proportion_interval(successes: u64, n: u64, confidence: f64) -> Interval {
    if n == 0 || successes > n {
        return Interval {
            low: 0.0,
            high: 1.0,
        };
    }
    let z = normal_quantile(upper_point(confidence));
    if z == f64::INFINITY {
        return Interval {
            low: 0.0,
            high: 1.0,
        };
    }
    let (n, p) = (n as f64, successes as f64 / n as f64);
    let scale = 1.0 + z * z / n;
    let centre = (p + z * z / (2.0 * n)) / scale;
    let half = z / scale * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    Interval {
        low: (centre - half).max(0.0),
        high: (centre + half).min(1.0),
    }
}

/// The most replications ever answered.
const MOST: u64 = 1_000_000_000;

/// The smallest number of replications, not below those of the pilot, whose half-width would be
/// at most `error` if the variance stays as the pilot shows it. `None` below two observations, for
/// an error not above 0, or beyond a thousand million.
pub fn replications_for_absolute(pilot: &Welford, error: f64, confidence: f64) -> Option<u64> {
    if pilot.count() < 2 || error.is_nan() || error <= 0.0 {
        return None;
    }
    let p = upper_point(confidence);
    let enough = |n: u64| {
        let half = t_quantile(p, (n - 1) as f64) * (pilot.variance() / n as f64).sqrt();
        half <= error || pilot.variance() == 0.0
    };
    if !enough(MOST) {
        return None;
    }
    // The half-width falls as n grows, so the first that is enough can be found by halving.
    let (mut low, mut high) = (pilot.count(), MOST);
    while low < high {
        let middle = low + (high - low) / 2;
        if enough(middle) {
            high = middle
        } else {
            low = middle + 1
        }
    }
    Some(high)
}

/// As [`replications_for_absolute`], for an error relative to the true mean. The half-width is
/// held to error / (1 + error) of the estimated mean, so that the promise is about the true one.
pub fn replications_for_relative(pilot: &Welford, error: f64, confidence: f64) -> Option<u64> {
    replications_for_absolute(
        pilot,
        pilot.mean().abs() * error / (1.0 + error),
        confidence,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64, digits: i32) {
        assert!(
            (got / want - 1.0).abs() < 0.6 * 10f64.powi(1 - digits),
            "{got} is not {want}"
        );
    }

    const BANK_DELAY: [f64; 10] = [1.53, 1.66, 1.24, 2.34, 2.00, 1.69, 2.69, 2.86, 1.70, 2.60];

    /// Worked examples of Law, "Simulation Modeling and Analysis": bank, normal and M/M/1
    /// replications at 90 %; more digits by independent recomputation.
    #[test]
    fn replication_intervals_of_the_textbook() {
        let rows: [(&[f64], f64, f64, f64); 5] = [
            (&BANK_DELAY, 2.031, 0.3090989, 0.3222834),
            (
                &[
                    0.917, 0.916, 0.952, 0.822, 0.840, 0.866, 0.783, 0.782, 0.873, 0.779,
                ],
                0.853,
                0.003886889,
                0.03614018,
            ),
            (
                &[1.52, 1.62, 1.23, 2.34, 1.89, 1.56, 2.50, 2.83, 1.74, 2.50],
                1.973,
                0.2820233,
                0.3078447,
            ),
            (
                &[1.20, 1.50, 1.68, 1.89, 0.95, 1.49, 1.58, 1.55, 0.50, 1.09],
                1.343,
                0.1675122,
                0.2372534,
            ),
            (
                &[
                    1.051, 6.438, 2.646, 0.805, 1.505, 0.546, 2.281, 2.822, 0.414, 1.307,
                ],
                1.9815,
                3.171977,
                1.032415,
            ),
        ];
        for (data, mean, variance, half) in rows {
            let seen: Welford = data.iter().copied().collect();
            near(seen.mean(), mean, 13);
            near(seen.variance(), variance, 7);
            let interval = mean_interval(&seen, 0.90);
            near(interval.half_width(), half, 7);
            assert!(interval.contains(mean) && !interval.contains(mean + 1.01 * half));
        }
    }

    /// Law: from the bank pilot 16 replications for an error of 0.25 minutes and 27 for 10 %.
    #[test]
    fn replications_the_bank_needs() {
        let pilot: Welford = BANK_DELAY.into_iter().collect();
        assert_eq!(replications_for_absolute(&pilot, 0.25, 0.90), Some(16));
        assert_eq!(replications_for_relative(&pilot, 0.10, 0.90), Some(27));
        assert_eq!(replications_for_absolute(&pilot, 10.0, 0.90), Some(10));
        assert_eq!(replications_for_absolute(&pilot, 0.0, 0.90), None);
        assert_eq!(replications_for_absolute(&Welford::new(), 1.0, 0.90), None);
    }

    /// Bonferroni levels, and t and z at overall 95 % two-sided: scipy 1.17.
    #[test]
    fn bonferroni_levels() {
        for (c, ninety, ninety_five, t9, t19, z) in [
            (2, 0.95, 0.975, 2.685011, 2.43344, 2.241403),
            (3, 0.9666667, 0.9833333, 2.933324, 2.625106, 2.39398),
            (4, 0.975, 0.9875, 3.110935, 2.758586, 2.497705),
            (5, 0.98, 0.99, 3.249836, 2.860935, 2.575829),
            (10, 0.99, 0.995, 3.689662, 3.173725, 2.807034),
        ] {
            assert!((bonferroni(0.90, c) - ninety).abs() < 1e-7);
            let level = bonferroni(0.95, c);
            assert!((level - ninety_five).abs() < 1e-7);
            let p = upper_point(level);
            assert!((t_quantile(p, 9.0) - t9).abs() < 1e-6);
            assert!((t_quantile(p, 19.0) - t19).abs() < 1e-6);
            assert!((normal_quantile(p) - z).abs() < 1e-6);
        }
        assert_eq!(bonferroni(0.95, 1), 0.95);
    }

    /// Newcombe, Statistics in Medicine 17 (1998), table of 95 % intervals, the score method
    /// without continuity correction (from memory).
    #[test]
    fn wilson_intervals() {
        for (successes, n, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let interval = proportion_interval(successes, n, 0.95);
            assert!((interval.low - low).abs() < 6e-5, "{interval:?}");
            assert!((interval.high - high).abs() < 6e-5, "{interval:?}");
        }
        assert_eq!(
            proportion_interval(0, 0, 0.95),
            Interval {
                low: 0.0,
                high: 1.0
            }
        );
    }

    #[test]
    fn too_little_data_says_nothing_and_no_spread_says_a_point() {
        let one: Welford = [3.0].into_iter().collect();
        assert_eq!(mean_interval(&one, 0.95), Interval::UNKNOWN);
        let same: Welford = [3.0, 3.0, 3.0].into_iter().collect();
        assert_eq!(
            mean_interval(&same, 0.95),
            Interval {
                low: 3.0,
                high: 3.0
            }
        );
    }
}
