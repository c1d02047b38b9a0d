//! Interval of a share of orders that came in replications.
//!
//! In: the share, its spread over replications, the number of both. Out: an interval inside 0..1 that never
//! has zero width. Orders of one replication meet the same weeks and fail together, so a replication counts
//! as a cluster: the share is as sure as that of as many independent orders as would spread alike (the design
//! effect; Kish, "Survey Sampling", 1965), and where nothing at all varies as that of one order each.

use super::interval::{Interval, upper_point};
use super::skewed::Moments;
use super::tables::t_quantile;

/// Interval of a share. `seen`: the share with the moments of what a replication adds to it; `orders`: of all
/// replications. Below two replications 0 to 1.
pub fn share_interval(seen: &Moments, orders: f64, confidence: f64) -> Interval {
    let whole = Interval {
        low: 0.0,
        high: 1.0,
    };
    let (p, n) = (seen.mean, seen.count as f64);
    if seen.count < 2 || !p.is_finite() {
        return whole;
    }
    let error = seen.sd / n.sqrt();
    // Independent orders that would spread as much.
    let alike = p * (1.0 - p) / (error * error);
    let certain = error == 0.0 || alike.is_nan();
    let size = if certain {
        n
    } else {
        alike.clamp(n.min(1.0), orders.max(n))
    };
    let score = wilson(p, size, t_quantile(upper_point(confidence), n - 1.0));
    if certain {
        return score;
    }
    // Bad weeks come together: the skewness of the replications goes beyond that of single orders.
    let skewed = seen.interval(confidence);
    Interval {
        low: score.low.min(skewed.low).clamp(0.0, p),
        high: score.high.max(skewed.high).clamp(p, 1.0),
    }
}

/// Wilson's interval of a share of `size` independent cases.
pub(super) fn wilson(p: f64, size: f64, z: f64) -> Interval {
    if !z.is_finite() {
        return Interval {
            low: 0.0,
            high: 1.0,
        };
    }
    let scale = 1.0 + z * z / size;
    let centre = (p + z * z / (2.0 * size)) / scale;
    let half = z / scale * (p * (1.0 - p) / size + z * z / (4.0 * size * size)).sqrt();
    Interval {
        low: (centre - half).clamp(0.0, p),
        high: (centre + half).clamp(p, 1.0),
    }
}
