//! What is there at the start, as an order book tells it: dates, begun work, places taken.

use super::*;

/// A roll bonded on Sunday at noon may be slit on Monday at noon; one without a hold at once. Due dates are those
/// of the book: the end of a day, or the time of day.
#[test]
fn the_book_tells_the_start_and_the_due_dates() {
    let book = "order;product;quantity;at;bonded;due\n\
                cold;p;2000;slit;2027-01-03 12:00;2027-01-05\n\
                late;p;2000;pouch;2026-12-20;2027-01-04 14:00\n\
                new;p;2000;;;\n";
    let seen = run(&cell(), book);
    assert_eq!(seen.taken("slit")[0], 720.0);
    assert_eq!(seen.taken("pouch")[0], 0.0);
    assert_eq!(seen.taken("lam"), [0.0]);
    let mut due: Vec<_> = seen
        .trace
        .orders
        .iter()
        .map(|o| (o.order, o.due.map(|t| t / MIN)))
        .collect();
    due.sort_unstable();
    // Released at once, all three: they come in by their due dates, the one without any last.
    assert_eq!(due, [(0, Some(840)), (1, Some(2880)), (2, None)]);
    assert!(seen.trace.orders.iter().all(|o| o.good == Some(2000)));
}

/// A lot on the pouch machine at the start with 30 min of its run to go leaves at 30, with no changeover before;
/// the next one, 2000 pouches at 100 a minute on one lane, follows after its 15 min changeover: 30 + 15 + 20.
/// On a machine that opens at 6:00 the same happens from then on.
#[test]
fn work_may_be_on_a_machine_at_the_start() {
    let book = "order,product,quantity,at,bonded,on,left\n\
                x,p,2000,pouch,2026-12-20,pouch,30 min\n\
                y,p,2000,pouch,2026-12-20,,\n";
    let changeover = (
        "pouch: { speeds: { three_side: 100 /min },",
        "pouch: { lanes: 1, speeds: { three_side: 100 /min },",
    );
    let job = (
        "rejects: 0 %, changeover: { job: 0 min,",
        "rejects: 0 %, changeover: { job: 15 min,",
    );
    let seen = run(&with(&[changeover, job]), book);
    assert_eq!(seen.left("pouch"), [30.0, 65.0]);
    let shift = ("pouch: { lanes: 1,", "pouch: { lanes: 1, calendar: shift,");
    let late = with(&[changeover, job, shift]);
    let warm = late.replace(
        "changeover: { job: 15 min,",
        "changeover: { cold_start: 0 min, job: 15 min,",
    );
    assert_eq!(run(&warm, book).left("pouch"), [390.0, 425.0]);
    // A machine that closes heats its bars for 20 min in the morning, where nothing else is said.
    assert_eq!(run(&late, book).left("pouch"), [410.0, 445.0]);
}

/// A roll that cures at the start lies on the one place there is: the next one stays on the laminator until it leaves,
/// 24 h after its bond.
#[test]
fn begun_work_that_cures_takes_its_place() {
    let racks = (
        "process: solventless,",
        "process: solventless, racks: rack,",
    );
    let text = with(&[("rooms: {}", "rooms: { rack: { places: 1 } }"), racks]);
    let book = "order,product,quantity,at,bonded\n\
                x,p,2000,slit,2027-01-03 20:00\n\
                y,p,2000,,\n";
    let seen = run(&text, book);
    assert_eq!(seen.taken("slit")[0], 1200.0);
    let blocked = seen.states("lam", State::Blocked);
    assert!(
        blocked.len() == 1 && blocked[0].0 < 11.0 && blocked[0].1 == 1200.0,
        "{blocked:?}"
    );
    // Beyond its hold it needs no place any more.
    let old = run(&text, &book.replace("2027-01-03 20:00", "2027-01-02 20:00"));
    assert!(old.states("lam", State::Blocked).is_empty());
}

/// 2000 pouches of 100 mm on two lanes need 100 m and 40 m for the start. On the machine at the start, the 40 m are
/// lost already: 2000 come out, not 2800.
#[test]
fn work_on_a_machine_has_lost_its_start_already() {
    let text = with(&[("start_waste: 0 m, rejects", "start_waste: 40 m, rejects")]);
    let on = "order,product,quantity,at,bonded,on,left\nx,p,2000,pouch,2026-12-20,pouch,5 min\n";
    let before = "order,product,quantity,at,bonded\nx,p,2000,pouch,2026-12-20\n";
    let good = |book: &str| run(&text, book).trace.orders[0].good;
    assert_eq!(good(on), Some(2000));
    assert_eq!(good(before), Some(2000));
}

/// Released on Wednesday 30 December 2026 it has waited since then, and two working days from there are over when the
/// shift of Friday closes at 14:00, before the clock starts on Monday.
#[test]
fn what_was_released_before_the_start_has_waited_since_then() {
    let text = with(&[(
        "classes: { standard: {} }",
        "classes: { standard: { promise: 2 working days of shift } }",
    )]);
    let seen = run(
        &text,
        "order,product,quantity,release\nx,p,2000,2026-12-30 12:00\n",
    );
    let order = &seen.trace.orders[0];
    assert_eq!(order.released, -(4 * 1440 + 720) * MIN);
    assert_eq!(order.due, Some((-3 * 1440 + 14 * 60) * MIN));
}

/// Work that stands as pouches at the start has brought its web with it: 2,000 pouches of 100 x 300 mm of a lane before a
/// bench that nothing is lost on are 60 m2 of lanes; they are handed over and in pouches, nothing is below nothing.
#[test]
fn begun_pouches_have_brought_their_web() {
    let text = cell().replacen(
        "classes: {",
        "\x20 pack: { work: packing, machines: { pack: { rate: 100 /min } } }\nclasses: {",
        1,
    );
    let seen = run(
        &text,
        "order,product,quantity,at,bonded\nx,p,2000,pack,2026-12-20\n",
    );
    let weeks = 4.0;
    let told = |key: &str| seen.figure(&format!("web/all/{key}")) * weeks;
    let lanes = told("m2") - told("trims_m2") - told("unused_m2");
    assert!((told("pouches_m2") - lanes).abs() < 1e-9);
    assert!((lanes - 2000.0 * 0.1 * 0.3).abs() < 1e-9, "{lanes}");
}
