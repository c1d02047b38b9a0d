//! Whole orders worked out by hand and reproduced to the printed digit.
//!
//! In: the conditions of each order. Out: nothing; the tests fail when a figure differs.
//!
//! Every expected figure below is hand arithmetic from the formulas above (of this folder),
//! common practice, no source. Conditions of all examples: edge trim 10 mm, no centre trim;
//! thermal laminator 30 m/min, setup 15 min, 20 m, 1 %; solventless 150 m/min, setup 25 min,
//! 0.5 min per start and stop, 50 m, 1 % per pass; slitter 150 m/min, 6 min + 2 per knife + 0.5
//! per core, 0.3 min per start and stop, doff 3 min per set, 10 m, 0.5 %; pouch machine 40 m
//! (flat-bottom 60 m), 3 % rejects; packer 70 pouches/min and 1.5 min per carton of 500.

mod other_formats;
mod stand_up;

use super::chain::{Rounding, Step, backward};
use super::geometry::{Format, Layout, PouchSize, lay_out};
use super::laminate::{LLDPE_G_PER_CM3, PET_G_PER_CM3, Ply, printed_laminate};
use super::lanes::{WebTrims, knives_for_lanes};
use super::packing::PackerTimes;
use super::roll::CORE_76_OUTSIDE_MM;
use super::runtime::{accel_from_ramp_loss, run_min};
use super::slitting::{Rewind, SlitSpeed, SlitTimes, plan};

const TRIMS: WebTrims = WebTrims {
    edge_mm: 10.0,
    centre_mm: 0.0,
};
const SLIT_TIMES: SlitTimes = SlitTimes {
    load_min: 6.0,
    per_knife_min: 2.0,
    per_core_min: 0.5,
    doff_min: 3.0,
};
const PACKER: PackerTimes = PackerTimes {
    pouches_per_min: 70.0,
    pouches_per_carton: 500,
    carton_min: 1.5,
};

/// A figure as printed, with so many decimals.
fn printed(value: f64, decimals: usize) -> String {
    format!("{value:.decimals$}")
}

fn step(start_m: f64, running: f64) -> Step {
    Step::new(start_m, running).unwrap()
}

fn thermal() -> Step {
    step(20.0, 0.01)
}

fn solventless() -> Step {
    step(50.0, 0.01)
}

fn slit() -> Step {
    step(10.0, 0.005)
}

fn size(width_mm: f64, height_mm: f64, gusset_mm: f64, overlap_mm: f64) -> PouchSize {
    PouchSize {
        width_mm,
        height_mm,
        gusset_mm,
        overlap_mm,
        ..PouchSize::default()
    }
}

fn layout(format: Format, size: &PouchSize, web_mm: f64) -> Layout {
    lay_out(format, size, web_mm, &TRIMS, u32::MAX).unwrap()
}

/// Metres to feed each step, whole metres.
fn metres(route: &[Step], good_m: f64) -> Vec<f64> {
    backward(route, good_m, Rounding::UpToWholeMetre)
}

fn thermal_min(metres: f64) -> f64 {
    15.0 + run_min(metres, 30.0, 5.0)
}

fn solventless_min(metres: f64) -> f64 {
    25.0 + run_min(metres, 150.0, accel_from_ramp_loss(150.0, 0.5))
}

/// Slitting into one set: the rewind is as large as needed.
fn slit_one_set_min(lanes: u32, in_m: f64, good_m: f64) -> f64 {
    let any_size = Rewind {
        most_outer_mm: 1e4,
        core_outside_mm: CORE_76_OUTSIDE_MM,
        caliper_um: 128.9,
    };
    slit_min(&any_size, lanes, in_m, good_m)
}

fn slit_min(rewind: &Rewind, lanes: u32, in_m: f64, good_m: f64) -> f64 {
    let speed = SlitSpeed {
        speed_m_per_min: 150.0,
        accel_m_per_min_per_s: accel_from_ramp_loss(150.0, 0.3),
    };
    let knives = knives_for_lanes(lanes, &TRIMS);
    plan(&SLIT_TIMES, &speed, rewind, lanes, knives, in_m, good_m).total_min()
}

/// 128.9 µm, 131.0 g/m².
fn dry_food_laminate() -> Vec<Ply> {
    let pet = Ply::film(12.0, PET_G_PER_CM3);
    printed_laminate(&[pet, pet, Ply::film(100.0, LLDPE_G_PER_CM3)], 2)
}
