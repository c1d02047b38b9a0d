//! The trade's pocket-calculator arithmetic.
//!
//! In: nothing. Out: [`Reference`]s worked by hand; common practice, no source, but for the spiral, which is
//! geometry. The wrong number is the bore instead of the core, a trim forgotten, a speed a little off.

use crate::trade::chain::{Rounding, Step, backward, good_metres};
use crate::trade::geometry::{Format, PouchSize, developed_width_mm};
use crate::trade::laminate::{
    LLDPE_G_PER_CM3, PET_G_PER_CM3, Ply, caliper_um, grammage_g_per_m2, printed_laminate,
};
use crate::trade::lanes::{WebTrims, lanes_across};
use crate::trade::pouch_rate::run_min as pouch_run_min;
use crate::trade::roll::{FILM_DIFFUSIVITY_M2_PER_S, heating_time_constant_h, length_m, mass_kg};
use crate::trade::runtime::{length_to_reach_speed_m, ramp_loss_min, run_min};
use crate::verify::reference::Reference;

use super::printed;

const ROLLS: (&str, &str) = (
    "Rolls, webs and runs",
    "worked by hand; common practice, no source",
);
const GEOMETRY: (&str, &str) = (
    "Rolls, webs and runs",
    "geometry: the turns added up one by one",
);

/// All values of this file.
pub fn references() -> Vec<Reference> {
    let mut all = rolls();
    all.extend(webs());
    all.extend(runs());
    all
}

fn rolls() -> Vec<Reference> {
    let mut all = Vec::new();
    // Outside diameter, core outside, core bore, metres by 128.9 um.
    for (outer, core, bore, metres) in [
        (400.0, 92.0, 76.0, 923.0),
        (600.0, 92.0, 76.0, 2142.0),
        (800.0, 172.0, 152.0, 3719.0),
    ] {
        all.push(printed(
            ROLLS,
            format!("length of a roll of {outer} mm on a core of {core} mm, 128.9 um, m"),
            (metres, 0),
            length_m(outer, core, 128.9),
            length_m(outer, bore, 128.9),
        ));
    }
    // A thousand turns, each pi times its middle diameter.
    let (core, caliper_mm) = (92.0, 0.1289);
    let metres: f64 = (0..1000)
        .map(|turn| {
            std::f64::consts::PI * (core + (2.0 * f64::from(turn) + 1.0) * caliper_mm) / 1000.0
        })
        .sum();
    let outer = core + 2000.0 * caliper_mm;
    all.push(printed(
        GEOMETRY,
        "length of a thousand turns, m",
        (metres, 6),
        length_m(outer, core, 128.9),
        length_m(outer, core, 130.0),
    ));
    let kg = |g| mass_kg(length_m(400.0, 92.0, 128.9), 520.0, g);
    all.push(printed(
        ROLLS,
        "mass of a roll of 400 mm, 520 mm wide, 131 g/m2, kg",
        (62.9, 1),
        kg(131.0),
        kg(133.0),
    ));
    for (build_up, hours, digits) in [(50.0, 2.8, 1), (100.0, 11.0, 0), (150.0, 25.0, 0)] {
        all.push(printed(
            ROLLS,
            format!("time constant of heating {build_up} mm of wound film, h"),
            (hours, digits),
            heating_time_constant_h(build_up, FILM_DIFFUSIVITY_M2_PER_S),
            heating_time_constant_h(build_up * 1.1, FILM_DIFFUSIVITY_M2_PER_S),
        ));
    }
    let dry_food = |pe: f64| {
        let pet = Ply::film(12.0, PET_G_PER_CM3);
        printed_laminate(&[pet, pet, Ply::film(pe, LLDPE_G_PER_CM3)], 2)
    };
    all.push(printed(
        ROLLS,
        "caliper of PET 12, PET 12, PE 100 with ink and two bond lines, um",
        (128.9, 1),
        caliper_um(&dry_food(100.0)),
        caliper_um(&dry_food(101.0)),
    ));
    all.push(printed(
        ROLLS,
        "mass of the same, g/m2",
        (131.0, 1),
        grammage_g_per_m2(&dry_food(100.0)),
        grammage_g_per_m2(&dry_food(101.0)),
    ));
    all
}

fn webs() -> Vec<Reference> {
    let size = |gusset_mm: f64| PouchSize {
        width_mm: 130.0,
        height_mm: 210.0,
        gusset_mm,
        ..PouchSize::default()
    };
    let lanes = |edge_mm: f64| {
        let trims = WebTrims {
            edge_mm,
            centre_mm: 0.0,
        };
        lanes_across(1000.0, 490.0, &trims).map_or(f64::NAN, f64::from)
    };
    vec![
        printed(
            ROLLS,
            "web across of a stand-up pouch 130 x 210 + 40, mm",
            (500.0, 0),
            developed_width_mm(Format::StandUp, &size(40.0)),
            developed_width_mm(Format::StandUp, &size(20.0)),
        ),
        printed(
            ROLLS,
            "lanes of 490 mm on 1000 mm, trims of 10 mm",
            (2.0, 0),
            lanes(10.0),
            lanes(20.0),
        ),
        printed(
            ROLLS,
            "metres of 10 000 pouches of 130 mm in two lanes",
            (650.0, 0),
            good_metres(10_000, 2, 130.0),
            good_metres(10_000, 1, 130.0),
        ),
    ]
}

fn runs() -> Vec<Reference> {
    let route = |rejects: f64| -> Option<Vec<f64>> {
        let steps = [
            Step::new(50.0, 0.01).ok()?,
            Step::new(10.0, 0.005).ok()?,
            Step::new(40.0, rejects).ok()?,
        ];
        Some(backward(&steps, 1000.0, Rounding::UpToWholeMetre))
    };
    let fed = |rejects, step: usize| route(rejects).map_or(f64::NAN, |metres| metres[step]);
    let mut all = Vec::new();
    // 1000 good metres: (1000 / 0.97) + 40, / 0.995 + 10, / 0.99 + 50, each up to a whole metre.
    for (step, name, metres) in [
        (0, "laminator", 1148.0),
        (1, "slitter", 1087.0),
        (2, "pouch machine", 1071.0),
    ] {
        all.push(printed(
            ROLLS,
            format!("metres into the {name} for 1000 good ones"),
            (metres, 0),
            fed(0.03, step),
            fed(0.04, step),
        ));
    }
    for (speed, ramp, seconds) in [(30.0, 5.0, 6.0), (150.0, 10.0, 15.0), (300.0, 10.0, 30.0)] {
        all.push(printed(
            ROLLS,
            format!("time lost by starting and stopping at {speed} m/min, {ramp} m/min/s, s"),
            (seconds, 0),
            60.0 * ramp_loss_min(speed, ramp),
            60.0 * ramp_loss_min(speed, ramp * 1.1),
        ));
    }
    for (speed, metres) in [(150.0, 19.0), (300.0, 75.0), (400.0, 133.0)] {
        all.push(printed(
            ROLLS,
            format!("length to reach {speed} m/min at 10 m/min/s, m"),
            (metres, 0),
            length_to_reach_speed_m(speed, 10.0),
            length_to_reach_speed_m(speed * 1.05, 10.0),
        ));
    }
    all.push(printed(
        ROLLS,
        "1200 m at 150 m/min, ramp 10 m/min/s: 8 min and 15 s, min",
        (8.25, 6),
        run_min(1200.0, 150.0, 10.0),
        run_min(1200.0, 150.0, 9.0),
    ));
    all.push(printed(
        ROLLS,
        "1071 m of pouches of 100 mm at 140 a minute, min",
        (76.5, 1),
        pouch_run_min(1071.0, 100.0, 140.0),
        pouch_run_min(1071.0, 100.0, 133.0),
    ));
    all
}
