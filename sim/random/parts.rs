//! The distributions that carry more than two numbers.
//!
//! In: checked parameters from `build`. Out: structures whose fields belong together and which
//! therefore can only be made whole. Readers see the parameters through methods.

use super::dist::Dist;
use std::sync::Arc;

/// Gamma by shape and scale, with its prepared sampler (Marsaglia and Tsang, 2000).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GammaShape {
    pub(super) shape: f64,
    pub(super) scale: f64,
    pub(super) sampler: rand_distr::Gamma<f64>,
}

impl GammaShape {
    /// The shape; 1 is exponential.
    pub fn shape(&self) -> f64 {
        self.shape
    }

    /// The scale: mean over shape.
    pub fn scale(&self) -> f64 {
        self.scale
    }
}

/// Beta stretched between two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaledBeta {
    pub(super) alpha: f64,
    pub(super) beta: f64,
    pub(super) low: f64,
    pub(super) high: f64,
    /// Set when it was given as a PERT: its most likely value.
    pub(super) pert_mode: Option<f64>,
    /// Gammas of shapes alpha and beta: the first over their sum is the beta, and two draws of
    /// Marsaglia and Tsang are quicker than one of Cheng's rejection.
    pub(super) samplers: [rand_distr::Gamma<f64>; 2],
}

/// Normal cut to `low..high` (either may be infinite).
///
/// Kept in a frame of standard units, mirrored when the range lies above the mean, so that the
/// probabilities worked with are never differences of numbers near one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TruncatedNormal {
    pub(super) mean: f64,
    pub(super) sd: f64,
    pub(super) low: f64,
    pub(super) high: f64,
    /// Normal probability below the lower end, in the frame.
    pub(super) p_low: f64,
    /// Normal probability inside the range.
    pub(super) mass: f64,
}

impl TruncatedNormal {
    /// True if the frame is mirrored.
    pub(super) fn mirrored(&self) -> bool {
        self.low > self.mean
    }

    /// Ends of the range in the frame.
    pub(super) fn frame(&self) -> (f64, f64) {
        let (a, b) = (
            (self.low - self.mean) / self.sd,
            (self.high - self.mean) / self.sd,
        );
        if self.mirrored() { (-b, -a) } else { (a, b) }
    }
}

/// Two exponentials with balanced means: each phase brings half of the mean.
///
/// The first phase has probability p = (1 + sqrt((c^2 - 1) / (c^2 + 1))) / 2 and rate 2p over the
/// mean (Morse, 1958; Tijms, "Stochastic Models").
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hyperexponential {
    pub(super) mean: f64,
    pub(super) cv: f64,
    pub(super) p: f64,
    pub(super) mean_short: f64,
    pub(super) mean_long: f64,
}

/// A distribution function made of straight lines between knots.
#[derive(Debug, Clone, PartialEq)]
pub struct Empirical {
    /// Values of the knots, not falling.
    pub(super) values: Arc<[f64]>,
    /// Distribution function at the knots, from 0 to 1, not falling.
    pub(super) shares: Arc<[f64]>,
}

/// Values with weights.
#[derive(Debug, Clone, PartialEq)]
pub struct Discrete {
    /// Values, rising.
    pub(super) values: Arc<[f64]>,
    /// Weight of each as it was given.
    pub(super) weights: Arc<[f64]>,
    /// Running sums of weight over total; the last is 1.
    pub(super) cumulative: Arc<[f64]>,
}

impl Discrete {
    /// The values and their probabilities.
    pub fn chances(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let mut before = 0.0;
        self.values
            .iter()
            .zip(self.cumulative.iter())
            .map(move |(value, until)| {
                let chance = until - before;
                before = *until;
                (*value, chance)
            })
    }
}

/// Trials up to the first success, by its mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geometric {
    pub(super) mean: f64,
    /// -ln(1 - 1/mean): an exponential of this rate, rounded up, is the number of trials.
    pub(super) rate: f64,
}

/// Poisson by its mean, with its prepared sampler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PoissonCount {
    pub(super) mean: f64,
    pub(super) sampler: rand_distr::Poisson<f64>,
}

/// A distribution on the condition that it falls between two ends, both included.
///
/// Not clamped: clamping would heap all that lies outside onto the ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Bounded {
    pub(super) inner: Dist,
    /// The lower end, if one was given.
    pub(super) from: Option<f64>,
    /// The upper end, if one was given.
    pub(super) to: Option<f64>,
    /// Probability of the inner distribution below the lower end.
    pub(super) p_from: f64,
    /// Probability of the inner distribution inside.
    pub(super) mass: f64,
    pub(super) mean: f64,
    pub(super) variance: f64,
}

impl Bounded {
    /// The distribution before the ends were set.
    pub fn inner(&self) -> &Dist {
        &self.inner
    }

    /// Lower and upper end; infinite where none was given.
    pub fn ends(&self) -> (f64, f64) {
        (
            self.from.unwrap_or(f64::NEG_INFINITY),
            self.to.unwrap_or(f64::INFINITY),
        )
    }
}
