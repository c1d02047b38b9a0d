//! Whether a cell keeps up, and what limits it, in small cells whose answer is known beforehand.

mod common;

use pouchcast::scenario;
use pouchcast::summary::{Standing, Warning};

use common::summary_of as run;

/// A bench around the clock to which an order comes every hour; `minutes` of work each.
fn bench(run: &str, minutes: u32) -> String {
    format!(
        "format: 2
name: bench
run: {{ seed: 3, replications: 20, {run} }}
products: {{ piece: {{ route: [bench] }} }}
stations:
  bench:
    work: bench
    time: \"exponential, mean {minutes} min\"
    machines: {{ table: {{ calendar: always }} }}
orders:
  - {{ name: shop, every: \"exponential, mean 1 h\", products: {{ piece: 100 % }}, quantity: 1 }}
"
    )
}

/// Offered load 0.36, started empty and looked at for twelve hours: it fills, and it can do nearly three times as much.
#[test]
fn a_cell_that_fills_is_not_one_that_cannot_keep_up() {
    let summary = run(&bench("warm_up: 0 h, measure: 12 h, run_out: 1 week", 22));
    assert_ne!(Standing::of(&summary), Standing::Overloaded);
    // The same cell, warmed up, keeps up.
    let summary = run(&bench(
        "warm_up: 1 week, measure: 8 weeks, run_out: 1 week",
        22,
    ));
    assert_eq!(Standing::of(&summary), Standing::Steady);
}

/// A day of a shop that is open in the morning only: orders come until the night, and nothing follows from it.
#[test]
fn one_day_says_nothing_of_keeping_up() {
    let text = bench("warm_up: 0 h, measure: 1 day, run_out: 1 week", 10)
        .replacen(
            "products:",
            "calendars: { morning: { open: [Mon-Sun 06:00-12:00] } }\nproducts:",
            1,
        )
        .replace("calendar: always", "calendar: morning");
    let summary = run(&text);
    assert_ne!(
        Standing::of(&summary),
        Standing::Overloaded,
        "{:?}",
        summary.warnings
    );
}

/// Offered load 1.2: orders grow and the table is used all of the time.
#[test]
fn a_full_bench_with_a_growing_queue_cannot_keep_up() {
    let summary = run(&bench(
        "warm_up: 1 week, measure: 8 weeks, run_out: 1 week",
        72,
    ));
    assert_eq!(Standing::of(&summary), Standing::Overloaded);
}

/// Offered load 1 exactly: growth is slow and uncertain, and the table nearly always used.
#[test]
fn a_bench_at_its_limit_is_not_said_to_keep_up() {
    let summary = run(&bench(
        "warm_up: 4 weeks, measure: 8 weeks, run_out: 4 weeks",
        60,
    ));
    let standing = Standing::of(&summary);
    assert!(
        [Standing::OnEdge, Standing::Overloaded].contains(&standing),
        "{standing:?}"
    );
}

/// A hold of ten weeks fills the cell for ten weeks; in a run of three nothing is full.
#[test]
fn a_cure_longer_than_the_run_only_fills_the_cell() {
    let text = scenario::starter()
        .replace("replications: 100", "replications: 10")
        .replace("warm_up: 4 weeks", "warm_up: 0 weeks")
        .replace("measure: 26 weeks", "measure: 3 weeks")
        .replace("pouch_after: 48 h", "pouch_after: 10 weeks")
        .replace("ship_after: 7 d", "ship_after: 11 weeks");
    let summary = run(&text);
    assert_eq!(
        Standing::of(&summary),
        Standing::Filling,
        "{:?}",
        summary.warnings
    );
    let told = |w: &Warning| matches!(w, Warning::Filling(orders, _) if *orders > 0.0);
    assert!(summary.warnings.iter().any(told));
}

/// Packers are there two hours a day, work for twelve comes: the table stands and waits for them.
#[test]
fn a_machine_that_waits_for_people_is_what_limits() {
    let text = bench("warm_up: 1 week, measure: 8 weeks, run_out: 1 week", 30)
        .replace(
            "{ calendar: always }",
            "{ calendar: always, crew: { run: { packers: 1 } } }",
        )
        .replacen(
            "products:",
            "calendars: { morning: { open: [Mon-Sun 06:00-08:00] } }
people: { packers: { shifts: { morning: 1 } } }
products:",
            1,
        );
    let summary = run(&text);
    assert_eq!(Standing::of(&summary), Standing::Overloaded);
    let machine = summary.bottleneck.machine.unwrap();
    assert_eq!(
        (machine.name.as_str(), machine.people),
        ("table", vec!["packers".to_owned()])
    );
    assert!(
        machine.waits_people > 0.85 && machine.used < 0.15,
        "{}",
        machine.used
    );
}

/// Work of 20 min comes every hour, a third of the time of the table. First come, first served, every second order
/// changes over for 100 min: 20 + 50 = 70 min an order are more than the hour there is, though the arithmetic load is
/// 0.33. It is the rule that holds the cell back, and it is named; with a week for the family the same cell keeps up.
#[test]
fn a_rule_that_holds_the_cell_back_is_named() {
    let cell = |wait: &str| {
        bench("warm_up: 1 week, measure: 12 weeks, run_out: 1 week", 20)
            .replace("products: { piece: { route: [bench] } }", "products: { a: {}, b: {} }")
            .replace("piece: 100 %", "a: 50 %, b: 50 %")
            .replace(
                "work: bench",
                &format!("work: bench\n    next: [shortest_changeover, first_come]\n    family_wait: {wait}"),
            )
            .replace(
                "calendar: always",
                "calendar: always, changeover: { table: [{ from: a, to: b, time: 100 min }, { from: b, to: a, time: 100 min }] }",
            )
    };
    let summary = run(&cell("1 min"));
    assert_eq!(Standing::of(&summary), Standing::Overloaded);
    assert_eq!(held_back(&summary).len(), 1, "{:?}", summary.warnings);
    assert!(held_back(&summary)[0].contains("family_wait: 1 min"));
    let summary = run(&cell("1 wk"));
    assert_eq!(Standing::of(&summary), Standing::Steady);
    assert!(held_back(&summary).is_empty());
}

/// The table is open day and night and a third full by arithmetic, but its one person is there for six hours a day,
/// which is less than the eight hours of work: people hold it back, not the table.
#[test]
fn people_that_hold_the_cell_back_are_named() {
    let cell = bench("warm_up: 1 week, measure: 12 weeks, run_out: 1 week", 20)
        .replacen(
            "products:",
            "calendars: { morning: { open: [Mon-Sun 06:00-12:00] } }\npeople: { crew: { shifts: { morning: 1 } } }\nproducts:",
            1,
        )
        .replace("calendar: always", "calendar: always, crew: { run: { crew: 1 } }");
    let summary = run(&cell);
    assert_eq!(Standing::of(&summary), Standing::Overloaded);
    assert!(
        held_back(&summary)[0].contains("people (crew)"),
        "{:?}",
        summary.warnings
    );
}

fn held_back(summary: &pouchcast::summary::Summary) -> Vec<&String> {
    let told = summary.warnings.iter().filter_map(|warning| match warning {
        Warning::HeldBack(_, what) => Some(what),
        _ => None,
    });
    told.collect()
}
