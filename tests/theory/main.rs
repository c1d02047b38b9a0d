//! The engine against queueing theory, hand simulations and schedules, through scenario files.
//!
//! In: scenario texts (bench stations, and the trade's stations where a mechanism needs them). Out: passes.
//! Every exact value names its source. Closed forms were computed independently in double precision.

mod harness;
mod networks;
mod single;
mod stops;
mod traces;
