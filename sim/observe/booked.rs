//! When the orders of the order book were done in one replication; nothing else is kept.

use crate::kernel::NEVER;
use crate::model::Model;
use crate::record::{Finished, Observe, Unfinished};
use crate::units::Tick;

/// What one replication says of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookTimes {
    /// Done by place in the book; `NEVER` where the clock ended first.
    pub done: Vec<Tick>,
    /// Promised by place in the book; `NEVER` without a promise, or where the order never came in.
    pub due: Vec<Tick>,
    /// By place in the book: it was done with fewer good pouches than ordered.
    pub short: Vec<bool>,
}

/// Listens for booked orders.
#[derive(Debug, Clone)]
pub struct Booked {
    /// Serial number in the replication and place in the book, both rising.
    serials: Vec<(u32, usize)>,
    times: BookTimes,
}

impl Booked {
    /// Nothing heard yet.
    pub fn new(model: &Model) -> Self {
        let orders = model.plant.book.len();
        Self {
            serials: Vec::with_capacity(orders),
            times: BookTimes {
                done: vec![NEVER; orders],
                due: vec![NEVER; orders],
                short: vec![false; orders],
            },
        }
    }

    /// What was heard.
    pub fn times(self) -> BookTimes {
        self.times
    }

    fn entry(&self, order: u32) -> Option<usize> {
        let place = self
            .serials
            .binary_search_by_key(&order, |row| row.0)
            .ok()?;
        self.serials.get(place).map(|row| row.1)
    }

    fn note(&mut self, order: u32, done: Tick, due: Tick) {
        if let Some(entry) = self.entry(order) {
            self.times.done[entry] = done;
            self.times.due[entry] = due;
        }
    }
}

impl Observe for Booked {
    const LOTS: bool = false;

    fn asks(&self, _: Tick, _: Tick) -> bool {
        false
    }

    fn booked(&mut self, order: u32, entry: usize) {
        self.serials.push((order, entry));
    }

    fn finished(&mut self, order: Finished<'_>) {
        self.note(order.order, order.done, order.due);
        if let Some(entry) = self.entry(order.order) {
            self.times.short[entry] = order.good < order.ordered;
        }
    }

    fn unfinished(&mut self, order: Unfinished) {
        self.note(order.order, NEVER, order.due);
    }
}
