//! The slitter: setup, sets by rewind diameter, doffs and minutes.
//!
//! In: element times (min), lanes, knives, metres to slit, what a rewind roll may hold. Out: a
//! plan with each part of the minutes kept apart.
//!
//! Formulas: setup = load + knives · per knife + lanes · per core for the first set; every
//! further set loads its cores again; every set is doffed. sets = metres / metres that fit on
//! one rewind roll, rounded up. Element times are common practice, no source.

use super::roll::{length_m, outer_diameter_mm, rolls_needed};
use super::runtime::run_in_pieces_min;

/// Element times of a slitter, min.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlitTimes {
    /// Load and thread the parent roll (4-6-12).
    pub load_min: f64,
    /// Set one knife (razor 1-2-3, shear pair 3-4-6; automatic sets: 0 here and all in load).
    pub per_knife_min: f64,
    /// Load one core and tape its tail (0.3-0.5-1).
    pub per_core_min: f64,
    /// Doff and label one set (2-3-6).
    pub doff_min: f64,
}

/// The rewind of a slitter for one laminate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rewind {
    /// Largest outer diameter of a finished roll, mm.
    pub most_outer_mm: f64,
    /// Outside diameter of the cores, mm.
    pub core_outside_mm: f64,
    /// Caliper of the laminate as wound, µm.
    pub caliper_um: f64,
}

/// Speed of a slitter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlitSpeed {
    /// Running speed, m/min.
    pub speed_m_per_min: f64,
    /// Acceleration and deceleration, m/min per second.
    pub accel_m_per_min_per_s: f64,
}

/// What slitting one lot takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlitPlan {
    /// Sets of rewind rolls.
    pub sets: u64,
    /// Rewind rolls in all: sets × lanes.
    pub rolls: u64,
    /// Outer diameter of each roll when the good metres are shared evenly over the sets, mm.
    pub outer_mm: f64,
    /// Loading and knives, min.
    pub setup_min: f64,
    /// Cores of all sets, min.
    pub cores_min: f64,
    /// Running, with a start and a stop for each set, min.
    pub run_min: f64,
    /// Doffs of all sets, min.
    pub doff_min: f64,
}

impl SlitPlan {
    /// All minutes together.
    pub fn total_min(&self) -> f64 {
        self.setup_min + self.cores_min + self.run_min + self.doff_min
    }
}

/// Sets needed for `good_m` of each lane on a rewind; 0 for no metres.
pub fn sets_needed(good_m: f64, rewind: &Rewind) -> u64 {
    let most_m = length_m(
        rewind.most_outer_mm,
        rewind.core_outside_mm,
        rewind.caliper_um,
    );
    rolls_needed(good_m, most_m)
}

/// Minutes before the first metre of a lot but without cores: load + knives · per knife.
pub fn setup_min(times: &SlitTimes, knives: u32) -> f64 {
    times.load_min + f64::from(knives) * times.per_knife_min
}

/// Minutes to load the cores of `sets` sets of `lanes` lanes.
pub fn cores_min(times: &SlitTimes, lanes: u32, sets: u64) -> f64 {
    f64::from(lanes) * sets as f64 * times.per_core_min
}

/// Plans one lot: `in_m` metres of parent web run through, of which `good_m` are rewound on each
/// of `lanes` lanes with `knives` knives. No metres: nothing is set up and all is zero.
pub fn plan(
    times: &SlitTimes,
    speed: &SlitSpeed,
    rewind: &Rewind,
    lanes: u32,
    knives: u32,
    in_m: f64,
    good_m: f64,
) -> SlitPlan {
    let sets = if lanes == 0 {
        0
    } else {
        sets_needed(good_m, rewind)
    };
    if sets == 0 {
        return SlitPlan {
            sets: 0,
            rolls: 0,
            outer_mm: rewind.core_outside_mm,
            setup_min: 0.0,
            cores_min: 0.0,
            run_min: 0.0,
            doff_min: 0.0,
        };
    }
    SlitPlan {
        sets,
        rolls: sets.saturating_mul(u64::from(lanes)),
        outer_mm: outer_diameter_mm(
            good_m / sets as f64,
            rewind.core_outside_mm,
            rewind.caliper_um,
        ),
        setup_min: setup_min(times, knives),
        cores_min: cores_min(times, lanes, sets),
        run_min: run_in_pieces_min(
            in_m,
            sets,
            speed.speed_m_per_min,
            speed.accel_m_per_min_per_s,
        ),
        doff_min: sets as f64 * times.doff_min,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TIMES: SlitTimes = SlitTimes {
        load_min: 6.0,
        per_knife_min: 2.0,
        per_core_min: 0.5,
        doff_min: 3.0,
    };
    const SPEED: SlitSpeed = SlitSpeed {
        speed_m_per_min: 150.0,
        accel_m_per_min_per_s: 10.0,
    };
    const REWIND: Rewind = Rewind {
        most_outer_mm: 400.0,
        core_outside_mm: 92.0,
        caliper_um: 128.9,
    };

    /// Hand arithmetic from the formulas above, common practice, no source: a 400 mm rewind
    /// holds 923 m, so 1,500 m of two lanes are two sets, four rolls: 12 + 2 + (10 + 2·0.25) + 6.
    #[test]
    fn two_sets() {
        let plan = plan(&TIMES, &SPEED, &REWIND, 2, 3, 1500.0, 1490.0);
        assert_eq!((plan.sets, plan.rolls), (2, 4));
        assert_eq!(
            (plan.setup_min, plan.cores_min, plan.doff_min),
            (12.0, 2.0, 6.0)
        );
        assert!((plan.run_min - 10.5).abs() < 1e-12);
        assert!((plan.total_min() - 30.5).abs() < 1e-12);
        assert!(plan.outer_mm < 400.0);
    }

    #[test]
    fn rolls_never_exceed_the_rewind() {
        for metres in 1..4000 {
            let metres = f64::from(metres);
            let plan = plan(&TIMES, &SPEED, &REWIND, 1, 2, metres, metres);
            assert!(plan.outer_mm <= 400.0 + 1e-6);
            let one_less = plan.sets - 1;
            assert!(one_less as f64 * length_m(400.0, 92.0, 128.9) < metres);
        }
    }

    #[test]
    fn nothing_to_slit_takes_no_time() {
        assert_eq!(
            plan(&TIMES, &SPEED, &REWIND, 2, 3, 0.0, 0.0).total_min(),
            0.0
        );
        assert_eq!(
            plan(&TIMES, &SPEED, &REWIND, 0, 0, 100.0, 100.0).total_min(),
            0.0
        );
    }
}
