//! Quantities with their units: the only way a quantity enters a scenario.
//!
//! In: text such as `30 m/min`, `2 days` or `4 %`, and the [`Dimension`] that is wanted.
//! Out: one `f64` in the base unit of the dimension, or a [`QuantityError`] that says what was
//! found, what is expected and what to write instead. Also the way back: numbers to text for
//! metric and inch readers, and the integer clock ([`Tick`]) the simulation counts in.

mod dimension;
mod error;
mod format;
mod number;
mod quantity;
mod ticks;

pub use dimension::Dimension;
pub use error::{Problem, QuantityError};
pub use format::{
    Reader, duration, ends, grouped, metres, money, percent, pouches, quantity_text, small_length,
    speed,
};
pub use quantity::parse_quantity;
pub use ticks::{
    TICKS_PER_MINUTE, Tick, ceiling, minutes_from_ticks, ticks_from_minutes, whole, whole_above,
};
