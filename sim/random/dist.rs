//! The distributions a scenario may name.
//!
//! In: parameters, through the constructors of `build`. Out: [`Dist`], ready to draw: whatever a
//! draw needs is computed once, when the distribution is made.

use super::parts::{
    Bounded, Discrete, Empirical, GammaShape, Geometric, Hyperexponential, PoissonCount,
    ScaledBeta, TruncatedNormal,
};

/// A probability distribution over quantities in base units.
#[derive(Debug, Clone, PartialEq)]
pub enum Dist {
    /// Always this value.
    Constant(f64),
    /// Exponential with this mean.
    Exponential {
        /// Mean, positive.
        mean: f64,
    },
    /// Sum of `stages` equal exponential stages.
    Erlang {
        /// Number of stages, 1 or more.
        stages: u32,
        /// The same distribution as a gamma.
        gamma: GammaShape,
    },
    /// Gamma.
    Gamma(GammaShape),
    /// Lognormal: the logarithm is normal.
    Lognormal {
        /// Mean of the logarithm: the logarithm of the median.
        mu: f64,
        /// Standard deviation of the logarithm.
        sigma: f64,
    },
    /// Weibull.
    Weibull {
        /// Shape; 1 is exponential.
        shape: f64,
        /// Scale: the 63.2 % point.
        scale: f64,
    },
    /// Triangular.
    Triangular {
        /// Least value.
        low: f64,
        /// Most likely value.
        mode: f64,
        /// Greatest value.
        high: f64,
    },
    /// Beta between two ends; PERT is one of these.
    Beta(Box<ScaledBeta>),
    /// Even between two ends.
    Uniform {
        /// Least value.
        from: f64,
        /// Greatest value.
        to: f64,
    },
    /// Normal, cut to a range.
    Normal(TruncatedNormal),
    /// One of two exponentials, with balanced means: more spread than exponential.
    Hyperexponential(Hyperexponential),
    /// Measured values joined by straight lines.
    Empirical(Empirical),
    /// One of several values.
    Discrete(Discrete),
    /// Number of trials up to the first success: 1, 2, ...
    Geometric(Geometric),
    /// Number of events where the mean number is known: 0, 1, 2, ...
    Poisson(Box<PoissonCount>),
    /// Another distribution on the condition that it falls into a range.
    Bounded(Box<Bounded>),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_distribution_stays_small() {
        assert!(
            std::mem::size_of::<Dist>() <= 72,
            "{}",
            std::mem::size_of::<Dist>()
        );
    }
}
