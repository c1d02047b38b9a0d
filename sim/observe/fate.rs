//! What became of the orders of a class or a product: done, come out short, not taken.
//!
//! In: orders as they end or are refused. Out: numbers that the figures of a group are made of.

use crate::record::{Finished, Refused};

/// Orders of one group.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Fate {
    /// Done in the measured time, whenever they came in.
    pub done: u64,
    /// Good pouches of these.
    pub pouches: i64,
    /// Measured orders that were done.
    pub ended: u64,
    /// Of these, with fewer good pouches than ordered.
    pub short: u64,
    /// Pouches ordered with the measured orders that were done.
    pub ordered: i64,
    /// Of these, missing.
    pub missing: i64,
    /// Measured orders turned away.
    pub turned_away: u64,
    /// Pouches of these.
    pub pouches_away: i64,
    /// Measured orders sent out.
    pub sent_out: u64,
    /// Of these, delivered by the other shop in time.
    pub out_in_time: u64,
    /// Pouches of the orders sent out.
    pub pouches_out: i64,
}

impl Fate {
    /// A measured order is done.
    pub fn ended(&mut self, order: &Finished<'_>) {
        self.ended += 1;
        self.ordered += order.ordered;
        let missing = (order.ordered - order.good).max(0);
        self.missing += missing;
        self.short += u64::from(missing > 0);
    }

    /// A measured order is not taken.
    pub fn refused(&mut self, order: &Refused) {
        match order.outside {
            None => {
                self.turned_away += 1;
                self.pouches_away += order.ordered;
            }
            Some(there) => {
                self.sent_out += 1;
                self.out_in_time += u64::from(there <= order.due);
                self.pouches_out += order.ordered;
            }
        }
    }

    /// Adds those of another group.
    pub fn add(&mut self, other: &Self) {
        self.done += other.done;
        self.pouches += other.pouches;
        self.ended += other.ended;
        self.short += other.short;
        self.ordered += other.ordered;
        self.missing += other.missing;
        self.turned_away += other.turned_away;
        self.pouches_away += other.pouches_away;
        self.sent_out += other.sent_out;
        self.out_in_time += other.out_in_time;
        self.pouches_out += other.pouches_out;
    }
}
