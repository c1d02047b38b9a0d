//! Fixed logarithmic bins for spans of time, the same for every scenario, so that counts of
//! replications and of runs can be added.

use crate::units::Tick;

/// Bins per doubling: each is 4.4 % wide.
const PER_DOUBLING: f64 = 16.0;
/// Everything up to here (one second) falls into the first bin.
const FIRST: f64 = 1e6;
/// Number of bins; the last takes everything above some four years.
pub const BINS: usize = 432;

/// Counts of spans by length.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpanCounts {
    /// Count by bin.
    pub counts: Vec<u64>,
    /// Spans that had not ended when the clock did.
    pub open: u64,
}

impl Default for SpanCounts {
    fn default() -> Self {
        Self {
            counts: vec![0; BINS],
            open: 0,
        }
    }
}

impl SpanCounts {
    /// Counts a span that falls into [`bin`] `bin`.
    #[inline]
    pub fn add(&mut self, bin: usize) {
        self.counts[bin] += 1;
    }

    /// Adds the counts of another.
    pub fn merge(&mut self, other: &Self) {
        for (mine, theirs) in self.counts.iter_mut().zip(&other.counts) {
            *mine += theirs;
        }
        self.open += other.open;
    }

    /// Spans counted, open ones included.
    pub fn total(&self) -> u64 {
        self.counts.iter().sum::<u64>() + self.open
    }
}

/// The bin of a span.
#[inline]
pub fn bin(span: Tick) -> usize {
    let doublings = (span.max(1) as f64 / FIRST).max(1.0).log2();
    ((doublings * PER_DOUBLING) as usize).min(BINS - 1)
}

/// Upper edge of a bin, minutes.
pub fn upper_min(bin: usize) -> f64 {
    FIRST * ((bin + 1) as f64 / PER_DOUBLING).exp2() / crate::units::TICKS_PER_MINUTE as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_lies_within_its_bin() {
        for minutes in [0.5, 1.0, 59.0, 600.0, 10_000.0, 1e6] {
            let span = crate::units::ticks_from_minutes(minutes);
            let bin = bin(span);
            assert!(upper_min(bin) >= minutes * 0.999_999, "{minutes}");
            assert!(
                bin == 0 || upper_min(bin - 1) <= minutes * 1.000_001,
                "{minutes}"
            );
        }
    }
}
