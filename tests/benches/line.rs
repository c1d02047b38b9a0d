//! How fast a scenario runs on one thread, as one line of JSON; `compare.py` sets it beside other programs.
//!
//! In: scenario files and, first, the seconds to spend on each. Out: for each file orders and events a second,
//! nanoseconds an event, the mean lead time (a check that the right thing was simulated) and peak memory.
//! The whole of a replication counts: the floor, the tally and the figures made of it; reading the file does not.

use std::time::{Duration, Instant};

use pouchcast::observe::Layout;
use pouchcast::{model, replicate, scenario};

fn main() {
    let mut arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with("--"))
        .collect();
    if arguments.is_empty() {
        arguments.push("0.5".into());
        for name in ["a", "b", "b-plus"] {
            arguments.push(format!("tests/benches/{name}.yaml"));
        }
    }
    let seconds: f64 = arguments[0].parse().expect("seconds first");
    for file in &arguments[1..] {
        println!("{}", measure(file, Duration::from_secs_f64(seconds)));
    }
}

fn measure(file: &str, budget: Duration) -> String {
    let text = std::fs::read(file).expect("a scenario file");
    let loaded = scenario::read(file, &text).expect("a scenario without problems");
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let lead = layout.find("lead_done/all/mean").expect("a figure");
    let (mut orders, mut events, mut mean, mut runs) = (0, 0, 0.0, 0);
    let mut best = f64::INFINITY;
    // Replication 0 warms the caches.
    let _ = replicate::one(&model, &layout, 0);
    let begin = Instant::now();
    while begin.elapsed() < budget {
        let start = Instant::now();
        let (outcome, counts) = replicate::one(&model, &layout, runs);
        let passed = start.elapsed().as_secs_f64();
        runs += 1;
        orders += counts.released;
        events += counts.events;
        mean += outcome.figures[lead] / 60.0;
        best = best.min(passed / counts.events as f64);
    }
    let secs = begin.elapsed().as_secs_f64();
    format!(
        "{{\"file\":\"{file}\",\"secs\":{secs:.6},\"runs\":{runs},\"n\":{orders},\"mean\":{:.4},\"events\":{events},\
         \"per_s\":{:.0},\"ns_per_event\":{:.1},\"best_ns_per_event\":{:.1},\"events_per_order\":{:.2},\"hwm_kb\":{}}}",
        mean / f64::from(runs),
        orders as f64 / secs,
        secs * 1e9 / events as f64,
        best * 1e9,
        events as f64 / orders as f64,
        peak_kb()
    )
}

/// Most memory the process ever held, kB; 0 where the system does not tell.
fn peak_kb() -> u64 {
    std::fs::read_to_string("/proc/self/status")
        .ok()
        .and_then(|status| {
            let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
            line.split_whitespace().nth(1)?.parse().ok()
        })
        .unwrap_or(0)
}
