//! Published values of the statistics, the distributions and the trade's arithmetic.
//!
//! In: nothing. Out: [`Reference`]s. The unit tests at the foot of the modules check many more rows of the
//! same tables; here stands what a reader can follow.

mod choice;
mod distributions;
mod nist;
mod samples;
mod statistics;
mod trade;

use super::reference::Reference;

/// All of them, in the order of the page.
pub fn all() -> Vec<Reference> {
    let mut all = statistics::references();
    all.extend(samples::references());
    all.extend(nist::references());
    all.extend(choice::references());
    all.extend(distributions::references());
    all.extend(trade::references());
    all
}

/// A value of a group and source with half a unit of the last printed digit (`digits` after the point) as
/// tolerance; `computed` and `wrong` as in [`Reference`].
fn printed(
    (group, source): (&'static str, &'static str),
    what: impl Into<String>,
    (expected, digits): (f64, i32),
    computed: f64,
    wrong: f64,
) -> Reference {
    Reference {
        group,
        what: what.into(),
        source,
        expected,
        // A hair more, for values that end in a five.
        tolerance: 0.5001 * 10_f64.powi(-digits),
        computed,
        wrong,
    }
}

/// As [`printed`], with a relative tolerance.
fn relative(
    (group, source): (&'static str, &'static str),
    what: impl Into<String>,
    (expected, tolerance): (f64, f64),
    computed: f64,
    wrong: f64,
) -> Reference {
    Reference {
        group,
        what: what.into(),
        source,
        expected,
        tolerance: tolerance * expected.abs(),
        computed,
        wrong,
    }
}
