//! pouchcast: a simulator of the print-to-pouch finishing cell.
pub mod plant;
pub mod random;
pub mod scenario;
pub mod stats;
pub mod trade;
pub mod units;
