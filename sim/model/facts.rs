//! What a model does not use: found once, so that an event need not ask.
//!
//! In: the plant and what is compiled so far. Out: yes or no, for whole stations, machines, jobs and streams.

use crate::plant::{Clock, Interrupt, Machine, Plant, Rule};
use crate::random::Dist;

use super::{Job, MachineModel, PartModel, StationModel};

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

/// Criteria without those that stand there a second time and so never decide.
pub(super) fn once(rules: &[Rule]) -> Vec<Rule> {
    let mut out: Vec<Rule> = Vec::new();
    for &rule in rules {
        if !out.contains(&rule) {
            out.push(rule);
        }
    }
    out
}

/// It makes no difference which machine of a station takes a lot, if both are free: all can do the same in the same
/// planned time, no changeover takes any or people, all have the same hours.
pub(super) fn alike(station: usize, machines: &[MachineModel], parts: &[PartModel]) -> bool {
    let Some(first) = machines.first() else {
        return true;
    };
    let changes = |m: &MachineModel| m.approves || m.changes_over && !(m.quick && m.crewless);
    let same_machine = |m: &MachineModel| !changes(m) && m.timeline == first.timeline;
    let same_job = |job: &Job, like: &Job| {
        let minutes = |job: &Job| job.law.minutes(1_000_000, job.lanes, 0.0);
        job.able == like.able
            && minutes(job) == minutes(like)
            && job.roll_change == like.roll_change
    };
    let steps = parts.iter().flat_map(|part| &part.steps);
    let mut steps = steps.filter(|step| step.station == station);
    machines.len() == 1
        || (machines.iter().all(same_machine)
            && steps.all(|step| step.jobs.iter().all(|job| same_job(job, &step.jobs[0]))))
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
