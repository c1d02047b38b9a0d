//! Tables and worked examples of statistics.
//!
//! In: nothing. Out: [`Reference`]s. The wrong number is a degree of freedom, an observation or a replication
//! too many or too few, or a sample a little off.

use crate::stats::{
    Welford, bonferroni, chi2_quantile, mean_interval, normal_quantile, paired,
    proportion_interval, replications_for_absolute, replications_for_relative, t_quantile, welch,
};
use crate::verify::reference::Reference;

use super::{printed, relative};

const TABLES: &str = "Quantile tables";
const INTERVALS: &str = "Intervals and comparisons";

const HANDBOOK: &str = "NIST/SEMATECH e-Handbook of Statistical Methods; digits by scipy 1.17";
const LAW: &str = "Law, Simulation Modeling and Analysis (from memory)";

/// All values of this file.
pub fn references() -> Vec<Reference> {
    let mut all = tables();
    all.extend(intervals());
    all.extend(comparisons());
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
