//! pouchcast: a simulator of the print-to-pouch finishing cell.
pub mod cli;
pub mod explain;
pub mod kernel;
pub mod model;
pub mod observe;
pub mod plant;
pub mod random;
pub mod record;
pub mod replicate;
pub mod report;
pub mod scenario;
pub mod shop;
pub mod stats;
pub mod summary;
pub mod trade;
pub mod units;
