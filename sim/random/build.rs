//! Making continuous distributions from checked parameters.
//!
//! In: parameters in base units. Out: a [`Dist`] that cannot panic or draw nonsense, or a
//! [`DistError`]. Spreads are held to ranges far wider than any real process, so that every mean
//! and quantile stays finite.

use super::dist::Dist;
use super::error::DistError;
use super::parts::{GammaShape, Hyperexponential, ScaledBeta, TruncatedNormal};
use super::special::{gamma_function, normal_cdf, normal_quantile};

/// A number that must lie in `low..=high`.
pub(super) fn within(name: &str, value: f64, low: f64, high: f64) -> Result<f64, DistError> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(DistError::new(
            format!("{name} is {value}"),
            format!("{name} from {low} to {high}"),
        ))
    }
}

/// A number that must be above zero.
pub(super) fn positive(name: &str, value: f64) -> Result<f64, DistError> {
    if value > 0.0 && value <= 1e15 {
        Ok(value)
    } else {
        Err(DistError::new(
            format!("{name} is {value}"),
            format!("{name} above 0"),
        ))
    }
}

/// A finite number of any sign.
pub(super) fn finite(name: &str, value: f64) -> Result<f64, DistError> {
    if value.abs() <= 1e15 {
        Ok(value)
    } else {
        Err(DistError::new(
            format!("{name} is {value}"),
            format!("a finite {name}"),
        ))
    }
}

/// The accepted range of a coefficient of variation.
fn spread(cv: f64) -> Result<f64, DistError> {
    within("cv", cv, 0.001, 20.0)
        .map_err(|e| e.hint("for no spread at all write the value alone; cv is sd over mean"))
}

/// A gamma with its sampler.
fn gamma_shape(shape: f64, scale: f64) -> Result<GammaShape, DistError> {
    let (shape, scale) = (
        within("shape", shape, 0.002, 1e6)?,
        positive("scale", scale)?,
    );
    let sampler = rand_distr::Gamma::new(shape, scale)
        .map_err(|e| DistError::new(e.to_string(), "a shape and a scale above 0"))?;
    Ok(GammaShape {
        shape,
        scale,
        sampler,
    })
}

impl Dist {
    /// Always `value`.
    ///
    /// # Errors
    /// If it is not finite.
    pub fn constant(value: f64) -> Result<Dist, DistError> {
        Ok(Dist::Constant(finite("value", value)?))
    }

    /// Exponential with this mean.
    ///
    /// # Errors
    /// If the mean is not above 0.
    pub fn exponential(mean: f64) -> Result<Dist, DistError> {
        Ok(Dist::Exponential {
            mean: positive("mean", mean)?,
        })
    }

    /// Erlang: `stages` equal exponential stages with this mean in all.
    ///
    /// # Errors
    /// If stages is not 1 to 10 000 or the mean not above 0.
    pub fn erlang(stages: u32, mean: f64) -> Result<Dist, DistError> {
        let count = within("stages", f64::from(stages), 1.0, 10_000.0)?;
        Ok(Dist::Erlang {
            stages,
            gamma: gamma_shape(count, positive("mean", mean)? / count)?,
        })
    }

    /// Gamma by shape and scale.
    ///
    /// # Errors
    /// If either is out of range.
    pub fn gamma(shape: f64, scale: f64) -> Result<Dist, DistError> {
        gamma_shape(shape, scale).map(Dist::Gamma)
    }

    /// Gamma by mean and coefficient of variation: shape 1/cv^2, scale mean cv^2.
    ///
    /// # Errors
    /// If either is out of range.
    pub fn gamma_mean(mean: f64, cv: f64) -> Result<Dist, DistError> {
        let (mean, cv) = (positive("mean", mean)?, spread(cv)?);
        Dist::gamma(1.0 / (cv * cv), mean * cv * cv)
    }

    /// Lognormal by mean and coefficient of variation: sigma^2 = ln(1 + cv^2),
    /// mu = ln(mean) - sigma^2 / 2.
    ///
    /// # Errors
    /// If either is out of range.
    pub fn lognormal_mean(mean: f64, cv: f64) -> Result<Dist, DistError> {
        let (mean, cv) = (positive("mean", mean)?, spread(cv)?);
        let sigma2 = (cv * cv).ln_1p();
        Ok(Dist::Lognormal {
            mu: mean.ln() - 0.5 * sigma2,
            sigma: sigma2.sqrt(),
        })
    }

    /// Lognormal by median and standard deviation of the logarithm.
    ///
    /// # Errors
    /// If either is out of range.
    pub fn lognormal_median(median: f64, sigma: f64) -> Result<Dist, DistError> {
        let sigma = within("sigma", sigma, 1e-6, 4.0)?;
        Ok(Dist::Lognormal {
            mu: positive("median", median)?.ln(),
            sigma,
        })
    }

    /// Lognormal by its median and one upper point: `worst` is not passed with probability
    /// `share`, so sigma = ln(worst / median) / z(share).
    ///
    /// # Errors
    /// If the point does not lie above the median.
    pub fn lognormal_points(median: f64, share: f64, worst: f64) -> Result<Dist, DistError> {
        let share = within("share", share, 0.501, 0.999_999)?;
        let ratio = positive("worst", worst)? / positive("median", median)?;
        Dist::lognormal_median(median, ratio.ln() / normal_quantile(share))
    }

    /// Weibull by shape and scale.
    ///
    /// # Errors
    /// If either is out of range.
    pub fn weibull(shape: f64, scale: f64) -> Result<Dist, DistError> {
        let shape = within("shape", shape, 0.1, 2000.0)?;
        Ok(Dist::Weibull {
            shape,
            scale: positive("scale", scale)?,
        })
    }

    /// Weibull by mean and coefficient of variation; the shape is found by halving.
    ///
    /// # Errors
    /// If either is out of range.
    pub fn weibull_mean(mean: f64, cv: f64) -> Result<Dist, DistError> {
        let (mean, cv) = (positive("mean", mean)?, spread(cv)?);
        let cv_of = |k: f64| {
            let first = gamma_function(1.0 + 1.0 / k);
            (gamma_function(1.0 + 2.0 / k) / (first * first) - 1.0)
                .max(0.0)
                .sqrt()
        };
        // The cv falls as the shape grows; it is 429 at shape 0.1 and 0.0006 at 2000.
        let (mut below, mut above) = (0.1f64, 2000.0f64);
        for _ in 0..200 {
            let middle = 0.5 * (below + above);
            if cv_of(middle) > cv {
                below = middle
            } else {
                above = middle
            }
        }
        let shape = 0.5 * (below + above);
        Dist::weibull(shape, mean / gamma_function(1.0 + 1.0 / shape))
    }

    /// Triangular by least, most likely and greatest value.
    ///
    /// # Errors
    /// If they do not rise.
    pub fn triangular(low: f64, mode: f64, high: f64) -> Result<Dist, DistError> {
        rising(low, mode, high)?;
        Ok(Dist::Triangular { low, mode, high })
    }

    /// PERT: a beta between the ends with mean (low + 4 mode + high) / 6.
    ///
    /// # Errors
    /// If the three do not rise.
    pub fn pert(low: f64, mode: f64, high: f64) -> Result<Dist, DistError> {
        rising(low, mode, high)?;
        let alpha = 1.0 + 4.0 * (mode - low) / (high - low);
        let beta = 1.0 + 4.0 * (high - mode) / (high - low);
        scaled_beta(alpha, beta, low, high, Some(mode))
    }

    /// Beta by its two shapes, stretched between two ends.
    ///
    /// # Errors
    /// If a shape is out of range or the ends do not rise.
    pub fn beta(alpha: f64, beta: f64, low: f64, high: f64) -> Result<Dist, DistError> {
        scaled_beta(alpha, beta, low, high, None)
    }

    /// Even between two ends.
    ///
    /// # Errors
    /// If they do not rise.
    pub fn uniform(from: f64, to: f64) -> Result<Dist, DistError> {
        ends(from, to)?;
        Ok(Dist::Uniform { from, to })
    }

    /// Normal cut to `low..high`, either of which may be infinite. `mean` and `sd` are those of
    /// the uncut curve.
    ///
    /// # Errors
    /// If sd is not above 0, or less than one in ten thousand of the curve lies in the range.
    pub fn normal(mean: f64, sd: f64, low: f64, high: f64) -> Result<Dist, DistError> {
        let (mean, sd) = (finite("mean", mean)?, positive("sd", sd)?);
        if low.is_nan() || high.is_nan() || low >= high {
            return Err(not_rising(low, high));
        }
        let mut normal = TruncatedNormal {
            mean,
            sd,
            low,
            high,
            p_low: 0.0,
            mass: 1.0,
        };
        let (a, b) = normal.frame();
        normal.p_low = normal_cdf(a);
        normal.mass = normal_cdf(b) - normal.p_low;
        if normal.mass < 1e-4 {
            return Err(DistError::new(
                format!(
                    "next to nothing of a normal with mean {mean} and sd {sd} lies in the range"
                ),
                "a range that holds some of the curve",
            ));
        }
        Ok(Dist::Normal(normal))
    }

    /// Hyperexponential with balanced means; cv above 1.
    ///
    /// # Errors
    /// If the mean is not above 0 or cv not above 1.
    pub fn hyperexponential(mean: f64, cv: f64) -> Result<Dist, DistError> {
        let mean = positive("mean", mean)?;
        if !(cv > 1.0 && cv <= 100.0) {
            return Err(
                DistError::new(format!("cv is {cv}"), "a cv above 1, up to 100")
                    .hint("for cv 1 write `exponential`, below 1 `gamma` or `lognormal`"),
            );
        }
        let p = 0.5 * (1.0 + ((cv * cv - 1.0) / (cv * cv + 1.0)).sqrt());
        let (mean_short, mean_long) = (mean / (2.0 * p), mean / (2.0 * (1.0 - p)));
        Ok(Dist::Hyperexponential(Hyperexponential {
            mean,
            cv,
            p,
            mean_short,
            mean_long,
        }))
    }
}

/// A beta with its sampler.
fn scaled_beta(
    alpha: f64,
    beta: f64,
    low: f64,
    high: f64,
    pert_mode: Option<f64>,
) -> Result<Dist, DistError> {
    let (alpha, beta) = (
        within("alpha", alpha, 0.01, 1e6)?,
        within("beta", beta, 0.01, 1e6)?,
    );
    ends(low, high)?;
    let sampler = |shape| {
        rand_distr::Gamma::new(shape, 1.0)
            .map_err(|e| DistError::new(e.to_string(), "alpha and beta above 0"))
    };
    let samplers = [sampler(alpha)?, sampler(beta)?];
    Ok(Dist::Beta(Box::new(ScaledBeta {
        alpha,
        beta,
        low,
        high,
        pert_mode,
        samplers,
    })))
}

/// The error for ends in the wrong order.
pub(super) fn not_rising(low: f64, high: f64) -> DistError {
    DistError::new(
        "the lower end is not below the upper end".to_string(),
        "a lower end below the upper end",
    )
    .hint(if low == high {
        "for one value write it alone"
    } else {
        "swap the two"
    })
}

/// Two finite ends, the first below the second.
fn ends(low: f64, high: f64) -> Result<(), DistError> {
    finite("lower end", low)?;
    finite("upper end", high)?;
    if low < high {
        Ok(())
    } else {
        Err(not_rising(low, high))
    }
}

/// Low, typical and high in this order.
fn rising(low: f64, mode: f64, high: f64) -> Result<(), DistError> {
    ends(low, high)?;
    if low <= mode && mode <= high {
        Ok(())
    } else {
        Err(DistError::new(
            "the typical value does not lie between low and high",
            "low, typical and high, each no less than the one before",
        ))
    }
}
