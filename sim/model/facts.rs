//! What a model does not use: found once, so that an event need not ask.
//!
//! In: the plant and what is compiled so far. Out: yes or no, for whole stations, machines, jobs and streams.

use crate::plant::{Clock, Interrupt, Machine, Plant};
use crate::random::Dist;

use super::{Job, StationModel};

/// What is known of a stream of orders before the first one comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StreamFacts {
    /// Its calendar, where that ever closes.
    pub calendar: Option<usize>,
    /// Every order has one SKU.
    pub one_line: bool,
}

/// The streams of a plant.
pub(super) fn streams(plant: &Plant) -> Vec<StreamFacts> {
    plant
        .arrivals
        .iter()
        .map(|stream| StreamFacts {
            calendar: stream
                .calendar
                .filter(|&c| !plant.calendars[c].never_closes()),
            one_line: matches!(stream.skus, Dist::Constant(skus) if skus < 1.5),
        })
        .collect()
}

/// A lot that joins the queue can change something though no machine is free.
pub(super) fn restless(station: &StationModel) -> bool {
    station.freeze > 0 || station.timed || station.interrupt == Interrupt::AtOnce
}

/// Some breakdown of a machine counts metres of web.
pub(super) fn counts_metres(machine: &Machine) -> bool {
    machine.breakdowns.iter().any(|b| b.clock == Clock::Metres)
}

/// Nothing is planned to come between the start and the end of a run: no stop, no reel, no metre that is counted.
pub(super) fn bare(job: &Job, machine: &Machine, makes_pouches: bool) -> bool {
    !makes_pouches
        && !counts_metres(machine)
        && !job.law.may_stop()
        && job.reel.is_none()
        && job.roll_change == 0
        && !job.slits_inline
}
