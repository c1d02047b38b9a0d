//! Machines that wait for each other for ever: two passes on one laminator, with few places to cure between them.
//!
//! A pass takes 10 min (100 m at 10 m/min), its cure 24 h. The clock ends after five weeks, 50,400 min.

use pouchcast::replicate;
use pouchcast::report::{self, Provenance};
use pouchcast::summary::Summary;

use super::*;

const END: f64 = 50_400.0;

/// The cell with two passes, `places` in the racks, `machines` laminators of one station.
fn two_passes(places: &str, machines: usize) -> String {
    let text = with(&[
        ("rooms: {}", &format!("rooms: {{ rack: {{ {places} }} }}")),
        (
            "process: solventless, slit_after: 24 h,",
            "process: solventless, racks: rack, second_pass_after: 24 h, slit_after: 24 h,",
        ),
        ("adhesive: glue }", "adhesive: glue, passes: 2 }"),
    ]);
    let one = "lam: { processes";
    text.replacen(one, &format!("lam: {{ count: {machines}, processes"), 1)
}

const THREE: &str = "order,product,quantity\nx,p,2000\ny,p,2000\nz,p,2000\n";

/// x is on the only place from minute 10 and waits for the laminator after its cure; y is done at 20, finds no place, and
/// keeps the laminator: neither moves again.
#[test]
fn one_place_and_two_passes_stand_still() {
    let seen = run(&two_passes("places: 1", 1), TWO);
    assert_eq!(seen.taken("lam"), [0.0, seen.left("lam")[0]]);
    let blocked = seen.states("lam", State::Blocked);
    assert_eq!(blocked, [(seen.left("lam")[1], END)]);
    assert_eq!(seen.counts.stuck, 1);
    assert!(seen.done().iter().all(|done| done.is_nan()));
}

/// Two laminators: y blocks the one, but x can go to the other when it is cured, and its place goes to y. A third order
/// takes that other one, and all stand still.
#[test]
fn a_second_laminator_ends_the_circle_until_it_is_taken_too() {
    let seen = run(&two_passes("places: 1", 2), TWO);
    assert_eq!(seen.counts.stuck, 0);
    assert!(seen.done().iter().all(|done| done.is_finite()));
    let seen = run(&two_passes("places: 1", 2), THREE);
    assert_eq!(seen.counts.stuck, 2);
    assert!(seen.done().iter().all(|done| done.is_nan()));
}

/// As many places as orders, or places that are cleared when the hold is over: no circle.
#[test]
fn room_enough_or_cleared_places_go_on() {
    for places in ["places: 2", "places: 1, free_at: hold_end"] {
        let seen = run(&two_passes(places, 1), TWO);
        assert_eq!(seen.counts.stuck, 0, "{places}");
        assert!(seen.done().iter().all(|done| done.is_finite()), "{places}");
    }
}

/// A laminator that is blocked when the clock ends, by a roll that will leave: after 12 h of 24.
#[test]
fn a_machine_that_is_only_blocked_is_not_stuck() {
    let text = two_passes("places: 1", 1)
        .replace("passes: 2", "passes: 1")
        .replace(
            "measure: 4 wk, run_out: 1 wk",
            "measure: 12 h, run_out: 0 min",
        );
    let seen = run(&text, TWO);
    assert_eq!(
        seen.states("lam", State::Blocked),
        [(seen.left("lam")[1], 720.0)]
    );
    assert_eq!(seen.counts.stuck, 0);
    assert!(!Layout::new(&seen.model).standstill);
}

/// The run says it first, with the station and the share, and gives no lead time.
#[test]
fn the_run_names_what_stands_still() {
    let seen = run(&two_passes("places: 1", 1), TWO);
    let layout = Layout::new(&seen.model);
    let never = std::sync::atomic::AtomicBool::new(false);
    let experiment = replicate::many(&seen.model, &layout, 3, &never, &|_| {});
    let summary = Summary::new(&seen.model, &layout, &experiment);
    assert_eq!(summary.warnings[0].key(), "stands_still");
    assert_eq!(summary.get("stuck/all").unwrap().mean, 1.0);
    assert_eq!(summary.get("stuck/station:lam").unwrap().mean, 1.0);
    assert_eq!(summary.get("stuck/station:slit").unwrap().mean, 0.0);
    let provenance = Provenance {
        file_name: "floor.yaml".into(),
        sha256: String::new(),
        version: "0",
        scenario_text: String::new(),
    };
    let text = report::text(&seen.model, &summary, &provenance);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains("stand still for good in 100.0 % of the replications: machines of lam"),
        "{text}"
    );
    assert!(text.contains("No lead time can be promised"), "{text}");
}
