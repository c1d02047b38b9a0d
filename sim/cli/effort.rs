//! What a run will cost, said before it: in one line for people, or as the refusal of what no machine can do.
//!
//! In: a plant, and how many cells are run. Out: words, or a problem at the length of the run.

use crate::model;
use crate::plant::Plant;
use crate::scenario::{Place, Problem, Step};
use crate::summary::effort::{EVENTS_MAX, EVENTS_PER_S, Effort, MEMORY_MAX, effort};
use crate::units::duration;

/// A run on one core that is worth a warning, seconds.
const LONG_S: f64 = 1800.0;
/// Memory that is worth one, bytes.
const LARGE: f64 = 2e9;

/// The effort of a plant as it stands.
pub fn of(plant: &Plant) -> Effort {
    effort(&model::compile(plant.clone()))
}

/// What is wrong with it: an error where it is not run, a warning where it takes long.
pub fn problem(effort: &Effort) -> Option<Problem> {
    let place = |key: &str| {
        let steps = ["run", key].map(|name| Step::Key(name.to_string()));
        Place::Value(steps.to_vec())
    };
    let help =
        "a shorter `measure`, fewer or larger orders, larger lots, longer spans between stops";
    let (events, memory) = (count(effort.events), bytes(effort.memory));
    if effort.events > EVENTS_MAX || effort.memory > MEMORY_MAX {
        let message = format!("one replication would take some {events} events and {memory}");
        return Some(
            Problem::error(place("measure"), message)
                .expected(format!(
                    "at most {} events and {}",
                    count(EVENTS_MAX),
                    bytes(MEMORY_MAX)
                ))
                .help(help),
        );
    }
    if effort.core_s() > LONG_S {
        let message = format!("the run will take long: {}", words(effort));
        return Some(
            Problem::warning(place("replications"), message)
                .help(format!("fewer `replications` for a first look; or {help}")),
        );
    }
    (effort.memory > LARGE).then(|| {
        let message = format!("the run will take much memory: some {memory}");
        Problem::warning(place("measure"), message).help(help)
    })
}

/// `about 95 million events, 24 s on one core, 30 MB`.
pub fn words(effort: &Effort) -> String {
    format!(
        "about {} orders and {} events in {} replications, some {} on one core at {} events a second, {}",
        count(effort.orders * effort.replications),
        count(effort.events * effort.replications),
        count(effort.replications),
        duration(effort.core_s() / 60.0),
        count(EVENTS_PER_S),
        bytes(effort.memory)
    )
}

/// A large number to two digits.
fn count(value: f64) -> String {
    let (value, word) = match value {
        v if v >= 1e12 => (v / 1e12, " million million"),
        v if v >= 1e9 => (v / 1e9, " thousand million"),
        v if v >= 1e6 => (v / 1e6, " million"),
        v if v >= 1e4 => (v / 1e3, " thousand"),
        v => return format!("{v:.0}"),
    };
    match value < 10.0 {
        true => format!("{value:.1}{word}"),
        false => format!("{value:.0}{word}"),
    }
}

fn bytes(value: f64) -> String {
    match value {
        v if v >= 1e12 => format!("{:.0} TB", v / 1e12),
        v if v >= 1e10 => format!("{:.0} GB", v / 1e9),
        v if v >= 1e9 => format!("{:.1} GB", v / 1e9),
        v => format!("{:.0} MB", v / 1e6),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn large_numbers_are_said_in_words() {
        assert_eq!(count(950.4), "950");
        assert_eq!(count(95_123_456.0), "95 million");
        assert_eq!(count(1.26e9), "1.3 thousand million");
        assert_eq!(bytes(31.2e6), "31 MB");
        assert_eq!(bytes(4.9e9), "4.9 GB");
    }
}
