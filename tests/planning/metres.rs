//! Metres follow from the format of the pouch and the steps it goes through, whatever the route.

use super::*;

/// 10,000 pouches of 130 mm pitch, 3 % rejects, 40 m start: 1300 / 0.97 + 40 = 1380.2, so 1381 m, whatever comes
/// before the pouch machine; at 80 a minute 1381000 / 130 / 80 = 132.8 min. A slitter adds 0.5 % and 10 m:
/// 1381 / 0.995 + 10 = 1397.9, so 1398 m; a press 1 % and 20 m: 1381 / 0.99 + 20 = 1414.9, so 1415 m.
#[test]
fn metres_do_not_ask_for_a_laminator() {
    for (name, printed) in [
        ("route-pouching-only.yaml", 1381.0),
        ("route-press-pouching.yaml", 1415.0),
        ("route-from-stations.yaml", 1381.0),
        ("route-slitting-pouching.yaml", 1398.0),
    ] {
        let model = compiled(&cell(name), "");
        let explained = explain::explain(&model, 0, 10_000.0, explain::How::default());
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

/// Four artworks of 3,000 on one web: each starts with 40 m of its own, 12,000 x 0.110 / 0.97 + 4 x 40 = 1520.8, so
/// 1521 m. Each gets 380.25 m, loses 40, and yields 340.25 / 0.11 x 0.97 = 3000 pouches: every order is whole.
#[test]
fn every_artwork_has_the_metres_of_its_start() {
    let model = compiled(&cell("ganged.yaml"), "");
    let pouch = model.plant.products.iter().position(|p| p.name == "pouch");
    let body = model.body[pouch.unwrap()] as usize;
    let part = &model.parts[body];
    let plan = model::plan_web(part, &model.ask(body, 12_000.0, 4));
    let pouching = part.steps.iter().position(|s| s.makes_pouches).unwrap();
    assert_eq!(plan.steps[pouching].enters, 1_521_000);
    assert_eq!(plan.steps[pouching].starts, 4);
    let (trace, _) = run(&model);
    let good: Vec<_> = trace.orders.iter().filter_map(|o| o.good).collect();
    assert!(!good.is_empty());
    assert!(
        good.iter().all(|good| (12_000..12_030).contains(good)),
        "{good:?}"
    );
    // Not ganged, four SKUs of 3,000 each.
    let model = compiled(
        &cell("ganged.yaml").replace("gang: true", "gang: false"),
        "",
    );
    let (trace, _) = run(&model);
    assert!(
        trace
            .orders
            .iter()
            .filter_map(|o| o.good)
            .all(|good| good >= 12_000)
    );
}

/// Two pouch machines can share the lots of a SKU, of which one loses more. Metres are planned on that one, wherever
/// it stands in the file: 5,000 x 0.130 / 0.9 + 60 = 782.2, so 783 m in one lot. Lots of 2,500 pouches are 325 m of
/// web, so there are three: two machines, two starts, and one change of 2 m where the third goes on: 722.2 + 122 =
/// 844.2, so 845 m; on the other, if the station names it, 650 / 0.97 + 82 = 752.1, so 753 m.
#[test]
fn metres_are_planned_where_most_is_lost() {
    let one = "machine: { speeds: { stand_up: 80 /min }, start_waste: 40 m, rejects: 3 %, changeover: { table: [{ from: any, to: any, time: 60 min }] } }";
    let other = one
        .replace("machine:", "worse:")
        .replace("40 m, rejects: 3 %", "60 m, rejects: 10 %");
    let plan = |text: &str| {
        let model = compiled(text, "");
        let plan = model::plan_web(&model.parts[0], &model.ask(0, 5_000.0, 1));
        (plan.printed / 1000, plan.steps[0].starts)
    };
    let text = cell("route-pouching-only.yaml");
    let both = |first: &str, second: &str| text.replace(one, &format!("{first}, {second}"));
    let parted =
        |text: String| text.replace("work: pouching,", "work: pouching, lot: 2500 pouches,");
    assert_eq!(plan(&both(one, &other)), (783, 1));
    for text in [both(one, &other), both(&other, one)] {
        let text = parted(text);
        let starts = plan(&text).1;
        assert_eq!(starts, 2);
        assert_eq!(plan(&text).0, 845);
        let named = text.replace("work: pouching,", "work: pouching, plan_on: machine,");
        assert_eq!(plan(&named).0, 753);
    }
    let wrong = both(one, &other).replace("work: pouching,", "work: pouching, plan_on: wors,");
    let report = scenario::read("cell.yaml", wrong.as_bytes()).expect_err("no such machine");
    assert!(report.render(false, 100).contains("did you mean `worse`?"));
}
