//! What a machine does to the web or the pouches, by kind of station.
//!
//! In: nothing. Out: plain data, in the base units of [`crate::plant`].

use crate::random::Dist;
use crate::trade::Format;

use super::product::{LaminationProcess, Treated};

/// Work of a machine, by kind of station.
#[derive(Debug, Clone, PartialEq)]
pub enum Process {
    /// See [`PressSpec`].
    Press(PressSpec),
    /// See [`LaminationSpec`].
    Lamination(LaminationSpec),
    /// See [`SlittingSpec`].
    Slitting(SlittingSpec),
    /// See [`PouchingSpec`].
    Pouching(PouchingSpec),
    /// See [`SpoutingSpec`] (also used for inspection).
    Spouting(SpoutingSpec),
    /// See [`PackingSpec`].
    Packing(PackingSpec),
    /// See [`BenchTime`].
    Bench(BenchTime),
}

/// A press.
#[derive(Debug, Clone, PartialEq)]
pub struct PressSpec {
    /// Speed, m/min.
    pub speed_m_per_min: f64,
    /// Equal acceleration and deceleration, m/min/s.
    pub ramp_m_per_min_s: f64,
    /// Widest web, mm.
    pub web_max_mm: f64,
    /// Web lost per job, m.
    pub start_waste_m: f64,
    /// Share of web lost while running, drawn for each lot.
    pub running_waste: Dist,
}

/// A laminator.
#[derive(Debug, Clone, PartialEq)]
pub struct LaminationSpec {
    /// Processes it can run, each with its own speed, m/min.
    pub processes: Vec<(LaminationProcess, f64)>,
    /// Equal acceleration and deceleration, m/min/s.
    pub ramp_m_per_min_s: f64,
    /// Narrowest and widest web, mm.
    pub web_min_mm: f64,
    /// Widest web, mm.
    pub web_max_mm: f64,
    /// Largest roll on the unwinds, mm.
    pub unwind_max_mm: f64,
    /// Largest roll on the rewind, mm.
    pub rewind_max_mm: f64,
    /// Heaviest roll it takes, kg; infinite for no limit.
    pub lift_kg: f64,
    /// Outside diameter of the core, mm.
    pub core_mm: f64,
    /// Web lost per job, m.
    pub start_waste_m: f64,
    /// Share of web lost while running, drawn for each lot.
    pub running_waste: Dist,
    /// Stop at each roll of a job after the first, minutes.
    pub roll_change_min: f64,
    /// Corona treaters it has.
    pub treaters: Treated,
    /// Slits in line on its rewinder: lanes it can part, 1 for none.
    pub inline_lanes: u32,
}

/// A slitter-rewinder.
#[derive(Debug, Clone, PartialEq)]
pub struct SlittingSpec {
    /// Average speed once running, m/min.
    pub speed_m_per_min: f64,
    /// Equal acceleration and deceleration, m/min/s.
    pub ramp_m_per_min_s: f64,
    /// Widest web, mm.
    pub web_max_mm: f64,
    /// Knives it takes: lanes + 1 with both edges trimmed.
    pub knives: u32,
    /// Largest rewound reel, mm.
    pub rewind_max_mm: f64,
    /// Heaviest reel it takes, kg; infinite for no limit.
    pub lift_kg: f64,
    /// Outside diameter of the core, mm.
    pub core_mm: f64,
    /// Taking off and labelling a set, minutes.
    pub doff_min: f64,
    /// Core loading and taping, each lane and set, minutes.
    pub core_load_min: f64,
    /// Loading a further parent roll of the same job, minutes.
    pub roll_change_min: f64,
    /// Web lost per job, m.
    pub start_waste_m: f64,
    /// Share of web lost while running, drawn for each lot.
    pub running_waste: Dist,
}

/// A pouch machine.
#[derive(Debug, Clone, PartialEq)]
pub struct PouchingSpec {
    /// Cycles per minute it reaches by format; a format that is missing cannot be made.
    pub formats: Vec<(Format, f64)>,
    /// Cycles per minute with a zipper by format, where lower.
    pub zipper_formats: Vec<(Format, f64)>,
    /// Web-speed cap, m/min.
    pub web_speed_m_per_min: f64,
    /// Seal dwell by caliper: (up to µm, seconds), ascending; empty for no dwell cap.
    pub dwell: Vec<(f64, f64)>,
    /// More dwell with a zipper, seconds.
    pub zipper_dwell_s: f64,
    /// Index time, seconds, and its part per mm of pitch, seconds.
    pub index_s: f64,
    /// Index time per mm of pitch, seconds.
    pub index_s_per_mm: f64,
    /// Widest web, mm.
    pub web_max_mm: f64,
    /// Largest reel on its unwinds, mm; infinite for no limit.
    pub unwind_max_mm: f64,
    /// Heaviest reel it takes, kg; infinite for no limit.
    pub lift_kg: f64,
    /// Lanes side by side.
    pub lanes_max: u32,
    /// Webs it can join.
    pub webs: u32,
    /// Has a zipper module.
    pub zipper: bool,
    /// Modules it has (indices into the scenario's module names), sorted.
    pub modules: Vec<u16>,
    /// Stop at each roll or reel of a job after the first, minutes.
    pub roll_change_min: f64,
    /// Web lost with each such change, m.
    pub splice_waste_m: f64,
    /// Zipper on a reel, m; `None` for no reel stops.
    pub zipper_reel_m: Option<f64>,
    /// Zipper reel change, minutes.
    pub zipper_change_min: f64,
    /// Web lost per job, m.
    pub start_waste_m: f64,
    /// Share of pouches rejected, drawn for each lot.
    pub rejects: Dist,
    /// Pouches per minute that the people at its end can count and pack; `None` for no cap.
    pub packers_per_min: Option<f64>,
}

/// Inserting spouts, or inspecting: pieces per minute.
#[derive(Debug, Clone, PartialEq)]
pub struct SpoutingSpec {
    /// Pieces per minute.
    pub rate_per_min: f64,
    /// Share lost, drawn for each lot.
    pub rejects: Dist,
    /// Fixed minutes per lot.
    pub per_lot_min: f64,
}

/// Packing.
#[derive(Debug, Clone, PartialEq)]
pub struct PackingSpec {
    /// Pouches per minute stacked and counted.
    pub rate_per_min: f64,
    /// Closing and labelling a carton, minutes.
    pub carton_min: f64,
    /// Packs while the pouch machine runs: only what is longer than the pouching run is left to do.
    pub alongside: bool,
}

/// A time per something, by product.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchTime {
    /// What the time is for.
    pub per: BenchPer,
    /// Time by product index, minutes; `None` where the product never comes.
    pub times: Vec<Option<Dist>>,
}

/// What a bench time is counted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BenchPer {
    /// One time for the whole lot (an order that is not split is one lot).
    Lot,
    /// A time for each metre of web.
    Metre,
    /// A time for each pouch or piece.
    Pouch,
}
