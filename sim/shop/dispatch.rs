//! What a free machine takes next.
//!
//! Every machine with nothing to do is offered the lot its station's criteria put first, if it is the machine that
//! would finish that lot first (`reckon`). What needs nobody starts at once; what needs people is offered to
//! them together with everything else that could start (`people`).

use crate::kernel::NEVER;
use crate::model::NONE;
use crate::plant::{Rule, ShiftEnd, Work};
use crate::record::{LotEvent, Observe, Spent};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::audit::Must;
use super::criteria::Leader;
use super::cure::NO_ROOM;
use super::state::{Doing, Door, Hands};

/// What decides between lots that every criterion leaves equal: due date, release, order, artwork, web, roll, part.
type Tie = (Tick, Tick, u32, u16, u8, u32, u64);

impl<'a, O: Observe> Shop<'a, O> {
    /// Puts a lot into the queue of `station`, that of its present step.
    #[inline(always)]
    pub(super) fn queue(&mut self, station: usize, lot: u32) {
        let plan = self.stations[station].plan;
        if plan.needs_plan {
            self.plan_lot(lot);
        }
        self.lots[lot].joined = self.now;
        self.lots[lot].closed_joined = self.stations[station].closed_at(self.now);
        self.wait_as(station, lot, station);
        self.join(station, lot);
        let in_place = self.lots[lot].room != NO_ROOM;
        // What was taken off a machine always has room, so only a lot that comes in takes a place within the number.
        let places = if in_place { u32::MAX } else { plan.staging };
        let staged = self.stations[station].staged;
        let audit = &mut self.counts.audit;
        audit.at_most(Must::Places, self.now, None, staged.into(), places.into());
        self.tell(lot, LotEvent::Queued(station, in_place));
    }

    /// A lot stands in the queue of a station from now on; what it lies on meanwhile is counted.
    pub(super) fn join(&mut self, station: usize, lot: u32) {
        let plan = self.stations[station].plan;
        let record = &self.lots[lot];
        let in_place = record.room != NO_ROOM;
        if plan.sorted_queue {
            let mut keys = [record.joined; 2];
            for (key, rule) in keys.iter_mut().zip(&plan.rules) {
                match rule {
                    Rule::EarliestDue => *key = record.due,
                    Rule::ClassFirst => *key = i64::from(record.rank),
                    // Longest in the queue: that ends every list.
                    _ => {}
                }
            }
            let joined = record.joined;
            let (first, second) = (keys[0], keys[1]);
            let mut sorted = std::mem::take(&mut self.stations[station].sorted);
            let before = |other: u32| {
                let theirs = self.lots[other].joined;
                theirs < joined || (theirs == joined && self.tie(other) <= self.tie(lot))
            };
            sorted.join(first, second, lot, before);
            self.stations[station].sorted = sorted;
        } else {
            self.stations[station].queue.push(lot);
        }
        let run = &mut self.stations[station];
        // A roll that still lies in its cure place needs no other one.
        run.staged += u32::from(!in_place);
        if plan.restless || !run.idle.is_empty() {
            self.dirty.add(station);
        }
    }

    /// See [`Tie`].
    pub(super) fn tie(&self, lot: u32) -> Tie {
        let record = &self.lots[lot];
        let order = &self.orders[record.order];
        let no = self.lines[record.line].no;
        let web = record.web.web;
        (
            record.due,
            order.released,
            order.serial,
            no,
            web,
            record.number,
            record.cut.first,
        )
    }

    /// From now on a waiting lot waits as `entry` of its split; what was is settled.
    #[inline]
    pub(super) fn wait_as(&mut self, station: usize, lot: u32, entry: usize) {
        self.charge_wait(station, lot);
        self.lots[lot].waits_as = entry as u16;
    }

    /// Settles the wait of a lot at a station up to now: closed hours are off shift, open ones belong to what it
    /// waits for.
    #[inline]
    pub(super) fn charge_wait(&mut self, station: usize, lot: u32) {
        let now = self.now;
        let closed_now = self.stations[station].closed_at(now);
        let record = &mut self.lots[lot];
        let waited = now - std::mem::replace(&mut record.mark, now);
        let closed = closed_now - std::mem::replace(&mut record.closed_mark, closed_now);
        if waited == 0 {
            return;
        }
        let entry = usize::from(record.waits_as);
        let base = lot as usize * self.stride;
        let in_queue = entry == station || entry == self.first_spent + Spent::People as usize;
        if in_queue {
            self.watch.waited(station, now - waited, now);
        }
        self.split[base + entry] += waited - closed;
        self.split[base + self.first_spent + Spent::OffShift as usize] += closed;
        if entry == self.first_spent + Spent::People as usize {
            self.lots[lot].passed_over += waited - closed;
        }
    }

    /// Every station where something may have changed looks for work, upstream first; then people are given out.
    #[inline]
    pub(super) fn decide(&mut self) {
        loop {
            while let Some(station) = self.dirty.take_first() {
                self.offer_work(station);
            }
            if !std::mem::take(&mut self.people_asked) {
                return;
            }
            let leave = self.serve_people();
            if self.dirty.is_empty() && !leave {
                self.people_asked = false;
                return;
            }
        }
    }

    /// Finds what each free machine of a station is to take, and starts what needs nobody.
    fn offer_work(&mut self, station: usize) {
        let plan = self.stations[station].plan;
        if plan.spoils {
            self.clear_stale(station);
        }
        if plan.freeze > 0 {
            self.fix_turns(station);
        }
        while self.assign(station) {}
        if plan.restless && self.stations[station].waiting() > 0 {
            self.interrupt_for(station);
            if plan.timed {
                self.ring(station);
            }
        }
        if !self.stations[station].short.is_empty() {
            self.forget_short(station);
        }
    }

    /// One look at the free machines of a station; true where another look may find more.
    fn assign(&mut self, station: usize) -> bool {
        let plan = self.stations[station].plan;
        let first = plan.machines.start;
        let mut started = false;
        let mut left_out = false;
        self.spoken_for.clear();
        if plan.reckons {
            self.claims.clear();
            self.claims.resize(plan.machines.len(), 0);
        }
        let mut next = 0;
        while let Some(within) = self.stations[station].idle.from(next) {
            next = within + 1;
            let m = first + within;
            match self.find_lot(station, m) {
                None => {
                    self.no_work(station, m);
                    left_out = true;
                }
                Some(lot) if self.needs_nobody(m, lot) => {
                    self.take(station, m, lot);
                    started = true;
                }
                Some(lot) => {
                    let machine = &mut self.machines[m];
                    machine.offer = lot;
                    if machine.hands != Hands::Awaited {
                        machine.hands = Hands::Awaited;
                        self.touch(m);
                    }
                    self.people_asked = true;
                    self.spoken_for.push((lot, m));
                }
            }
        }
        started && left_out && plan.reckons && self.stations[station].waiting() > 0
    }

    /// The lot that a free machine is to take: the first one by the criteria of its station that no other machine
    /// would finish before it.
    #[inline]
    fn find_lot(&mut self, station: usize, m: usize) -> Option<u32> {
        let plan = self.stations[station].plan;
        if plan.sorted_queue {
            let skip = self.spoken_for.len();
            return self.stations[station].sorted.nth(skip);
        }
        loop {
            let lot = self.best_lot(station, m)?;
            if !plan.reckons {
                return Some(lot);
            }
            if self.spoken_for.contains(&(lot, m)) {
                return Some(lot);
            }
            let other = self.quickest(station, lot);
            if other == m {
                return Some(lot);
            }
            // It waits for that machine, whose next hours are spoken for.
            let work = self.planned_work(other, lot, 0);
            self.claims[other - plan.machines.start] += work;
            self.spoken_for.push((lot, other));
        }
    }

    /// Nothing to do for a free machine.
    fn no_work(&mut self, station: usize, m: usize) {
        let machine = &mut self.machines[m];
        machine.offer = NONE;
        if machine.door == Door::Overtime {
            // The rest of its SKU went to another machine.
            self.close_machine(m, Door::Closed);
            return;
        }
        let doing = if self.stations[station].waiting_webs > 0 {
            Doing::Starved
        } else {
            Doing::Idle
        };
        if machine.hands == Hands::Awaited || machine.progress.doing != doing {
            machine.hands = Hands::Nobody;
            machine.progress.doing = doing;
            self.touch(m);
        }
    }

    /// A free machine takes a waiting lot; its people, if it needs any, are on it.
    pub(super) fn take(&mut self, station: usize, m: usize, lot: u32) {
        self.out_of_line(station, lot);
        self.leave_queue(station, lot);
        self.start(m, lot);
        if let Some(room) = self.give_up_place(lot) {
            self.place_made(room);
        } else {
            self.room_made(station);
        }
    }

    /// A lot is no longer one of those that wait at a station, nor offered to a machine.
    pub(super) fn out_of_line(&mut self, station: usize, lot: u32) {
        let run = &mut self.stations[station];
        if run.plan.sorted_queue {
            run.sorted.leave(lot);
        } else if let Some(place) = run.queue.iter().position(|&other| other == lot) {
            run.queue.remove(place);
            run.frozen.retain(|&other| other != lot);
        }
        for other in self.stations[station].plan.machines.clone() {
            if self.machines[other].offer == lot {
                self.machines[other].offer = NONE;
            }
        }
    }

    /// A lot leaves the queue of a station for a machine.
    pub(super) fn leave_queue(&mut self, station: usize, lot: u32) {
        self.charge_wait(station, lot);
        let record = &mut self.lots[lot];
        record.passed_over = 0;
        let run = &mut self.stations[station];
        run.staged -= u32::from(record.room == NO_ROOM);
        if !run.short.is_empty() {
            run.short.retain(|&other| other != lot);
        }
    }

    /// Lots that waited for people and are not offered any more wait in the queue again.
    fn forget_short(&mut self, station: usize) {
        let mut short = std::mem::take(&mut self.stations[station].short);
        let machines = self.stations[station].plan.machines.clone();
        short.retain(|&lot| {
            let kept = machines.clone().any(|m| self.machines[m].offer == lot);
            if !kept {
                self.wait_as(station, lot, station);
            }
            kept
        });
        self.stations[station].short = short;
    }

    /// The lot that the criteria of a station put first for a machine, of those that nothing else is to take.
    fn best_lot(&self, station: usize, m: usize) -> Option<u32> {
        let run = &self.stations[station];
        let model = run.plan;
        let open = |lot: u32| {
            !self
                .spoken_for
                .iter()
                .any(|&(other, by)| other == lot && by != m)
        };
        if model.freeze > 0 {
            let mut frozen = run.frozen.iter().copied();
            let turn = frozen.find(|&lot| open(lot) && self.may_take(station, m, lot));
            if turn.is_some() {
                return turn;
            }
        }
        let machine = &self.machines[m];
        let within = machine.plan.within;
        let anything = machine.door != Door::Overtime
            && !model.timed
            && model.split_factor.is_none()
            && machine.plan.shift_end != ShiftEnd::NoLateStart;
        let mut best: Option<Leader> = None;
        for &lot in &run.queue {
            let record = &self.lots[lot];
            let can = record.at.is_some_and(|step| step.jobs[within].able);
            if !can || !open(lot) || !(anything || self.may_take(station, m, lot)) {
                continue;
            }
            match &mut best {
                None => best = Some(Leader::new(lot)),
                Some(leader) => {
                    if self.goes_before(model, m, lot, leader) {
                        leader.lot = lot;
                    }
                }
            }
        }
        best.map(|leader| leader.lot)
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
                    (
                        self.keys(plan, first, lot),
                        self.lots[lot].joined,
                        self.tie(lot),
                    )
                });
            let Some(&lot) = next else { break };
            fixed += work(self, lot).max(1);
            frozen.push(lot);
        }
        self.stations[station].queue = queue;
        self.stations[station].frozen = frozen;
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
        if model.timed && !(self.may_use(m, lot) && self.adhesive_day(lot)) {
            return false;
        }
        self.stays_together(station, m, lot)
    }

    /// Orders stay together: no other machine of the station is on the order, or the order as a whole is large
    /// against its changeover.
    pub(super) fn stays_together(&self, station: usize, m: usize, lot: u32) -> bool {
        let model = self.stations[station].plan;
        let Some(factor) = model.split_factor else {
            return true;
        };
        let record = &self.lots[lot];
        let on_it = |other: usize| other != m && self.machines[other].last_order == record.order;
        if !model.machines.clone().any(on_it) {
            return true;
        }
        let job = self.job(m, lot);
        let pieces = match record.pouches {
            true => record.quantity as f64,
            false => record.quantity as f64 / record.web.pitch_mm,
        };
        let lots = (self.orders[record.order].ordered as f64 / pieces.max(1.0)).max(1.0);
        let run = job.law.minutes(record.quantity, job.lanes, 0.0) * lots;
        run >= factor * self.mean_changeover(m, lot)
    }

    /// The machine is not kept for other classes now.
    pub(super) fn may_use(&self, m: usize, lot: u32) -> bool {
        let Some(reserved) = &self.machines[m].spec.reserved else {
            return true;
        };
        let class = usize::from(self.orders[self.lots[lot].order].class);
        reserved.classes.contains(&class) || reserved.calendar.is_some_and(|c| !self.is_open(c))
    }

    /// The adhesive of the lot's pass is run today.
    fn adhesive_day(&self, lot: u32) -> bool {
        let adhesive = self.lots[lot].at.and_then(|step| step.adhesive);
        let days = adhesive.and_then(|index| self.model.plant.adhesives[index].days);
        days.is_none_or(|days| self.is_open(days))
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
