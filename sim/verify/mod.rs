//! Every figure can be checked: the one table of published and reference values that the program
//! reproduces.
//!
//! In: nothing but this table. Out: [`Check`]s, each a scenario that goes the whole way of a user's
//! (reader, model, engine, estimate) with the values theory gives for it; [`Reference`]s, single values of
//! the statistics, the distributions and the trade's arithmetic; the verdict on each, and the same as text
//! for the screen and as a page of the documentation.
//!
//! A check of chance holds when
//! * the simulated mean lies within its interval of the published value. The intervals hold all together
//!   with 99.9 % (Student's t over replications, the 0.1 % shared out over all values, Bonferroni), and
//! * the mean is known well enough for that to say something: its standard error is at most the share of
//!   the value that the check states, and
//! * a twin of the scenario with one number at most 10 % off fails the same comparison. A check that cannot
//!   fail would be worth nothing.

mod cases;
mod check;
mod floor;
mod judge;
mod page;
mod reference;
mod references;
mod screen;

pub use check::{Check, Claim, Demand, Figure};
pub use judge::{COMPARISONS, Judged, Line, Verdict, judge};
pub use page::page;
pub use reference::Reference;
pub use screen::screen;

/// All checks that simulate.
pub fn checks() -> Vec<Check> {
    cases::all()
}

/// All values that need no simulation.
pub fn references() -> Vec<Reference> {
    references::all()
}
