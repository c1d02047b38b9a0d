//! The record of a machine in progress: what it is doing, whether it is open, whose hands are on it.
//!
//! Three enums say it all: [`Doing`], [`Door`] and [`Hands`]. The [`State`] that is reported, whether the clock of
//! the work runs and whether the machine is free are derived from them ([`MachineRun::state_now`],
//! [`MachineRun::clock_runs`], [`MachineRun::is_free`]) and never set.

use std::cell::Cell;

use crate::kernel::NEVER;
use crate::model::{Dressing, Job, MachineModel, Model, NONE};
use crate::plant::{Clock, Machine, ShiftEnd};
use crate::random::{Chances, Streams};
use crate::record::State;
use crate::units::{Tick, ticks_from_minutes};

use super::status::{Doing, Door, Hands, Mender, Strength};

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

/// How far a machine is: what it is in the middle of, and the clocks that run with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// What it is doing.
    pub doing: Doing,
    /// Left of that, but for [`Doing::Run`].
    pub left: Tick,
    /// Left of the run.
    pub run_left: Tick,
    /// Running ticks to the next planned stop.
    pub to_stop: Tick,
    /// Running ticks to the next reel change.
    pub to_reel: Tick,
    /// Running ticks to the next micro-stop.
    pub to_micro: Tick,
    /// Running ticks to the first good pouch of the order; `NEVER` where it is made already.
    pub to_first: Tick,
    /// Running ticks until its first good is to be approved; `NEVER` where nobody asks.
    pub to_approval: Tick,
    /// Planned stops still due, the one at the end included.
    pub stops_left: u32,
    /// Micro-stops so far.
    pub micro_count: u64,
    /// Time the present lot has been at its run with the machine open and its people there, planned stops and
    /// micro-stops included.
    pub at_it: Tick,
    /// How long the planned work of the present lot has been worked at.
    pub worked: Tick,
}

impl Default for Progress {
    fn default() -> Self {
        Self {
            doing: Doing::Idle,
            left: 0,
            run_left: 0,
            to_stop: NEVER,
            to_reel: NEVER,
            to_micro: NEVER,
            to_first: NEVER,
            to_approval: NEVER,
            stops_left: 0,
            micro_count: 0,
            at_it: 0,
            worked: 0,
        }
    }
}

/// A machine in progress.
#[derive(Debug, Clone)]
pub struct MachineRun<'a> {
    /// The machine.
    pub plan: &'a MachineModel,
    /// Its description.
    pub spec: &'a Machine,
    /// How far it is with what it is doing, up to [`MachineRun::segment_start`].
    pub progress: Progress,
    /// Whether it is open.
    pub door: Door,
    /// Whose hands are on it.
    pub hands: Hands,
    /// How it stood when it was last looked at without being settled: the instant, and what `Shop::seen` gave.
    pub seen: Cell<(Tick, (Tick, Tick))>,
    /// Chances about it.
    pub chances: Chances,
    /// The state that is being accounted: what [`MachineRun::state_now`] was at the last change.
    pub state: State,
    /// Since when.
    pub since: Tick,
    /// Time accounted so far.
    pub accounted: Tick,
    /// Whether the run crew on it is the whole one.
    pub strength: Strength,
    /// Share of its own speed at which what is left of its run is counted.
    pub pace: f64,
    /// Running ticks that its lot was asked for when it was taken.
    pub asked: Tick,
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
    /// Roll that is mounted.
    pub mounted: u32,
    /// Lots of one family in a row.
    pub in_family: u32,
    /// Its progress is that of this instant.
    pub segment_start: Tick,
    /// When its course ends if nothing comes between, as last told to the event list.
    pub ends: Tick,
    /// What a repair came into, and what was left of it.
    pub after_repair: (Doing, Tick),
    /// SKU and dressing that was approved last on it.
    pub approved: Option<(u32, u16, &'a Dressing)>,
    /// Whole run of the lot.
    pub run_total: Tick,
    /// Other clocks than `run_left` count while it runs.
    pub clocks: bool,
    /// Running ticks between planned stops.
    pub stop_every: Tick,
    /// Length of a planned stop.
    pub stop_length: Tick,
    /// Causes of breakdown.
    pub failures: Vec<FailureClock>,
    /// Web per running tick of the present lot, mm.
    pub mm_per_tick: f64,
    /// Zipper or film left on the reel, mm.
    pub reel_left: f64,
    /// The present lot uses the reel.
    pub uses_reel: bool,
    /// Running ticks between reel changes.
    pub reel_every: Tick,
    /// Length of a reel change.
    pub reel_stop: Tick,
    /// Must be washed by then if reactive adhesive ran in this shift; `NEVER` otherwise.
    pub wash_at: Tick,
    /// Adhesive that stands mixed on it, by its number, and since when.
    pub mixed: Option<(usize, Tick)>,
    /// Reactive adhesive ran since the last wash-up.
    pub dirty: bool,
    /// Web and step it last worked on: a second pass or another web is another job.
    pub last_step: (u32, u16),
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
    /// Its last run.
    pub ran: Ran,
    /// Micro-stops before the present lot.
    pub micro_before: u64,
    /// When the present repair began.
    pub down_since: Tick,
    /// Cause of the present repair.
    pub down_cause: usize,
}

/// The last run of a machine.
#[derive(Debug, Clone, Copy, Default)]
pub struct Ran {
    /// Running ticks.
    pub length: Tick,
    /// When it was over.
    pub until: Tick,
    /// Closed time of the station until then.
    pub closed: Tick,
}

impl<'a> MachineRun<'a> {
    /// Web that the micro-stops of the present lot lose, mm.
    pub fn micro_waste_mm(&self) -> f64 {
        self.spec.micro_stops.as_ref().map_or(0.0, |stops| {
            (self.progress.micro_count - self.micro_before) as f64 * stops.waste_m * 1000.0
        })
    }

    /// A machine at time zero, nothing accounted yet.
    pub fn new(model: &'a Model, m: usize, streams: &Streams) -> Self {
        let machine = &model.machines[m];
        let spec = &model.plant.stations[machine.station].machines[machine.within];
        Self {
            plan: machine,
            spec,
            chances: streams.about(model.keys.machines[m]),
            seen: Cell::new((-1, (0, 0))),
            progress: Progress::default(),
            door: Door::Closed,
            hands: Hands::Nobody,
            state: State::NoWork,
            since: 0,
            accounted: 0,
            strength: Strength::Whole,
            pace: 1.0,
            asked: 0,
            overtime_until: NEVER,
            boundary: NEVER,
            interval: 0,
            calendar_failure: NEVER,
            offer: NONE,
            short_of: 0,
            planned: 0,
            mounted: NONE,
            in_family: 0,
            segment_start: 0,
            ends: NEVER,
            after_repair: (Doing::Idle, 0),
            approved: None,
            run_total: 0,
            clocks: machine.stops,
            stop_every: NEVER,
            stop_length: 0,
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
            reel_every: NEVER,
            reel_stop: 0,
            wash_at: NEVER,
            mixed: None,
            dirty: false,
            last_sku: 0,
            last_step: (NONE, 0),
            start_waste_mm: 0.0,
            lot: NONE,
            dressed: machine.dressed.as_ref(),
            dressed_as: machine.dressed_as,
            last_product: spec.dressed_for.map_or(NONE, |p| p as u32),
            last_line: NONE,
            last_order: NONE,
            last_active: -1,
            ran: Ran::default(),
            micro_before: 0,
            down_since: 0,
            down_cause: 0,
        }
    }

    /// No stop is planned and no reel is counted any more.
    #[inline]
    pub fn clear_clocks(&mut self) {
        (self.progress.to_stop, self.stop_every, self.stop_length) = (NEVER, NEVER, 0);
        (self.progress.to_reel, self.reel_every, self.reel_stop) = (NEVER, NEVER, 0);
        self.progress.stops_left = 0;
        self.uses_reel = false;
        self.clocks = self.plan.stops;
    }

    /// Notes how much is left on the zipper or film reel.
    #[inline]
    pub fn keep_reel(&mut self) {
        if self.uses_reel {
            self.reel_left = (self.progress.to_reel as f64 * self.mm_per_tick).max(0.0);
        }
    }

    /// Notes what the machine is dressed for now.
    #[inline]
    pub fn dress(&mut self, job: &'a Job) {
        self.dressed = Some(&job.dressing);
        self.dressed_as = job.dress + 1;
    }

    /// It has the smaller run crew.
    #[inline(always)]
    pub fn is_short(&self) -> bool {
        self.strength == Strength::Short
    }

    /// What the machine is accounted as: the one place where a state is made of what it is doing, its door and
    /// the hands on it.
    #[inline]
    pub fn state_now(&self) -> State {
        self.state_of(self.progress.doing)
    }

    /// The same if it were doing something else.
    #[inline]
    pub fn state_of(&self, doing: Doing) -> State {
        match (self.door, doing) {
            (Door::Closed, _) => State::OffShift,
            (Door::Maintenance, _) => State::Maintenance,
            // A machine that waits for its fitter is down.
            (_, Doing::Repair | Doing::Rethread) => State::Down,
            _ if self.hands.are_short() => State::WaitPeople,
            (Door::WashUp, _) => State::Changeover,
            (_, Doing::Idle) => State::NoWork,
            (_, Doing::Starved) => State::WaitMaterial,
            (_, Doing::Setup) => State::Changeover,
            (_, Doing::Run) if self.is_short() => State::RunningShort,
            (_, Doing::Run) => State::Running,
            (_, Doing::FirstOff) => State::FirstOff,
            (_, Doing::Stop) => State::PlannedStop,
            (_, Doing::Micro) => State::MicroStop,
            (_, Doing::Blocked) => State::Blocked,
        }
    }

    /// The clock of what it is doing runs: it ends by itself, the machine is open, its people are there.
    #[inline(always)]
    pub fn clock_runs(&self) -> bool {
        let open = self.door.is_open()
            || (self.progress.doing == Doing::Repair
                && (self.door == Door::WashUp || self.mender() == Mender::Service));
        self.progress.doing.is_timed() && open && !self.hands.are_short()
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
        self.progress.doing.is_nothing() && self.door.is_open()
    }

    /// Next of what seldom happens: calendar, end of overtime, wash-up, calendar failure.
    #[inline]
    pub fn next_rare(&self) -> Tick {
        (self.boundary.min(self.overtime_until)).min(self.wash_at.min(self.calendar_failure))
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
