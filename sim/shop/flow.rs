//! Lots between stations: holds, gathering, webs that meet, staging, splitting, rework.

use crate::kernel::NEVER;
use crate::model::{NONE, Wound};
use crate::plant::{FreeAt, LotSize, Work};
use crate::random::Source;
use crate::record::{LotEvent, Observe, SPENT, Spent};
use crate::units::{Tick, ceiling, ticks_from_minutes, whole_above};

use super::Shop;
use super::state::{Cut, Lot};

impl<O: Observe> Shop<'_, O> {
    /// Holds a lot until a moment; a hold it had before is void.
    pub(super) fn hold(&mut self, lot: u32, until: Tick, spent: Spent) {
        self.lots[lot].hold = self.holds.put(until, lot, spent as u8);
        self.retime_holds();
    }

    /// A lot is at the door of its present step: it is held, or goes in, or waits outside a full staging.
    ///
    /// What machines hand on asks for room first; lots out of cure, released orders and split lots wait outside.
    #[inline]
    pub(super) fn enter_step(&mut self, lot: u32) {
        let step = usize::from(self.lots[lot].step);
        let until = self.gate(lot, step);
        if until > self.now {
            let part = self.lots[lot].web;
            let station = part
                .steps
                .get(step)
                .map_or(self.model.stations.len(), |s| s.station);
            let record = &self.lots[lot];
            let (until, event, spent) = match record.bonded {
                NEVER if record.printed > self.now => {
                    let until = record.printed;
                    (until, LotEvent::Printing(until, station), Spent::Release)
                }
                NEVER => (until, LotEvent::Drying(until, station), Spent::Cure),
                _ => (until, LotEvent::Curing(until, station), Spent::Cure),
            };
            self.tell(lot, event);
            self.hold(lot, until, spent);
        } else {
            self.go_in(lot);
        }
    }

    /// Holds that end now.
    pub(super) fn hold_event(&mut self) {
        while let Some((serial, lot, spent)) = self.holds.take(self.now) {
            if !self.lots.is_live(lot) || self.lots[lot].hold != serial {
                continue;
            }
            self.lots[lot].hold = 0;
            let entry = self.first_spent + usize::from(spent).min(SPENT - 1);
            self.charge(lot, entry);
            // What is printed by now may have to dry yet.
            match self.lots[lot].bonded {
                NEVER => self.enter_step(lot),
                _ => self.go_in(lot),
            }
        }
        self.retime_holds();
    }

    #[inline]
    pub(super) fn go_in(&mut self, lot: u32) {
        if self.model.looks && self.lab_keeps(lot) {
            return;
        }
        let record = &self.lots[lot];
        match record.at {
            Some(step) if self.stations[step.station].is_full() && !self.keeps_place(lot) => {
                self.wait_outside(step.station, lot, None);
            }
            Some(_) => self.settle_in(lot),
            None if record.web.web > 0 => self.web_ready(lot),
            None => {
                self.leave_place(lot);
                self.lot_done(lot);
            }
        }
    }

    /// There is no room for a lot at its station: it waits outside, on a machine or where it lies.
    fn wait_outside(&mut self, station: usize, lot: u32, place: Option<usize>) {
        self.tell(lot, LotEvent::NoRoom(station, None));
        let blocked = self.spent(Spent::Blocked);
        self.wait_as(station, lot, blocked);
        let waiting = &mut self.stations[station].waiting_outside;
        waiting.insert(place.unwrap_or(waiting.len()), lot);
    }

    /// A lot of a further web is made and cured; with the last one the body lots of the line may go on.
    fn web_ready(&mut self, lot: u32) {
        self.leave_place(lot);
        let line_index = self.lots[lot].line;
        let ship = self.ship_gate(lot);
        let record = self.lots[lot];
        let web = usize::from(record.web.web);
        self.counts.lane_mm_out += record.quantity;
        self.lines[line_index].web_open -= record.quantity;
        let order = record.order;
        self.orders[order].ship = self.orders[order].ship.max(ship);
        self.lots.drop_at(lot);
        let line = &mut self.lines[line_index];
        line.live[web] -= 1;
        if line.live[1..].iter().any(|&lots| lots > 0) {
            return;
        }
        line.webs_ready = true;
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

    /// Station of the present step; past the last step that of the last one.
    #[inline]
    pub(super) fn station_of(&self, lot: u32) -> usize {
        let record = &self.lots[lot];
        record
            .at
            .or(record.web.steps.last())
            .map_or(0, |step| step.station)
    }

    /// A lot with room at its station: gathered or split as the station wants it, then queued.
    #[inline(always)]
    pub(super) fn settle_in(&mut self, lot: u32) {
        // The place it leaves is given on only when it sits: whoever follows must find it counted here.
        let room = if self.keeps_place(lot) {
            None
        } else {
            self.give_up_place(lot)
        };
        self.seat(lot);
        if let Some(room) = room {
            self.place_made(room);
        }
    }

    /// A cured lot lies in its place until a machine takes it, where that is the rule of the place and nothing else
    /// is to be done to it first.
    pub(super) fn keeps_place(&self, lot: u32) -> bool {
        let record = &self.lots[lot];
        let Some(room) = self.model.plant.rooms.get(usize::from(record.room)) else {
            return false;
        };
        let Some(step) = record.at else { return false };
        let whole = match self.stations[step.station].plan.lot {
            LotSize::Roll => true,
            LotSize::Order => self.lines[record.line].live[usize::from(record.web.web)] <= 1,
            LotSize::Metres(_) | LotSize::Pouches(_) => false,
        };
        room.free_at == FreeAt::TakenOut && step.straight && whole
    }

    #[inline(always)]
    fn seat(&mut self, lot: u32) {
        let record = &self.lots[lot];
        // Most lots of most cells: nothing to wait for, nothing to cut.
        if let Some(step) = record.at
            && step.straight
        {
            match self.stations[step.station].plan.lot {
                LotSize::Roll => return self.queue(step.station, lot),
                LotSize::Order
                    if self.lines[record.line].live[usize::from(record.web.web)] <= 1 =>
                {
                    return self.queue(step.station, lot);
                }
                _ => {}
            }
        }
        self.gather_or_split(lot);
    }

    /// A lot that may have to wait for its other rolls or webs, or to be cut.
    fn gather_or_split(&mut self, lot: u32) {
        let record = &self.lots[lot];
        let part = record.web;
        let step = usize::from(record.step);
        let station = part.steps[step].station;
        let line = &self.lines[record.line];
        if part.join == Some(step) && !line.webs_ready {
            self.tell(lot, LotEvent::Gathering(station));
            let line = self.lots[lot].line;
            let head = std::mem::replace(&mut self.lines[line].waiting, lot);
            self.lots[lot].next = head;
            self.stations[station].waiting_webs += 1;
            return;
        }
        let web = usize::from(part.web);
        let ganged = line.gang > 1 && record.sku == 0 && part.steps[step].makes_pouches;
        let whole = self.stations[station].plan.lot == LotSize::Order || ganged;
        if whole && line.live[web] > 1 && record.sku == 0 && !self.gather(lot, station) {
            return;
        }
        if self.waits_for_supply(lot) {
            return;
        }
        let record = &self.lots[lot];
        let pieces = match self.stations[station].plan.lot {
            _ if ganged => i64::from(self.lines[record.line].gang),
            LotSize::Metres(metres) if !record.pouches => {
                let limit = ceiling(metres * 1000.0 * f64::from(part.lanes));
                whole_above(record.quantity as f64 / limit)
            }
            LotSize::Pouches(pouches) => {
                // Whole lane-millimetres, so that a piece that waits for room is never cut again.
                let unit = if record.pouches { 1.0 } else { part.pitch_mm };
                whole_above(record.quantity as f64 / ceiling(pouches * unit))
            }
            _ => 1,
        };
        self.split_lot(lot, pieces, ganged);
    }

    /// A station waits until what it uses besides the web of a product is there: counted from the release.
    fn waits_for_supply(&mut self, lot: u32) -> bool {
        let record = self.lots[lot];
        let Some(step) = record.at else { return false };
        let model = self.model;
        let product = self.lines[record.line].product as usize;
        let supplies = model.plant.products[product].supplies.iter();
        let keyed = supplies.zip(&model.keys.supplies[product]).enumerate();
        let released = self.orders[record.order].released;
        let mut last = None;
        for (index, (supply, key)) in keyed {
            if supply.is_used(step.station, step.makes_pouches) {
                let mut draw = record.chances.of(Source::Supply, record.key ^ key);
                let there = released + ticks_from_minutes(supply.there.sample(&mut draw));
                last = last.max(Some((there, std::cmp::Reverse(index))));
            }
        }
        let Some((there, std::cmp::Reverse(index))) = last.filter(|last| last.0 > self.now) else {
            return false;
        };
        self.tell(lot, LotEvent::Lacking(there, step.station, index));
        self.hold(lot, there, Spent::OtherWebs);
        true
    }

    /// Waits for the other lots of its web and line (false); the last to come carries on with all of it.
    fn gather(&mut self, lot: u32, station: usize) -> bool {
        let record = self.lots[lot];
        let web = usize::from(record.web.web);
        let line = &mut self.lines[record.line];
        let (head, count) = line.gathered[web];
        if count + 1 < line.live[web] {
            line.gathered[web] = (lot, count + 1);
            self.lots[lot].next = head;
            self.tell(lot, LotEvent::Gathering(station));
            return false;
        }
        line.gathered[web] = (NONE, 0);
        line.live[web] = 1;
        let mut next = head;
        let mut whole = record;
        let mut wound = smallvec::SmallVec::<[Wound; 8]>::from_slice(&[record.wound]);
        // Whichever comes last, the whole bears the number of the first roll.
        whole.cut = Cut::WHOLE;
        while next != NONE {
            let other = self.lots[next];
            whole.number = whole.number.min(other.number);
            whole.printed = whole.printed.min(other.printed);
            whole.quantity += other.quantity;
            whole.rolls += other.rolls;
            wound.push(other.wound);
            whole.pouching_run += other.pouching_run;
            // The least cured roll speaks for all of them.
            if other.bonded != NEVER && (whole.bonded == NEVER || other.bonded > whole.bonded) {
                (whole.bonded, whole.hot_for, whole.cure_mark) =
                    (other.bonded, other.hot_for, other.cure_mark);
            }
            for (least, other) in whole.earlier.iter_mut().zip(other.earlier) {
                if other.bonded > least.bonded {
                    *least = other;
                }
            }
            self.lots.drop_at(next);
            next = other.next;
        }
        self.lots[lot] = whole;
        self.wind(lot, Wound::filled(wound.into_iter()));
        true
    }

    /// Cuts a lot into `pieces` equal ones that go on by themselves, and queues them; those without room
    /// wait outside, first in line.
    #[inline]
    fn split_lot(&mut self, lot: u32, pieces: i64, ganged: bool) {
        let pieces = pieces.clamp(1, self.lots[lot].quantity.max(1)).min(10_000);
        if ganged {
            self.lots[lot].sku = 1;
        }
        let station = self.station_of(lot);
        if pieces == 1 {
            self.queue(station, lot);
            return;
        }
        let record = self.lots[lot];
        let (each, rest) = (record.quantity / pieces, record.quantity % pieces);
        let rolls = (record.rolls / pieces as u32).max(1);
        self.lots[lot].quantity = each + i64::from(rest > 0);
        self.lots[lot].cut = record.cut.part(0, pieces as u64);
        self.lots[lot].rolls = rolls;
        self.lots[lot].wound = record.wound.cut(0, pieces as u32);
        // What was packed alongside the pouching run is shared out, too.
        let pouching_run = record.pouching_run / pieces;
        self.lots[lot].pouching_run = pouching_run;
        let web = usize::from(record.web.web);
        self.lines[record.line].live[web] += (pieces - 1) as u32;
        let mut made = Vec::with_capacity(pieces as usize);
        for piece in 1..pieces {
            let quantity = each + i64::from(piece < rest);
            let child = self.new_lot(
                record.line,
                record.part,
                record.step,
                record.pouches,
                quantity,
            );
            let cut = record.cut.part(piece as u64, pieces as u64);
            let sku = if ganged { 1 + piece as u16 } else { record.sku };
            self.lots[child] = Lot {
                quantity,
                cut,
                sku,
                rolls,
                wound: record.wound.cut(piece as u32, pieces as u32),
                pouching_run,
                ..record
            };
            let (from, to) = (lot as usize * self.stride, child as usize * self.stride);
            self.split.copy_within(from..from + self.stride, to);
            made.push(child);
        }
        self.queue(station, lot);
        let mut outside = 0;
        for child in made {
            if self.stations[station].is_full() {
                self.wait_outside(station, child, Some(outside));
                outside += 1;
            } else {
                self.queue(station, child);
            }
        }
    }

    /// Hands a lot on from machine `m`: false where there is no room or no place.
    #[inline]
    pub(super) fn hand_on(&mut self, m: usize, lot: u32) -> bool {
        let plan = self.machines[m].plan;
        let record = &mut self.lots[lot];
        let before = record.step;
        let inline = record.job(plan).slits_inline;
        let step = usize::from(before) + 1 + usize::from(inline && self.is_slit_after(lot));
        let record = &mut self.lots[lot];
        record.set_step(step as u16);
        if self.stations[plan.station].plan.work == Work::Press {
            record.printed = self.now;
        }
        // A lot that has to cure or dry leaves for the racks; room at its station is asked for when it comes back.
        if self.gate(lot, step) > self.now {
            return self.leave_to_cure(m, lot, before);
        }
        if self.model.looks && self.needs_lab(lot) {
            self.go_in(lot);
            return true;
        }
        let Some(next) = self.lots[lot].at else {
            self.go_in(lot);
            return true;
        };
        if !self.stations[next.station].is_full() {
            self.settle_in(lot);
        } else if next.station > plan.station {
            self.tell(lot, LotEvent::NoRoom(next.station, Some(m)));
            self.lots[lot].set_step(before);
            self.stations[next.station].blocked.push(m as u32);
            return false;
        } else {
            // What goes on to the same station or to one before it waits on the floor: if it kept its machine,
            // the two would wait for each other for ever.
            self.go_in(lot);
        }
        true
    }

    /// A lot that was slit on the machine it leaves passes the slitter. Where some rolls of a SKU come slit and
    /// others do not, a slitter that takes whole SKUs gets all of them.
    fn is_slit_after(&self, lot: u32) -> bool {
        let record = &self.lots[lot];
        let steps = &record.web.steps;
        let here = usize::from(record.step);
        let always = || {
            let mut jobs = steps[here].jobs.iter();
            jobs.all(|job| !job.able || job.slits_inline)
        };
        steps.get(here + 1).is_some_and(|step| {
            let next = &self.stations[step.station].plan;
            next.work == Work::Slitting && (always() || next.lot != LotSize::Order)
        })
    }

    /// A lot leaves machine `m` to cure; false where it is freshly bonded and there is no place for it.
    fn leave_to_cure(&mut self, m: usize, lot: u32, before: u16) -> bool {
        let part = self.lots[lot].web;
        if part.steps[usize::from(before)].bonds && !self.take_place(lot) {
            let next = self.lots[lot].at.map(|step| step.station);
            let station = next.unwrap_or(self.model.stations.len());
            self.tell(lot, LotEvent::NoPlace(station, m));
            self.lots[lot].set_step(before);
            self.blocked_by_rooms.push(m as u32);
            return false;
        }
        self.enter_step(lot);
        true
    }

    /// A lot that has to go back after `station`, with the step it goes to.
    pub(super) fn goes_back(&self, station: usize, lot: u32) -> Option<u16> {
        let (chance, target) = self.stations[station].plan.rework?;
        let record = &self.lots[lot];
        let mut draw = record.chances.of(Source::Rework, record.chance());
        if !draw.chance(chance) {
            return None;
        }
        let part = record.web;
        part.steps[..=usize::from(record.step)]
            .iter()
            .rposition(|s| s.station == target)
            .map(|s| s as u16)
    }

    /// A place in staging came free: the longest waiting lot outside, or else blocked machine, moves up.
    #[inline(always)]
    pub(super) fn room_made(&mut self, station: usize) {
        if self.stations[station].plan.staging != u32::MAX {
            self.move_up(station);
        }
    }

    fn move_up(&mut self, station: usize) {
        while !self.stations[station].is_full() {
            if !self.stations[station].waiting_outside.is_empty() {
                let lot = self.stations[station].waiting_outside.remove(0);
                self.charge_wait(station, lot);
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
