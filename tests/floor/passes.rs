//! Laminates of several passes: each with its machine, its holds, its speed and its material.

use super::*;

/// The glue of the cell (24 h to slitting, 48 h to pouches, 72 h to shipping), one that is slower (60, 72, 96 h; 6 h to
/// the next pass) and a thermal film that cools for an hour.
fn passes(list: &str, more: &[(&str, &str)]) -> String {
    let slow = "\n  slow: { process: solventless, second_pass_after: 6 h, slit_after: 60 h, pouch_after: 72 h, ship_after: 96 h, data_sheet: { slit_after: 60 h, pouch_after: 72 h, ship_after: 96 h } }\n  melt: { process: thermal }\nlaminates:";
    let film = format!("film: {{ caliper: 40 um, weight: 40 g/m2, passes: [{list}] }}");
    let mut text = cell().replacen("\nlaminates:", slow, 1).replacen(
        "film: { caliper: 100 um, weight: 100 g/m2, adhesive: glue }",
        &film,
        1,
    );
    assert!(text.contains(&film), "{text}");
    for (from, to) in more {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    text
}

/// A page without its line breaks.
fn on_one_line(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 0.05, "{found}, not {wanted}");
}

/// F17. A triplex of 100 m at 10 m/min, the slow adhesive below and the quicker one on top. Pass 1 ends at 10; 6 h later,
/// at 370, pass 2 begins and ends at 380. To slitting: 60 h after pass 1 (3610), 24 h after pass 2 (1820): at 3610. To
/// pouches: 72 h after pass 1 (4330), 48 h after pass 2 (3260): at 4330. To shipping: 96 h after pass 1: 5770.
#[test]
fn three_plies_keep_the_holds_of_both_passes() {
    let ply = "caliper: 30 um, weight: 30 g/m2";
    let text = passes(
        &format!("{{ {ply}, adhesive: slow }}, {{ {ply}, adhesive: glue }}"),
        &[],
    );
    let seen = run(&text, ONE);
    let lam = seen.taken("lam");
    assert_eq!(lam.len(), 2);
    near(lam[1], 370.0);
    near(seen.taken("slit")[0], 3610.0);
    near(seen.taken("pouch")[0], 4330.0);
    near(seen.done()[0], 5770.0);
    let how = pouchcast::explain::How::default();
    let explained = pouchcast::explain::explain(&seen.model, 0, 2000.0, how);
    let walk = &explained.around_the_clock[0];
    near((walk.done - walk.released) as f64 / MIN as f64, 5770.0);
    let page = on_one_line(&pouchcast::explain::text(&seen.model, &explained));
    assert!(
        page.contains("2 d 12 h after pass 1 (slow), round the clock"),
        "{page}"
    );
    // The other way round: pass 2 at 10 + 4 h = 250, ends at 260; all holds of the slow one begin there.
    let text = passes(
        &format!("{{ {ply}, adhesive: glue }}, {{ {ply}, adhesive: slow }}"),
        &[],
    );
    let seen = run(&text, ONE);
    near(seen.taken("lam")[1], 250.0);
    near(seen.taken("slit")[0], 260.0 + 3600.0);
    near(seen.done()[0], 260.0 + 5760.0);
}

/// F17. Solventless inside, thermal film outside: pass 1 on the machine that coats, 10 min; 4 h later the film, on the
/// machine that heats, 100 m at no more than 5 m/min of the 8 it runs: 250 to 270. The film cools for an hour (330), the
/// adhesive cures for 24 h (1450): slitting at 1450. Neither machine changes over for the other's work.
#[test]
fn solventless_inside_and_thermal_outside() {
    let ply = "caliper: 30 um, weight: 30 g/m2";
    let heats = "machines: { heats: { processes: { thermal: 8 m/min }, ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, changeover: { job: 0 min, process: 90 min } }, lam:";
    let text = passes(
        &format!(
            "{{ {ply}, adhesive: glue }}, {{ {ply}, adhesive: melt, finish: soft_touch, speed: 5 m/min }}"
        ),
        &[("machines: { lam:", heats)],
    );
    let seen = run(&text, ONE);
    assert_eq!(seen.taken("lam"), [0.0]);
    near(seen.taken("heats")[0], 250.0);
    near(seen.left("heats")[0], 270.0);
    near(seen.taken("slit")[0], 1450.0);
    near(seen.taken("pouch")[0], 10.0 + 2880.0);
    near(seen.done()[0], 10.0 + 72.0 * 60.0);
}

/// F17. The same on one machine that does both, 30 min from process to process: the coating is set up for 30 min and
/// runs 10 (30 to 40), 4 h later the film for 30 and 20: 280 to 330. A second order goes between: its coating is set up
/// already and runs 40 to 50, its film goes behind the other one's at 330 without a change: 350.
#[test]
fn each_pass_changes_over_for_itself() {
    let ply = "caliper: 30 um, weight: 30 g/m2";
    let text = passes(
        &format!("{{ {ply}, adhesive: glue }}, {{ {ply}, adhesive: melt, speed: 5 m/min }}"),
        &[
            (
                "{ solventless: 10 m/min }",
                "{ solventless: 10 m/min, thermal: 8 m/min }",
            ),
            ("process: 0 min", "process: 30 min"),
        ],
    );
    let seen = run(&text, TWO);
    let left = seen.left("lam");
    for (found, wanted) in left.iter().zip([40.0, 50.0, 330.0, 350.0]) {
        near(*found, wanted);
    }
    assert_eq!(left.len(), 4);
}

/// F17. The slow adhesive of pass 1 cures in a hot room (12 h to slitting), the thermal film of pass 2 needs none: the
/// roll goes back to the hot room after pass 2, and its 12 h there begin anew: 4 h in it before pass 2 (250 to 260) are
/// not added. Slitting at 260 + the heating lag + 720.
#[test]
fn stays_in_a_hot_room_are_not_added() {
    use pouchcast::trade::roll::{
        CORE_76_OUTSIDE_MM, FILM_DIFFUSIVITY_M2_PER_S, build_up_mm, heating_lag_h,
        outer_diameter_mm,
    };
    let ply = "caliper: 30 um, weight: 30 g/m2";
    let hot = "process: solventless, hot_room: { room: oven, slit_after: 12 h, pouch_after: 24 h, ship_after: 36 h, data_sheet: { slit_after: 12 h, pouch_after: 24 h, ship_after: 36 h } },";
    let text = passes(
        &format!("{{ {ply}, adhesive: glue }}, {{ {ply}, adhesive: melt }}"),
        &[
            (
                "{ solventless: 10 m/min }",
                "{ solventless: 10 m/min, thermal: 10 m/min }",
            ),
            ("rooms: {}", "rooms: { oven: { heated: true, places: 1 } }"),
            ("process: solventless,", hot),
        ],
    );
    let seen = run(&text, ONE);
    near(seen.left("lam")[1], 260.0);
    let outer = outer_diameter_mm(100.0, CORE_76_OUTSIDE_MM, 100.0);
    let lag = heating_lag_h(
        build_up_mm(outer, CORE_76_OUTSIDE_MM),
        FILM_DIFFUSIVITY_M2_PER_S,
    );
    near(seen.taken("slit")[0], 260.0 + 60.0 * lag + 720.0);
}

/// F18. Four plies for retort, three passes, each losing 10 m at its start; nothing else is lost. 100 m of web at the
/// slitter are 110 m into pass 3, 120 into pass 2, 130 into pass 1. The web is 640 mm, of which 600 are pouches.
///
/// Money: 0.64 x (130 x 0.10 + 130 x 0.20 + 120 x 0.30 + 110 x 0.40) = 0.64 x 119 = 76.16. Of it lost: starts
/// 10 x 0.6 x (0.30 + 0.60 + 1.00) = 11.40; beside the pouches 0.04 x 119 = 4.76; 16.16 in all, so that the 60 m2 of the
/// pouches are left at 1.00. Weight: 0.64 x (130 x 40 + 130 x 10 + 120 x 20 + 110 x 30) g = 7.808 kg.
#[test]
fn each_ply_is_paid_where_it_is_joined() {
    let text = passes(
        "{ caliper: 10 um, weight: 10 g/m2, price: 0.20 /m2 }, { caliper: 20 um, weight: 20 g/m2, price: 0.30 /m2 }, { caliper: 30 um, weight: 30 g/m2, price: 0.40 /m2 }",
        &[
            ("passes: [", "adhesive: glue, price: 0.10 /m2, passes: ["),
            ("start_waste: 0 m", "start_waste: 10 m"),
            (
                "book: book.csv",
                "money: { disposal: 1 /kg, weeks: 4 }\nbook: book.csv",
            ),
        ],
    );
    let seen = run(&text, ONE);
    assert_eq!(seen.taken("lam").len(), 3);
    // A year of four weeks is what is measured.
    near(seen.figure("money/material"), 76.16);
    near(seen.figure("money/lost_material"), 16.16);
    near(seen.figure("web/all/money") * 4.0, 76.16);
    near(seen.figure("web/all/kg") * 4.0, 7.808);
    near(seen.figure("web/all/m2") * 4.0, 130.0 * 0.64);
    // Lost: starts 6 m2 of 50, 70 and 100 g; beside the pouches 0.04 x (5200 + 1300 + 2400 + 3300) g.
    near(seen.figure("money/disposal"), 6.0 * 0.22 + 0.04 * 12.2);
    // The page of the order says the same.
    let how = pouchcast::explain::How::default();
    let explained = pouchcast::explain::explain(&seen.model, 0, 2000.0, how);
    let page = on_one_line(&pouchcast::explain::text(&seen.model, &explained));
    for line in [
        "pass 1 solventless, glue: 40 um, 40 g/m2 come to it, 50 um, 50 g/m2 leave it",
        "130 m x 640 mm = 83.2 m2 x 40 g/m2 = 3.3 kg; at 0.1 a m2 8.32 EUR",
        "130 m x 640 mm = 83.2 m2 x 10 g/m2 = 0.8 kg; at 0.2 a m2 16.64 EUR",
        "120 m x 640 mm = 76.8 m2 x 20 g/m2 = 1.5 kg; at 0.3 a m2 23.04 EUR",
        "110 m x 640 mm = 70.4 m2 x 30 g/m2 = 2.1 kg; at 0.4 a m2 28.16 EUR",
        "7.8 kg; 76.16 EUR",
    ] {
        assert!(page.contains(line), "{line}\n{page}");
    }
}

/// A list of passes that are all alike, each with nothing of its own to pay, is the number of them.
#[test]
fn a_number_of_passes_is_that_many_alike() {
    let ply = "caliper: 30 um, weight: 30 g/m2";
    let listed = passes(
        &format!("{{ {ply} }}, {{ {ply} }}"),
        &[("passes: [", "adhesive: glue, passes: [")],
    );
    let number = with(&[("adhesive: glue }", "adhesive: glue, passes: 2 }")]);
    let times = |text: &str| {
        let seen = run(text, TWO);
        (
            seen.taken("lam"),
            seen.taken("slit"),
            seen.taken("pouch"),
            seen.done(),
        )
    };
    assert_eq!(times(&listed), times(&number));
}

/// Work that stands in the cell at the start: nobody tells when the passes before the last one were made, so that the
/// holds of all begin with the last. Bonded on Sunday at noon, 60 h to slitting: Wednesday 00:00.
#[test]
fn begun_work_keeps_the_longest_hold() {
    let ply = "caliper: 30 um, weight: 30 g/m2";
    let text = passes(
        &format!("{{ {ply}, adhesive: slow }}, {{ {ply}, adhesive: melt }}"),
        &[(
            "{ solventless: 10 m/min }",
            "{ solventless: 10 m/min, thermal: 10 m/min }",
        )],
    );
    let seen = run(
        &text,
        "order,product,quantity,at,bonded\nx,p,2000,slit,2027-01-03 12:00\n",
    );
    near(seen.taken("slit")[0], 2880.0);
}
