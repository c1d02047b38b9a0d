//! Machines that will never move again, because each waits for room that only another of them can make.
//!
//! In: the floor at the end of the clock. Out: these machines. What is found stands still whatever comes later; what
//! might still move in some way (a machine that could take a waiting lot, a roll whose place is cleared) is not found.

use crate::record::Observe;

use super::Shop;
use super::cure::NO_ROOM;

impl<O: Observe> Shop<'_, O> {
    /// Tells the observer of every machine that waits in a circle, at the end of the clock.
    pub(super) fn tell_standstill(&mut self) {
        let blocked = self.stations.iter().any(|s| !s.blocked.is_empty());
        if !blocked && self.blocked_by_rooms.is_empty() {
            return;
        }
        for (m, stuck) in self.stuck().into_iter().enumerate() {
            if stuck {
                self.counts.stuck += 1;
                self.watch.stuck(m);
            }
        }
    }

    /// The largest set of blocked machines of which none can get room unless another of them moves.
    fn stuck(&self) -> Vec<bool> {
        let mut stuck = vec![false; self.machines.len()];
        // What each waits for: the station with a full staging, or none for a place to cure.
        let mut waits: Vec<(usize, Option<usize>)> = Vec::new();
        for (station, run) in self.stations.iter().enumerate() {
            waits.extend(run.blocked.iter().map(|&m| (m as usize, Some(station))));
        }
        waits.extend(self.blocked_by_rooms.iter().map(|&m| (m as usize, None)));
        for &(m, _) in &waits {
            stuck[m] = true;
        }
        loop {
            let gets_room = |&(m, place): &(usize, Option<usize>)| match place {
                Some(station) => self.staging_clears(station, &stuck),
                None => self.rooms_clear(m, &stuck),
            };
            let before = waits.len();
            let free: Vec<usize> = waits.iter().filter(|w| gets_room(w)).map(|w| w.0).collect();
            for m in free {
                stuck[m] = false;
            }
            waits.retain(|&(m, _)| stuck[m]);
            if waits.len() == before {
                return stuck;
            }
        }
    }

    /// A machine that is not stuck can do the lot at its present step.
    fn is_taken(&self, lot: u32, stuck: &[bool]) -> bool {
        let Some(step) = self.lots[lot].at else {
            return true;
        };
        let machines = self.model.stations[step.station].machines.clone();
        let mut jobs = machines.zip(&step.jobs);
        jobs.any(|(m, job)| job.able && !stuck[m])
    }

    /// Some lot before a station will be taken from its place there.
    fn staging_clears(&self, station: usize, stuck: &[bool]) -> bool {
        let run = &self.stations[station];
        let mut lots = run.queue.iter().copied().chain(run.sorted.lots());
        !run.is_full()
            || lots.any(|lot| self.lots[lot].room == NO_ROOM && self.is_taken(lot, stuck))
    }

    /// Some roll will leave a room that the roll on machine `m` can cure in, or one that a roll there can move on to.
    fn rooms_clear(&self, m: usize, stuck: &[bool]) -> bool {
        let lot = self.machines[m].lot;
        let Some(adhesive) = self.held_by(lot, usize::from(self.lots[lot].step) + 1) else {
            return true;
        };
        let adhesives = self.model.plant.adhesives.iter();
        let shared = adhesives.filter(|other| other.racks == adhesive.racks);
        let hot = shared.filter_map(|other| other.hot.as_ref().map(|hot| hot.room));
        let rooms: Vec<usize> = hot.chain(adhesive.racks).collect();
        let mut lots = self.lots.live_indices().into_iter();
        lots.any(|lot| {
            let room = self.lots[lot].room;
            room != NO_ROOM && rooms.contains(&usize::from(room)) && self.place_clears(lot, stuck)
        })
    }

    /// A roll leaves its cure place once its hold is over.
    fn place_clears(&self, lot: u32, stuck: &[bool]) -> bool {
        let Some(step) = self.lots[lot].at else {
            return true;
        };
        self.is_taken(lot, stuck)
            || !self.keeps_place(lot) && self.staging_clears(step.station, stuck)
    }
}
