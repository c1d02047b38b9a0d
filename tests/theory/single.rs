//! One station: waits and their distribution, exact.

use crate::harness::{Check, Expect, head, is, line, story, tail};
use pouchcast::observe::Trace;
use pouchcast::units::minutes_from_ticks;

const EXP1: &str = "time: \"exponential, mean 1 min\", machines: { server: {} }";
const WAIT: &str = "time/all/queue:s1";

/// M/M/1 at 0.7: W ~ Exp(1 - 0.7); mean wait 0.7/0.3. Points -ln(1 - p)/0.3. Classical (Gross and Harris).
#[test]
fn m_m_1_at_70_percent() {
    Check {
        name: "M/M/1, 0.7",
        source: "closed form, time in system exponential",
        scenario: line(
            "exponential, mean 1.428571428571 min",
            &[EXP1],
            120_000.0,
            1_000.0,
        ),
        replications: 20,
        twin: ("mean 1 min", "mean 1.06 min"),
        expect: vec![
            is(WAIT, 2.333_333),
            is("lead_done/all/mean", 3.333_333),
            is("lead_done/all/p50", 2.310_491),
            is("lead_done/all/p90", 7.675_284),
            tail("lead_done/all/p95", 9.985_774),
            is("cell/wip", 2.333_333),
            Expect {
                narrow: 0.005,
                ..is("machine/server/running", 0.7)
            },
        ],
    }
    .run();
}

/// M/M/1 at 0.9.
#[test]
fn m_m_1_at_90_percent() {
    Check {
        name: "M/M/1, 0.9",
        source: "closed form, time in system exponential",
        scenario: line(
            "exponential, mean 1.111111111111 min",
            &[EXP1],
            600_000.0,
            4_000.0,
        ),
        replications: 20,
        twin: ("mean 1 min", "mean 1.05 min"),
        expect: vec![
            is(WAIT, 9.0),
            is("lead_done/all/p50", 6.931_472),
            is("lead_done/all/p90", 23.025_85),
            tail("lead_done/all/p95", 29.957_32),
        ],
    }
    .run();
}

/// M/M/c: mean wait from Erlang's C formula (recursion B_k = aB/(k + aB); C = cB/(c - a(1 - B))).
#[test]
fn m_m_c() {
    let rows: [(u32, &str, &str, f64, f64); 6] = [
        // servers, mean time between orders, twin, mean wait, measured minutes
        (3, "0.476190476190 min", "0.45 min", 0.547_049_4, 60_000.0),
        (3, "0.370370370370 min", "0.36 min", 2.723_537, 240_000.0),
        (2, "0.625 min", "0.6 min", 1.777_778, 100_000.0),
        (5, "0.25 min", "0.24 min", 0.554_112_6, 60_000.0),
        (8, "0.15625 min", "0.15 min", 0.286_028_1, 40_000.0),
        (20, "0.0625 min", "0.06 min", 0.064_019_45, 20_000.0),
    ];
    for (servers, every, twin, wait, span) in rows {
        let keys = format!(
            "time: \"exponential, mean 1 min\", machines: {{ server: {{ count: {servers} }} }}"
        );
        Check {
            name: &format!("M/M/{servers}"),
            source: "Erlang C",
            scenario: line(
                &format!("exponential, mean {every}"),
                &[&keys],
                span,
                1_000.0,
            ),
            replications: 20,
            twin: (every, twin),
            expect: vec![is(WAIT, wait), is("lead_done/all/mean", wait + 1.0).loose()],
        }
        .run();
    }
}

/// M/M/3 at 0.8: points of the time in system, from P(W > t) in closed form.
#[test]
fn m_m_3_points() {
    Check {
        name: "M/M/3 points",
        source: "closed form",
        scenario: line(
            "exponential, mean 0.416666666667 min",
            &["time: \"exponential, mean 1 min\", machines: { server: { count: 3 } }"],
            90_000.0,
            1_000.0,
        ),
        replications: 20,
        twin: ("mean 1 min", "mean 1.06 min"),
        expect: vec![
            is("lead_done/all/p50", 1.578_807),
            is("lead_done/all/p90", 4.532_353),
            tail("lead_done/all/p95", 5.729_218),
        ],
    }
    .run();
}

/// M/G/1: mean wait by Pollaczek and Khinchine, rate * E[S2] / (2 (1 - load)).
#[test]
fn m_g_1() {
    let rows: [(&str, &str, &str, f64); 7] = [
        // service, load (time between orders), twin, mean wait
        ("1 min", "1.25 min", "1.2 min", 2.0),
        ("erlang, stages 2, mean 1 min", "1.25 min", "1.2 min", 3.0),
        ("erlang, stages 4, mean 1 min", "1.25 min", "1.2 min", 2.5),
        ("lognormal, mean 1 min, cv 0.5", "1.25 min", "1.2 min", 2.5),
        (
            "lognormal, mean 1 min, cv 1",
            "1.428571428571 min",
            "1.35 min",
            2.333_333,
        ),
        (
            "uniform, from 0.5 min, to 1.5 min",
            "1.25 min",
            "1.2 min",
            2.166_667,
        ),
        ("1 min", "1.111111111111 min", "1.08 min", 4.5),
    ];
    for (service, every, twin, wait) in rows {
        let keys = format!("time: \"{service}\", machines: {{ server: {{}} }}");
        Check {
            name: &format!("M/G/1, {service} every {every}"),
            source: "Pollaczek-Khinchine",
            scenario: line(
                &format!("exponential, mean {every}"),
                &[&keys],
                160_000.0,
                2_000.0,
            ),
            replications: 20,
            twin: (
                &format!("exponential, mean {every}"),
                &format!("exponential, mean {twin}"),
            ),
            expect: vec![is(WAIT, wait)],
        }
        .run();
    }
}

/// GI/M/1: mean wait s/(1 - s), s the root of s = A*(1 - s).
#[test]
fn gi_m_1() {
    let rows: [(&str, &str, f64); 5] = [
        ("1.25 min", "1.2 min", 1.692_731),
        ("1.428571428571 min", "1.35 min", 0.876_160_0),
        (
            "erlang, stages 2, mean 1.25 min",
            "erlang, stages 2, mean 1.2 min",
            2.843_980,
        ),
        (
            "erlang, stages 4, mean 1.25 min",
            "erlang, stages 4, mean 1.2 min",
            2.267_384,
        ),
        (
            "uniform, from 0 min, to 2.5 min",
            "uniform, from 0 min, to 2.4 min",
            2.520_778,
        ),
    ];
    for (every, twin, wait) in rows {
        Check {
            name: &format!("GI/M/1, {every}"),
            source: "GI/M/1 root equation",
            scenario: line(every, &[EXP1], 130_000.0, 2_000.0),
            replications: 20,
            twin: (&format!("every: \"{every}"), &format!("every: \"{twin}")),
            expect: vec![is(WAIT, wait)],
        }
        .run();
    }
}

/// Mean wait in the queue of the first orders of a replication, minutes.
fn first_waits<const N: usize>(trace: &Trace) -> f64 {
    let waits: Vec<f64> = trace
        .orders
        .iter()
        .filter(|o| o.order < N as u32)
        .map(|o| minutes_from_ticks(o.split[0]))
        .collect();
    assert_eq!(waits.len(), N, "the first orders are all done");
    waits.iter().sum::<f64>() / N as f64
}

/// From an empty station: mean wait of the first n orders. 2.124489 and 4.134185 by the exact recursion of the
/// embedded chain; Law, Simulation Modeling and Analysis, prints 2.12 and 4.13 (from memory).
#[test]
fn first_orders_of_an_empty_m_m_1() {
    for (scenario, figure, exact) in [
        (
            short_run(80.0),
            first_waits::<25> as fn(&Trace) -> f64,
            2.124_489,
        ),
        (short_run(220.0), first_waits::<100>, 4.134_185),
    ] {
        Check {
            name: "transient M/M/1",
            source: "embedded chain; Law",
            scenario,
            replications: 12_000,
            twin: ("0.9 min", "0.95 min"),
            expect: vec![story(figure, exact)],
        }
        .run();
    }
}

/// Orders every exponential minute, service 0.9 min, from empty.
fn short_run(minutes: f64) -> String {
    let text = line(
        "exponential, mean 1 min",
        &["time: \"exponential, mean 0.9 min\", machines: { server: {} }"],
        minutes,
        60.0,
    );
    text.replacen(
        &format!("warm_up: {} min", minutes / 10.0),
        "warm_up: 0 min",
        1,
    )
}

/// One fast machine (0.9 min) against two slow ones (1.8 min each): the first 100 orders wait 3.70 min with two
/// (Law, Simulation Modeling and Analysis, from memory; three printed digits).
#[test]
fn first_orders_of_two_machines() {
    let text = short_run(220.0).replacen(
        "mean 0.9 min\", machines: { server: {}",
        "mean 1.8 min\", machines: { server: { count: 2 }",
        1,
    );
    Check {
        name: "transient M/M/2",
        source: "Law; two-server embedded chain",
        scenario: text,
        replications: 10_000,
        twin: ("1.8 min", "1.9 min"),
        expect: vec![story(first_waits::<100>, 3.70)],
    }
    .run();
}

/// Several SKUs an order: each is a lot of its own. The order is a customer whose service is the sum.
/// Every batch of 3: M/E3/1, W = 3 + 0.2 * 12 / (2 * 0.4) = 6. Geometric of mean 2: the sum is exponential,
/// M/M/1, W = 1 / (0.5 - 0.25) = 4. Lots waiting: L - load of the batch queue = 3 - 0.6 and 2 - 0.5.
#[test]
fn batches() {
    for (every, skus, twin, lead, lots) in [
        ("5 min", "3", "4.8 min", 6.0, 2.4),
        ("4 min", "geometric, mean 2", "3.8 min", 4.0, 1.5),
    ] {
        let text = line(
            &format!("exponential, mean {every}"),
            &[EXP1],
            250_000.0,
            2_000.0,
        )
        .replacen(
            "piece: 100 % }",
            &format!("piece: 100 % }}, skus: \"{skus}\""),
            1,
        );
        Check {
            name: &format!("batches of {skus}"),
            source: "Pollaczek-Khinchine on the batch; M[X]/M/1",
            scenario: text,
            replications: 40,
            twin: (every, twin),
            expect: vec![
                is("lead_done/all/mean", lead),
                // Looked at 240 times a replication only, so the tolerance of its width is wider.
                Expect {
                    narrow: 0.03,
                    power: false,
                    ..is("station/s1/queue", lots)
                },
            ],
        }
        .run();
    }
}

/// Two classes, the lower rank first, no interruption: Cobham (1954),
/// wait_k = R / ((1 - load above)(1 - load with it)), R = sum rate * E[S2] / 2.
#[test]
fn priorities_without_interruption() {
    /// Name, both classes (share and service), sum of the squares, expected waits.
    type Row = (
        &'static str,
        [(&'static str, &'static str); 2],
        &'static str,
        [f64; 2],
    );
    let rows: [Row; 3] = [
        (
            "A",
            [
                ("5 min", "exponential, mean 1 min"),
                ("1.666666666667 min", "exponential, mean 1 min"),
            ],
            "4.6 min",
            [1.0, 5.0],
        ),
        (
            "B",
            [
                ("2 min", "exponential, mean 0.5 min"),
                ("5 min", "exponential, mean 2 min"),
            ],
            "1.85 min",
            [1.233_333, 3.523_81],
        ),
        (
            "C",
            [("3.333333333333 min", "1 min"), ("2.5 min", "1 min")],
            "3.1 min",
            [0.5, 1.666_667],
        ),
    ];
    for (name, streams, twin, waits) in rows {
        let mut text = head(20_000.0, 200_000.0, 2_000.0);
        text += "products: { fast: {}, slow: {} }\nclasses: { low: { rank: 1 }, high: { rank: 0 } }\nstations:\n";
        text += &format!(
            "  s1: {{ work: bench, next: [class_first], times: {{ fast: \"{}\", slow: \"{}\" }}, machines: {{ server: {{}} }} }}\norders:\n",
            streams[0].1, streams[1].1
        );
        for (n, (class, product)) in [("high", "fast"), ("low", "slow")].into_iter().enumerate() {
            text += &format!(
                "  - {{ name: o{n}, every: \"exponential, mean {}\", classes: {{ {class}: 100 % }}, products: {{ {product}: 100 % }} }}\n",
                streams[n].0
            );
        }
        Check {
            name: &format!("priorities {name}"),
            source: "Cobham 1954",
            scenario: text,
            replications: 40,
            twin: (streams[0].0, twin),
            expect: vec![
                is("time/class:high/queue:s1", waits[0]),
                is("time/class:low/queue:s1", waits[1]),
            ],
        }
        .run();
    }
}

/// The same on two machines: wait_k = C / (c mu) / ((1 - load above)(1 - load with it)), equal exponential times.
#[test]
fn priorities_on_two_machines() {
    let mut text = head(10_000.0, 100_000.0, 2_000.0);
    text +=
        "products: { piece: {} }\nclasses: { low: { rank: 1 }, high: { rank: 0 } }\nstations:\n";
    text += "  s1: { work: bench, next: [class_first], time: \"exponential, mean 1 min\", machines: { server: { count: 2 } } }\n";
    text += "orders: [{ name: all, every: \"exponential, mean 0.625 min\", products: { piece: 100 % }, classes: { high: 37.5 %, low: 62.5 % } }]\n";
    Check {
        name: "priorities on two machines",
        source: "Cobham 1954, M/M/c",
        scenario: text,
        replications: 40,
        twin: ("0.625 min", "0.6 min"),
        expect: vec![
            is("time/class:high/queue:s1", 0.507_936_5),
            is("time/class:low/queue:s1", 2.539_683),
        ],
    }
    .run();
}

/// Shortest work first: Phipps' integral, evaluated by quadrature. Times are the quantity times a constant, so
/// that the rule knows them: U(0, 2) as 1 to 2000 pieces of 0.001 min, exponential as pieces of 0.0001 min.
#[test]
fn shortest_work_first() {
    for (quantity, each, wait) in [
        ("from 1 to 2000", "0.001 min", 1.115_213),
        ("exponential, mean 10000", "0.0001 min", 1.312_197),
    ] {
        let keys = format!(
            "time: {each}, per: pouch, next: [shortest_work], machines: {{ server: {{}} }}"
        );
        let text = line(
            "exponential, mean 1.428571428571 min",
            &[&keys],
            100_000.0,
            2_000.0,
        )
        .replacen(
            "piece: 100 % }",
            &format!("piece: 100 % }}, quantity: \"{quantity}\""),
            1,
        );
        Check {
            name: &format!("shortest work, {quantity}"),
            source: "Phipps 1956",
            scenario: text,
            replications: 30,
            twin: ("1.428571428571 min", "1.35 min"),
            expect: vec![is(WAIT, wait)],
        }
        .run();
    }
}

impl Expect {
    /// The figure moves too little for its twin to miss it.
    fn loose(self) -> Self {
        Expect {
            power: false,
            ..self
        }
    }
}
