//! Opening and closing of machines, overtime; people coming and going.

use crate::kernel::NEVER;
use crate::model::Presence;
use crate::plant::ShiftEnd;
use crate::random::Source;
use crate::record::{Observe, State};

use super::Shop;
use super::state::{Phase, overtime_of};

/// Which crew a machine holds or wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CrewFor {
    Nobody = 0,
    Changeover = 1,
    Run = 2,
    Repair = 3,
}

/// What a machine that is at work, or idle, or blocked is doing in each [`Phase`].
const STATE_IN: [State; 7] = [
    State::NoWork,
    State::Changeover,
    State::Running,
    State::PlannedStop,
    State::MicroStop,
    State::Down,
    State::Blocked,
];

impl<O: Observe> Shop<'_, O> {
    /// First state of a machine at the clock's zero.
    pub(super) fn start_clock_of_machine(&mut self, m: usize) {
        self.draw_first_failures(m);
        let timeline = &self.machines[m].plan.timeline;
        let presence = timeline.first().map_or(Presence::Open, |t| t.1);
        let machine = &mut self.machines[m];
        machine.boundary = timeline.get(1).map_or(NEVER, |t| t.0);
        machine.state = match presence {
            Presence::Open => State::NoWork,
            Presence::Closed => State::OffShift,
            Presence::Maintenance => State::Maintenance,
        };
        if presence == Presence::Open {
            machine.on_shift = true;
            self.station_opens(self.machines[m].plan.station);
            self.set_idle(m, true);
            self.plan_wash_up(m);
        }
        self.retime(m);
    }

    /// The calendar of a machine says something new.
    pub(super) fn calendar_change(&mut self, m: usize) {
        let timeline = &self.machines[m].plan.timeline;
        let machine = &mut self.machines[m];
        machine.interval += 1;
        machine.boundary = timeline.get(machine.interval + 1).map_or(NEVER, |t| t.0);
        match timeline[machine.interval].1 {
            Presence::Open => {
                machine.on_shift = true;
                if machine.overtime {
                    machine.overtime = false;
                    machine.overtime_until = NEVER;
                    self.back_from_overtime = true;
                } else {
                    self.open_machine(m);
                }
            }
            presence => {
                let was_open = std::mem::replace(&mut machine.on_shift, false);
                let rule = self.machines[m].plan.shift_end;
                let finishing = matches!(rule, ShiftEnd::FinishLot(_) | ShiftEnd::FinishOrder(_));
                let machine = &mut self.machines[m];
                // Overtime is for a lot: a repair without one, or of a machine that is blocked, waits for tomorrow.
                let mended = match machine.phase {
                    Phase::Repair => machine.after_repair.0,
                    phase => phase,
                };
                let at_work = machine.working && !matches!(mended, Phase::Idle | Phase::Blocked);
                if was_open && finishing && at_work && presence == Presence::Closed {
                    machine.overtime = true;
                    machine.overtime_until = self.now + overtime_of(rule);
                } else if was_open || machine.overtime {
                    self.close_machine(m, presence);
                } else {
                    self.set_state(m, closed_state(presence));
                }
            }
        }
    }

    fn open_machine(&mut self, m: usize) {
        self.plan_wash_up(m);
        self.station_opens(self.machines[m].plan.station);
        match self.machines[m].phase {
            Phase::Idle => {
                self.set_state(m, State::NoWork);
                self.set_idle(m, true);
            }
            Phase::Blocked => self.set_state(m, State::Blocked),
            _ => {
                self.warm_again(m);
                self.resume(m);
            }
        }
    }

    /// Stops whatever the machine does; its clocks stand until it opens again.
    pub(super) fn close_machine(&mut self, m: usize, presence: Presence) {
        self.set_state(m, closed_state(presence));
        let machine = &mut self.machines[m];
        machine.working = false;
        machine.washing = false;
        machine.wants_people = false;
        machine.overtime = false;
        machine.wash_at = NEVER;
        machine.overtime_until = NEVER;
        machine.people_since = NEVER;
        if machine.phase != Phase::Idle
            && machine.phase != Phase::Blocked
            && machine.last_active < self.now
        {
            machine.last_active = self.now;
        }
        self.give_people_back(m);
        self.set_idle(m, false);
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
        if !self.machines[m].plan.crewless && !self.finds_people(m) {
            return self.wait_for_people(m);
        }
        let now = self.now;
        let machine = &mut self.machines[m];
        machine.wants_people = false;
        // A blocked machine waits for room, not for a time.
        machine.working = !matches!(machine.phase, Phase::Idle | Phase::Blocked);
        machine.segment_start = now;
        let state = STATE_IN[machine.phase as usize];
        if machine.since == now {
            machine.state = state;
        } else {
            self.set_state(m, state);
        }
        self.retime(m);
    }

    /// Takes the people of the phase a machine is in; false where they are missing.
    fn finds_people(&mut self, m: usize) -> bool {
        let crew = match self.machines[m].phase {
            Phase::Setup => CrewFor::Changeover,
            Phase::Run | Phase::Stop | Phase::Micro => CrewFor::Run,
            Phase::Repair if self.needs_fitters(m) => CrewFor::Repair,
            Phase::Idle | Phase::Repair | Phase::Blocked => CrewFor::Nobody,
        };
        self.take_people(m, crew)
    }

    fn wait_for_people(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        machine.working = false;
        machine.wants_people = true;
        // A machine that waits for its fitter is down.
        let down = machine.phase == Phase::Repair;
        self.set_state(m, if down { State::Down } else { State::WaitPeople });
        self.retime(m);
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
    pub(super) fn take_people(&mut self, m: usize, crew: CrewFor) -> bool {
        if self.machines[m].plan.crewless || self.machines[m].holds_people == crew as u8 {
            return true;
        }
        self.give_people_back(m);
        if crew == CrewFor::Nobody {
            return true;
        }
        let needs = crew_needs(
            self.machines[m].spec,
            self.machines[m].down_cause,
            crew as u8,
        );
        // In overtime the people of the shift stay with their machine though the shift is over.
        let stay = self.machines[m].overtime;
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
        self.machines[m].holds_people = crew as u8;
        true
    }

    /// Whether the first phase of a lot would find its people if the machine gave back those it holds.
    pub(super) fn people_would_fit(&self, m: usize, lot: u32) -> bool {
        if self.machines[m].plan.crewless {
            return true;
        }
        let cause = self.machines[m].down_cause;
        let held = crew_needs(self.machines[m].spec, cause, self.machines[m].holds_people);
        let crew = self.crew_for_start(m, lot);
        crew_needs(self.machines[m].spec, cause, crew as u8)
            .iter()
            .all(|&(pool, need)| {
                let back: u32 = held.iter().filter(|h| h.0 == pool).map(|h| h.1).sum();
                self.pools[pool].busy - back + need <= self.pools[pool].present
            })
    }

    #[inline]
    pub(super) fn give_people_back(&mut self, m: usize) {
        let held = std::mem::replace(&mut self.machines[m].holds_people, CrewFor::Nobody as u8);
        if held == CrewFor::Nobody as u8 {
            return;
        }
        let needs = crew_needs(self.machines[m].spec, self.machines[m].down_cause, held);
        self.people_free |= !needs.is_empty();
        for &(pool, need) in needs {
            self.pools[pool].busy -= need;
        }
    }

    /// People came free: held-up machines go on first, the others look for work.
    pub(super) fn wake_waiting_for_people(&mut self) {
        for m in 0..self.machines.len() {
            if self.machines[m].wants_people {
                self.resume(m);
            } else if self.machines[m].people_since != NEVER {
                self.dirty |= 1 << self.machines[m].plan.station;
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
            let machine = &self.machines[m];
            let needs = crew_needs(
                self.machines[m].spec,
                machine.down_cause,
                machine.holds_people,
            );
            if machine.overtime || !needs.iter().any(|n| n.0 == p) {
                continue;
            }
            if machine.working {
                self.machines[m].settle(self.now);
                self.machines[m].working = false;
            }
            self.give_people_back(m);
            self.machines[m].wants_people = !self.machines[m].washing;
            let down = self.machines[m].phase == Phase::Repair;
            self.set_state(m, if down { State::Down } else { State::WaitPeople });
            self.retime(m);
        }
    }
}

/// The same absences hold for all openings of a shift on one day (breaks do not change who came).
fn shift_day(from: crate::units::Tick) -> crate::units::Tick {
    from / (1440 * crate::units::TICKS_PER_MINUTE)
}

fn closed_state(presence: Presence) -> State {
    if presence == Presence::Maintenance {
        State::Maintenance
    } else {
        State::OffShift
    }
}

/// What a crew consists of: (pool, thousandths).
fn crew_needs(spec: &crate::plant::Machine, down_cause: usize, crew: u8) -> &[(usize, u32)] {
    match crew {
        1 => &spec.crew.changeover,
        2 => &spec.crew.run,
        3 => spec
            .breakdowns
            .get(down_cause)
            .map_or(&[], |b| b.crew.as_slice()),
        _ => &[],
    }
}
