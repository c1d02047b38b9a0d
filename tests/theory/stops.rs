//! Changeovers, breakdowns, short stops, finite room and cure: what keeps a lot from running.

use crate::harness::{Check, Expect, also, head, is, left, line};
use pouchcast::observe::Outcome;

/// N equally likely kinds of job, a changeover whenever the kind changes, machine remembers the last kind: the
/// changes are independent trials of chance 1 - 1/N, so the queue is M/G/1 with C = S + changeover * change.
/// E[C] and E[C2] by hand; wait by Pollaczek-Khinchine.
#[test]
fn changeovers_that_depend_on_the_job_before() {
    for (every, time, change, twin, wait, lead, share) in [
        (
            "1.666666666667 min",
            "exponential, mean 1 min",
            "0.5 min",
            "0.55 min",
            3.15,
            4.4,
            0.15,
        ),
        ("2 min", "1 min", "1 min", "1.08 min", 2.5, 4.0, 0.25),
    ] {
        let mut text = head(20_000.0, 200_000.0, 2_000.0);
        text += "products: { a: {}, b: {} }\nstations:\n";
        text += &format!(
            "  s1:\n    work: bench\n    time: \"{time}\"\n    machines:\n      server:\n        changeover:\n          table:\n            - {{ from: a, to: a, time: 0 min }}\n            - {{ from: b, to: b, time: 0 min }}\n            - {{ from: any, to: any, time: {change} }}\n"
        );
        text += &format!(
            "orders: [{{ name: all, every: \"exponential, mean {every}\", products: {{ a: 50 %, b: 50 % }} }}]\n"
        );
        Check {
            name: &format!("changeovers, {time}"),
            source: "Pollaczek-Khinchine with C = S + change",
            scenario: text,
            replications: 30,
            twin: (
                &format!("to: any, time: {change}"),
                &format!("to: any, time: {twin}"),
            ),
            expect: vec![
                is("time/all/queue:s1", wait),
                is("lead_done/all/mean", lead),
                is("machine/server/changeover", share),
            ],
        }
        .run();
    }
}

fn breaking(of: &str, every: &str, time: &str, up: &str, repair: &str, span: f64) -> String {
    let keys = format!(
        "time: \"{time}\", machines: {{ server: {{ breakdowns: [{{ every: \"exponential, mean {up}\", of: {of}, repair: \"{repair}\" }}] }} }}"
    );
    line(
        &format!("exponential, mean {every}"),
        &[&keys],
        span,
        3_000.0,
    )
}

/// Failures that come with running time: the completion time of Avi-Itzhak and Naor, then Pollaczek-Khinchine.
#[test]
fn breakdowns_by_running_time() {
    // time between orders, service, up time, repair, time in system, machine down
    for (every, time, up, repair, twin, lead, down) in [
        (
            "2 min",
            "exponential, mean 1 min",
            "10 min",
            "exponential, mean 2.5 min",
            "9 min",
            4.166_667,
            0.125,
        ),
        (
            "2 min",
            "exponential, mean 1 min",
            "50 min",
            "exponential, mean 12.5 min",
            "46 min",
            7.5,
            0.125,
        ),
        (
            "1.666666666667 min",
            "1 min",
            "10 min",
            "2 min",
            "9.2 min",
            3.171_429,
            0.12,
        ),
        (
            "1.666666666667 min",
            "1 min",
            "10 min",
            "exponential, mean 2 min",
            "9.2 min",
            3.6,
            0.12,
        ),
        (
            "2 min",
            "exponential, mean 1 min",
            "20 min",
            "4 min",
            "18.5 min",
            3.5,
            0.1,
        ),
    ] {
        Check {
            name: &format!("running clock, {time}, {repair}"),
            source: "Avi-Itzhak and Naor 1963",
            scenario: breaking("running", every, time, up, repair, 300_000.0),
            replications: 40,
            twin: (
                &format!("exponential, mean {up}"),
                &format!("exponential, mean {twin}"),
            ),
            expect: vec![
                is("lead_done/all/mean", lead),
                is("machine/server/down", down),
            ],
        }
        .run();
    }
}

/// Failures that come by the calendar, idle or not, counted from the end of a repair: White and Christie 1958;
/// for general repairs W = W(running clock) + rate * E[R2] / (2 (1 + rate * E[R])).
#[test]
fn breakdowns_by_the_calendar() {
    for (every, time, up, repair, twin, lead, down) in [
        (
            "2 min",
            "exponential, mean 1 min",
            "10 min",
            "exponential, mean 2.5 min",
            "9 min",
            4.666_667,
            0.2,
        ),
        (
            "2 min",
            "exponential, mean 1 min",
            "50 min",
            "exponential, mean 12.5 min",
            "46 min",
            10.0,
            0.2,
        ),
        (
            "1.666666666667 min",
            "1 min",
            "10 min",
            "2 min",
            "9.2 min",
            3.338_095,
            1.0 / 6.0,
        ),
        (
            "1.666666666667 min",
            "1 min",
            "10 min",
            "exponential, mean 2 min",
            "9.2 min",
            3.933_333,
            1.0 / 6.0,
        ),
        (
            "2 min",
            "exponential, mean 1 min",
            "20 min",
            "4 min",
            "18.5 min",
            3.833_333,
            1.0 / 6.0,
        ),
    ] {
        Check {
            name: &format!("calendar clock, {time}, {repair}"),
            source: "White and Christie 1958",
            scenario: breaking("calendar", every, time, up, repair, 300_000.0),
            replications: 40,
            twin: (
                &format!("exponential, mean {up}"),
                &format!("exponential, mean {twin}"),
            ),
            expect: vec![
                is("lead_done/all/mean", lead),
                is("machine/server/down", down),
            ],
        }
        .run();
    }
}

/// Two and three machines that fail by the calendar independently, a repair crew for each. A lot stays on its
/// machine through the repair. Exact Markov chain of (busy, down and empty, down with a lot, waiting), solved by
/// state reduction; the same program gives White and Christie's 4.666667 for one machine.
#[test]
fn breakdowns_of_several_machines() {
    for (count, every, up, repair, twin, lead) in [
        (
            2,
            "0.833333333333 min",
            "20 min",
            "5 min",
            "18.5 min",
            4.513_265,
        ),
        (3, "0.5 min", "50 min", "10 min", "46 min", 4.485_377),
    ] {
        let keys = format!(
            "time: \"exponential, mean 1 min\", machines: {{ server: {{ count: {count}, breakdowns: [{{ every: \"exponential, mean {up}\", of: calendar, repair: \"exponential, mean {repair}\" }}] }} }}"
        );
        Check {
            name: &format!("{count} machines that fail"),
            source: "Markov chain, solved by state reduction",
            scenario: line(
                &format!("exponential, mean {every}"),
                &[&keys],
                250_000.0,
                3_000.0,
            ),
            replications: 40,
            twin: (&format!("mean {up}"), &format!("mean {twin}")),
            expect: vec![is("lead_done/all/mean", lead)],
        }
        .run();
    }
}

/// Micro-stops are failures by running time too: the same completion time.
#[test]
fn micro_stops() {
    let keys = "time: \"1 min\", machines: { server: { micro_stops: { every: \"exponential, mean 10 min\", lasting: 2 min } } }";
    Check {
        name: "micro-stops",
        source: "Avi-Itzhak and Naor 1963",
        scenario: line(
            "exponential, mean 1.666666666667 min",
            &[keys],
            200_000.0,
            2_000.0,
        ),
        replications: 30,
        twin: ("mean 10 min", "mean 9.2 min"),
        expect: vec![
            is("lead_done/all/mean", 3.171_429),
            is("machine/server/micro_stop", 0.12),
        ],
    }
    .run();
}

/// Orders a week at one a minute.
const WEEK: f64 = 10_080.0;

/// Lines that never lack work, exponential stations of 1 min, `staging` places before each but the first, blocking
/// after service. Two stations: (b + 2)/(b + 3). Three: exact Markov chain (Hunt 1956; Hillier and Boling 1967).
/// A staging place holds a lot that waits; the machine holds one more, as the theory's b counts.
#[test]
fn lines_with_little_room() {
    for (stations, room, rate, blocked) in [
        (2, 1, 0.75, 0.25),
        (2, 2, 0.8, 0.2),
        (2, 5, 0.875, 0.125),
        (3, 1, 0.670_466_2, 0.329_533_8),
        (3, 3, 0.776_711_5, 0.223_288_5),
    ] {
        let first = "time: \"exponential, mean 1 min\", machines: { m1: {} }".to_string();
        let mut benches = vec![first];
        for n in 2..=stations {
            benches.push(format!(
                "time: \"exponential, mean 1 min\", staging: {room}, machines: {{ m{n}: {{}} }}"
            ));
        }
        let benches: Vec<&str> = benches.iter().map(String::as_str).collect();
        let last = format!("machine/m{stations}/no_work");
        let starved: &'static str = String::leak(last);
        Check {
            name: &format!("{stations} stations, {room} places"),
            source: "Hunt 1956; Hillier and Boling 1967; Markov chain",
            // One order each 0.9 min is more than the line takes.
            scenario: line("0.9 min", &benches, 40_000.0, 1.0),
            replications: 30,
            twin: (
                "s1: { work: bench, time: \"exponential, mean 1 min\"",
                "s1: { work: bench, time: \"exponential, mean 1.08 min\"",
            ),
            expect: vec![
                Expect {
                    narrow: 0.005,
                    ..is("orders/all", rate * WEEK)
                },
                is("machine/m1/blocked", blocked),
                Expect {
                    power: false,
                    ..is(starved, blocked)
                },
            ],
        }
        .run();
    }
}

/// Middle machine of three, one place each: blocked 0.1731782, starved 0.1563556 (Markov chain).
#[test]
fn the_middle_of_a_line() {
    let bench = |n: u32, room: &str| {
        format!("time: \"exponential, mean 1 min\", {room}machines: {{ m{n}: {{}} }}")
    };
    let benches = [
        bench(1, ""),
        bench(2, "staging: 1, "),
        bench(3, "staging: 1, "),
    ];
    let benches: Vec<&str> = benches.iter().map(String::as_str).collect();
    Check {
        name: "middle of three",
        source: "Markov chain",
        scenario: line("0.9 min", &benches, 60_000.0, 1.0),
        replications: 30,
        twin: (
            "s1: { work: bench, time: \"exponential, mean 1 min\"",
            "s1: { work: bench, time: \"exponential, mean 1.1 min\"",
        ),
        expect: vec![
            is("machine/m2/blocked", 0.173_178_2),
            is("machine/m2/no_work", 0.156_355_6),
        ],
    }
    .run();
}

/// Two machines with exponential work, failures by running time and repairs, B places between them, N = B + 2:
/// Gershwin and Berman; chain solved exactly. N = 4 is two places.
#[test]
fn an_unreliable_line() {
    let keys = |n: u32, room: &str| {
        format!(
            "time: \"exponential, mean 1 min\", {room}machines: {{ m{n}: {{ breakdowns: [{{ every: \"exponential, mean 100 min\", repair: \"exponential, mean 10 min\" }}] }} }}"
        )
    };
    Check {
        name: "unreliable line",
        source: "Gershwin and Berman 1981, chain",
        scenario: line(
            "0.9 min",
            &[&keys(1, ""), &keys(2, "staging: 2, ")],
            120_000.0,
            1.0,
        ),
        replications: 40,
        twin: ("mean 1 min", "mean 1.08 min"),
        expect: vec![Expect {
            narrow: 0.005,
            ..is("orders/all", 0.695_386_2 * WEEK)
        }],
    }
    .run();
}

/// Lots in cure are M/G/infinity: orders by chance, laminators enough that none waits, so lots come to cure by
/// chance too. Mean = rate * hold; Poisson whatever the hold's law, so the spread is its root.
#[test]
fn cure_is_a_room_without_queue() {
    for (hold, name) in [
        ("24 h", "constant"),
        ("uniform, from 12 h, to 36 h", "uniform"),
    ] {
        Check {
            name: &format!("cure, {name}"),
            source: "M/G/infinity",
            scenario: curing(hold),
            replications: 60,
            twin: ("exponential, mean 2 h", "exponential, mean 1.8 h"),
            expect: vec![
                Expect {
                    narrow: 0.01,
                    ..is("cell/curing", 12.0)
                },
                also("time/all/cure", 24.0 * 60.0),
                Expect {
                    narrow: 0.02,
                    power: false,
                    ..left(spread_of_cure, 12.0)
                },
            ],
        }
        .run();
    }
}

/// Variance of the lots in cure over the looks of a replication after its first tenth.
fn spread_of_cure(outcome: &Outcome) -> f64 {
    let curing: Vec<f64> = outcome
        .levels
        .chunks_exact(3)
        .skip(24)
        .map(|l| f64::from(l[1]))
        .collect();
    let mean = curing.iter().sum::<f64>() / curing.len() as f64;
    curing.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (curing.len() - 1) as f64
}

fn curing(hold: &str) -> String {
    let mut text = head(1_000.0 * 60.0, 10_000.0 * 60.0, 200.0 * 60.0);
    text += &format!(
        "adhesives: {{ glue: {{ process: solventless, second_pass_after: \"{hold}\", slit_after: \"{hold}\", pouch_after: \"{hold}\", ship_after: \"{hold}\", data_sheet: {{ second_pass_after: 12 h, slit_after: 12 h, pouch_after: 12 h, ship_after: 12 h }} }} }}\n"
    );
    text.replace("second_pass_after: 12 h, ", "")
        + "laminates: { two_ply: { caliper: 100 um, weight: 100 g/m2, adhesive: glue } }\n\
           products: { film: { format: roll_stock, width: 100 mm, height: 200 mm, laminate: two_ply, web: 400 mm, route: [lamination, slitting] } }\n\
           stations:\n\
           \x20 lamination: { work: lamination, machines: { laminator: { count: 12, processes: { solventless: 150 m/min } } } }\n\
           \x20 slitting: { work: slitting, machines: { slitter: { count: 40, speed: 150 m/min } } }\n\
           orders: [{ name: all, every: \"exponential, mean 2 h\", products: { film: 100 % }, quantity: 1000 }]\n"
}
