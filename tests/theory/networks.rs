//! Several stations in a row or with work that comes back: exact means and lead time points.

use crate::harness::{Check, head, is, line, tail};

const ONE: &str = "time: \"exponential, mean 1 min\", machines: { m1: {} }";
const TWO: &str = "time: \"exponential, mean 1 min\", machines: { m2: {} }";

/// M/M/1 stations in a row: times in the stations are independent exponentials (Burke; Reich), the sum is Erlang.
#[test]
fn two_stations_in_a_row() {
    Check {
        name: "two M/M/1 at 0.8",
        source: "Burke 1956, Reich 1957; Erlang points",
        scenario: line(
            "exponential, mean 1.25 min",
            &[ONE, TWO],
            300_000.0,
            3_000.0,
        ),
        replications: 20,
        twin: ("1.25 min", "1.2 min"),
        expect: vec![
            is("lead_done/all/mean", 10.0),
            is("lead_done/all/p50", 8.391_735),
            is("lead_done/all/p80", 14.971_54),
            is("lead_done/all/p90", 19.448_60),
            tail("lead_done/all/p95", 23.719_32),
            tail("lead_done/all/p99", 33.191_76),
        ],
    }
    .run();
}

#[test]
fn three_stations_in_a_row() {
    Check {
        name: "three M/M/1 at 0.8",
        source: "Burke 1956, Reich 1957; Erlang points",
        scenario: line(
            "exponential, mean 1.25 min",
            &[
                ONE,
                TWO,
                "time: \"exponential, mean 1 min\", machines: { m3: {} }",
            ],
            300_000.0,
            3_000.0,
        ),
        replications: 20,
        twin: ("1.25 min", "1.2 min"),
        expect: vec![
            is("lead_done/all/mean", 15.0),
            is("lead_done/all/p50", 13.370_30),
            is("lead_done/all/p90", 26.611_60),
            tail("lead_done/all/p95", 31.478_97),
        ],
    }
    .run();
}

/// 1 min, then 0.8 min: hypoexponential points.
#[test]
fn two_unlike_stations_in_a_row() {
    Check {
        name: "M/M/1 at 0.8 then at 0.64",
        source: "Burke 1956, Reich 1957; hypoexponential points",
        scenario: line(
            "exponential, mean 1.25 min",
            &[
                ONE,
                "time: \"exponential, mean 0.8 min\", machines: { m2: {} }",
            ],
            300_000.0,
            3_000.0,
        ),
        replications: 20,
        twin: ("1.25 min", "1.2 min"),
        expect: vec![
            is("lead_done/all/mean", 7.222_222),
            is("lead_done/all/p50", 5.863_310),
            is("lead_done/all/p90", 14.390_62),
            tail("lead_done/all/p95", 17.892_17),
        ],
    }
    .run();
}

/// A delay that holds nobody up: as many machines as are ever needed. M/M/1 then exponential 24 min.
#[test]
fn a_station_then_a_delay() {
    Check {
        name: "M/M/1, then a delay",
        source: "Burke 1956; hypoexponential points",
        scenario: line(
            "exponential, mean 1.25 min",
            &[
                ONE,
                "time: \"exponential, mean 24 min\", machines: { m2: { count: 46 } }",
            ],
            160_000.0,
            3_000.0,
        ),
        replications: 20,
        twin: ("mean 24 min", "mean 26 min"),
        expect: vec![
            is("lead_done/all/mean", 29.0),
            is("lead_done/all/p50", 22.090_47),
            is("lead_done/all/p90", 60.868_47),
            tail("lead_done/all/p95", 77.504_31),
        ],
    }
    .run();
}

/// A network of single steps by chance, written as products: each way through the network that is likelier than
/// 1e-6 is a product with its route and its chance. Choosing the way at the start or step by step is the same.
fn network(enter: &[f64], next: &[Vec<f64>], benches: &[String], span: f64) -> String {
    let mut ways: Vec<(Vec<usize>, f64)> = Vec::new();
    let rate: f64 = enter.iter().sum();
    let mut open: Vec<(Vec<usize>, f64)> = (0..enter.len())
        .filter(|&i| enter[i] > 0.0)
        .map(|i| (vec![i], enter[i] / rate))
        .collect();
    while let Some((way, chance)) = open.pop() {
        let Some(&at) = way.last() else { continue };
        let leaves = 1.0 - next[at].iter().sum::<f64>();
        if leaves > 1e-12 {
            ways.push((way.clone(), chance * leaves));
        }
        for (to, &p) in next[at].iter().enumerate() {
            if p > 0.0 && chance * p > 1e-6 {
                let mut longer = way.clone();
                longer.push(to);
                open.push((longer, chance * p));
            }
        }
    }
    let total: f64 = ways.iter().map(|w| w.1).sum();
    assert!(total > 0.999, "{} ways: {total}", ways.len());
    let mut text = head(span / 10.0, span, 500.0) + "products:\n";
    let mut shares = Vec::new();
    for (n, (way, chance)) in ways.iter().enumerate() {
        let route: Vec<String> = way.iter().map(|s| format!("s{}", s + 1)).collect();
        text += &format!("  w{n}: {{ route: [{}] }}\n", route.join(", "));
        shares.push(format!("w{n}: {:.7} %", chance / total * 100.0));
    }
    text += "stations:\n";
    for (n, bench) in benches.iter().enumerate() {
        text += &format!("  s{}: {{ work: bench, {bench} }}\n", n + 1);
    }
    text + &format!(
        "orders: [{{ name: all, every: \"exponential, mean {:.12} min\", products: {{ {} }} }}]\n",
        1.0 / rate,
        shares.join(", ")
    )
}

/// One an hour to two machines of 1.2 h, then one of 0.6 h, of whose work a tenth goes through both again:
/// loads 1.1111 each, L = 2.4 and 2, W = 4.4 (Jackson 1957). Hours written as minutes.
#[test]
fn work_that_comes_back() {
    let benches = [
        "time: \"exponential, mean 1.2 min\", machines: { a: { count: 2 } }".to_string(),
        "time: \"exponential, mean 0.6 min\", machines: { b: {} }".to_string(),
    ];
    Check {
        name: "a tenth comes back",
        source: "Jackson 1957",
        scenario: network(
            &[1.0, 0.0],
            &[vec![0.0, 1.0], vec![0.1, 0.0]],
            &benches,
            100_000.0,
        ),
        replications: 30,
        twin: ("mean 1.2 min", "mean 1.26 min"),
        expect: vec![is("lead_done/all/mean", 4.4), is("cell/wip", 4.4)],
    }
    .run();
}
