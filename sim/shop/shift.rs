//! Opening and closing of machines, overtime; people coming and going.

use crate::kernel::NEVER;
use crate::model::Presence;
use crate::plant::ShiftEnd;
use crate::random::Source;
use crate::record::Observe;

use super::Shop;
use super::state::{Doing, Door, Hands, overtime_of};

impl<O: Observe> Shop<'_, O> {
    /// First state of a machine at the clock's zero.
    pub(super) fn start_clock_of_machine(&mut self, m: usize) {
        self.draw_first_failures(m);
        let timeline = &self.machines[m].plan.timeline;
        let presence = timeline.first().map_or(Presence::Open, |t| t.1);
        let machine = &mut self.machines[m];
        machine.boundary = timeline.get(1).map_or(NEVER, |t| t.0);
        if presence == Presence::Open {
            machine.door = Door::Open;
            self.station_opens(self.machines[m].plan.station);
            self.plan_wash_up(m);
        } else {
            machine.door = Door::shut(presence);
        }
        self.touch(m);
    }

    /// The calendar of a machine says something new.
    pub(super) fn calendar_change(&mut self, m: usize) {
        let timeline = &self.machines[m].plan.timeline;
        let machine = &mut self.machines[m];
        machine.settle(self.now);
        machine.interval += 1;
        machine.boundary = timeline.get(machine.interval + 1).map_or(NEVER, |t| t.0);
        let was = machine.door;
        match timeline[machine.interval].1 {
            Presence::Open if was == Door::Overtime => {
                machine.door = Door::Open;
                machine.overtime_until = NEVER;
                self.back_from_overtime = true;
                self.touch(m);
            }
            Presence::Open => self.open_machine(m),
            presence => {
                let rule = machine.plan.shift_end;
                let finishing = matches!(rule, ShiftEnd::FinishLot(_) | ShiftEnd::FinishOrder(_));
                // Overtime is for a lot: a repair without one, or of a machine that is blocked, waits for tomorrow.
                let mended = match machine.doing {
                    Doing::Repair => machine.after_repair.0,
                    doing => doing,
                };
                let at_work = machine.clock_runs() && mended.is_timed() && was == Door::Open;
                if finishing && at_work && presence == Presence::Closed {
                    machine.door = Door::Overtime;
                    machine.overtime_until = self.now + overtime_of(rule);
                } else if was.is_on_shift() || was == Door::Overtime {
                    self.close_machine(m, Door::shut(presence));
                } else {
                    machine.door = Door::shut(presence);
                    self.touch(m);
                }
            }
        }
    }

    fn open_machine(&mut self, m: usize) {
        self.machines[m].door = Door::Open;
        self.plan_wash_up(m);
        self.station_opens(self.machines[m].plan.station);
        if self.machines[m].doing.is_timed() {
            self.warm_again(m);
            self.resume(m);
        } else {
            self.touch(m);
        }
    }

    /// Stops whatever the machine does; its clocks stand until it opens again.
    pub(super) fn close_machine(&mut self, m: usize, door: Door) {
        let now = self.now;
        let machine = &mut self.machines[m];
        machine.settle(now);
        machine.door = door;
        machine.wash_at = NEVER;
        machine.overtime_until = NEVER;
        machine.people_since = NEVER;
        if machine.doing == Doing::Starved {
            machine.doing = Doing::Idle;
        }
        if machine.doing.is_timed() && machine.last_active < now {
            machine.last_active = now;
        }
        self.give_people_back(m);
        self.touch(m);
        self.station_closes(self.machines[m].plan.station);
    }

    #[inline]
    fn station_opens(&mut self, station: usize) {
        let now = self.now;
        let run = &mut self.stations[station];
        if run.open == 0 {
            run.closed += now - run.closed_since;
            run.closed_since = NEVER;
        }
        run.open += 1;
    }

    #[inline]
    fn station_closes(&mut self, station: usize) {
        let run = &mut self.stations[station];
        run.open -= 1;
        if run.open == 0 {
            run.closed_since = self.now;
        }
    }

    /// Goes on with the phase a machine is in, if its people are there.
    #[inline(always)]
    pub(super) fn resume(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        machine.settle(self.now);
        if !machine.plan.crewless && !self.finds_people(m) {
            self.machines[m].hands = Hands::Awaited;
        }
        self.touch(m);
    }

    /// Takes the people of what a machine is doing; false where they are missing.
    fn finds_people(&mut self, m: usize) -> bool {
        let crew = match self.machines[m].doing {
            Doing::Setup => Hands::Changeover,
            Doing::Run | Doing::Stop | Doing::Micro => Hands::Run,
            Doing::Repair if self.needs_fitters(m) => Hands::Repair,
            Doing::Idle | Doing::Starved | Doing::Repair | Doing::Blocked => Hands::Nobody,
        };
        self.take_people(m, crew)
    }

    /// The breakdown a machine has needs people of its own.
    pub(super) fn needs_fitters(&self, m: usize) -> bool {
        let cause = self.machines[m].down_cause;
        self.machines[m]
            .spec
            .breakdowns
            .get(cause)
            .is_some_and(|b| !b.crew.is_empty())
    }

    /// Holds exactly the crew asked for; false (and nothing held) where people are missing.
    #[inline]
    pub(super) fn take_people(&mut self, m: usize, crew: Hands) -> bool {
        if self.machines[m].hands == crew {
            return true;
        }
        self.give_people_back(m);
        if self.machines[m].plan.crewless || crew == Hands::Nobody {
            return true;
        }
        let machine = &self.machines[m];
        let needs = crew_needs(machine.spec, machine.down_cause, crew);
        // In overtime the people of the shift stay with their machine though the shift is over.
        let stay = machine.door == Door::Overtime;
        if !stay
            && needs
                .iter()
                .any(|&(pool, need)| self.pools[pool].busy + need > self.pools[pool].present)
        {
            return false;
        }
        for &(pool, need) in needs {
            self.pools[pool].busy += need;
        }
        self.machines[m].hands = crew;
        true
    }

    /// Whether the first phase of a lot would find its people if the machine gave back those it holds.
    pub(super) fn people_would_fit(&self, m: usize, lot: u32) -> bool {
        if self.machines[m].plan.crewless {
            return true;
        }
        let cause = self.machines[m].down_cause;
        let held = crew_needs(self.machines[m].spec, cause, self.machines[m].hands);
        let crew = self.crew_for_start(m, lot);
        crew_needs(self.machines[m].spec, cause, crew)
            .iter()
            .all(|&(pool, need)| {
                let back: u32 = held.iter().filter(|h| h.0 == pool).map(|h| h.1).sum();
                self.pools[pool].busy - back + need <= self.pools[pool].present
            })
    }

    #[inline]
    pub(super) fn give_people_back(&mut self, m: usize) {
        let held = std::mem::replace(&mut self.machines[m].hands, Hands::Nobody);
        let needs = crew_needs(self.machines[m].spec, self.machines[m].down_cause, held);
        self.people_free |= !needs.is_empty();
        for &(pool, need) in needs {
            self.pools[pool].busy -= need;
        }
    }

    /// People came free: held-up machines go on first, the others look for work.
    pub(super) fn wake_waiting_for_people(&mut self) {
        for m in 0..self.machines.len() {
            let machine = &self.machines[m];
            if machine.hands != Hands::Awaited {
                continue;
            }
            if machine.doing.is_nothing() {
                self.dirty.add(machine.plan.station);
            } else if machine.door != Door::WashUp {
                self.resume(m);
            }
        }
    }

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
                    let mut draw = self.streams.of(
                        Source::Absence,
                        self.model.keys.pools[p],
                        (s as u64) << 32 | shift_day(from) as u64,
                    );
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
        self.people_free |= more;
        let slot = self.pool_slot(p);
        self.slots.set(slot, next);
        self.send_home(p);
    }

    /// Machines have gone from overtime into their next opening: their people count again.
    pub(super) fn count_people_again(&mut self) {
        self.back_from_overtime = false;
        for p in 0..self.pools.len() {
            self.send_home(p);
        }
    }

    /// More people at work than present: machines stop, the last one first; overtime keeps its people.
    fn send_home(&mut self, p: usize) {
        let mut m = self.machines.len();
        while self.pools[p].busy > self.pools[p].present && m > 0 {
            m -= 1;
            let machine = &mut self.machines[m];
            let needs = crew_needs(machine.spec, machine.down_cause, machine.hands);
            if machine.door == Door::Overtime || !needs.iter().any(|n| n.0 == p) {
                continue;
            }
            machine.settle(self.now);
            self.give_people_back(m);
            self.machines[m].hands = Hands::Awaited;
            self.touch(m);
        }
    }
}

/// The same absences hold for all openings of a shift on one day (breaks do not change who came).
fn shift_day(from: crate::units::Tick) -> crate::units::Tick {
    from / (1440 * crate::units::TICKS_PER_MINUTE)
}

/// What a crew consists of: (pool, thousandths).
fn crew_needs(spec: &crate::plant::Machine, down_cause: usize, crew: Hands) -> &[(usize, u32)] {
    match crew {
        Hands::Changeover => &spec.crew.changeover,
        Hands::Run => &spec.crew.run,
        Hands::Repair => spec
            .breakdowns
            .get(down_cause)
            .map_or(&[], |b| b.crew.as_slice()),
        Hands::Nobody | Hands::Awaited => &[],
    }
}
