//! What more speed costs, in words.
//!
//! In: a [`View`]. Out: a sentence for each demand case and figure: the line-ups that no other one beats in both
//! by its means, from the one that leaves most money on, and what each step costs for a day or a point.

use crate::compare::{Ladder, Rank, Step};
use crate::units::money;

use super::View;
use super::words::{demand_words, value};

/// How much of a figure is bought: base units in one, and its name.
fn piece(unit: &str) -> (f64, &'static str) {
    match unit {
        "share" => (0.01, "point"),
        _ => (1440.0, "day"),
    }
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
                true => "most is earned with",
                false => "the cheapest is",
            },
            told(first)
        );
        for step in &steps[1..] {
            let price = match step.price {
                Some(price) => {
                    let range = match (price.low, price.high) {
                        (Some(low), Some(high)) => {
                            format!("{} to {}", money(low * per), money(high * per))
                        }
                        _ => "range open".to_owned(),
                    };
                    format!(
                        "{} {} {more} for each {name} gained ({range})",
                        money(price.at * per),
                        view.currency
                    )
                }
                None => "price not known".to_owned(),
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
