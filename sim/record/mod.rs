//! The seam between the floor and everything that looks at it.
//!
//! The engine calls an [`Observe`]; it never learns who listens. Out of it come machine states, lot
//! events and finished orders. Times are ticks since the clock's zero.

mod listeners;
mod web;

pub use listeners::Nobody;
pub use web::{Lost, WebOf};

use crate::units::Tick;

/// What a machine is doing; at each instant exactly one of these.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum State {
    /// Closed by its calendar.
    OffShift = 0,
    /// Planned maintenance.
    Maintenance,
    /// Open, ready, nothing to do.
    NoWork,
    /// Open, work is there, people are not.
    WaitPeople,
    /// Open, the web is there, something that goes with it is not.
    WaitMaterial,
    /// Changing over.
    Changeover,
    /// Running.
    Running,
    /// Stopped for a roll, reel, zipper change or doff.
    PlannedStop,
    /// Done, but no room downstream.
    Blocked,
    /// Under repair.
    Down,
    /// A short stop.
    MicroStop,
    /// Standing while the first good metres or pouches of a start are looked at.
    FirstOff,
    /// Running with a smaller crew, slower.
    RunningShort,
}

/// Number of [`State`]s.
pub const STATES: usize = 13;

/// All states in order.
pub const ALL_STATES: [State; STATES] = [
    State::OffShift,
    State::Maintenance,
    State::NoWork,
    State::WaitPeople,
    State::WaitMaterial,
    State::Changeover,
    State::Running,
    State::PlannedStop,
    State::Blocked,
    State::Down,
    State::MicroStop,
    State::FirstOff,
    State::RunningShort,
];

impl State {
    /// Key used in files.
    pub fn key(self) -> &'static str {
        match self {
            State::OffShift => "off_shift",
            State::Maintenance => "maintenance",
            State::NoWork => "no_work",
            State::WaitPeople => "wait_people",
            State::WaitMaterial => "wait_material",
            State::Changeover => "changeover",
            State::Running => "running",
            State::PlannedStop => "planned_stop",
            State::Blocked => "blocked",
            State::Down => "down",
            State::MicroStop => "micro_stop",
            State::FirstOff => "first_off",
            State::RunningShort => "running_short",
        }
    }

    /// Words for people.
    pub fn label(self) -> &'static str {
        match self {
            State::OffShift => "off shift",
            State::Maintenance => "maintenance",
            State::NoWork => "no work",
            State::WaitPeople => "waiting for people",
            State::WaitMaterial => "waiting for material",
            State::Changeover => "changing over",
            State::Running => "running",
            State::PlannedStop => "roll, reel or doff",
            State::Blocked => "blocked",
            State::Down => "down",
            State::MicroStop => "micro-stop",
            State::FirstOff => "first-off approval",
            State::RunningShort => "running with a smaller crew",
        }
    }
}

/// Where an order's time goes besides the queue of each station.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum Spent {
    /// A machine changes over for it.
    Changeover = 0,
    /// It runs.
    Running,
    /// Roll, reel, zipper changes and doffs during its run.
    PlannedStop,
    /// Held for cure or cooling.
    Cure,
    /// Waiting while everything that could take it is off shift, or paused on a machine over the shift's end.
    OffShift,
    /// Waiting for people.
    People,
    /// On a machine that cannot hand it on, or before a full room.
    Blocked,
    /// On a machine that is down or in a micro-stop.
    Down,
    /// Waiting for another web, for a material, or for the rest of its own rolls.
    OtherWebs,
    /// Waiting outside the cell for its release.
    Release,
    /// On a machine that stands until its first good is approved, or held until a laboratory releases it.
    Approval,
}

/// Number of [`Spent`] kinds; an order's split has one entry per station's queue and then these.
pub const SPENT: usize = 11;

/// All kinds in order.
pub const ALL_SPENT: [Spent; SPENT] = [
    Spent::Changeover,
    Spent::Running,
    Spent::PlannedStop,
    Spent::Cure,
    Spent::OffShift,
    Spent::People,
    Spent::Blocked,
    Spent::Down,
    Spent::OtherWebs,
    Spent::Release,
    Spent::Approval,
];

impl Spent {
    /// Key used in files.
    pub fn key(self) -> &'static str {
        match self {
            Spent::Changeover => "changeover",
            Spent::Running => "running",
            Spent::PlannedStop => "planned_stop",
            Spent::Cure => "cure",
            Spent::OffShift => "off_shift",
            Spent::People => "wait_people",
            Spent::Blocked => "blocked",
            Spent::Down => "down",
            Spent::OtherWebs => "other_webs",
            Spent::Release => "release",
            Spent::Approval => "approval",
        }
    }

    /// Words for people.
    pub fn label(self) -> &'static str {
        match self {
            Spent::Changeover => "changing over",
            Spent::Running => "running",
            Spent::PlannedStop => "roll, reel or doff",
            Spent::Cure => "cure and cooling",
            Spent::OffShift => "off shift",
            Spent::People => "waiting for people",
            Spent::Blocked => "blocked",
            Spent::Down => "down",
            Spent::OtherWebs => "waiting for other webs or kit",
            Spent::Release => "waiting for release",
            Spent::Approval => "approval and laboratory",
        }
    }
}

/// A lot as records name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LotName {
    /// Serial number of the order in its replication, from 0.
    pub order: u32,
    /// SKU within the order, from 0.
    pub line: u16,
    /// Web: 0 body, 1 second.
    pub web: u8,
    /// Part of the model it is made as: product and web.
    pub part: u32,
    /// Number of its roll within its web: rolls count from 0, those of a remake from 4096.
    pub number: u32,
    /// Tells parts of one roll apart: 0 for a whole roll and for the first part, other numbers in the order of the parts.
    pub part_of_roll: u64,
    /// Rolls gathered in it.
    pub rolls: u32,
}

impl LotName {
    /// Whether both are of one web of one SKU of one order.
    pub fn is_beside(&self, other: &Self) -> bool {
        (self.order, self.line, self.web) == (other.order, other.line, other.web)
    }
}

/// Something that happened to a lot (for stories and timelines; counted figures do not use it).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotEvent {
    /// The order was released.
    Released,
    /// Joined the queue of a station; true: it lies in its cure place meanwhile and takes no room before the station.
    Queued(usize, bool),
    /// Put to cure until a moment, before a station (its index; the number of stations means shipping).
    Curing(Tick, usize),
    /// Printed with others then, and waits for it before that station.
    Printing(Tick, usize),
    /// Held until then, before that station: its print is not dry yet.
    Drying(Tick, usize),
    /// Ready for a station whose staging places are all taken; with a machine: it stays on that one meanwhile.
    NoRoom(usize, Option<usize>),
    /// Stays on a machine: its cure place before a station is not free.
    NoPlace(usize, usize),
    /// Waits until a moment before a station for a material: its place among the supplies of the product.
    Lacking(Tick, usize, usize),
    /// Waits for its other rolls or webs before a station.
    Gathering(usize),
    /// Taken by a machine.
    Taken(usize),
    /// Its first good is to be approved before a machine runs on.
    FirstOff(usize),
    /// Left a machine.
    Left(usize),
    /// Taken off a machine for a better-ranked order.
    Interrupted(usize),
    /// Sent back to a station.
    SentBack(usize),
    /// Its hold is over, and the laboratory has its sample until a moment, before a station.
    Sampled(Tick, usize),
    /// The laboratory does not release it: it is lost, and printed again.
    Failed,
    /// It has waited too long for its lamination at a station: it is lost, and printed again.
    Stale(usize),
    /// Came out short: so many pouches are made again.
    Remade(i64),
    /// Packed, the last of its SKU.
    Packed,
}

/// A finished order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finished<'a> {
    /// Serial number in its replication.
    pub order: u32,
    /// Class index.
    pub class: usize,
    /// Product of the first SKU.
    pub product: usize,
    /// SKUs.
    pub skus: u32,
    /// Pouches (or pieces) ordered.
    pub ordered: i64,
    /// Good pouches made.
    pub good: i64,
    /// Released (printed rolls handed over).
    pub released: Tick,
    /// Promised; `Tick::MAX` for no promise.
    pub due: Tick,
    /// First good pouch made; `Tick::MAX` where none is made.
    pub first_pouch: Tick,
    /// Last lot packed.
    pub packed: Tick,
    /// Packed and every hold over: may ship.
    pub done: Tick,
    /// Released within the measured time.
    pub measured: bool,
    /// Ticks by queue of each station, then by [`Spent`]; sums to `done - released`.
    pub split: &'a [Tick],
}

/// An order that was not done when the clock ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unfinished {
    /// Serial number in its replication.
    pub order: u32,
    /// Class index.
    pub class: usize,
    /// Product of the first SKU.
    pub product: usize,
    /// SKUs.
    pub skus: u32,
    /// Pouches (or pieces) ordered.
    pub ordered: i64,
    /// Released.
    pub released: Tick,
    /// Promised; `Tick::MAX` for no promise.
    pub due: Tick,
    /// Released within the measured time.
    pub measured: bool,
}

/// An order that was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Refused {
    /// Class index.
    pub class: usize,
    /// Product of the first SKU.
    pub product: usize,
    /// SKUs.
    pub skus: u32,
    /// Pouches (or pieces) asked for.
    pub ordered: i64,
    /// Asked for.
    pub asked: Tick,
    /// To be promised.
    pub due: Tick,
    /// What could be promised, with the margin of the class.
    pub quoted: Tick,
    /// When the other shop delivers that it is sent out to; `None`: it is turned away.
    pub outside: Option<Tick>,
    /// Asked for within the measured time.
    pub measured: bool,
}

/// How much is where at one instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Levels<'a> {
    /// Orders released and not done.
    pub orders: u32,
    /// Lots held for cure or cooling.
    pub curing: u32,
    /// Lots waiting, by station.
    pub queues: &'a [u32],
}

/// Listens to one replication.
pub trait Observe {
    /// Wants to hear of lots: their events, and which lot a machine is on. A listener that only counts says no,
    /// and the floor then spends no time on naming them.
    const LOTS: bool = true;

    /// Machine `machine` was in `state` from `from` to `to` (never empty), on `lot` if any ([`Observe::LOTS`]).
    ///
    /// Those of one machine come in the order of time; the stops within a run are told together when it is over.
    fn state(&mut self, machine: usize, state: State, from: Tick, to: Tick, lot: Option<LotName>) {
        let _ = (machine, state, from, to, lot);
    }

    /// Wants to hear of each state of a machine in a stretch of time for itself, and not of their sums
    /// ([`Observe::states`]).
    fn asks(&self, from: Tick, to: Tick) -> bool {
        let _ = (from, to);
        true
    }

    /// Machine `machine` was so long in each state from `from` to `to`; told where nobody [asks](Observe::asks) for more.
    fn states(&mut self, machine: usize, from: Tick, to: Tick, ticks: &[Tick; STATES]) {
        let _ = (machine, from, to, ticks);
    }

    /// A machine stood for want of people of a pool, from `from` to `to`; its state then is [`State::WaitPeople`].
    fn short_of(&mut self, machine: usize, pool: usize, from: Tick, to: Tick) {
        let _ = (machine, pool, from, to);
    }

    /// A lot stood in the queue of a station from `from` to `to`.
    fn waited(&mut self, station: usize, from: Tick, to: Tick) {
        let _ = (station, from, to);
    }

    /// A lot was held for cure from `from` to `to`.
    fn cured(&mut self, from: Tick, to: Tick) {
        let _ = (from, to);
    }

    /// Levels at a sampling instant.
    fn levels(&mut self, at: Tick, levels: Levels<'_>) {
        let _ = (at, levels);
    }

    /// Something happened to a lot ([`Observe::LOTS`]).
    fn lot(&mut self, at: Tick, lot: LotName, event: LotEvent) {
        let _ = (at, lot, event);
    }

    /// An order is done.
    fn finished(&mut self, order: Finished<'_>) {
        let _ = order;
    }

    /// An order was not done when the clock ended.
    fn unfinished(&mut self, order: Unfinished) {
        let _ = order;
    }

    /// An order was not taken.
    fn refused(&mut self, order: Refused) {
        let _ = order;
    }

    /// An order of the order book came in: its serial number in the replication, its place in the book.
    fn booked(&mut self, order: u32, entry: usize) {
        let _ = (order, entry);
    }

    /// Printed web handed over, lane-millimetres.
    fn released(&mut self, at: Tick, web: WebOf, lane_mm: i64) {
        let _ = (at, web, lane_mm);
    }

    /// A pass has joined a further web along so many lane-millimetres, from edge to edge of the printed one.
    fn joined(&mut self, at: Tick, web: WebOf, lane_mm: i64) {
        let _ = (at, web, lane_mm);
    }

    /// At the end of the clock a machine waits for room that only such machines could make: it stands still for ever.
    fn stuck(&mut self, machine: usize) {
        let _ = machine;
    }

    /// Web or pouches lost: station, why, `[lane-millimetres of web, pouches]`.
    fn waste(&mut self, at: Tick, station: usize, why: Lost, lost: [i64; 2], web: WebOf) {
        let _ = (at, station, why, lost, web);
    }
}
