//! pouchcast: a simulator of the print-to-pouch finishing cell.
//!
//! In: a scenario, the text of a YAML file. Out: which lead times the cell keeps, what limits it and
//! where the time of an order goes, with intervals. From one to the other:
//!
//! ```text
//! scenario text
//!    | scenario::read        every problem at once, each with its line
//!    v
//! Plant                      plain data: names resolved, units converted (minutes, metres, mm)
//!    | model::compile        opening times as intervals, one job per product, web, step and machine
//!    v
//! Model                      dense tables, read only, shared by all threads
//!    | shop (on kernel)      one replication, event by event; tells an Observe what happens
//!    v
//! Outcome                    one number for every figure of observe::Layout
//!    | replicate::many       folded in order of their numbers, whatever the number of threads
//!    v
//! Experiment                 mean and variance of every figure
//!    | summary               intervals, bottleneck, bounds by arithmetic, warnings
//!    v
//! Summary  -> report         text, tables, charts, files; cli does all reading and writing
//! ```
//!
//! A module may use those of the layers below it and none beside or above: units; then stats, random,
//! trade, finance and kernel; then plant; then scenario, model and record; then shop, observe, replicate,
//! summary (with steady beside it), compare and certify, one on the other; then explain, report and verify; then cli.
//! `DEVELOPERS.md` says where to begin with which change.

pub mod certify;
pub mod cli;
pub mod compare;
pub mod explain;
pub mod finance;
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
pub mod steady;
pub mod summary;
pub mod trade;
pub mod units;
pub mod verify;
