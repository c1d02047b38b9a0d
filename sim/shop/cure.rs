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
use super::state::Bond;

/// No place held.
pub(super) const NO_ROOM: u8 = u8::MAX;

fn gate_of(gates: &Gates, kind: Option<GateKind>) -> Option<&Dist> {
    match kind {
        Some(GateKind::Open | GateKind::Dry) => None,
        Some(GateKind::SecondPass) => Some(&gates.second_pass),
        Some(GateKind::Slit) => Some(&gates.slit),
        Some(GateKind::Pouch) => Some(&gates.pouch),
        None => Some(&gates.ship),
    }
}

/// A room is the hot one of an adhesive.
fn is_hot_in(adhesive: &Adhesive, room: u8) -> bool {
    let hot = adhesive.hot.as_ref();
    hot.is_some_and(|hot| hot.room == usize::from(room))
}

impl<O: Observe> Shop<'_, O> {
    /// One draw per web of a line, so that its gates keep their order.
    fn cure_draw(&self, lot: u32) -> Stream {
        let record = &self.lots[lot];
        let web = u64::from(record.web.web);
        record.chances.of(Source::Cure, record.key << 2 | web)
    }

    /// Passes that a lot has been through before a step; past the last step all of them.
    pub(super) fn passes_before(&self, lot: u32, step: usize) -> usize {
        let part = self.lots[lot].web;
        let passes = part.steps.get(step).map(|step| usize::from(step.passes));
        passes.unwrap_or(part.adhesives.len())
    }

    /// The adhesive that holds a lot longest before its present step, and so says where it waits; of equals the last.
    pub(super) fn held_by(&self, lot: u32, step: usize) -> Option<&Adhesive> {
        let part = self.lots[lot].web;
        let made = self.passes_before(lot, step);
        let last = made.checked_sub(1)?;
        let kind = match part.steps.get(step) {
            Some(step) => Some(step.gate),
            None => Some(GateKind::Pouch),
        };
        let longest = match part.mixed {
            true => (0..made).max_by_key(|&pass| (self.pass_gate(lot, pass, last, kind), pass)),
            false => Some(last),
        };
        let adhesive = part.adhesives.get(longest?)?;
        Some(&self.model.plant.adhesives[*adhesive])
    }

    /// The instant from which a lot may be worked on at `step` if it stays where it is.
    #[inline]
    pub(super) fn gate(&self, lot: u32, step: usize) -> Tick {
        let record = &self.lots[lot];
        if record.bonded == NEVER {
            let dries = record.at.is_some_and(|step| step.gate == GateKind::Dry);
            return match (step, dries) {
                (_, true) => record.printed + record.web.dry,
                (0, false) => record.printed,
                _ => 0,
            };
        }
        let part = record.web;
        let kind = part.steps.get(step).map_or(GateKind::Pouch, |s| s.gate);
        self.gate_time(lot, self.passes_before(lot, step), Some(kind))
    }

    /// The instant from which the web of a lot may ship.
    #[inline]
    pub(super) fn ship_gate(&self, lot: u32) -> Tick {
        let record = &self.lots[lot];
        if record.bonded == NEVER {
            0
        } else {
            self.gate_time(lot, record.web.adhesives.len(), None)
        }
    }

    /// A gate is that of the last pass, or of an earlier one with another adhesive that holds longer. A pass with the
    /// adhesive of all was made before the last one and is never later than that.
    fn gate_time(&self, lot: u32, made: usize, kind: Option<GateKind>) -> Tick {
        let Some(last) = made.checked_sub(1) else {
            return 0;
        };
        let first = if self.lots[lot].web.mixed { 0 } else { last };
        let gates = (first..made).map(|pass| self.pass_gate(lot, pass, last, kind));
        gates.max().unwrap_or(0)
    }

    /// A gate of one pass opens when the whole time since its bond reaches the ambient hold, or when the time in the
    /// hot room of its adhesive, counted from the end of the heating lag, reaches the hot one; no mixture of the two is
    /// credited.
    fn pass_gate(&self, lot: u32, pass: usize, last: usize, kind: Option<GateKind>) -> Tick {
        let record = &self.lots[lot];
        let Some(&adhesive) = record.web.adhesives.get(pass) else {
            return 0;
        };
        let adhesive = &self.model.plant.adhesives[adhesive];
        let need = |gates: &Gates| {
            gate_of(gates, kind).map_or(0, |hold| {
                ticks_from_minutes(hold.sample(&mut self.cure_draw(lot))).max(0)
            })
        };
        let ambient = need(&adhesive.ambient);
        if ambient == 0 {
            return 0;
        }
        let Bond {
            bonded,
            hot_for,
            hot_before,
        } = match pass == last {
            true => Bond {
                hot_for: record.hot_for,
                ..Bond::at(record.bonded)
            },
            false => record.earlier[pass],
        };
        let hot = record.hot && is_hot_in(adhesive, record.room);
        let by_ambient = bonded + ambient;
        if !hot && hot_for == 0 && hot_before == 0 {
            return by_ambient;
        }
        let warm = adhesive
            .hot
            .as_ref()
            .map_or(ambient, |hot| need(&hot.gates));
        if hot_for.max(hot_before) >= warm {
            return record.cure_mark;
        }
        if !hot {
            return by_ambient;
        }
        by_ambient.min(record.warm_at.max(record.cure_mark) + warm - hot_for)
    }

    /// Books the time in a hot room up to now, to the last pass and to those before it that cure in the same room.
    pub(super) fn settle_cure(&mut self, lot: u32) {
        let now = self.now;
        let made = self.passes_before(lot, usize::from(self.lots[lot].step));
        let adhesives = &self.model.plant.adhesives;
        let record = &mut self.lots[lot];
        if record.hot {
            let room = record.room;
            let part = record.web;
            let cures = |pass: usize| {
                let adhesive = part.adhesives.get(pass);
                adhesive.is_some_and(|&index| is_hot_in(&adhesives[index], room))
            };
            let spent = (now - record.warm_at.max(record.cure_mark)).max(0);
            if made.checked_sub(1).is_some_and(cures) {
                record.hot_for += spent;
            }
            if part.mixed {
                for pass in (0..made.saturating_sub(1)).filter(|&pass| cures(pass)) {
                    record.earlier[pass].hot_for += spent;
                }
            }
        }
        record.cure_mark = now;
    }

    /// Finds a place for a freshly bonded lot that has to wait; false where every place is taken.
    #[inline]
    pub(super) fn take_place(&mut self, lot: u32) -> bool {
        let Some(adhesive) = self.held_by(lot, usize::from(self.lots[lot].step)) else {
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
        if let Some(room) = self.held_by(lot, step).and_then(|adhesive| adhesive.racks) {
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
            let step = usize::from(self.lots[lot].step);
            let wants = self
                .held_by(lot, step)
                .and_then(|a| a.hot.as_ref())
                .is_some_and(|h| h.room == room);
            if !wants || self.lots[lot].hot {
                continue;
            }
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
