//! What a square metre of a laminate costs: as it says itself, or by its films and adhesives.
//!
//! In: prices of films and adhesives. Out: the plant's laminates with their prices, pass by pass; what lacks one.

use crate::plant::Laminate;
use crate::units::Dimension;

use super::super::amount::FilmPrice;
use super::super::file::{self, Process, ScenarioFile};
use super::super::form;
use super::Names;

/// Prices by film and adhesive, as far as they are told.
pub(super) struct Prices<'a> {
    /// The file.
    pub file: &'a ScenarioFile,
    /// Names of it.
    pub names: &'a Names,
    /// By film.
    pub films: &'a [Option<FilmPrice>],
    /// By adhesive, money per m² and line.
    pub adhesives: &'a [Option<f64>],
}

impl Prices<'_> {
    /// Prices a laminate that has no price of its own, each of its passes by itself; gives what lacks a price.
    pub fn price(&self, laminate: &mut Laminate) -> Vec<String> {
        let mut lacking = Vec::new();
        let Some(written) = self.file.laminates.get(&laminate.name) else {
            return lacking;
        };
        let Some(passes) = written.passes.list() else {
            // A bond that is bought in ready is in the price of its films.
            let lines = written.films.as_ref().map_or(0, |films| films.len() - 1);
            let lines = lines.saturating_sub(usize::from(written.bought_bonds));
            let own = written.price.as_ref().map(|_| laminate.price_per_m2);
            let films = &written.films;
            let lines = (lines, written.adhesive.as_ref());
            let price = own.or_else(|| self.of(films, lines, &laminate.name, &mut lacking));
            laminate.price(price.unwrap_or(0.0), &[]);
            return lacking;
        };
        let enters = |pass: usize| laminate.passes[pass].enters.price_per_m2;
        let own = written.price.as_ref().map(|_| enters(0));
        let name = format!("{}, printed web", laminate.name);
        let printed = own.or_else(|| self.of(&written.films, (0, None), &name, &mut lacking));
        let mut adds = Vec::new();
        for (nth, pass) in passes.iter().enumerate() {
            let leaves = laminate.passes[nth].leaves.price_per_m2;
            let own = pass.price.as_ref().map(|_| leaves - enters(nth));
            let adhesive = pass.adhesive.as_ref().or(written.adhesive.as_ref());
            let name = format!("{}, pass {}", laminate.name, nth + 1);
            let price = own.or_else(|| self.of(&pass.films, (1, adhesive), &name, &mut lacking));
            adds.push(price.unwrap_or(0.0));
        }
        laminate.price(printed.unwrap_or(0.0), &adds);
        lacking
    }

    /// Films and so many lines of adhesive; `None` where it is not told what films there are.
    fn of(
        &self,
        films: &Option<Vec<String>>,
        (lines, adhesive): (usize, Option<&String>),
        name: &str,
        lacking: &mut Vec<String>,
    ) -> Option<f64> {
        let Some(films) = films else {
            lacking.push(format!("price of laminate `{name}`"));
            return None;
        };
        let mut price = 0.0;
        for film in films {
            let place = self.names.films.iter().position(|known| known == film);
            let told = place.and_then(|place| self.films.get(place).copied().flatten());
            match (told, self.file.films.get(film).and_then(kg_per_m2)) {
                (Some(FilmPrice::PerSquareMetre(each)), _) => price += each,
                (Some(FilmPrice::PerKilogram(each)), Some(kg)) => price += each * kg,
                _ => lacking.push(format!("price of film `{film}`")),
            }
        }
        let Some(adhesive) = adhesive else {
            return Some(price);
        };
        let used = self.file.adhesives.get(adhesive);
        let thermal = used.is_some_and(|adhesive| adhesive.process == Process::Thermal);
        let place = self
            .names
            .adhesives
            .iter()
            .position(|known| known == adhesive);
        match place.and_then(|place| self.adhesives.get(place).copied().flatten()) {
            Some(each) => price += each * lines as f64,
            // A pre-coated film brings its adhesive with it.
            None if thermal || lines == 0 => {}
            None => lacking.push(format!("price of adhesive `{adhesive}`")),
        }
        Some(price)
    }
}

/// Mass per area of a film; `None` where it could not be read, which has been said already.
fn kg_per_m2(film: &file::Film) -> Option<f64> {
    let g_per_m2 = match (&film.density, &film.weight) {
        (Some(density), _) => {
            form::quantity(&film.caliper.0, Dimension::Caliper).ok()?
                * form::quantity(&density.0, Dimension::Density).ok()?
        }
        (None, Some(weight)) => form::quantity(&weight.0, Dimension::MassPerArea).ok()?,
        (None, None) => return None,
    };
    Some(g_per_m2 / 1000.0)
}
