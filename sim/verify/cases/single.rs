//! One station without interruptions: waits, numbers and points of the time in the system, exact.

use crate::verify::check::{Check, Claim};
use crate::verify::floor::{ONE, exponential, inside, lead, line, point, running, span, wait};

const GROUP: &str = "One station";

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let mut all = m_m_1();
    all.extend(m_m_c());
    all.extend(m_g_1());
    all.extend(gi_m_1());
    all.extend(batches());
    all
}

/// A check of one bench: `every` and `keys` as in a file, `twin` the time between orders that must fail.
fn bench(
    name: String,
    (source, formula): (&'static str, &'static str),
    keys: &str,
    (every, twin): (String, String),
    measured_min: f64,
    claims: Vec<Claim>,
) -> Check {
    Check {
        group: GROUP,
        name,
        source,
        formula,
        scenario: line(&every, &[keys], measured_min, 2_000.0),
        replications: 20,
        twin: (format!("every: \"{every}\""), format!("every: \"{twin}\"")),
        claims,
        quick: false,
    }
}

/// Time in the system ~ Exp(1 - load); lengths from the variance of a mean of waits,
/// load (2 + 5 load - 4 load^2 + load^3) / (1 - load)^4 by order (Daley; Blomqvist).
fn m_m_1() -> Vec<Check> {
    // load, orders in all, points 50 80 90 95 99 %.
    let rows: [(f64, f64, [f64; 5]); 3] = [
        (
            0.5,
            1_000e3,
            [1.386_294, 3.218_876, 4.605_170, 5.991_465, 9.210_340],
        ),
        (
            0.7,
            600e3,
            [2.310_491, 5.364_793, 7.675_284, 9.985_774, 15.350_57],
        ),
        (
            0.8,
            1200e3,
            [3.465_736, 8.047_190, 11.512_93, 14.978_66, 23.025_85],
        ),
    ];
    let mut all: Vec<Check> = rows
        .into_iter()
        .map(|(load, orders, points)| {
            let stay = 1.0 / (1.0 - load);
            let mut claims = vec![
                wait(stay - 1.0),
                lead(stay),
                inside(load / (1.0 - load)),
                running("server", load),
            ];
            for (p, expected) in ["p50", "p80", "p90", "p95", "p99"].into_iter().zip(points) {
                claims.push(point(p, expected));
            }
            let every = 1.0 / load;
            let check = bench(
                format!("M/M/1 at {:.0} %", load * 100.0),
                (
                    "Gross and Harris, Fundamentals of Queueing Theory",
                    "time in system exponential, rate 1 - load; points -ln(1 - p) / (1 - load)",
                ),
                ONE,
                (exponential(every), exponential(every * 0.94)),
                span(orders, every),
                claims,
            );
            if load == 0.7 { check.quick() } else { check }
        })
        .collect();
    let every = 1.0 / 0.9;
    all.push(bench(
        "M/M/1 at 90 %".into(),
        (
            "Gross and Harris, Fundamentals of Queueing Theory",
            "time in system exponential, rate 1 - load; points -ln(1 - p) / (1 - load)",
        ),
        ONE,
        (exponential(every), exponential(every * 0.95)),
        span(2_400e3, every),
        vec![
            wait(9.0).within(0.02),
            lead(10.0).within(0.02),
            point("p50", 6.931_472).within(0.02),
            point("p90", 23.025_85).within(0.02),
            point("p95", 29.957_32),
        ],
    ));
    all
}

/// Erlang's C by the recursion B_k = aB / (k + aB), C = cB / (c - a(1 - B)); wait C / (c - a).
fn m_m_c() -> Vec<Check> {
    // servers, load, orders in all, mean wait, points 50 90 95 % of the time in the system.
    type Row = (u32, f64, f64, f64, Option<[f64; 3]>);
    let rows: [Row; 10] = [
        (2, 0.5, 400e3, 0.333_333_3, None),
        (
            2,
            0.8,
            900e3,
            1.777_778,
            Some([2.040_031, 6.171_562, 7.910_684]),
        ),
        (3, 0.7, 600e3, 0.547_049_4, None),
        (
            3,
            0.8,
            900e3,
            1.078_652,
            Some([1.578_807, 4.532_353, 5.729_218]),
        ),
        (3, 0.9, 2_400e3, 2.723_537, None),
        (4, 0.8, 900e3, 0.745_540_6, None),
        (
            5,
            0.8,
            900e3,
            0.554_112_6,
            Some([1.204_395, 3.352_610, 4.197_463]),
        ),
        (8, 0.7, 1_000e3, 0.112_751_2, None),
        (10, 0.8, 1_200e3, 0.204_590_1, None),
        (20, 0.8, 3_200e3, 0.064_019_45, None),
    ];
    rows.into_iter()
        .map(|(servers, load, orders, expected, points)| {
            let every = 1.0 / (load * f64::from(servers));
            let keys = format!(
                "time: \"exponential, mean 1 min\", machines: {{ server: {{ count: {servers} }} }}"
            );
            // Of many servers the time in the system is mostly service, which the twin leaves alone.
            let mut claims = vec![
                wait(expected).within(0.02),
                lead(expected + 1.0).besides(),
                inside((expected + 1.0) / every),
            ];
            if let Some(points) = points {
                for (p, x) in ["p50", "p90", "p95"].into_iter().zip(points) {
                    claims.push(point(p, x));
                }
            }
            let check = bench(
                format!("M/M/{servers} at {:.0} %", load * 100.0),
                (
                    "Erlang 1917; Gross and Harris, Fundamentals of Queueing Theory",
                    "Erlang C; points from P(W > t) in closed form",
                ),
                &keys,
                (exponential(every), exponential(every * 0.92)),
                span(orders, every),
                claims,
            );
            if servers == 3 && load == 0.8 {
                check.quick()
            } else {
                check
            }
        })
        .collect()
}

/// Pollaczek and Khinchine: wait = rate * E[S^2] / (2 (1 - load)).
fn m_g_1() -> Vec<Check> {
    // service, load, orders in all, E[S^2].
    let rows: [(&str, f64, f64, f64); 12] = [
        ("1 min", 0.5, 250e3, 1.0),
        ("erlang, stages 4, mean 1 min", 0.5, 300e3, 1.25),
        ("lognormal, mean 1 min, cv 1", 0.5, 500e3, 2.0),
        ("uniform, from 0.5 min, to 1.5 min", 0.5, 250e3, 13.0 / 12.0),
        ("1 min", 0.7, 350e3, 1.0),
        ("erlang, stages 2, mean 1 min", 0.7, 450e3, 1.5),
        ("lognormal, mean 1 min, cv 0.25", 0.7, 400e3, 1.0625),
        ("lognormal, mean 1 min, cv 0.5", 0.7, 450e3, 1.25),
        ("lognormal, mean 1 min, cv 1.5", 0.7, 1200e3, 3.25),
        ("1 min", 0.8, 700e3, 1.0),
        ("erlang, stages 4, mean 1 min", 0.8, 800e3, 1.25),
        ("uniform, from 0.5 min, to 1.5 min", 0.8, 700e3, 13.0 / 12.0),
    ];
    rows.into_iter()
        .map(|(service, load, orders, square)| {
            let every = 1.0 / load;
            let expected = load * square / (2.0 * (1.0 - load));
            let check = bench(
                format!("M/G/1 at {:.0} %, service {service}", load * 100.0),
                (
                    "Pollaczek 1930, Khinchine 1932",
                    "wait = rate x E[S2] / (2 (1 - load))",
                ),
                &format!("time: \"{service}\", machines: {{ server: {{}} }}"),
                (exponential(every), exponential(every * 0.93)),
                span(orders, every),
                vec![
                    wait(expected).within(0.02),
                    lead(expected + 1.0),
                    inside(load * (expected + 1.0)),
                ],
            );
            if service == "1 min" && load == 0.7 {
                check.quick()
            } else {
                check
            }
        })
        .collect()
}

/// Wait s / (1 - s), s the root of s = A*(1 - s), A* the transform of the time between orders.
fn gi_m_1() -> Vec<Check> {
    // law of the time between orders for a mean, load, orders in all, mean wait.
    type Law = fn(f64) -> String;
    let constant: Law = |mean| format!("{mean:.12} min");
    let erlang2: Law = |mean| format!("erlang, stages 2, mean {mean:.12} min");
    let erlang4: Law = |mean| format!("erlang, stages 4, mean {mean:.12} min");
    let uniform: Law = |mean| format!("uniform, from 0 min, to {:.12} min", 2.0 * mean);
    let rows: [(&str, Law, f64, f64, f64); 8] = [
        ("D", constant, 0.5, 400e3, 0.255_001_0),
        ("D", constant, 0.7, 400e3, 0.876_160_0),
        ("D", constant, 0.8, 700e3, 1.692_731),
        ("E2", erlang2, 0.5, 400e3, 0.618_034_0),
        ("E2", erlang2, 0.7, 500e3, 1.600_623),
        ("E4", erlang4, 0.7, 500e3, 1.236_694),
        ("U", uniform, 0.5, 400e3, 0.564_376_6),
        ("U", uniform, 0.7, 500e3, 1.422_252),
    ];
    rows.into_iter()
        .map(|(letter, law, load, orders, expected)| {
            let every = 1.0 / load;
            bench(
                format!("{letter}/M/1 at {:.0} %", load * 100.0),
                (
                    "Kendall 1953; Gross and Harris, Fundamentals of Queueing Theory",
                    "wait = s / (1 - s), s the root of s = A*(1 - s)",
                ),
                ONE,
                (law(every), law(every * 0.94)),
                span(orders, every),
                vec![
                    wait(expected).within(0.02),
                    lead(expected + 1.0),
                    inside(load * (expected + 1.0)),
                ],
            )
        })
        .collect()
}

/// Several SKUs an order: each is a lot of its own, the order is a customer whose service is their sum. Every
/// batch of 3: M/E3/1, W = 3 + 0.2 * 12 / (2 * 0.4) = 6. Geometric of mean 2: the sum is exponential, M/M/1,
/// W = 1 / (0.5 - 0.25) = 4. Batches of 5 at 0.1: W = 5 + 0.1 * 30 / (2 * 0.5) = 8.
fn batches() -> Vec<Check> {
    [
        ("3", 5.0, 6.0, 250e3),
        ("geometric, mean 2", 4.0, 4.0, 250e3),
        ("5", 10.0, 8.0, 120e3),
    ]
    .into_iter()
    .map(|(skus, every, expected, orders)| {
        let mut check = bench(
            format!("batches, SKUs in an order: {skus}"),
            (
                "Pollaczek 1930 on the batch; Gross and Harris, bulk arrivals",
                "the batch as one customer; number = rate x time",
            ),
            ONE,
            (exponential(every), exponential(every * 0.94)),
            span(orders, every),
            vec![lead(expected), inside(expected / every)],
        );
        check.scenario = check.scenario.replacen(
            "piece: 100 % }",
            &format!("piece: 100 % }}, skus: \"{skus}\""),
            1,
        );
        check
    })
    .collect()
}
