//! Who is there: shifts of people begin and end, some stay away, and machines lose those who go.

use crate::kernel::NEVER;
use crate::random::Source;
use crate::record::Observe;
use crate::units::Tick;

use super::Shop;
use super::people::Turn;
use super::state::{Door, Hands};

impl<O: Observe> Shop<'_, O> {
    /// A shift of a pool begins or ends.
    pub(super) fn pool_event(&mut self, p: usize) {
        let model = self.model;
        let pool = &model.plant.pools[p];
        let mut next = NEVER;
        for (s, &(calendar, count)) in pool.shifts.iter().enumerate() {
            let open = &model.calendars[calendar];
            let shift = &mut self.pools[p].shifts[s];
            while open.get(shift.interval).is_some_and(|i| i.1 <= self.now) {
                shift.interval += 1;
                shift.here = 0;
            }
            let Some(&(from, to)) = open.get(shift.interval) else {
                continue;
            };
            if from <= self.now {
                if shift.here == 0 {
                    let chances = self.streams.about(self.model.keys.pools[p]);
                    let day = (s as u64) << 32 | shift_day(from) as u64;
                    let mut draw = chances.of(Source::Absence, day);
                    shift.here = (0..count).filter(|_| !draw.chance(pool.absence)).count() as u32;
                }
                next = next.min(to);
            } else {
                next = next.min(from);
            }
        }
        let present = self.pools[p].shifts.iter().map(|s| s.here).sum::<u32>() * 1000;
        let more = present > self.pools[p].present;
        self.pools[p].present = present;
        self.people_asked |= more;
        let slot = self.pool_slot(p);
        self.slots.set(slot, next);
        self.send_home(p);
    }

    /// More people at work than present: machines stop, those first that the pool would serve last; overtime keeps
    /// its people.
    pub(super) fn send_home(&mut self, p: usize) {
        while self.pools[p].busy > self.pools[p].present {
            let mut last: Option<(Turn, usize)> = None;
            for m in 0..self.machines.len() {
                let machine = &self.machines[m];
                let held = machine.hands;
                let goes = machine.door != Door::Overtime
                    && self.needs(m, held).iter().any(|need| need.0 == p);
                if goes {
                    last = last.max(Some((self.turn_of(p, m), m)));
                }
            }
            let Some((_, m)) = last else { return };
            self.settle(m);
            let runs = self.needs(m, Hands::Run);
            if self.machines[m].hands == Hands::FirstOff && runs.iter().all(|need| need.0 != p) {
                // Who looks goes home; the crew stays.
                self.leave_joined(m);
            } else {
                self.give_people_back(m);
                self.machines[m].hands = Hands::Awaited;
            }
            self.touch(m);
        }
    }
}

/// The same absences hold for all openings of a shift on one day (breaks do not change who came).
fn shift_day(from: Tick) -> Tick {
    from / (1440 * crate::units::TICKS_PER_MINUTE)
}
