//! Finite room between stations: blocking after service.

use crate::verify::check::Check;
use crate::verify::floor::{line, rate, share};

const GROUP: &str = "Little room between stations";

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let mut all = lines();
    all.push(unreliable());
    all
}

fn bench(machine: usize, room: Option<u32>) -> String {
    let staging = room.map_or(String::new(), |room| format!("staging: {room}, "));
    format!("time: \"exponential, mean 1 min\", {staging}machines: {{ m{machine}: {{}} }}")
}

/// Lines that never lack work, exponential stations of 1 min, `room` places before each but the first. Two
/// stations: (b + 2) / (b + 3). Three: exact Markov chain. A staging place holds a lot that waits; the machine
/// holds one more, as the theory's b counts.
fn lines() -> Vec<Check> {
    // stations, places, throughput, middle machine blocked and without work.
    type Row = (usize, u32, f64, Option<(f64, f64)>);
    let rows: [Row; 8] = [
        (2, 1, 0.75, None),
        (2, 2, 0.8, None),
        (2, 5, 0.875, None),
        (2, 10, 0.923_076_9, None),
        (3, 1, 0.670_466_2, Some((0.173_178_2, 0.156_355_6))),
        (3, 2, 0.734_016_7, None),
        (3, 3, 0.776_711_5, None),
        (3, 5, 0.830_759_1, None),
    ];
    rows.into_iter()
        .map(|(stations, room, throughput, middle)| {
            let benches: Vec<String> = (1..=stations)
                .map(|n| bench(n, (n > 1).then_some(room)))
                .collect();
            let benches: Vec<&str> = benches.iter().map(String::as_str).collect();
            // A tenth more than the line can do: it never lacks work.
            let every = format!("{:.6} min", 1.0 / (1.1 * throughput));
            let idle = 1.0 - throughput;
            let last = format!("m{stations}");
            let mut claims = vec![
                rate(throughput),
                share("m1", "blocked", idle).within(0.015),
                share(&last, "no_work", idle).within(0.015).besides(),
            ];
            if let Some((blocked, starved)) = middle {
                claims.push(share("m2", "blocked", blocked).within(0.015));
                claims.push(share("m2", "no_work", starved).within(0.015));
            }
            Check {
                group: GROUP,
                name: format!(
                    "{stations} stations, {room} place{} between",
                    if room == 1 { "" } else { "s" }
                ),
                source: "Hunt 1956; Hillier and Boling 1967",
                formula: if stations == 2 {
                    "throughput (b + 2) / (b + 3)"
                } else {
                    "exact Markov chain"
                },
                scenario: line(&every, &benches, 30_000.0, 1.0),
                replications: 20,
                twin: (
                    "s1: { work: bench, time: \"exponential, mean 1 min\"".into(),
                    "s1: { work: bench, time: \"exponential, mean 1.1 min\"".into(),
                ),
                claims,
                quick: (stations, room) == (3, 1),
            }
        })
        .collect()
}

/// Two machines with exponential work, failures by running time and repairs, two places between them. The
/// theory's N counts parts between the two completions: N = 4.
fn unreliable() -> Check {
    let keys = |n: usize, room: &str| {
        format!(
            "time: \"exponential, mean 1 min\", {room}machines: {{ m{n}: {{ breakdowns: [{{ every: \"exponential, mean 100 min\", repair: \"exponential, mean 10 min\" }}] }} }}"
        )
    };
    Check {
        group: GROUP,
        name: "two machines that break down, two places between".into(),
        source: "Gershwin and Berman 1981",
        formula: "Markov chain of (parts, machines up), solved exactly",
        scenario: line(
            "1.3 min",
            &[&keys(1, ""), &keys(2, "staging: 2, ")],
            40_000.0,
            1.0,
        ),
        replications: 20,
        twin: ("mean 1 min".into(), "mean 1.1 min".into()),
        claims: vec![rate(0.695_386_2)],
        quick: false,
    }
}
