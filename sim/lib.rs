//! pouchcast: a simulator of the print-to-pouch finishing cell.
pub mod random;
pub mod stats;
pub mod trade;
pub mod units;
