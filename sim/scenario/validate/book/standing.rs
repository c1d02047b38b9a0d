//! Begun work of an order book: where it stands, and the machine it is on.
//!
//! In: a row of the book, its product and the plant. Out: the step of the route, the age of the bond and the
//! minutes left on a machine, or what is wrong with the cells.

use crate::plant::fit::fits;
use crate::plant::{Plant, Product, Standing, Work};
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
    if fits(plant, product, 0, machines.get(on)?).is_err() {
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
