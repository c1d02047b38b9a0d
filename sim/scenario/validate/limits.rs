//! Limits of a scenario, before anything is drawn or expanded: times longer than any run, events without end, more of
//! anything than a cell has.
//!
//! In: a distribution as read, or the file. Out: the same, or a complaint and something harmless in its place, so that
//! the checks that follow do not expand what is refused. The limits are listed in docs/robust.md.

use crate::random::Dist;
use crate::units::Dimension;

use super::super::file::{Named, ScenarioFile};
use super::super::problem::{Place, Problem};
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

/// Most people of a pool, all its shifts together: the absence of each is drawn anew every day. Cells of the trade have
/// two to thirty (common practice, no source).
const MOST_PEOPLE: u32 = 1_000;

/// Most machines of a cell, each of a `count` for itself: tables are kept for every product on every machine.
const MOST_MACHINES: u32 = 200;

/// Says that something is beyond a limit.
fn refuse(check: &mut Checker, place: Place, message: String, expected: String) {
    check.push(
        Problem::error(place, message)
            .expected(expected)
            .help("check the number and its unit"),
    );
}

/// Whether the file has no more of anything than a cell; what has more is refused before it is looked at further.
pub(super) fn sizes(check: &mut Checker, file: &ScenarioFile) -> bool {
    let before = check.problems.len();
    let blocks = [
        ("calendars", file.calendars.len(), 1_000),
        ("people", file.people.len(), 100),
        ("rooms", file.rooms.len(), 100),
        ("films", file.films.len(), 1_000),
        ("adhesives", file.adhesives.len(), 1_000),
        ("laminates", file.laminates.len(), 1_000),
        ("products", file.products.len(), 1_000),
        ("stations", file.stations.len(), 100),
        ("classes", file.classes.len(), 100),
        ("orders", file.orders.len(), 1_000),
    ];
    for (block, size, most) in blocks {
        if size > most {
            refuse(
                check,
                At::block(block).name(),
                format!("`{block}` has {size} entries"),
                format!("at most {most}"),
            );
        }
    }
    let mut machines = 0;
    for (station, written) in &file.stations {
        let before = machines;
        for (_, common) in written.view().machines {
            machines += common.count;
        }
        if before <= MOST_MACHINES && machines > MOST_MACHINES {
            refuse(
                check,
                At::block("stations").key(station).key("machines").name(),
                format!("with `{station}` the cell has {machines} machines or more"),
                format!("at most {MOST_MACHINES}, each of a `count` for itself"),
            );
        }
    }
    for (pool, written) in &file.people {
        people(
            check,
            &At::block("people").key(pool).key("shifts"),
            &written.shifts,
        );
    }
    check.problems.len() == before
}

/// People of a pool, told at the shift with which they are too many.
fn people(check: &mut Checker, shifts: &At, written: &Named<u32>) {
    let mut all: u32 = 0;
    for (shift, &people) in written {
        all = all.saturating_add(people);
        if all > MOST_PEOPLE {
            return refuse(
                check,
                shifts.key(shift).value(),
                format!("{people} people in `{shift}` are more than a cell has"),
                format!("at most {MOST_PEOPLE} people of a pool, all its shifts together"),
            );
        }
    }
}

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
    refuse(
        check,
        at.value(),
        format!("`{}` {what}", text.trim()),
        format!("{words} on average, and so its deviation"),
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
    refuse(check, at.value(), message, words.to_owned());
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
