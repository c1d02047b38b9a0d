//! Limits of what varies, before anything is drawn or expanded: times longer than any run, events without end.
//!
//! In: a distribution as read. Out: the same, or a complaint and something harmless in its place, so that the checks
//! that follow do not expand what is refused.

use crate::random::Dist;
use crate::units::Dimension;

use super::super::problem::Problem;
use super::{At, Checker};

/// Longest mean (and deviation) of a time, minutes: 520 weeks, as for times that do not vary.
const LONGEST_MIN: f64 = 520.0 * 10_080.0;

/// Shortest mean span between two events of one cause, minutes: a second. Machines of the trade stop some times an
/// hour (common practice, no source); a stop every millisecond would keep a run busy without end.
const SHORTEST_SPAN_MIN: f64 = 1.0 / 60.0;

/// Shortest mean length between two events of one cause, metres.
const SHORTEST_SPAN_M: f64 = 0.1;

/// Largest mean (and deviation) of anything else: quantities, lengths, shares.
const LARGEST: f64 = 1e12;

/// A quantity that may vary, with a mean and a deviation that a run can hold.
pub(super) fn within(
    check: &mut Checker,
    at: &At,
    text: &str,
    dimension: Dimension,
    dist: Dist,
) -> Dist {
    let (most, words) = match dimension {
        Dimension::Duration => (LONGEST_MIN, "at most 520 weeks"),
        _ => (LARGEST, "at most 1e12"),
    };
    let (mean, sd) = (dist.mean(), dist.sd());
    // Not `>`: what is no number is not within either.
    let what = match (mean.abs() <= most, sd <= most) {
        (true, true) => return dist,
        (false, _) => "is beyond any real one",
        (true, false) => "varies beyond any real one",
    };
    check.push(
        Problem::error(at.value(), format!("`{}` {what}", text.trim()))
            .expected(format!("{words} on average, and so its deviation"))
            .help("check the number and its unit"),
    );
    // As near to it as is allowed, so that nothing else seems wrong for it; what is no number is nothing.
    Dist::Constant(if mean > 0.0 { mean.min(most) } else { 0.0 })
}

/// A span between events: more than nothing, and not so short that a run would never end.
pub(super) fn span(
    check: &mut Checker,
    at: &At,
    text: &str,
    dimension: Dimension,
    dist: Dist,
) -> Dist {
    let (least, words) = match dimension {
        Dimension::Length => (SHORTEST_SPAN_M, "at least 0.1 m on average"),
        _ => (SHORTEST_SPAN_MIN, "at least a second on average"),
    };
    let mean = dist.mean();
    // A millionth of grace for what is converted from other units.
    if mean >= least * (1.0 - 1e-6) {
        return dist;
    }
    let message = match mean > 1e-6 {
        true => format!("`{}` makes more events than a run can hold", text.trim()),
        false => format!("`{}` leaves no time in between", text.trim()),
    };
    check.push(
        Problem::error(at.value(), message)
            .expected(words)
            .help("check the number and its unit"),
    );
    Dist::Constant(1440.0)
}

#[cfg(test)]
mod tests {
    use super::super::super::form;
    use super::*;

    fn said(text: &str, between: bool) -> Vec<String> {
        let mut check = Checker {
            problems: Vec::new(),
        };
        let at = At::block("x");
        let dist = match between {
            true => check.span(&at, text, Dimension::Duration),
            false => check.random(&at, text, Dimension::Duration),
        };
        let used = dist.mean() <= LONGEST_MIN && dist.sd() <= LONGEST_MIN;
        assert!(used, "{text}: {dist:?} would be used");
        let problems = check.problems.into_iter();
        problems.map(|problem| problem.message).collect()
    }

    #[test]
    fn times_and_spans_that_no_run_holds_are_refused() {
        for text in [
            "30000000 d",
            "lognormal, median 400 weeks, sigma 3",
            "exponential, mean 9000000 d",
        ] {
            let read = form::random(text, Dimension::Duration);
            assert!(read.is_ok(), "{text}: {read:?}");
            assert_eq!(said(text, false).len(), 1, "{text}");
        }
        assert_eq!(said("30 d", false), [""; 0]);
        assert_eq!(said("520 weeks", false), [""; 0]);
        assert_eq!(said("exponential, mean 0.001 s", true).len(), 1);
        assert_eq!(said("1 s", true), [""; 0]);
    }
}
