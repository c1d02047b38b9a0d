//! A wound roll: length, diameter, mass, how many are needed, how slowly it warms.
//!
//! In: diameters (mm), caliper (µm), width (mm), grammage (g/m²). Out: metres, mm, kg, counts,
//! hours.
//!
//! Formulas: L = π(D² − d²)/(4t), the area of the ring divided by the caliper. The core diameter
//! is the **outside** one: a core called 76 mm is 76 mm inside and about 92 mm outside, one
//! called 152 mm about 172 mm (common practice, no source).

use super::rounding::{count_up, round_up};
use std::f64::consts::PI;

/// Outside diameter of the core called 76 mm (3 in) after its bore, mm (from memory).
pub const CORE_76_OUTSIDE_MM: f64 = 92.0;
/// Outside diameter of the core called 152 mm (6 in) after its bore, mm (from memory).
pub const CORE_152_OUTSIDE_MM: f64 = 172.0;
/// Thermal diffusivity of wound film across its layers, m²/s (from memory, order of magnitude).
pub const FILM_DIFFUSIVITY_M2_PER_S: f64 = 1e-7;

/// Length on a roll, m, from its outer diameter, the core's outside diameter and the caliper:
/// L = π(D² − d²)/(4t). 0 when the roll is no thicker than its core; infinite for no caliper.
pub fn length_m(outer_mm: f64, core_outside_mm: f64, caliper_um: f64) -> f64 {
    let ring_mm2 = PI * (outer_mm * outer_mm - core_outside_mm * core_outside_mm) / 4.0;
    if ring_mm2 <= 0.0 {
        return 0.0;
    }
    // mm² / µm = 1000 mm = 1 m
    ring_mm2 / caliper_um
}

/// Outer diameter of a roll, mm: D = sqrt(4Lt/π + d²).
pub fn outer_diameter_mm(length_m: f64, core_outside_mm: f64, caliper_um: f64) -> f64 {
    (4.0 * length_m * caliper_um / PI + core_outside_mm * core_outside_mm).sqrt()
}

/// Caliper as wound, µm, when trapped air adds `air_share` (0 to 0.03, common practice, no
/// source) to the caliper of the laminate.
pub fn wound_caliper_um(caliper_um: f64, air_share: f64) -> f64 {
    caliper_um * (1.0 + air_share)
}

/// Mass of the film on a roll without its core, kg: length · width · grammage.
pub fn mass_kg(length_m: f64, width_mm: f64, grammage_g_per_m2: f64) -> f64 {
    length_m * (width_mm / 1000.0) * grammage_g_per_m2 / 1000.0
}

/// Rolls that `metres` fill when each holds at most `roll_m`. 0 for no metres; the largest
/// count there is when a roll holds nothing.
pub fn rolls_needed(metres: f64, roll_m: f64) -> u64 {
    if metres <= 0.0 {
        return 0;
    }
    if roll_m <= 0.0 {
        return u64::MAX;
    }
    count_up(metres / roll_m)
}

/// Longest piece of `metres` shared evenly over `rolls`, rounded up to whole metres.
pub fn even_share_m(metres: f64, rolls: u64) -> f64 {
    if rolls == 0 {
        return 0.0;
    }
    round_up(metres / rolls as f64)
}

/// Build-up of a roll, mm: the thickness of film over the core.
pub fn build_up_mm(outer_mm: f64, core_outside_mm: f64) -> f64 {
    (outer_mm - core_outside_mm).max(0.0) / 2.0
}

/// Time constant with which a roll warms (or cools) through, h: 4x²/(π²α), the first mode of a
/// slab of thickness x heated on one side (conduction theory; the diffusivity is from memory).
/// It is the fast estimate: with still air round a wound roll of 45 mm build-up the core has come 36 % of the way by
/// then (finite differences, constants from memory).
pub fn heating_time_constant_h(build_up_mm: f64, diffusivity_m2_per_s: f64) -> f64 {
    let x_m = build_up_mm / 1000.0;
    4.0 * x_m * x_m / (PI * PI * diffusivity_m2_per_s) / 3600.0
}

/// Time until the core of a roll counts as warm, h: four time constants, after which the core of the same roll has come
/// 92 % of the way. Hours in a hot room count as hot only after it; too long errs on the safe side.
pub fn heating_lag_h(build_up_mm: f64, diffusivity_m2_per_s: f64) -> f64 {
    4.0 * heating_time_constant_h(build_up_mm, diffusivity_m2_per_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rolls of 128.9 µm, 131.0 g/m². Hand arithmetic from the formulas above, common practice,
    /// no source.
    #[test]
    fn lengths_and_mass() {
        let metres = |outer, core| format!("{:.0}", length_m(outer, core, 128.9));
        assert_eq!(metres(400.0, CORE_76_OUTSIDE_MM), "923");
        assert_eq!(metres(600.0, CORE_76_OUTSIDE_MM), "2142");
        assert_eq!(metres(800.0, CORE_152_OUTSIDE_MM), "3719");
        let kg = mass_kg(length_m(400.0, CORE_76_OUTSIDE_MM, 128.9), 520.0, 131.0);
        assert_eq!(format!("{kg:.1}"), "62.9");
    }

    /// Taking the bore for the core overstates a 400 mm roll by 1.8 %. Hand arithmetic from the
    /// formulas above, common practice, no source.
    #[test]
    fn forgetting_the_core_wall_overstates_the_roll() {
        let over = length_m(400.0, 76.0, 128.9) / length_m(400.0, CORE_76_OUTSIDE_MM, 128.9);
        assert_eq!(format!("{:.1}", 100.0 * (over - 1.0)), "1.8");
    }

    /// Time constants of 50, 100 and 150 mm of build-up, and four of them. Hand arithmetic from the formulas above, common
    /// practice, no source.
    #[test]
    fn heating_lags() {
        let lag = |mm| heating_time_constant_h(mm, FILM_DIFFUSIVITY_M2_PER_S);
        let warm = |mm| heating_lag_h(mm, FILM_DIFFUSIVITY_M2_PER_S);
        assert_eq!(format!("{:.1}", warm(50.0)), "11.3");
        assert_eq!(format!("{:.1}", lag(50.0)), "2.8");
        assert_eq!(format!("{:.0}", lag(100.0)), "11");
        assert_eq!(format!("{:.0}", lag(150.0)), "25");
        assert_eq!(lag(0.0), 0.0);
    }

    #[test]
    fn diameter_undoes_length() {
        for core in [CORE_76_OUTSIDE_MM, CORE_152_OUTSIDE_MM] {
            for caliper in [40.0, 53.2, 128.9, 182.0] {
                for extra in [0.0, 1.0, 200.0, 628.0] {
                    let outer = core + extra;
                    let back = outer_diameter_mm(length_m(outer, core, caliper), core, caliper);
                    assert!((back - outer).abs() < 1e-9, "{outer} {back}");
                }
            }
        }
    }

    /// An independent check of the formula: add up the turns of a spiral one by one.
    #[test]
    fn length_is_the_sum_of_the_turns() {
        let (core, turns, caliper_mm) = (92.0, 1000, 0.1289);
        let mut sum_mm = 0.0;
        for turn in 0..turns {
            sum_mm += PI * (core + (2.0 * f64::from(turn) + 1.0) * caliper_mm);
        }
        let outer = core + 2.0 * f64::from(turns) * caliper_mm;
        assert!((length_m(outer, core, 128.9) - sum_mm / 1000.0).abs() < 1e-6);
        assert!((build_up_mm(outer, core) - 128.9).abs() < 1e-9);
    }

    #[test]
    fn edges() {
        assert_eq!(length_m(92.0, 92.0, 128.9), 0.0);
        assert_eq!(length_m(50.0, 92.0, 128.9), 0.0);
        assert_eq!(outer_diameter_mm(0.0, 92.0, 128.9), 92.0);
        assert_eq!(rolls_needed(0.0, 900.0), 0);
        assert_eq!(rolls_needed(900.0, 900.0), 1);
        assert_eq!(rolls_needed(900.1, 900.0), 2);
        assert_eq!(rolls_needed(1.0, 0.0), u64::MAX);
        assert_eq!(even_share_m(901.0, 2), 451.0);
        assert_eq!(even_share_m(901.0, 0), 0.0);
        assert_eq!(wound_caliper_um(100.0, 0.03), 103.0);
        assert_eq!(build_up_mm(80.0, 92.0), 0.0);
    }
}
