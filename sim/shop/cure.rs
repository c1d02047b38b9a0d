//! Holds around the clock: cure gates, hot rooms with their heating lag, racks with limited places.
//!
//! A roll is ready when either of its holds is whole: the ambient one, counted from the bond wherever it
//! lies, or the hot one, counted in a hot room once the wound film is warm. Time in one is never added
//! to time in the other, since no data sheet says how: nothing here shortens a hold, and the scenario
//! reader has refused every hold below the adhesive's data sheet.

use crate::kernel::NEVER;
use crate::model::GateKind;
use crate::plant::{Adhesive, Gates};
use crate::random::{Dist, Source, Stream};
use crate::record::{Observe, Spent};
use crate::trade::roll::{
    CORE_76_OUTSIDE_MM, FILM_DIFFUSIVITY_M2_PER_S, build_up_mm, heating_lag_h, outer_diameter_mm,
};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::audit::Must;

/// No place held.
pub(super) const NO_ROOM: u8 = u8::MAX;

fn gate_of(gates: &Gates, kind: Option<GateKind>) -> Option<&Dist> {
    match kind {
        Some(GateKind::Open) => None,
        Some(GateKind::SecondPass) => Some(&gates.second_pass),
        Some(GateKind::Slit) => Some(&gates.slit),
        Some(GateKind::Pouch) => Some(&gates.pouch),
        None => Some(&gates.ship),
    }
}

impl<O: Observe> Shop<'_, O> {
    /// One draw per web of a line, so that its gates keep their order.
    fn cure_draw(&self, lot: u32) -> Stream {
        let record = &self.lots[lot];
        let web = u64::from(record.web.web);
        record.chances.of(Source::Cure, record.key << 2 | web)
    }

    fn adhesive_of(&self, lot: u32) -> Option<&Adhesive> {
        self.model.adhesive(self.lots[lot].web)
    }

    /// The instant from which a lot may be worked on at `step` if it stays where it is.
    #[inline]
    pub(super) fn gate(&self, lot: u32, step: usize) -> Tick {
        if self.lots[lot].bonded == NEVER {
            return 0;
        }
        let part = self.lots[lot].web;
        self.gate_time(
            lot,
            Some(part.steps.get(step).map_or(GateKind::Pouch, |s| s.gate)),
        )
    }

    /// The instant from which the web of a lot may ship.
    #[inline]
    pub(super) fn ship_gate(&self, lot: u32) -> Tick {
        if self.lots[lot].bonded == NEVER {
            0
        } else {
            self.gate_time(lot, None)
        }
    }

    /// A gate opens when the whole time since the bond reaches the ambient hold, or when the time in a hot
    /// room, counted from the end of the heating lag, reaches the hot one; no mixture of the two is credited.
    fn gate_time(&self, lot: u32, kind: Option<GateKind>) -> Tick {
        let record = &self.lots[lot];
        let Some(adhesive) = self.adhesive_of(lot) else {
            return 0;
        };
        let need = |gates: &Gates| {
            gate_of(gates, kind).map_or(0, |hold| {
                ticks_from_minutes(hold.sample(&mut self.cure_draw(lot))).max(0)
            })
        };
        let ambient = need(&adhesive.ambient);
        if ambient == 0 {
            return 0;
        }
        let by_ambient = record.bonded + ambient;
        if !record.hot && record.hot_for == 0 {
            return by_ambient;
        }
        let warm = adhesive
            .hot
            .as_ref()
            .map_or(ambient, |hot| need(&hot.gates));
        if record.hot_for >= warm {
            return record.cure_mark;
        }
        if !record.hot {
            return by_ambient;
        }
        by_ambient.min(record.warm_at.max(record.cure_mark) + warm - record.hot_for)
    }

    /// Books the time in a hot room up to now.
    pub(super) fn settle_cure(&mut self, lot: u32) {
        let now = self.now;
        let record = &mut self.lots[lot];
        if record.hot {
            record.hot_for += (now - record.warm_at.max(record.cure_mark)).max(0);
        }
        record.cure_mark = now;
    }

    /// Finds a place for a freshly bonded lot that has to wait; false where every place is taken.
    #[inline]
    pub(super) fn take_place(&mut self, lot: u32) -> bool {
        let Some(adhesive) = self.adhesive_of(lot) else {
            return true;
        };
        let (hot, racks) = (adhesive.hot.as_ref().map(|h| h.room), adhesive.racks);
        if let Some(room) = hot.filter(|&room| self.has_place(room)) {
            self.move_in(lot, room, true);
            self.audit_room(room);
            return true;
        }
        match racks {
            Some(room) if self.has_place(room) => {
                self.move_in(lot, room, false);
                self.audit_room(room);
                true
            }
            Some(_) => false,
            // Without racks of its own a roll that finds the hot room full waits anywhere.
            None => true,
        }
    }

    /// A roll that is in the cell at the clock's zero and still has to cure lies on the racks of its adhesive,
    /// even on more places than there are: it is there. Where it lay before is not known, so only its ambient hold
    /// counts.
    pub(super) fn lie_on_rack(&mut self, lot: u32) {
        let step = usize::from(self.lots[lot].step);
        if self.gate(lot, step) <= self.now {
            return;
        }
        if let Some(room) = self.adhesive_of(lot).and_then(|adhesive| adhesive.racks) {
            self.move_in(lot, room, false);
        }
    }

    fn audit_room(&mut self, room: usize) {
        let places = self.model.plant.rooms[room].places.unwrap_or(u32::MAX);
        let taken = self.rooms[room].taken;
        let audit = &mut self.counts.audit;
        audit.at_most(Must::Places, self.now, None, taken.into(), places.into());
    }

    fn has_place(&self, room: usize) -> bool {
        self.model.plant.rooms[room]
            .places
            .is_none_or(|places| self.rooms[room].taken < places)
    }

    fn move_in(&mut self, lot: u32, room: usize, hot: bool) {
        self.settle_cure(lot);
        self.rooms[room].taken += 1;
        let lag = if hot { self.heating_lag(lot) } else { 0 };
        let now = self.now;
        let record = &mut self.lots[lot];
        record.room = room as u8;
        record.hot = hot;
        record.warm_at = now + lag;
    }

    /// Time until the wound film of a roll is warm.
    fn heating_lag(&self, lot: u32) -> Tick {
        let record = &self.lots[lot];
        let part = record.web;
        let metres = record.quantity as f64
            / 1000.0
            / f64::from(part.lanes)
            / f64::from(record.rolls.max(1));
        let outer = outer_diameter_mm(metres, CORE_76_OUTSIDE_MM, part.caliper_um);
        let lag_h = heating_lag_h(
            build_up_mm(outer, CORE_76_OUTSIDE_MM),
            FILM_DIFFUSIVITY_M2_PER_S,
        );
        ticks_from_minutes(lag_h * 60.0).max(0)
    }

    /// A lot leaves its room; who waited for the place moves up.
    #[inline]
    pub(super) fn leave_place(&mut self, lot: u32) {
        if let Some(room) = self.give_up_place(lot) {
            self.place_made(room);
        }
    }

    /// A lot leaves its room, which is told only by the caller.
    #[inline(always)]
    pub(super) fn give_up_place(&mut self, lot: u32) -> Option<usize> {
        let room = self.lots[lot].room;
        (room != NO_ROOM).then(|| self.empty_place(lot, room))
    }

    fn empty_place(&mut self, lot: u32, room: u8) -> usize {
        self.settle_cure(lot);
        let record = &mut self.lots[lot];
        record.room = NO_ROOM;
        record.hot = false;
        self.rooms[usize::from(room)].taken -= 1;
        usize::from(room)
    }

    /// A place came free: a roll on an ambient rack moves into the hot room where that helps it, and a
    /// laminator that found no place hands its roll on.
    pub(super) fn place_made(&mut self, room: usize) {
        if self.model.plant.rooms[room].heated && self.has_place(room) {
            self.warm_one_up(room);
        }
        let waiting = std::mem::take(&mut self.blocked_by_rooms);
        for m in waiting {
            self.unblock(m as usize);
        }
    }

    fn warm_one_up(&mut self, room: usize) {
        for (serial, lot, spent) in self.holds.held() {
            if spent != Spent::Cure as u8
                || !self.lots.is_live(lot)
                || self.lots[lot].hold != serial
            {
                continue;
            }
            let here = self.lots[lot].room;
            let wants = self
                .adhesive_of(lot)
                .and_then(|a| a.hot.as_ref())
                .is_some_and(|h| h.room == room);
            if !wants || self.lots[lot].hot {
                continue;
            }
            let step = usize::from(self.lots[lot].step);
            let before = self.gate(lot, step);
            let was = (self.lots[lot].hot, self.lots[lot].warm_at);
            self.settle_cure(lot);
            let lag = self.heating_lag(lot);
            let now = self.now;
            let record = &mut self.lots[lot];
            (record.hot, record.warm_at) = (true, now + lag);
            let after = self.gate(lot, step);
            if after >= before {
                (self.lots[lot].hot, self.lots[lot].warm_at) = was;
                continue;
            }
            self.rooms[room].taken += 1;
            self.lots[lot].room = room as u8;
            self.hold(lot, after.max(self.now), Spent::Cure);
            if here != NO_ROOM {
                self.rooms[usize::from(here)].taken -= 1;
            }
            return;
        }
    }
}
