//! Better-ranked orders that take a machine at once.
//!
//! The lot on the machine goes back to its queue with what is left of its metres; when it is taken again the machine
//! changes over a second time and the web is restarted, which loses the start waste once more.

use crate::model::NONE;
use crate::plant::Interrupt;
use crate::record::{LotEvent, Observe};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Doing, Door, Left};

impl<O: Observe> Shop<'_, O> {
    fn rank_of(&self, lot: u32) -> u8 {
        self.lots[lot].rank
    }

    /// Where waiting would take longer, better-ranked lots take machines from worse-ranked ones.
    pub(super) fn interrupt_for(&mut self, station: usize) {
        let plan = self.stations[station].plan;
        if plan.interrupt != Interrupt::AtOnce {
            return;
        }
        let first = plan.machines.start;
        let worst = plan
            .machines
            .clone()
            .filter(|&m| self.can_be_interrupted(m));
        let worst = worst.map(|m| self.rank_of(self.machines[m].lot)).max();
        let Some(worst) = worst else { return };
        let mut rush: Vec<u32> = self.stations[station].queue.clone();
        rush.retain(|&lot| self.rank_of(lot) < worst);
        rush.sort_by_key(|&lot| (self.rank_of(lot), self.lots[lot].joined, self.tie(lot)));
        self.claims.clear();
        self.claims.resize(plan.machines.len(), 0);
        for lot in rush {
            let quickest = self.quickest(station, lot);
            let waiting = self.finish_on(quickest, lot, self.claims[quickest - first]);
            match self.victim(station, lot, (quickest, waiting)) {
                Some(m) => {
                    self.interrupt(station, m);
                    self.take_interrupted(station, m, lot);
                }
                None => {
                    let work = self.planned_work(quickest, lot, 0);
                    self.claims[quickest - first] += work;
                }
            }
        }
    }

    /// What is on a machine could be taken off it.
    fn can_be_interrupted(&self, m: usize) -> bool {
        let machine = &self.machines[m];
        machine.door == Door::Open
            && machine.clock_runs()
            && !matches!(machine.progress.doing, Doing::Repair | Doing::Rethread)
    }

    /// What is on a machine has taken longer than planned: nobody knows when it ends.
    fn is_overdue(&self, m: usize) -> bool {
        self.machines[m].lot != NONE && self.planned_rest(m) == 0
    }

    /// The machine that a lot takes: one on which it would be through before it is by waiting for the `quickest` one,
    /// or that one itself if nobody knows when it comes free; at work on a lot of the worst rank, then the one that
    /// loses least, then the first by name.
    fn victim(
        &self,
        station: usize,
        lot: u32,
        (quickest, waiting): (usize, Tick),
    ) -> Option<usize> {
        let rank = self.rank_of(lot);
        let machines = self.stations[station].plan.machines.clone();
        machines
            .filter(|&m| {
                self.can_be_interrupted(m)
                    && self.rank_of(self.machines[m].lot) > rank
                    && self.may_take(station, m, lot)
                    && self.people_would_fit(m, lot)
                    && (self.finish_at_once(m, lot) < waiting
                        || m == quickest && self.is_overdue(m))
            })
            .min_by_key(|&m| {
                let worst = u8::MAX - self.rank_of(self.machines[m].lot);
                (worst, self.lost_by(m, lot), m)
            })
    }

    /// Planned time that an interruption loses: the changeover to the better-ranked lot and back, and the web of the
    /// second start.
    fn lost_by(&self, m: usize, lot: u32) -> Tick {
        let on = self.machines[m].lot;
        let (job, back) = (self.job(m, lot), self.job(m, on));
        let restart = back.start_waste_mm * i64::from(back.lanes);
        let minutes = self.mean_changeover(m, lot)
            + self.mean_change_between(m, job, on)
            + back.law.minutes(restart, back.lanes, 0.0);
        ticks_from_minutes(minutes)
    }

    fn interrupt(&mut self, station: usize, m: usize) {
        self.settle(m);
        self.account(m);
        let lot = self.machines[m].lot;
        self.tell(lot, LotEvent::Interrupted(m));
        self.counts.interruptions += 1;
        let began = self.machines[m].progress.doing != Doing::Setup;
        if began {
            self.leaves_mixed(m);
        }
        let job = self.job(m, lot);
        let machine = &mut self.machines[m];
        machine.keep_reel();
        let record = &mut self.lots[lot];
        record.asked += machine.asked - machine.progress.run_left;
        record.left = Some(Left {
            run: machine.progress.run_left,
            of: machine.run_total,
            stops: machine.progress.stops_left,
        });
        if began {
            record.extra_waste_mm += machine.start_waste_mm + machine.micro_waste_mm();
            if record.at.is_some_and(|step| step.makes_pouches) {
                record.pouching_run += machine.progress.at_it;
            }
        }
        if began {
            machine.dress(job);
            machine.last_product = job.product as u32;
            machine.last_active = self.now;
        }
        machine.progress.to_first = crate::kernel::NEVER;
        machine.lot = NONE;
        machine.progress.doing = Doing::Idle;
        // Going back to the interrupted lot is a changeover of its own.
        machine.last_line = NONE;
        machine.last_order = NONE;
        self.give_people_back(m);
        // Its age counts from when it first joined.
        self.wait_as(station, lot, station);
        self.join(station, lot);
        self.touch(m);
    }

    /// The lot for which a machine was cleared starts; the people the machine gave back are there for it.
    fn take_interrupted(&mut self, station: usize, m: usize, lot: u32) {
        let crew = self.crew_for_start(m, lot);
        if self.take_people(m, crew) {
            self.take(station, m, lot);
        }
    }
}
