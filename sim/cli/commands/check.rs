//! `check`: whether a scenario can be used.
//!
//! In: a file. Out: one line on stdout if it can; all problems and warnings on stderr.

use crate::model;
use crate::plant::Plant;
use crate::scenario::{Place, Problem, Step};
use crate::summary::station_bounds;

use super::super::args::Check;
use super::super::console;
use super::super::effort;
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
    let cost = effort::of(plant);
    let mut load = overloaded(plant);
    load.extend(effort::problem(&cost));
    if !load.is_empty() {
        let report = study.base.warnings.with(load.clone());
        console::say(&report.render(console::colour(), console::columns()));
    }
    let warnings = study.base.warnings.count() + study.warnings.count() + load.len();
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
        "{}: {state} ({}, {}, {}, {}{booked}{compared})\na run: {}",
        file.name,
        count(plant.products.len(), "product"),
        count(plant.stations.len(), "station"),
        count(machines, "machine"),
        count(plant.arrivals.len(), "stream"),
        effort::words(&cost),
    ))?;
    Ok(Exit::Done)
}

/// Stations that cannot keep up by arithmetic alone.
fn overloaded(plant: &Plant) -> Vec<Problem> {
    let bounds = station_bounds(&model::compile(plant.clone()));
    let over = plant.stations.iter().zip(&bounds);
    over.filter(|(_, bound)| bound.lasting > 1.0)
        .map(|(station, bound)| {
            let key = |name: &str| Step::Key(name.to_string());
            Problem::warning(
                Place::Key(vec![key("stations"), key(&station.name)]),
                format!(
                    "more work comes than `{}` can do: at least {:.0} % of its open time is needed",
                    station.name,
                    bound.lasting * 100.0
                ),
            )
            .help("fewer or smaller orders, more open time, or one machine more")
            .note("by arithmetic from the streams alone, with no changeover but that of each job; `run` says the rest")
        })
        .collect()
}
