//! The first orders of an empty station: no steady state, no warm-up, an exact recursion.

use crate::observe::Trace;
use crate::units::minutes_from_ticks;
use crate::verify::check::{Check, Claim};
use crate::verify::floor::line;

const GROUP: &str = "From an empty cell";

/// Mean wait of the first `N` orders of a replication, minutes; no number unless all of them are done.
fn first_waits<const N: usize>(trace: &Trace) -> f64 {
    let waits: Vec<f64> = trace
        .orders
        .iter()
        .filter(|o| (o.order as usize) < N)
        .filter_map(|o| o.split.first())
        .map(|&ticks| minutes_from_ticks(ticks))
        .collect();
    if waits.len() < N {
        return f64::NAN;
    }
    waits.iter().sum::<f64>() / N as f64
}

fn first<const N: usize>(expected: f64) -> Claim {
    Claim::story(
        format!("mean wait of the first {N} orders, min"),
        first_waits::<N>,
        expected,
    )
}

/// Orders every exponential minute from an empty station.
fn floor(bench: &str, minutes: f64) -> String {
    line("exponential, mean 1 min", &[bench], minutes, 60.0).replacen(
        &format!("warm_up: {} min", minutes / 10.0),
        "warm_up: 0 min",
        1,
    )
}

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let check = |name: &str, bench: &str, twin: (&str, &str), count, claims| Check {
        group: GROUP,
        name: name.into(),
        source: "Law, Simulation Modeling and Analysis (2.12, 4.13, 3.70; from memory)",
        formula: "recursion of the embedded chain, exact; the book prints three digits",
        scenario: floor(bench, 220.0),
        replications: count,
        twin: (twin.0.into(), twin.1.into()),
        claims,
        quick: false,
    };
    vec![
        check(
            "first orders of one machine at 90 %",
            "time: \"exponential, mean 0.9 min\", machines: { server: {} }",
            ("0.9 min", "0.99 min"),
            9_000,
            vec![
                first::<5>(0.668_250_2),
                first::<10>(1.180_087),
                first::<25>(2.124_489),
                first::<100>(4.134_185),
            ],
        ),
        check(
            "first orders of one machine at 50 %",
            "time: \"exponential, mean 0.5 min\", machines: { server: {} }",
            ("0.5 min", "0.55 min"),
            4_000,
            vec![
                first::<10>(0.323_475_2).within(0.02),
                first::<25>(0.420_813_1),
                first::<100>(0.48),
            ],
        )
        .quick(),
        check(
            "first orders of two slow machines",
            "time: \"exponential, mean 1.8 min\", machines: { server: { count: 2 } }",
            ("1.8 min", "1.9 min"),
            5_000,
            // Three printed digits: the interval is wider than their rounding.
            vec![first::<100>(3.70)],
        ),
    ]
}
