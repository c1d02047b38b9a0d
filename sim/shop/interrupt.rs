//! Better-ranked orders that take a machine at once.
//!
//! The lot on the machine goes back to the head of its queue with what is left of its run; when it is
//! taken again the machine changes over a second time and the web is restarted, which loses the start
//! waste once more.

use crate::kernel::NEVER;
use crate::model::NONE;
use crate::plant::Interrupt;
use crate::record::{LotEvent, Observe};

use super::Shop;
use super::state::{Doing, Door};

impl<O: Observe> Shop<'_, O> {
    fn rank_of(&self, lot: u32) -> u8 {
        self.lots[lot].rank
    }

    /// Where no free machine took them, better-ranked lots take machines from worse-ranked ones.
    #[inline]
    pub(super) fn interrupt_for(&mut self, station: usize) {
        if self.stations[station].plan.interrupt != Interrupt::AtOnce {
            return;
        }
        loop {
            let mut best: Option<(u8, u64, u32)> = None;
            for &lot in &self.stations[station].queue {
                let entry = (self.rank_of(lot), self.lots[lot].seq, lot);
                if best.is_none_or(|b| entry < b) && self.victim(station, lot).is_some() {
                    best = Some(entry);
                }
            }
            let Some((_, _, lot)) = best else { return };
            let Some(m) = self.victim(station, lot) else {
                return;
            };
            self.interrupt(station, m);
            // The people the machine gave back are there: the check before was made with them.
            if !self.people_for_start(m, lot) {
                return;
            }
            self.stations[station].queue.retain(|&l| l != lot);
            self.leave_queue(station, m, lot);
            self.start(m, lot);
            self.room_made(station);
        }
    }

    /// The machine that a lot may take: at work on the worst-ranked lot, the one that began last among equals.
    fn victim(&self, station: usize, lot: u32) -> Option<usize> {
        let rank = self.rank_of(lot);
        let machines = self.stations[station].plan.machines.clone();
        machines
            .filter(|&m| {
                let machine = &self.machines[m];
                machine.door == Door::Open
                    && machine.clock_runs()
                    && machine.doing != Doing::Repair
                    && self.rank_of(machine.lot) > rank
                    && self.may_take(station, m, lot)
                    && self.people_would_fit(m, lot)
            })
            .max_by_key(|&m| {
                (
                    self.rank_of(self.machines[m].lot),
                    self.machines[m].run_began,
                    m,
                )
            })
    }

    fn interrupt(&mut self, station: usize, m: usize) {
        self.machines[m].settle(self.now);
        self.account(m);
        let lot = self.machines[m].lot;
        self.tell(lot, LotEvent::Interrupted(m));
        self.counts.interruptions += 1;
        let began = self.machines[m].doing != Doing::Setup;
        let job = self.job(m, lot);
        let machine = &mut self.machines[m];
        machine.keep_reel();
        let record = &mut self.lots[lot];
        if began {
            record.left_run = Some((machine.run_left, machine.stops_left));
            record.extra_waste_mm += machine.start_waste_mm;
            if record.at.is_some_and(|step| step.makes_pouches) {
                record.pouching_run += machine.at_it;
            }
        }
        if self.keep_together {
            self.lines[record.line].leave_machine(usize::from(record.web.web), m);
        }
        if began {
            machine.dress(job);
            machine.last_product = job.product as u32;
            machine.last_active = self.now;
        }
        machine.to_first = NEVER;
        machine.lot = NONE;
        machine.doing = Doing::Idle;
        // Going back to the interrupted lot is a changeover of its own.
        machine.last_line = NONE;
        self.give_people_back(m);
        self.stations[station].staged += 1;
        let closed = self.stations[station].closed_at(self.now);
        self.lots[lot].closed_mark = closed;
        self.stations[station].queue.push(lot);
        self.touch(m);
    }
}
