//! Reels: made by the slitter, loaded and changed by the pouch machine.

use super::*;
use pouchcast::record::State;

const MIN: f64 = 60e6;

/// Stretches of the planned stops of a machine, minutes.
fn stops(model: &Model, trace: &Trace, machine: &str) -> Vec<f64> {
    let machines = model.plant.stations.iter().flat_map(|s| &s.machines);
    let m = machines.map(|m| m.name.as_str()).position(|n| n == machine);
    let rows = trace.states.iter().filter(|row| Some(row.machine) == m);
    rows.filter(|row| row.state == State::PlannedStop)
        .map(|row| (row.to - row.from) as f64 / MIN)
        .collect()
}

/// A reel of 250 mm on a core of 92 mm holds pi (250^2 - 92^2) / (4 x 0.129) = 329 m. 6,000 pouches of 250 mm with
/// 3 % rejects, 40 m of start and 4 splices of 2 m are 1500 / 0.97 + 48 = 1594.4, so 1595 m; the slitter takes
/// 1595 / 0.995 + 10 = 1613.0, so 1614 m: 5 sets of one lane. The pouch machine loads the first one with its
/// changeover and 4 further ones, 4 min each.
#[test]
fn the_pouch_machine_changes_what_the_slitter_made() {
    let model = compiled(&cell("reels.yaml"), "");
    let text = page(&model, "pouch", 6_000.0);
    assert!(text.contains("40 + 4 changes x 2 = 1595 m"), "{text}");
    assert!(text.contains("5 x 1 reels = 5"), "{text}");
    assert!(
        text.contains("5, 1 at a time: 4 further x 4 min and 2 m"),
        "{text}"
    );
    let (trace, _) = run(&model);
    let orders = trace.orders.iter().filter(|o| o.done.is_some()).count();
    let stops = stops(&model, &trace, "machine");
    assert!(orders > 0);
    assert_eq!(stops.len(), 4 * orders, "{stops:?}");
    assert!(stops.iter().all(|stop| (stop - 4.0).abs() < 1e-6));
    // Web and reels agree with the plan: at least what was ordered.
    let good: Vec<_> = trace.orders.iter().filter_map(|o| o.good).collect();
    assert!(
        good.iter().all(|good| (6000..6010).contains(good)),
        "{good:?}"
    );
}

/// Two lanes on the web make two reels; a machine of one lane runs them one after the other: one change an order.
#[test]
fn two_reels_on_one_lane_are_a_change() {
    let model = compiled(&cell("two-reels.yaml"), "");
    let (trace, _) = run(&model);
    let orders = trace.orders.iter().filter(|o| o.done.is_some()).count();
    let stops = stops(&model, &trace, "pm");
    assert!(orders > 20);
    // The order that is on the machine at the end of the clock may have had its change already.
    assert!(
        stops.len() >= orders && stops.len() <= orders + 1,
        "{} {orders}",
        stops.len()
    );
    assert!(stops.iter().all(|stop| (stop - 30.0).abs() < 1e-6));
    let off = cell("two-reels.yaml").replace("roll_change: 30 min", "roll_change: 0 min");
    assert!(self::stops(&compiled(&off, ""), &run(&compiled(&off, "")).0, "pm").is_empty());
}

/// Two reels side by side need two unwinds; a machine of one is refused by name, and three ways out are told. With
/// two unwinds both reels are loaded at once and nothing is changed; so it is where one reel carries both lanes,
/// which the slitter does not part: 2 knives trim its edges.
#[test]
fn two_lanes_need_two_unwinds() {
    let two = cell("two-reels.yaml").replace("lanes: 1,", "lanes: 2,");
    let report = scenario::read("cell.yaml", two.as_bytes()).expect_err("one unwind, two reels");
    let text = report.render(false, 100);
    assert!(
        text.contains("2 reels side by side need 2 unwinds, it has 1"),
        "{text}"
    );
    assert!(text.contains("reel_lanes"), "{text}");
    // 10,000 pouches are one set, whichever way.
    let two = two.replace("quantity: 20000", "quantity: 10000");
    let unwinds = two.replace("lanes: 2,", "lanes: 2, webs: 2,");
    let wide = two.replace("web: 620 mm }", "web: 620 mm, reel_lanes: 2 }");
    for text in [&unwinds, &wide] {
        let model = compiled(text, "");
        assert!(stops(&model, &run(&model).0, "pm").is_empty(), "{text}");
    }
    let knives = wide.replace("speed: 150 m/min }", "speed: 150 m/min, knives: 2 }");
    compiled(&knives, "");
    let odd = wide.replace("reel_lanes: 2", "reel_lanes: 2, lanes: 1");
    let report = scenario::read("cell.yaml", odd.as_bytes()).expect_err("half a reel");
    assert!(report.render(false, 100).contains("do not share evenly"));
}
