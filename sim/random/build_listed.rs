//! Making distributions from lists of values, and of counts.
//!
//! In: measured or chosen values, or the mean of a count. Out: a [`Dist`], or a [`DistError`].

use super::build::{finite, positive, within};
use super::dist::Dist;
use super::error::DistError;
use super::parts::{Discrete, Empirical, Geometric, PoissonCount};

impl Dist {
    /// Measured values joined by straight lines: F(x(i)) = (i - 1) / (n - 1), so nothing outside
    /// the measured range comes up (Law, "Simulation Modeling and Analysis", 6.2.4).
    ///
    /// # Errors
    /// If there are fewer than two values or one is not finite.
    pub fn empirical(values: &[f64]) -> Result<Dist, DistError> {
        let mut values = values.to_vec();
        values.sort_by(f64::total_cmp);
        let gaps = values.len().saturating_sub(1).max(1) as f64;
        let shares = (0..values.len()).map(|i| i as f64 / gaps).collect();
        Dist::piecewise(values, shares)
    }

    /// A distribution function made of straight lines: at `values[i]` it is `shares[i]`.
    ///
    /// # Errors
    /// If there are fewer than two knots, they fall, or the shares do not run from 0 to 1.
    pub fn piecewise(values: Vec<f64>, shares: Vec<f64>) -> Result<Dist, DistError> {
        let run = values.len() >= 2
            && values.len() == shares.len()
            && shares.first() == Some(&0.0)
            && shares.last() == Some(&1.0)
            && shares.windows(2).all(|p| p[0] <= p[1])
            && values.windows(2).all(|x| x[0] <= x[1]);
        if !run {
            return Err(
                DistError::new("these are not measured values", "two or more values")
                    .hint("for one value write it alone"),
            );
        }
        for value in &values {
            finite("value", *value)?;
        }
        Ok(Dist::Empirical(Empirical {
            values: values.into(),
            shares: shares.into(),
        }))
    }

    /// One of the given values, with the given weights.
    ///
    /// # Errors
    /// If there is none, a value is not finite or a weight not above 0.
    pub fn discrete(weighted: &[(f64, f64)]) -> Result<Dist, DistError> {
        if weighted.is_empty() {
            return Err(DistError::new("there are no values", "one or more values"));
        }
        let mut sorted = Vec::with_capacity(weighted.len());
        for (value, weight) in weighted {
            sorted.push((finite("value", *value)?, positive("weight", *weight)?));
        }
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let total: f64 = sorted.iter().map(|(_, weight)| weight).sum();
        let mut sum = 0.0;
        let mut cumulative: Vec<f64> = sorted
            .iter()
            .map(|(_, weight)| {
                sum += weight;
                sum / total
            })
            .collect();
        if let Some(last) = cumulative.last_mut() {
            *last = 1.0;
        }
        let (values, weights): (Vec<f64>, Vec<f64>) = sorted.into_iter().unzip();
        Ok(Dist::Discrete(Discrete {
            values: values.into(),
            weights: weights.into(),
            cumulative: cumulative.into(),
        }))
    }

    /// Geometric on 1, 2, ... by its mean; success has probability 1 / mean.
    ///
    /// # Errors
    /// If the mean is below 1.
    pub fn geometric(mean: f64) -> Result<Dist, DistError> {
        let mean = within("mean", mean, 1.0, 1e9)?;
        if mean == 1.0 {
            return Dist::constant(1.0);
        }
        Ok(Dist::Geometric(Geometric {
            mean,
            rate: -(-1.0 / mean).ln_1p(),
        }))
    }

    /// Poisson by its mean.
    ///
    /// # Errors
    /// If the mean is not above 0.
    pub fn poisson(mean: f64) -> Result<Dist, DistError> {
        let mean = within("mean", mean, 1e-9, 1e9)?;
        let sampler = rand_distr::Poisson::new(mean)
            .map_err(|e| DistError::new(e.to_string(), "a mean above 0"))?;
        Ok(Dist::Poisson(Box::new(PoissonCount { mean, sampler })))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nonsense_parameters_are_refused() {
        for bad in [
            Dist::exponential(0.0),
            Dist::exponential(f64::NAN),
            Dist::constant(f64::INFINITY),
            Dist::gamma_mean(10.0, 0.0),
            Dist::lognormal_median(-1.0, 1.0),
            Dist::weibull(0.0, 1.0),
            Dist::triangular(5.0, 3.0, 7.0),
            Dist::pert(2.0, 2.0, 2.0),
            Dist::uniform(6.0, 2.0),
            Dist::normal(0.0, 1.0, 50.0, 60.0),
            Dist::hyperexponential(1.0, 0.5),
            Dist::empirical(&[3.0]),
            Dist::empirical(&[3.0, f64::NAN]),
            Dist::discrete(&[]),
            Dist::discrete(&[(1.0, 0.0)]),
            Dist::geometric(0.5),
            Dist::poisson(0.0),
            Dist::erlang(0, 1.0),
            Dist::exponential(1.0).and_then(|d| d.bounded(Some(20.0), None)),
            Dist::exponential(1.0).and_then(|d| d.bounded(Some(2.0), Some(1.0))),
        ] {
            assert!(bad.is_err(), "{bad:?}");
        }
    }

    #[test]
    fn ends_that_cut_nothing_change_nothing() {
        let uniform = Dist::uniform(2.0, 6.0).unwrap();
        assert_eq!(
            uniform.clone().bounded(Some(1.0), Some(7.0)).unwrap(),
            uniform
        );
    }
}
