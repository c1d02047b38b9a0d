//! The checks that simulate, by mechanism.
//!
//! In: nothing. Out: [`Check`]s. Each names its source; closed forms were computed in double precision by a
//! program of their own, and published numbers are quoted with the digits that were printed.

mod closed;
mod cure;
mod networks;
mod rank;
mod room;
mod single;
mod stops;
mod traces;
mod transient;

use super::check::Check;

/// All of them, in the order of the page.
pub fn all() -> Vec<Check> {
    let mut all = traces::checks();
    all.extend(single::checks());
    all.extend(rank::checks());
    all.extend(transient::checks());
    all.extend(stops::checks());
    all.extend(room::checks());
    all.extend(closed::checks());
    all.extend(networks::checks());
    all.extend(cure::checks());
    all
}
