//! Stand-up pouches, whole orders by hand; see the folder's head for the conditions.
//!
//! In: nothing. Out: nothing; every expected figure is hand arithmetic from the formulas above
//! (of the trade folder), common practice, no source.

use super::{
    PACKER, dry_food_laminate, layout, metres, printed, size, slit, slit_one_set_min, solventless,
    solventless_min, step, thermal, thermal_min,
};
use crate::trade::chain::{good_metres, yield_by_metre};
use crate::trade::geometry::Format;
use crate::trade::laminate::{
    LLDPE_G_PER_CM3, PET_G_PER_CM3, Ply, caliper_um, grammage_g_per_m2, printed_laminate,
};
use crate::trade::packing::{packers_to_keep_pace, packing_min, run_and_pack_min};
use crate::trade::pouch_rate::{
    RateCaps, cycles_in, index_s, pouch_rate, reel_changes, run_min as pouch_run_min, setup_share,
};
use crate::trade::roll::{CORE_76_OUTSIDE_MM, length_m, mass_kg, outer_diameter_mm, rolls_needed};
use crate::trade::second_web::second_web;

/// 10,000 stand-up pouches 130 × 210 + 40 with zipper, one web of 760 mm, thermal.
#[test]
fn stand_up_one_web_thermal() {
    let pouch = size(130.0, 210.0, 40.0, 0.0);
    let on_web = layout(Format::StandUp, &pouch, 760.0);
    assert_eq!((on_web.lane_mm, on_web.lanes), (500.0, 1));
    assert_eq!(printed(100.0 * on_web.web_use, 1), "65.8");
    let good = good_metres(10_000, 1, 130.0);
    assert_eq!(good, 1300.0);
    let fed = metres(&[thermal(), slit(), step(40.0, 0.03)], good);
    assert_eq!(fed, [1433.0, 1398.0, 1381.0]);

    assert_eq!(printed(fed[0] / 30.0, 1), "47.8");
    assert_eq!(printed(thermal_min(fed[0]), 1), "62.9");
    assert_eq!(printed(fed[1] / 150.0, 1), "9.3");
    assert_eq!(printed(slit_one_set_min(1, fed[1], fed[2]), 1), "23.1");
    let run = pouch_run_min(fed[2], 130.0, 80.0);
    assert_eq!(printed(cycles_in(fed[2], 130.0), 0), "10623");
    assert_eq!(printed(run, 1), "132.8");
    assert_eq!(printed(60.0 + run, 1), "192.8");
    assert_eq!(printed(80.0 * 0.130, 1), "10.4");

    let pack = packing_min(10_000, &PACKER);
    assert_eq!(printed(10_000.0 / 70.0, 1), "142.9");
    assert_eq!(printed(pack, 1), "172.9");
    assert!(pack > run);
    assert_eq!(printed(60.0 + run_and_pack_min(run, pack, 1), 0), "233");

    let by_metre = yield_by_metre(good, fed[0]);
    assert_eq!(printed(100.0 * by_metre, 1), "90.7");
    assert_eq!(printed(100.0 * by_metre * on_web.web_use, 1), "59.7");
    let laminate = dry_food_laminate();
    let outer = outer_diameter_mm(fed[2], CORE_76_OUTSIDE_MM, caliper_um(&laminate));
    assert_eq!(printed(outer, 0), "485");
    let kg = mass_kg(fed[2], 520.0, grammage_g_per_m2(&laminate));
    assert_eq!(printed(kg, 0), "94");
}

/// The same order with an inserted gusset on a 1,000 mm web, solventless, two lanes.
#[test]
fn stand_up_inserted_gusset_two_lanes() {
    let pouch = size(130.0, 210.0, 40.0, 0.0);
    let on_web = layout(Format::StandUpInserted, &pouch, 1000.0);
    assert_eq!((on_web.lane_mm, on_web.lanes), (420.0, 2));
    assert_eq!(layout(Format::StandUp, &pouch, 1000.0).lanes, 1);
    assert_eq!(printed(100.0 * on_web.web_use, 0), "84");
    let good = good_metres(10_000, 2, 130.0);
    assert_eq!(good, 650.0);
    let fed = metres(&[solventless(), slit(), step(40.0, 0.03)], good);
    assert_eq!(fed, [783.0, 725.0, 711.0]);
    let gusset = second_web(Format::StandUpInserted, &pouch, 2).unwrap();
    assert_eq!(gusset.reel_width_mm, 160.0);
    // As long as the body: 711 m go through the pouch machine.
    let gusset_fed = metres(&[step(40.0, 0.03)], gusset.m_per_pouch * 10_000.0);
    assert_eq!(gusset_fed, [711.0]);
    let caps = RateCaps {
        format_cycles_per_min: 80.0,
        web_m_per_min: 30.0,
        dwell_s: 0.4,
        index_s: index_s(130.0),
    };
    assert_eq!(pouch_rate(&caps, 130.0, 2).pouches_per_min, 160.0);

    assert_eq!(printed(fed[0] / 150.0, 1), "5.2");
    assert_eq!(printed(solventless_min(fed[0]), 1), "30.7");
    assert_eq!(printed(fed[1] / 150.0, 1), "4.8");
    assert_eq!(printed(slit_one_set_min(2, fed[1], fed[2]), 1), "21.1");
    let run = pouch_run_min(fed[2], 130.0, 80.0);
    assert_eq!(printed(cycles_in(fed[2], 130.0), 0), "5469");
    assert_eq!(printed(run, 1), "68.4");
    assert_eq!(printed(75.0 + run, 1), "143.4");
    let pack = packing_min(10_000, &PACKER);
    assert_eq!(printed(pack, 1), "172.9");
    assert_eq!(packers_to_keep_pace(pack, run), 3);
}

/// 12,000 stand-up pouches 160 × 260 + 50 of kraft laminate, two solventless passes.
#[test]
fn kraft_two_passes() {
    let pouch = size(160.0, 260.0, 50.0, 0.0);
    let on_web = layout(Format::StandUp, &pouch, 762.0);
    assert_eq!((on_web.lane_mm, on_web.lanes), (620.0, 1));
    assert_eq!(printed(100.0 * on_web.web_use, 1), "81.4");
    let good = good_metres(12_000, 1, 160.0);
    assert_eq!(good, 1920.0);
    let route = [solventless(), solventless(), slit(), step(40.0, 0.03)];
    let fed = metres(&route, good);
    assert_eq!(fed, [2184.0, 2112.0, 2041.0, 2020.0]);
    let (first, second) = (solventless_min(fed[0]), solventless_min(fed[1]));
    assert_eq!(printed(first, 1), "40.1");
    assert_eq!(printed(second, 1), "39.6");
    let slitting = slit_one_set_min(1, fed[2], fed[3]);
    assert_eq!(printed(slitting, 1), "27.4");

    let films = [
        Ply::paper(60.0, 85.0),
        Ply::film(12.0, PET_G_PER_CM3),
        Ply::film(80.0, LLDPE_G_PER_CM3),
    ];
    let caliper = caliper_um(&printed_laminate(&films, 2));
    assert_eq!(printed(caliper, 0), "182");
    // The caliper unrounded; with 182.0 µm sharp it would be 1,517 m.
    let roll_m = length_m(600.0, CORE_76_OUTSIDE_MM, caliper);
    assert_eq!(printed(roll_m, 0), "1518");
    assert_eq!(rolls_needed(fed[3], roll_m), 2);
    let changes = reel_changes(fed[3], roll_m, roll_m);
    assert_eq!(changes, 1);
    let run = pouch_run_min(fed[3], 160.0, 75.0);
    assert_eq!(printed(cycles_in(fed[3], 160.0), 0), "12625");
    assert_eq!(printed(run, 1), "168.3");
    let pouching = run + 60.0 + 4.0 * changes as f64;
    assert_eq!(printed(pouching, 1), "232.3");

    let touch_h = (first + second + slitting + pouching) / 60.0;
    assert_eq!(printed(touch_h, 1), "5.7");
    let hold_h = 4.0 + 48.0;
    assert_eq!(printed(100.0 * hold_h / (hold_h + touch_h), 0), "90");
}

/// 500 stand-up pouches 130 × 210 + 40, thermal: the setup is nearly all.
#[test]
fn five_hundred_pouches() {
    let good = good_metres(500, 1, 130.0);
    assert_eq!(good, 65.0);
    let fed = metres(&[thermal(), slit(), step(40.0, 0.03)], good);
    assert_eq!(fed, [141.0, 119.0, 108.0]);
    assert_eq!(printed(thermal_min(fed[0]), 1), "19.8");
    assert_eq!(printed(slit_one_set_min(1, fed[1], fed[2]), 1), "14.6");
    let run = pouch_run_min(fed[2], 130.0, 80.0);
    assert_eq!(printed(cycles_in(fed[2], 130.0), 0), "831");
    assert_eq!(printed(run, 1), "10.4");
    assert_eq!(printed(60.0 + run, 1), "70.4");
    assert_eq!(printed(100.0 * yield_by_metre(good, fed[0]), 0), "46");
    assert_eq!(printed(100.0 * setup_share(60.0, run), 0), "85");
}
