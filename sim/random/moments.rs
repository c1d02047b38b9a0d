//! Mean, variance, distribution function, quantiles and support.
//!
//! In: a [`Dist`]. Out: exact values, from the closed forms of the textbooks (Law, "Simulation
//! Modeling and Analysis", chapter 6; Johnson, Kotz and Balakrishnan, "Continuous Univariate
//! Distributions").

use super::dist::Dist;
use super::parts::{Bounded, Discrete, Empirical, Hyperexponential, TruncatedNormal};
use super::sample::triangular_quantile;
use super::special::{
    beta_cdf, gamma_cdf, gamma_function, normal_cdf, normal_density, normal_quantile, solve_count,
    solve_quantile,
};

impl Dist {
    /// The mean, in base units.
    pub fn mean(&self) -> f64 {
        match self {
            Dist::Constant(value) => *value,
            Dist::Exponential { mean } => *mean,
            Dist::Erlang { gamma, .. } | Dist::Gamma(gamma) => gamma.shape * gamma.scale,
            Dist::Lognormal { mu, sigma } => (mu + 0.5 * sigma * sigma).exp(),
            Dist::Weibull { shape, scale } => scale * gamma_function(1.0 + 1.0 / shape),
            Dist::Triangular { low, mode, high } => (low + mode + high) / 3.0,
            Dist::Beta(b) => b.low + (b.high - b.low) * b.alpha / (b.alpha + b.beta),
            Dist::Uniform { from, to } => 0.5 * (from + to),
            Dist::Normal(normal) => normal.moments().0,
            Dist::Hyperexponential(h) => h.mean,
            Dist::Empirical(e) => e.moment(1),
            Dist::Discrete(d) => d.chances().map(|(value, chance)| value * chance).sum(),
            Dist::Geometric(g) => g.mean,
            Dist::Poisson(p) => p.mean,
            Dist::Bounded(b) => b.mean,
        }
    }

    /// The variance, in base units squared.
    pub fn variance(&self) -> f64 {
        match self {
            Dist::Constant(_) => 0.0,
            Dist::Exponential { mean } => mean * mean,
            Dist::Erlang { gamma, .. } | Dist::Gamma(gamma) => {
                gamma.shape * gamma.scale * gamma.scale
            }
            Dist::Lognormal { mu, sigma } => {
                let s2 = sigma * sigma;
                s2.exp_m1() * (2.0 * mu + s2).exp()
            }
            Dist::Weibull { shape, scale } => {
                let first = gamma_function(1.0 + 1.0 / shape);
                scale * scale * (gamma_function(1.0 + 2.0 / shape) - first * first)
            }
            Dist::Triangular {
                low: a,
                mode: m,
                high: b,
            } => (a * a + m * m + b * b - a * m - a * b - b * m) / 18.0,
            Dist::Beta(b) => {
                let sum = b.alpha + b.beta;
                (b.high - b.low).powi(2) * b.alpha * b.beta / (sum * sum * (sum + 1.0))
            }
            Dist::Uniform { from, to } => (to - from).powi(2) / 12.0,
            Dist::Normal(normal) => normal.moments().1,
            Dist::Hyperexponential(h) => h.mean * h.mean * h.cv * h.cv,
            Dist::Empirical(e) => (e.moment(2) - e.moment(1).powi(2)).max(0.0),
            Dist::Discrete(d) => {
                let mean = self.mean();
                d.chances()
                    .map(|(value, chance)| chance * (value - mean).powi(2))
                    .sum()
            }
            Dist::Geometric(g) => g.mean * (g.mean - 1.0),
            Dist::Poisson(p) => p.mean,
            Dist::Bounded(b) => b.variance,
        }
    }

    /// The standard deviation, in base units.
    pub fn sd(&self) -> f64 {
        self.variance().sqrt()
    }

    /// The probability of at most `x`.
    pub fn cdf(&self, x: f64) -> f64 {
        match self {
            Dist::Constant(value) => f64::from(u8::from(x >= *value)),
            Dist::Exponential { mean } => -(-(x.max(0.0)) / mean).exp_m1(),
            Dist::Erlang { gamma, .. } | Dist::Gamma(gamma) => {
                gamma_cdf(gamma.shape, x / gamma.scale)
            }
            Dist::Lognormal { mu, sigma } => {
                if x <= 0.0 {
                    0.0
                } else {
                    normal_cdf((x.ln() - mu) / sigma)
                }
            }
            Dist::Weibull { shape, scale } => -(-(x.max(0.0) / scale).powf(*shape)).exp_m1(),
            Dist::Triangular { low, mode, high } => {
                if x <= *low {
                    0.0
                } else if x >= *high {
                    1.0
                } else if x <= *mode {
                    (x - low).powi(2) / ((high - low) * (mode - low))
                } else {
                    1.0 - (high - x).powi(2) / ((high - low) * (high - mode))
                }
            }
            Dist::Beta(b) => beta_cdf(b.alpha, b.beta, (x - b.low) / (b.high - b.low)),
            Dist::Uniform { from, to } => ((x - from) / (to - from)).clamp(0.0, 1.0),
            Dist::Normal(normal) => normal.cdf(x),
            Dist::Hyperexponential(h) => h.cdf(x),
            Dist::Empirical(e) => e.cdf(x),
            Dist::Discrete(d) => {
                let upto = d.values.partition_point(|value| *value <= x);
                if upto == 0 {
                    0.0
                } else {
                    d.cumulative[upto - 1]
                }
            }
            Dist::Geometric(g) => -(-g.rate * x.floor().max(0.0)).exp_m1(),
            Dist::Poisson(p) => {
                if x < 0.0 {
                    0.0
                } else {
                    1.0 - gamma_cdf(x.floor() + 1.0, p.mean)
                }
            }
            Dist::Bounded(b) => b.cdf(x),
        }
    }

    /// The smallest value reached with probability `p`; `p` outside 0..1 is taken as the nearer
    /// end, not-a-number as 0.
    pub fn quantile(&self, p: f64) -> f64 {
        let p = if p.is_nan() { 0.0 } else { p.clamp(0.0, 1.0) };
        let (low, high) = self.support();
        if p == 0.0 {
            return low;
        }
        if p == 1.0 {
            return high;
        }
        match self {
            Dist::Constant(value) => *value,
            Dist::Exponential { mean } => -mean * (-p).ln_1p(),
            Dist::Lognormal { mu, sigma } => (mu + sigma * normal_quantile(p)).exp(),
            Dist::Weibull { shape, scale } => scale * (-(-p).ln_1p()).powf(1.0 / shape),
            Dist::Triangular { low, mode, high } => triangular_quantile(*low, *mode, *high, p),
            Dist::Uniform { from, to } => from + (to - from) * p,
            Dist::Normal(normal) => normal.quantile(p),
            Dist::Empirical(e) => e.quantile(p),
            Dist::Discrete(d) => d.quantile(p),
            Dist::Geometric(_) => solve_count(1, p, |x| self.cdf(x)),
            Dist::Poisson(_) => solve_count(0, p, |x| self.cdf(x)),
            Dist::Bounded(b) => b.quantile(p),
            Dist::Erlang { .. } | Dist::Gamma(_) | Dist::Beta(_) | Dist::Hyperexponential(_) => {
                solve_quantile(low, p, |x| self.cdf(x)).min(high)
            }
        }
    }

    /// The least and the greatest possible value; infinite where there is no end.
    pub fn support(&self) -> (f64, f64) {
        match self {
            Dist::Constant(value) => (*value, *value),
            Dist::Exponential { .. }
            | Dist::Erlang { .. }
            | Dist::Gamma(_)
            | Dist::Lognormal { .. }
            | Dist::Weibull { .. }
            | Dist::Hyperexponential(_)
            | Dist::Poisson(_) => (0.0, f64::INFINITY),
            Dist::Triangular { low, high, .. } => (*low, *high),
            Dist::Beta(b) => (b.low, b.high),
            Dist::Uniform { from, to } => (*from, *to),
            Dist::Normal(normal) => (normal.low, normal.high),
            Dist::Empirical(e) => (e.values[0], e.values[e.values.len() - 1]),
            Dist::Discrete(d) => (d.values[0], d.values[d.values.len() - 1]),
            Dist::Geometric(_) => (1.0, f64::INFINITY),
            Dist::Bounded(b) => b.limits(),
        }
    }

    /// True if only whole numbers can come up.
    pub(super) fn counts(&self) -> bool {
        matches!(self, Dist::Geometric(_) | Dist::Poisson(_))
    }
}

impl TruncatedNormal {
    /// Mean and variance.
    fn moments(&self) -> (f64, f64) {
        let (a, b) = self.frame();
        let density = |z: f64| {
            if z.is_finite() {
                normal_density(z)
            } else {
                0.0
            }
        };
        let tilt = |z: f64| {
            if z.is_finite() {
                z * normal_density(z)
            } else {
                0.0
            }
        };
        let shift = (density(a) - density(b)) / self.mass;
        let variance = 1.0 + (tilt(a) - tilt(b)) / self.mass - shift * shift;
        let sign = if self.mirrored() { -1.0 } else { 1.0 };
        (
            self.mean + sign * self.sd * shift,
            self.sd * self.sd * variance.max(0.0),
        )
    }

    fn cdf(&self, x: f64) -> f64 {
        if x <= self.low {
            return 0.0;
        }
        if x >= self.high {
            return 1.0;
        }
        let z = (x - self.mean) / self.sd;
        let inside = if self.mirrored() { -z } else { z };
        let p = ((normal_cdf(inside) - self.p_low) / self.mass).clamp(0.0, 1.0);
        if self.mirrored() { 1.0 - p } else { p }
    }

    /// The value at probability `p`.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let inside = if self.mirrored() { 1.0 - p } else { p };
        let z = normal_quantile(self.p_low + inside * self.mass);
        let sign = if self.mirrored() { -1.0 } else { 1.0 };
        (self.mean + sign * self.sd * z).clamp(self.low, self.high)
    }
}

impl Hyperexponential {
    fn cdf(&self, x: f64) -> f64 {
        let x = x.max(0.0);
        let (short, long) = (-x / self.mean_short, -x / self.mean_long);
        -(self.p * short.exp_m1() + (1.0 - self.p) * long.exp_m1())
    }
}

impl Empirical {
    /// First or second moment: each straight piece is a uniform distribution.
    fn moment(&self, order: u8) -> f64 {
        let pieces = self.values.windows(2).zip(self.shares.windows(2));
        pieces
            .map(|(x, p)| {
                let value = if order == 1 {
                    0.5 * (x[0] + x[1])
                } else {
                    (x[0] * x[0] + x[0] * x[1] + x[1] * x[1]) / 3.0
                };
                (p[1] - p[0]) * value
            })
            .sum()
    }

    fn cdf(&self, x: f64) -> f64 {
        let upper = self.values.partition_point(|value| *value <= x);
        if upper == 0 {
            return 0.0;
        }
        if upper == self.values.len() {
            return 1.0;
        }
        let (x0, x1) = (self.values[upper - 1], self.values[upper]);
        let (p0, p1) = (self.shares[upper - 1], self.shares[upper]);
        p0 + (p1 - p0) * (x - x0) / (x1 - x0)
    }
}

impl Discrete {
    /// The part of the distribution between two ends, both included.
    pub(super) fn within(&self, from: f64, to: f64) -> (Vec<f64>, Vec<f64>) {
        let kept = self.values.iter().zip(self.weights.iter());
        kept.filter(|(value, _)| **value >= from && **value <= to)
            .map(|(value, weight)| (*value, *weight))
            .unzip()
    }
}

impl Bounded {
    /// The least and the greatest value that can come up.
    fn limits(&self) -> (f64, f64) {
        let ((low, high), (from, to)) = (self.inner.support(), self.ends());
        let (low, high) = (low.max(from), high.min(to));
        if self.inner.counts() {
            (low.ceil(), high.floor())
        } else {
            (low, high)
        }
    }

    fn cdf(&self, x: f64) -> f64 {
        let (from, to) = self.ends();
        if x < from {
            0.0
        } else if x >= to {
            1.0
        } else {
            ((self.inner.cdf(x) - self.p_from) / self.mass).clamp(0.0, 1.0)
        }
    }

    /// The value at probability `p`.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let (low, high) = self.limits();
        let inner = self.inner.quantile(self.p_from + p * self.mass);
        inner.clamp(low, high)
    }
}
