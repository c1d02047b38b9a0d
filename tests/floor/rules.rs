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
        "format: 1\nname: floor\nrun: {{ warm_up: 0 min, measure: 1 wk, run_out: 1 wk }}\n\
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

/// F19. Three benches, two operators, one of quality; 5 min of look, 10 of run. x and y start at 0. x is looked at 0-5
/// and runs 5-15; y waits with its operator for the look 5-10 and runs 10-20. z, there at 1, gets the operator of x at
/// 15, is looked at 15-20 and runs 20-30: nobody took the operator who waited on y.
#[test]
fn a_start_waits_for_its_approval() {
    let m = "m: { count: 3, crew: { run: { operators: 1 } }, first_off: { time: 5 min, crew: { quality: 1 } } }";
    let people = "{ shifts: { always: 2 } }, quality: { shifts: { always: 1 } }";
    let text = bench("time: 10 min", "", m).replacen(
        "products:",
        &format!("people: {{ operators: {people} }}\nproducts:"),
        1,
    );
    let three = [
        ("x", "rush", "a", 1, 0),
        ("y", "rush", "a", 1, 0),
        ("z", "rush", "a", 1, 1),
    ];
    let seen = run(&text, &rows(&three));
    assert_eq!(seen.done(), [15.0, 20.0, 30.0]);
    assert_eq!(seen.states("m_1", State::FirstOff)[0], (0.0, 5.0));
    assert_eq!(seen.states("m_2", State::WaitPeople), [(0.0, 5.0)]);
    assert_eq!(seen.states("m_2", State::FirstOff), [(5.0, 10.0)]);
    // Twice the people of quality: y does not wait.
    let two = text.replace(
        "quality: { shifts: { always: 1 }",
        "quality: { shifts: { always: 2 }",
    );
    assert_eq!(run(&two, &rows(&three)).done(), [15.0, 15.0, 30.0]);
    // The crew looks itself: only the time.
    let alone = text.replace(", crew: { quality: 1 } }", " }");
    let seen = run(&alone, &rows(&three));
    assert_eq!(seen.done(), [15.0, 15.0, 30.0]);
    let of = |spent: Spent| seen.trace.orders[0].split[1 + spent as usize] / MIN;
    assert_eq!((of(Spent::Approval), of(Spent::Running)), (5, 10));
}

/// F19. The machine runs its start of 10 m and the first pouch of 0.1 m before it is looked at: at 10 m/min 1.01 min,
/// then 6 min of look. 210 m take 21 min; 27 with the look, and no metre more.
#[test]
fn the_first_good_comes_after_the_start() {
    let pairs = [
        (
            "zipper_change: 0 min, start_waste: 0 m",
            "zipper_change: 0 min, start_waste: 10 m",
        ),
        (
            "zipper: true, roll_change",
            "first_off: { time: 6 min }, zipper: true, roll_change",
        ),
    ];
    let seen = run(&with(&pairs), ONE);
    let (taken, left) = (seen.taken("pouch")[0], seen.left("pouch")[0]);
    assert!((left - taken - 27.0).abs() < 1e-4, "{taken} to {left}");
    let looks = seen.states("pouch", State::FirstOff);
    assert_eq!(looks.len(), 1);
    assert!((looks[0].0 - taken - 1.01).abs() < 1e-4, "{looks:?}");
    assert!((looks[0].1 - looks[0].0 - 6.0).abs() < 1e-6, "{looks:?}");
    let without = run(&with(&pairs[..1]), ONE);
    assert_eq!(seen.trace.orders[0].good, without.trace.orders[0].good);
}

/// F19. Five minutes of look, ten of run, all on one bench: a of x, a of y, b of z. After every start: 15, 30, 45. An
/// artwork is that of one SKU: the same. Of sizes there is one only: x alone is looked at.
#[test]
fn an_approval_is_asked_for_what_is_new() {
    let list = [
        ("x", "rush", "a", 1, 0),
        ("y", "rush", "a", 1, 1),
        ("z", "rush", "b", 1, 2),
    ];
    for (at, done) in [
        ("start", [15.0, 30.0, 45.0]),
        ("artwork", [15.0, 30.0, 45.0]),
        ("size", [15.0, 25.0, 35.0]),
    ] {
        let m = format!("m: {{ first_off: {{ time: 5 min, at: {at} }} }}");
        let seen = run(&bench("time: 10 min", "", &m), &rows(&list));
        assert_eq!(seen.done(), done, "{at}");
    }
}

/// F19. A gate is not left out by a closing: opened 00:00 to 00:05 each day, 3 min of look and 10 of run. Looked at
/// 0-3, run 2 + 5 + 3 min: done on the third day at 00:03. With a look of 6 min: 5 + 1, then 4 + 5 + 1 of run.
#[test]
fn an_approval_goes_on_after_a_closing() {
    for (look, day, minute) in [(3, 2, 3.0), (6, 3, 1.0)] {
        let m = format!("m: {{ calendar: early, first_off: {{ time: {look} min }} }}");
        let seen = run(
            &bench("time: 10 min", "", &m),
            &rows(&[("x", "rush", "a", 1, 0)]),
        );
        assert_eq!(seen.done(), [f64::from(day) * 1440.0 + minute], "{look}");
    }
}

/// F20. The film of p comes 30 h after the release and its zipper 100 h after it; q has all there. Lamination of x waits
/// until 1800 min and that of y does not; the cure ends 48 h after the bond at 1810, at 4690, the zipper comes at 6000.
#[test]
fn each_station_waits_for_what_it_uses() {
    let late = "overs: 0 %, supplies: { zipper: { at: [pouch], after: 100 h }, film: { at: [lam], after: 30 h } } }";
    let q = "\n  q: { format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }";
    let text = with(&[("overs: 0 % }", &format!("{late}{q}"))]);
    let seen = run(&text, "order,product,quantity\nx,p,2000\ny,q,2000\n");
    assert_eq!(seen.taken("lam"), [0.0, 1800.0]);
    assert_eq!(seen.taken("pouch").last(), Some(&6000.0));
    let split = &seen
        .trace
        .orders
        .iter()
        .find(|o| o.order == 0)
        .unwrap()
        .split;
    let waited = split[3 + Spent::OtherWebs as usize] as f64 / MIN as f64;
    // What is left after the reels are slit and cured: from the end of slitting or of its hold to 6000.
    assert!(
        (waited - (1800.0 + 6000.0 - 4690.0)).abs() < 0.2,
        "{waited}"
    );
    // The kit is what pouching alone waits for.
    let kit = with(&[("overs: 0 %", "overs: 0 %, kit: 100 h")]);
    let zipper = "overs: 0 %, supplies: { zipper: { at: [pouch], after: 100 h } }";
    let supply = with(&[("overs: 0 %", zipper)]);
    assert_eq!(run(&kit, ONE).done(), run(&supply, ONE).done());
}

/// F21. Pot life 40 min, of which a stand may last 60 %: 24 min. x is bonded 0-10. y comes at 120: the adhesive has set,
/// 20 min of wash-up, 8 m of web lost, that is 160 pouches of 2000 on two lanes. At 30 it has stood for 20 min: none.
#[test]
fn adhesive_that_set_is_washed_out_before_the_next_job() {
    let at = |minute: &str, keys: &str| {
        let book = format!(
            "order,product,quantity,release\nx,p,2000,2027-01-04 00:00\ny,p,2000,2027-01-04 {minute}\n"
        );
        let pairs = [
            (
                "process: solventless,",
                "process: solventless, pot_life: 40 min,",
            ),
            ("lam: { processes", keys),
        ];
        run(&with(&pairs), &book)
    };
    let washes = "lam: { wash_up: {}, processes";
    let seen = at("02:00", washes);
    assert_eq!(seen.states("lam", State::Changeover), [(120.0, 140.0)]);
    assert_eq!(seen.trace.orders[1].good, Some(1840));
    let soon = at("00:30", washes);
    assert!(soon.states("lam", State::Changeover).is_empty());
    assert_eq!(soon.trace.orders[1].good, Some(2000));
    // Nothing is washed where no wash-up is told of.
    let none = at("02:00", "lam: { processes");
    assert!(none.states("lam", State::Changeover).is_empty());
}

/// F21. As above, and y is bonded with another adhesive, whose changeover takes 15 min: at 120 what x left at 25 has set,
/// and 20 min of wash-up come before it. z, of the first adhesive again, comes as soon as y is bonded at 165: what y left
/// is cleaned out in time by the changeover, and no web is lost.
#[test]
fn a_changeover_to_another_adhesive_cleans_out() {
    let glue = "process: solventless, pot_life: 40 min,";
    let holds = "slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h";
    let pairs = [
        ("process: solventless,", glue),
        (
            "\nlaminates: { film: {",
            &format!(
                "\n  other: {{ {glue} {holds}, data_sheet: {{ {holds} }} }}\nlaminates: {{ film_2: {{ caliper: 100 um, weight: 100 g/m2, adhesive: other }}, film: {{"
            ),
        ),
        ("lam: { processes", "lam: { wash_up: {}, processes"),
        ("adhesive: 0 min", "adhesive: 15 min"),
        (
            "overs: 0 % }",
            "overs: 0 % }\n  q: { format: three_side, width: 100 mm, height: 150 mm, laminate: film_2, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }",
        ),
    ];
    let book = "order,product,quantity,release\nx,p,2000,2027-01-04 00:00\ny,q,2000,2027-01-04 02:00\n\
                z,p,2000,2027-01-04 02:45\n";
    let seen = run(&with(&pairs), book);
    let changeovers = seen.states("lam", State::Changeover);
    let rounded: Vec<_> = changeovers
        .iter()
        .map(|s| (s.0.round(), s.1.round()))
        .collect();
    assert_eq!(rounded, [(0.0, 15.0), (120.0, 155.0), (165.0, 180.0)]);
    let mut good: Vec<_> = seen
        .trace
        .orders
        .iter()
        .map(|o| (o.order, o.good))
        .collect();
    good.sort_unstable();
    assert_eq!(good, [(0, Some(2000)), (1, Some(1840)), (2, Some(2000))]);
}

/// F22. Two benches that want two people each, 20 min of work; with one they run at half their speed. Three are there:
/// x takes two, y runs short from 0 to 20, then one of the two who are free joins it: 10 of its 20 min are done, 30.
#[test]
fn a_smaller_crew_is_slower() {
    let crew = "crew: { run: { crew: 2 }, short: { people: { crew: 1 }, speed: 50 % } }";
    let text = |keys: &str, pool: &str| {
        let people = format!(
            "people: {{ crew: {{ shifts: {{ {pool} }} }}, quality: {{ shifts: {{ always: 1 }} }} }}\nproducts:"
        );
        bench("time: 20 min", "", &format!("m: {{ {keys}{crew} }}"))
            .replacen("products:", &people, 1)
            .replacen(
                "calendars: {",
                "calendars: { never: { open: [Sun 23:00-23:01] },",
                1,
            )
    };
    let two = rows(&[("x", "standard", "a", 1, 0), ("y", "standard", "a", 1, 0)]);
    let one = rows(&[("x", "standard", "a", 1, 0)]);
    let seen = run(&text("count: 2, ", "always: 3"), &two);
    assert_eq!(seen.done(), [20.0, 30.0]);
    assert_eq!(seen.states("m_2", State::RunningShort), [(0.0, 20.0)]);
    assert_eq!(seen.states("m_2", State::Running), [(20.0, 30.0)]);
    assert!(seen.states("m_1", State::RunningShort).is_empty());
    // One of two goes home at 5: 15 of 20 min are left, at half the speed.
    let leaves = run(&text("", "always: 1, early: 1"), &one);
    assert_eq!(leaves.done(), [35.0]);
    // Who looks at the first good for 5 min finds the one who runs it; no changeover comes before.
    let looked = run(
        &text(
            "first_off: { time: 5 min, crew: { quality: 1 } }, ",
            "always: 1, never: 1",
        ),
        &one,
    );
    assert_eq!(looked.done(), [45.0]);
    // Nobody at all: it stands.
    assert!(run(&text("", "never: 2"), &one).done()[0].is_nan());
}

/// F22. 2000 cycles at 100 a minute are 20 min; with half the people at 40 % of the speed 50, and no pouch is lost. Zipper
/// and film are changed after the same metres.
#[test]
fn a_smaller_crew_loses_no_metre() {
    let pouch = |people: u32| {
        let keys = "crew: { run: { crew: 2 }, short: { people: { crew: 1 }, speed: 40 % } }, zipper_reel: 30 m, ";
        with(&[
            (
                "products:",
                &format!("people: {{ crew: {{ shifts: {{ always: {people} }} }} }}\nproducts:"),
            ),
            ("pouch: { speeds", &format!("pouch: {{ {keys}speeds")),
            ("zipper_change: 0 min", "zipper_change: 2 min"),
        ])
    };
    let seen = run(&pouch(2), ONE);
    let length = |seen: &Seen| seen.left("pouch")[0] - seen.taken("pouch")[0];
    let stops = |seen: &Seen| seen.states("pouch", State::PlannedStop).len();
    let stopped = |seen: &Seen| -> f64 {
        let all = seen.states("pouch", State::PlannedStop);
        all.iter().map(|s| s.1 - s.0).sum()
    };
    assert!(stops(&seen) > 1);
    let planned = stopped(&seen);
    assert!(
        (length(&seen) - planned - 20.0).abs() < 1e-3,
        "{}",
        length(&seen)
    );
    // The pool has two people, and one of them is away for good.
    let short = run(
        &pouch(2)
            .replace("shifts: { always: 2 }", "shifts: { always: 1, tuesday: 1 }")
            .replace("[Tue 00:00-24:00]", "[Tue 00:00-00:01]"),
        ONE,
    );
    assert_eq!(stops(&short), stops(&seen));
    assert!((stopped(&short) - planned).abs() < 1e-3);
    assert!(
        (length(&short) - planned - 50.0).abs() < 1e-3,
        "{}",
        length(&short)
    );
    assert_eq!(short.trace.orders[0].good, seen.trace.orders[0].good);
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
