//! Runs without chance that were worked by hand: equal to the microsecond.
//!
//! Each customer is a stream of its own, one order long, and a product with its own time. The first order of a
//! stream comes after its first gap; all arrivals are moved by [`AHEAD`] so that the second one of every stream
//! lies beyond the end of the run.

use crate::observe::Trace;
use crate::units::minutes_from_ticks;
use crate::verify::check::{Check, Claim};

const GROUP: &str = "Worked by hand";

const AHEAD: f64 = 1_000.0;

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let mut all = customers_one_by_one();
    all.extend(three_rules());
    all.extend(two_machines_in_a_row());
    all.extend(shifts());
    all
}

fn minutes(trace: &Trace, of: impl Fn(&crate::observe::OrderRow) -> Option<i64>) -> f64 {
    // A sum with something missing is no number: an order not done makes the check fail.
    trace
        .orders
        .iter()
        .map(|order| of(order).map_or(f64::NAN, minutes_from_ticks))
        .sum()
}

fn total_wait(trace: &Trace) -> f64 {
    minutes(trace, |o| o.split.first().copied())
}

fn total_stay(trace: &Trace) -> f64 {
    minutes(trace, |o| o.done.map(|done| done - o.released))
}

fn total_lateness(trace: &Trace) -> f64 {
    minutes(trace, |o| {
        o.done.zip(o.due).map(|(done, due)| (done - due).max(0))
    })
}

fn last_end(trace: &Trace) -> f64 {
    let last = trace.orders.iter().filter_map(|o| o.done).max();
    last.map_or(f64::NAN, |t| minutes_from_ticks(t) - AHEAD)
}

fn first_end_h(trace: &Trace) -> f64 {
    let first = trace.orders.iter().find(|o| o.order == 0);
    first
        .and_then(|o| o.done)
        .map_or(f64::NAN, |t| minutes_from_ticks(t) / 60.0)
}

/// `arrive`: minutes, by customer; `times`: by station, by customer; `keys`: of each station besides work and
/// times; `promises`: by customer, or none.
fn floor(arrive: &[f64], times: &[&[f64]], keys: &[&str], promises: &[f64]) -> String {
    let mut text = format!(
        "format: 2\nname: trace\nrun: {{ seed: 1, replications: 1, warm_up: 0 min, measure: {} min, run_out: 0 min }}\nproducts:\n",
        2.0 * AHEAD - 1.0
    );
    for n in 0..arrive.len() {
        text += &format!("  c{n}: {{}}\n");
    }
    text += "stations:\n";
    for (s, keys) in keys.iter().enumerate() {
        let times: Vec<String> = times[s]
            .iter()
            .enumerate()
            .map(|(n, t)| format!("c{n}: {t} min"))
            .collect();
        text += &format!(
            "  s{}: {{ work: bench, {keys}, times: {{ {} }} }}\n",
            s + 1,
            times.join(", ")
        );
    }
    if !promises.is_empty() {
        text += "classes:\n";
        for (n, promise) in promises.iter().enumerate() {
            text += &format!("  k{n}: {{ promise: {promise} min }}\n");
        }
    }
    text += "orders:\n";
    for (n, arrive) in arrive.iter().enumerate() {
        let class = if promises.is_empty() {
            String::new()
        } else {
            format!(", classes: {{ k{n}: 100 % }}")
        };
        text += &format!(
            "  - {{ name: o{n}, every: {} min, products: {{ c{n}: 100 % }}{class} }}\n",
            AHEAD + arrive
        );
    }
    text
}

fn check(
    name: String,
    source: &'static str,
    formula: &'static str,
    scenario: String,
    twin: (&str, &str),
    claims: Vec<Claim>,
) -> Check {
    Check {
        group: GROUP,
        name,
        source,
        formula,
        scenario,
        replications: 1,
        twin: (twin.0.into(), twin.1.into()),
        claims: claims.into_iter().map(Claim::exact).collect(),
        quick: true,
    }
}

const SERVER: &str = "machines: { server: {} }";

fn customers_one_by_one() -> Vec<Check> {
    let wait = |x| Claim::story("total wait, min", total_wait, x);
    let stay = |x| Claim::story("total time in the system, min", total_stay, x);
    let end = |x| Claim::story("last end, min", last_end, x);
    let grocery = [
        0., 8., 14., 15., 23., 26., 34., 41., 43., 46., 47., 48., 53., 59., 62., 70., 71., 73.,
        77., 82.,
    ];
    let at_till = [
        4., 1., 4., 3., 2., 4., 5., 4., 5., 3., 3., 5., 4., 1., 5., 4., 3., 3., 2., 3.,
    ];
    let lindley = [0.0, 2.0, 3.0, 7.0, 8.0, 8.5, 12.0];
    let work = [3.0, 2.0, 1.0, 4.0, 0.5, 2.0, 1.0];
    let ten = [15., 47., 71., 111., 123., 152., 166., 226., 310., 320.];
    let jobs = [43., 36., 34., 30., 38., 40., 31., 29., 36., 30.];
    vec![
        check(
            "grocery checkout, 20 customers".into(),
            "Banks, Carson, Nelson and Nicol, Discrete-Event System Simulation (from memory)",
            "table worked by hand in the book",
            floor(&grocery, &[&at_till], &[SERVER], &[]),
            ("c9: 3 min", "c9: 3.2 min"),
            vec![wait(56.0), stay(124.0), end(86.0).besides()],
        ),
        check(
            "ten jobs of a trace".into(),
            "Leemis and Park, Discrete-Event Simulation: A First Course (from memory)",
            "mean delay 26.7, mean time 61.4",
            floor(&ten, &[&jobs], &[SERVER], &[]),
            ("c0: 43 min", "c0: 46 min"),
            vec![wait(267.0), stay(614.0), end(376.0).besides()],
        ),
        check(
            "six customers of the event list".into(),
            "Law, Simulation Modeling and Analysis, chapter 1 (from memory)",
            "delays 0, 0.8, 1.0, 0, 0.9, 3.0",
            floor(
                &[0.4, 1.6, 2.1, 3.8, 4.0, 5.6],
                &[&[2.0, 0.7, 0.2, 1.1, 3.7, 0.6]],
                &[SERVER],
                &[],
            ),
            ("c0: 2 min", "c0: 2.1 min"),
            vec![wait(5.7)],
        ),
        check(
            "seven customers, one machine".into(),
            "Lindley 1952",
            "recursion worked by hand",
            floor(&lindley, &[&work], &[SERVER], &[]),
            ("c0: 3 min", "c0: 3.2 min"),
            vec![wait(10.5), end(14.5).besides()],
        ),
        check(
            "seven customers, two machines".into(),
            "Kiefer and Wolfowitz 1955",
            "recursion worked by hand; nobody waits",
            floor(
                &lindley,
                &[&work],
                &["machines: { server: { count: 2 } }"],
                &[],
            ),
            ("c0: 3 min", "c0: 3.2 min"),
            vec![wait(0.0).besides(), stay(13.5), end(13.0).besides()],
        ),
    ]
}

/// One machine, five jobs at once: work 6 2 8 3 9, due 8 6 18 15 23.
fn three_rules() -> Vec<Check> {
    [
        ("first_come", 77.0, 11.0),
        ("shortest_work", 65.0, 9.0),
        ("earliest_due", 68.0, 6.0),
    ]
    .into_iter()
    .map(|(rule, flow, late)| {
        // Orders that join at one instant go by their due dates: first come, first served is told none.
        let in_turn = rule == "first_come";
        let promises: &[f64] = if in_turn {
            &[]
        } else {
            &[8.0, 6.0, 18.0, 15.0, 23.0]
        };
        let mut claims = vec![Claim::story(
            "sum of completion times, min",
            total_stay,
            flow,
        )];
        if !in_turn {
            claims.push(Claim::story("sum of lateness, min", total_lateness, late));
        }
        check(
            format!("five jobs, {}", rule.replace('_', " ")),
            "Heizer and Render, Operations Management (from memory)",
            "sum of completion times, sum of lateness",
            floor(
                &[0.0; 5],
                &[&[6.0, 2.0, 8.0, 3.0, 9.0]],
                &[&format!("next: [{rule}], {SERVER}")],
                promises,
            ),
            ("c1: 2 min", "c1: 2.2 min"),
            claims,
        )
    })
    .collect()
}

/// Two machines one after the other in Johnson's order.
fn two_machines_in_a_row() -> Vec<Check> {
    // Source, work on the first and on the second machine, last end, the entry that is wrong in the twin.
    type Row = (
        &'static str,
        &'static [f64],
        &'static [f64],
        f64,
        &'static str,
    );
    let rows: [Row; 3] = [
        (
            "Johnson 1954 (from memory)",
            &[2.0, 4.0, 6.0, 30.0, 4.0],
            &[3.0, 5.0, 30.0, 4.0, 1.0],
            47.0,
            "c2: 6 min",
        ),
        (
            "Heizer and Render, Operations Management (from memory)",
            &[3.0, 7.0, 10.0, 8.0, 5.0],
            &[6.0, 12.0, 7.0, 4.0, 2.0],
            35.0,
            "c1: 7 min",
        ),
        (
            "Heizer and Render, the worst order (from memory)",
            &[5.0, 8.0, 10.0, 7.0, 3.0],
            &[2.0, 4.0, 7.0, 12.0, 6.0],
            48.0,
            "c2: 10 min",
        ),
    ];
    rows.into_iter()
        .map(|(source, first, second, makespan, twin)| {
            check(
                format!("five jobs on two machines, {makespan} min"),
                source,
                "makespan of the given order",
                floor(
                    &vec![0.0; first.len()],
                    &[first, second],
                    &["machines: { m1: {} }", "machines: { m2: {} }"],
                    &[],
                ),
                (twin, &twin.replace(" min", ".5 min")),
                vec![Claim::story("makespan, min", last_end, makespan)],
            )
        })
        .collect()
}

/// Work that starts at a moment of the week ends at another; zero is a Monday's midnight.
fn shifts() -> Vec<Check> {
    const DAY: f64 = 24.0;
    // start h, work h, hours open, end h.
    [
        (4.0 * DAY + 12.0, 10, "open: [Mon-Fri 08:00-16:00]", 7.0 * DAY + 14.0),
        (
            4.0 * DAY + 10.0,
            5,
            "open: [Mon-Fri 08:00-16:00], breaks: [Mon-Fri 12:00-12:30]",
            4.0 * DAY + 15.5,
        ),
        (5.0 * DAY + 9.0, 3, "open: [Mon-Fri 08:00-16:00]", 7.0 * DAY + 11.0),
        (
            14.0,
            20,
            "open: [Mon-Fri 08:00-16:00], breaks: [Mon-Fri 12:00-12:30]",
            3.0 * DAY + 11.0,
        ),
        (4.0 * DAY + 16.0, 1, "open: [Mon-Fri 08:00-16:00]", 7.0 * DAY + 9.0),
        (4.0 * DAY + 20.0, 5, "open: [Mon-Fri 06:00-22:00]", 7.0 * DAY + 9.0),
        (
            23.0,
            10,
            "open: [Mon-Fri 22:00-06:00], closed: [2027-01-05]",
            3.0 * DAY + 1.0,
        ),
    ]
    .into_iter()
    .map(|(start, work, open, end)| {
        let text = format!(
            "format: 2\nname: shifts\nrun: {{ seed: 1, warm_up: 0 h, measure: 180 h, run_out: 300 h, start: 2027-01-04 }}\n\
             calendars: {{ day: {{ {open} }} }}\nproducts: {{ piece: {{}} }}\nstations:\n  s1: {{ work: bench, time: {work} h, machines: {{ server: {{ calendar: day }} }} }}\n\
             orders: [{{ name: one, every: {start} h, products: {{ piece: 100 % }} }}]\n"
        );
        check(
            format!("{work} h of work from hour {start} of the week, {}", open.replace("open: ", "")),
            "worked by hand",
            "opening hours, breaks, weekends, a closed day",
            text,
            (&format!("time: {work} h"), &format!("time: {:.2} h", f64::from(work) * 1.06)),
            vec![Claim::story("end, hours since Monday 00:00", first_end_h, end)],
        )
    })
    .collect()
}
