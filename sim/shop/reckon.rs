//! When a machine would be through with a lot, by planned means over its open hours.
//!
//! In: a machine as it stands, a lot, what is ahead of it. Out: the instant at which it would be finished. No drawn
//! value is ever looked at: a floor does not know how long a run will really take, nor when it breaks down.

use crate::kernel::NEVER;
use crate::model::{NONE, Presence};
use crate::record::Observe;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Doing, Door};

impl<O: Observe> Shop<'_, O> {
    /// The machine of a station that would finish a waiting lot first; among equals one that is free, then the
    /// first by name. A machine that waits for it is counted with the work in `claims`.
    pub(super) fn quickest(&self, station: usize, lot: u32) -> usize {
        let machines = self.stations[station].plan.machines.clone();
        let first = machines.start;
        machines
            .filter(|&m| self.is_candidate(station, m, lot))
            .min_by_key(|&m| {
                let finish = self.finish_on(m, lot, self.claims[m - first]);
                (finish, !self.machines[m].is_free(), m)
            })
            .unwrap_or(first)
    }

    /// A free machine that may take the lot now, or one that could when it comes free.
    fn is_candidate(&self, station: usize, m: usize, lot: u32) -> bool {
        let machine = &self.machines[m];
        if machine.is_free() {
            return self.may_take(station, m, lot);
        }
        let able = |step: &crate::model::StepModel| step.jobs[machine.plan.within].able;
        self.lots[lot].at.is_some_and(able)
            && self.may_use(m, lot)
            && self.stays_together(station, m, lot)
    }

    /// When a machine would be through with a lot that it takes after what it has and `ahead`.
    pub(super) fn finish_on(&self, m: usize, lot: u32, ahead: Tick) -> Tick {
        let work = self.planned_rest(m) + ahead + self.planned_work(m, lot, ahead);
        self.open_after(m, work)
    }

    /// When a machine would be through with a lot for which it is taken off its work now.
    pub(super) fn finish_at_once(&self, m: usize, lot: u32) -> Tick {
        let start = self.mean_changeover(m, lot) + self.mean_first_off(m, lot);
        let minutes = start + self.run_mean(m, lot);
        self.open_after(m, ticks_from_minutes(minutes))
    }

    /// Planned changeover and run of a lot on a machine after what it is on (with something `ahead`: after that,
    /// of which nothing is known but that it is another job).
    pub(super) fn planned_work(&self, m: usize, lot: u32, ahead: Tick) -> Tick {
        let machine = &self.machines[m];
        let now_on = machine.lot;
        let minutes = if now_on == NONE || ahead > 0 {
            self.mean_changeover(m, lot)
        } else if self.lots[now_on].uid == self.lots[lot].uid {
            0.0
        } else {
            self.mean_change_between(m, self.job(m, now_on), lot)
        };
        let start = minutes + self.mean_first_off(m, lot) + self.set_adhesive_min(m);
        ticks_from_minutes(start + self.run_mean(m, lot)).max(0)
    }

    /// Planned minutes of a lot's run on a machine, with the stops that are planned in it.
    pub(super) fn run_mean(&self, m: usize, lot: u32) -> f64 {
        let record = &self.lots[lot];
        let job = self.job(m, lot);
        let left = record.left.map_or(1.0, |left| left.share());
        job.planned_minutes(record.quantity) * left
    }

    /// What is left, by plan, of the work a machine is on.
    pub(super) fn planned_rest(&self, m: usize) -> Tick {
        let machine = &self.machines[m];
        let rest = if machine.lot == NONE || machine.progress.doing == Doing::Blocked {
            0
        } else {
            (machine.planned - self.worked(m)).max(0)
        };
        if machine.progress.doing != Doing::Repair {
            return rest;
        }
        let repair = &machine.spec.breakdowns[machine.down_cause].repair;
        let gone = self.now - machine.down_since;
        rest + (ticks_from_minutes(repair.mean()) - gone).max(0)
    }

    /// The instant by which a machine has been open for so long, counted from now.
    pub(super) fn open_after(&self, m: usize, work: Tick) -> Tick {
        let machine = &self.machines[m];
        match machine.door {
            Door::Overtime => self.now.saturating_add(work),
            _ => open_in(&machine.plan.timeline, machine.interval, self.now, work),
        }
    }

    /// The same, counted from a later instant.
    pub(super) fn open_from(&self, m: usize, start: Tick, work: Tick) -> Tick {
        let timeline = &self.machines[m].plan.timeline;
        let later = timeline.partition_point(|entry| entry.0 <= start);
        open_in(timeline, later.saturating_sub(1), start, work)
    }
}

/// The instant by which a calendar has been open for so long from an instant on, which lies in its entry `place`.
fn open_in(timeline: &[(Tick, Presence)], place: usize, mut from: Tick, work: Tick) -> Tick {
    let mut left = work;
    for index in place.. {
        let Some(&(_, presence)) = timeline.get(index) else {
            return NEVER;
        };
        let to = timeline.get(index + 1).map_or(NEVER, |next| next.0);
        if presence == Presence::Open {
            let here = to - from;
            if here >= left {
                return from.saturating_add(left);
            }
            left -= here;
        }
        from = to;
        if to == NEVER {
            return NEVER;
        }
    }
    NEVER
}
