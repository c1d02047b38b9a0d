//! The whole of one replication, kept: for the timeline, the order list and the story of an order.

use crate::kernel::NEVER;
use crate::plant::Plant;
use crate::record::{Finished, LotEvent, LotName, Observe, Refused, State, Unfinished};
use crate::units::Tick;

/// A machine in a state, from when to when, on which order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StateRow {
    /// Machine index.
    pub machine: usize,
    /// State.
    pub state: State,
    /// Ticks.
    pub from: Tick,
    /// Ticks.
    pub to: Tick,
    /// Lot on it.
    pub lot: Option<LotName>,
}

/// An order of the traced replication.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderRow {
    /// Serial number.
    pub order: u32,
    /// Class index.
    pub class: usize,
    /// Product of the first SKU.
    pub product: usize,
    /// SKUs.
    pub skus: u32,
    /// Ordered.
    pub ordered: i64,
    /// Good; `None` while unfinished.
    pub good: Option<i64>,
    /// Ticks.
    pub released: Tick,
    /// Ticks; `None` without a promise.
    pub due: Option<Tick>,
    /// Ticks.
    pub first_pouch: Option<Tick>,
    /// Ticks.
    pub packed: Option<Tick>,
    /// Ticks.
    pub done: Option<Tick>,
    /// Released in the measured time.
    pub measured: bool,
    /// Ticks by queue of each station, then by kind of time spent; empty while unfinished.
    pub split: Vec<Tick>,
}

/// An event in the life of a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StoryRow {
    /// Ticks.
    pub at: Tick,
    /// Lot.
    pub lot: LotName,
    /// What happened.
    pub event: LotEvent,
}

/// Everything that happened in one replication.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trace {
    /// Machine states in the order in which they ended, those that ended together by machine.
    pub states: Vec<StateRow>,
    /// Orders in the order in which they were done, unfinished ones last.
    pub orders: Vec<OrderRow>,
    /// Lot events in time order.
    pub stories: Vec<StoryRow>,
    /// Orders that were not taken, in time order.
    pub refused: Vec<Refused>,
    /// Orders that came from the order book: serial number, place in the book.
    pub booked: Vec<(u32, usize)>,
    /// Place of the last row of each machine.
    last: Vec<usize>,
}

impl Trace {
    /// Brings the states into their order, since machines tell theirs each in its own time.
    pub fn sort(&mut self) {
        self.states.sort_by_key(|row| (row.to, row.machine));
        self.last.clear();
    }

    /// The order's own number in the order book.
    pub fn book_name<'a>(&self, plant: &'a Plant, order: u32) -> Option<&'a str> {
        let entry = self.booked.iter().find(|row| row.0 == order)?.1;
        plant.book.get(entry).map(|booked| booked.name.as_str())
    }

    /// What an order is called: its own number in the order book, or else its serial number.
    pub fn name(&self, plant: &Plant, order: u32) -> String {
        self.book_name(plant, order)
            .map_or_else(|| order.to_string(), str::to_owned)
    }
}

/// Whether both are rolls of one web, or no lot at all: a machine in one state over several of them is one stretch.
fn is_beside(one: Option<LotName>, other: Option<LotName>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => one.is_beside(&other),
        (None, None) => true,
        _ => false,
    }
}

fn known(tick: Tick) -> Option<Tick> {
    (tick != NEVER).then_some(tick)
}

impl Observe for Trace {
    fn refused(&mut self, order: Refused) {
        self.refused.push(order);
    }

    fn state(&mut self, machine: usize, state: State, from: Tick, to: Tick, lot: Option<LotName>) {
        // A resumed state without anything between is one stretch.
        if self.last.len() <= machine {
            self.last.resize(machine + 1, usize::MAX);
        }
        if let Some(last) = self.states.get_mut(self.last[machine])
            && last.state == state
            && last.to == from
            && is_beside(last.lot, lot)
        {
            last.to = to;
            return;
        }
        self.last[machine] = self.states.len();
        self.states.push(StateRow {
            machine,
            state,
            from,
            to,
            lot,
        });
    }

    fn lot(&mut self, at: Tick, lot: LotName, event: LotEvent) {
        self.stories.push(StoryRow { at, lot, event });
    }

    fn booked(&mut self, order: u32, entry: usize) {
        self.booked.push((order, entry));
    }

    fn finished(&mut self, order: Finished<'_>) {
        self.orders.push(OrderRow {
            order: order.order,
            class: order.class,
            product: order.product,
            skus: order.skus,
            ordered: order.ordered,
            good: Some(order.good),
            released: order.released,
            due: known(order.due),
            first_pouch: known(order.first_pouch),
            packed: Some(order.packed),
            done: Some(order.done),
            measured: order.measured,
            split: order.split.to_vec(),
        });
    }

    fn unfinished(&mut self, order: Unfinished) {
        self.orders.push(OrderRow {
            order: order.order,
            class: order.class,
            product: order.product,
            skus: order.skus,
            ordered: order.ordered,
            good: None,
            released: order.released,
            due: known(order.due),
            first_pouch: None,
            packed: None,
            done: None,
            measured: order.measured,
            split: Vec::new(),
        });
    }
}
