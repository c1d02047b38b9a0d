//! Drawing from a distribution.
//!
//! In: a [`Dist`] and a [`Stream`]. Out: one value in base units. Nothing is prepared per draw.
//! Exponential and normal variates come from the ziggurat samplers of rand_distr (Doornik, "An
//! improved ziggurat method to generate normal random samples", 2005).

use super::dist::Dist;
use super::parts::{Bounded, Discrete, Empirical, ScaledBeta, TruncatedNormal};
use super::stream::Stream;
use rand::RngExt;
use rand_distr::{Distribution, Exp1, StandardNormal};

/// A standard exponential variate.
#[inline]
fn exponential(stream: &mut Stream) -> f64 {
    stream.sample(Exp1)
}

/// A variate whose logarithm is normal.
#[inline]
fn lognormal(mu: f64, sigma: f64, stream: &mut Stream) -> f64 {
    let z: f64 = stream.sample(StandardNormal);
    (mu + sigma * z).exp()
}

impl Dist {
    /// One draw from a stream that is made only where something is left to chance.
    #[inline(always)]
    pub fn draw(&self, stream: impl FnOnce() -> Stream) -> f64 {
        match self {
            Dist::Constant(value) => *value,
            Dist::Lognormal { mu, sigma } => lognormal(*mu, *sigma, &mut stream()),
            Dist::Exponential { mean } => mean * exponential(&mut stream()),
            Dist::Uniform { from, to } => from + (to - from) * stream().unit(),
            drawn => drawn.sample(&mut stream()),
        }
    }

    /// One draw, in base units.
    #[inline]
    pub fn sample(&self, stream: &mut Stream) -> f64 {
        match self {
            Dist::Constant(value) => *value,
            Dist::Exponential { mean } => mean * exponential(stream),
            Dist::Lognormal { mu, sigma } => lognormal(*mu, *sigma, stream),
            Dist::Erlang { gamma, .. } | Dist::Gamma(gamma) => gamma.sampler.sample(stream),
            Dist::Weibull { shape, scale } => scale * exponential(stream).powf(1.0 / shape),
            Dist::Triangular { low, mode, high } => {
                triangular_quantile(*low, *mode, *high, stream.unit())
            }
            Dist::Uniform { from, to } => from + (to - from) * stream.unit(),
            Dist::Beta(beta) => beta.sample(stream),
            Dist::Normal(normal) => normal.sample(stream),
            Dist::Hyperexponential(h) => {
                let mean = if stream.chance(h.p) {
                    h.mean_short
                } else {
                    h.mean_long
                };
                mean * exponential(stream)
            }
            Dist::Empirical(empirical) => empirical.quantile(stream.unit()),
            Dist::Discrete(discrete) => discrete.quantile(stream.unit()),
            Dist::Geometric(g) => (exponential(stream) / g.rate).ceil().max(1.0),
            Dist::Poisson(poisson) => poisson.sampler.sample(stream),
            Dist::Bounded(bounded) => bounded.sample(stream),
        }
    }
}

/// The quantile of the triangular distribution, by inversion.
pub(super) fn triangular_quantile(low: f64, mode: f64, high: f64, p: f64) -> f64 {
    let width = high - low;
    if p * width <= mode - low {
        low + (p * width * (mode - low)).sqrt()
    } else {
        high - ((1.0 - p) * width * (high - mode)).sqrt()
    }
}

impl ScaledBeta {
    fn sample(&self, stream: &mut Stream) -> f64 {
        let [first, second] = &self.samplers;
        let (x, y) = (first.sample(stream), second.sample(stream));
        // Both can vanish when both shapes are tiny; then the beta sits at one end or the other.
        let share = if x + y > 0.0 {
            x / (x + y)
        } else {
            f64::from(u8::from(
                stream.chance(self.alpha / (self.alpha + self.beta)),
            ))
        };
        self.low + (self.high - self.low) * share
    }
}

impl TruncatedNormal {
    /// Redraws while the range holds at least a quarter of the curve, inverts otherwise.
    fn sample(&self, stream: &mut Stream) -> f64 {
        if self.mass < 0.25 {
            return self.quantile(stream.unit());
        }
        for _ in 0..64 {
            let z: f64 = stream.sample(StandardNormal);
            let x = self.mean + self.sd * z;
            if x >= self.low && x <= self.high {
                return x;
            }
        }
        self.quantile(stream.unit())
    }
}

impl Empirical {
    /// The value at share `p`, on the straight line between its knots.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let last = self.values.len() - 1;
        let upper = self
            .shares
            .partition_point(|share| *share < p)
            .clamp(1, last);
        let (x0, x1) = (self.values[upper - 1], self.values[upper]);
        let (p0, p1) = (self.shares[upper - 1], self.shares[upper]);
        if p1 > p0 {
            x0 + (x1 - x0) * ((p - p0) / (p1 - p0)).clamp(0.0, 1.0)
        } else {
            x1
        }
    }
}

impl Discrete {
    /// The smallest value whose running share reaches `p`.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let at = self.cumulative.partition_point(|share| *share < p);
        self.values[at.min(self.values.len() - 1)]
    }
}

impl Bounded {
    /// Redraws a few times, then inverts; both give exactly the conditional distribution.
    fn sample(&self, stream: &mut Stream) -> f64 {
        let (from, to) = self.ends();
        for _ in 0..16 {
            let x = self.inner.sample(stream);
            if x >= from && x <= to {
                return x;
            }
        }
        self.quantile(stream.unit())
    }
}
