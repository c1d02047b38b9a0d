//! Gates and people, rule by rule: first-off approvals, materials that come late, adhesive that has set, smaller crews,
//! the laboratory. Worked by hand beside each test.

use pouchcast::record::{Spent, State};

use super::{MIN, ONE, Seen, bench, rows, run, with};

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

/// F22. An operator stands in for the packer at 80 % of the speed: 20 min are 25. Where the packer comes at minute 10, 8 of the
/// 20 are done and 12 go at full speed: 22. The operator who stood in is free then and starts y on the other machine, whose
/// packer came, too: 10 to 30.
#[test]
fn a_trained_colleague_stands_in() {
    let crew = "crew: { run: { operators: 1, packers: 1 }, short: { people: { operators: 2 }, speed: 80 % } }";
    let text = |packers: &str| {
        let people = format!(
            "people: {{ operators: {{ shifts: {{ always: 2 }} }}, packers: {{ shifts: {{ {packers} }} }} }}\nproducts:"
        );
        bench("time: 20 min", "", &format!("m: {{ count: 2, {crew} }}"))
            .replacen("products:", &people, 1)
            .replacen(
                "calendars: {",
                "calendars: { late: { open: [Mon 00:10-24:00] }, never: { open: [Sun 23:00-23:01] },",
                1,
            )
    };
    let one = rows(&[("x", "standard", "a", 1, 0)]);
    assert_eq!(run(&text("never: 1"), &one).done(), [25.0]);
    assert_eq!(run(&text("late: 1"), &one).done(), [22.0]);
    let two = rows(&[("x", "standard", "a", 1, 0), ("y", "standard", "a", 1, 0)]);
    assert_eq!(run(&text("late: 2"), &two).done(), [22.0, 30.0]);
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

/// F23. Bonded at 10 min, held for 48 h until Wednesday 00:10 (2890): six hours of laboratory round the clock are over at
/// 3250, in a shift that opens at 06:00 at 12:00 (3600). With a hold that a slower way outlasts only the six hours count.
#[test]
fn the_laboratory_is_a_gate_after_the_hold() {
    let with_lab = |lab: &str| {
        with(&[(
            "process: solventless,",
            &format!("process: solventless, {lab}"),
        )])
    };
    let pouched = |lab: &str| run(&with_lab(lab), ONE).taken("pouch");
    let near =
        |at: Vec<f64>, want: f64| assert!((at[0] - want).abs() < 0.1, "{at:?} is not {want}");
    near(pouched(""), 2890.0);
    near(pouched("lab: { time: 6 h },"), 3250.0);
    near(pouched("lab: { time: 6 h, hours: shift },"), 3600.0);
    // Before slitting: 24 h of hold, six of laboratory; what is slit then is not looked at again.
    let seen = run(&with_lab("lab: { time: 6 h, before: slit },"), ONE);
    near(seen.taken("slit"), 1810.0);
    near(seen.taken("pouch"), 2890.0);
    let split = &seen.trace.orders[0].split;
    assert_eq!(split[3 + Spent::Approval as usize] / MIN, 360);
}

/// F23. One print of five fails, by chance: each of 200 orders is laminated until one does not, at once after the
/// laboratory's word, and pouched 48 and 6 h after its last bond. Nothing comes out short of it. Prints of an order are
/// geometric, 1.25 in the mean with a variance of 0.3125: 250 of all orders, three standard deviations are 24.
#[test]
fn what_fails_is_printed_and_cured_again() {
    let text = with(&[(
        "process: solventless,",
        "process: solventless, lab: { time: 6 h, fails: 20 % },",
    )])
    .replacen("measure: 4 wk", "measure: 20 wk", 1);
    let mut prints = 0;
    for seed in 0..200 {
        let text = text.replacen("warm_up", &format!("seed: {seed}, warm_up"), 1);
        let seen = run(&text, ONE);
        let bonds = seen.left("lam");
        for (bond, again) in bonds.iter().zip(seen.taken("lam").iter().skip(1)) {
            assert!((again - bond - 3240.0).abs() < 0.1, "{bond} and {again}");
        }
        let last = bonds[bonds.len() - 1];
        assert!((seen.taken("pouch")[0] - last - 3240.0).abs() < 0.1);
        assert_eq!(seen.trace.orders[0].good, Some(2000));
        assert_eq!(seen.counts.remakes as usize, bonds.len() - 1);
        prints += bonds.len();
    }
    assert!((226..=274).contains(&prints), "{prints}");
}

/// F24. The laminator opens at 06:00, the web is printed at 00:00. It may wait for 5 h: at 360 min it is printed again
/// and laminated at once, and 200 m are lost. If it may wait for 7 h nothing is. Two passes, the first at 12:00 on Monday:
/// the hold of 4 h ends in the night, at 06:00 on Tuesday (1800) the bond is 18 h old, and both passes are made anew.
#[test]
fn what_is_too_old_is_printed_again() {
    let shift = ("lam: { processes", "lam: { calendar: shift, processes");
    let warm = (
        "changeover: { job: 0 min, film: 0 min, finish: 0 min,",
        "changeover: { cold_start: 0 min, job: 0 min, film: 0 min, finish: 0 min,",
    );
    let longest = |keys: &str| {
        let film = "film: { caliper: 100 um,";
        with(&[shift, warm, (film, &format!("{film} {keys},"))])
    };
    let seen = run(&longest("longest: { to_lamination: 5 h }"), ONE);
    assert_eq!((seen.taken("lam"), seen.counts.remakes), (vec![360.0], 1));
    assert_eq!(seen.trace.orders[0].good, Some(2000));
    // 100 m of a web of 640 mm, but for the trims, are lost once in the four weeks.
    let again = seen.figure("web/all/again_m2") * 4.0;
    let kept = run(&longest("longest: { to_lamination: 7 h }"), ONE);
    assert_eq!(kept.figure("web/all/again_m2"), 0.0);
    assert!((again - 60.0).abs() < 0.01, "{again}");
    assert_eq!((kept.taken("lam"), kept.counts.remakes), (vec![360.0], 0));
    assert_eq!(kept.done(), seen.done());
    let book = "order,product,quantity,release\nx,p,2000,2027-01-04 12:00\n";
    let passes = |longest_wait: &str| {
        let keys = format!("passes: 2, longest: {{ between_passes: {longest_wait} }}");
        run(&longest(&keys), book)
    };
    let rounded =
        |seen: &Seen| -> Vec<f64> { seen.taken("lam").iter().map(|t| t.round()).collect() };
    let seen = passes("12 h");
    assert_eq!(
        (rounded(&seen), seen.counts.remakes),
        (vec![720.0, 1800.0, 2050.0], 1)
    );
    let kept = passes("20 h");
    assert_eq!(
        (rounded(&kept), kept.counts.remakes),
        (vec![720.0, 1800.0], 0)
    );
}
