//! Distributions back to text.
//!
//! In: a [`Dist`] and the [`Dimension`] of its values. Out: the sentence a scenario would use,
//! with ten significant digits; `parse_dist` reads it back.

use super::dist::Dist;
use crate::units::{Dimension, quantity_text};

/// Writes a distribution as a scenario would.
pub fn describe(dist: &Dist, dimension: Dimension) -> String {
    let q = |value: f64| quantity_text(value, dimension);
    let n = |value: f64| quantity_text(value, Dimension::Count);
    match dist {
        Dist::Constant(value) => q(*value),
        Dist::Exponential { mean } => format!("exponential, mean {}", q(*mean)),
        Dist::Erlang { stages, gamma } => {
            format!(
                "erlang, stages {stages}, mean {}",
                q(gamma.shape() * gamma.scale())
            )
        }
        Dist::Gamma(gamma) => {
            format!(
                "gamma, shape {}, scale {}",
                n(gamma.shape()),
                q(gamma.scale())
            )
        }
        Dist::Lognormal { mu, sigma } => {
            format!("lognormal, median {}, sigma {}", q(mu.exp()), n(*sigma))
        }
        Dist::Weibull { shape, scale } => {
            format!("weibull, shape {}, scale {}", n(*shape), q(*scale))
        }
        Dist::Triangular { low, mode, high } => {
            format!(
                "triangular, low {}, typical {}, high {}",
                q(*low),
                q(*mode),
                q(*high)
            )
        }
        Dist::Beta(b) => match b.pert_mode {
            Some(mode) => {
                format!(
                    "pert, low {}, typical {}, high {}",
                    q(b.low),
                    q(mode),
                    q(b.high)
                )
            }
            None => format!(
                "beta, alpha {}, beta {}, from {}, to {}",
                n(b.alpha),
                n(b.beta),
                q(b.low),
                q(b.high)
            ),
        },
        Dist::Uniform { from, to } => format!("between {} and {}", q(*from), q(*to)),
        Dist::Normal(normal) => {
            let mut text = format!("normal, mean {}, sd {}", q(normal.mean), q(normal.sd));
            // Zero (absolute zero for temperatures) is where a normal is cut without being told.
            if normal.low > floor_of(dimension) {
                text += &format!(", from {}", q(normal.low));
            }
            if normal.high < f64::INFINITY {
                text += &format!(", to {}", q(normal.high));
            }
            text
        }
        Dist::Hyperexponential(h) => {
            format!("hyperexponential, mean {}, cv {}", q(h.mean), n(h.cv))
        }
        Dist::Empirical(e) => {
            let values: Vec<String> = e.values.iter().map(|value| q(*value)).collect();
            format!("measured {}", values.join(", "))
        }
        Dist::Discrete(d) => {
            let even = d.weights.iter().all(|weight| *weight == d.weights[0]);
            let each = d.values.iter().zip(d.weights.iter());
            let values: Vec<String> = each
                .map(|(value, weight)| {
                    if even {
                        q(*value)
                    } else {
                        format!("{} x {}", q(*value), n(*weight))
                    }
                })
                .collect();
            format!("values {}", values.join(", "))
        }
        Dist::Geometric(g) => format!("geometric, mean {}", n(g.mean)),
        Dist::Poisson(p) => format!("poisson, mean {}", n(p.mean)),
        Dist::Bounded(b) => {
            let mut text = describe(&b.inner, dimension);
            let (from, to) = b.ends();
            if from.is_finite() {
                text += &format!(", at least {}", q(from));
            }
            if to.is_finite() {
                text += &format!(", at most {}", q(to));
            }
            text
        }
    }
}

/// The least value a quantity of this kind can have.
pub(super) fn floor_of(dimension: Dimension) -> f64 {
    if dimension == Dimension::Temperature {
        -273.15
    } else {
        0.0
    }
}
