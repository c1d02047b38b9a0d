//! The few special functions the distributions need.
//!
//! In and out: plain numbers. The incomplete gamma and beta functions come from statrs, which
//! panics outside their domain; the wrappers here answer the limits instead.

use statrs::function::{beta, erf, gamma};
use std::f64::consts::SQRT_2;

/// Standard normal distribution function.
pub(super) fn normal_cdf(z: f64) -> f64 {
    0.5 * erf::erfc(-z / SQRT_2)
}

/// Standard normal density.
pub(super) fn normal_density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// Standard normal quantile; infinite at 0 and 1.
pub(super) fn normal_quantile(p: f64) -> f64 {
    if p <= 0.0 {
        f64::NEG_INFINITY
    } else if p >= 1.0 {
        f64::INFINITY
    } else {
        -SQRT_2 * erf::erfc_inv(2.0 * p)
    }
}

/// Distribution function of the gamma distribution with scale 1.
pub(super) fn gamma_cdf(shape: f64, x: f64) -> f64 {
    if x.is_nan() || x <= 0.0 {
        0.0
    } else if x == f64::INFINITY {
        1.0
    } else {
        gamma::checked_gamma_lr(shape, x).unwrap_or(0.0)
    }
}

/// Distribution function of the beta distribution on 0..1.
pub(super) fn beta_cdf(a: f64, b: f64, x: f64) -> f64 {
    if x.is_nan() || x <= 0.0 {
        0.0
    } else if x >= 1.0 {
        1.0
    } else {
        beta::checked_beta_reg(a, b, x).unwrap_or(0.0)
    }
}

/// The gamma function.
pub(super) fn gamma_function(x: f64) -> f64 {
    gamma::gamma(x)
}

/// The smallest `x >= low` with `cdf(x) >= p`, for a distribution function that does not fall.
///
/// Halves the bit pattern of the distance from `low`: positive floats sort like their bits, so 63
/// steps reach the last digit at any scale, without a starting bracket.
pub(super) fn solve_quantile(low: f64, p: f64, cdf: impl Fn(f64) -> f64) -> f64 {
    let (mut below, mut above) = (0u64, f64::MAX.to_bits());
    while above - below > 1 {
        let middle = below + (above - below) / 2;
        if cdf(low + f64::from_bits(middle)) >= p {
            above = middle;
        } else {
            below = middle;
        }
    }
    low + f64::from_bits(above)
}

/// The smallest whole number `k >= low` with `cdf(k) >= p`.
pub(super) fn solve_count(low: u64, p: f64, cdf: impl Fn(f64) -> f64) -> f64 {
    let (mut below, mut above) = (low, 1u64 << 53);
    while below < above {
        let middle = below + (above - below) / 2;
        if cdf(middle as f64) >= p {
            above = middle;
        } else {
            below = middle + 1;
        }
    }
    above as f64
}
