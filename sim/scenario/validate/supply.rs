//! Materials besides the printed web that may come late.
//!
//! In: the keys `kit` and `supplies` of a product. Out: what each of its stations waits for; a warning about a
//! material that no station of the product's way uses.

use crate::plant::{Plant, Supply, Used};
use crate::trade::Format;
use crate::units::Dimension;

use super::super::file::{self, ScenarioFile, by_name};
use super::super::problem::Problem;
use super::{At, Checker, Names};

/// Those of any product, by name.
pub(super) fn supplies(
    check: &mut Checker,
    names: &Names,
    at: &At,
    written: &file::Product,
) -> Vec<Supply> {
    let at = at.key("supplies");
    let mut out = Vec::new();
    for (name, supply) in &written.supplies {
        let at = at.key(name);
        let mut stations = Vec::new();
        for (index, station) in supply.at.iter().enumerate() {
            let place = at.key("at").item(index).value();
            stations.extend(check.find(place, station, &names.stations, "a station"));
        }
        out.push(Supply {
            name: name.clone(),
            used: Used::At(stations),
            there: check.random(&at.key("after"), &supply.after.0, Dimension::Duration),
        });
    }
    out.sort_by(|a, b| by_name(&a.name, &b.name));
    out
}

/// Those of a pouch: its kit, then the others.
pub(super) fn of_pouch(
    check: &mut Checker,
    names: &Names,
    at: &At,
    written: &file::Product,
    format: Format,
) -> Vec<Supply> {
    let mut out = Vec::new();
    if let Some(text) = &written.kit {
        let at = at.key("kit");
        if !format.needs_pouching() {
            check.push(
                Problem::warning(
                    at.name(),
                    "`kit` has no effect: roll-stock makes no pouches",
                )
                .expected("no `kit`, or a pouch format"),
            );
        }
        out.push(Supply {
            name: "kit".to_string(),
            used: Used::Pouching,
            there: check.random(&at, &text.0, Dimension::Duration),
        });
    }
    if let (Some(_), true) = (&written.kit, written.supplies.contains_key("kit")) {
        check.push(
            Problem::error(
                at.key("supplies").key("kit").name(),
                "the product has a `kit` of its own already",
            )
            .expected("another name")
            .see(at.key("kit").name(), "its kit"),
        );
    }
    out.extend(supplies(check, names, at, written));
    out
}

/// Warns of what no station of the way of a product uses.
pub(super) fn unused(check: &mut Checker, file: &ScenarioFile, plant: &Plant) {
    for product in &plant.products {
        let Some(written) = file.products.get(&product.name) else {
            continue;
        };
        for (name, supply) in &written.supplies {
            for (index, station) in supply.at.iter().enumerate() {
                let found = plant.stations.iter().position(|s| s.name == *station);
                let passed = found.is_none_or(|found| product.route.contains(&found));
                if !passed && product.more_webs.is_empty() {
                    let at = At::block("products").key(&product.name).key("supplies");
                    check.push(
                        Problem::warning(
                            at.key(name).key("at").item(index).value(),
                            format!("`{name}` has no effect at `{station}`: the product never comes there"),
                        )
                        .expected("a station of its way"),
                    );
                }
            }
        }
    }
}
