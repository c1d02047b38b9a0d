//! The constant h of Rinott's two-stage procedure.
//!
//! In: the number of designs, replications of the first stage, the probability of a correct selection.
//! Out: h; design i then needs max(n0, ⌈h² S_i² / δ²⌉ ) replications in all.
//!
//! h solves ∫[∫Φ(h / √(ν (1/x + 1/y))) f(x) dx]^(k-1) f(y) dy = P*, with f the chi-square density of
//! ν = n0 - 1 degrees of freedom (Rinott, Communications in Statistics A7, 1978; formula from memory).

use statrs::function::gamma::ln_gamma;

use crate::stats::{chi2_quantile, normal_cdf};

/// Nodes of the integration in each of the two directions.
const NODES: usize = 96;

/// Rinott's h for `designs` >= 2, a first stage of `first_stage` >= 3 and a probability between
/// 1 / `designs` and 1, both excluded; `None` otherwise.
pub fn rinott_h(designs: usize, first_stage: u32, probability: f64) -> Option<f64> {
    let reachable = probability > 1.0 / designs.max(1) as f64 && probability < 1.0;
    if designs < 2 || first_stage < 3 || !reachable {
        return None;
    }
    let df = f64::from(first_stage - 1);
    let points = chi2_points(df);
    let correct = |h: f64| -> f64 {
        points
            .iter()
            .map(|&(y, weight_y)| {
                let inner: f64 = points
                    .iter()
                    .map(|&(x, weight_x)| {
                        weight_x * normal_cdf(h / (df * (1.0 / x + 1.0 / y)).sqrt())
                    })
                    .sum();
                weight_y * inner.powi(designs as i32 - 1)
            })
            .sum()
    };
    let (mut low, mut high) = (0.0, 4.0);
    while correct(high) < probability {
        high *= 2.0;
        // A probability too near to 1 for the tails that are integrated.
        if high > 1e4 {
            return None;
        }
    }
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if correct(middle) < probability {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(0.5 * (low + high))
}

/// Points and weights for expectations under chi-square: Gauss-Legendre over the square root, in which
/// the density is smooth for all degrees of freedom, between points that leave 1e-13 on either side.
fn chi2_points(df: f64) -> Vec<(f64, f64)> {
    let (low, high) = (
        chi2_quantile(1e-13, df).max(0.0).sqrt(),
        chi2_quantile(1.0 - 1e-13, df).sqrt(),
    );
    let log_scale = ln_gamma(df / 2.0) + df / 2.0 * std::f64::consts::LN_2;
    let mut points: Vec<(f64, f64)> = gauss_legendre(NODES)
        .into_iter()
        .map(|(node, weight)| {
            let root = 0.5 * (low + high) + 0.5 * (high - low) * node;
            let x = root * root;
            let density = ((df / 2.0 - 1.0) * x.ln() - x / 2.0 - log_scale).exp();
            (x, weight * 0.5 * (high - low) * density * 2.0 * root)
        })
        .collect();
    let whole: f64 = points.iter().map(|point| point.1).sum();
    for point in &mut points {
        point.1 /= whole;
    }
    points
}

/// Nodes and weights of Gauss-Legendre on -1..1, by Newton's method on the Legendre polynomial.
fn gauss_legendre(count: usize) -> Vec<(f64, f64)> {
    let n = count as f64;
    (0..count)
        .map(|index| {
            let mut x = (std::f64::consts::PI * (index as f64 + 0.75) / (n + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..50 {
                let (mut before, mut value) = (1.0, x);
                for k in 2..=count {
                    let k = k as f64;
                    let next = ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k;
                    (before, value) = (value, next);
                }
                slope = n * (x * value - before) / (x * x - 1.0);
                let step = value / slope;
                x -= step;
                if step.abs() < 1e-15 {
                    break;
                }
            }
            (x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Independent recomputation by 200-point quadrature; the columns for k up to 10 agree with the tables
    /// of Wilcox (1984) as simulation textbooks print them (from memory). For two designs h is that of
    /// Dudewicz and Dalal, tabled by Law: 1.896 and 2.453 for n0 = 20.
    #[test]
    fn h_matches_the_tables() {
        for (p, n0, k, h) in [
            (0.90, 10, 2, 1.9986),
            (0.90, 20, 2, 1.8957),
            (0.90, 20, 5, 2.9164),
            (0.90, 40, 10, 3.3148),
            (0.95, 10, 2, 2.6141),
            (0.95, 20, 2, 2.4525),
            (0.95, 20, 10, 3.8753),
            (0.95, 30, 4, 3.1289),
            (0.95, 10, 100, 6.0096),
            (0.95, 40, 50, 4.5625),
            (0.99, 10, 3, 4.4029),
            (0.99, 30, 100, 5.7307),
        ] {
            let got = rinott_h(k, n0, p).unwrap();
            assert!(
                (got - h).abs() < 0.6e-4,
                "h({k}, {n0}, {p}) is {got}, not {h}"
            );
        }
    }

    #[test]
    fn what_cannot_be_asked_has_no_answer() {
        assert_eq!(rinott_h(1, 20, 0.9), None);
        assert_eq!(rinott_h(2, 2, 0.9), None);
        assert_eq!(rinott_h(4, 20, 0.25), None, "blind choice is as good");
        assert_eq!(rinott_h(4, 20, 1.0), None);
    }
}
