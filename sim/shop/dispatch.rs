//! What a free machine takes next.

use crate::kernel::NEVER;
use crate::plant::{Rule, ShiftEnd, Work};
use crate::record::{LotEvent, Observe, Spent};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::criteria::Leader;
use super::state::{Doing, Door, Hands};

impl<'a, O: Observe> Shop<'a, O> {
    /// Puts a lot into the queue of `station`, that of its present step.
    #[inline(always)]
    pub(super) fn queue(&mut self, station: usize, lot: u32) {
        let plan = self.stations[station].plan;
        if plan.needs_plan {
            self.plan_lot(lot);
        }
        self.next_seq += 1;
        let run = &mut self.stations[station];
        let record = &mut self.lots[lot];
        record.seq = self.next_seq;
        record.closed_mark = run.closed_at(self.now);
        run.staged += 1;
        if plan.sorted_queue {
            let mut keys = [record.seq as i64; 2];
            for (key, rule) in keys.iter_mut().zip(&plan.rules) {
                match rule {
                    Rule::EarliestDue => *key = record.due,
                    Rule::ClassFirst => *key = i64::from(record.rank),
                    // Longest in the queue: that ends every list.
                    _ => {}
                }
            }
            run.sorted.join(keys[0], keys[1], lot);
        } else {
            run.queue.push(lot);
        }
        if plan.restless || !run.idle.is_empty() {
            self.dirty.add(station);
        }
        self.tell(lot, LotEvent::Queued(station));
    }

    /// Every station where something may have changed looks for work, upstream first.
    #[inline]
    pub(super) fn decide(&mut self) {
        while let Some(station) = self.dirty.take_first() {
            self.look_for_work(station);
        }
    }

    #[inline]
    fn look_for_work(&mut self, station: usize) {
        let run = &self.stations[station];
        let plan = run.plan;
        let first = plan.machines.start;
        if plan.freeze > 0 {
            self.fix_turns(station);
        }
        let mut next = 0;
        while let Some(within) = self.stations[station].idle.from(next) {
            next = within + 1;
            self.try_to_start(station, first + within);
        }
        if plan.restless && self.stations[station].waiting() > 0 {
            self.interrupt_for(station);
            if plan.timed {
                self.ring(station);
            }
        }
    }

    /// Rings for lots and machines that are bound to times.
    fn ring(&mut self, station: usize) {
        let model = self.model;
        if model.stations[station].work == Work::Lamination {
            for adhesive in &model.plant.adhesives {
                if let Some(days) = adhesive.days {
                    self.ring_at_change(station, days);
                }
            }
        }
        for m in model.stations[station].machines.clone() {
            if let Some(calendar) = self.machines[m]
                .spec
                .reserved
                .as_ref()
                .and_then(|r| r.calendar)
            {
                self.ring_at_change(station, calendar);
            }
        }
    }

    /// Fixes the turn of the lots that make up the next hours of work.
    fn fix_turns(&mut self, station: usize) {
        let first = self.stations[station].plan.machines.start;
        let queue = std::mem::take(&mut self.stations[station].queue);
        let mut frozen = std::mem::take(&mut self.stations[station].frozen);
        frozen.retain(|lot| queue.contains(lot));
        let work = |shop: &Self, lot: u32| ticks_from_minutes(f64::from(shop.lots[lot].work_min));
        let mut fixed: Tick = frozen.iter().map(|&lot| work(self, lot)).sum();
        while fixed < self.stations[station].plan.freeze && frozen.len() < queue.len() {
            let next = queue
                .iter()
                .filter(|lot| !frozen.contains(lot))
                .min_by_key(|&&lot| {
                    let plan = self.stations[station].plan;
                    (self.keys(plan, first, lot), self.lots[lot].seq)
                });
            let Some(&lot) = next else { break };
            fixed += work(self, lot).max(1);
            frozen.push(lot);
        }
        self.stations[station].queue = queue;
        self.stations[station].frozen = frozen;
    }

    #[inline(always)]
    fn no_work(&mut self, station: usize, m: usize) {
        let machine = &mut self.machines[m];
        machine.people_since = NEVER;
        if machine.door == Door::Overtime {
            // The rest of its SKU went to another machine.
            self.close_machine(m, Door::Closed);
            return;
        }
        if machine.hands == Hands::Awaited {
            machine.hands = Hands::Nobody;
        }
        machine.doing = if self.stations[station].waiting_webs > 0 {
            Doing::Starved
        } else {
            Doing::Idle
        };
        self.touch(m);
    }

    #[inline(always)]
    pub(super) fn try_to_start(&mut self, station: usize, m: usize) -> bool {
        let Some(place) = self.choose(station, m) else {
            self.no_work(station, m);
            return false;
        };
        let lot = match place {
            Some(index) => self.stations[station].queue[index],
            None => match self.stations[station].sorted.first() {
                Some(lot) => lot,
                None => return false,
            },
        };
        if !self.people_for_start(m, lot) {
            if self.machines[m].people_since == NEVER {
                self.machines[m].people_since = self.now;
            }
            self.machines[m].hands = Hands::Awaited;
            self.touch(m);
            return false;
        }
        match place {
            Some(index) => {
                self.stations[station].queue.remove(index);
            }
            None => {
                self.stations[station].sorted.leave();
            }
        }
        self.leave_queue(station, m, lot);
        self.start(m, lot);
        self.room_made(station);
        true
    }

    /// Accounts the wait of a lot: closed station, people, then plain queueing.
    #[inline(always)]
    pub(super) fn leave_queue(&mut self, station: usize, m: usize, lot: u32) {
        let now = self.now;
        let run = &mut self.stations[station];
        run.staged -= 1;
        let record = &mut self.lots[lot];
        let machine = &mut self.machines[m];
        let since = std::mem::replace(&mut machine.people_since, NEVER);
        let mark = std::mem::replace(&mut record.mark, now);
        if mark == now {
            return;
        }
        let waited = now - mark;
        let closed = run.closed_at(now) - record.closed_mark;
        let people = match since {
            NEVER => 0,
            since => (now - since.max(mark)).min(waited - closed),
        };
        let base = lot as usize * self.stride;
        self.split[base + station] += waited - closed - people;
        if closed != 0 || people != 0 {
            let spent = base + self.first_spent;
            self.split[spent + Spent::OffShift as usize] += closed;
            self.split[spent + Spent::People as usize] += people;
        }
    }

    /// The lot a machine takes: its place in the queue, `Some(None)` for the first of a line-up.
    #[inline(always)]
    fn choose(&self, station: usize, m: usize) -> Option<Option<usize>> {
        let run = &self.stations[station];
        if run.plan.sorted_queue {
            (!run.sorted.is_empty()).then_some(None)
        } else if run.queue.is_empty() {
            None
        } else {
            self.best_place(station, m).map(Some)
        }
    }

    /// The place in the queue of the lot that a machine takes.
    fn best_place(&self, station: usize, m: usize) -> Option<usize> {
        let run = &self.stations[station];
        let model = run.plan;
        if model.freeze > 0
            && let Some(lot) = run
                .frozen
                .iter()
                .find(|&&lot| self.may_take(station, m, lot))
        {
            return run.queue.iter().position(|l| l == lot);
        }
        let machine = &self.machines[m];
        let within = machine.plan.within;
        let anything = machine.door != Door::Overtime
            && !model.timed
            && model.split_factor.is_none()
            && machine.plan.shift_end != ShiftEnd::NoLateStart;
        let mut best: Option<Leader> = None;
        for (place, &lot) in run.queue.iter().enumerate() {
            let record = &self.lots[lot];
            let can = record.at.is_some_and(|step| step.jobs[within].able);
            if !can || !(anything || self.may_take(station, m, lot)) {
                continue;
            }
            match &mut best {
                None => best = Some(Leader::new(place, lot)),
                Some(leader) => {
                    if self.goes_before(model, m, lot, leader) {
                        (leader.place, leader.lot) = (place, lot);
                    }
                }
            }
        }
        best.map(|leader| leader.place)
    }

    /// A machine may take a lot: it can do it, in time, it is not kept for others, and the SKU may be split.
    pub(super) fn may_take(&self, station: usize, m: usize, lot: u32) -> bool {
        let model = self.stations[station].plan;
        let record = &self.lots[lot];
        if record
            .at
            .is_none_or(|step| !step.jobs[m - model.machines.start].able)
        {
            return false;
        }
        if self.machines[m].door == Door::Overtime && record.uid != self.machines[m].last_line {
            return false;
        }
        if matches!(self.machines[m].plan.shift_end, ShiftEnd::NoLateStart)
            && !self.ends_before_closing(m, lot)
        {
            return false;
        }
        if model.timed && !(self.may_use(m, lot) && self.adhesive_day(model.work, lot)) {
            return false;
        }
        match model.split_factor {
            Some(factor) if model.machines.len() > 1 => {
                let web = usize::from(record.web.web);
                let on = self.lines[record.line].on[web];
                let elsewhere = on != 0 && usize::from(on) != m + 1;
                let job = self.job(m, lot);
                !elsewhere
                    || job.law.minutes(record.quantity, job.lanes, 0.0)
                        >= factor * self.mean_changeover(m, lot)
            }
            _ => true,
        }
    }

    /// The machine is not kept for other classes now.
    pub(super) fn may_use(&self, m: usize, lot: u32) -> bool {
        let Some(reserved) = &self.machines[m].spec.reserved else {
            return true;
        };
        let class = usize::from(self.orders[self.lots[lot].order].class);
        reserved.classes.contains(&class) || reserved.calendar.is_some_and(|c| !self.is_open(c))
    }

    /// The adhesive of the lot is run today.
    fn adhesive_day(&self, work: Work, lot: u32) -> bool {
        let part = self.lots[lot].web;
        work != Work::Lamination
            || self
                .model
                .adhesive(part)
                .and_then(|a| a.days)
                .is_none_or(|days| self.is_open(days))
    }

    /// Whether a machine would be through with a lot before it closes (or could not be in any opening).
    fn ends_before_closing(&self, m: usize, lot: u32) -> bool {
        let machine = &self.machines[m];
        if machine.boundary == NEVER {
            return true;
        }
        let job = self.job(m, lot);
        let minutes =
            job.law.minutes(self.lots[lot].quantity, job.lanes, 0.0) + self.mean_changeover(m, lot);
        let needed = ticks_from_minutes(minutes);
        self.now + needed <= machine.boundary || needed > self.machines[m].plan.longest_open
    }

    /// The job of a lot on a machine.
    #[inline(always)]
    pub(super) fn job(&self, m: usize, lot: u32) -> &'a crate::model::Job {
        self.lots[lot].job(self.machines[m].plan)
    }
}
