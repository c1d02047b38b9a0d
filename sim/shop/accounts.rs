//! Accounts: what the time of machines and lots is spent on, and what is left when the clock ends.

use crate::model::NONE;
use crate::record::{Observe, STATES, Spent, State, Unfinished};
use crate::units::Tick;

use super::Shop;
use super::audit::Must;
use super::cure::NO_ROOM;

/// What the time of a lot counts as while its machine is in each [`State`].
pub(super) const SPENT_IN: [Spent; STATES] = [
    Spent::OffShift,
    Spent::OffShift,
    Spent::People,
    Spent::People,
    Spent::People,
    Spent::Changeover,
    Spent::Running,
    Spent::PlannedStop,
    Spent::Blocked,
    Spent::Down,
    Spent::Down,
    Spent::Approval,
    Spent::Running,
];

impl<O: Observe> Shop<'_, O> {
    /// Closes every open account at the end of the clock.
    pub(super) fn close_the_books(&mut self) {
        for m in 0..self.machines.len() {
            self.settle(m);
            self.account(m);
        }
        self.settle_queues();
        self.settle_holds();
        self.audit_machines();
        self.audit_places();
        self.tell_standstill();
        for index in self.lots.live_indices() {
            let lot = &self.lots[index];
            let part = lot.web;
            let web = !part.is_piece() && !lot.pouches;
            if web {
                self.counts.lane_mm_inside += lot.quantity;
            } else {
                self.counts.pouches_inside += lot.quantity;
            }
        }
        let inside = self.orders.live_indices();
        let mut audit = self.counts.audit;
        audit.end(self.now, &self.counts, inside.len() as u64);
        self.counts.audit = audit;
        for index in inside {
            let order = self.orders[index];
            self.watch.unfinished(Unfinished {
                order: order.serial,
                class: usize::from(order.class),
                product: self.first_product(&order),
                skus: u32::from(order.skus),
                ordered: order.ordered,
                released: order.released,
                due: order.due,
                measured: order.measured,
            });
        }
    }

    /// What still waits has waited up to now.
    fn settle_queues(&mut self) {
        for station in 0..self.stations.len() {
            let run = &self.stations[station];
            let waiting: Vec<u32> = run.queue.iter().copied().chain(run.sorted.lots()).collect();
            for lot in waiting {
                self.charge_wait(station, lot);
            }
        }
    }

    /// What is still held for cure has been held up to now.
    fn settle_holds(&mut self) {
        let cure = self.spent(Spent::Cure);
        let held: Vec<u32> = self
            .holds
            .held()
            .into_iter()
            .filter(|&(serial, lot, spent)| {
                spent == Spent::Cure as u8
                    && self.lots.is_live(lot)
                    && self.lots[lot].hold == serial
            })
            .map(|(_, lot, _)| lot)
            .collect();
        for lot in held {
            self.charge(lot, cure);
        }
    }

    /// The states of each machine add up to the clock, and people at work are those whose hands are on machines.
    fn audit_machines(&mut self) {
        let mut at_work = vec![0_i64; self.pools.len()];
        for m in 0..self.machines.len() {
            let (accounted, hands) = (self.machines[m].accounted, self.machines[m].hands);
            let audit = &mut self.counts.audit;
            audit.equal(Must::MachineTime, self.now, None, accounted, self.now);
            for &(pool, need) in self.needs(m, hands) {
                at_work[pool] += i64::from(need);
            }
        }
        for (pool, at_work) in self.pools.iter().zip(at_work) {
            let audit = &mut self.counts.audit;
            audit.equal(Must::People, self.now, None, i64::from(pool.busy), at_work);
        }
    }

    /// What is counted as lying in staging and in rooms lies there.
    fn audit_places(&mut self) {
        let mut staged = vec![0; self.stations.len()];
        let mut taken = vec![0; self.rooms.len()];
        for (station, run) in self.stations.iter().enumerate() {
            let waiting = run.queue.iter().copied().chain(run.sorted.lots());
            let outside = |&lot: &u32| self.lots[lot].room == NO_ROOM;
            staged[station] = waiting.filter(outside).count() as i64;
        }
        for lot in self.lots.live() {
            if let Some(room) = taken.get_mut(usize::from(self.lots[lot].room)) {
                *room += 1;
            }
        }
        let audit = &mut self.counts.audit;
        for (run, there) in self.stations.iter().zip(staged) {
            audit.equal(Must::Places, self.now, None, i64::from(run.staged), there);
        }
        for (room, there) in self.rooms.iter().zip(taken) {
            audit.equal(Must::Places, self.now, None, i64::from(room.taken), there);
        }
    }

    /// Adds the time since the last mark of a lot to one entry of its split.
    #[inline]
    pub(super) fn charge(&mut self, lot: u32, entry: usize) {
        self.charge_until(lot, entry, self.now);
    }

    #[inline]
    pub(super) fn charge_until(&mut self, lot: u32, entry: usize, at: Tick) {
        let record = &mut self.lots[lot];
        let passed = at - record.mark;
        let from = std::mem::replace(&mut record.mark, at);
        if entry == self.first_spent + Spent::Cure as usize {
            self.watch.cured(from, at);
        }
        self.split[lot as usize * self.stride + entry] += passed;
    }

    /// Index of a [`Spent`] in a split.
    #[inline]
    pub(super) fn spent(&self, spent: Spent) -> usize {
        self.first_spent + spent as usize
    }

    /// Settles the account of a machine's present state up to now, and its lot's.
    #[inline]
    pub(super) fn account(&mut self, m: usize) {
        self.account_until(m, self.now);
    }

    #[inline]
    pub(super) fn account_until(&mut self, m: usize, at: Tick) {
        let machine = &mut self.machines[m];
        let (state, since, lot) = (machine.state, machine.since, machine.lot);
        let short_of = usize::from(machine.short_of);
        machine.since = at;
        machine.accounted += at - since;
        if since == at {
            return;
        }
        let name = (O::LOTS && lot != NONE).then(|| self.name(lot));
        self.watch.state(m, state, since, at, name);
        if state == State::WaitPeople {
            self.watch.short_of(m, short_of, since, at);
            if lot != NONE {
                self.lots[lot].passed_over += at - since;
            }
        }
        if lot != NONE {
            let entry = self.spent(SPENT_IN[state as usize]);
            self.charge_until(lot, entry, at);
        }
    }

    /// From an instant on a machine is in a state; what was before is settled.
    #[inline]
    pub(super) fn turns_to(&mut self, m: usize, state: State, at: Tick) {
        let machine = &mut self.machines[m];
        if machine.since == at {
            machine.state = state;
        } else if machine.state != state {
            self.account_until(m, at);
            self.machines[m].state = state;
        }
    }
}
