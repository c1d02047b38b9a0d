//! Films and laminates: caliper, weight, and which are alike.
//!
//! In: films and laminates as written. Out: the plant's laminates; equal numbers stand for equal
//! outer films and equal finishes.

use crate::plant::Laminate;
use crate::trade::laminate::{Ply, caliper_um, grammage_g_per_m2, printed_laminate};
use crate::units::Dimension;

use super::super::file::{self, Process, ScenarioFile};
use super::super::problem::Problem;
use super::{At, Checker, Names};

pub(super) fn laminates(check: &mut Checker, file: &ScenarioFile, names: &Names) -> Vec<Laminate> {
    let mut finishes: Vec<&str> = Vec::new();
    let mut outer_films: Vec<String> = Vec::new();
    let films: Vec<Option<Ply>> = file
        .films
        .iter()
        .map(|(name, film)| ply(check, name, film))
        .collect();
    let mut laminates = Vec::new();
    for (name, written) in &file.laminates {
        let at = At::block("laminates").key(name);
        let adhesive = check.find(
            at.key("adhesive").value(),
            &written.adhesive,
            &names.adhesives,
            "an adhesive",
        );
        let (caliper, weight) = match (&written.films, &written.caliper, &written.weight) {
            (Some(plies), None, None) => {
                let mut stack = Vec::new();
                for (index, film) in plies.iter().enumerate() {
                    let place = at.key("films").item(index).value();
                    if let Some(found) = check.find(place, film, &names.films, "a film") {
                        stack.extend(films.get(found).copied().flatten());
                    }
                }
                let bonds = bond_lines(file, plies, written);
                let stack = printed_laminate(&stack, bonds);
                (caliper_um(&stack), grammage_g_per_m2(&stack))
            }
            (None, Some(caliper), Some(weight)) => (
                check.above_zero(
                    &at.key("caliper"),
                    &caliper.0,
                    Dimension::Caliper,
                    1000.0,
                    "1000 um",
                ),
                check.above_zero(
                    &at.key("weight"),
                    &weight.0,
                    Dimension::MassPerArea,
                    1000.0,
                    "1000 g/m2",
                ),
            ),
            _ => {
                check.push(
                    Problem::error(
                        at.name(),
                        format!("`{name}` needs either `films`, or `caliper` and `weight`"),
                    )
                    .expected("`films: [...]` from the outside in, or both `caliper` and `weight`"),
                );
                (100.0, 100.0)
            }
        };
        // Without its films a laminate counts as a film of its own.
        let outer = written
            .films
            .as_ref()
            .and_then(|films| films.first())
            .map_or(format!("laminate {name}"), |film| format!("film {film}"));
        let film = index_in(&mut outer_films, outer);
        let finish = index_in(&mut finishes, written.finish.as_str());
        let price_per_m2 = written.price.as_ref().map_or(0.0, |text| {
            check.at_most(
                &at.key("price"),
                &text.0,
                Dimension::MoneyPerSquareMetre,
                10_000.0,
                "10000 /m2",
            )
        });
        enough_passes(check, file, &at, name, written);
        laminates.push(Laminate {
            treat: super::material::treated(written.treat),
            price_per_m2,
            name: name.clone(),
            caliper_um: caliper,
            weight_g_per_m2: weight,
            finish,
            film,
            adhesive: adhesive.unwrap_or_default(),
            passes: written.passes,
        });
    }
    laminates
}

/// A pass bonds one ply to what is there; plies of a reactive adhesive that are told one by one need a pass each
/// after the first.
fn enough_passes(
    check: &mut Checker,
    file: &ScenarioFile,
    at: &At,
    name: &str,
    written: &file::Laminate,
) {
    let reactive = file
        .adhesives
        .get(&written.adhesive)
        .is_some_and(|a| !matches!(a.process, Process::Thermal));
    let Some(plies) = written.films.as_ref().filter(|_| reactive) else {
        return;
    };
    let bonds = bond_lines(file, plies, written).saturating_sub(usize::from(written.bought_bonds));
    if bonds > usize::from(written.passes) {
        check.push(
            Problem::error(
                at.key("passes").value(),
                format!(
                    "`{name}` has {} films and {bonds} bonds to make here, but its passes are {}",
                    plies.len(),
                    written.passes
                ),
            )
            .expected(format!("`passes: {bonds}`"))
            .help("bonds that are bought in ready are told: `bought_bonds: 1`"),
        );
    }
}

/// Lines of adhesive between plies: none beside a coating; a thermal film whose coating is not told as a film of its
/// own brings its bond with each pass.
fn bond_lines(file: &ScenarioFile, plies: &[String], written: &file::Laminate) -> usize {
    let coating = |film: &String| file.films.get(film).is_some_and(|film| film.coating);
    let pairs = plies.windows(2);
    let bonds = pairs.filter(|pair| !pair.iter().any(coating)).count();
    let thermal = file
        .adhesives
        .get(&written.adhesive)
        .is_some_and(|a| a.process == Process::Thermal);
    if thermal && !plies.iter().any(coating) {
        bonds.saturating_sub(usize::from(written.passes))
    } else {
        bonds
    }
}

/// The index of `name`, added at the end if new.
fn index_in<T: PartialEq>(names: &mut Vec<T>, name: T) -> u16 {
    let index = names
        .iter()
        .position(|known| *known == name)
        .unwrap_or(names.len());
    if index == names.len() {
        names.push(name);
    }
    u16::try_from(index).unwrap_or(u16::MAX)
}

fn ply(check: &mut Checker, name: &str, film: &file::Film) -> Option<Ply> {
    let at = At::block("films").key(name);
    let thickness = check.above_zero(
        &at.key("caliper"),
        &film.caliper.0,
        Dimension::Caliper,
        500.0,
        "500 um",
    );
    match (&film.density, &film.weight) {
        (Some(density), None) => Some(Ply::film(
            thickness,
            check.above_zero(
                &at.key("density"),
                &density.0,
                Dimension::Density,
                10.0,
                "10 g/cm3",
            ),
        )),
        (None, Some(weight)) => Some(Ply::paper(
            check.above_zero(
                &at.key("weight"),
                &weight.0,
                Dimension::MassPerArea,
                1000.0,
                "1000 g/m2",
            ),
            thickness,
        )),
        _ => {
            check.push(
                Problem::error(
                    at.name(),
                    format!("`{name}` needs either `density` or `weight`"),
                )
                .expected("one of the two"),
            );
            None
        }
    }
}
