//! Quantiles of samples, and tests of trend.
//!
//! In: nothing. Out: [`Reference`]s. The wrong number is a rank or an observation too many or too few.

use crate::stats::{
    Definition, mann_kendall, order_interval, quantile, regression, runs_to_reach_quantile,
};
use crate::verify::reference::Reference;

use super::printed;

const SAMPLES: &str = "Quantiles of a sample";
const TREND: &str = "Trend";

const BINOMIAL: &str = "Conover, Practical Nonparametric Statistics; exact binomial by scipy 1.17";

/// All values of this file.
pub fn references() -> Vec<Reference> {
    let mut all = samples();
    all.extend(trend());
    all
}

fn samples() -> Vec<Reference> {
    let mut all = Vec::new();
    // n, share, ranks, coverage.
    for (n, p, lower, upper, coverage) in [
        (50_u64, 0.5, 18, Some(33), 0.967_160_9),
        (100, 0.5, 40, Some(61), 0.964_799_8),
        (100, 0.9, 84, Some(96), 0.955_690_1),
        (200, 0.95, 184, Some(197), 0.967_152_2),
        (300, 0.99, 293, None, 0.988_525_9),
        (1000, 0.9, 881, Some(919), 0.954_907_2),
        (1000, 0.95, 936, Some(964), 0.958_095_3),
    ] {
        let (right, wrong) = (
            order_interval(n, p, 0.95),
            order_interval(n - n / 10, p, 0.95),
        );
        let of = (SAMPLES, BINOMIAL);
        let rank = |r: Option<u64>| r.map_or(f64::INFINITY, |r| r as f64);
        all.push(printed(
            of,
            format!("lower rank for the {} % point of {n}", p * 100.0),
            (f64::from(lower), 0),
            rank(right.lower),
            rank(wrong.lower),
        ));
        if let Some(upper) = upper {
            all.push(printed(
                of,
                format!("upper rank for the {} % point of {n}", p * 100.0),
                (f64::from(upper), 0),
                rank(right.upper),
                rank(wrong.upper),
            ));
        }
        all.push(printed(
            of,
            format!(
                "chance that the ranks hold it, {} % point of {n}",
                p * 100.0
            ),
            (coverage, 7),
            right.coverage,
            wrong.coverage,
        ));
    }
    for (p, n) in [(0.9, 29.0), (0.95, 59.0), (0.99, 299.0)] {
        let runs = |p: f64| runs_to_reach_quantile(p, 0.95).map_or(f64::NAN, |n| n as f64);
        all.push(printed(
            (SAMPLES, "p^n at most 5 %, classical"),
            format!(
                "observations whose greatest is beyond the {} % point",
                p * 100.0
            ),
            (n, 0),
            runs(p),
            runs(p - 0.005),
        ));
    }
    let sorted = [0.7, 1.0, 2.0, 3.5, 4.4, 5.0, 6.3, 7.2, 8.8, 9.1];
    use Definition::*;
    let other = sorted.map(|x| 1.02 * x);
    let rows: [(&str, Definition, [f64; 2]); 9] = [
        ("1", InvertedCdf, [2.0, 8.8]),
        ("2", AveragedInvertedCdf, [2.0, 8.95]),
        ("3", ClosestObservation, [1.0, 8.8]),
        ("4", InterpolatedInvertedCdf, [1.5, 8.8]),
        ("5", Hazen, [2.0, 8.95]),
        ("6", Weibull, [1.75, 9.07]),
        ("7", Linear, [2.375, 8.83]),
        ("8", MedianUnbiased, [1.916_666_667, 8.99]),
        ("9", NormalUnbiased, [1.9375, 8.98]),
    ];
    for (name, definition, row) in rows {
        for (p, x) in [0.25, 0.9].into_iter().zip(row) {
            all.push(printed(
                (SAMPLES, "Hyndman and Fan 1996; digits by numpy 2.4"),
                format!("{} % point of ten values, type {name}", p * 100.0),
                (x, 8),
                quantile(&sorted, p, definition),
                quantile(&other, p, definition),
            ));
        }
    }
    all
}

fn trend() -> Vec<Reference> {
    let mut all = Vec::new();
    let rising: Vec<f64> = (0..10).map(f64::from).collect();
    let s = |x: &[f64]| mann_kendall(x).map_or(f64::NAN, |t| t.z);
    all.push(printed(
        (TREND, "Mann 1945, Kendall 1975; closed form 44 / sqrt(125)"),
        "trend of ten rising values, z",
        (44.0 / 125_f64.sqrt(), 9),
        s(&rising),
        s(&rising[1..]),
    ));
    all.push(printed(
        (TREND, "Mann 1945, Kendall 1975; closed form with two ties"),
        "trend of five falling values with ties, z",
        (-7.0 / (264.0_f64 / 18.0).sqrt(), 9),
        s(&[3.0, 2.0, 2.0, 1.0, 1.0]),
        s(&[3.0, 2.0, 2.0, 1.0, 0.0]),
    ));
    // By hand: slope 8/5 ... of (1,1) (2,3) (3,2) (4,5) (5,4): sums xy 8, xx 10.
    let line = |y: &[f64]| regression(&[1.0, 2.0, 3.0, 4.0, 5.0], y);
    let (right, wrong) = (
        line(&[1.0, 3.0, 2.0, 5.0, 4.0]),
        line(&[1.0, 3.0, 2.0, 5.0, 4.5]),
    );
    for (what, x, get) in [
        (
            "slope",
            0.8,
            (|r| r.slope) as fn(crate::stats::Regression) -> f64,
        ),
        ("intercept", 0.6, |r| r.intercept),
        ("standard error of the slope", 0.12_f64.sqrt(), |r| {
            r.slope_error
        }),
    ] {
        all.push(printed(
            (TREND, "least squares by hand"),
            format!("straight line through five points, {what}"),
            (x, 9),
            right.map_or(f64::NAN, get),
            wrong.map_or(f64::NAN, get),
        ));
    }
    all
}
