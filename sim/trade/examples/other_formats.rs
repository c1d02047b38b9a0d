//! Three-side seal, flat-bottom and roll-stock, whole orders by hand; see the folder's head for the conditions.
//!
//! In: nothing. Out: nothing; every expected figure is hand arithmetic from the formulas above
//! (of the trade folder), common practice, no source.

use super::{
    layout, metres, printed, size, slit, slit_min, slit_one_set_min, solventless, solventless_min,
    step,
};
use crate::trade::chain::good_metres;
use crate::trade::geometry::Format;
use crate::trade::laminate::{OPP_G_PER_CM3, Ply, caliper_um, printed_laminate};
use crate::trade::packing::{PackerTimes, packers_to_keep_pace, packing_min};
use crate::trade::pouch_rate::{cycles_in, run_min as pouch_run_min};
use crate::trade::roll::{CORE_76_OUTSIDE_MM, length_m, outer_diameter_mm};
use crate::trade::second_web::second_web;
use crate::trade::slitting::{Rewind, sets_needed};

/// 20,000 three-side-seal pouches 100 × 150 on 762 mm, solventless, two lanes.
#[test]
fn three_side_seal_two_lanes() {
    let pouch = size(100.0, 150.0, 0.0, 0.0);
    let on_web = layout(Format::ThreeSide, &pouch, 762.0);
    assert_eq!((on_web.lane_mm, on_web.lanes), (300.0, 2));
    assert_eq!(printed(100.0 * on_web.web_use, 1), "78.7");
    let good = good_metres(20_000, 2, 100.0);
    assert_eq!(good, 1000.0);
    let fed = metres(&[solventless(), slit(), step(40.0, 0.03)], good);
    assert_eq!(fed, [1148.0, 1087.0, 1071.0]);
    assert_eq!(printed(solventless_min(fed[0]), 1), "33.2");
    assert_eq!(printed(slit_one_set_min(2, fed[1], fed[2]), 1), "23.5");
    let run = pouch_run_min(fed[2], 100.0, 140.0);
    assert_eq!(printed(cycles_in(fed[2], 100.0), 0), "10710");
    assert_eq!(printed(run, 1), "76.5");
    assert_eq!(printed(45.0 + run, 1), "121.5");
    assert_eq!(printed(140.0 * 0.100, 0), "14");
    // Small flat pouches: 90 a minute, cartons of 1,000.
    let packer = PackerTimes {
        pouches_per_min: 90.0,
        pouches_per_carton: 1000,
        carton_min: 1.5,
    };
    let pack = packing_min(20_000, &packer);
    assert_eq!(printed(pack, 0), "252");
    assert_eq!(packers_to_keep_pace(pack, run), 4);
    // By rate alone: 280 pouches/min from two lanes against 90 a packer.
    assert_eq!(packers_to_keep_pace(2.0 * 140.0, 90.0), 4);
}

/// 8,000 flat-bottom pouches 140 × 260, depth 80, solventless: two webs, two chains.
#[test]
fn flat_bottom_two_webs() {
    let pouch = size(140.0, 260.0, 80.0, 0.0);
    let body = layout(Format::FlatBottom, &pouch, 762.0);
    assert_eq!((body.lane_mm, body.lanes), (600.0, 1));
    assert_eq!(printed(100.0 * body.web_use, 1), "78.7");
    let good = good_metres(8_000, 1, 140.0);
    assert_eq!(good, 1120.0);
    let pouching = step(60.0, 0.03);
    let fed = metres(&[solventless(), slit(), pouching], good);
    assert_eq!(fed, [1295.0, 1232.0, 1215.0]);

    let gusset = second_web(Format::FlatBottom, &pouch, 1).unwrap();
    assert_eq!(gusset.reel_width_mm, 260.0);
    let gusset_good = gusset.m_per_pouch * 8_000.0;
    assert_eq!(printed(gusset_good, 0), "1280");
    // Two gusset lanes across the web: each metre slit gives two of reel.
    let two_lanes = slit().splitting(2.0).unwrap();
    // It runs as long as the body does: 1215 m / 140 mm = 8679 cycles of 160 mm, starts and rejects with them.
    let gusset_run = fed[2] / 0.140 * gusset.m_per_pouch;
    assert_eq!(printed(gusset_run, 1), "1388.6");
    let gusset_fed = metres(&[solventless(), two_lanes], gusset_run);
    assert_eq!(gusset_fed, [766.0, 708.0]);
    assert_eq!(printed(solventless_min(gusset_fed[0]), 1), "30.6");
    assert_eq!(
        printed(slit_one_set_min(2, gusset_fed[1], gusset_run / 2.0), 1),
        "21.0"
    );

    assert_eq!(printed(solventless_min(fed[0]), 1), "34.1");
    assert_eq!(printed(slit_one_set_min(1, fed[1], fed[2]), 1), "22.0");
    let run = pouch_run_min(fed[2], 140.0, 55.0);
    assert_eq!(printed(cycles_in(fed[2], 140.0), 0), "8679");
    assert_eq!(printed(run, 1), "157.8");
    assert_eq!(printed(120.0 + run, 1), "277.8");
    assert!(Format::FlatBottom.joins_two_webs());
}

/// Roll-stock, 50,000 impressions 120 wide × 160 cut-off on 762 mm, solventless.
#[test]
fn roll_stock_two_sets() {
    let pillow = size(120.0, 160.0, 0.0, 20.0);
    let on_web = layout(Format::RollStock, &pillow, 762.0);
    assert_eq!((on_web.lane_mm, on_web.lanes), (260.0, 2));
    assert_eq!(printed(100.0 * on_web.web_use, 1), "68.2");
    let good = good_metres(50_000, 2, 160.0);
    assert_eq!(good, 4000.0);
    // 1 % of rejects allowed on the finished rolls; no pouching.
    let fed = metres(&[solventless(), slit(), step(0.0, 0.01)], good);
    assert_eq!(fed, [4164.0, 4072.0, 4041.0]);
    assert_eq!(printed(fed[0] / 150.0, 1), "27.8");
    assert_eq!(printed(solventless_min(fed[0]), 1), "53.3");

    let opp = |um| Ply::film(um, OPP_G_PER_CM3);
    let caliper = caliper_um(&printed_laminate(&[opp(20.0), opp(30.0)], 1));
    assert_eq!(printed(caliper, 1), "53.2");
    let rewind = Rewind {
        most_outer_mm: 400.0,
        core_outside_mm: CORE_76_OUTSIDE_MM,
        caliper_um: 53.2,
    };
    assert_eq!(
        printed(length_m(400.0, CORE_76_OUTSIDE_MM, 53.2), 0),
        "2237"
    );
    assert_eq!(sets_needed(fed[2], &rewind), 2);
    let outer = outer_diameter_mm(fed[2] / 2.0, CORE_76_OUTSIDE_MM, 53.2);
    assert_eq!(printed(outer, 0), "381");
    assert_eq!(printed(fed[1] / 150.0, 1), "27.1");
    // The hand figure, 47.4 min, counts one start and stop for both sets. Each doff is a stop,
    // so the plan counts one for each set and comes out 0.3 min longer.
    let by_plan = slit_min(&rewind, 2, fed[1], fed[2]);
    assert_eq!(printed(by_plan - 0.3, 1), "47.4");
    assert_eq!(printed(by_plan, 1), "47.7");
    assert!(!Format::RollStock.needs_pouching());
}
