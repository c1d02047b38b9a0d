//! Instants at which time alone changes what may be taken: adhesive days and reserved hours begin or end.

use crate::kernel::NEVER;
use crate::record::Observe;
use crate::units::Tick;

use super::Shop;

impl<O: Observe> Shop<'_, O> {
    /// Rings for a station at the next opening or closing of a calendar.
    pub(super) fn ring_at_change(&mut self, station: usize, calendar: usize) {
        let next = self.next_change(calendar);
        let run = &mut self.stations[station];
        if next < run.bell {
            run.bell = next;
            let slot = self.bell_slot();
            if next < self.slots.get(slot) {
                self.slots.set(slot, next);
            }
        }
    }

    fn next_change(&self, calendar: usize) -> Tick {
        let open = &self.model.calendars[calendar];
        let at = open.partition_point(|i| i.1 <= self.now);
        match open.get(at) {
            Some(&(from, _)) if from > self.now => from,
            Some(&(_, to)) => to,
            None => NEVER,
        }
    }

    /// A calendar is open now.
    pub(super) fn is_open(&self, calendar: usize) -> bool {
        let open = &self.model.calendars[calendar];
        let at = open.partition_point(|i| i.1 <= self.now);
        open.get(at).is_some_and(|i| i.0 <= self.now)
    }

    pub(super) fn bell_event(&mut self) {
        let mut next = NEVER;
        for station in 0..self.stations.len() {
            if self.stations[station].bell <= self.now {
                self.stations[station].bell = NEVER;
                self.dirty.add(station);
            }
            next = next.min(self.stations[station].bell);
        }
        let slot = self.bell_slot();
        self.slots.set(slot, next);
    }
}
