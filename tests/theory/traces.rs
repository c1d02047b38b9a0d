//! Runs without chance that were worked by hand: exact equality, to the microsecond.
//!
//! Each customer is a stream of its own, one order long, and a product with its own times. The first order of
//! a stream comes after its first gap; all arrivals are moved by `AHEAD` so that the second one of every
//! stream lies beyond the end of the run.

use pouchcast::model::{self, Model};
use pouchcast::observe::{Layout, OrderRow, Trace};
use pouchcast::plant::{Plant, Process};
use pouchcast::random::Dist;
use pouchcast::units::{Tick, ticks_from_minutes};
use pouchcast::{replicate, scenario};

const AHEAD: f64 = 1_000.0;

/// Reads a scenario; a bad one panics with the reader's own words.
fn plant(text: &str) -> Plant {
    match scenario::read("theory.yaml", text.as_bytes()) {
        Ok(loaded) => loaded.plant,
        Err(report) => panic!("{}\n{text}", report.render(false, 100)),
    }
}

/// Story of the first replication of a plant.
fn traced(plant: Plant) -> (Model, Trace) {
    let model = model::compile(plant);
    let layout = Layout::new(&model);
    let (_, trace, _) = replicate::traced(&model, &layout, 0);
    (model, trace)
}

/// Customers by arrival and the times they need at each station, minutes.
struct Customers<'a> {
    arrive: &'a [f64],
    /// By station, by customer.
    times: &'a [&'a [f64]],
    /// Keys of each station besides work and times.
    stations: &'a [&'a str],
    /// By customer: station numbers from 1 in order; empty: all in order.
    routes: &'a [Vec<usize>],
    /// By customer: promise in minutes; empty: none.
    promises: &'a [f64],
}

impl Customers<'_> {
    fn text(&self) -> String {
        let mut text = format!(
            "format: 2\nname: trace\nrun: {{ seed: 1, replications: 1, warm_up: 0 min, measure: {} min, run_out: 0 min }}\nproducts:\n",
            2.0 * AHEAD - 1.0
        );
        for n in 0..self.arrive.len() {
            match self.routes.get(n) {
                Some(route) => {
                    let names: Vec<String> = route.iter().map(|s| format!("s{s}")).collect();
                    text += &format!("  c{n}: {{ route: [{}] }}\n", names.join(", "));
                }
                None => text += &format!("  c{n}: {{}}\n"),
            }
        }
        text += "stations:\n";
        for (s, keys) in self.stations.iter().enumerate() {
            let times: Vec<String> = self.times[s]
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
        if !self.promises.is_empty() {
            text += "classes:\n";
            for (n, promise) in self.promises.iter().enumerate() {
                text += &format!("  k{n}: {{ promise: {promise} min }}\n");
            }
        }
        text += "orders:\n";
        for (n, arrive) in self.arrive.iter().enumerate() {
            let class = if self.promises.is_empty() {
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

    /// Finished orders by customer.
    fn run(&self) -> Vec<OrderRow> {
        by_customer(traced(plant(&self.text())).1.orders)
    }
}

fn by_customer(mut orders: Vec<OrderRow>) -> Vec<OrderRow> {
    orders.sort_by_key(|o| o.product);
    assert!(
        orders
            .iter()
            .enumerate()
            .all(|(n, o)| o.product == n && o.done.is_some()),
        "one order each, all done"
    );
    orders
}

/// Minutes after the first arrival's zero.
fn at(minutes: f64) -> Tick {
    ticks_from_minutes(AHEAD + minutes)
}

fn span(minutes: f64) -> Tick {
    ticks_from_minutes(minutes)
}

/// Waits and ends must be as given.
fn assert_trace(orders: &[OrderRow], waits: &[f64], ends: &[f64]) {
    for (n, order) in orders.iter().enumerate() {
        assert_eq!(order.split[0], span(waits[n]), "wait of customer {}", n + 1);
        assert_eq!(order.done, Some(at(ends[n])), "end of customer {}", n + 1);
    }
}

const ONE: &str = "machines: { server: {} }";

/// Lindley's recursion by hand.
#[test]
fn lindley_by_hand() {
    let customers = Customers {
        arrive: &[0.0, 2.0, 3.0, 7.0, 8.0, 8.5, 12.0],
        times: &[&[3.0, 2.0, 1.0, 4.0, 0.5, 2.0, 1.0]],
        stations: &[ONE],
        routes: &[],
        promises: &[],
    };
    assert_trace(
        &customers.run(),
        &[0.0, 1.0, 2.0, 0.0, 3.0, 3.0, 1.5],
        &[3.0, 5.0, 6.0, 11.0, 11.5, 13.5, 14.5],
    );
    // Two machines (Kiefer and Wolfowitz): nobody waits.
    let two = Customers {
        stations: &["machines: { server: { count: 2 } }"],
        ..customers
    };
    assert_trace(
        &two.run(),
        &[0.0; 7],
        &[3.0, 4.0, 4.0, 11.0, 8.5, 10.5, 13.0],
    );
}

/// Law, Simulation Modeling and Analysis, chapter 1 (from memory): delays of the first six customers.
#[test]
fn first_example_of_law() {
    let customers = Customers {
        arrive: &[0.4, 1.6, 2.1, 3.8, 4.0, 5.6],
        times: &[&[2.0, 0.7, 0.2, 1.1, 3.7, 0.6]],
        stations: &[ONE],
        routes: &[],
        promises: &[],
    };
    let orders = customers.run();
    for (order, delay) in orders.iter().zip([0.0, 0.8, 1.0, 0.0, 0.9, 3.0]) {
        assert_eq!(order.split[0], span(delay));
    }
    let total: Tick = orders.iter().map(|o| o.split[0]).sum();
    assert_eq!(total, span(5.7));
}

/// Leemis and Park, Discrete-Event Simulation: A First Course, ten jobs (from memory).
#[test]
fn ten_jobs_of_leemis_and_park() {
    let customers = Customers {
        arrive: &[
            15.0, 47.0, 71.0, 111.0, 123.0, 152.0, 166.0, 226.0, 310.0, 320.0,
        ],
        times: &[&[43.0, 36.0, 34.0, 30.0, 38.0, 40.0, 31.0, 29.0, 36.0, 30.0]],
        stations: &[ONE],
        routes: &[],
        promises: &[],
    };
    assert_trace(
        &customers.run(),
        &[0.0, 11.0, 23.0, 17.0, 35.0, 44.0, 70.0, 41.0, 0.0, 26.0],
        &[
            58.0, 94.0, 128.0, 158.0, 196.0, 236.0, 267.0, 296.0, 346.0, 376.0,
        ],
    );
}

/// Banks, Carson, Nelson and Nicol, Discrete-Event System Simulation: the grocery checkout (from memory).
#[test]
fn grocery_checkout() {
    let arrive = [
        0, 8, 14, 15, 23, 26, 34, 41, 43, 46, 47, 48, 53, 59, 62, 70, 71, 73, 77, 82,
    ]
    .map(f64::from);
    let times = [4, 1, 4, 3, 2, 4, 5, 4, 5, 3, 3, 5, 4, 1, 5, 4, 3, 3, 2, 3].map(f64::from);
    let waits = [0, 0, 0, 3, 0, 0, 0, 0, 2, 4, 6, 8, 8, 6, 4, 1, 4, 5, 4, 1].map(f64::from);
    let ends = [
        4, 9, 18, 21, 25, 30, 39, 45, 50, 53, 56, 61, 65, 66, 71, 75, 78, 81, 83, 86,
    ]
    .map(f64::from);
    let orders = Customers {
        arrive: &arrive,
        times: &[&times],
        stations: &[ONE],
        routes: &[],
        promises: &[],
    }
    .run();
    assert_trace(&orders, &waits, &ends);
    let wait: Tick = orders.iter().map(|o| o.split[0]).sum();
    let stay: Tick = orders
        .iter()
        .map(|o| o.done.unwrap_or(0) - o.released)
        .sum();
    assert_eq!((wait, stay), (span(56.0), span(124.0)));
}

/// Two unlike servers ("Able and Baker"), the first has the choice when both are free; same book (from memory).
/// A bench has one time for all its machines in a file, so the second machine's times are put into the plant.
#[test]
fn two_unlike_servers() {
    let gaps = [
        2, 4, 4, 2, 2, 3, 3, 3, 1, 2, 2, 2, 1, 2, 2, 2, 3, 2, 2, 4, 1, 2, 3, 1, 4,
    ]
    .map(f64::from);
    let mut arrive = vec![0.0];
    for gap in gaps {
        arrive.push(arrive.last().copied().unwrap_or(0.0) + gap);
    }
    let digits = [
        95, 21, 51, 92, 89, 38, 13, 61, 50, 49, 39, 53, 88, 1, 81, 53, 81, 64, 1, 67, 1, 47, 75,
        57, 87, 47,
    ];
    let able: Vec<f64> = digits
        .iter()
        .map(|&d| [30, 58, 83].iter().filter(|&&e| d > e).count() as f64 + 2.0)
        .collect();
    let baker: Vec<f64> = digits
        .iter()
        .map(|&d| [35, 60, 80].iter().filter(|&&e| d > e).count() as f64 + 3.0)
        .collect();
    let customers = Customers {
        arrive: &arrive,
        times: &[&able],
        stations: &["machines: { able: {}, baker: {} }"],
        routes: &[],
        promises: &[],
    };
    let mut plant = plant(&customers.text());
    if let Process::Bench(bench) = &mut plant.stations[0].machines[1].process {
        bench.times = baker.iter().map(|&t| Some(Dist::Constant(t))).collect();
    }
    let (_, trace) = traced(plant);
    let orders = by_customer(trace.orders);
    let ends = [
        5, 5, 9, 15, 18, 18, 20, 24, 27, 27, 30, 32, 35, 35, 39, 39, 43, 45, 45, 49, 51, 52, 56,
        57, 62, 62,
    ]
    .map(f64::from);
    let waits = [
        0, 0, 0, 0, 0, 1, 1, 0, 0, 0, 1, 0, 0, 1, 2, 0, 2, 0, 1, 1, 0, 0, 0, 0, 1, 0,
    ]
    .map(f64::from);
    assert_trace(&orders, &waits, &ends);
    let busy = |m: usize| -> Tick {
        trace
            .states
            .iter()
            .filter(|r| r.machine == m && r.state == pouchcast::record::State::Running)
            .map(|r| r.to - r.from)
            .sum()
    };
    assert_eq!(
        (busy(0), busy(1)),
        (span(56.0), span(43.0)),
        "Able and Baker busy"
    );
}

/// One machine, five jobs at once: work 6 2 8 3 9, due 8 6 18 15 23 (Heizer and Render, from memory).
/// Sum of completion times 77 first come, 65 shortest first, 68 earliest due; late minutes 11, 9, 6.
#[test]
fn one_machine_three_rules() {
    const DUES: [f64; 5] = [8.0, 6.0, 18.0, 15.0, 23.0];
    for (rule, flow, late) in [
        ("first_come", 77.0, 11.0),
        ("shortest_work", 65.0, 9.0),
        ("earliest_due", 68.0, 6.0),
    ] {
        let orders = Customers {
            arrive: &[0.0; 5],
            times: &[&[6.0, 2.0, 8.0, 3.0, 9.0]],
            stations: &[&format!("next: [{rule}], machines: {{ server: {{}} }}")],
            routes: &[],
            // Orders that join at one instant go by their due dates: first come, first served is told none.
            promises: if rule == "first_come" { &[] } else { &DUES },
        }
        .run();
        let done = |o: &OrderRow| o.done.unwrap_or(0);
        let total: Tick = orders.iter().map(|o| done(o) - at(0.0)).sum();
        let tardy: Tick = orders
            .iter()
            .map(|o| (done(o) - at(0.0) - span(DUES[o.order as usize])).max(0))
            .sum();
        assert_eq!((total, tardy), (span(flow), span(late)), "{rule}");
    }
}

/// Two machines one after the other in Johnson's order (Johnson 1954; Heizer and Render; both from memory).
#[test]
fn two_machines_in_johnsons_order() {
    let cases: [(&[(f64, f64)], f64); 4] = [
        // Johnson's order 5 1 4 3 2, then the worst one.
        (
            &[(2.0, 3.0), (4.0, 5.0), (6.0, 30.0), (30.0, 4.0), (4.0, 1.0)],
            47.0,
        ),
        (
            &[(3.0, 6.0), (7.0, 12.0), (10.0, 7.0), (8.0, 4.0), (5.0, 2.0)],
            35.0,
        ),
        (
            &[(1.0, 7.0), (3.0, 6.0), (7.0, 5.0), (5.0, 4.0), (10.0, 2.0)],
            28.0,
        ),
        (
            &[(5.0, 2.0), (8.0, 4.0), (10.0, 7.0), (7.0, 12.0), (3.0, 6.0)],
            48.0,
        ),
    ];
    for (jobs, makespan) in cases {
        let first: Vec<f64> = jobs.iter().map(|j| j.0).collect();
        let second: Vec<f64> = jobs.iter().map(|j| j.1).collect();
        let orders = Customers {
            arrive: &vec![0.0; jobs.len()],
            times: &[&first, &second],
            stations: &["machines: { m1: {} }", "machines: { m2: {} }"],
            routes: &[],
            promises: &[],
        }
        .run();
        let last = orders.iter().filter_map(|o| o.done).max();
        assert_eq!(last, Some(at(makespan)), "{jobs:?}");
    }
}

/// FT06 (Fisher and Thompson 1963), optimum 55. Shortest operation first without idling gives 88 (literature, from
/// memory), job ends by an independent event-driven program. First come depends on who is said to come first when
/// two come at one instant (65 in the literature with the lower job first), so it is held to the optimum only.
#[test]
fn fisher_and_thompson_six_by_six() {
    let jobs: [[(usize, f64); 6]; 6] = [
        [(2, 1.0), (0, 3.0), (1, 6.0), (3, 7.0), (5, 3.0), (4, 6.0)],
        [
            (1, 8.0),
            (2, 5.0),
            (4, 10.0),
            (5, 10.0),
            (0, 10.0),
            (3, 4.0),
        ],
        [(2, 5.0), (3, 4.0), (5, 8.0), (0, 9.0), (1, 1.0), (4, 7.0)],
        [(1, 5.0), (0, 5.0), (2, 5.0), (3, 3.0), (4, 8.0), (5, 9.0)],
        [(2, 9.0), (1, 3.0), (4, 5.0), (5, 4.0), (0, 3.0), (3, 1.0)],
        [(1, 3.0), (3, 3.0), (5, 9.0), (0, 10.0), (4, 4.0), (2, 1.0)],
    ];
    let routes: Vec<Vec<usize>> = jobs
        .iter()
        .map(|j| j.iter().map(|o| o.0 + 1).collect())
        .collect();
    let times: Vec<Vec<f64>> = (0..6)
        .map(|m| {
            jobs.iter()
                .map(|j| j.iter().find(|o| o.0 == m).map_or(0.0, |o| o.1))
                .collect()
        })
        .collect();
    let times: Vec<&[f64]> = times.iter().map(Vec::as_slice).collect();
    let shortest = [47.0, 88.0, 54.0, 41.0, 49.0, 37.0].map(|end| Some(at(end)));
    for (rule, ends) in [("first_come", None), ("shortest_work", Some(shortest))] {
        let keys: Vec<String> = (0..6)
            .map(|m| format!("next: [{rule}], machines: {{ m{m}: {{}} }}"))
            .collect();
        let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        let orders = Customers {
            arrive: &[0.0; 6],
            times: &times,
            stations: &keys,
            routes: &routes,
            promises: &[],
        }
        .run();
        let seen: Vec<Option<Tick>> = orders.iter().map(|o| o.done).collect();
        assert!(
            seen.iter().flatten().max() >= Some(&at(55.0)),
            "no schedule beats the optimum"
        );
        if let Some(ends) = ends {
            assert_eq!(seen, ends, "{rule}");
        }
    }
}

/// Shifts, breaks and weekends: work that starts at a moment of the week ends at another (worked by hand).
/// The clock's zero is a Monday's midnight.
#[test]
fn work_over_shifts_breaks_and_weekends() {
    const DAY: f64 = 24.0;
    // start, work, hours open, end; hours since Monday 00:00.
    for (start, work, open, end) in [
        (
            4.0 * DAY + 12.0,
            10.0,
            "open: [Mon-Fri 08:00-16:00]",
            7.0 * DAY + 14.0,
        ),
        (
            4.0 * DAY + 10.0,
            5.0,
            "open: [Mon-Fri 08:00-16:00], breaks: [Mon-Fri 12:00-12:30]",
            4.0 * DAY + 15.5,
        ),
        (
            5.0 * DAY + 9.0,
            3.0,
            "open: [Mon-Fri 08:00-16:00]",
            7.0 * DAY + 11.0,
        ),
        (
            14.0,
            20.0,
            "open: [Mon-Fri 08:00-16:00], breaks: [Mon-Fri 12:00-12:30]",
            3.0 * DAY + 11.0,
        ),
        (
            4.0 * DAY + 16.0,
            1.0,
            "open: [Mon-Fri 08:00-16:00]",
            7.0 * DAY + 9.0,
        ),
        (
            4.0 * DAY + 20.0,
            5.0,
            "open: [Mon-Fri 06:00-22:00]",
            7.0 * DAY + 9.0,
        ),
        // A night shift and a day closed: from Monday 23:00, 10 h of 22:00-06:00 with Tuesday's night closed.
        (
            23.0,
            10.0,
            "open: [Mon-Fri 22:00-06:00], closed: [2027-01-05]",
            3.0 * DAY + 1.0,
        ),
    ] {
        let text = format!(
            "format: 2\nname: shifts\nrun: {{ seed: 1, warm_up: 0 h, measure: 180 h, run_out: 300 h, start: 2027-01-04 }}\n\
             calendars: {{ day: {{ {open} }} }}\nproducts: {{ piece: {{}} }}\nstations:\n  s1: {{ work: bench, time: {work} h, machines: {{ server: {{ calendar: day }} }} }}\n\
             orders: [{{ name: one, every: {start} h, products: {{ piece: 100 % }} }}]\n"
        );
        let (_, trace) = traced(plant(&text));
        let first = trace.orders.iter().find(|o| o.order == 0);
        let done = first.and_then(|o| o.done).map(|t| t as f64 / 3.6e9);
        assert_eq!(done, Some(end), "from {start} h, {work} h, {open}");
    }
}
