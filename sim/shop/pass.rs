//! The short way of pieces: off a machine and straight into the next queue.
//!
//! Most lots of most cells are pieces by the time they pass the benches at the end of the line. Where a step
//! loses, bonds, gathers and sends back nothing and the machine needs nobody, all that its end can mean is
//! known beforehand ([`crate::model::StepModel::passes`], [`crate::model::MachineModel::simple`]) and is done
//! here in one go; in every other case nothing is done and the long way is taken. Both ways leave the same.

use crate::kernel::NEVER;
use crate::model::NONE;
use crate::plant::LotSize;
use crate::record::{Observe, State};

use super::SPENT_IN;
use super::Shop;
use super::state::Phase;

impl<O: Observe> Shop<'_, O> {
    /// Hands the finished lot of a machine on, if it can take the short way; false (and nothing done) otherwise.
    #[inline(always)]
    pub(super) fn passes_on(&mut self, m: usize) -> bool {
        let now = self.now;
        let machine = &mut self.machines[m];
        let plan = machine.plan;
        let index = machine.lot;
        let lot = &mut self.lots[index];
        let Some(step) = lot.at else { return false };
        // Who listens to lots is told of each step on the long way.
        if O::LOTS || !(step.passes & plan.simple) || machine.overtime {
            return false;
        }
        let next = lot.web.steps.get(usize::from(lot.step) + 1);
        if let Some(next) = next {
            let run = &self.stations[next.station];
            let gathers = run.plan.lot == LotSize::Order && self.lines[lot.line].live[0] > 1;
            if run.is_full() || gathers {
                return false;
            }
        }
        let since = std::mem::replace(&mut machine.since, now);
        if since != now {
            self.watch.state(m, machine.state, since, now, None);
            let entry = self.first_spent + SPENT_IN[machine.state as usize] as usize;
            self.split[index as usize * self.stride + entry] += now - lot.mark;
            lot.mark = now;
        }
        machine.dress(&step.jobs[plan.within]);
        machine.last_product = lot.web.product as u32;
        machine.last_line = lot.uid;
        machine.last_active = now;
        machine.to_first = NEVER;
        machine.working = false;
        machine.lot = NONE;
        machine.phase = Phase::Idle;
        let open = machine.on_shift;
        if open {
            machine.state = State::NoWork;
        }
        lot.step += 1;
        lot.at = next;
        match next {
            Some(next) => self.queue(next.station, index),
            None => self.lot_done(index),
        }
        if open {
            self.stations[plan.station].idle |= 1 << plan.within;
            self.dirty |= 1 << plan.station;
        }
        self.retime(m);
        true
    }
}
