//! `check`: whether a scenario can be used.
//!
//! In: a file. Out: one line on stdout if it can; all problems and warnings on stderr.

use super::super::args::Check;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::load::load;

/// Checks a scenario.
///
/// # Errors
/// As [`load`].
pub fn check(asked: &Check) -> Result<Exit, Failure> {
    let scenario = load(&asked.file, false)?;
    let plant = &scenario.loaded.plant;
    let machines: usize = plant
        .stations
        .iter()
        .map(|station| station.machines.len())
        .sum();
    let warnings = scenario.loaded.warnings.problems.len();
    let state = match warnings {
        0 => "no problems".to_string(),
        1 => "usable, with 1 warning".to_string(),
        _ => format!("usable, with {warnings} warnings"),
    };
    let count = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let booked = match plant.book.len() {
        0 => String::new(),
        n => format!(", {} in the book", count(n, "order")),
    };
    console::data(&format!(
        "{}: {state} ({}, {}, {}, {}{booked})",
        scenario.name,
        count(plant.products.len(), "product"),
        count(plant.stations.len(), "station"),
        count(machines, "machine"),
        count(plant.arrivals.len(), "stream"),
    ))?;
    Ok(Exit::Done)
}
