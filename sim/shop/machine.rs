//! The record of a machine in progress: what it is doing, whether it is open, whose hands are on it.
//!
//! Three enums say it all: [`Doing`], [`Door`] and [`Hands`]. The [`State`] that is reported, whether the clock of
//! the work runs and whether the machine is free are derived from them ([`MachineRun::state_now`],
//! [`MachineRun::clock_runs`], [`MachineRun::is_free`]) and never set.

use crate::kernel::NEVER;
use crate::model::{Dressing, Job, MachineModel, Model, NONE};
use crate::plant::{Clock, Machine, ShiftEnd};
use crate::record::State;
use crate::units::{Tick, ticks_from_minutes, whole_above};

use super::status::{Doing, Door, Hands, Mender};

/// One cause of breakdown on one machine.
#[derive(Debug, Clone, Copy)]
pub struct FailureClock {
    /// Left until the next one: running ticks, millimetres of web, or for a calendar clock the instant.
    pub left: f64,
    /// How many there were.
    pub count: u64,
    /// What it counts.
    pub clock: Clock,
}

/// A machine in progress.
#[derive(Debug, Clone)]
pub struct MachineRun<'a> {
    /// The machine.
    pub plan: &'a MachineModel,
    /// Its description.
    pub spec: &'a Machine,
    /// What it is doing.
    pub doing: Doing,
    /// Whether it is open.
    pub door: Door,
    /// Whose hands are on it.
    pub hands: Hands,
    /// The state that is being accounted: what [`MachineRun::state_now`] was at the last change.
    pub state: State,
    /// Since when.
    pub since: Tick,
    /// End of permitted overtime.
    pub overtime_until: Tick,
    /// Next change of its calendar.
    pub boundary: Tick,
    /// Entry of its timeline that is in force.
    pub interval: usize,
    /// Instant of the next calendar-clock failure.
    pub calendar_failure: Tick,
    /// Lot it would take if its people were there; `NONE` for none.
    pub offer: u32,
    /// Pool it waits for, while it waits for people.
    pub short_of: u16,
    /// Planned work of the present lot from its start: changeover, run and planned stops at their means.
    pub planned: Tick,
    /// How long that has been worked at.
    pub worked: Tick,
    /// Roll that is mounted.
    pub mounted: u32,
    /// Lots of one family in a row.
    pub in_family: u32,
    /// Clocks are settled up to here.
    pub segment_start: Tick,
    /// When the segment ends if nothing comes between, as last told to the event list.
    pub ends: Tick,
    /// Left of what it is doing, but for [`Doing::Run`].
    pub left: Tick,
    /// What a repair came into, and what was left of it.
    pub after_repair: (Doing, Tick),
    /// Left of the run.
    pub run_left: Tick,
    /// Whole run of the lot.
    pub run_total: Tick,
    /// Other clocks than `run_left` count while it runs.
    pub clocks: bool,
    /// Running ticks to the next planned stop.
    pub to_stop: Tick,
    /// Running ticks between planned stops.
    pub stop_every: Tick,
    /// Length of a planned stop.
    pub stop_length: Tick,
    /// Planned stops still due, the one at the end included.
    pub stops_left: u32,
    /// Running ticks to the next micro-stop.
    pub to_micro: Tick,
    /// Micro-stops so far.
    pub micro_count: u64,
    /// Causes of breakdown.
    pub failures: Vec<FailureClock>,
    /// Web per running tick of the present lot, mm.
    pub mm_per_tick: f64,
    /// Zipper or film left on the reel, mm.
    pub reel_left: f64,
    /// The present lot uses the reel.
    pub uses_reel: bool,
    /// Running ticks to the next reel change.
    pub to_reel: Tick,
    /// Running ticks between reel changes.
    pub reel_every: Tick,
    /// Length of a reel change.
    pub reel_stop: Tick,
    /// Must be washed by then if reactive adhesive ran in this shift; `NEVER` otherwise.
    pub wash_at: Tick,
    /// Reactive adhesive ran since the last wash-up.
    pub dirty: bool,
    /// Web and step it last worked on: a second pass or another web is another job.
    pub last_step: (u32, u16),
    /// Running ticks to the first good pouch of the order; `NEVER` where it is made already.
    pub to_first: Tick,
    /// SKU of a gang it last worked on.
    pub last_sku: u16,
    /// Web the present lot loses at its start, mm.
    pub start_waste_mm: f64,
    /// Lot on it.
    pub lot: u32,
    /// What it is dressed for; `None` at first.
    pub dressed: Option<&'a Dressing>,
    /// Its number as in [`MachineModel::dressed_as`].
    pub dressed_as: u32,
    /// Product it last made, for changeover tables.
    pub last_product: u32,
    /// Line it last worked on.
    pub last_line: u32,
    /// Order it last worked on.
    pub last_order: u32,
    /// When it last worked.
    pub last_active: Tick,
    /// When the present repair began.
    pub down_since: Tick,
    /// Cause of the present repair.
    pub down_cause: usize,
    /// Start of the run of the present lot.
    pub run_began: Tick,
    /// Time the present lot has been at its run with the machine open and its people there, planned stops and
    /// micro-stops included.
    pub at_it: Tick,
}

impl<'a> MachineRun<'a> {
    /// A machine at time zero, nothing accounted yet.
    pub fn new(model: &'a Model, m: usize) -> Self {
        let machine = &model.machines[m];
        let spec = &model.plant.stations[machine.station].machines[machine.within];
        Self {
            plan: machine,
            spec,
            doing: Doing::Idle,
            door: Door::Closed,
            hands: Hands::Nobody,
            state: State::NoWork,
            since: 0,
            overtime_until: NEVER,
            boundary: NEVER,
            interval: 0,
            calendar_failure: NEVER,
            offer: NONE,
            short_of: 0,
            planned: 0,
            worked: 0,
            mounted: NONE,
            in_family: 0,
            segment_start: 0,
            ends: NEVER,
            left: 0,
            after_repair: (Doing::Idle, 0),
            run_left: 0,
            run_total: 0,
            clocks: machine.stops,
            to_stop: NEVER,
            stop_every: NEVER,
            stop_length: 0,
            stops_left: 0,
            to_micro: NEVER,
            micro_count: 0,
            failures: spec
                .breakdowns
                .iter()
                .map(|b| FailureClock {
                    left: f64::INFINITY,
                    count: 0,
                    clock: b.clock,
                })
                .collect(),
            mm_per_tick: 0.0,
            reel_left: match &spec.process {
                crate::plant::Process::Pouching(p) => p.zipper_reel_m,
                _ => spec.film_reel_m,
            }
            .map_or(f64::INFINITY, |m| m * 1000.0),
            uses_reel: false,
            to_reel: NEVER,
            reel_every: NEVER,
            reel_stop: 0,
            wash_at: NEVER,
            dirty: false,
            last_sku: 0,
            last_step: (NONE, 0),
            to_first: NEVER,
            start_waste_mm: 0.0,
            lot: NONE,
            dressed: machine.dressed.as_ref(),
            dressed_as: machine.dressed_as,
            last_product: spec.dressed_for.map_or(NONE, |p| p as u32),
            last_line: NONE,
            last_order: NONE,
            last_active: -1,
            down_since: 0,
            down_cause: 0,
            run_began: 0,
            at_it: 0,
        }
    }

    /// No stop is planned and no reel is counted any more.
    #[inline]
    pub fn clear_clocks(&mut self) {
        (self.to_stop, self.stop_every, self.stop_length) = (NEVER, NEVER, 0);
        (self.to_reel, self.reel_every, self.reel_stop) = (NEVER, NEVER, 0);
        self.stops_left = 0;
        self.uses_reel = false;
        self.clocks = self.plan.stops;
    }

    /// Notes how much is left on the zipper or film reel.
    #[inline]
    pub fn keep_reel(&mut self) {
        if self.uses_reel {
            self.reel_left = (self.to_reel as f64 * self.mm_per_tick).max(0.0);
        }
    }

    /// Notes what the machine is dressed for now.
    #[inline]
    pub fn dress(&mut self, job: &'a Job) {
        self.dressed = Some(&job.dressing);
        self.dressed_as = job.dress + 1;
    }

    /// What the machine is accounted as: the one place where a state is made of what it is doing, its door and
    /// the hands on it.
    #[inline]
    pub fn state_now(&self) -> State {
        match (self.door, self.doing) {
            (Door::Closed, _) => State::OffShift,
            (Door::Maintenance, _) => State::Maintenance,
            // A machine that waits for its fitter is down.
            (_, Doing::Repair | Doing::Rethread) => State::Down,
            _ if self.hands == Hands::Awaited => State::WaitPeople,
            (Door::WashUp, _) => State::Changeover,
            (_, Doing::Idle) => State::NoWork,
            (_, Doing::Starved) => State::WaitMaterial,
            (_, Doing::Setup) => State::Changeover,
            (_, Doing::Run) => State::Running,
            (_, Doing::Stop) => State::PlannedStop,
            (_, Doing::Micro) => State::MicroStop,
            (_, Doing::Blocked) => State::Blocked,
        }
    }

    /// The clock of what it is doing runs: it ends by itself, the machine is open, its people are there.
    #[inline(always)]
    pub fn clock_runs(&self) -> bool {
        let open = self.door.is_open()
            || (self.doing == Doing::Repair
                && (self.door == Door::WashUp || self.mender() == Mender::Service));
        self.doing.is_timed() && open && self.hands != Hands::Awaited
    }

    /// Who mends what it has.
    pub fn mender(&self) -> Mender {
        match self.spec.breakdowns.get(self.down_cause) {
            Some(cause) if cause.by_service.is_some() => Mender::Service,
            Some(cause) if !cause.crew.is_empty() => Mender::People,
            _ => Mender::Crew,
        }
    }

    /// It can take a lot.
    #[inline(always)]
    pub fn is_free(&self) -> bool {
        self.doing.is_nothing() && self.door.is_open()
    }

    /// Next of what seldom happens: calendar, end of overtime, wash-up, calendar failure.
    #[inline]
    pub fn next_rare(&self) -> Tick {
        (self.boundary.min(self.overtime_until)).min(self.wash_at.min(self.calendar_failure))
    }

    /// The segment that was to end by now has ended, its clocks being settled.
    #[inline]
    pub fn is_over(&self, now: Tick) -> bool {
        // Metres do not come in whole ticks: the web may be a hair short of the failure.
        self.ends <= now && (!self.plan.counts_metres || self.remaining() <= 0)
    }

    /// The next instant at which something about the machine changes.
    #[inline]
    pub fn next_instant(&mut self) -> Tick {
        let rare = self.next_rare();
        if !self.clock_runs() {
            return rare;
        }
        self.ends = self.segment_start.saturating_add(self.remaining());
        rare.min(self.ends)
    }

    /// What is left of the present segment of the phase from its start, if nothing comes between.
    #[inline]
    fn remaining(&self) -> Tick {
        if self.doing != Doing::Run {
            self.left
        } else if !self.clocks {
            self.run_left
        } else {
            let mut length = self
                .run_left
                .min(self.to_stop)
                .min(self.to_micro)
                .min(self.to_reel)
                .min(self.to_first);
            for failure in &self.failures {
                let left = match failure.clock {
                    Clock::Running => failure.left,
                    Clock::Metres => failure.left / self.mm_per_tick.max(1e-12),
                    Clock::Calendar => continue,
                };
                // A failure never falls on the very tick its segment starts unless it is due.
                length = length.min(whole_above(left));
            }
            length
        }
    }

    /// How long the present lot has been worked at by now.
    pub fn worked_by(&self, now: Tick) -> Tick {
        let counts = self.clock_runs() && !self.is_down_or_stuck();
        self.worked + if counts { now - self.segment_start } else { 0 }
    }

    /// What it is doing takes time that no plan of its work knows of.
    #[inline]
    fn is_down_or_stuck(&self) -> bool {
        matches!(self.doing, Doing::Repair | Doing::Rethread | Doing::Micro)
    }

    /// Takes the time since the last change off every clock that has run. Comes before every change.
    #[inline]
    pub fn settle(&mut self, now: Tick) {
        let passed = now - self.segment_start;
        self.segment_start = now;
        if passed == 0 || !self.clock_runs() {
            return;
        }
        if !self.is_down_or_stuck() {
            self.worked += passed;
        }
        if self.doing != Doing::Run {
            self.left -= passed;
            if matches!(self.doing, Doing::Stop | Doing::Micro) {
                self.at_it += passed;
            }
            return;
        }
        self.run_left -= passed;
        self.at_it += passed;
        if self.clocks {
            if self.to_stop != NEVER {
                self.to_stop -= passed;
            }
            if self.to_reel != NEVER {
                self.to_reel -= passed;
            }
            if self.to_first != NEVER {
                self.to_first -= passed;
            }
            if self.to_micro != NEVER {
                self.to_micro -= passed;
            }
            for failure in &mut self.failures {
                match failure.clock {
                    Clock::Running => failure.left -= passed as f64,
                    Clock::Metres => failure.left -= passed as f64 * self.mm_per_tick,
                    Clock::Calendar => {}
                }
            }
        }
    }

    /// What a cause of breakdown counts.
    pub fn clock_of(&self, cause: usize) -> Clock {
        self.failures[cause].clock
    }
}

/// Longest permitted overtime of a rule, ticks.
pub fn overtime_of(rule: ShiftEnd) -> Tick {
    match rule {
        ShiftEnd::FinishLot(minutes) | ShiftEnd::FinishOrder(minutes) => {
            ticks_from_minutes(minutes)
        }
        ShiftEnd::Pause | ShiftEnd::NoLateStart => 0,
    }
}
