//! The plainest listeners: nobody, and two at once.

use crate::units::Tick;

use super::{
    Finished, Levels, Lost, LotEvent, LotName, Observe, Refused, STATES, State, Unfinished, WebOf,
};

/// Nobody listens.
#[derive(Debug, Clone, Copy, Default)]
pub struct Nobody;

impl Observe for Nobody {
    const LOTS: bool = false;

    fn asks(&self, _: Tick, _: Tick) -> bool {
        false
    }
}

impl<A: Observe, B: Observe> Observe for (&mut A, &mut B) {
    const LOTS: bool = A::LOTS || B::LOTS;

    fn state(&mut self, machine: usize, state: State, from: Tick, to: Tick, lot: Option<LotName>) {
        self.0.state(machine, state, from, to, lot);
        self.1.state(machine, state, from, to, lot);
    }

    fn stuck(&mut self, machine: usize) {
        self.0.stuck(machine);
        self.1.stuck(machine);
    }

    fn asks(&self, from: Tick, to: Tick) -> bool {
        self.0.asks(from, to) || self.1.asks(from, to)
    }

    fn states(&mut self, machine: usize, from: Tick, to: Tick, ticks: &[Tick; STATES]) {
        self.0.states(machine, from, to, ticks);
        self.1.states(machine, from, to, ticks);
    }

    fn short_of(&mut self, machine: usize, pool: usize, from: Tick, to: Tick) {
        self.0.short_of(machine, pool, from, to);
        self.1.short_of(machine, pool, from, to);
    }

    fn waited(&mut self, station: usize, from: Tick, to: Tick) {
        self.0.waited(station, from, to);
        self.1.waited(station, from, to);
    }

    fn cured(&mut self, from: Tick, to: Tick) {
        self.0.cured(from, to);
        self.1.cured(from, to);
    }

    fn levels(&mut self, at: Tick, levels: Levels<'_>) {
        self.0.levels(at, levels);
        self.1.levels(at, levels);
    }

    fn lot(&mut self, at: Tick, lot: LotName, event: LotEvent) {
        self.0.lot(at, lot, event);
        self.1.lot(at, lot, event);
    }

    fn finished(&mut self, order: Finished<'_>) {
        self.0.finished(order);
        self.1.finished(order);
    }

    fn unfinished(&mut self, order: Unfinished) {
        self.0.unfinished(order);
        self.1.unfinished(order);
    }

    fn refused(&mut self, order: Refused) {
        self.0.refused(order);
        self.1.refused(order);
    }

    fn booked(&mut self, order: u32, entry: usize) {
        self.0.booked(order, entry);
        self.1.booked(order, entry);
    }

    fn joined(&mut self, at: Tick, web: WebOf, lane_mm: i64) {
        self.0.joined(at, web, lane_mm);
        self.1.joined(at, web, lane_mm);
    }

    fn released(&mut self, at: Tick, web: WebOf, lane_mm: i64) {
        self.0.released(at, web, lane_mm);
        self.1.released(at, web, lane_mm);
    }

    fn waste(&mut self, at: Tick, station: usize, why: Lost, lost: [i64; 2], web: WebOf) {
        self.0.waste(at, station, why, lost, web);
        self.1.waste(at, station, why, lost, web);
    }
}
