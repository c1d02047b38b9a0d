//! Money in words: what a year costs and brings, and what is not told.
//!
//! In: a [`Context`]. Out: labelled figures and sentences, empty where the scenario does not speak of money.

use crate::observe::money::FIGURES;
use crate::units::grouped;

use super::answers::Line;
use super::context::Context;
use super::words::clean;

/// Yearly cost and earnings; figures of which nothing is told are left out.
pub fn lines(c: &Context<'_>) -> Vec<Line> {
    if c.model.plant.money.is_none() {
        return Vec::new();
    }
    FIGURES
        .iter()
        .filter_map(|(key, label, _)| {
            let index = c.summary.layout.find(key)?;
            let told = c.estimate(index).n > 0;
            told.then(|| Line {
                label: (*label).to_owned(),
                figure: c.figure(index),
            })
        })
        .collect()
}

/// Currency, year and rate, and what is not told.
pub fn notes(c: &Context<'_>) -> Vec<String> {
    let Some(money) = &c.model.plant.money else {
        return Vec::new();
    };
    let mut first = format!(
        "{} a year of {} weeks like the measured ones",
        c.currency,
        grouped(money.weeks, 1)
    );
    if let Some(rate) = money.rate {
        first += &format!(", at {} % interest", grouped(rate * 100.0, 2));
    }
    first += ".";
    let mut out = vec![first];
    if !money.gaps.is_empty() {
        let gaps: Vec<String> = money.gaps.iter().map(|gap| clean(gap)).collect();
        out.push(format!(
            "Not told, and so not in these figures: {}.",
            gaps.join("; ")
        ));
    }
    out
}
