//! Statistics of runs and replications: bare numbers in, bare numbers out.
//!
//! In: observations as `f64`, moments as `i64` ticks. Out: means, intervals, quantiles, tests,
//! histograms. Nothing here knows what is simulated.

mod accumulate;
mod compare;
mod histogram;
mod interval;
mod order;
mod pooled;
mod quantile;
mod ratio;
pub mod selection;
mod series;
mod share;
mod skewed;
mod tables;

pub use accumulate::{TimeWeighted, Welford};
pub use compare::{Comparison, paired, welch, welch_df};
pub use histogram::Histogram;
pub use interval::{
    Interval, bonferroni, mean_interval, proportion_interval, replications_for_absolute,
    replications_for_relative,
};
pub use order::{OrderInterval, order_interval, quantile_interval, runs_to_reach_quantile};
pub use pooled::{Cell, Pooled};
pub use quantile::{Definition, quantile, quantile_censored};
pub use ratio::Ratio;
pub use series::{Regression, Trend, lag1_autocorrelation, mann_kendall, regression};
pub use share::share_interval;
pub use skewed::{Moments, Tail, WANTED, skewed_interval};
pub use tables::{binomial_cdf, chi2_quantile, normal_cdf, normal_quantile, t_cdf, t_quantile};
