//! Lots between stations: holds, gathering, webs that meet, staging, splitting.

use crate::kernel::NEVER;
use crate::model::{GateKind, NONE};
use crate::plant::LotSize;
use crate::random::{Source, Stream};
use crate::record::{LotEvent, Observe, Spent};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;

impl<O: Observe> Shop<'_, O> {
    /// The stream of a lot's cure: one draw per web of a line, so that its gates keep their order.
    pub(super) fn cure_draw(&self, lot: u32) -> Stream {
        let record = &self.lots[lot];
        let line = &self.lines[record.line];
        let web = u64::from(self.model.parts[record.part as usize].web);
        self.streams.of(Source::Cure, self.orders[line.order].key, u64::from(line.no) << 1 | web)
    }

    /// The instant from which a lot may be worked on at `step`; the past where it may already.
    fn gate(&self, lot: u32, step: usize) -> Tick {
        let record = &self.lots[lot];
        if record.bonded == NEVER {
            return 0;
        }
        let part = &self.model.parts[record.part as usize];
        let kind = part.steps.get(step).map_or(GateKind::Pouch, |s| s.gate);
        match self.model.hold(part, kind) {
            Some(hold) => record.bonded + ticks_from_minutes(hold.sample(&mut self.cure_draw(lot))),
            None => 0,
        }
    }

    /// Staging at the station of the lot's present step is full.
    pub(super) fn is_full(&self, lot: u32) -> bool {
        let record = &self.lots[lot];
        let part = &self.model.parts[record.part as usize];
        match part.steps.get(usize::from(record.step)) {
            Some(step) => {
                let station = &self.model.stations[step.station];
                station.staging != u32::MAX && self.stations[step.station].staged >= station.staging
            }
            None => false,
        }
    }

    /// A lot is at the door of its present step: it is held, or goes in, or waits outside a full staging.
    ///
    /// What machines hand on asks for room first; lots out of cure, released orders and split lots wait outside.
    pub(super) fn enter_step(&mut self, lot: u32) {
        let step = usize::from(self.lots[lot].step);
        let until = self.gate(lot, step);
        if until > self.now {
            let part = &self.model.parts[self.lots[lot].part as usize];
            let station = part.steps.get(step).map_or(self.model.stations.len(), |s| s.station);
            let name = self.name(lot);
            self.watch.lot(self.now, name, LotEvent::Curing(until, station));
            self.holds.put(until, lot);
            self.retime_holds();
        } else {
            self.go_in(lot);
        }
    }

    /// Holds that end now.
    pub(super) fn hold_event(&mut self) {
        while let Some(lot) = self.holds.take(self.now) {
            let cure = self.spent(Spent::Cure);
            self.charge(lot, cure);
            self.go_in(lot);
        }
        self.retime_holds();
    }

    fn go_in(&mut self, lot: u32) {
        let record = self.lots[lot];
        let part = &self.model.parts[record.part as usize];
        match part.steps.get(usize::from(record.step)) {
            None if part.web == 1 => self.second_web_ready(lot),
            None => self.lot_done(lot),
            Some(step) => {
                if self.is_full(lot) {
                    let station = step.station;
                    self.stations[station].waiting_outside.push(lot);
                } else {
                    self.settle_in(lot);
                }
            }
        }
    }

    /// The second web of a line is made and cured: its body lots may go on.
    fn second_web_ready(&mut self, lot: u32) {
        let line_index = self.lots[lot].line;
        let ship = self.ship_gate(lot);
        let record = self.lots[lot];
        self.counts.lane_mm_out += record.quantity;
        let order = self.lines[line_index].order;
        self.orders[order].ship = self.orders[order].ship.max(ship);
        self.lots.drop_at(lot);
        let line = &mut self.lines[line_index];
        line.live[1] -= 1;
        if line.live[1] > 0 {
            return;
        }
        line.second_ready = true;
        let mut next = std::mem::replace(&mut line.waiting, NONE);
        while next != NONE {
            let lot = next;
            next = self.lots[lot].next;
            self.lots[lot].next = NONE;
            let webs = self.spent(Spent::OtherWebs);
            self.charge(lot, webs);
            let station = self.station_of(lot);
            self.stations[station].waiting_webs -= 1;
            self.go_in(lot);
        }
    }

    pub(super) fn station_of(&self, lot: u32) -> usize {
        let record = &self.lots[lot];
        self.model.parts[record.part as usize].steps[usize::from(record.step)].station
    }

    /// A lot with room at its station: gathered or split as the station wants it, then queued.
    fn settle_in(&mut self, lot: u32) {
        let record = self.lots[lot];
        let part = &self.model.parts[record.part as usize];
        let step = usize::from(record.step);
        let station = part.steps[step].station;
        let line = &self.lines[record.line];
        if part.join == Some(step) && !line.second_ready {
            let name = self.name(lot);
            self.watch.lot(self.now, name, LotEvent::Gathering(station));
            let head = std::mem::replace(&mut self.lines[record.line].waiting, lot);
            self.lots[lot].next = head;
            self.stations[station].waiting_webs += 1;
            return;
        }
        match self.model.stations[station].lot {
            LotSize::Order if line.live[usize::from(part.web)] > 1 => self.gather(lot, station),
            LotSize::Metres(metres) if !record.pouches => {
                let limit = (metres * 1000.0 * f64::from(part.lanes)).ceil();
                self.split_lot(lot, (record.quantity as f64 / limit).ceil() as i64);
            }
            LotSize::Pouches(pouches) => {
                // Whole lane-millimetres, so that a piece that waits for room is never cut again.
                let limit = (pouches * if record.pouches { 1.0 } else { part.pitch_mm }).ceil();
                self.split_lot(lot, (record.quantity as f64 / limit).ceil() as i64);
            }
            _ => self.queue(lot),
        }
    }

    /// Waits for the other lots of its web and line; the last to come carries on with all of it.
    fn gather(&mut self, lot: u32, station: usize) {
        let record = self.lots[lot];
        let web = usize::from(self.model.parts[record.part as usize].web);
        let line = &mut self.lines[record.line];
        let (head, count) = line.gathered[web];
        if count + 1 < line.live[web] {
            line.gathered[web] = (lot, count + 1);
            self.lots[lot].next = head;
            let name = self.name(lot);
            self.watch.lot(self.now, name, LotEvent::Gathering(station));
            return;
        }
        line.gathered[web] = (NONE, 0);
        line.live[web] = 1;
        let mut next = head;
        let (mut quantity, mut bonded, mut run) = (record.quantity, record.bonded, record.pouching_run);
        while next != NONE {
            let other = self.lots[next];
            quantity += other.quantity;
            if other.bonded != NEVER {
                bonded = if bonded == NEVER { other.bonded } else { bonded.max(other.bonded) };
            }
            run += other.pouching_run;
            self.lots.drop_at(next);
            next = other.next;
        }
        let record = &mut self.lots[lot];
        record.quantity = quantity;
        record.bonded = bonded;
        record.pouching_run = run;
        self.queue(lot);
    }

    /// Cuts a lot into `pieces` equal ones that go on by themselves; those without room wait outside, first in line.
    fn split_lot(&mut self, lot: u32, pieces: i64) {
        let record = self.lots[lot];
        let pieces = pieces.clamp(1, record.quantity.max(1)).min(10_000);
        if pieces > 1 {
            let (each, rest) = (record.quantity / pieces, record.quantity % pieces);
            self.lots[lot].quantity = each + i64::from(rest > 0);
            let web = usize::from(self.model.parts[record.part as usize].web);
            self.lines[record.line].live[web] += (pieces - 1) as u32;
            let mut made = Vec::with_capacity(pieces as usize);
            for piece in 1..pieces {
                let quantity = each + i64::from(piece < rest);
                let child = self.new_lot(record.line, record.part, record.step, record.pouches, quantity);
                self.lots[child] = crate::shop::state::Lot { quantity, ..record };
                let (from, to) = (lot as usize * self.stride, child as usize * self.stride);
                self.split.copy_within(from..from + self.stride, to);
                made.push(child);
            }
            self.queue(lot);
            let station = self.station_of(lot);
            let mut outside = 0;
            for child in made {
                if self.is_full(child) {
                    self.stations[station].waiting_outside.insert(outside, child);
                    outside += 1;
                } else {
                    self.queue(child);
                }
            }
        } else {
            self.queue(lot);
        }
    }

    /// Hands a lot on from a machine: false where there is no room.
    pub(super) fn hand_on(&mut self, lot: u32) -> bool {
        self.lots[lot].step += 1;
        let step = usize::from(self.lots[lot].step);
        // A lot that has to cure leaves for the racks; room is asked for when it comes back.
        if self.is_full(lot) && self.gate(lot, step) <= self.now {
            self.lots[lot].step -= 1;
            return false;
        }
        self.enter_step(lot);
        true
    }

    /// A place in staging came free: the longest waiting lot outside, or else blocked machine, moves up.
    pub(super) fn room_made(&mut self, station: usize) {
        loop {
            let limit = self.model.stations[station].staging;
            if limit == u32::MAX || self.stations[station].staged >= limit {
                return;
            }
            if !self.stations[station].waiting_outside.is_empty() {
                let lot = self.stations[station].waiting_outside.remove(0);
                let blocked = self.spent(Spent::Blocked);
                self.charge(lot, blocked);
                self.settle_in(lot);
            } else if !self.stations[station].blocked.is_empty() {
                let m = self.stations[station].blocked.remove(0) as usize;
                self.unblock(m);
            } else {
                return;
            }
        }
    }
}
