//! Tables and worked examples of statistics.
//!
//! In: nothing. Out: [`Reference`]s. The wrong number is a degree of freedom, an observation or a replication
//! too many or too few, or a sample a little off.

use crate::stats::{
    Definition, Welford, bonferroni, chi2_quantile, mann_kendall, mean_interval, mser, mser5,
    normal_quantile, order_interval, paired, proportion_interval, quantile, regression,
    replications_for_absolute, replications_for_relative, runs_to_reach_quantile, t_quantile,
    welch, welch_average,
};
use crate::verify::reference::Reference;

use super::{printed, relative};

const TABLES: &str = "Quantile tables";
const INTERVALS: &str = "Intervals and comparisons";
const SAMPLES: &str = "Quantiles of a sample";
const WARM_UP: &str = "Warm-up and trend";

const HANDBOOK: &str = "NIST/SEMATECH e-Handbook of Statistical Methods; digits by scipy 1.17";
const LAW: &str = "Law, Simulation Modeling and Analysis (from memory)";
const BINOMIAL: &str = "Conover, Practical Nonparametric Statistics; exact binomial by scipy 1.17";

/// All values of this file.
pub fn references() -> Vec<Reference> {
    let mut all = tables();
    all.extend(intervals());
    all.extend(comparisons());
    all.extend(samples());
    all.extend(warm_up());
    all
}

fn tables() -> Vec<Reference> {
    let mut all = Vec::new();
    let t: [(f64, [f64; 4]); 9] = [
        (1.0, [6.31375, 12.70620, 63.65674, 636.61925]),
        (4.0, [2.13185, 2.77645, 4.60409, 8.61030]),
        (9.0, [1.83311, 2.26216, 3.24984, 4.78091]),
        (14.0, [1.76131, 2.14479, 2.97684, 4.14045]),
        (19.0, [1.72913, 2.09302, 2.86093, 3.88341]),
        (29.0, [1.69913, 2.04523, 2.75639, 3.65941]),
        (49.0, [1.67655, 2.00958, 2.67995, 3.50044]),
        (99.0, [1.66039, 1.98422, 2.62641, 3.39153]),
        (120.0, [1.65765, 1.97993, 2.61742, 3.37345]),
    ];
    for (df, row) in t {
        for (p, x) in [0.95, 0.975, 0.995, 0.9995].into_iter().zip(row) {
            all.push(printed(
                (TABLES, HANDBOOK),
                format!("Student's t, {df} degrees of freedom, {p}"),
                (x, 5),
                t_quantile(p, df),
                t_quantile(p, df + 1.0),
            ));
        }
    }
    for (p, x) in [
        (0.9, 1.281_551_6),
        (0.95, 1.644_853_6),
        (0.975, 1.959_964_0),
        (0.995, 2.575_829_3),
        (0.9995, 3.290_526_7),
    ] {
        all.push(printed(
            (TABLES, HANDBOOK),
            format!("normal, {p}"),
            (x, 7),
            normal_quantile(p),
            normal_quantile(p - 0.0001),
        ));
    }
    for (df, p, x) in [
        (1.0, 0.95, 3.8415),
        (9.0, 0.025, 2.7004),
        (9.0, 0.975, 19.0228),
        (10.0, 0.95, 18.3070),
        (29.0, 0.025, 16.0471),
        (29.0, 0.975, 45.7223),
        (100.0, 0.95, 124.3421),
    ] {
        all.push(printed(
            (TABLES, HANDBOOK),
            format!("chi-square, {df} degrees of freedom, {p}"),
            (x, 4),
            chi2_quantile(p, df),
            chi2_quantile(p, df + 1.0),
        ));
    }
    for (intervals, x) in [(2, 2.685_011), (5, 3.249_836), (10, 3.689_662)] {
        let t = |c: usize| t_quantile(0.5 + 0.5 * bonferroni(0.95, c), 9.0);
        all.push(printed(
            (TABLES, "Bonferroni; digits by scipy 1.17"),
            format!("t of each of {intervals} intervals that hold together with 95 %, 9 degrees"),
            (x, 6),
            t(intervals),
            t(intervals + 1),
        ));
    }
    all
}

fn sum(data: &[f64]) -> Welford {
    data.iter().copied().collect()
}

/// Bank with five tellers, mean delay of each of ten replications.
const BANK: [f64; 10] = [1.53, 1.66, 1.24, 2.34, 2.00, 1.69, 2.69, 2.86, 1.70, 2.60];

fn intervals() -> Vec<Reference> {
    let rows: [(&str, [f64; 10], f64, f64, f64); 4] = [
        ("delay in a bank", BANK, 2.031, 0.309_098_9, 0.322_283_4),
        (
            "queue in a bank",
            [1.52, 1.62, 1.23, 2.34, 1.89, 1.56, 2.50, 2.83, 1.74, 2.50],
            1.973,
            0.282_023_3,
            0.307_844_7,
        ),
        (
            "ten normal values",
            [1.20, 1.50, 1.68, 1.89, 0.95, 1.49, 1.58, 1.55, 0.50, 1.09],
            1.343,
            0.167_512_2,
            0.237_253_4,
        ),
        (
            "M/M/1 from empty",
            [
                1.051, 6.438, 2.646, 0.805, 1.505, 0.546, 2.281, 2.822, 0.414, 1.307,
            ],
            1.9815,
            3.171_977,
            1.032_415,
        ),
    ];
    let mut all = Vec::new();
    for (name, data, mean, variance, half) in rows {
        let (whole, short) = (sum(&data), sum(&data[..9]));
        let of = (INTERVALS, LAW);
        all.push(printed(
            of,
            format!("{name}: mean of ten replications"),
            (mean, 6),
            whole.mean(),
            short.mean(),
        ));
        all.push(relative(
            of,
            format!("{name}: variance"),
            (variance, 1e-6),
            whole.variance(),
            short.variance(),
        ));
        let width = |w: &Welford| mean_interval(w, 0.90).half_width();
        all.push(relative(
            of,
            format!("{name}: half-width at 90 %"),
            (half, 1e-6),
            width(&whole),
            width(&short),
        ));
    }
    let count = |n: Option<u64>| n.map_or(f64::NAN, |n| n as f64);
    let pilot = sum(&BANK);
    all.push(printed(
        (INTERVALS, LAW),
        "replications for an error of 0.25 min",
        (16.0, 0),
        count(replications_for_absolute(&pilot, 0.25, 0.90)),
        count(replications_for_absolute(&pilot, 0.23, 0.90)),
    ));
    all.push(printed(
        (INTERVALS, LAW),
        "replications for an error of 10 %",
        (27.0, 0),
        count(replications_for_relative(&pilot, 0.10, 0.90)),
        count(replications_for_relative(&pilot, 0.11, 0.90)),
    ));
    // Wilson: (p + z^2/2n -+ z sqrt(p(1-p)/n + z^2/4n^2)) / (1 + z^2/n), by hand for 81 of 263.
    let wilson = |n: u64| proportion_interval(81, n, 0.95);
    for (what, x, get) in [
        (
            "lower",
            0.255_3,
            (|i| i.low) as fn(crate::stats::Interval) -> f64,
        ),
        ("upper", 0.366_2, |i| i.high),
    ] {
        all.push(printed(
            (INTERVALS, "Newcombe 1998, method 3 (from memory)"),
            format!("share of 81 in 263: {what} end at 95 %"),
            (x, 4),
            get(wilson(263)),
            get(wilson(250)),
        ));
    }
    all
}

fn comparisons() -> Vec<Reference> {
    let first = [126.97, 124.31, 126.68, 122.66, 127.23];
    let second = [118.21, 120.22, 122.45, 122.68, 119.40];
    let mut other = second;
    other[0] += 1.0;
    let mut all = Vec::new();
    let pairs = (paired(&first, &second, 0.90), paired(&first, &other, 0.90));
    let alone = (
        welch(&sum(&first), &sum(&second), 0.90),
        welch(&sum(&first), &sum(&other), 0.90),
    );
    type Get = fn(&crate::stats::Comparison) -> f64;
    let half: Get = |c| c.interval.half_width();
    let rows: [(&str, bool, Get, f64); 8] = [
        ("paired: difference", true, |c| c.difference, 4.978),
        ("paired: half-width at 90 %", true, half, 3.328_873),
        ("paired: t", true, |c| c.t, 3.187_966),
        ("paired: p", true, |c| c.p_value, 0.033_280_82),
        ("Welch: degrees of freedom", false, |c| c.df, 7.992_386),
        ("Welch: half-width at 90 %", false, half, 2.317_214),
        ("Welch: t", false, |c| c.t, 3.995_303),
        ("Welch: p", false, |c| c.p_value, 0.003_983_463),
    ];
    for (what, is_paired, get, x) in rows {
        let (right, wrong) = if is_paired { &pairs } else { &alone };
        let value = |c: &Option<crate::stats::Comparison>| c.as_ref().map_or(f64::NAN, get);
        all.push(relative(
            (INTERVALS, LAW),
            format!("two inventory policies, {what}"),
            (x, 1e-6),
            value(right),
            value(wrong),
        ));
    }
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

fn warm_up() -> Vec<Reference> {
    const Y: [f64; 60] = [
        0., 1., 2., 3., 4., 4., 5., 6., 7., 8., 8., 10., 9., 11., 12., 9., 8., 10., 9., 9., 11.,
        10., 12., 10., 12., 9., 10., 9., 8., 9., 10., 11., 12., 11., 11., 9., 9., 10., 8., 9., 10.,
        12., 11., 11., 11., 8., 9., 10., 9., 9., 11., 10., 11., 12., 11., 10., 9., 10., 10., 11.,
    ];
    let by_hand = "White, Cobb and Spratt 2000; exact fractions by hand";
    let (five, four) = (mser5(&Y), mser(&Y, 4));
    let mut all = Vec::new();
    type Get = fn(&crate::stats::Truncation) -> f64;
    let rows: [(&str, Get, f64); 3] = [
        ("observations to leave out", |t| t.deleted as f64, 10.0),
        ("least statistic", |t| t.statistic, 0.08),
        ("mean of the rest", |t| t.mean, 10.0),
    ];
    for (what, get, x) in rows {
        let value = |t: &Option<crate::stats::Truncation>| t.as_ref().map_or(f64::NAN, get);
        all.push(printed(
            (WARM_UP, by_hand),
            format!("MSER-5 on sixty values, {what}"),
            (x, 9),
            value(&five),
            value(&four),
        ));
    }
    let series = [1.0, 3.0, 2.0, 5.0, 6.0, 5.0, 8.0, 7.0, 9.0, 8.0, 10.0, 9.0];
    for (at, x) in [(1_usize, 2.0), (2, 3.4), (6, 7.0), (9, 8.6)] {
        let value = |window| {
            let smooth = welch_average(&series, window);
            smooth.get(at).copied().unwrap_or(f64::NAN)
        };
        all.push(printed(
            (
                WARM_UP,
                "Law, Simulation Modeling and Analysis, 9.5.1; worked by hand",
            ),
            format!("Welch's moving average of twelve values, value {}", at + 1),
            (x, 9),
            value(2),
            value(0),
        ));
    }
    let rising: Vec<f64> = (0..10).map(f64::from).collect();
    let s = |x: &[f64]| mann_kendall(x).map_or(f64::NAN, |t| t.z);
    all.push(printed(
        (
            WARM_UP,
            "Mann 1945, Kendall 1975; closed form 44 / sqrt(125)",
        ),
        "trend of ten rising values, z",
        (44.0 / 125_f64.sqrt(), 9),
        s(&rising),
        s(&rising[1..]),
    ));
    all.push(printed(
        (
            WARM_UP,
            "Mann 1945, Kendall 1975; closed form with two ties",
        ),
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
            (WARM_UP, "least squares by hand"),
            format!("straight line through five points, {what}"),
            (x, 9),
            right.map_or(f64::NAN, get),
            wrong.map_or(f64::NAN, get),
        ));
    }
    all
}
