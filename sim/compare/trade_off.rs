//! Which two figures pull against each other, and where every variant stands in them.
//!
//! In: the runs of all cases. Out: [`Frontier`]s: two lead times, or the share of the first class on time
//! against the hours spent changing over. What may be said of a place is the business of [`super::frontier`].

use crate::stats::bonferroni;
use crate::summary::Standing;

use super::frontier::{Rank, ranks};
use super::headline::{Better, CHANGING, Headline};
use super::{Runs, against, values};

/// The efficient frontier of two figures.
#[derive(Debug, Clone)]
pub struct Frontier {
    /// The figures, places among the headlines.
    pub figures: [usize; 2],
    /// By demand case, by variant; `None` where a variant does not keep up.
    pub ranks: Vec<Vec<Option<Rank>>>,
}

/// Where there are several classes: the 90 % lead times of the first and the last one that has orders.
pub(super) fn of_leads(
    runs: &Runs<'_>,
    standings: &[Standing],
    confidence: f64,
) -> Option<Frontier> {
    let [first, last] = first_and_last(runs, standings, |headline| {
        headline.key.starts_with("lead_done/class:") && headline.key.ends_with("/p90")
    })?;
    of(runs, standings, confidence, [first, last])
}

/// Where there are several classes: the hours spent changing over, and the first class on time.
pub(super) fn of_changing(
    runs: &Runs<'_>,
    standings: &[Standing],
    confidence: f64,
) -> Option<Frontier> {
    let [first, _] = first_and_last(runs, standings, |headline| {
        headline.key.starts_with("on_time/class:")
    })?;
    let changing = runs.headlines.iter().position(|h| h.key == CHANGING)?;
    of(runs, standings, confidence, [changing, first])
}

/// The first and the last figure of a kind that have values today, if there are two.
fn first_and_last(
    runs: &Runs<'_>,
    standings: &[Standing],
    kind: impl Fn(&Headline) -> bool,
) -> Option<[usize; 2]> {
    let told: Vec<usize> = (0..runs.headlines.len())
        .filter(|&h| kind(&runs.headlines[h]))
        .filter(|&h| {
            (0..runs.demands.len())
                .any(|d| values(&runs.runs[d], standings[d], &runs.headlines, h).is_some())
        })
        .collect();
    match told.as_slice() {
        [first, .., last] => Some([*first, *last]),
        _ => None,
    }
}

/// The frontier of two figures; `None` where fewer than three variants are compared.
pub(super) fn of(
    runs: &Runs<'_>,
    standings: &[Standing],
    confidence: f64,
    figures: [usize; 2],
) -> Option<Frontier> {
    let (variants, demands) = (runs.variants.len(), runs.demands.len());
    if variants < 3 {
        return None;
    }
    let level = bonferroni(confidence, (variants * (variants - 1) / 2 * demands).max(1));
    let ranks = (0..demands)
        .map(|demand| {
            ranks(variants, |a, b| {
                let one = |h: usize| {
                    let case = |v: usize| {
                        let index = v * demands + demand;
                        (&runs.runs[index], standings[index])
                    };
                    let headline = &runs.headlines[h];
                    let told = against(case(a), case(b), headline, h, level).ok()?;
                    let gain = match headline.better {
                        Better::More => told.mean,
                        Better::Less | Better::Neither => -told.mean,
                    };
                    let better = match gain {
                        gain if gain > 0.0 => 1,
                        gain if gain < 0.0 => -1,
                        _ => 0,
                    };
                    Some((told.call, better))
                };
                Some([one(figures[0])?, one(figures[1])?])
            })
        })
        .collect();
    Some(Frontier { figures, ranks })
}
