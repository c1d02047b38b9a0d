//! No figure without its uncertainty.

use crate::stats::{Welford, mean_interval};

/// A mean over replications with its t-interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Mean over the replications that have the figure; NaN where none has.
    pub mean: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
    /// Standard deviation between replications.
    pub sd: f64,
    /// Replications that have the figure.
    pub n: u32,
    /// Replications in which it lies beyond the run: orders were never done, so the figure has no value.
    pub beyond: u32,
}

impl Estimate {
    /// Estimate from folded replications.
    pub fn new(figure: &Welford, beyond: u32, confidence: f64) -> Self {
        let n = figure.count() as u32;
        let mean = if n == 0 { f64::NAN } else { figure.mean() };
        let (low, high, sd) = if n > 1 {
            let interval = mean_interval(figure, confidence);
            (interval.low, interval.high, figure.sd())
        } else {
            (f64::NAN, f64::NAN, f64::NAN)
        };
        Self {
            mean,
            low,
            high,
            sd,
            n,
            beyond,
        }
    }

    /// True where the figure has a value in every replication that has such orders.
    pub fn is_known(&self) -> bool {
        self.n > 0 && self.beyond == 0
    }

    /// Half the width of the interval relative to the mean.
    pub fn relative_half_width(&self) -> f64 {
        (self.high - self.low) / 2.0 / self.mean.abs()
    }
}
