//! People, maintenance, breakdowns by the metre, short stops, campaigns, shift ends, work with pieces.

use super::*;

/// A bench with people: `people`, the shifts of the operators and their absence.
fn staffed(people: &str, machines: &str) -> String {
    bench("time: 10 min", "", machines).replacen(
        "products:",
        &format!("people: {{ operators: {people} }}\nproducts:"),
        1,
    )
}

/// Two orders of 10 min at 0, two machines, one person. Half of a person each: both run at once. A whole one each:
/// the second waits its ten minutes. Two people for a changeover of 5 min and nobody for the run: 0-5-15 and
/// 5-10-20.
#[test]
fn people_are_shared() {
    let book = rows(&[("x", "standard", "a", 1, 0), ("y", "standard", "a", 1, 0)]);
    let one = "{ shifts: { always: 1 } }";
    let both = |crew: &str| format!("m: {{ count: 2, crew: {{ {crew} }} }}");
    let half = run(&staffed(one, &both("run: { operators: 0.5 }")), &book);
    assert_eq!(half.done(), [10.0, 10.0]);
    let whole = run(&staffed(one, &both("run: { operators: 1 }")), &book);
    assert_eq!(whole.done(), [10.0, 20.0]);
    assert_eq!(whole.states("m_2", State::WaitPeople), [(0.0, 10.0)]);
    let two = "{ shifts: { always: 2 } }";
    let change = both("changeover: { operators: 2 } }, changeover: { job: 5 min");
    let seen = run(&staffed(two, &change), &book);
    assert_eq!(seen.done(), [15.0, 20.0]);
    // More people than can ever be wanted are no people at all.
    let many = run(
        &staffed("{ shifts: { always: 9 } }", &both("run: { operators: 1 }")),
        &book,
    );
    let none = run(&bench("time: 10 min", "", "m: { count: 2 }"), &book);
    assert_eq!(many.done(), none.done());
    same(
        &staffed(
            "{ shifts: { always: 1 }, absence: 0 % }",
            &both("run: { operators: 1 }"),
        ),
        &book,
        (", absence: 0 %", ""),
    );
}

/// One person is missing in three shifts of ten, each shift drawn anew; the machine has work all the time and so
/// runs 70 % of its open time: 2000 shifts, standard error 1 %.
#[test]
fn who_is_absent_does_not_work() {
    let text = staffed(
        "{ shifts: { day: 1 }, absence: 30 % }",
        "m: { calendar: day, crew: { run: { operators: 1 } } }",
    )
    .replacen(
        "calendars: { ",
        "calendars: { day: { open: [Mon-Sun 08:00-16:00] }, ",
        1,
    )
    .replacen("measure: 1 wk", "measure: 286 wk", 1)
    .replacen("time: 10 min", "time: 100 h", 1);
    let book = "order,class,product,quantity\n".to_string()
        + &(0..200)
            .map(|n| format!("o{n},standard,a,1\n"))
            .collect::<String>();
    let seen = run(&text, &book);
    let sum = |state| -> f64 { seen.states("m", state).iter().map(|s| s.1 - s.0).sum() };
    let (ran, waited) = (sum(State::Running), sum(State::WaitPeople));
    let share = ran / (ran + waited);
    assert!((share - 0.7).abs() < 0.035, "{share}");
}

/// Work of 5 h from midnight on, planned maintenance from 2 to 4 o'clock: 0-2, 4-7.
#[test]
fn planned_maintenance_stops_the_machine() {
    let text = bench("time: 5 h", "", "m: { maintenance: service }").replacen(
        "calendars: { ",
        "calendars: { service: { open: [Mon 02:00-04:00] }, ",
        1,
    );
    let seen = run(&text, &rows(&[("x", "standard", "a", 1, 0)]));
    assert_eq!(seen.done(), [420.0]);
    assert_eq!(seen.states("m", State::Maintenance)[0], (120.0, 240.0));
}

/// A short stop of 1 min every 4 min of running: work of 10 min takes 12.
#[test]
fn short_stops_add_up() {
    let stops = "m: { micro_stops: { every: 4 min, lasting: 1 min } }";
    let book = rows(&[("x", "standard", "a", 1, 0)]);
    let seen = run(&bench("time: 10 min", "", stops), &book);
    assert_eq!(seen.done(), [12.0]);
    assert_eq!(
        seen.states("m", State::MicroStop),
        [(4.0, 5.0), (9.0, 10.0)]
    );
}

/// 100 m of web at 10 m/min; the web breaks every 30 m: repair 7 min, re-threading 3 min, 5 m lost. Three breaks:
/// 40 min, and of 100 m on two lanes 85 m are left, so 1700 pouches of 100 mm.
#[test]
fn a_web_breaks_by_the_metre() {
    let seen = run(
        &with(&[(
            "lam: { processes",
            "lam: { breakdowns: [{ every_metres: 30 m, repair: 7 min, rethread: 3 min, waste: 5 m }], processes",
        )]),
        ONE,
    );
    let down = seen.states("lam", State::Down);
    assert_eq!(down.len(), 3, "{down:?}");
    assert!(
        down.iter().all(|d| (d.1 - d.0 - 10.0).abs() < 1e-6),
        "{down:?}"
    );
    assert!((seen.left("lam")[0] - 40.0).abs() < 0.1);
    assert_eq!(seen.trace.orders[0].good, Some(1700));
}

/// One laminator, each roll 10 min, in the order of coming p q p p. Staying with the film: p p p q. What has waited
/// 15 min goes before the family: p p q p.
#[test]
fn a_campaign_holds_others_for_so_long() {
    let taken = |wait: &str| {
        let text = with(&[
            (
                "adhesive: glue } }",
                "adhesive: glue }, dark: { caliper: 100 um, weight: 100 g/m2, adhesive: glue, finish: dark } }",
            ),
            (
                "zipper: true, overs: 0 % }",
                "zipper: true, overs: 0 % }\n  q: { format: three_side, width: 100 mm, height: 150 mm, laminate: dark, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }",
            ),
            (
                "work: lamination, ",
                &format!("work: lamination, next: [same_family, first_come], {wait}"),
            ),
        ]);
        let book = "order,product,quantity,release\na,p,2000,2027-01-04 00:00\nb,q,2000,2027-01-04 00:01\n\
                    c,p,2000,2027-01-04 00:02\nd,p,2000,2027-01-04 00:03\n";
        let seen = run(&text, book);
        let lam = seen.machine("lam");
        let rows = seen.trace.stories.iter();
        rows.filter(|row| row.event == LotEvent::Taken(lam))
            .map(|row| row.lot.order)
            .collect::<Vec<_>>()
    };
    assert_eq!(taken(""), [0, 2, 3, 1]);
    assert_eq!(taken("family_wait: 15 min, "), [0, 2, 1, 3]);
    // Two in a row and no more; one in a row is no campaign at all.
    assert_eq!(taken("family_most: 2, "), [0, 2, 1, 3]);
    assert_eq!(taken("family_most: 1, "), [0, 1, 2, 3]);
}

/// Work of 30 min that begins at 13:50 in a shift until 14:00: the rest at 6:00 next day, in overtime, in
/// overtime as far as it goes and the rest next day, or not begun at all.
#[test]
fn the_shift_ends_as_the_shop_has_it() {
    let at = |rule: &str| {
        let machine = format!("m: {{ calendar: day, shift_end: {rule} }}");
        let text = bench("time: 30 min", "", &machine).replacen(
            "calendars: { ",
            "calendars: { day: { open: [Mon-Fri 06:00-14:00] }, ",
            1,
        );
        let book = "order,class,product,quantity,release\nx,standard,a,1,2027-01-04 13:50\n";
        run(&text, book).done()[0] - (13.0 * 60.0 + 50.0)
    };
    let night = 16.0 * 60.0;
    assert_eq!(at("pause"), 30.0 + night);
    assert_eq!(at("finish_lot, overtime: 60 min"), 30.0);
    assert_eq!(at("finish_lot, overtime: 5 min"), 30.0 + night - 5.0);
    assert_eq!(at("no_late_start"), 10.0 + night + 30.0);
}

/// Of 2000 pouches wanted a tenth is lost at inspection: 2223 are needed there (2000 / 0.9, rounded up), so 112 m of
/// web on two lanes are printed and 2240 pouches come: 44.8 min at 50 a minute, and 2016 go on.
#[test]
fn inspection_looks_at_each_pouch() {
    let text = with(&[(
        "classes:",
        "  look: { work: inspection, machines: { look: { rate: 50 /min, rejects: 10 %, per_lot: 0 min } } }\nclasses:",
    )]);
    let seen = run(&text, ONE);
    let took = seen.left("look")[0] - seen.taken("look")[0];
    assert!((took - 44.8).abs() < 0.1, "{took}");
    assert_eq!(seen.trace.orders[0].good, Some(2016));
}

/// Spouts are put in one by one, 40 a minute and 5 min a lot; 3 % are lost there. 2000 wanted, so 2062 are needed
/// (2000 / 0.97, rounded up); on one lane of web that is 207 m for 2070 pouches: 5 + 51.75 min.
#[test]
fn spouts_are_put_in_one_by_one() {
    let text = with(&[
        (
            "format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 640 mm, lanes: 2, zipper: true",
            "format: spouted, width: 100 mm, height: 150 mm, gusset: 30 mm, laminate: film, web: 640 mm, lanes: 1",
        ),
        (
            "speeds: { three_side: 100 /min }",
            "speeds: { spouted: 100 /min }",
        ),
        (
            "classes:",
            "  spout: { work: spouting, machines: { spout: { rate: 40 /min, rejects: 3 %, per_lot: 5 min } } }\nclasses:",
        ),
    ]);
    let seen = run(&text, ONE);
    let took = seen.left("spout")[0] - seen.taken("spout")[0];
    assert!((took - 56.75).abs() < 0.1, "{took}");
    assert_eq!(seen.trace.orders[0].good, Some(2008));
}
