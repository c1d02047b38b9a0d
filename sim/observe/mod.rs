//! Listeners: what one replication leaves behind.
//!
//! * [`booked`]: when the orders of the order book were done.
//! * `fate`: what became of the orders: done, short, not taken.
//! * `groups`: figures of all orders, of those of a class or a product.
//! * [`layout`]: the list of figures a cell has: key, label, unit, in one fixed order.
//! * [`money`]: what a replication costs and brings, where the scenario speaks of it.
//! * [`spans`]: spans of time of one replication, fine enough for quantiles.
//! * [`tally`]: counts a replication down to those figures.
//! * [`trace`]: keeps the whole story of one replication (timeline, orders, events).
//!
//! In: the engine's records. Out: [`Outcome`] and [`Trace`]. The warm-up is a matter of this module
//! alone: the engine runs through it without knowing.

pub mod booked;
mod fate;
mod groups;
pub mod histogram;
pub mod layout;
pub mod money;
pub mod spans;
pub mod tally;

pub mod trace;
pub mod web;

pub use booked::{BookTimes, Booked};
pub use layout::{Kind, Layout, Measure, QUANTILES};
pub use tally::{Outcome, Tally};
pub use trace::{OrderRow, StateRow, StoryRow, Trace};
