//! A lot on a machine: changeover, run, stops, breakdowns, hand-over.

use crate::kernel::NEVER;
use crate::model::{Job, NONE};
use crate::plant::{Interrupt, ShiftEnd};
use crate::record::{LotEvent, Observe};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::audit::Must;
use super::course::Turn;
use super::machine::Ran;
use super::state::{Doing, Door, Hands, Lot, MachineRun};

impl<O: Observe> Shop<'_, O> {
    /// Something about a machine is due: its segment ends, its calendar changes, or overtime is over.
    #[inline]
    pub(super) fn machine_event(&mut self, m: usize) {
        let now = self.now;
        let machine = &self.machines[m];
        if machine.clock_runs() && machine.ends <= now {
            self.catch_up(m);
            self.follow(m);
        } else {
            self.settle(m);
        }
        if self.machines[m].next_rare() <= now {
            self.rare_event(m);
        }
        self.untimed.add(m);
    }

    /// Wash-up, calendar, overtime and calendar failures of a machine, whichever are due.
    fn rare_event(&mut self, m: usize) {
        if self.machines[m].wash_at <= self.now {
            self.begin_wash_up(m);
        }
        if self.machines[m].boundary <= self.now {
            self.calendar_change(m);
        }
        if self.machines[m].overtime_until <= self.now && self.machines[m].door == Door::Overtime {
            self.close_machine(m, Door::Closed);
        }
        if self.machines[m].calendar_failure <= self.now {
            self.calendar_failure(m);
        }
    }

    /// What follows the course that has just ended.
    #[inline]
    pub(super) fn follow(&mut self, m: usize) {
        match self.course_over(m) {
            Turn::On => self.resume(m),
            Turn::Run => {
                self.machines[m].progress.doing = Doing::Run;
                self.resume(m);
            }
            Turn::Through => self.lot_through(m),
            Turn::Breaks(cause) => self.breaks_down(m, cause),
            Turn::Mended => self.repaired(m),
            Turn::Threaded => self.goes_on(m),
            Turn::Asks => self.ask_for_approval(m),
            Turn::Approved => self.approve(m),
        }
    }

    /// A repair is over: the web is threaded again by the people that run the machine.
    fn repaired(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        let rethread = machine.spec.breakdowns[machine.down_cause].rethread_min;
        let threaded = !machine.after_repair.0.is_nothing();
        if rethread > 0.0 && threaded {
            machine.progress.doing = Doing::Rethread;
            machine.progress.left = ticks_from_minutes(rethread).max(0);
            self.resume(m);
        } else {
            self.goes_on(m);
        }
    }

    /// A machine that was down goes on with what it was doing.
    fn goes_on(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        (machine.progress.doing, machine.progress.left) = machine.after_repair;
        let stood = self.now - machine.down_since;
        let threaded = matches!(machine.progress.doing, Doing::Run | Doing::FirstOff);
        if threaded && self.outlasts_pot_life(m, stood) {
            self.unplanned_wash_up(m);
        }
        if self.machines[m].progress.doing.is_timed() {
            self.resume(m);
        } else {
            self.give_people_back(m);
            self.touch(m);
        }
    }

    /// A lot that is on a machine at the clock's zero: dressed for it, `left_min` of its run to go.
    pub(super) fn place_on(&mut self, within: usize, lot: u32, left_min: f64) {
        let m = self.model.stations[self.station_of(lot)].machines.start + within;
        if self.machines[m].lot != NONE {
            // Two lots cannot be on one machine: the second waits for it.
            self.enter_step(lot);
            return;
        }
        let record = self.lots[lot];
        let job = self.job(m, lot);
        let machine = &mut self.machines[m];
        machine.dress(job);
        (machine.last_line, machine.last_sku) = (record.uid, record.sku);
        machine.last_step = (record.part, record.step);
        machine.mounted = record.wound.loads(job.at_once).0;
        self.start(m, lot);
        // What is told to be left has its doffs and changes of rolls in it.
        let machine = &mut self.machines[m];
        machine.progress.run_left = ticks_from_minutes(left_min / machine.pace).max(0);
        machine.asked = machine.progress.run_left;
        (machine.progress.to_stop, machine.progress.stops_left) = (NEVER, 0);
        if !machine.uses_reel {
            machine.progress.to_reel = NEVER;
        }
        if !self.machines[m].door.is_open() {
            self.give_people_back(m);
            self.machines[m].last_active = self.now;
            self.touch(m);
        }
    }

    /// Puts a lot on a machine whose people are there.
    #[inline]
    pub(super) fn start(&mut self, m: usize, lot: u32) {
        let machine = &mut self.machines[m];
        let plan = machine.plan;
        let lots = i64::from(machine.lot != NONE);
        self.counts
            .audit
            .equal(Must::OneLot, self.now, None, lots, 0);
        let since = std::mem::replace(&mut machine.since, self.now);
        machine.accounted += self.now - since;
        if since != self.now {
            self.watch.state(m, machine.state, since, self.now, None);
        }
        self.tell(lot, LotEvent::Taken(m));
        let record = &self.lots[lot];
        let job = record.job(plan);
        let continues = continues(&self.machines[m], record);
        let planned = self.planned_at_start(m, lot);
        self.count_family(m, lot);
        let record = &self.lots[lot];
        let run = ticks_from_minutes(self.run_minutes(job, record)).max(0);
        let piece = record.web.is_piece();
        let washed = self.wash_out_set(m, lot);
        let (setup, start_waste_mm) = if continues || (plan.quick && piece) {
            // Pieces lose no web.
            (0, 0.0)
        } else {
            self.set_up_for(m, lot)
        };
        let record = &mut self.lots[lot];
        let machine = &mut self.machines[m];
        if machine.clocks {
            machine.clear_clocks();
        }
        machine.lot = lot;
        machine.micro_before = machine.progress.micro_count;
        machine.start_waste_mm = start_waste_mm;
        machine.progress.run_left = run;
        machine.run_total = run;
        machine.pace = 1.0;
        if !job.bare {
            plan_stops(machine, record, job);
        }
        let resumed = record.left.take();
        let remounts = mount(machine, record, job, resumed.is_some(), continues);
        machine.progress.at_it = 0;
        if resumed.is_none() && !piece && job_makes_pouches(record) {
            record.pouching_run = 0;
        }
        if let Some(left) = resumed {
            machine.progress.run_left = left.ticks(run);
            machine.progress.stops_left = machine.progress.stops_left.min(left.stops);
        }
        (machine.planned, machine.progress.worked) = (planned, 0);
        machine.asked = machine.progress.run_left;
        // From here on the machine is on this SKU, whether or not the lot is finished in one go.
        machine.last_line = record.uid;
        machine.last_order = record.order;
        machine.last_sku = record.sku;
        machine.last_step = (record.part, record.step);
        let remount = if continues && remounts {
            job.roll_change
        } else {
            0
        };
        (machine.progress.doing, machine.progress.left) = begins_with(washed, setup, remount);
        machine.segment_start = self.now;
        if !job.bare {
            self.await_first_pouch(m);
        }
        if self.machines[m].spec.first_off.is_some() {
            self.plan_first_off(m, continues);
        }
        self.machines[m].keep_pace();
        self.resume(m);
    }

    /// Planned work of a lot that a machine takes, where anybody asks when it would be through.
    fn planned_at_start(&self, m: usize, lot: u32) -> Tick {
        let station = self.stations[self.machines[m].plan.station].plan;
        if station.reckons || station.interrupt == Interrupt::AtOnce || self.model.quotes {
            self.planned_work(m, lot, 0)
        } else {
            0
        }
    }

    /// Counts the lots of one family that a machine takes in a row.
    fn count_family(&mut self, m: usize, lot: u32) {
        let plan = self.stations[self.machines[m].plan.station].plan;
        if plan.family_most != u32::MAX {
            let same = self.is_same_family(plan, m, lot);
            let machine = &mut self.machines[m];
            machine.in_family = if same { machine.in_family + 1 } else { 1 };
        }
    }

    /// Ticks of the changeover to a lot, and the web that its start loses, mm.
    #[inline]
    fn set_up_for(&mut self, m: usize, lot: u32) -> (Tick, f64) {
        let setup = if self.machines[m].plan.quick {
            0
        } else {
            self.changeover(m, lot)
        };
        let waste = if self.lots[lot].web.is_piece() {
            0.0
        } else {
            self.start_waste_mm(m, lot)
        };
        (setup, waste)
    }

    /// The lot is a further one of the SKU the machine is on.
    #[inline]
    pub(super) fn continues(&self, m: usize, lot: u32) -> bool {
        continues(&self.machines[m], &self.lots[lot])
    }

    /// The crew that the first phase of a lot needs.
    #[inline]
    pub(super) fn crew_for_start(&self, m: usize, lot: u32) -> Hands {
        let plan = self.machines[m].plan;
        // A changeover that takes no time needs nobody: what starts is the run.
        let quick = self.continues(m, lot) || !plan.changes_over || plan.quick;
        if quick && self.set_adhesive_min(m) == 0.0 {
            Hands::Run
        } else {
            Hands::Changeover
        }
    }

    /// Where a run makes the first pouches of an order, the instant of the first good one is waited for.
    fn await_first_pouch(&mut self, m: usize) {
        let lot = self.machines[m].lot;
        if self.lots[lot].at.is_some_and(|step| step.makes_pouches) {
            let job = self.job(m, lot);
            let machine = &self.machines[m];
            let start = machine.start_waste_mm / machine.mm_per_tick;
            let cycle = job.law.minutes(
                (job.law.pitch_mm() * f64::from(job.lanes)) as i64,
                job.lanes,
                0.0,
            );
            // A lot whose web is all lost at the start yields nothing before its run is over.
            let wait = (start as Tick)
                .saturating_add(ticks_from_minutes(cycle))
                .min(machine.progress.run_left);
            let order = self.lots[lot].order;
            if self.orders[order].first_pouch == NEVER {
                self.machines[m].progress.to_first = wait;
            }
        }
    }

    /// The run of a lot is over: what is lost is booked, and the lot handed on.
    #[inline]
    pub(super) fn lot_through(&mut self, m: usize) {
        self.account(m);
        let lot = self.machines[m].lot;
        let record = &self.lots[lot];
        let job = record.job(self.machines[m].plan);
        // Pouches and pieces that nothing is lost of pass as they are.
        if job.loses || !record.pouches {
            self.book_output(m, lot);
        }
        self.lots[lot].asked += self.machines[m].asked;
        self.leaves_mixed(m);
        let record = &self.lots[lot];
        let reactive = self.runs_reactive(lot);
        let uid = record.uid;
        let now = self.now;
        let closed = self.stations[self.machines[m].plan.station].closed_at(now);
        let machine = &mut self.machines[m];
        machine.ran = Ran {
            length: machine.run_total,
            until: now,
            closed,
        };
        machine.keep_reel();
        machine.dress(job);
        machine.last_product = job.product as u32;
        machine.last_line = uid;
        machine.last_active = now;
        machine.progress.to_first = NEVER;
        machine.dirty |= reactive;
        let plan = machine.plan;
        self.tell(lot, LotEvent::Left(m));
        if !plan.crewless {
            self.give_people_back(m);
        }
        if self.stations[plan.station].plan.rework.is_some()
            && let Some(step) = self.goes_back(plan.station, lot)
        {
            self.send_back(m, lot, step);
            return;
        }
        // The machine gives its lot away only where there is room for it.
        self.hand_over(m, lot);
    }

    /// A lot has to go back to a step.
    fn send_back(&mut self, m: usize, lot: u32, step: u16) {
        let to = self.lots[lot].web.steps[usize::from(step)].station;
        self.tell(lot, LotEvent::SentBack(to));
        self.counts.sent_back += 1;
        let record = &mut self.lots[lot];
        record.backs += 1;
        record.set_step(step);
        self.free(m);
        self.enter_step(lot);
    }

    /// Gives the finished lot of a machine away, or blocks the machine.
    #[inline]
    pub(super) fn hand_over(&mut self, m: usize, lot: u32) {
        let failed = matches!(
            self.machines[m].progress.doing,
            Doing::Repair | Doing::Rethread
        );
        if self.hand_on(m, lot) {
            if failed {
                // The machine failed while it stood blocked: its lot goes, the repair goes on.
                self.machines[m].lot = NONE;
                self.machines[m].after_repair = (Doing::Idle, 0);
            } else {
                self.free(m);
            }
        } else if !failed {
            self.machines[m].progress.doing = Doing::Blocked;
            self.touch(m);
            self.leave_overtime(m);
        }
    }

    /// Room downstream: a blocked machine gives its lot away.
    pub(super) fn unblock(&mut self, m: usize) {
        self.account(m);
        let lot = self.machines[m].lot;
        self.hand_over(m, lot);
    }

    /// The lot of a machine is gone, and no other one on it yet.
    #[inline]
    pub(super) fn free(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        machine.lot = NONE;
        machine.progress.doing = Doing::Idle;
        let stays = machine.door != Door::Overtime
            || (matches!(machine.plan.shift_end, ShiftEnd::FinishOrder(_))
                && self.same_line_waits(m));
        if stays {
            self.touch(m);
        } else {
            self.close_machine(m, Door::Closed);
        }
    }

    #[inline]
    pub(super) fn leave_overtime(&mut self, m: usize) {
        if self.machines[m].door == Door::Overtime {
            self.close_machine(m, Door::Closed);
        }
    }

    pub(super) fn same_line_waits(&self, m: usize) -> bool {
        let station = self.machines[m].plan.station;
        let line = self.machines[m].last_line;
        let run = &self.stations[station];
        let mut lots = run.queue.iter().copied().chain(run.sorted.lots());
        lots.any(|lot| self.lots[lot].uid == line)
    }
}

/// The step a lot is at makes pouches of web.
#[inline]
fn job_makes_pouches(record: &Lot<'_>) -> bool {
    record.at.is_some_and(|step| step.makes_pouches)
}

/// A lot is a further one of the SKU that a machine is on.
#[inline(always)]
fn continues(machine: &MachineRun<'_>, record: &Lot<'_>) -> bool {
    record.uid == machine.last_line
        && record.sku == machine.last_sku
        && (record.part, record.step) == machine.last_step
}

/// The loads of a lot are mounted one after the other, and what their changes lose is lost; whether its first one has
/// to be mounted now. `goes_on`: with a lot that was put down before.
fn mount(
    machine: &mut MachineRun<'_>,
    record: &mut Lot<'_>,
    job: &Job,
    goes_on: bool,
    continues: bool,
) -> bool {
    let (first, last) = record.wound.loads(job.at_once);
    let mounted = std::mem::replace(&mut machine.mounted, last);
    if goes_on {
        // It is not known which of its loads it was put down with.
        return mounted.wrapping_sub(first) > last.wrapping_sub(first);
    }
    let remounts = mounted != first;
    if !record.pouches {
        // Every change of rolls or reels loses its splice, the one between two lots of a SKU as well.
        let changes = last.wrapping_sub(first) + u32::from(continues && remounts);
        record.extra_waste_mm += f64::from(changes) * job.splice_mm;
    }
    remounts
}

/// What a machine begins a lot with, and for how long: a wash-up with what follows it, a roll change, a changeover, or
/// at once the run.
fn begins_with(washed: Tick, setup: Tick, remount: Tick) -> (Doing, Tick) {
    if washed > 0 {
        (Doing::Setup, washed + setup + remount)
    } else if remount > 0 {
        (Doing::Stop, remount)
    } else if setup > 0 {
        (Doing::Setup, setup)
    } else {
        (Doing::Run, 0)
    }
}

/// Plans the stops of a run: sets taken off, reels and rolls changed.
fn plan_stops(machine: &mut MachineRun<'_>, record: &Lot<'_>, job: &Job) {
    let (quantity, lanes, run) = (record.quantity, job.lanes, machine.progress.run_left);
    machine.mm_per_tick = quantity as f64 / f64::from(lanes) / run.max(1) as f64;
    let rolls = Tick::from(record.wound.changes(job.at_once) + 1);
    let between = if rolls > 1 { run / rolls + 1 } else { NEVER };
    let starts = machine.start_waste_mm > 0.0;
    let planned = job.law.stops(quantity, lanes, run, starts);
    if let Some(stop) = planned {
        machine.stop_every = stop.every.max(1);
        machine.progress.to_stop = machine.stop_every;
        machine.stop_length = stop.length;
        machine.progress.stops_left = job.law.sets(quantity, lanes, starts);
    } else if rolls > 1 && job.roll_change > 0 && !record.pouches {
        // Rolls gathered to one lot: a change between each two, evenly spread.
        machine.stop_every = between;
        machine.progress.to_stop = between;
        machine.stop_length = job.roll_change;
    }
    if let Some((reel_mm, reel_stop)) = job.reel {
        machine.uses_reel = true;
        machine.reel_every = ((reel_mm / machine.mm_per_tick) as Tick).max(1);
        machine.progress.to_reel = ((machine.reel_left / machine.mm_per_tick) as Tick).max(1);
        machine.reel_stop = reel_stop;
    } else if planned.is_some() && rolls > 1 && job.roll_change > 0 {
        machine.reel_every = between;
        machine.progress.to_reel = between;
        machine.reel_stop = job.roll_change;
    }
    machine.clocks |= machine.progress.to_stop != NEVER || machine.progress.to_reel != NEVER;
}
