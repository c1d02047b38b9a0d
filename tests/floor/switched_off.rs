//! Switched off is left out: mechanisms whose neutral setting must give the very replication without them.

use super::*;

const LONG: &str = "order,product,quantity\nx,p,20000\ny,p,3000\n";

/// Each with the place where its neutral setting goes: reels longer than any job, washing up that takes no time and
/// loses no web, no further web, one place more than rolls, whole rolls as lots.
#[test]
fn of_the_cell() {
    let lam = "lam: { processes";
    let keys = [
        (lam, "lam: { ", "film_reel: 9000 m, ", "processes"),
        (
            lam,
            "lam: { ",
            "wash_up: { end_of_shift: 0 min, unplanned: 0 min, waste: 0 m }, ",
            "processes",
        ),
        (lam, "lam: { ", "flying_splice: false, ", "processes"),
        (
            "zipper_change: 0 min",
            "",
            "zipper_reel: 9000 m, ",
            "zipper_change: 0 min",
        ),
        ("overs: 0 % }", "overs: 0 %", ", more_webs: []", " }"),
        (
            "work: pouching, ",
            "work: pouching, ",
            "staging: 1000, ",
            "",
        ),
        ("work: slitting, ", "work: slitting, ", "lot: roll, ", ""),
        (
            "work: lamination, ",
            "work: lamination, ",
            "interrupt: roll_end, ",
            "",
        ),
        (
            "process: solventless,",
            "process: solventless,",
            " pot_life: 30 min,",
            "",
        ),
    ];
    for (at, before, key, after) in keys {
        let text = with(&[(at, &format!("{before}{key}{after}"))]);
        same(&text, LONG, (key, ""));
    }
}

/// A hot room that no adhesive uses.
#[test]
fn of_the_rooms() {
    let oven = "oven: { heated: true, places: 5 }";
    same(
        &with(&[("rooms: {}", &format!("rooms: {{ {oven} }}"))]),
        LONG,
        (oven, ""),
    );
}

/// Breakdowns and short stops that are a thousand years away, an hour of maintenance when nobody is there anyway, a
/// family that may be kept for ever, a second of overtime that is never wanted.
#[test]
fn of_stops_and_campaigns() {
    let lam = "lam: { processes";
    for key in [
        "breakdowns: [{ every: 80000 h, repair: 20 min }], ",
        "micro_stops: { every: 80000 h, lasting: 1 min }, ",
    ] {
        let text = with(&[(lam, &format!("lam: {{ {key}processes"))]);
        let off = text.replacen(key, "", 1);
        let (with_it, without) = (run(&text, LONG), run(&off, LONG));
        assert_eq!(with_it.trace.orders, without.trace.orders, "{key}");
        assert_eq!(with_it.trace.states, without.trace.states, "{key}");
    }
    let kept = "work: lamination, next: [same_family, first_come], ";
    let wait = "family_wait: 9000 h, ";
    let text = with(&[("work: lamination, ", &format!("{kept}{wait}"))]);
    same(&text, LONG, (wait, ""));
    let day = "lam: { calendar: shift, maintenance: night, processes";
    let text = with(&[
        (lam, day),
        (
            "calendars: { ",
            "calendars: { night: { open: [Mon 15:00-16:00] }, ",
        ),
    ]);
    let off = text.replacen("maintenance: night, ", "", 1);
    assert_eq!(run(&text, LONG).done(), run(&off, LONG).done());
}
