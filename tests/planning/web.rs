//! The web is paid as it runs: width times metres, in one figure everywhere.

use super::*;
use pouchcast::replicate as engine;

/// A figure of one replication.
fn figure(model: &Model, key: &str) -> f64 {
    let layout = Layout::new(model);
    let (outcome, _) = engine::one(model, &layout, 0);
    outcome.figures[layout.find(key).unwrap_or_else(|| panic!("{key}"))]
}

/// 10,000 pouches of 130 mm a day from a web of 762 mm at 1 EUR/m2, nothing lost: 1300 m x 0.762 m x 7 = 6934.2 m2
/// a week, and 52 weeks of it 360,578 EUR a year. Pouches are 420 mm of the 762, trims 20, the rest is not used.
#[test]
fn all_of_the_web_is_paid() {
    let model = compiled(&cell("web-not-paid.yaml"), "");
    let close = |key: &str, right: f64| {
        let found = figure(&model, key);
        assert!(
            (found / right - 1.0).abs() < 1e-9,
            "{key}: {found}, not {right}"
        );
    };
    for group in ["all", "product:p"] {
        close(&format!("web/{group}/m2"), 6934.2);
        close(&format!("web/{group}/kg"), 693.42);
        close(&format!("web/{group}/money"), 6934.2);
        close(&format!("web/{group}/trims_m2"), 182.0);
        close(&format!("web/{group}/unused_m2"), 2930.2);
        close(&format!("web/{group}/pouches_m2"), 3822.0);
    }
    close("cell/web_m2", 6934.2);
    close("cell/waste_share", 1.0 - 420.0 / 762.0);
    close("money/material", 6934.2 * 52.0);
    let wider = compiled(
        &cell("web-not-paid.yaml").replace("web: 762 mm", "web: 800 mm"),
        "",
    );
    assert!(figure(&wider, "money/material") > 1.04 * 360_000.0);
    let text = page(&model, "p", 10_000.0);
    let text: Vec<&str> = text.split_whitespace().collect();
    let text = text.join(" ");
    assert!(
        text.contains("1300 m x 762 mm = 990.6 m2 x 100 g/m2 = 99.1 kg"),
        "{text}"
    );
    assert!(text.contains("990.6 EUR"), "{text}");
}

/// Of every web of every product of the shipped cells the parts add up to the whole, and plan and run hand over
/// the same area.
#[test]
fn the_parts_of_a_web_are_the_whole() {
    for name in ["owner.yaml", "planner.yaml", "consultant.yaml"] {
        let path = format!("{}/scenarios/{name}", env!("CARGO_MANIFEST_DIR"));
        let model = compiled(&fs::read_to_string(path).unwrap(), "");
        for product in 0..model.plant.products.len() {
            let explained = explain::explain(&model, product, 4_000.0, explain::How::default());
            for web in &explained.webs {
                let a = explain::web::area(&model, &explained, web);
                let parts = [
                    a.trims, a.unused, a.starts, a.changes, a.running, a.rejects, a.overs,
                    a.pouches,
                ];
                let sum: f64 = parts.iter().sum();
                assert!((sum - a.all).abs() < 1e-6 * a.all, "{name} {product}");
                assert!(
                    parts.iter().all(|part| *part >= -1e-6),
                    "{name} {product} {a:?}"
                );
            }
        }
    }
}

/// A flat-bottom pouch of 140 x 260, depth 80, two webs: a body reel of 600 mm, and 160 mm of a reel of 260 mm in each
/// pouch. What is lost at and behind the pouch machine is lost of both: with 1 % of rejects at the inspection, 8,000
/// pouches are 8081 after the machine, 8081 x 0.14 / 0.97 + 60 = 1226.3, so 1227 m of body, 8764.3 cycles
/// x 160 mm = 1402.3 m of the other, 701.1 m on two lanes; with 20 %, 10,000 x 0.14 / 0.97 + 60 = 1503.3, so 1504 m, and 859.4.
#[test]
fn the_second_web_loses_what_the_first_does() {
    let text = |rejects: &str| {
        cell("route-slitting-pouching.yaml")
            .replace(
                "pouch: { format: stand_up, width: 130 mm, height: 210 mm, gusset: 40 mm, laminate: film, web: 760 mm, edge_trim: 10 mm, route: [slitting, pouching], centre_trim: 0 mm }",
                "pouch: { format: flat_bottom, width: 140 mm, height: 260 mm, gusset: 80 mm, laminate: film, web: 760 mm, second_web: { laminate: film, web: 560 mm }, route: [slitting, pouching, look] }",
            )
            .replace("speeds: { stand_up: 80 /min }, start_waste: 40 m", "speeds: { flat_bottom: 55 /min }, webs: 2, splice_waste: 0 m, start_waste: 60 m")
            .replace("  packing:", &format!("  look: {{ work: inspection, machines: {{ eye: {{ rate: 150 /min, rejects: {rejects} }} }} }}\n  packing:"))
    };
    let webs = |rejects: &str| {
        let model = compiled(&text(rejects), "");
        let explained = explain::explain(&model, 0, 8_000.0, explain::How::default());
        let body = &explained.webs[0].plan.steps[1];
        let other = &explained.webs[1].plan.steps[0];
        let lane = model.parts[explained.webs[1].part].m2_per_lane_m;
        (
            body.enters / 1000,
            other.leaves / 2,
            lane,
            model.parts[explained.webs[1].part].lanes,
        )
    };
    assert_eq!(webs("1 %"), (1227, 701_142, 0.26, 2));
    assert_eq!(webs("20 %").0, 1504);
    assert_eq!(webs("20 %").1, 859_428);
}

/// Two lanes with an inserted gusset lie bottom to bottom: they share one gusset web of 4 x 40 = 160 mm, three of
/// which lie on 520 mm; a machine of one lane takes 80 mm, six of which do.
#[test]
fn two_lanes_share_a_gusset_web() {
    let lanes = |machine: &str| {
        let text = cell("route-slitting-pouching.yaml")
            .replace(
                "pouch: { format: stand_up, width: 130 mm, height: 210 mm, gusset: 40 mm, laminate: film, web: 760 mm, edge_trim: 10 mm, route: [slitting, pouching], centre_trim: 0 mm }",
                "pouch: { format: stand_up_inserted, width: 130 mm, height: 170 mm, gusset: 40 mm, laminate: film, web: 760 mm, reel_lanes: 2, second_web: { laminate: film, web: 520 mm }, route: [slitting, pouching] }",
            )
            .replace("speeds: { stand_up: 80 /min }", &format!("speeds: {{ stand_up_inserted: 80 /min }}, webs: 2, {machine}"));
        let model = compiled(&text, "");
        (model.parts[1].lanes, model.parts[1].m2_per_lane_m)
    };
    assert_eq!(lanes("lanes: 2"), (3, 0.16));
    assert_eq!(lanes("lanes: 1"), (6, 0.08));
}

/// A quad seal with corner fins of 7 mm: eight legs are 56 mm more on 2 x 100 + 2 x 60 + 20 = 340.
#[test]
fn corner_fins_add_to_the_web() {
    let fins = cell("reels.yaml")
        .replace("gusset: 60 mm", "gusset: 60 mm, fin: 7 mm")
        .replace("web: 380 mm", "web: 420 mm");
    let model = compiled(&fins, "");
    assert_eq!(model.plant.products[0].developed_mm, 396.0);
    let text = page(&model, "pouch", 6_000.0);
    let flat: Vec<&str> = text.split_whitespace().collect();
    assert!(flat.join(" ").contains("+ 8 x 7 = 396 mm"), "{text}");
    let wrong = cell("two-reels.yaml").replace("height: 150 mm", "height: 150 mm, fin: 7 mm");
    assert!(scenario::read("cell.yaml", wrong.as_bytes()).is_err());
}
