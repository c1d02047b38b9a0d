//! Several stations in a row, or with work that comes back: exact means and points.

use crate::verify::check::Check;
use crate::verify::floor::{inside, lead, line, point, running, span};

const GROUP: &str = "Several stations";

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let mut all = rows();
    all.push(work_that_comes_back());
    all
}

/// M/M/1 stations in a row: the times in them are independent exponentials (Burke; Reich), their sum is Erlang
/// or hypoexponential. A delay that holds nobody up is a station with as many machines as are ever needed.
fn rows() -> Vec<Check> {
    let bench = |mean: f64, count: u32, n: usize| {
        format!(
            "time: \"exponential, mean {mean} min\", machines: {{ m{n}: {{ count: {count} }} }}"
        )
    };
    // name, mean work and machines of each station, time between orders, orders in all, mean, points.
    type Row<'a> = (
        &'a str,
        &'a [(f64, u32)],
        f64,
        f64,
        f64,
        &'a [(&'a str, f64)],
    );
    let rows: [Row; 5] = [
        (
            "two stations at 50 %",
            &[(1.0, 1), (1.0, 1)],
            2.0,
            300e3,
            4.0,
            &[
                ("p50", 3.356_694),
                ("p80", 5.988_617),
                ("p90", 7.779_440),
                ("p95", 9.487_729),
                ("p99", 13.276_70),
            ],
        ),
        (
            "two stations at 80 %",
            &[(1.0, 1), (1.0, 1)],
            1.25,
            1_000e3,
            10.0,
            &[
                ("p50", 8.391_735),
                ("p80", 14.971_54),
                ("p90", 19.448_60),
                ("p95", 23.719_32),
                ("p99", 33.191_76),
            ],
        ),
        (
            "three stations at 80 %",
            &[(1.0, 1), (1.0, 1), (1.0, 1)],
            1.25,
            1_000e3,
            15.0,
            &[
                ("p50", 13.370_30),
                ("p80", 21.395_15),
                ("p90", 26.611_60),
                ("p95", 31.478_97),
                ("p99", 42.029_73),
            ],
        ),
        (
            "a station at 80 %, then one at 64 %",
            &[(1.0, 1), (0.8, 1)],
            1.25,
            1_000e3,
            7.222_222,
            &[
                ("p50", 5.863_310),
                ("p80", 10.835_88),
                ("p90", 14.390_62),
                ("p95", 17.892_17),
                ("p99", 25.961_41),
            ],
        ),
        (
            "a station at 80 %, then a delay of 24 min",
            &[(1.0, 1), (24.0, 46)],
            1.25,
            500e3,
            29.0,
            &[
                ("p50", 22.090_47),
                ("p80", 44.228_72),
                ("p90", 60.868_47),
                ("p95", 77.504_31),
            ],
        ),
    ];
    rows.into_iter()
        .map(|(name, stations, every, orders, mean, points)| {
            let benches: Vec<String> = stations
                .iter()
                .enumerate()
                .map(|(n, &(work, count))| bench(work, count, n + 1))
                .collect();
            let benches: Vec<&str> = benches.iter().map(String::as_str).collect();
            let mut claims = vec![lead(mean), inside(mean / every)];
            claims.extend(points.iter().map(|&(p, x)| point(p, x)));
            let twin = if mean == 29.0 {
                ("mean 24 min".to_string(), "mean 26.4 min".to_string())
            } else {
                (
                    format!("mean {every} min"),
                    format!("mean {} min", every * 0.92),
                )
            };
            Check {
                group: GROUP,
                name: name.into(),
                source: "Burke 1956, Reich 1957",
                formula: "sum of independent exponentials: Erlang and hypoexponential points",
                scenario: line(
                    &format!("exponential, mean {every} min"),
                    &benches,
                    span(orders, every),
                    3_000.0,
                ),
                replications: 20,
                twin,
                claims,
                quick: name == "two stations at 50 %",
            }
        })
        .collect()
}

/// One an hour to two machines of 1.2 h, then one of 0.6 h, of whose work a tenth goes through both again:
/// rates 1.1111, L = 2.4 and 2, W = 4.4 (Jackson 1957). Hours written as minutes.
fn work_that_comes_back() -> Check {
    let benches = [
        "time: \"exponential, mean 1.2 min\", machines: { a: { count: 2 } }",
        "time: \"exponential, mean 0.6 min\", rework: 10 %, rework_to: s1, machines: { b: {} }",
    ];
    Check {
        group: GROUP,
        name: "a tenth of the work comes back".into(),
        source: "Jackson 1957",
        formula: "rates from the traffic equations, each station as if alone",
        scenario: line(
            "exponential, mean 1 min",
            &benches,
            span(500e3, 1.0),
            3_000.0,
        ),
        replications: 20,
        twin: ("mean 0.6 min".into(), "mean 0.66 min".into()),
        claims: vec![lead(4.4), inside(4.4), running("b", 0.666_666_7)],
        quick: false,
    }
}
