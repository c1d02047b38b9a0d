//! What limits, in words: the station, and its machine where that one has to be named.
//!
//! In: names and shares. Out: part of a sentence, the same for a run and a comparison.

use crate::summary::{Busy, Summary};
use crate::units::percent;

use super::words::clean;

/// Pools in a row: `operators or helpers`.
fn pools(machine: &Busy) -> String {
    match machine.people.is_empty() {
        true => "people".to_owned(),
        false => clean(&machine.people.join(" or ")),
    }
}

/// A machine beside its station: `its narrow_machine 100.0 %`, `pm waits for packers 100.0 % of its open time`.
///
/// `used`: the use of the station, in words.
pub fn of(station: &str, used: &str, machine: Option<&Busy>) -> String {
    let Some(machine) = machine else {
        return format!("{station}: used {used} of its open time");
    };
    let name = clean(&machine.name);
    let waits = || {
        format!(
            "waits for {} {}",
            pools(machine),
            percent(machine.waits_people)
        )
    };
    if machine.waits() && machine.waits_people >= machine.used {
        format!(
            "{station}: {name} {} of its open time and is used {}",
            waits(),
            percent(machine.used)
        )
    } else if machine.waits() {
        format!(
            "{station}: used {used} of its open time, its {name} {}; it {}",
            percent(machine.used),
            waits()
        )
    } else {
        format!(
            "{station}: used {used} of its open time, its {name} {}",
            percent(machine.used)
        )
    }
}

/// The same as the reason why a cell does not keep up: `pouching is used 60.0 % of its open time, its narrow_machine
/// 100.0 %, and its queue grows`.
pub fn reason(station: &str, used: &str, machine: Option<&Busy>) -> String {
    match machine {
        Some(m) if m.waits() && m.waits_people >= m.used => format!(
            "{} waits for {} {} of its open time",
            clean(&m.name),
            pools(m),
            percent(m.waits_people)
        ),
        Some(m) if m.waits() => format!(
            "{station} is used {used} of its open time, its {} {} and waits for {} {}, and its queue grows",
            clean(&m.name),
            percent(m.used),
            pools(m),
            percent(m.waits_people)
        ),
        Some(m) => format!(
            "{station} is used {used} of its open time, its {} {}, and its queue grows",
            clean(&m.name),
            percent(m.used)
        ),
        None => format!("{station} is used {used} of its open time and its queue grows"),
    }
}

/// The reason of a summary by itself.
pub fn reason_of(summary: &Summary, station: &str) -> String {
    let b = &summary.bottleneck;
    let used = summary
        .estimates
        .get(summary.layout.station(b.station))
        .map_or_else(String::new, |used| percent(used.mean));
    reason(&clean(station), &used, b.machine.as_ref())
}
