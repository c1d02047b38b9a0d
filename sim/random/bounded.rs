//! Distributions cut to a range.
//!
//! In: a [`Dist`] and two ends. Out: a [`Bounded`] with its mean and variance: in closed form for the lognormal, by summing
//! for counts, by integrating the share still to come for the rest.

use super::build::not_rising;
use super::dist::Dist;
use super::error::DistError;
use super::parts::Bounded;
use super::special::normal_cdf;

/// Steps of the integration; even, as Simpson's rule wants.
const STEPS: u32 = 20_000;

impl Dist {
    /// This distribution on the condition that it falls between two ends, both included; either
    /// may be left out. The parameters stay those before the cut, so the mean moves.
    ///
    /// # Errors
    /// If the ends do not rise or hold less than one draw in a hundred.
    pub fn bounded(self, from: Option<f64>, to: Option<f64>) -> Result<Dist, DistError> {
        let (low, high) = (
            from.unwrap_or(f64::NEG_INFINITY),
            to.unwrap_or(f64::INFINITY),
        );
        if low.is_nan() || high.is_nan() || low > high {
            return Err(not_rising(low, high));
        }
        let (least, greatest) = self.support();
        if low <= least && high >= greatest {
            return Ok(self);
        }
        let outside = |share: f64| {
            DistError::new(
                format!(
                    "only {} % of the draws fall between the ends",
                    (share * 1e4).round() / 1e2
                ),
                "ends that hold at least 1 % of the draws",
            )
        };
        match self {
            Dist::Discrete(discrete) => {
                let (values, weights) = discrete.within(low, high);
                let kept: Vec<(f64, f64)> = values.into_iter().zip(weights).collect();
                Dist::discrete(&kept).map_err(|_| outside(0.0))
            }
            Dist::Normal(n) => Dist::normal(n.mean, n.sd, n.low.max(low), n.high.min(high)),
            Dist::Constant(_) => Err(outside(0.0)),
            inner => {
                let below = if inner.counts() {
                    low.ceil() - 1.0
                } else {
                    low
                };
                let p_from = if below >= least {
                    inner.cdf(below)
                } else {
                    0.0
                };
                let mass = inner.cdf(high) - p_from;
                if mass.is_nan() || mass < 0.01 {
                    return Err(outside(mass.max(0.0)));
                }
                let mut cut = Bounded {
                    inner,
                    from,
                    to,
                    p_from,
                    mass,
                    mean: 0.0,
                    variance: 0.0,
                };
                (cut.mean, cut.variance) = cut.moments();
                Ok(Dist::Bounded(Box::new(cut)))
            }
        }
    }
}

impl Bounded {
    /// Mean and variance.
    pub(super) fn moments(&self) -> (f64, f64) {
        let (from, to) = self.ends();
        let (first, second) = match &self.inner {
            Dist::Lognormal { mu, sigma } => (
                self.lognormal_moment(*mu, *sigma, 1.0),
                self.lognormal_moment(*mu, *sigma, 2.0),
            ),
            inner => {
                let (least, greatest) = inner.support();
                let low = from.max(least);
                // Beyond this point too little is left to move the sum.
                let high = to.min(greatest).min(inner.quantile(1.0 - 1e-13));
                if inner.counts() && high - low < 1e6 {
                    self.summed(low.ceil(), high.floor())
                } else {
                    self.integrated(low, high)
                }
            }
        };
        (first, (second - first * first).max(0.0))
    }

    /// The moment of order `k`: exp(k mu + k^2 sigma^2 / 2) times the share of a lognormal moved
    /// up by k sigma^2 that falls into the range.
    fn lognormal_moment(&self, mu: f64, sigma: f64, k: f64) -> f64 {
        let (from, to) = self.ends();
        let upto = |x: f64| {
            if x <= 0.0 {
                0.0
            } else {
                normal_cdf((x.ln() - mu) / sigma - k * sigma)
            }
        };
        (k * mu + 0.5 * k * k * sigma * sigma).exp() * (upto(to) - upto(from)) / self.mass
    }

    fn summed(&self, low: f64, high: f64) -> (f64, f64) {
        let (mut first, mut second) = (0.0, 0.0);
        let (mut k, mut below) = (low, self.p_from);
        while k <= high {
            let upto = self.inner.cdf(k);
            let chance = (upto - below) / self.mass;
            first += chance * k;
            second += chance * k * k;
            below = upto;
            k += 1.0;
        }
        (first, second)
    }

    /// E[X] = low + integral of (1 - F), E[X^2] = low^2 + integral of 2x (1 - F), by Simpson's
    /// rule on a grid that is finest at the lower end.
    fn integrated(&self, low: f64, high: f64) -> (f64, f64) {
        let (mut first, mut second) = (0.0, 0.0);
        for i in 0..=STEPS {
            let s = f64::from(i) / f64::from(STEPS);
            let x = low + (high - low) * s.powi(4);
            let slope = 4.0 * (high - low) * s.powi(3);
            let weight = if i == 0 || i == STEPS {
                1.0
            } else {
                f64::from(2 + 2 * (i % 2))
            };
            let left = 1.0 - ((self.inner.cdf(x) - self.p_from) / self.mass).clamp(0.0, 1.0);
            first += weight * slope * left;
            second += weight * slope * left * 2.0 * x;
        }
        let step = 1.0 / (3.0 * f64::from(STEPS));
        (low + first * step, low * low + second * step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64) {
        assert!(
            (got - want).abs() <= 1e-6 * want.abs(),
            "{got} is not {want}"
        );
    }

    /// An exponential of mean 1 above 2 is 2 plus an exponential (no memory); below b its mean is
    /// 1 - b / (e^b - 1). Closed forms of the textbooks.
    #[test]
    fn cut_exponentials_match_their_closed_forms() {
        let exponential = Dist::exponential(1.0).unwrap();
        let above = exponential.clone().bounded(Some(2.0), None).unwrap();
        near(above.mean(), 3.0);
        near(above.variance(), 1.0);
        near(above.quantile(0.5), 2.0 + 2f64.ln());
        let below = exponential.bounded(None, Some(1.5)).unwrap();
        near(below.mean(), 1.0 - 1.5 / 1.5f64.exp_m1());
    }

    /// A geometric with p = 1/2 kept to 1..3 has chances 4/7, 2/7, 1/7: mean 11/7, variance 26/49.
    #[test]
    fn cut_counts_keep_their_odds() {
        let cut = Dist::geometric(2.0)
            .unwrap()
            .bounded(None, Some(3.0))
            .unwrap();
        near(cut.mean(), 11.0 / 7.0);
        near(cut.variance(), 26.0 / 49.0);
        assert_eq!(cut.quantile(1.0), 3.0);
        assert_eq!(cut.quantile(0.57), 1.0);
        assert_eq!(cut.quantile(0.58), 2.0);
    }

    /// The integration and the closed form are two ways to one number.
    #[test]
    fn lognormal_closed_form_agrees_with_integration() {
        let cut = Dist::lognormal_median(4000.0, 1.1).unwrap();
        let Dist::Bounded(cut) = cut.bounded(Some(500.0), Some(50_000.0)).unwrap() else {
            panic!("a cut distribution")
        };
        let (mean, second) = cut.integrated(500.0, 50_000.0);
        near(cut.mean, mean);
        near(cut.variance, second - mean * mean);
    }
}
