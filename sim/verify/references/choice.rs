//! Which of many is best, and what an investment is worth.
//!
//! In: nothing. Out: [`Reference`]s. The wrong number is one design more, or a rate or a payment a little off.

use crate::finance;
use crate::stats::selection::{race::eta, rinott::rinott_h};
use crate::verify::reference::Reference;

use super::printed;

const SELECTION: &str = "Choosing among several";
const MONEY: &str = "Money over years";
const RINOTT: &str = "Rinott 1978; integral by 200-point quadrature, independent";
const RACE: &str = "Kim and Nelson 2001, formula evaluated independently";
const FLOWS: &str = "textbook closed forms; digits by an independent program";

/// All values of this file.
pub fn references() -> Vec<Reference> {
    let mut all = Vec::new();
    // Probability of a right choice, replications of the first stage, designs, constant.
    for (p, first, designs, h) in [
        (0.90, 20, 5, 2.9164),
        (0.95, 10, 2, 2.6141),
        (0.95, 20, 5, 3.3854),
        (0.95, 30, 10, 3.7660),
        (0.99, 10, 10, 5.5136),
    ] {
        let of = |designs| rinott_h(designs, first, p).unwrap_or(f64::NAN);
        all.push(printed(
            (SELECTION, RINOTT),
            format!("Rinott's h, {designs} designs, {first} replications first, {p}"),
            (h, 4),
            of(designs),
            of(designs + 1),
        ));
    }
    for (designs, first, x) in [
        (2, 10, 0.334_050_3),
        (5, 10, 0.634_967_3),
        (10, 10, 0.859_083_4),
        (2, 20, 0.137_137_5),
        (10, 20, 0.302_933_8),
    ] {
        all.push(printed(
            (SELECTION, RACE),
            format!("eta of the race, {designs} designs, {first} replications first, 95 %"),
            (x, 7),
            eta(0.05, designs, first),
            eta(0.05, designs + 1, first),
        ));
    }
    type Factor = fn(f64, f64) -> f64;
    let rows: [(&str, Factor, f64, f64, f64); 6] = [
        (
            "compound amount F/P",
            finance::compound_amount,
            0.10,
            5.0,
            1.610_510,
        ),
        (
            "present worth P/F",
            finance::present_worth,
            0.08,
            10.0,
            0.463_193,
        ),
        (
            "capital recovery A/P",
            finance::capital_recovery,
            0.10,
            5.0,
            0.263_797,
        ),
        (
            "present worth of a series P/A",
            finance::series_present_worth,
            0.10,
            5.0,
            3.790_787,
        ),
        (
            "sinking fund A/F",
            finance::sinking_fund,
            0.12,
            7.0,
            0.099_118,
        ),
        (
            "compound amount of a series F/A",
            finance::series_compound_amount,
            0.15,
            3.0,
            3.472_500,
        ),
    ];
    for (what, of, rate, years, x) in rows {
        all.push(printed(
            (MONEY, "tables of engineering economics; closed forms"),
            format!("{what}, {} %, {years} years", rate * 100.0),
            (x, 6),
            of(rate, years),
            of(rate + 0.005, years),
        ));
    }
    let flows = [-10_000.0, 3_000.0, 4_200.0, 6_800.0];
    let other = [-10_000.0, 3_000.0, 4_200.0, 7_200.0];
    // What, its value, digits, the formula.
    type Row = (&'static str, f64, i32, fn(&[f64]) -> f64);
    let rows: [Row; 4] = [
        ("present value at 10 %", 1_307.287_754, 6, |f| {
            finance::net_present_value(0.10, f)
        }),
        ("internal rate", 0.163_406, 6, |f| {
            finance::internal_rate(f).unwrap_or(f64::NAN)
        }),
        ("simple payback, years", 2.411_765, 6, |f| {
            finance::simple_payback(f).unwrap_or(f64::NAN)
        }),
        ("discounted payback at 10 %, years", 2.744_118, 6, |f| {
            finance::discounted_payback(0.10, f).unwrap_or(f64::NAN)
        }),
    ];
    for (what, x, digits, of) in rows {
        all.push(printed(
            (MONEY, FLOWS),
            format!("-10 000, 3 000, 4 200, 6 800: {what}"),
            (x, digits),
            of(&flows),
            of(&other),
        ));
    }
    all
}
