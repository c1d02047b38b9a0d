//! Scenario texts of textbook floors: benches in a row, orders of one piece.
//!
//! In: keys of the benches, times in minutes. Out: the text of a scenario file; the usual claims on it.

use super::check::Claim;

/// An exponential bench of mean 1 min with one machine, the usual server of theory.
pub const ONE: &str = "time: \"exponential, mean 1 min\", machines: { server: {} }";

/// First lines of a scenario, times in minutes.
pub fn head(warm_up: f64, measure: f64, run_out: f64) -> String {
    format!(
        "format: 2\nname: theory\nrun: {{ seed: 20, warm_up: {warm_up} min, measure: {measure} min, run_out: {run_out} min }}\n"
    )
}

/// A line of bench stations `s1`, `s2`, ... that every piece passes, and orders of one piece each.
///
/// `every`: time between orders; `benches`: keys of each station besides its kind; `span`: measured
/// minutes (a tenth of it passes unmeasured before); `run_out`: minutes after it.
pub fn line(every: &str, benches: &[&str], span: f64, run_out: f64) -> String {
    let mut text = head(span / 10.0, span, run_out);
    text += "products: { piece: {} }\nstations:\n";
    for (n, keys) in benches.iter().enumerate() {
        text += &format!("  s{}: {{ work: bench, {keys} }}\n", n + 1);
    }
    text + &format!("orders: [{{ name: all, every: \"{every}\", products: {{ piece: 100 % }} }}]\n")
}

/// Exponential with this mean, as text.
pub fn exponential(mean_min: f64) -> String {
    format!("exponential, mean {mean_min:.12} min")
}

/// Measured minutes by replication, so that 20 replications see `orders` orders at one each `every_min`.
pub fn span(orders: f64, every_min: f64) -> f64 {
    (orders * every_min / 20.0).round()
}

/// Mean wait in the queue of the first station.
pub fn wait(expected: f64) -> Claim {
    Claim::key("mean wait, min", "time/all/queue:s1", expected)
}

/// Mean time in the system.
pub fn lead(expected: f64) -> Claim {
    Claim::key(
        "mean time in the system, min",
        "lead_done/all/mean",
        expected,
    )
}

/// A point of the time in the system, such as `p90`; from 95 % on its standard error may be 2 %.
pub fn point(p: &str, expected: f64) -> Claim {
    let claim = Claim::key(
        format!("{} % point of it, min", p.trim_start_matches('p')),
        format!("lead_done/all/{p}"),
        expected,
    );
    if matches!(p, "p95" | "p99") {
        claim.within(0.02)
    } else {
        claim
    }
}

/// Mean number in the system.
pub fn inside(expected: f64) -> Claim {
    Claim::key("mean number in the system", "cell/wip", expected)
}

/// Share of all time in which a machine runs.
pub fn running(machine: &str, expected: f64) -> Claim {
    share(machine, "running", expected)
}

/// Share of all time that a machine spends in a state.
pub fn share(machine: &str, state: &str, expected: f64) -> Claim {
    Claim::key(
        format!("{machine}: {} of the time", state.replace('_', " ")),
        format!("machine/{machine}/{state}"),
        expected,
    )
    .within(0.01)
}

/// Orders done, each minute.
pub fn rate(expected_per_min: f64) -> Claim {
    const WEEK_MIN: f64 = 10_080.0;
    Claim::key(
        "orders done a week",
        "orders/all",
        expected_per_min * WEEK_MIN,
    )
    .within(0.005)
}
