//! How long a lot runs on a machine, from its quantity: the trade arithmetic boiled down to a few numbers.
//!
//! In: lane-millimetres (before pouching) or pouches (after it). Out: running ticks and planned stops.

use crate::random::Dist;
use crate::trade::runtime::run_min;
use crate::units::{Tick, ceiling, ticks_from_minutes, whole};

/// Run-time law of one job.
#[derive(Debug, Clone)]
pub enum Law {
    /// Web through a laminator, slitter or press.
    Web {
        /// Speed, m/min.
        m_per_min: f64,
        /// Acceleration and deceleration, m/min/s.
        ramp: f64,
        /// Web in one rewound set, mm (infinite: no sets).
        set_mm: f64,
        /// Web lost at a start before the first set, mm, by plan.
        start_mm: f64,
        /// Share of the rest that is rewound, by plan.
        kept: f64,
        /// Stop to take a set off and load cores, ticks.
        set_stop: Tick,
    },
    /// Pouches from web.
    Cycles {
        /// Advance per cycle, mm.
        pitch_mm: f64,
        /// Ticks per cycle.
        ticks_per_cycle: f64,
    },
    /// Pieces past people or a machine.
    Pieces {
        /// Ticks per piece.
        ticks_per_piece: f64,
        /// Pieces per carton.
        per_carton: f64,
        /// Ticks per carton.
        carton: f64,
        /// Fixed ticks per lot.
        per_lot: Tick,
        /// Runs alongside pouching: the pouching run of the lot is taken off.
        alongside: bool,
    },
    /// One drawn time for the lot.
    Lot(Dist),
    /// A drawn time times the quantity (in `unit` lane-mm or pieces).
    Each {
        /// Time for one unit, minutes.
        time: Dist,
        /// Lane-mm or pieces in one unit.
        unit: f64,
    },
}

/// A planned stop within a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlannedStop {
    /// Running ticks between stops.
    pub every: Tick,
    /// Length, ticks.
    pub length: Tick,
}

impl Law {
    /// Running minutes of a lot of `quantity` on `lanes` lanes, with no chance in it (drawn times at their mean).
    ///
    /// `alongside_min`: minutes the lot has already been packed alongside its pouching run.
    pub fn minutes(&self, quantity: i64, lanes: u32, alongside_min: f64) -> f64 {
        let quantity = quantity as f64;
        match self {
            Law::Web {
                m_per_min, ramp, ..
            } => {
                let web = quantity / f64::from(lanes);
                let sets = f64::from(self.sets(quantity as i64, lanes, true));
                sets * run_min(web / sets / 1000.0, *m_per_min, *ramp)
            }
            Law::Cycles {
                pitch_mm,
                ticks_per_cycle,
                ..
            } => {
                let cycles = quantity / f64::from(lanes) / pitch_mm;
                cycles * ticks_per_cycle / crate::units::TICKS_PER_MINUTE as f64
            }
            Law::Pieces {
                ticks_per_piece,
                per_carton,
                carton,
                per_lot,
                alongside,
            } => {
                let ticks = quantity * ticks_per_piece
                    + ceiling(quantity / per_carton) * carton
                    + *per_lot as f64;
                let minutes = ticks / crate::units::TICKS_PER_MINUTE as f64;
                // The last carton is closed after the last pouch whatever was packed before.
                let last = carton / crate::units::TICKS_PER_MINUTE as f64;
                if *alongside {
                    (minutes - alongside_min).max(last.min(minutes))
                } else {
                    minutes
                }
            }
            Law::Lot(time) => time.mean(),
            Law::Each { time, unit } => time.mean() * quantity / unit,
        }
    }

    /// Planned stops of the run: sets at a slitter (one more falls at the very end).
    pub fn stops(&self, quantity: i64, lanes: u32, run: Tick, starts: bool) -> Option<PlannedStop> {
        let sets = self.sets(quantity, lanes, starts);
        match self {
            Law::Web { set_stop, .. } if *set_stop > 0 => Some(PlannedStop {
                every: whole(run as f64 / f64::from(sets)),
                length: *set_stop,
            }),
            _ => None,
        }
    }

    /// Some lot is stopped for by plan.
    pub fn may_stop(&self) -> bool {
        matches!(self, Law::Web { set_stop, .. } if *set_stop > 0)
    }

    /// Advance of the web per cycle of a pouch machine, mm; 0 elsewhere.
    pub fn pitch_mm(&self) -> f64 {
        match self {
            Law::Cycles { pitch_mm, .. } => *pitch_mm,
            _ => 0.0,
        }
    }

    /// Sets that a lot of `quantity` is rewound to, whether or not taking them off is timed; 1 where there is no largest
    /// one. Counted is what is rewound: the start, where it has one, and the mean running waste are lost before.
    pub fn sets(&self, quantity: i64, lanes: u32, starts: bool) -> u32 {
        let Law::Web { start_mm, kept, .. } = self else {
            return 1;
        };
        let start = if starts { *start_mm } else { 0.0 };
        self.sets_of((quantity as f64 / f64::from(lanes) - start) * kept)
    }

    /// Sets that so many millimetres of rewound web are.
    pub fn sets_of(&self, rewound_mm: f64) -> u32 {
        match self {
            // A millimetre of grace, as for whole metres.
            Law::Web { set_mm, .. } => ceiling((rewound_mm - 1.0) / set_mm).max(1.0) as u32,
            _ => 1,
        }
    }
}

/// Ticks for `minutes`, never negative.
pub(crate) fn ticks(minutes: f64) -> Tick {
    ticks_from_minutes(minutes).max(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn packing_alongside_leaves_only_the_rest() {
        let law = Law::Pieces {
            ticks_per_piece: 60e6 / 70.0,
            per_carton: 500.0,
            carton: 1.5 * 60e6,
            per_lot: 0,
            alongside: true,
        };
        // 10,000 pouches at 70 a minute and 20 cartons: 172.9 min, of which 132.8 min alongside.
        assert!((law.minutes(10_000, 1, 0.0) - 172.857).abs() < 1e-3);
        assert!((law.minutes(10_000, 1, 132.8) - 40.057).abs() < 1e-3);
        assert!((law.minutes(10_000, 1, 900.0) - 1.5).abs() < 1e-9);
    }
}
