//! Records of the floor: plain data, no behaviour beyond bookkeeping of its own.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::ops::{Index, IndexMut};

use crate::kernel::NEVER;
use crate::model::{Dressing, Model, NONE};
use crate::plant::{Clock, ShiftEnd};
use crate::record::State;
use crate::units::{Tick, ticks_from_minutes};

/// A store with stable small indices; freed places are used again, so memory follows the work in process.
#[derive(Debug, Clone)]
pub struct Pool<T> {
    items: Vec<T>,
    live: Vec<bool>,
    free: Vec<u32>,
}

impl<T> Default for Pool<T> {
    fn default() -> Self {
        Self {
            items: Vec::new(),
            live: Vec::new(),
            free: Vec::new(),
        }
    }
}

impl<T> Pool<T> {
    /// Stores an item and gives its index.
    pub fn put(&mut self, item: T) -> u32 {
        if let Some(index) = self.free.pop() {
            self.items[index as usize] = item;
            self.live[index as usize] = true;
            index
        } else {
            self.items.push(item);
            self.live.push(true);
            (self.items.len() - 1) as u32
        }
    }

    /// Frees a place.
    pub fn drop_at(&mut self, index: u32) {
        debug_assert!(self.live[index as usize], "freed twice");
        self.live[index as usize] = false;
        self.free.push(index);
    }

    /// The index is in use.
    pub fn is_live(&self, index: u32) -> bool {
        self.live[index as usize]
    }

    /// Indices in use, ascending.
    pub fn live_indices(&self) -> Vec<u32> {
        (0..self.items.len() as u32)
            .filter(|&i| self.live[i as usize])
            .collect()
    }

    /// Places ever used at once.
    pub fn capacity(&self) -> usize {
        self.items.len()
    }
}

impl<T> Index<u32> for Pool<T> {
    type Output = T;
    fn index(&self, index: u32) -> &T {
        &self.items[index as usize]
    }
}

impl<T> IndexMut<u32> for Pool<T> {
    fn index_mut(&mut self, index: u32) -> &mut T {
        &mut self.items[index as usize]
    }
}

/// What moves: a roll, a reel, a set, or a whole SKU.
#[derive(Debug, Clone, Copy)]
pub struct Lot {
    /// Line it belongs to.
    pub line: u32,
    /// Web of a product.
    pub part: u32,
    /// Step it is at or waits for.
    pub step: u16,
    /// Holds pouches, not web.
    pub pouches: bool,
    /// Lane-millimetres, or pouches.
    pub quantity: i64,
    /// Accounted up to.
    pub mark: Tick,
    /// The station's closed time at `mark`, to tell queueing from off shift.
    pub closed_mark: Tick,
    /// End of its last lamination; `NEVER` before.
    pub bonded: Tick,
    /// Order of joining the present queue.
    pub seq: u64,
    /// Rolls gathered in it.
    pub rolls: u32,
    /// Number within its web, for the keys of its chances.
    pub number: u32,
    /// Times it was sent back.
    pub backs: u16,
    /// SKU of a ganged roll, from 1; 0 before the gang is parted.
    pub sku: u16,
    /// Interrupted: what is left of its run and its planned stops.
    pub left_run: Option<(Tick, u32)>,
    /// Web lost by interruptions and breakdowns, mm.
    pub extra_waste_mm: f64,
    /// Cured so far on ambient racks and in a hot room, up to `cure_mark`.
    pub cured: [Tick; 2],
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
    /// Planned work at the present step, minutes.
    pub work_min: f32,
    /// Planned work and holds after the present step, minutes.
    pub rest_min: f32,
}

/// An order in the cell.
#[derive(Debug, Clone, Copy)]
pub struct Order {
    /// Serial number in its replication.
    pub serial: u32,
    /// Key of its chances: stream and number within it.
    pub key: u64,
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
    /// Order of coming in, for the queue outside.
    pub seq: u64,
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
    /// Machine that works on it, by web: 0 none, else index + 1.
    pub on: [u16; WEBS],
    /// Lots alive, by web.
    pub live: [u32; WEBS],
    /// Lots waiting for the others of their web before the same station, by web: list head and count.
    pub gathered: [(u32, u32); WEBS],
    /// Body lots waiting for further webs: list head.
    pub waiting: u32,
    /// All further webs are complete and cured (or there are none).
    pub webs_ready: bool,
}

/// What a machine is in the middle of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Nothing.
    Idle,
    /// Changing over.
    Setup,
    /// Running.
    Run,
    /// Planned stop.
    Stop,
    /// Micro-stop.
    Micro,
    /// Repair.
    Repair,
    /// Done, cannot hand on.
    Blocked,
}

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
pub struct MachineRun {
    /// Accounted state.
    pub state: State,
    /// Since when.
    pub since: Tick,
    /// Phase of the work.
    pub phase: Phase,
    /// The phase's clock runs (open, people there).
    pub working: bool,
    /// Open by its calendar.
    pub on_shift: bool,
    /// In overtime.
    pub overtime: bool,
    /// End of permitted overtime.
    pub overtime_until: Tick,
    /// Next change of its calendar.
    pub boundary: Tick,
    /// Entry of its timeline that is in force.
    pub interval: usize,
    /// Instant of the next calendar-clock failure.
    pub calendar_failure: Tick,
    /// Waits for the people of its phase.
    pub wants_people: bool,
    /// Holds people: 0 none, 1 changeover crew, 2 run crew.
    pub holds_people: u8,
    /// Waiting for people since, while idle with work in the queue.
    pub people_since: Tick,
    /// Start of the running segment of the phase.
    pub segment_start: Tick,
    /// Left of the phase, for all phases but [`Phase::Run`].
    pub left: Tick,
    /// Phase to return to after a repair.
    pub after_repair: (Phase, Tick),
    /// Left of the run.
    pub run_left: Tick,
    /// Whole run of the lot.
    pub run_total: Tick,
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
    /// Washing up before the shift ends.
    pub washing: bool,
    /// Reactive adhesive ran since the last wash-up.
    pub dirty: bool,
    /// SKU of a gang it last worked on.
    pub last_sku: u16,
    /// A changeover was made for the present lot.
    pub set_up: bool,
    /// Lot on it.
    pub lot: u32,
    /// What it is dressed for; `None` at first.
    pub dressed: Option<Dressing>,
    /// Product it last made, for changeover tables.
    pub last_product: u32,
    /// Line it last worked on.
    pub last_line: u32,
    /// Web of a product it last worked on.
    pub last_part: u32,
    /// When it last worked.
    pub last_active: Tick,
    /// When the present repair began.
    pub down_since: Tick,
    /// Start of the run of the present lot.
    pub run_began: Tick,
}

impl MachineRun {
    /// A machine at time zero, nothing accounted yet.
    pub fn new(model: &Model, m: usize) -> Self {
        let machine = &model.machines[m];
        let spec = machine_spec(model, m);
        Self {
            state: State::NoWork,
            since: 0,
            phase: Phase::Idle,
            working: false,
            on_shift: false,
            overtime: false,
            overtime_until: NEVER,
            boundary: NEVER,
            interval: 0,
            calendar_failure: NEVER,
            wants_people: false,
            holds_people: 0,
            people_since: NEVER,
            segment_start: 0,
            left: 0,
            after_repair: (Phase::Idle, 0),
            run_left: 0,
            run_total: 0,
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
            washing: false,
            dirty: false,
            last_sku: 0,
            set_up: false,
            lot: NONE,
            dressed: machine.dressed,
            last_product: spec.dressed_for.map_or(NONE, |p| p as u32),
            last_line: NONE,
            last_part: NONE,
            last_active: -1,
            down_since: 0,
            run_began: 0,
        }
    }

    /// When the present segment of the phase ends if nothing comes between.
    #[inline]
    pub fn segment_end(&self) -> Tick {
        let length = if self.phase == Phase::Run {
            let mut length = self
                .run_left
                .min(self.to_stop)
                .min(self.to_micro)
                .min(self.to_reel);
            for failure in &self.failures {
                let left = match failure.clock {
                    Clock::Running => failure.left,
                    Clock::Metres => failure.left / self.mm_per_tick.max(1e-12),
                    Clock::Calendar => continue,
                };
                // A failure never falls on the very tick its segment starts unless it is due.
                length = length.min(left.ceil() as Tick);
            }
            length
        } else {
            self.left
        };
        self.segment_start.saturating_add(length)
    }

    /// Takes the time since the segment's start off every clock of the phase.
    #[inline]
    pub fn settle(&mut self, now: Tick) {
        let passed = now - self.segment_start;
        self.segment_start = now;
        if self.phase == Phase::Run {
            self.run_left -= passed;
            if self.to_stop != NEVER {
                self.to_stop -= passed;
            }
            if self.to_reel != NEVER {
                self.to_reel -= passed;
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
        } else {
            self.left -= passed;
        }
    }

    /// What a cause of breakdown counts.
    pub fn clock_of(&self, cause: usize) -> Clock {
        self.failures[cause].clock
    }
}

/// The plant's description of a machine of the model.
pub fn machine_spec(model: &Model, m: usize) -> &crate::plant::Machine {
    let station = model.machines[m].station;
    &model.plant.stations[station].machines[m - model.stations[station].machines.start]
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

/// A station in progress.
#[derive(Debug, Clone, Default)]
pub struct StationRun {
    /// Lots that can be taken, where the order changes with time or machine.
    pub queue: Vec<u32>,
    /// Lots that can be taken, where it does not: (first, second criterion, joining, lot).
    pub sorted: BinaryHeap<Reverse<(i64, i64, u64, u32)>>,
    /// Idle open machines, one bit each.
    pub idle: u64,
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
    /// Lots waiting here for another web.
    pub waiting_webs: u32,
    /// Lots whose turn is fixed, in that order.
    pub frozen: Vec<u32>,
    /// Next instant at which a rule of time changes what may be taken; `NEVER` for none.
    pub bell: Tick,
}

impl StationRun {
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

/// Lots that wait for time to pass.
#[derive(Debug, Clone, Default)]
pub struct Holds {
    heap: BinaryHeap<Reverse<(Tick, u64, u32, u8)>>,
    serial: u64,
}

impl Holds {
    /// Holds a lot until a moment; `spent` is what the wait counts as. Gives the serial of the hold.
    pub fn put(&mut self, until: Tick, lot: u32, spent: u8) -> u64 {
        self.serial += 1;
        self.heap.push(Reverse((until, self.serial, lot, spent)));
        self.serial
    }

    /// Earliest end.
    pub fn next_time(&self) -> Option<Tick> {
        self.heap.peek().map(|e| e.0.0)
    }

    /// Next hold that is over at `now`: (serial, lot, spent).
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
