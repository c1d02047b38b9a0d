//! Lots on their walk: quantities, running time, planned stops.
//!
//! In: a job of the model and a lot. Out: ticks, by the same laws and rounding as the engine's.

use crate::model::{Bonds, Job, Wound};
use crate::units::{TICKS_PER_MINUTE, Tick, ticks_from_minutes};

/// A roll, a reel, or what became of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lot {
    /// Can be taken from, ticks.
    pub ready: Tick,
    /// Lane-millimetres of web, or pouches.
    pub quantity: i64,
    /// When its passes were made.
    pub bonds: Bonds,
    /// Length of its pouching run, ticks.
    pub pouching_run: Tick,
    /// Holds pouches, not web.
    pub pouches: bool,
    /// Rolls gathered in it.
    pub rolls: i64,
    /// Rolls or reels that it lies on.
    pub wound: Wound,
    /// Its artwork: another one is a changeover.
    pub artwork: u32,
}

/// A lot cut into equal ones, the first of them larger by what does not divide.
pub(super) fn pieces(lot: &Lot, count: i64) -> Vec<Lot> {
    let count = count.clamp(1, lot.quantity.clamp(1, 10_000));
    let (each, rest) = (lot.quantity / count, lot.quantity % count);
    (0..count)
        .map(|nth| Lot {
            quantity: each + i64::from(nth < rest),
            pouching_run: lot.pouching_run / count,
            rolls: (lot.rolls / count).max(1),
            wound: lot.wound.cut(nth as u32, count as u32),
            ..*lot
        })
        .collect()
}

/// Running time of a lot.
pub(super) fn run_ticks(job: &Job, lot: &Lot) -> Tick {
    let alongside_min = lot.pouching_run as f64 / TICKS_PER_MINUTE as f64;
    ticks_from_minutes(job.law.minutes(lot.quantity, job.lanes, alongside_min)).max(0)
}

/// Web that a full zipper reel lasts, mm; infinite where there is none.
pub(super) fn reel_mm(job: &Job) -> f64 {
    job.reel.map_or(f64::INFINITY, |reel| reel.0)
}

/// Changes of rolls or reels within a lot.
pub(super) fn further_loads(job: &Job, lot: &Lot) -> i64 {
    i64::from(lot.wound.changes(job.at_once))
}

/// Planned stops of a run, and what is left on the zipper reel after it.
pub(super) fn stops(
    job: &Job,
    lot: &Lot,
    run: Tick,
    reel_left_mm: f64,
    starts: bool,
) -> (Tick, f64) {
    if let Some(stop) = job.law.stops(lot.quantity, job.lanes, run, starts) {
        return (
            Tick::from(job.law.sets(lot.quantity, job.lanes, starts)) * stop.length
                + further_loads(job, lot) * job.roll_change,
            reel_left_mm,
        );
    }
    // Rolls gathered to one lot are changed within its run.
    let changes = if lot.pouches {
        0
    } else {
        further_loads(job, lot) * job.roll_change
    };
    let Some((reel_mm, reel_stop)) = job.reel else {
        return (changes, reel_left_mm);
    };
    let mm_per_tick = lot.quantity as f64 / f64::from(job.lanes) / run.max(1) as f64;
    let every = ((reel_mm / mm_per_tick) as Tick).max(1);
    let mut next = ((reel_left_mm / mm_per_tick) as Tick).max(1);
    let mut count = 0;
    while next < run {
        next += every;
        count += 1;
    }
    (
        changes + count * reel_stop,
        (next - run) as f64 * mm_per_tick,
    )
}

/// Running time that the start waste takes.
pub(super) fn start_ticks(start_mm: f64, job: &Job, lot: &Lot, run: Tick) -> Tick {
    let mm_per_tick = lot.quantity as f64 / f64::from(job.lanes) / run.max(1) as f64;
    (start_mm / mm_per_tick) as Tick
}

/// One cycle of a pouch machine.
pub(super) fn one_cycle(job: &Job) -> Tick {
    ticks_from_minutes(job.law.minutes(
        (job.law.pitch_mm() * f64::from(job.lanes)) as i64,
        job.lanes,
        0.0,
    ))
}
