//! What a free machine takes next.

use std::cmp::Reverse;

use crate::kernel::NEVER;
use crate::model::{NONE, Presence};
use crate::plant::{Interrupt, Rule, ShiftEnd, Work};
use crate::record::{LotEvent, Observe, Spent, State};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;

impl<'a, O: Observe> Shop<'a, O> {
    /// Puts a lot into the queue of its station.
    #[inline]
    pub(super) fn queue(&mut self, lot: u32) {
        let station = self.station_of(lot);
        let model = self.stations[station].plan;
        if model.needs_plan {
            self.plan_lot(lot);
        }
        self.next_seq += 1;
        let seq = self.next_seq;
        let run = &mut self.stations[station];
        run.staged += 1;
        let closed = run.closed_at(self.now);
        let record = &mut self.lots[lot];
        record.seq = seq;
        record.closed_mark = closed;
        if model.sorted_queue {
            let keys = (
                self.still_key(station, 0, lot),
                self.still_key(station, 1, lot),
            );
            self.stations[station]
                .sorted
                .push(Reverse((keys.0, keys.1, seq, lot)));
        } else {
            self.stations[station].queue.push(lot);
        }
        self.tell(lot, LotEvent::Queued(station));
        self.dirty |= 1 << station;
    }

    /// The n-th criterion of a station for a lot, where it never changes while waiting.
    #[inline]
    fn still_key(&self, station: usize, n: usize, lot: u32) -> i64 {
        let record = &self.lots[lot];
        match self.stations[station].plan.rules.get(n) {
            Some(Rule::EarliestDue) => self.orders[self.lines[record.line].order].due,
            Some(Rule::ClassFirst) => {
                let class = self.orders[self.lines[record.line].order].class;
                i64::from(self.model.plant.classes[usize::from(class)].rank)
            }
            // Longest in the queue: the joining number, which also ends every list.
            _ => record.seq as i64,
        }
    }

    /// Every station where something may have changed looks for work, upstream first.
    #[inline]
    pub(super) fn decide(&mut self) {
        while self.dirty != 0 {
            let station = self.dirty.trailing_zeros() as usize;
            self.dirty &= self.dirty - 1;
            self.look_for_work(station);
        }
    }

    #[inline]
    fn look_for_work(&mut self, station: usize) {
        let first = self.stations[station].plan.machines.start;
        if self.stations[station].plan.freeze > 0 {
            self.fix_turns(station);
        }
        let mut idle = self.stations[station].idle;
        while idle != 0 {
            let within = idle.trailing_zeros() as usize;
            idle &= idle - 1;
            let m = first + within;
            if !self.try_to_start(station, m) && self.stations[station].waiting() == 0 {
                // Nothing left for the others either; they only need their state told.
                while idle != 0 {
                    let within = idle.trailing_zeros() as usize;
                    idle &= idle - 1;
                    self.no_work(station, first + within);
                }
                return;
            }
        }
        if self.stations[station].waiting() > 0 {
            self.interrupt_for(station);
            if self.stations[station].plan.timed {
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
                .min_by_key(|&&lot| (self.keys(station, first, lot), self.lots[lot].seq));
            let Some(&lot) = next else { break };
            fixed += work(self, lot).max(1);
            frozen.push(lot);
        }
        self.stations[station].queue = queue;
        self.stations[station].frozen = frozen;
    }

    #[inline]
    fn no_work(&mut self, station: usize, m: usize) {
        self.machines[m].people_since = NEVER;
        if self.machines[m].overtime {
            // The rest of its SKU went to another machine.
            self.close_machine(m, Presence::Closed);
            self.retime(m);
            return;
        }
        let state = if self.stations[station].waiting_webs > 0 {
            State::WaitMaterial
        } else {
            State::NoWork
        };
        self.set_state(m, state);
    }

    #[inline]
    pub(super) fn try_to_start(&mut self, station: usize, m: usize) -> bool {
        let Some(place) = self.choose(station, m) else {
            self.no_work(station, m);
            return false;
        };
        let lot = match place {
            Some(index) => self.stations[station].queue[index],
            None => match self.stations[station].sorted.peek() {
                Some(top) => top.0.3,
                None => return false,
            },
        };
        if !self.people_for_start(m, lot) {
            if self.machines[m].people_since == NEVER {
                self.machines[m].people_since = self.now;
            }
            self.set_state(m, State::WaitPeople);
            return false;
        }
        match place {
            Some(index) => {
                self.stations[station].queue.remove(index);
            }
            None => {
                self.stations[station].sorted.pop();
            }
        }
        self.leave_queue(station, m, lot);
        self.start(m, lot);
        self.room_made(station);
        true
    }

    /// Accounts the wait of a lot: closed station, people, then plain queueing.
    #[inline]
    pub(super) fn leave_queue(&mut self, station: usize, m: usize, lot: u32) {
        self.stations[station].staged -= 1;
        let (mark, closed_mark) = (self.lots[lot].mark, self.lots[lot].closed_mark);
        if mark == self.now {
            self.machines[m].people_since = NEVER;
            return;
        }
        let waited = self.now - mark;
        let closed = self.stations[station].closed_at(self.now) - closed_mark;
        let people = match std::mem::replace(&mut self.machines[m].people_since, NEVER) {
            NEVER => 0,
            since => (self.now - since.max(mark)).min(waited - closed),
        };
        let base = lot as usize * self.stride;
        let stations = self.model.stations.len();
        self.split[base + station] += waited - closed - people;
        self.split[base + stations + Spent::OffShift as usize] += closed;
        self.split[base + stations + Spent::People as usize] += people;
        self.lots[lot].mark = self.now;
    }

    /// The lot a machine takes: its place in the queue, `Some(None)` for the top of a sorted queue.
    #[inline]
    fn choose(&self, station: usize, m: usize) -> Option<Option<usize>> {
        let run = &self.stations[station];
        let model = self.stations[station].plan;
        if model.sorted_queue {
            return (!run.sorted.is_empty()).then_some(None);
        }
        if model.freeze > 0
            && let Some(lot) = run
                .frozen
                .iter()
                .find(|&&lot| self.may_take(station, m, lot))
        {
            return run.queue.iter().position(|l| l == lot).map(Some);
        }
        let mut best: Option<(usize, [i64; 5])> = None;
        for (index, &lot) in run.queue.iter().enumerate() {
            if !self.may_take(station, m, lot) {
                continue;
            }
            let keys = self.keys(station, m, lot);
            let better = match &best {
                None => true,
                Some((at, least)) => {
                    (keys, self.lots[lot].seq) < (*least, self.lots[run.queue[*at]].seq)
                }
            };
            if better {
                best = Some((index, keys));
            }
        }
        best.map(|(index, _)| Some(index))
    }

    /// A machine may take a lot: it can do it, in time, it is not kept for others, and the SKU may be split.
    pub(super) fn may_take(&self, station: usize, m: usize, lot: u32) -> bool {
        let model = self.stations[station].plan;
        let record = &self.lots[lot];
        if record
            .at
            .is_none_or(|step| step.able >> (m - model.machines.start) & 1 == 0)
        {
            return false;
        }
        if self.machines[m].overtime && self.lines[record.line].uid != self.machines[m].last_line {
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
        let class = usize::from(self.orders[self.lines[self.lots[lot].line].order].class);
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

    /// All criteria of a lot for a machine as numbers, smaller first.
    fn keys(&self, station: usize, m: usize, lot: u32) -> [i64; 5] {
        let model = self.stations[station].plan;
        let line = &self.lines[self.lots[lot].line];
        // A machine stays with the SKU it is on, since a further roll of it needs no changeover; where
        // better-ranked orders may come in between two rolls, their rank goes before that.
        let rank = match model.interrupt {
            Interrupt::Never => 0,
            Interrupt::RollEnd | Interrupt::AtOnce => {
                self.key(Rule::ClassFirst, station, m, lot) << 1
            }
        };
        let mut keys = [
            rank | i64::from(line.uid != self.machines[m].last_line),
            0,
            0,
            0,
            0,
        ];
        for (slot, &rule) in keys[1..].iter_mut().zip(&model.rules) {
            *slot = self.key(rule, station, m, lot);
        }
        keys
    }

    /// A criterion as a number, smaller first.
    fn key(&self, rule: Rule, station: usize, m: usize, lot: u32) -> i64 {
        let record = &self.lots[lot];
        let order = &self.orders[self.lines[record.line].order];
        match rule {
            Rule::FirstCome => record.seq as i64,
            Rule::EarliestDue => order.due,
            Rule::ClassFirst => i64::from(self.model.plant.classes[usize::from(order.class)].rank),
            Rule::ShortestWork => ticks_from_minutes(f64::from(record.work_min)),
            Rule::LeastSlack => order.due.saturating_sub(self.rest_of(lot)),
            Rule::CriticalRatio => {
                let rest = self.rest_of(lot).max(1) as f64;
                (order.due.saturating_sub(self.now) as f64 / rest * 1e6) as i64
            }
            Rule::SameFamily => {
                if self.waited_long(station, lot) {
                    return -1;
                }
                let job = self.job(m, lot);
                let family = self.stations[station].plan.family;
                let same = self.machines[m]
                    .dressed
                    .as_ref()
                    .is_some_and(|d| d.same_family(&job.dressing, family));
                i64::from(!same)
            }
            Rule::ShortestChangeover => {
                if self.waited_long(station, lot) {
                    return -1;
                }
                ticks_from_minutes(self.mean_changeover(m, lot))
            }
        }
    }

    fn waited_long(&self, station: usize, lot: u32) -> bool {
        self.now - self.lots[lot].mark >= self.stations[station].plan.family_wait
    }

    /// Planned work from here on, or the rest of the cure where that is longer.
    fn rest_of(&self, lot: u32) -> Tick {
        let record = &self.lots[lot];
        let work = ticks_from_minutes(f64::from(record.work_min + record.rest_min));
        let cure = self.ship_gate(lot) - self.now;
        work.max(cure)
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
    #[inline]
    pub(super) fn job(&self, m: usize, lot: u32) -> &'a crate::model::Job {
        let record = &self.lots[lot];
        let step = match record.at {
            Some(step) => step,
            None => &record.web.steps[usize::from(record.step)],
        };
        &step.jobs[self.machines[m].plan.within]
    }

    /// The machine has just become free or open.
    #[inline]
    pub(super) fn set_idle(&mut self, m: usize, idle: bool) {
        let machine = &self.machines[m].plan;
        let (station, bit) = (machine.station, 1_u64 << machine.within);
        if idle {
            self.stations[station].idle |= bit;
            self.dirty |= 1 << station;
        } else {
            self.stations[station].idle &= !bit;
        }
        debug_assert!(!idle || self.machines[m].lot == NONE);
    }
}
