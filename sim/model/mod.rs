//! The compiled cell: dense tables the engine reads and never writes.
//!
//! In: a [`Plant`]. Out: a [`Model`]: machines and stations by small index, opening times as sorted
//! intervals of ticks, and for every product, web, step and machine whether it can be done, what the
//! machine must be dressed for and the law of its run time. No strings are looked at during a run.

mod alike;
mod compile;
mod dressing;
mod facts;
mod hold;
mod job;
mod keys;
mod law;
mod part;
mod plan;
mod settings;
mod typical;
mod wound;

pub use compile::compile;
pub use dressing::{Dressing, MeanMinutes, differing, element_minutes, start_waste_mm};
pub use facts::StreamFacts;
pub use hold::Bonds;
pub use keys::Keys;
pub use law::{Law, PlannedStop};
pub use plan::{Ask, StepPlan, WebPlan, plan_entry, plan_web, rate_caps, start_loss};
pub use wound::Wound;

use std::ops::Range;

use smallvec::SmallVec;

use crate::plant::{
    Element, ElementKind, Interrupt, LotSize, MOST_PASSES, Plant, Rule, ShiftEnd, Work,
};
use crate::random::Dist;
use crate::units::{Tick, minutes_from_ticks};

/// "None" for the `u32` and `u16` indices of the engine.
pub const NONE: u32 = u32::MAX;

/// Everything one replication needs to know; shared by all threads.
#[derive(Debug, Clone)]
pub struct Model {
    /// The description it was compiled from (names, experiment, orders).
    pub plant: Plant,
    /// Stations in floor order.
    pub stations: Vec<StationModel>,
    /// All machines, those of one station side by side.
    pub machines: Vec<MachineModel>,
    /// Opening intervals of every calendar of the plant, ticks.
    pub calendars: Vec<Vec<(Tick, Tick)>>,
    /// Webs of products: the body web of product `p` is `body[p]`, further webs made in the cell follow it.
    pub parts: Vec<PartModel>,
    /// Index of the body web by product.
    pub body: Vec<u32>,
    /// What the chances of machines, stations, streams and pools are keyed by.
    pub keys: Keys,
    /// What is known of each stream of orders before the first one comes.
    pub streams: Vec<StreamFacts>,
    /// Closing instants of each class's promise calendar (one per opening day), ticks.
    pub promise_closings: Vec<Vec<Tick>>,
    /// Dates are worked out for some orders when they are asked for.
    pub quotes: bool,
    /// A laboratory releases rolls of some adhesive.
    pub looks: bool,
    /// End of the warm-up.
    pub warm_up: Tick,
    /// End of the measured time.
    pub measured_end: Tick,
    /// End of the clock.
    pub end: Tick,
    /// Time between two looks at the levels (queues, orders in the cell).
    pub sample_every: Tick,
}

/// Looks at the levels in one replication.
pub const SAMPLES: usize = 240;

/// A station as the engine sees it.
#[derive(Debug, Clone)]
pub struct StationModel {
    /// Its machines.
    pub machines: Range<usize>,
    /// Kind of work.
    pub work: Work,
    /// Criteria of what to take next.
    pub rules: Vec<Rule>,
    /// Longest wait before family rules stop counting, ticks of the station's open time.
    pub family_wait: Tick,
    /// Time to spare below which a lot goes before the family, ticks; `Tick::MIN` for never.
    pub family_slack: Tick,
    /// Most lots of one family in a row.
    pub family_most: u32,
    /// Its machines are not all alike: which one would finish a lot first has to be reckoned.
    pub reckons: bool,
    /// Lot granularity on entry.
    pub lot: LotSize,
    /// Staging places; `u32::MAX` for no limit.
    pub staging: u32,
    /// What better-ranked orders may interrupt.
    pub interrupt: Interrupt,
    /// Bit per [`ElementKind`] that makes a family; 0: the whole dressing.
    pub family: u32,
    /// See [`crate::plant::Policy::split_factor`].
    pub split_factor: Option<f64>,
    /// Planned work that cannot be overtaken any more, ticks; 0 for none.
    pub freeze: Tick,
    /// Some lots may only start while a calendar is open, or on machines not reserved at the time.
    pub timed: bool,
    /// Every lot can go to every machine and the order of the queue never changes while waiting.
    pub sorted_queue: bool,
    /// Some rule needs the planned work of a lot.
    pub needs_plan: bool,
    /// A lot that joins the queue can change something though no machine is free.
    pub restless: bool,
    /// Webs that wait here can become too old for their lamination.
    pub spoils: bool,
    /// Share of lots that have to go back, and the station they go back to.
    pub rework: Option<(f64, usize)>,
}

/// A machine as the engine sees it.
#[derive(Debug, Clone)]
pub struct MachineModel {
    /// Station index.
    pub station: usize,
    /// Number within its station.
    pub within: usize,
    /// Changes of its calendar in time order, the first at the clock's zero: from this instant it is so.
    pub timeline: Vec<(Tick, Presence)>,
    /// Longest opening, ticks.
    pub longest_open: Tick,
    /// End-of-shift rule, overtime in ticks.
    pub shift_end: ShiftEnd,
    /// Elements by kind that apply.
    pub elements: Vec<Element>,
    /// Dressing at time zero.
    pub dressed: Option<Dressing>,
    /// Its number among the dressings of the machine, from 1; 0 for none, `u32::MAX` for one that no job has.
    pub dressed_as: u32,
    /// Mean changeovers by number of dressing, where the machine has elements.
    pub mean_changeover: MeanMinutes,
    /// Mean minutes of the changeover table's times.
    pub table_means: Vec<f64>,
    /// No changeover takes any time.
    pub quick: bool,
    /// Needs no people, not even for repairs.
    pub crewless: bool,
    /// The first good of some starts is to be approved.
    pub approves: bool,
    /// The people of a changeover are those of the run that follows.
    pub one_crew: bool,
    /// A changeover can take time or people.
    pub changes_over: bool,
    /// Some breakdown counts metres of web.
    pub counts_metres: bool,
    /// Breaks down or has micro-stops, so that more than the end of the run can end a stretch of it.
    pub stops: bool,
}

/// What the calendar says of a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Presence {
    /// Open for work.
    Open,
    /// Closed.
    Closed,
    /// In planned maintenance.
    Maintenance,
}

/// One web of a product and its way through the cell.
#[derive(Debug, Clone)]
pub struct PartModel {
    /// Product index.
    pub product: usize,
    /// Body (0) or a further web.
    pub web: u8,
    /// Steps in order.
    pub steps: Vec<StepModel>,
    /// Metres of it for each metre of body web.
    pub length_ratio: f64,
    /// Adhesive of each lamination pass that is made here, in order.
    pub adhesives: SmallVec<[usize; MOST_PASSES]>,
    /// They are not all one adhesive: the holds of earlier passes count beside that of the last one.
    pub mixed: bool,
    /// Longest waits from print to the first pass, and from each pass to the next; `NEVER` for none.
    pub longest: [Tick; 2],
    /// Time from print until the first pass may begin.
    pub dry: Tick,
    /// Index of the step at which further webs join the body: the pouching step.
    pub join: Option<usize>,
    /// How many rolls, reels and lots there are decides what is lost: changes lose web, or lots can be shared out.
    pub counts_rolls: bool,
    /// Lanes on the laminator web.
    pub lanes: u32,
    /// Advance of the body web per pouch, mm.
    pub pitch_mm: f64,
    /// The product has no format: nothing of it is ever web.
    pub piece: bool,
    /// Longest roll the machines on its way take, mm of web; infinite where none of them says.
    pub roll_max_mm: f64,
    /// Caliper of the laminate, µm.
    pub caliper_um: f64,
    /// Material cost of all of it, money per m².
    pub price_per_m2: f64,
    /// Area of one lane-metre of lane, m²; trims and what is not used of the web are beside it.
    pub m2_per_lane_m: f64,
    /// Width of the printed web, mm.
    pub web_mm: f64,
    /// Edge and centre trims across it, mm.
    pub trim_mm: f64,
    /// Weight of all of it, kg per m².
    pub kg_per_m2: f64,
}

/// What a square metre of web weighs and costs.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Worth {
    /// Weight, kg per m².
    pub kg_per_m2: f64,
    /// Material cost, money per m².
    pub price_per_m2: f64,
}

impl PartModel {
    /// What the web is that comes to a step; past the last one what it is in the end.
    pub fn worth_at(&self, step: usize) -> Worth {
        self.steps
            .get(step)
            .map_or(self.worth_lost(step), |step| step.enters)
    }

    /// What the web is that is lost at a step.
    pub fn worth_lost(&self, step: usize) -> Worth {
        let step = self.steps.get(step).or(self.steps.last());
        step.map_or(Worth::default(), |step| step.leaves)
    }

    /// Pieces, not web.
    #[inline]
    pub fn is_piece(&self) -> bool {
        self.piece
    }
}

/// Which hold counts before a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GateKind {
    /// None.
    Open,
    /// Ink or toner is dry enough for the first pass.
    Dry,
    /// May be laminated again: the next pass.
    SecondPass,
    /// May be slit.
    Slit,
    /// May be made into pouches (and anything after).
    Pouch,
}

/// One step of one web.
#[derive(Debug, Clone)]
pub struct StepModel {
    /// Station index.
    pub station: usize,
    /// Hold counted from the last lamination.
    pub gate: GateKind,
    /// This step prints: what dries begins when it ends.
    pub prints: bool,
    /// This step bonds: the cure clock starts when it ends.
    pub bonds: bool,
    /// Lamination passes made before it.
    pub passes: u8,
    /// Adhesive it bonds with.
    pub adhesive: Option<usize>,
    /// Web that comes to it.
    pub enters: Worth,
    /// Web as it is lost and leaves here.
    pub leaves: Worth,
    /// It joins a web that is paid here: `leaves` is more than `enters`.
    pub joins: bool,
    /// This step turns lane-metres into pouches.
    pub makes_pouches: bool,
    /// Lots neither wait for other webs here nor are parted into pouches.
    pub straight: bool,
    /// Every piece that enters leaves, as planned: so do all steps after it.
    pub lossless: bool,
    /// By machine of the station, in order.
    pub jobs: Vec<Job>,
    /// How much the station takes in one go.
    pub lot: LotSize,
    /// Machine of the station, by its number there, that metres are planned on where it can do the step; `None`: the
    /// one that loses most.
    pub plan_on: Option<usize>,
    /// The machine that plans of single lots reckon with: the one that loses most of a kilometre, or the named one.
    pub plan_job: usize,
    /// Changeover to it that dates are worked out with, minutes: the mean over what the streams bring before it; 0
    /// where no date is worked out.
    pub typical_change_min: f64,
}

impl StepModel {
    /// What a pass adds to a square metre.
    pub fn adds(&self) -> Worth {
        Worth {
            kg_per_m2: self.leaves.kg_per_m2 - self.enters.kg_per_m2,
            price_per_m2: self.leaves.price_per_m2 - self.enters.price_per_m2,
        }
    }

    /// How many machines of the station can do it.
    pub fn able_machines(&self) -> u32 {
        self.jobs.iter().filter(|job| job.able).count() as u32
    }
}

/// One step of one web on one machine.
#[derive(Debug, Clone)]
pub struct Job {
    /// The machine can do it.
    pub able: bool,
    /// What the machine must be dressed for.
    pub dressing: Dressing,
    /// Number of that among the dressings of the machine.
    pub dress: u32,
    /// Lanes side by side on this machine.
    pub lanes: u32,
    /// Run-time law.
    pub law: Law,
    /// Web lost at a changeover, mm of web.
    pub start_waste_mm: i64,
    /// Web lost at each change of rolls or reels within a SKU, mm of web.
    pub splice_mm: f64,
    /// Rolls or reels that are mounted side by side and changed together.
    pub at_once: u32,
    /// Reels side by side that leave a machine which parts the web; 0 where it rewinds what it unwinds.
    pub parts_lanes: u32,
    /// Share lost while running (web, or pouches rejected), drawn for each lot.
    pub running_waste: Dist,
    /// Its mean.
    pub mean_waste: f64,
    /// Web between changes of a zipper or film reel, mm, and the length of the change; `None`: no reel.
    pub reel: Option<(f64, Tick)>,
    /// The web leaves this machine slit, so that the slitting step that follows is left out.
    pub slits_inline: bool,
    /// Stop at a further roll of the same SKU, ticks.
    pub roll_change: Tick,
    /// Changeover table row/column (product index) where the machine has a table.
    pub product: usize,
    /// Nothing comes between the start of a run and its end but what happens to the machine: no stop is planned,
    /// nothing is counted along the web, nothing slit beside.
    pub bare: bool,
    /// Some of what is run can be lost while running.
    pub loses: bool,
}

impl Job {
    /// Planned minutes of a run: drawn times at their mean, the stops that are planned in it included.
    pub fn planned_minutes(&self, quantity: i64) -> f64 {
        let stop = self.law.stops(quantity, self.lanes, 0, true);
        let stopped = stop.map_or(0.0, |stop| {
            minutes_from_ticks(stop.length) * f64::from(self.law.sets(quantity, self.lanes, true))
        });
        self.law.minutes(quantity, self.lanes, 0.0) + stopped
    }

    /// Reels that leave a machine which parts the web, of `quantity` lane-millimetres that come to it on `rolls` rolls,
    /// `starts` of a changeover or not; `None` where it rewinds what it unwinds.
    pub fn reels(&self, quantity: i64, rolls: u32, starts: bool) -> Option<u32> {
        match self.parts_lanes {
            0 => None,
            lanes if self.slits_inline => Some(rolls * lanes),
            lanes => Some(self.law.sets(quantity, self.lanes, starts) * lanes),
        }
    }
}

/// Bit of an element kind in [`StationModel::family`].
pub fn family_bit(kind: ElementKind) -> u32 {
    1 << kind as u32
}

impl Model {
    /// Webs of a product that are made in the cell, as indices into `parts`: the body web first.
    #[inline]
    pub fn parts_of(&self, product: usize) -> Range<u32> {
        let end = self.body.get(product + 1).copied();
        self.body[product]..end.unwrap_or(self.parts.len() as u32)
    }

    /// Body web of a product.
    pub fn body_part(&self, product: usize) -> &PartModel {
        &self.parts[self.body[product] as usize]
    }
}
