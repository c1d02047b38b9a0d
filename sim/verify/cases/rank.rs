//! Who goes first: classes with and without interruption, shortest work first.

use crate::verify::check::{Check, Claim};
use crate::verify::floor::{head, line, span, wait};

const GROUP: &str = "Who goes first";

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let mut all = two_classes();
    all.push(two_classes_two_machines());
    all.extend(shortest_work_first());
    all
}

/// Two streams of two classes on one machine; rate and time of each, the class `high` first.
fn floor(keys: &str, streams: [(f64, &str); 2], measured_min: f64) -> String {
    let mut text = head(measured_min / 10.0, measured_min, 2_000.0);
    text += "products: { fast: {}, slow: {} }\nclasses: { low: { rank: 1 }, high: { rank: 0 } }\nstations:\n";
    text += &format!(
        "  s1: {{ work: bench, next: [class_first], {keys}times: {{ fast: \"{}\", slow: \"{}\" }}, machines: {{ server: {{}} }} }}\norders:\n",
        streams[0].1, streams[1].1
    );
    for (n, (class, product)) in [("high", "fast"), ("low", "slow")].into_iter().enumerate() {
        text += &format!(
            "  - {{ name: o{n}, every: \"exponential, mean {:.12} min\", classes: {{ {class}: 100 % }}, products: {{ {product}: 100 % }} }}\n",
            1.0 / streams[n].0
        );
    }
    text
}

fn class_wait(class: &str, expected: f64) -> Claim {
    Claim::key(
        format!("mean wait of class {class}, min"),
        format!("time/class:{class}/queue:s1"),
        expected,
    )
}

fn class_lead(class: &str, expected: f64) -> Claim {
    Claim::key(
        format!("mean time in the system of class {class}, min"),
        format!("lead_done/class:{class}/mean"),
        expected,
    )
}

/// Without interruption (Cobham 1954): wait_k = R / ((1 - load above)(1 - load with it)), R = sum of
/// rate * E[S^2] / 2. With interruption, the rest of the work afterwards: W_k = E[S_k] / (1 - load above)
/// + sum of rate * E[S^2] / 2 up to k / ((1 - load above)(1 - load with it)).
fn two_classes() -> Vec<Check> {
    // Name, rate and time of high and low, waits without interruption, times in system with it.
    type Row = (&'static str, [(f64, &'static str); 2], [f64; 2], [f64; 2]);
    let rows: [Row; 3] = [
        (
            "equal exponential work",
            [
                (0.2, "exponential, mean 1 min"),
                (0.6, "exponential, mean 1 min"),
            ],
            [1.0, 5.0],
            [1.25, 6.25],
        ),
        (
            "short work first",
            [
                (0.5, "exponential, mean 0.5 min"),
                (0.2, "exponential, mean 2 min"),
            ],
            [1.233_333, 3.523_81],
            [0.666_666_7, 6.190_476],
        ),
        (
            "equal constant work",
            [(0.3, "1 min"), (0.4, "1 min")],
            [0.5, 1.666_667],
            [1.214_286, 3.095_238],
        ),
    ];
    rows.into_iter()
        .flat_map(|(name, streams, waits, leads)| {
            let every = 1.0 / (streams[0].0 + streams[1].0);
            let measured = span(800e3, every);
            let twin = |scale: f64| {
                (
                    format!("mean {:.12} min", 1.0 / streams[0].0),
                    format!("mean {:.12} min", scale / streams[0].0),
                )
            };
            [
                Check {
                    group: GROUP,
                    name: format!("two classes, no interruption, {name}"),
                    source: "Cobham 1954",
                    formula: "wait = R / ((1 - load above)(1 - load with it)), R = sum of rate x E[S2] / 2",
                    scenario: floor("", streams, measured),
                    replications: 36,
                    twin: twin(0.9),
                    claims: vec![class_wait("high", waits[0]), class_wait("low", waits[1])],
                    quick: name == "short work first",
                },
                Check {
                    group: GROUP,
                    name: format!("two classes, interruption at once, {name}"),
                    source: "White and Christie 1958; Jaiswal, Priority Queues",
                    formula: "preempt-resume: E[S] / (1 - load above) + R up to it / ((1 - load above)(1 - load with it))",
                    scenario: floor("interrupt: at_once, ", streams, measured),
                    replications: 20,
                    twin: twin(0.9),
                    claims: vec![
                        // Only its own work and stream matter to the class that goes first.
                        class_lead("high", leads[0]).besides(),
                        class_lead("low", leads[1]),
                    ],
                    quick: false,
                },
            ]
        })
        .collect()
}

/// Two machines, equal exponential work: wait_k = C / (c mu) / ((1 - load above)(1 - load with it)).
fn two_classes_two_machines() -> Check {
    let measured = span(900e3, 0.625);
    let mut text = head(measured / 10.0, measured, 2_000.0);
    text +=
        "products: { piece: {} }\nclasses: { low: { rank: 1 }, high: { rank: 0 } }\nstations:\n";
    text += "  s1: { work: bench, next: [class_first], time: \"exponential, mean 1 min\", machines: { server: { count: 2 } } }\n";
    text += "orders: [{ name: all, every: \"exponential, mean 0.625 min\", products: { piece: 100 % }, classes: { high: 37.5 %, low: 62.5 % } }]\n";
    Check {
        group: GROUP,
        name: "two classes on two machines".into(),
        source: "Cobham 1954; Erlang C",
        formula: "wait = C / (c mu) / ((1 - load above)(1 - load with it))",
        scenario: text,
        replications: 20,
        twin: ("0.625 min".into(), "0.59 min".into()),
        claims: vec![
            class_wait("high", 0.507_936_5),
            class_wait("low", 2.539_683).within(0.02),
        ],
        quick: false,
    }
}

/// Phipps' integral by quadrature. Times are the quantity times a constant, so that the rule knows them:
/// U(0, 2) as 1 to 2000 pieces of 0.001 min, exponential as pieces of 0.0001 min.
fn shortest_work_first() -> Vec<Check> {
    [
        ("from 1 to 2000", "0.001 min", 0.5, 0.541_075_1, 400e3),
        ("from 1 to 2000", "0.001 min", 0.7, 1.115_213, 500e3),
        (
            "exponential, mean 10000",
            "0.0001 min",
            0.5,
            0.712_686_3,
            500e3,
        ),
        (
            "exponential, mean 10000",
            "0.0001 min",
            0.7,
            1.312_197,
            700e3,
        ),
    ]
    .into_iter()
    .map(|(quantity, each, load, expected, orders)| {
        let every = 1.0 / load;
        let keys = format!(
            "time: {each}, per: pouch, next: [shortest_work], machines: {{ server: {{}} }}"
        );
        let text = line(
            &format!("exponential, mean {every:.12} min"),
            &[&keys],
            span(orders, every),
            2_000.0,
        )
        .replacen(
            "piece: 100 % }",
            &format!("piece: 100 % }}, quantity: \"{quantity}\""),
            1,
        );
        Check {
            group: GROUP,
            name: format!("shortest work first at {:.0} %, {quantity}", load * 100.0),
            source: "Phipps 1956",
            formula: "integral of (rate E[S2] / 2) / (1 - rate E[S; S < x])^2 over the work x",
            scenario: text,
            replications: 20,
            twin: (
                format!("mean {every:.12} min"),
                format!("mean {:.12} min", every * 0.93),
            ),
            claims: vec![wait(expected).within(0.02)],
            quick: false,
        }
    })
    .collect()
}
