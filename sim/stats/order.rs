//! Confidence intervals of quantiles from ranks: no assumption about the distribution.
//!
//! In: sample size, share and confidence. Out: the ranks whose observations enclose the true
//! quantile, from the exact binomial (Conover, "Practical Nonparametric Statistics").

use super::interval::Interval;
use super::tables::binomial_cdf;

/// Ranks (from 1) that enclose a quantile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OrderInterval {
    /// Rank of the lower end; `None` if the sample is too small to give one.
    pub lower: Option<u64>,
    /// Rank of the upper end; `None` if the sample is too small to give one.
    pub upper: Option<u64>,
    /// Probability that the interval holds the quantile.
    pub coverage: f64,
}

/// Ranks enclosing quantile `p` of `n` observations: the largest l with P(B <= l - 1) at most
/// half of what confidence leaves, the smallest u with P(B >= u) at most the other half, where B
/// counts observations below the quantile.
pub fn order_interval(n: u64, p: f64, confidence: f64) -> OrderInterval {
    let p = p.clamp(0.0, 1.0);
    let tail = 0.5 * (1.0 - confidence.clamp(0.0, 1.0));
    let cdf = |k: u64| binomial_cdf(i64::try_from(k).unwrap_or(i64::MAX), n, p);
    // Both conditions only ever turn once along the ranks, so halving finds the turn.
    let first = |holds: &dyn Fn(u64) -> bool| {
        let (mut low, mut high) = (1, n + 1);
        while low < high {
            let middle = low + (high - low) / 2;
            if holds(middle) {
                high = middle
            } else {
                low = middle + 1
            }
        }
        high
    };
    let lower = first(&|l| cdf(l - 1) > tail) - 1;
    let upper = first(&|u| 1.0 - cdf(u - 1) <= tail);
    let (lower, upper) = ((lower >= 1).then_some(lower), (upper <= n).then_some(upper));
    let below = lower.map_or(0.0, |l| cdf(l - 1));
    let upto = upper.map_or(1.0, |u| cdf(u - 1));
    OrderInterval {
        lower,
        upper,
        coverage: upto - below,
    }
}

/// Interval of quantile `p` from sorted observations; an end that the sample cannot give is
/// infinite.
pub fn quantile_interval(sorted: &[f64], p: f64, confidence: f64) -> Interval {
    let ranks = order_interval(sorted.len() as u64, p, confidence);
    let at = |rank: u64| {
        usize::try_from(rank - 1)
            .ok()
            .and_then(|i| sorted.get(i))
            .copied()
    };
    Interval {
        low: ranks.lower.and_then(at).unwrap_or(f64::NEG_INFINITY),
        high: ranks.upper.and_then(at).unwrap_or(f64::INFINITY),
    }
}

/// The fewest observations whose greatest is at least quantile `p` with the given confidence:
/// p^n at most 1 - confidence. `None` if either is not strictly between 0 and 1.
pub fn runs_to_reach_quantile(p: f64, confidence: f64) -> Option<u64> {
    let inside = |x: f64| x > 0.0 && x < 1.0;
    if !inside(p) || !inside(confidence) {
        return None;
    }
    Some(((1.0 - confidence).ln() / p.ln()).ceil() as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Exact binomial by scipy 1.17; 40 and 61 for the median of 100 are the classical table
    /// entries.
    #[test]
    fn ranks_at_95_per_cent() {
        for (n, p, lower, upper, coverage) in [
            (10, 0.5, 2, Some(9), 0.9785156),
            (20, 0.5, 6, Some(15), 0.9586105),
            (30, 0.5, 10, Some(21), 0.9572261),
            (50, 0.5, 18, Some(33), 0.9671609),
            (100, 0.5, 40, Some(61), 0.9647998),
            (20, 0.9, 15, None, 0.9887469),
            (50, 0.9, 41, Some(50), 0.9703083),
            (100, 0.9, 84, Some(96), 0.9556901),
            (100, 0.95, 90, Some(100), 0.9826071),
            (200, 0.95, 184, Some(197), 0.9671522),
            (300, 0.99, 293, None, 0.9885259),
            (1000, 0.9, 881, Some(919), 0.9549072),
            (1000, 0.95, 936, Some(964), 0.9580953),
            (1000, 0.99, 983, Some(997), 0.9760948),
        ] {
            let got = order_interval(n, p, 0.95);
            assert_eq!((got.lower, got.upper), (Some(lower), upper), "n {n}, p {p}");
            assert!(
                (got.coverage - coverage).abs() < 6e-8,
                "n {n}, p {p}: {}",
                got.coverage
            );
        }
    }

    /// Classical sample sizes for the greatest of n to reach a quantile with 95 %.
    #[test]
    fn runs_for_the_tail() {
        assert_eq!(runs_to_reach_quantile(0.9, 0.95), Some(29));
        assert_eq!(runs_to_reach_quantile(0.95, 0.95), Some(59));
        assert_eq!(runs_to_reach_quantile(0.99, 0.95), Some(299));
        assert_eq!(runs_to_reach_quantile(1.0, 0.95), None);
    }

    #[test]
    fn small_samples_give_open_ends() {
        let few = [1.0, 2.0, 3.0];
        assert_eq!(quantile_interval(&few, 0.5, 0.95), Interval::UNKNOWN);
        let ten: Vec<f64> = (1..=10).map(f64::from).collect();
        let median = quantile_interval(&ten, 0.5, 0.95);
        assert_eq!((median.low, median.high), (2.0, 9.0));
        assert_eq!(quantile_interval(&[], 0.5, 0.95), Interval::UNKNOWN);
    }
}
