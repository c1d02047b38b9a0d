//! Records of the floor: plain data, no behaviour beyond bookkeeping of its own.
//!
//! Machines have a file of their own (`machine`), the index store too (`pool`).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::kernel::NEVER;
use crate::model::{Job, MachineModel, Model, PartModel, StationModel, StepModel, Wound};
use crate::plant::MOST_PASSES;
use crate::random::Chances;
use crate::units::Tick;

pub use super::bond::Bond;
pub use super::lab::Looked;
pub use super::line_up::LineUp;
pub use super::machine::{FailureClock, MachineRun, Progress, overtime_of};
pub use super::marks::Marks;
pub use super::pool::Pool;
pub use super::status::{Doing, Door, Hands, Strength};

/// What moves: a roll, a reel, a set, or a whole SKU.
#[derive(Debug, Clone, Copy)]
pub struct Lot<'a> {
    /// Line it belongs to.
    pub line: u32,
    /// Order of that line.
    pub order: u32,
    /// The line's [`OrderLine::uid`].
    pub uid: u32,
    /// What the chances of its line are keyed by, within the order.
    pub key: u64,
    /// Chances about its order.
    pub chances: Chances,
    /// Web of a product: its number, and what it is.
    pub part: u32,
    /// The same as the model has it.
    pub web: &'a PartModel,
    /// Step it is at or waits for.
    pub step: u16,
    /// That step; `None` after the last one.
    pub at: Option<&'a StepModel>,
    /// Holds pouches, not web.
    pub pouches: bool,
    /// Rank of its class; lower goes first where a rule says so.
    pub rank: u8,
    /// Lane-millimetres, or pouches.
    pub quantity: i64,
    /// Promised instant of its order; `NEVER` for none.
    pub due: Tick,
    /// Accounted up to.
    pub mark: Tick,
    /// The station's closed time at `mark`, to tell queueing from off shift.
    pub closed_mark: Tick,
    /// When it was printed.
    pub printed: Tick,
    /// End of its last lamination; `NEVER` before.
    pub bonded: Tick,
    /// Its passes before the last one, where their adhesives are not all one.
    pub earlier: [Bond; MOST_PASSES - 1],
    /// How far the laboratory is with it since its last lamination.
    pub looked: Looked,
    /// When it first joined the present queue.
    pub joined: Tick,
    /// The station's closed time then.
    pub closed_joined: Tick,
    /// What its wait counts as: an entry of its split.
    pub waits_as: u16,
    /// Open time for which it has waited for people at its present step.
    pub passed_over: Tick,
    /// Rolls gathered in it.
    pub rolls: u32,
    /// Rolls or, where it is slit, reels that it lies on.
    pub wound: Wound,
    /// Number of its roll within its web (of the first one gathered in it), for its name and the keys of its chances.
    pub number: u32,
    /// Which part of that roll it is.
    pub cut: Cut,
    /// Times it was sent back.
    pub backs: u16,
    /// Running ticks it was asked for so far, and those before it on whose account it goes on.
    pub asked: Tick,
    /// SKU of a ganged roll, from 1; 0 before the gang is parted.
    pub sku: u16,
    /// Begun already: what is left of its run.
    pub left: Option<Left>,
    /// Web lost by interruptions and breakdowns, mm.
    pub extra_waste_mm: f64,
    /// Time in a hot room, heating lag taken off, up to `cure_mark`.
    pub hot_for: Tick,
    /// Cure accounted up to.
    pub cure_mark: Tick,
    /// Is in a hot room; heating ends at `warm_at`.
    pub hot: bool,
    /// End of the heating lag.
    pub warm_at: Tick,
    /// Room whose place it holds; `u8::MAX` for none.
    pub room: u8,
    /// Serial of its present hold, to tell outdated ones.
    pub hold: u64,
    /// Length of its pouching run, for packing that went alongside.
    pub pouching_run: Tick,
    /// Next in a waiting list.
    pub next: u32,
    /// Quantity for which the work at the present step and after it is planned; -1 for none.
    pub planned: i64,
    /// Planned work at the present step, minutes.
    pub work_min: f32,
    /// Planned work and holds after the present step, minutes.
    pub rest_min: f32,
}

/// Which part of its roll a lot is: a range of numbers that belong to it alone. What is cut again shares its range out,
/// so no two parts of a roll bear one number, whatever is cut first and however often.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cut {
    /// First number of the range: that of the part.
    pub first: u64,
    len: u64,
}

impl Cut {
    /// A roll that is not cut.
    pub const WHOLE: Self = Self {
        first: 0,
        len: u64::MAX,
    };

    /// The `n`-th of so many parts, from 0; the first one keeps the number.
    pub fn part(self, n: u64, of: u64) -> Self {
        let len = self.len / of.max(1);
        Self {
            first: self.first + n * len,
            len,
        }
    }
}

/// What is left of a run that was begun: metres or pieces, kept as a share so that another machine runs them at its
/// own speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Left {
    /// Running ticks left.
    pub run: Tick,
    /// Of so many.
    pub of: Tick,
    /// Planned stops left.
    pub stops: u32,
}

impl Left {
    /// Share of the run that is left.
    #[inline]
    pub fn share(&self) -> f64 {
        if self.of == 0 {
            0.0
        } else {
            self.run as f64 / self.of as f64
        }
    }

    /// Ticks left on a machine that takes `whole` for all of it.
    pub fn ticks(&self, whole: Tick) -> Tick {
        if whole == self.of {
            self.run
        } else {
            crate::units::whole(whole as f64 * self.share())
        }
    }
}

/// An order in the cell.
#[derive(Debug, Clone, Copy)]
pub struct Order {
    /// Serial number in its replication.
    pub serial: u32,
    /// Chances about it: by its stream and number within that, or by the book.
    pub chances: Chances,
    /// Stream it came from.
    pub stream: u16,
    /// Class.
    pub class: u16,
    /// SKUs.
    pub skus: u16,
    /// SKUs not packed yet.
    pub open_lines: u16,
    /// Released within the measured time.
    pub measured: bool,
    /// Product of the first SKU.
    pub product: u32,
    /// Released.
    pub released: Tick,
    /// Promised; `NEVER` for none.
    pub due: Tick,
    /// First good pouch; `NEVER` before.
    pub first_pouch: Tick,
    /// Latest ship gate so far.
    pub ship: Tick,
    /// Ordered.
    pub ordered: i64,
    /// Good so far.
    pub good: i64,
    /// Entry of the order book; `u32::MAX` for drawn orders.
    pub book: u32,
}

/// Most webs of one product: the body and three that join it (gusset, side gusset, second panel).
pub const WEBS: usize = 4;

/// One SKU of an order.
#[derive(Debug, Clone, Copy)]
pub struct OrderLine {
    /// Order.
    pub order: u32,
    /// Number within the order.
    pub no: u16,
    /// Unlike any other line of the replication.
    pub uid: u32,
    /// Ordered and good so far.
    pub ordered: i64,
    /// Good so far.
    pub good: i64,
    /// Product.
    pub product: u32,
    /// Times its shortage was made again.
    pub remakes: u16,
    /// SKUs ganged along its rolls; 1 for none.
    pub gang: u16,
    /// Lots alive, by web.
    pub live: [u32; WEBS],
    /// Lots waiting for the others of their web before the same station, by web: list head and count.
    pub gathered: [(u32, u32); WEBS],
    /// Body lots waiting for further webs: list head.
    pub waiting: u32,
    /// Web planned and neither lost nor made into anything yet, lane-millimetres.
    pub web_open: i64,
    /// Pouches made and neither rejected nor packed yet.
    pub pouches_open: i64,
    /// All further webs are complete and cured (or there are none).
    pub webs_ready: bool,
}

/// A station in progress.
#[derive(Debug, Clone)]
pub struct StationRun<'a> {
    /// The station.
    pub plan: &'a StationModel,
    /// Lots that can be taken, where the order changes with time or machine.
    pub queue: Vec<u32>,
    /// Lots that can be taken, where it does not.
    pub sorted: LineUp,
    /// Free machines, by their number within the station.
    pub idle: Marks,
    /// Open machines.
    pub open: u32,
    /// Closed time so far, and since when it is closed (or `NEVER`).
    pub closed: Tick,
    /// Closed since; `NEVER` while open.
    pub closed_since: Tick,
    /// Lots in staging.
    pub staged: u32,
    /// Machines that hold a lot for which there is no room here, longest first.
    pub blocked: Vec<u32>,
    /// Lots out of cure for which there is no room here, longest first.
    pub waiting_outside: Vec<u32>,
    /// Lots that wait here for people of a machine that would take them.
    pub short: Vec<u32>,
    /// Lots waiting here for another web.
    pub waiting_webs: u32,
    /// Lots whose turn is fixed, in that order.
    pub frozen: Vec<u32>,
    /// Next instant at which a rule of time changes what may be taken; `NEVER` for none.
    pub bell: Tick,
}

impl<'a> StationRun<'a> {
    /// A station at time zero, closed and empty.
    pub fn new(plan: &'a StationModel) -> Self {
        Self {
            plan,
            queue: Vec::new(),
            sorted: LineUp::default(),
            idle: Marks::new(plan.machines.len()),
            open: 0,
            closed: 0,
            closed_since: 0,
            staged: 0,
            blocked: Vec::new(),
            waiting_outside: Vec::new(),
            short: Vec::new(),
            waiting_webs: 0,
            frozen: Vec::new(),
            bell: NEVER,
        }
    }

    /// Every staging place is taken.
    #[inline]
    pub fn is_full(&self) -> bool {
        self.plan.staging != u32::MAX && self.staged >= self.plan.staging
    }

    /// Closed time up to `now`.
    #[inline]
    pub fn closed_at(&self, now: Tick) -> Tick {
        if self.closed_since == NEVER {
            self.closed
        } else {
            self.closed + (now - self.closed_since)
        }
    }

    /// Lots that can be taken.
    #[inline]
    pub fn waiting(&self) -> usize {
        self.queue.len() + self.sorted.len()
    }
}

/// People in progress, thousandths.
#[derive(Debug, Clone)]
pub struct PoolRun {
    /// Present.
    pub present: u32,
    /// At work.
    pub busy: u32,
    /// Next change by shift: interval index and present count, per shift entry.
    pub shifts: Vec<ShiftRun>,
}

/// One shift of a pool.
#[derive(Debug, Clone, Copy)]
pub struct ShiftRun {
    /// Interval that is open or next.
    pub interval: usize,
    /// People in it now (absent ones taken off).
    pub here: u32,
}

impl PoolRun {
    /// A pool before its first shift.
    pub fn new(model: &Model, p: usize) -> Self {
        let shifts = model.plant.pools[p]
            .shifts
            .iter()
            .map(|_| ShiftRun {
                interval: 0,
                here: 0,
            })
            .collect();
        Self {
            present: 0,
            busy: 0,
            shifts,
        }
    }
}

/// A stream of orders in progress.
#[derive(Debug, Clone, Copy, Default)]
pub struct ArrivalRun {
    /// Orders so far.
    pub count: u64,
    /// Interval of its calendar the clock stands in.
    pub interval: usize,
    /// The clock's last instant.
    pub at: Tick,
}

impl OrderLine {
    /// Key of its chances within the order; a remake has its own.
    #[inline]
    pub fn key(&self) -> u64 {
        u64::from(self.no) | u64::from(self.remakes) << 12
    }
}

impl<'a> Lot<'a> {
    /// The job that its present step (past the last one: that) is on a machine.
    #[inline]
    pub fn job(&self, machine: &MachineModel) -> &'a Job {
        let step = match self.at {
            Some(step) => step,
            None => &self.web.steps[usize::from(self.step)],
        };
        &step.jobs[machine.within]
    }

    /// Names the lot among those of its order, at its present step and visit: the second key of its chances.
    #[inline(always)]
    pub fn chance(&self) -> u64 {
        /// Any odd number with bits all over it: parts differ, and a whole roll (0) keeps the key of its number.
        const SPREAD: u64 = 0x9e37_79b9_7f4a_7c15;
        (self.key << 40
            | u64::from(self.number) << 16
            | u64::from(self.backs) << 8
            | u64::from(self.step))
            ^ self.cut.first.wrapping_mul(SPREAD)
    }

    /// Puts the lot before a step of its web.
    #[inline]
    pub fn set_step(&mut self, step: u16) {
        self.step = step;
        self.planned = -1;
        self.at = self.web.steps.get(usize::from(step));
    }
}

/// Lots that wait for time to pass.
#[derive(Debug, Clone, Default)]
pub struct Holds {
    heap: BinaryHeap<Reverse<(Tick, u64, u32, u8)>>,
    serial: u64,
}

impl Holds {
    /// Holds a lot until a moment; `spent` is what the wait counts as. Gives the serial of the hold.
    #[inline]
    pub fn put(&mut self, until: Tick, lot: u32, spent: u8) -> u64 {
        self.serial += 1;
        self.heap.push(Reverse((until, self.serial, lot, spent)));
        self.serial
    }

    /// Earliest end.
    #[inline]
    pub fn next_time(&self) -> Option<Tick> {
        self.heap.peek().map(|e| e.0.0)
    }

    /// Next hold that is over at `now`: (serial, lot, spent).
    #[inline]
    pub fn take(&mut self, now: Tick) -> Option<(u64, u32, u8)> {
        if self.next_time()? > now {
            return None;
        }
        self.heap.pop().map(|e| (e.0.1, e.0.2, e.0.3))
    }

    /// Lots held.
    pub fn len(&self) -> usize {
        self.heap.len()
    }

    /// No lot held.
    pub fn is_empty(&self) -> bool {
        self.heap.is_empty()
    }

    /// Lots held, with what they wait for and the serial of their hold, longest held first.
    pub fn held(&self) -> Vec<(u64, u32, u8)> {
        let mut out: Vec<_> = self.heap.iter().map(|e| (e.0.1, e.0.2, e.0.3)).collect();
        out.sort_unstable();
        out
    }
}

/// A cure room in progress.
#[derive(Debug, Clone, Copy, Default)]
pub struct RoomRun {
    /// Rolls in it.
    pub taken: u32,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A roll cut into parts of parts, each into its own number of them: all ranges lie apart.
    #[test]
    fn no_two_parts_of_a_roll_bear_one_number() {
        let mut parts = vec![Cut::WHOLE];
        for of in [7, 3, 10_000, 2] {
            let one = parts.pop().unwrap();
            parts.extend((0..of).map(|n| one.part(n, of)));
            let other = parts.swap_remove(1);
            parts.extend((0..of + 1).map(|n| other.part(n, of + 1)));
        }
        parts.sort_unstable();
        for pair in parts.windows(2) {
            assert!(pair[0].len > 0 && pair[0].first + pair[0].len <= pair[1].first);
        }
        assert_eq!(Cut::WHOLE.part(0, 5).part(0, 3).first, 0);
    }
}
