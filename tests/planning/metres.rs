//! Metres follow from the format of the pouch and the steps it goes through, whatever the route.

use super::*;

/// 10,000 pouches of 130 mm pitch, 3 % rejects, 40 m start: 1300 / 0.97 + 40 = 1380.2, so 1381 m, whatever comes
/// before the pouch machine; at 80 a minute 1381000 / 130 / 80 = 132.8 min. A slitter adds 0.5 % and 10 m:
/// 1381 / 0.995 + 10 = 1397.9, so 1398 m. A press that loses nothing prints what is needed.
#[test]
fn metres_do_not_ask_for_a_laminator() {
    for (name, printed) in [
        ("route-pouching-only.yaml", 1381.0),
        ("route-press-pouching.yaml", 1381.0),
        ("route-from-stations.yaml", 1381.0),
        ("route-slitting-pouching.yaml", 1398.0),
    ] {
        let model = compiled(&cell(name), "");
        let explained = explain::explain(&model, 0, 10_000.0);
        assert_eq!(explained.webs[0].printed_m, printed, "{name}");
        assert_eq!(
            explained.webs[0].rolls, 1,
            "{name}: no machine tells a largest roll"
        );
        let text = page(&model, "pouch", 10_000.0);
        assert!(text.contains("= 1381 m"), "{name}\n{text}");
        assert!(text.contains("= 132.8 min"), "{name}\n{text}");
        assert!(!text.contains("inf m"), "{name}\n{text}");
    }
}

/// The floor makes what is planned: 5,000 pouches from 650 / 0.97 + 40 = 710.1, so 711 m, at 80 a minute 68.4 min of
/// running an order, and at least 5,000 good ones of each.
#[test]
fn the_floor_runs_the_metres_that_are_planned() {
    let model = compiled(&cell("route-pouching-only.yaml"), "");
    let (trace, counts) = run(&model);
    let done: Vec<_> = trace.orders.iter().filter_map(|o| o.good).collect();
    assert!(!done.is_empty());
    assert!(
        done.iter().all(|good| (5000..5010).contains(good)),
        "{done:?}"
    );
    let orders = trace.orders.len() as i64;
    assert_eq!(counts.lane_mm_in, orders * 711_000);
}
