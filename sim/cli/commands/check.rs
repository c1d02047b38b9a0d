//! `check`: whether a scenario can be used.
//!
//! In: a file. Out: one line on stdout if it can; all problems and warnings on stderr.

use super::super::args::Check;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::load::load_study;

/// Checks a scenario.
///
/// # Errors
/// As [`load_study`].
pub fn check(asked: &Check) -> Result<Exit, Failure> {
    let file = load_study(&asked.file, false)?;
    let study = &file.study;
    let plant = &study.base.plant;
    let machines: usize = plant
        .stations
        .iter()
        .map(|station| station.machines.len())
        .sum();
    let warnings = study.base.warnings.problems.len() + study.warnings.problems.len();
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
    let compared = match (study.variants.len() - 1, study.demands.len()) {
        (0, 1) => String::new(),
        (variants, 1) => format!(", {}", count(variants, "variant")),
        (variants, demands) => format!(
            ", {}, {}",
            count(variants, "variant"),
            count(demands, "demand case")
        ),
    };
    console::data(&format!(
        "{}: {state} ({}, {}, {}, {}{booked}{compared})",
        file.name,
        count(plant.products.len(), "product"),
        count(plant.stations.len(), "station"),
        count(machines, "machine"),
        count(plant.arrivals.len(), "stream"),
    ))?;
    Ok(Exit::Done)
}
