//! What `explain` can be told: artworks, ganging, a split, an interruption.

use super::*;
use explain::How;

/// Four ganged artworks of 3,000: the metres of all four starts, and four changeovers at the pouch machine: 60 min
/// from another product, 3 x 8 from artwork to artwork; 1521 m / 0.11 m / 85 a minute = 162.7 min of running. Each by
/// itself: 3,000 x 0.11 / 0.97 + 40 = 380.2, so 381 m, four times.
#[test]
fn artworks_and_ganging() {
    let model = compiled(&cell("ganged.yaml"), "");
    let ganged = How {
        artworks: 4,
        ganged: true,
        ..How::default()
    };
    let text = page_how(&model, "pouch", 3_000.0, ganged);
    assert!(
        text.contains("4 artworks of that quantity each, ganged on one web."),
        "{text}"
    );
    assert!(text.contains("+ 4 starts x 40 = 1521 m"), "{text}");
    let index = model
        .plant
        .products
        .iter()
        .position(|p| p.name == "pouch")
        .unwrap();
    let explained = explain::explain(&model, index, 3_000.0, ganged);
    let everything = &explained.around_the_clock[2];
    let station = |name: &str| {
        model
            .plant
            .stations
            .iter()
            .position(|s| s.name == name)
            .unwrap()
    };
    let visit = |name: &str| {
        let of =
            |v: &&explain::walk::Visit| model.parts[v.part].steps[v.step].station == station(name);
        *everything.visits.iter().find(of).expect("a visit")
    };
    let minutes = |ticks: i64| (ticks as f64 / 60e6 * 10.0).round() / 10.0;
    assert_eq!(
        (visit("pouching").lots, minutes(visit("pouching").setup)),
        (4, 84.0)
    );
    assert!((visit("pouching").run as f64 / 60e6 - 162.7).abs() < 0.2);
    let alone = How {
        artworks: 4,
        ..How::default()
    };
    let text = page_how(&model, "pouch", 3_000.0, alone);
    assert!(text.contains("+ 40 = 381 m"), "{text}");
    let explained = explain::explain(&model, index, 3_000.0, alone);
    let pouching = explained.around_the_clock[2]
        .visits
        .iter()
        .find(|v| v.lots == 4 && v.setup > 0);
    assert!(pouching.is_some());
}

/// Two machines that share an artwork start twice: 5,000 x 0.13 / 0.97 + 2 x 40 = 750.1, so 751 m, and half of them
/// on each: 751 / 2 / 0.13 / 80 = 36.1 min after 60 min of changeover. Taken off once: 60 min to dress it again,
/// 4 min for the roll, 42 m lost again, which are 42 / 0.13 x 0.97 = 313 pouches.
#[test]
fn a_split_and_an_interruption() {
    let one = "machine: { speeds: { stand_up: 80 /min }, start_waste: 40 m, rejects: 3 %, changeover: { table: [{ from: any, to: any, time: 60 min }] } }";
    let two = format!("{one}, {}", one.replace("machine:", "other:"));
    let model = compiled(&cell("route-pouching-only.yaml").replace(one, &two), "");
    let how = How {
        split: 2,
        interrupted: true,
        ..How::default()
    };
    let text = page_how(&model, "pouch", 5_000.0, how);
    assert!(text.contains("+ 2 starts x 40 = 751 m"), "{text}");
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("changeover back 60 min + roll 4 min; 42 m lost again (4.04 min of its run): 313 pouches short"),
        "{text}"
    );
    let explained = explain::explain(&model, 0, 5_000.0, how);
    let walk = &explained.around_the_clock[0];
    let minutes = |ticks: i64| (ticks as f64 / 60e6 * 10.0).round() / 10.0;
    assert_eq!(minutes(walk.packed - walk.released), 96.1);
    assert_eq!(minutes(walk.touch()), 192.2);
    assert!(text.contains("192.2 min"), "{text}");
}
