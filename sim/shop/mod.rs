//! The floor: everything that happens, event by event.
//!
//! In: a [`Model`], the streams of one replication and an observer. Out: calls to the observer.
//! No strings, no files, no clock but its own. Every machine owns one slot of the event list: the
//! next instant at which something about it changes. Whatever happens at one instant is settled
//! before anybody decides what to take next, so decisions see the whole of that instant.
//!
//! * [`state`]: the records of machines, lots, orders and pools; `status`: what a machine is doing, whether it is
//!   open, whose hands are on it.
//! * `orders`: orders come in and wait; `release`: they are planned into rolls; `finish`: they end.
//! * `flow`: lots between stations: gathering, webs that meet, staging, splitting, rework.
//! * `cure`: holds around the clock, hot rooms and racks; `bond`: passes before the last one; `lab`: release of cured
//!   rolls; `again`: what fails there, or is too old for its lamination, is printed again.
//! * `interrupt`: better-ranked orders that take a machine at once.
//! * `line_up`: queues whose order nothing changes.
//! * `accounts`: the time of machines and lots, and what is left at the end of the clock.
//! * [`audit`]: what must hold in every run, checked while it runs.
//! * `bell`: instants at which time alone changes what may be taken.
//! * `dispatch`: what a free machine takes next; `criteria`: which of several lots it prefers.
//! * `work`: a lot on a machine: start, hand-over; `course`: changeover, run and stops in one go; `timing`: how long; `failure`:
//!   breakdowns and micro-stops; `output`: what comes out.
//! * `first_off`: the first good of a start is approved.
//! * `wash`: washing up where a reactive adhesive would set.
//! * `quote`: what date could be promised, and who makes what cannot.
//! * `people`: who gets the people; `presence`: who is there; `few`: runs with a smaller crew. `reckon`: which machine would finish a lot first.
//! * `shift`: opening and closing of machines, overtime.
//! * `standstill`: machines that wait for each other for ever.

mod accounts;
mod again;
pub mod audit;
mod bell;
mod bond;
mod course;
mod criteria;
mod cure;
mod dispatch;
mod failure;
mod few;
mod finish;
mod first_off;
mod flow;
mod interrupt;
mod lab;
mod line_up;
mod machine;
mod marks;
mod orders;
mod output;
mod people;
mod pool;
mod presence;
mod quote;
mod reckon;
mod release;
mod shift;
mod standstill;
pub mod state;
mod status;
mod timing;
mod wash;
mod work;

use std::collections::BTreeSet;

use crate::kernel::{NEVER, Slots};
use crate::model::Model;
use crate::random::Streams;
use crate::record::{LotEvent, LotName, Observe, SPENT, State};
use crate::units::Tick;

use state::{
    ArrivalRun, Holds, MachineRun, Marks, Order, OrderLine, Pool, PoolRun, RoomRun, StationRun,
};

/// One replication in progress.
pub struct Shop<'a, O: Observe> {
    model: &'a Model,
    streams: Streams,
    watch: &'a mut O,
    now: Tick,
    slots: Slots,
    machines: Vec<MachineRun<'a>>,
    /// How far each machine will be at the end of its course.
    courses: Vec<course::Course>,
    stations: Vec<StationRun<'a>>,
    pools: Vec<PoolRun>,
    arrivals: Vec<ArrivalRun>,
    holds: Holds,
    lots: Pool<state::Lot<'a>>,
    orders: Pool<Order>,
    lines: Pool<OrderLine>,
    /// Split of each lot's time so far, `stride` entries a lot, the first `first_spent` of them queues.
    split: Vec<Tick>,
    stride: usize,
    first_spent: usize,
    /// Stations at which something may be taken.
    dirty: Marks,
    /// People came free, or some are asked for, at this instant.
    people_asked: bool,
    /// Machines whose people are waited for.
    awaiting: Marks,
    /// Machines that run with a smaller crew.
    short_runs: Marks,
    /// Kept to be used again: what could start if people were there, in which turn, who was served and which pools are
    /// held for a crew; lots that a look at a station has dealt with, work that waits for each machine of it.
    candidates: Vec<people::Candidate>,
    turns: Vec<(people::Turn, usize)>,
    served: Vec<bool>,
    held: Vec<bool>,
    spoken_for: Vec<(u32, usize)>,
    claims: Vec<Tick>,
    rooms: Vec<RoomRun>,
    /// Laminators whose roll finds no place to cure, longest first.
    blocked_by_rooms: Vec<u32>,
    /// Orders that wait for release, by class: nearest due date first, then in order of coming in.
    outside: Vec<BTreeSet<(Tick, u64, u32)>>,
    /// How many these are.
    waiting_outside: usize,
    /// Orders on the floor by class.
    on_floor: Vec<u32>,
    next_book: usize,
    /// Done instants of orders that are packed and still held, so that they count as in the cell.
    held_back: std::collections::BinaryHeap<std::cmp::Reverse<Tick>>,
    /// A machine went from overtime straight into its next opening at this instant.
    back_from_overtime: bool,
    next_sample: Tick,
    next_order: u32,
    next_line: u32,
    next_roll: u32,
    /// Machines to be timed anew before the next event is looked for.
    untimed: Marks,
    /// Lots and lines of an order in the making, and queues by station; kept to be used again.
    printed: Vec<u32>,
    waiting_now: Vec<u32>,
    drawn: Vec<release::Drawn>,
    board: quote::Board,
    counts: Counts,
}

/// Conservation counts of one replication, for tests and for the report's honesty line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    /// Orders released.
    pub released: u64,
    /// Orders not taken.
    pub refused: u64,
    /// Orders done.
    pub finished: u64,
    /// Lane-millimetres printed and handed over.
    pub lane_mm_in: i64,
    /// Lane-millimetres lost at stations.
    pub lane_mm_waste: i64,
    /// Lane-millimetres turned into good pouches, or shipped as rolls.
    pub lane_mm_out: i64,
    /// Good pouches packed (pieces for products without a format).
    pub pouches: i64,
    /// Pouches rejected after they were made.
    pub pouches_lost: i64,
    /// Lane-millimetres inside the cell at the end.
    pub lane_mm_inside: i64,
    /// Pouches inside the cell at the end.
    pub pouches_inside: i64,
    /// Pouches made at pouching (good ones).
    pub pouches_made: i64,
    /// SKUs made again because they came out short.
    pub remakes: u64,
    /// Lots sent back.
    pub sent_back: u64,
    /// Runs interrupted for better-ranked orders.
    pub interruptions: u64,
    /// Machines that wait for each other for ever at the end.
    pub stuck: u64,
    /// Events handled.
    pub events: u64,
    /// What was checked, and whether it held.
    pub audit: audit::Audit,
}

impl<'a, O: Observe> Shop<'a, O> {
    /// A floor at time zero.
    pub fn new(model: &'a Model, streams: Streams, watch: &'a mut O) -> Self {
        let machines = model.machines.len();
        let pools = model.plant.pools.len();
        let arrivals = model.plant.arrivals.len();
        let mut shop = Self {
            slots: Slots::new(machines + 3 + pools + arrivals),
            machines: (0..machines)
                .map(|m| MachineRun::new(model, m, &streams))
                .collect(),
            courses: vec![course::Course::default(); machines],
            stations: model.stations.iter().map(StationRun::new).collect(),
            pools: (0..pools).map(|p| PoolRun::new(model, p)).collect(),
            arrivals: (0..arrivals).map(|_| ArrivalRun::default()).collect(),
            holds: Holds::default(),
            lots: Pool::default(),
            orders: Pool::default(),
            lines: Pool::default(),
            split: Vec::new(),
            stride: model.stations.len() + SPENT,
            first_spent: model.stations.len(),
            dirty: Marks::new(model.stations.len()),
            people_asked: false,
            awaiting: Marks::new(machines),
            short_runs: Marks::new(machines),
            candidates: Vec::new(),
            turns: Vec::new(),
            served: Vec::new(),
            held: Vec::new(),
            spoken_for: Vec::new(),
            claims: Vec::new(),
            rooms: vec![RoomRun::default(); model.plant.rooms.len()],
            blocked_by_rooms: Vec::new(),
            outside: vec![BTreeSet::new(); model.plant.classes.len()],
            waiting_outside: 0,
            on_floor: vec![0; model.plant.classes.len()],
            next_book: 0,
            held_back: std::collections::BinaryHeap::new(),
            back_from_overtime: false,
            next_sample: 0,
            next_order: 0,
            next_line: 0,
            next_roll: 0,
            untimed: Marks::new(machines),
            printed: Vec::new(),
            waiting_now: Vec::new(),
            drawn: Vec::new(),
            board: quote::Board::default(),
            counts: Counts::default(),
            model,
            streams,
            watch,
            now: 0,
        };
        shop.open_the_doors();
        shop
    }

    /// First events of every slot.
    fn open_the_doors(&mut self) {
        for p in 0..self.pools.len() {
            self.pool_event(p);
        }
        for m in 0..self.machines.len() {
            self.start_clock_of_machine(m);
        }
        for a in 0..self.arrivals.len() {
            self.next_arrival(a);
        }
        self.next_booked();
    }

    /// Runs to the end of the model's clock and tells the observer what is left.
    pub fn run(mut self) -> Counts {
        let end = self.model.end;
        self.advance(end);
        self.now = end;
        self.close_the_books();
        self.counts
    }

    /// Handles what happens before `end`.
    fn advance(&mut self, end: Tick) {
        loop {
            while let Some(m) = self.untimed.take_first() {
                self.time_machine(m);
            }
            let (time, slot) = self.slots.next();
            debug_assert!(time >= self.now, "time never goes back");
            if time > self.now {
                if self.back_from_overtime {
                    self.count_people_again();
                    continue;
                }
                if self.people_asked || !self.dirty.is_empty() {
                    self.decide();
                    continue;
                }
                if self.next_sample < time.min(end) {
                    self.look(time.min(end));
                }
                if time >= end {
                    break;
                }
                self.now = time;
            }
            self.counts.events += 1;
            self.handle(slot);
        }
    }

    /// Tells the levels at every sampling instant before `until`.
    #[inline]
    fn look(&mut self, until: Tick) {
        let mut queues = std::mem::take(&mut self.waiting_now);
        queues.clear();
        queues.extend(self.stations.iter().map(|s| s.waiting() as u32));
        let open = (self.counts.released - self.counts.finished) as u32;
        while self.next_sample < until {
            while self
                .held_back
                .peek()
                .is_some_and(|done| done.0 <= self.next_sample)
            {
                self.held_back.pop();
            }
            let levels = crate::record::Levels {
                orders: open + self.held_back.len() as u32,
                curing: self.holds.len() as u32,
                queues: &queues,
            };
            self.watch.levels(self.next_sample, levels);
            self.next_sample += self.model.sample_every;
        }
        self.waiting_now = queues;
    }

    #[inline]
    fn handle(&mut self, slot: usize) {
        let machines = self.machines.len();
        if slot < machines {
            self.machine_event(slot);
        } else if slot == machines {
            self.hold_event();
        } else if slot <= machines + self.pools.len() {
            self.pool_event(slot - machines - 1);
        } else if slot == self.bell_slot() {
            self.bell_event();
        } else if slot == self.book_slot() {
            self.book_event();
        } else {
            self.arrival_event(slot - machines - 3 - self.pools.len());
        }
    }

    fn bell_slot(&self) -> usize {
        self.machines.len() + 1 + self.pools.len()
    }

    fn book_slot(&self) -> usize {
        self.machines.len() + 2 + self.pools.len()
    }

    fn holds_slot(&self) -> usize {
        self.machines.len()
    }

    fn pool_slot(&self, pool: usize) -> usize {
        self.machines.len() + 1 + pool
    }

    #[inline]
    fn arrival_slot(&self, arrival: usize) -> usize {
        self.machines.len() + 3 + self.pools.len() + arrival
    }

    /// Comes after every change of a machine: its state is derived anew and accounted, it is put on offer or
    /// taken from it, and its next instant is found.
    #[inline(always)]
    fn touch(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        let state = machine.state_now();
        let (free, hands) = (machine.is_free(), machine.hands);
        let plan = machine.plan;
        let out = |state| matches!(state, State::Down | State::OffShift | State::Maintenance);
        let station = self.stations[plan.station].plan;
        let again = (station.reckons && out(state) != out(machine.state))
            || (station.restless && state != machine.state);
        if again {
            // What waits for it, or could interrupt it, is looked at again.
            self.dirty.add(plan.station);
        }
        self.turns_to(m, state, self.now);
        let idle = &mut self.stations[plan.station].idle;
        if !free {
            idle.remove(plan.within);
        } else if idle.add(plan.within) {
            self.dirty.add(plan.station);
        }
        if hands.are_short() {
            self.awaiting.add(m);
        } else {
            self.awaiting.remove(m);
        }
        self.untimed.add(m);
    }

    /// Tells what happened to a lot, if anybody wants to know.
    #[inline]
    fn tell(&mut self, lot: u32, event: LotEvent) {
        if O::LOTS {
            let name = self.name(lot);
            self.watch.lot(self.now, name, event);
        }
    }

    fn name(&self, lot: u32) -> LotName {
        let lot = &self.lots[lot];
        let line = &self.lines[lot.line];
        LotName {
            order: self.orders[line.order].serial,
            line: line.no,
            web: lot.web.web,
            part: lot.part,
            number: lot.number,
            part_of_roll: lot.cut.first,
            rolls: lot.rolls,
        }
    }

    #[inline]
    fn retime_holds(&mut self) {
        let time = self.holds.next_time().unwrap_or(NEVER);
        let slot = self.holds_slot();
        self.slots.set(slot, time);
    }
}
