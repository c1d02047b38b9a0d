//! Changeovers, breakdowns, short stops: what keeps a machine from running.

use crate::verify::check::Check;
use crate::verify::floor::{head, inside, lead, line, share, span, wait};

const GROUP: &str = "Changeovers and stops";

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let mut all = changeovers();
    all.extend(cold_starts());
    all.extend(breakdowns());
    all.extend(several_machines());
    all.push(one_fitter());
    all.push(micro_stops());
    all
}

/// N equally likely kinds of job, a changeover whenever the kind changes, the machine remembers the last
/// kind: the changes are independent trials of chance 1 - 1/N, so the queue is M/G/1 with C = S + changeover
/// x change. Wait by Pollaczek and Khinchine.
fn changeovers() -> Vec<Check> {
    // rate, work, changeover, twin's changeover, wait, time in system, share of time changing over.
    [
        (0.6, "exponential, mean 1 min", 0.5, 0.55, 3.15, 4.4, 0.15),
        (0.5, "1 min", 1.0, 1.08, 2.5, 4.0, 0.25),
    ]
    .into_iter()
    .map(|(rate, time, change, twin, queue, stay, changing)| {
        let measured = span(1_500e3, 1.0 / rate);
        let mut text = head(measured / 10.0, measured, 2_000.0);
        text += "products: { a: {}, b: {} }\nstations:\n";
        text += &format!(
            "  s1:\n    work: bench\n    time: \"{time}\"\n    machines:\n      server:\n        changeover:\n          table:\n            - {{ from: a, to: a, time: 0 min }}\n            - {{ from: b, to: b, time: 0 min }}\n            - {{ from: any, to: any, time: {change} min }}\n"
        );
        text += &format!(
            "orders: [{{ name: all, every: \"exponential, mean {:.12} min\", products: {{ a: 50 %, b: 50 % }} }}]\n",
            1.0 / rate
        );
        Check {
            group: GROUP,
            name: format!("changeovers of {change} min, work {time}"),
            source: "Pollaczek 1930, Khinchine 1932",
            formula: "M/G/1 with C = S + changeover x (1 - 1/kinds)",
            scenario: text,
            replications: 20,
            twin: (
                format!("to: any, time: {change} min"),
                format!("to: any, time: {twin} min"),
            ),
            claims: vec![wait(queue), lead(stay), share("server", "changeover", changing)],
            quick: change == 0.5,
        }
    })
    .collect()
}

/// A setup D whenever the machine stood still before: wait = M/G/1 wait + (2 E[D] + rate E[D^2]) /
/// (2 (1 + rate E[D])). A machine warms up after any stand.
fn cold_starts() -> Vec<Check> {
    // rate, work, setup, twin's setup, mean time in the system.
    [
        (0.5, "exponential, mean 1 min", "exponential, mean 2 min", "exponential, mean 2.2 min", 4.0),
        (0.5, "exponential, mean 1 min", "2 min", "2.2 min", 3.5),
    ]
    .into_iter()
    .map(|(rate, time, cold, twin, stay): (f64, &str, &str, &str, f64)| {
        let every = 1.0 / rate;
        let keys = format!(
            "time: \"{time}\", machines: {{ server: {{ changeover: {{ cold_start: \"{cold}\", cold_after: 0.01 s }} }} }}"
        );
        Check {
            group: GROUP,
            name: format!("cold start {cold}, work {time}"),
            source: "Welch 1964, exceptional first service; Takagi, Queueing Analysis",
            formula: "wait = M/G/1 + (2 E[D] + rate x E[D2]) / (2 (1 + rate x E[D]))",
            scenario: line(
                &format!("exponential, mean {every:.12} min"),
                &[&keys],
                span(600e3, every),
                2_000.0,
            ),
            replications: 20,
            twin: (format!("cold_start: \"{cold}\""), format!("cold_start: \"{twin}\"")),
            claims: vec![lead(stay), inside(rate * stay)],
            quick: false,
        }
    })
    .collect()
}

/// By running time: completion time C with E[C] = E[S](1 + f E[R]), E[C^2] = E[S^2](1 + f E[R])^2 + f E[S]
/// E[R^2], then Pollaczek and Khinchine (Avi-Itzhak and Naor 1963). By the calendar: f E[R^2] /
/// (2 (1 + f E[R])) more (White and Christie 1958 for exponential laws).
fn breakdowns() -> Vec<Check> {
    // rate, work, time up, repair, twin's time up, W by running time and share down, the same by the calendar.
    type Row = (
        f64,
        &'static str,
        f64,
        &'static str,
        f64,
        (f64, f64),
        (f64, f64),
    );
    let exp = "exponential, mean 1 min";
    let rows: [Row; 5] = [
        (
            0.5,
            exp,
            10.0,
            "exponential, mean 2.5 min",
            9.0,
            (4.166_667, 0.125),
            (4.666_667, 0.2),
        ),
        (
            0.5,
            exp,
            50.0,
            "exponential, mean 12.5 min",
            45.0,
            (7.5, 0.125),
            (10.0, 0.2),
        ),
        (
            0.6,
            "1 min",
            10.0,
            "2 min",
            9.0,
            (3.171_429, 0.12),
            (3.338_095, 1.0 / 6.0),
        ),
        (
            0.6,
            "1 min",
            10.0,
            "exponential, mean 2 min",
            9.0,
            (3.6, 0.12),
            (3.933_333, 1.0 / 6.0),
        ),
        (
            0.5,
            exp,
            20.0,
            "4 min",
            18.0,
            (3.5, 0.1),
            (3.833_333, 1.0 / 6.0),
        ),
    ];
    rows.into_iter()
        .flat_map(|(rate, time, up, repair, twin, running, calendar)| {
            [("running", running), ("calendar", calendar)].map(|(of, (stay, down))| {
                let every = 1.0 / rate;
                let keys = format!(
                    "time: \"{time}\", machines: {{ server: {{ breakdowns: [{{ every: \"exponential, mean {up} min\", of: {of}, repair: \"{repair}\" }}] }} }}"
                );
                // Long repairs make a mean of waits settle slowly.
                let orders = match (up == 50.0, time == exp) {
                    (true, _) => 1_500e3,
                    (_, true) => 1_100e3,
                    _ => 700e3,
                };
                Check {
                    group: GROUP,
                    name: format!("breakdowns by {of} time, each {up} min, work {time}, repair {repair}"),
                    source: if of == "running" {
                        "Avi-Itzhak and Naor 1963"
                    } else {
                        "White and Christie 1958"
                    },
                    formula: if of == "running" {
                        "M/G/1 with the completion time as service"
                    } else {
                        "as by running time, and f E[R2] / (2 (1 + f E[R])) more"
                    },
                    scenario: line(
                        &format!("exponential, mean {every:.12} min"),
                        &[&keys],
                        span(orders, every),
                        3_000.0,
                    ),
                    replications: 20,
                    twin: (
                        format!("exponential, mean {up} min"),
                        format!("exponential, mean {twin} min"),
                    ),
                    claims: vec![
                        lead(stay),
                        inside(rate * stay),
                        share("server", "down", down),
                    ],
                    quick: time == "1 min" && repair == "2 min",
                }
            })
        })
        .collect()
}

/// Machines that fail by the calendar independently, a repair crew for each. A lot stays on its machine
/// through the repair. Exact Markov chain of (busy, down and empty, down with a lot, waiting), solved by state
/// reduction; the same program gives White and Christie's 4.666667 for one machine.
fn several_machines() -> Vec<Check> {
    [
        (2, 0.833_333_333_333, 20.0, 5.0, 18.0, 4.513_265),
        (3, 0.5, 50.0, 10.0, 45.0, 4.485_377),
    ]
    .into_iter()
    .map(|(count, every, up, repair, twin, stay)| {
        let keys = format!(
            "time: \"exponential, mean 1 min\", machines: {{ server: {{ count: {count}, breakdowns: [{{ every: \"exponential, mean {up} min\", of: calendar, repair: \"exponential, mean {repair} min\" }}] }} }}"
        );
        Check {
            group: GROUP,
            name: format!("{count} machines that break down"),
            source: "Markov chain, solved by state reduction",
            formula: "states: busy, down and empty, down with a lot, waiting",
            scenario: line(
                &format!("exponential, mean {every} min"),
                &[&keys],
                span(1_500e3, every),
                3_000.0,
            ),
            replications: 36,
            twin: (
                format!("exponential, mean {up} min"),
                format!("exponential, mean {twin} min"),
            ),
            claims: vec![lead(stay), inside(stay / every)],
            quick: false,
        }
    })
    .collect()
}

/// Two machines that break down round the clock and one fitter for both: the machines wait for him.
fn one_fitter() -> Check {
    let every = 1.0 / 1.2;
    let keys = "time: \"exponential, mean 1 min\", machines: { server: { count: 2, breakdowns: [{ every: \"exponential, mean 20 min\", of: calendar, repair: \"exponential, mean 5 min\", crew: { fitters: 1 } }] } }";
    Check {
        group: GROUP,
        name: "2 machines that break down, one fitter for both".into(),
        source: "Markov chain, solved numerically with 1500 levels",
        formula: "states: machines up, lots; L = 8.467477",
        scenario: line(
            &format!("exponential, mean {every:.12} min"),
            &[keys],
            span(1_300e3, every),
            3_000.0,
        )
        .replacen(
            "products:",
            "people: { fitters: { shifts: { always: 1 } } }\nproducts:",
            1,
        ),
        replications: 20,
        twin: (
            "repair: \"exponential, mean 5 min".into(),
            "repair: \"exponential, mean 5.5 min".into(),
        ),
        claims: vec![lead(7.056_231).within(0.02), inside(8.467_477).within(0.02)],
        quick: false,
    }
}

/// Micro-stops are failures by running time too: the same completion time.
fn micro_stops() -> Check {
    let every = 1.0 / 0.6;
    let keys = "time: \"1 min\", machines: { server: { micro_stops: { every: \"exponential, mean 10 min\", lasting: 2 min } } }";
    Check {
        group: GROUP,
        name: "micro-stops".into(),
        source: "Avi-Itzhak and Naor 1963",
        formula: "M/G/1 with the completion time as service",
        scenario: line(
            &format!("exponential, mean {every:.12} min"),
            &[keys],
            span(600e3, every),
            2_000.0,
        ),
        replications: 20,
        twin: ("mean 10 min".into(), "mean 9 min".into()),
        claims: vec![
            lead(3.171_429),
            inside(0.6 * 3.171_429),
            share("server", "micro_stop", 0.12),
        ],
        quick: false,
    }
}
