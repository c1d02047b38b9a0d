//! The rules of docs/concepts/rules.md that have no older test: each by a small book worked by hand, and a test that
//! every rule of the page names code and a test that exist.

use super::*;

/// F1. Five criteria, the fifth alone tells y (5 min) from z (3 min): z goes first, though y came first.
#[test]
fn every_criterion_counts() {
    let rules =
        "next: [class_first, earliest_due, same_family, shortest_changeover, shortest_work]";
    let text = bench(
        "times: { a: 10 min, b: 5 min, c: 3 min }",
        &format!("{rules},"),
        "m: {}",
    );
    let book = rows(&[
        ("x", "rush", "a", 1, 0),
        ("y", "rush", "b", 1, 1),
        ("z", "rush", "c", 1, 2),
    ]);
    assert_eq!(run(&text, &book).done(), [10.0, 18.0, 13.0]);
    // Nobody has a promise, so time to spare tells nothing either, by difference or by ratio.
    for fourth in ["least_slack", "critical_ratio"] {
        let text = text.replace("earliest_due", fourth);
        assert_eq!(run(&text, &book).done(), [10.0, 18.0, 13.0], "{fourth}");
    }
}

/// F2. Three orders of 10 min that join at one instant go by due date, whatever their rows.
#[test]
fn what_joins_together_goes_by_due_date() {
    let book = "order,class,product,quantity,release,due\n\
                x,rush,a,1,2027-01-04 00:00,2027-01-04 09:00\n\
                y,rush,a,1,2027-01-04 00:00,2027-01-04 08:00\n\
                z,rush,a,1,2027-01-04 00:00,2027-01-04 07:00\n";
    let seen = run(&bench("time: 10 min", "", "m: {}"), book);
    let mut done: Vec<(i64, f64)> = (seen.trace.orders.iter())
        .map(|o| (o.due.unwrap(), o.done.unwrap() as f64 / MIN as f64))
        .collect();
    done.sort_by_key(|row| row.0);
    assert_eq!(
        done.iter().map(|row| row.1).collect::<Vec<_>>(),
        [10.0, 20.0, 30.0]
    );
}

/// F3. Machine p changes over for 9 min from b to a and is free; q is dressed for a and busy with one for 8 more
/// minutes of its 10. A run takes 10 min: by q it ends at 2 + 8 + 10 = 20, by p at 2 + 9 + 10 = 21. It waits for q.
#[test]
fn a_lot_waits_for_the_machine_that_ends_first() {
    let change = "changeover: { table: [{ from: a, to: a, time: 0 min }, { from: any, to: any, time: 9 min }] }";
    let machines = format!("p: {{ dressed_for: b, {change} }}, q: {{ dressed_for: a, {change} }}");
    let book = rows(&[("x", "rush", "a", 1, 0), ("y", "rush", "a", 1, 2)]);
    let seen = run(&bench("time: 10 min", "", &machines), &book);
    assert_eq!(seen.done(), [10.0, 20.0]);
    assert_eq!(seen.taken("q"), [0.0, 10.0]);
}

/// F3. Machine q is on A since 0, for 10 min; p is free and has 5 min to change over. At 9 a further lot of A comes: q is
/// through with it at 20, p at 24, so it waits. Were the whole 10 min of q still counted, it would seem to be 29.
#[test]
fn what_is_left_is_what_is_left_at_that_moment() {
    let change = "changeover: { table: [{ from: a, to: a, time: 0 min }, { from: any, to: any, time: 5 min }] }";
    let machines = format!("p: {{ dressed_for: b, {change} }}, q: {{ dressed_for: a, {change} }}");
    let book = rows(&[("x", "rush", "a", 1, 0), ("y", "rush", "a", 1, 9)]);
    let seen = run(&bench("time: 10 min", "", &machines), &book);
    assert_eq!(seen.taken("q"), [0.0, 10.0]);
    assert_eq!(seen.done(), [10.0, 20.0]);
}

/// F4. Eighty orders of 10 min on eighty machines: all are done at once.
#[test]
fn eighty_machines_all_work() {
    let text = bench("time: 10 min", "", "m: { count: 50 }, n: { count: 30 }");
    let list: Vec<String> = (0..80).map(|n| format!("o{n},rush,a,1")).collect();
    let book = format!("order,class,product,quantity\n{}\n", list.join("\n"));
    assert!(run(&text, &book).done().iter().all(|&at| at == 10.0));
}

fn two_stations(keys: &str, pool: &str) -> String {
    format!(
        "format: 2\nname: floor\nrun: {{ warm_up: 0 min, measure: 1 wk, run_out: 1 wk }}\n\
         people: {{ crew: {{ shifts: {{ always: 1 }}{pool} }} }}\n\
         products: {{ a: {{ route: [early] }}, b: {{ route: [late] }}, c: {{ route: [early] }} }}\n\
         stations:\n  early: {{ work: bench, time: 10 min, machines: {{ e: {{ {keys} }} }} }}\n  \
         late: {{ work: bench, time: 10 min, machines: {{ l: {{ {keys} }} }} }}\n\
         classes: {{ rush: {{ rank: 0 }}, standard: {{ rank: 1 }} }}\nbook: book.csv\n"
    )
}

/// F5. One person, 10 min of work for a standard order upstream and a rush one downstream, both waiting when the
/// person is free at 10: the rush one first (20), then the standard one (30). With `first: [early]` the other way.
#[test]
fn people_go_to_the_better_class() {
    let crew = "crew: { run: { crew: 1 } }";
    let book = rows(&[
        ("x", "standard", "a", 1, 0),
        ("y", "standard", "c", 1, 1),
        ("z", "rush", "b", 1, 2),
    ]);
    assert_eq!(
        run(&two_stations(crew, ""), &book).done(),
        [10.0, 30.0, 20.0]
    );
    assert_eq!(
        run(&two_stations(crew, ", first: [early]"), &book).done(),
        [10.0, 20.0, 30.0]
    );
}

/// F7. Rush work of 10 min comes every 10 min, and standard work waits from 0 on. With `crew_wait: 25 min` it has
/// waited too long when the person is free at 30, and is served then.
#[test]
fn who_waits_long_is_served() {
    let crew = "crew: { run: { crew: 1 } }";
    let mut list = vec![("s", "standard", "a", 1, 1)];
    let names = ["r0", "r1", "r2", "r3", "r4", "r5"];
    for (n, name) in names.iter().enumerate() {
        list.push((name, "rush", "b", 1, 10 * n as u32));
    }
    list.sort_by_key(|row| row.4);
    let done = |pool: &str| run(&two_stations(crew, pool), &rows(&list)).done()[1];
    assert_eq!(done(""), 70.0);
    assert_eq!(done(", crew_wait: 25 min"), 40.0);
}

/// F8. One person: work of 20 min from 0 on, the other machine waits for the person and closes from 10 to 15 min
/// past: 15 open minutes of waiting for people and 5 off shift.
#[test]
fn a_break_does_not_change_the_cause() {
    let text = two_stations("crew: { run: { crew: 1 } }", "")
        .replacen("time: 10 min", "time: 20 min", 1)
        .replacen(
            "products:",
            "calendars: { gap: { open: [Mon-Sun 00:00-00:10, Mon-Sun 00:15-24:00] } }\nproducts:",
            1,
        )
        .replacen("machines: { l: { ", "machines: { l: { calendar: gap, ", 1);
    let seen = run(
        &text,
        &rows(&[("x", "standard", "a", 1, 0), ("y", "standard", "b", 1, 0)]),
    );
    let order = seen.trace.orders.iter().find(|o| o.order == 1).unwrap();
    let stations = seen.model.stations.len();
    let of = |spent: Spent| order.split[stations + spent as usize] / MIN;
    assert_eq!((of(Spent::People), of(Spent::OffShift)), (15, 5));
    assert_eq!(seen.done(), [20.0, 30.0]);
}

/// F9. Work of 20 min from 0 on, a breakdown after 5 min, 10 min of repair; the machine is open throughout, its one
/// person is away from 10 to 30. By the crew: 5 min of repair, then it stands, 5 min more from 30 on, and the rest
/// of the run to 50. By a service, which needs nobody: mended at 15, the run goes on at 30 and ends at 45.
#[test]
fn a_repair_stands_still_without_its_crew() {
    let text = |by: &str| {
        two_stations(
            &format!("crew: {{ run: {{ crew: 1 }} }}, breakdowns: [{{ every: 5 min, repair: 10 min{by} }}]"),
            "",
        )
        .replacen("time: 10 min", "time: 9 min", 1)
        .replacen("shifts: { always: 1 }", "shifts: { there: 1 }", 1)
        .replacen("products:", "calendars: { there: { open: [Mon-Sun 00:00-00:10, Mon-Sun 00:30-24:00] } }\nproducts:", 1)
    };
    let book = rows(&[("x", "standard", "a", 1, 0)]);
    assert_eq!(run(&text(""), &book).done(), [39.0]);
    assert_eq!(run(&text(", by: service"), &book).done(), [34.0]);
}

/// F10. Standard work of 60 min from 0 on, the machine is closed from 5 to 15; a rush order of 10 min comes at 10 and
/// takes the machine when it opens: 25. The rest of the standard one, 55 min, ends at 80.
#[test]
fn a_rush_lot_takes_the_machine_when_it_opens() {
    let text = bench(
        "times: { a: 60 min, b: 10 min, c: 1 min }",
        "interrupt: at_once, next: [class_first],",
        "m: { calendar: gap }",
    )
    .replacen(
        "calendars: { ",
        "calendars: { gap: { open: [Mon-Sun 00:00-00:05, Mon-Sun 00:15-24:00] }, ",
        1,
    );
    let book = rows(&[("x", "standard", "a", 1, 0), ("y", "rush", "b", 1, 10)]);
    assert_eq!(run(&text, &book).done(), [80.0, 25.0]);
}

/// F11. A lot of 20 min is taken off at 5 by a rush lot of 10 min and again at 15 by the next one: what was run stays
/// run, so it needs 15 min more from 25 on.
#[test]
fn what_is_interrupted_keeps_its_metres() {
    let text = bench(
        "times: { a: 20 min, b: 10 min, c: 1 min }",
        "interrupt: at_once, next: [class_first],",
        "m: {}",
    );
    let book = rows(&[
        ("x", "standard", "a", 1, 0),
        ("y", "rush", "b", 1, 5),
        ("z", "rush", "b", 1, 15),
    ]);
    assert_eq!(run(&text, &book).done(), [40.0, 15.0, 25.0]);
}

/// F12. Two reels of one roll, cut to five parts at the pouch machine, whose roll change takes 7 min: the second reel is
/// mounted once, whatever the parts, so the run ends as if it were whole.
#[test]
fn parts_of_one_roll_need_one_mounting() {
    let change = ("roll_change: 0 min", "roll_change: 7 min");
    let cut = (
        "pouch: { work: pouching,",
        "pouch: { work: pouching, lot: 400 pouches,",
    );
    let whole = run(&with(&[change]), ONE).left("pouch");
    let parts = run(&with(&[change, cut]), ONE).left("pouch");
    assert_eq!(parts.len(), 5);
    assert!((parts[4] - whole[0]).abs() < 0.01, "{parts:?} {whole:?}");
}

/// F13. One cure place: two rolls are laminated one after the other on Monday, the first is cured after 24 h, but the
/// slitter works only from Wednesday on. Its place is free when the slitter takes it; with `hold_end` a day earlier.
#[test]
fn a_cure_place_is_free_when_the_roll_is_taken_out() {
    let text = |at: &str| {
        with(&[
            (
                "rooms: {}",
                &format!("rooms: {{ rack: {{ places: 1{at} }} }}"),
            ),
            (
                "process: solventless,",
                "process: solventless, racks: rack,",
            ),
            ("slit: { speed", "slit: { calendar: midweek, speed"),
            (
                "calendars: { ",
                "calendars: { midweek: { open: [Wed-Fri 00:00-24:00] }, ",
            ),
        ])
    };
    let blocked = |at: &str| run(&text(at), TWO).states("lam", State::Blocked)[0].1;
    assert_eq!(blocked(""), 2.0 * 1440.0);
    let early = blocked(", free_at: hold_end");
    assert!((early - 1440.0 - 10.0).abs() < 0.2, "{early}");
}

/// F14. The machine is open five minutes a day; x (a) takes the first day. The next morning b has waited 4 open minutes
/// and needs a changeover of 1 min, a does not. With `family_wait: 10 min` a goes first, though a night has passed;
/// with `4 min` b does, and pays its minute on the day after.
#[test]
fn a_family_ends_by_open_time_or_number() {
    let seen = |wait: &str| {
        let table = "changeover: { table: [{ from: a, to: a, time: 0 min }, { from: any, to: any, time: 1 min }] }";
        let text = bench(
            "time: 5 min",
            &format!("next: [shortest_changeover], family_wait: {wait},"),
            &format!("m: {{ calendar: early, dressed_for: a, {table} }}"),
        );
        let book = rows(&[
            ("x", "rush", "a", 1, 0),
            ("y", "rush", "b", 1, 1),
            ("z", "rush", "a", 1, 2),
        ]);
        run(&text, &book).done()
    };
    let day = 1440.0;
    assert_eq!(seen("10 min"), [5.0, 3.0 * day + 1.0, day + 5.0]);
    assert_eq!(seen("4 min"), [5.0, 2.0 * day + 1.0, 3.0 * day + 2.0]);
}

/// F14. Work of 5 min, a minute more for another product. At 5 the machine has made x (a); y (b) is due at 20, so it has
/// 20 - 5 - 5 = 10 min to spare. Below 11 min it goes before z (a): 11, then z at 17. Below 9 it waits: 10, then 16.
#[test]
fn a_family_ends_for_what_gets_late() {
    let seen = |slack: &str| {
        let table = "changeover: { table: [{ from: a, to: a, time: 0 min }, { from: b, to: b, time: 0 min }, { from: any, to: any, time: 1 min }] }";
        let text = bench(
            "time: 5 min",
            &format!("next: [shortest_changeover], family_slack: {slack},"),
            &format!("m: {{ dressed_for: a, {table} }}"),
        );
        let book = "order,product,quantity,release,due\nx,a,1,2027-01-04 00:00,2027-01-05 00:00\n\
                    y,b,1,2027-01-04 00:01,2027-01-04 00:20\nz,a,1,2027-01-04 00:02,2027-01-05 00:00\n";
        run(&text, book).done()
    };
    assert_eq!(seen("11 min"), [5.0, 11.0, 17.0]);
    assert_eq!(seen("9 min"), [5.0, 16.0, 10.0]);
}

/// Every rule of the page names a file of the floor and a test that exist.
#[test]
fn every_rule_has_code_and_a_test() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let page = std::fs::read_to_string(root.join("docs/concepts/rules.md")).unwrap();
    let mut tests = String::new();
    for entry in std::fs::read_dir(root.join("tests/floor")).unwrap() {
        tests += &std::fs::read_to_string(entry.unwrap().path()).unwrap();
    }
    let rules: Vec<&str> = page
        .lines()
        .filter(|line| line.starts_with("| F"))
        .collect();
    assert!(rules.len() >= 15);
    for rule in rules {
        let cells: Vec<&str> = rule.trim_matches('|').split(" | ").map(str::trim).collect();
        for code in cells[2].split(", ") {
            let file = root.join(format!("sim/shop/{}.rs", code.trim_matches('`')));
            assert!(file.exists(), "{}: {code}", cells[0]);
        }
        let test = cells[3].trim_matches(|c| c == '`' || c == ' ' || c == '|');
        assert!(
            tests.contains(&format!("fn {test}()")),
            "{}: {test}",
            cells[0]
        );
    }
}

/// Overtime is for the order that is on the machine, whoever waits in front: x and y pass the bench twice, 20 min each
/// time. The machine closes at 10; x ends its first pass at 20 and its second at 40, in overtime, though y has waited
/// since 0 and x only since 20. y begins when the machine opens, at 480: 500 and 520.
#[test]
fn overtime_is_for_the_order_on_the_machine() {
    let text = bench(
        "time: 20 min",
        "",
        "m: { calendar: early, shift_end: finish_order, overtime: 3 h }",
    )
    .replacen("a: {}", "a: { route: [bench, bench] }", 1)
    .replacen("00:00-00:05", "00:00-00:10, Mon-Sun 08:00-16:00", 1);
    let book = rows(&[("x", "rush", "a", 1, 0), ("y", "rush", "a", 1, 0)]);
    assert_eq!(run(&text, &book).done(), [40.0, 520.0]);
}
