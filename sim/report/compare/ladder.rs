//! What more speed costs, in words.
//!
//! In: a [`View`]. Out: a sentence for each demand case and figure: the line-ups that no other one beats in both
//! by its means, from the one that leaves most money on, and what each step costs for a day or a point.

use crate::compare::ladder::Price;
use crate::compare::{Ladder, Rank, Step};
use crate::units::money;

use super::View;
use super::words::{demand_words, value};

/// How much of a figure is bought: base units in one, and its name.
fn piece(unit: &str) -> (f64, &'static str) {
    match unit {
        "share" => (0.01, "point"),
        _ => (60.0, "hour"),
    }
}

/// Of an hour or a point: less than this is not worth a price.
const HARDLY: f64 = 0.1;

fn article(noun: &str) -> &'static str {
    if noun == "hour" { "an" } else { "a" }
}

/// All sentences; nothing where money is not told.
pub fn points(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    c.ladders
        .iter()
        .flat_map(|ladder| (0..c.demands.len()).filter_map(|d| sentence(view, ladder, d)))
        .collect()
}

fn sentence(view: &View<'_>, ladder: &Ladder, d: usize) -> Option<String> {
    let c = view.comparison;
    let [spent, bought] = ladder.frontier.figures;
    let figure = &c.headlines[bought];
    let earns = c.headlines[spent].key == "money/result";
    let steps = ladder.steps.get(d)?;
    let first = steps.first()?;
    let told = |step: &Step| {
        let case = &c.cases[step.variant][d];
        format!(
            "{} ({})",
            view.name(step.variant),
            value(&case.figures[bought], figure, view.reader)
        )
    };
    let mut out = format!(
        "{}, money against {}: ",
        demand_words(c.demands[d]),
        figure.label
    );
    if let [only] = steps.as_slice() {
        out += &format!(
            "{} has the best means in both, so that no other one buys anything for more money.",
            told(only)
        );
    } else {
        let (per, name) = piece(figure.unit);
        let more = match earns {
            true => "a year given up",
            false => "a year more",
        };
        out += &format!(
            "{} {}.",
            match earns {
                true => "by the means most is earned with",
                false => "by the means the cheapest is",
            },
            told(first)
        );
        let mean = |step: &Step| {
            let figures = &c.cases[step.variant][d].figures;
            figures[bought].as_ref().map_or(f64::NAN, |told| told.mean)
        };
        for (before, step) in steps.iter().zip(&steps[1..]) {
            let price = match step.price {
                Some(_) if (mean(step) - mean(before)).abs() < HARDLY * per => {
                    format!("less than a tenth of {} {name} gained", article(name))
                }
                Some(Price {
                    at,
                    low: Some(low),
                    high: Some(high),
                }) => format!(
                    "{} {} {more} for each {name} gained ({} to {})",
                    money(at * per),
                    view.currency,
                    money(low * per),
                    money(high * per)
                ),
                // Divided by a gain that may be nothing, a price would only look like one.
                _ => "ahead by its mean, but whether it gains anything is not settled".to_owned(),
            };
            out += &format!(" Then {}: {price}.", told(step));
        }
    }
    for (words, clear) in [
        ("Beaten in both by their means, not clearly", false),
        ("Clearly beaten", true),
    ] {
        let names: Vec<String> = ladder.frontier.ranks[d]
            .iter()
            .enumerate()
            .filter_map(|(v, rank)| match rank {
                Some(Rank::Dominated(by)) if clear => Some((v, *by)),
                Some(Rank::Doubtful(by)) if !clear => Some((v, *by)),
                _ => None,
            })
            .map(|(v, by)| format!("{} (by {})", view.name(v), view.name(by)))
            .collect();
        if !names.is_empty() {
            out += &format!(" {words}: {}.", names.join(", "));
        }
    }
    Some(out)
}
