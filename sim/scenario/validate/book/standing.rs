//! Begun work of an order book: where it stands, and the machine it is on.
//!
//! In: a row of the book, its product and the plant. Out: the step of the route, the age of the bond and the
//! minutes left on a machine, or what is wrong with the cells: a hold that was not kept, two lots on one machine.

use indexmap::IndexMap;

use crate::plant::fit::fits;
use crate::plant::way::passes_at;
use crate::plant::{Adhesive, Gates, Plant, Product, Standing, Work};
use crate::units::Dimension;

use super::super::super::book::{Column, Row, Table};
use super::super::super::form;
use super::super::super::nearest::list;
use super::super::super::problem::Problem;
use super::super::Checker;

/// Where begun work stands: on its product's route, with the age of its bond where it has one.
pub(super) fn standing(
    check: &mut Checker,
    plant: &Plant,
    table: &Table,
    row: &Row,
    product: &Product,
    station: usize,
    bonded_min: Option<f64>,
) -> Option<Standing> {
    let at = table.place(row, Column::At);
    let written = table.cell(row, Column::Bonded).is_some();
    let is_lamination = |stop: &usize| {
        plant
            .stations
            .get(*stop)
            .is_some_and(|station| station.work == Work::Lamination)
    };
    let mut stops =
        (0..product.route.len()).filter(|&step| product.route.get(step) == Some(&station));
    let name = plant.stations.get(station).map_or("", |s| s.name.as_str());
    let Some(first) = stops.next() else {
        check.push(
            Problem::error(at, format!("`{}` never comes to `{name}`", product.name)).expected(
                "a station on the route of the product, the one the work waits for at the start",
            ),
        );
        return None;
    };
    // A bonded roll before a laminator waits for its second pass.
    let step = match stops.next() {
        Some(second) if written && is_lamination(&station) => second,
        _ => first,
    };
    let laminated = product
        .route
        .get(..step)
        .is_some_and(|before| before.iter().any(is_lamination));
    match (laminated, written) {
        (true, false) => {
            check.push(
                Problem::error(
                    at,
                    format!("work before `{name}` has been laminated and lacks `bonded`"),
                )
                .expected("when its roll left the laminator, under `bonded`")
                .note("the hold counts from there; without it nobody knows when it may go on"),
            );
            return None;
        }
        (false, true) => {
            check.push(
                Problem::error(
                    table.place(row, Column::Bonded),
                    format!("work before `{name}` has not been laminated yet"),
                )
                .expected("no `bonded`, or a station after lamination under `at`"),
            );
            return None;
        }
        _ => {}
    }
    if bonded_min.is_some_and(|minutes| minutes > 0.0) {
        check.push(
            Problem::error(
                table.place(row, Column::Bonded),
                "it leaves the laminator after the start of the clock",
            )
            .expected("a moment at or before `start` of `run`")
            .note("a date without a time of day means the end of that day"),
        );
        return None;
    }
    if written && bonded_min.is_none() {
        return None;
    }
    Some(Standing {
        step,
        bonded_for_min: bonded_min.map(|minutes| -minutes),
        on: None,
    })
}

/// The machine that begun work is on, and the minutes its run still takes.
pub(super) fn on_machine(
    check: &mut Checker,
    plant: &Plant,
    table: &Table,
    row: &Row,
    product: usize,
    station: usize,
) -> Option<(usize, f64)> {
    let machines = &plant.stations.get(station)?.machines;
    let names: Vec<String> = machines.iter().map(|m| m.name.clone()).collect();
    let written = table.cell(row, Column::On)?.text.clone();
    let place = table.place(row, Column::On);
    let elsewhere = plant
        .stations
        .iter()
        .find(|other| other.machines.iter().any(|m| m.name == written));
    if let Some(other) = elsewhere.filter(|_| !names.contains(&written)) {
        check.push(
            Problem::error(
                place,
                format!("`{written}` is a machine of the station `{}`", other.name),
            )
            .expected(format!(
                "a machine of the station under `at`: {}",
                list(names.iter().map(String::as_str))
            )),
        );
        return None;
    }
    let on = check.find(place, &written, &names, "a machine of this station")?;
    let machine = machines.get(on)?;
    let passes = passes_at(plant, plant.products.get(product)?, 0, station);
    let takes = |&pass: &u8| fits(plant, product, 0, pass, machine).is_ok();
    if !passes.iter().any(takes) {
        check.push(
            Problem::error(
                table.place(row, Column::On),
                format!("`{written}` cannot make this product"),
            )
            .expected("a machine of the station that can"),
        );
        return None;
    }
    let text = table.cell(row, Column::Left)?.text.clone();
    match form::quantity(&text, Dimension::Duration) {
        Ok(minutes) => Some((on, minutes)),
        Err(complaint) => {
            check.push(complaint.at(table.place(row, Column::Left)));
            None
        }
    }
}

/// Machines that a lot of the book is on at the start, and the row that says so.
#[derive(Default)]
pub(super) struct Taken<'a> {
    machines: IndexMap<(usize, usize), &'a Row>,
}

impl<'a> Taken<'a> {
    /// Notes the machine of begun work; two lots cannot be on one machine.
    pub(super) fn note(
        &mut self,
        check: &mut Checker,
        plant: &Plant,
        table: &Table,
        row: &'a Row,
        station: usize,
        stands: Standing,
    ) {
        let Some((within, _)) = stands.on else { return };
        let Some(first) = self.machines.insert((station, within), row) else {
            return;
        };
        let machine = plant
            .stations
            .get(station)
            .and_then(|s| s.machines.get(within));
        let name = machine.map_or("", |m| m.name.as_str());
        check.push(
            Problem::error(
                table.place(row, Column::On),
                format!("`{name}` has another lot on it already"),
            )
            .expected("one lot on a machine; the others wait `at` its station")
            .see(table.place(first, Column::On), "the first one"),
        );
    }
}

/// Begun work has kept the holds of all it is through: no cure is below what its adhesive asks, not even in the past.
pub(super) fn hold_is_over(
    check: &mut Checker,
    plant: &Plant,
    table: &Table,
    row: &Row,
    product: &Product,
    stands: Standing,
) {
    let Some(age_min) = stands.bonded_for_min else {
        return;
    };
    let Some(laminate) = plant.laminates.get(product.laminate_of(0)) else {
        return;
    };
    let work = |step: usize| {
        let stop = product.route.get(step)?;
        plant.stations.get(*stop).map(|station| station.work)
    };
    let bonded = (0..stands.step)
        .rev()
        .find(|&step| work(step) == Some(Work::Lamination));
    let first = bonded.map_or(0, |step| step + 1);
    let is_pass = |&step: &usize| work(step) == Some(Work::Lamination);
    let made = (0..stands.step).filter(is_pass).count();
    let passes = laminate.passes.iter().take(made);
    let adhesives: Vec<&Adhesive> = passes
        .filter_map(|pass| plant.adhesives.get(pass.adhesive))
        .collect();
    let until = stands.step + usize::from(stands.on.is_some());
    let least = |gates: &Gates, work: Work| {
        let hold = match work {
            Work::Lamination => &gates.second_pass,
            Work::Slitting => &gates.slit,
            _ => &gates.pouch,
        };
        hold.support().0
    };
    for step in first..until {
        let Some(kind) = work(step) else { continue };
        // When the passes before the last one were made is not told: the longest hold of all counts from that one.
        let asks = |adhesive: &Adhesive| {
            let hot = adhesive.hot.as_ref().map(|hot| least(&hot.gates, kind));
            least(&adhesive.ambient, kind).min(hot.unwrap_or(f64::INFINITY))
        };
        let longest = adhesives
            .iter()
            .map(|adhesive| (asks(adhesive), *adhesive))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((asked, adhesive)) = longest.filter(|(asked, _)| age_min < *asked) else {
            continue;
        };
        let through = product
            .route
            .get(step)
            .and_then(|&stop| plant.stations.get(stop));
        let name = through.map_or("", |s| s.name.as_str());
        let how = if step == stands.step {
            "is on a machine of"
        } else {
            "is through"
        };
        check.push(
            Problem::error(
                table.place(row, Column::Bonded),
                format!(
                    "this work {how} `{name}`, though its roll left the laminator only {} before the start",
                    in_words(age_min)
                ),
            )
            .expected(format!(
                "at least {} between them, as `{}` asks",
                in_words(asked),
                adhesive.name
            ))
            .note("either the book is wrong, or a roll was taken too early: no plan may count on that"),
        );
        return;
    }
}

/// Minutes as people say them.
fn in_words(minutes: f64) -> String {
    if minutes < 120.0 {
        format!("{minutes:.0} min")
    } else {
        let hours = format!("{:.1}", minutes / 60.0);
        format!("{} h", hours.trim_end_matches(".0"))
    }
}
