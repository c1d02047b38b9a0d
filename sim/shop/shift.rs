//! Opening and closing of machines, overtime; people coming and going.

use crate::kernel::NEVER;
use crate::model::{NONE, Presence};
use crate::plant::ShiftEnd;
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
        self.settle(m);
        let timeline = &self.machines[m].plan.timeline;
        let machine = &mut self.machines[m];
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
                let mended = match machine.progress.doing {
                    Doing::Repair | Doing::Rethread => machine.after_repair.0,
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
        if self.machines[m].progress.doing.is_timed() {
            self.warm_again(m);
            // At an opening nobody is on a machine yet: all of them are looked at together.
            if self.needs(m, self.crew_of(m)).is_empty() {
                self.resume(m);
            } else {
                self.settle(m);
                self.ask_for_people(m);
                self.touch(m);
            }
        } else {
            self.touch(m);
        }
    }

    /// Stops whatever the machine does; its clocks stand until it opens again.
    pub(super) fn close_machine(&mut self, m: usize, door: Door) {
        self.settle(m);
        let now = self.now;
        let machine = &mut self.machines[m];
        machine.door = door;
        machine.wash_at = NEVER;
        machine.overtime_until = NEVER;
        machine.offer = NONE;
        if machine.progress.doing == Doing::Starved {
            machine.progress.doing = Doing::Idle;
        }
        if machine.progress.doing.is_timed() && machine.last_active < now {
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

    /// Goes on with what a machine is in the middle of: who is on it stays, if that is the crew it needs; otherwise
    /// its people are asked for.
    #[inline(always)]
    pub(super) fn resume(&mut self, m: usize) {
        self.settle(m);
        let machine = &self.machines[m];
        if machine.door.is_open() && !machine.plan.crewless {
            let crew = self.crew_of(m);
            if !self.take_people(m, crew) {
                self.ask_for_people(m);
            }
        }
        self.touch(m);
    }

    /// A machine stands until people are given to it.
    pub(super) fn ask_for_people(&mut self, m: usize) {
        // Those who wait on it for others stay on it.
        if self.machines[m].hands != Hands::Joined {
            self.machines[m].hands = Hands::Awaited;
        }
        self.people_asked = true;
    }

    /// Machines have gone from overtime into their next opening: their people count again.
    pub(super) fn count_people_again(&mut self) {
        self.back_from_overtime = false;
        for p in 0..self.pools.len() {
            self.send_home(p);
        }
    }
}
