//! Whether the differences of a comparison are known well enough.
//!
//! In: the runs so far, a figure, and the share of today's value that the interval of a difference may reach
//! to either side. Out: yes or no, from the runs alone, whatever the number of threads.

use crate::plant::Precision;
use crate::stats::bonferroni;
use crate::summary::{Standing, Summary};

use super::headline::{Better, Headline, Needs};
use super::{Case, CaseRun, against, estimate};

/// The headline a precision is about: one of those that are compared, or a new one behind them.
pub fn headline(headlines: &mut Vec<Headline>, precision: &Precision) -> usize {
    if let Some(place) = headlines.iter().position(|h| h.key == precision.key) {
        return place;
    }
    headlines.push(Headline {
        key: precision.key.to_owned(),
        label: precision.words.to_owned(),
        unit: "min",
        better: Better::Less,
        needs: Needs::Steady(0),
        decides: false,
    });
    headlines.len() - 1
}

/// The widest half interval of a difference from today in a figure, as a share of today's value at the same
/// demand; `None` where no two cases can be compared. `cases` and `runs`: by variant, then by `demands`.
///
/// A share of the difference itself would be no aim: where there is next to none, it cannot be reached.
pub fn widest(
    cases: &[Case],
    runs: &[CaseRun],
    headlines: &[Headline],
    h: usize,
    demands: usize,
) -> Option<f64> {
    let confidence = cases.first()?.model.plant.run.confidence;
    let headline = headlines.get(h)?;
    let variants = cases.len() / demands.max(1);
    let level = bonferroni(confidence, variants.saturating_sub(1) * demands);
    let standings: Vec<Standing> = cases
        .iter()
        .zip(runs)
        .map(|(case, run)| Standing::of(&Summary::new(&case.model, &case.layout, &run.experiment)))
        .collect();
    let share = |variant: usize, demand: usize| {
        let case = |v: usize| {
            let index = v * demands + demand;
            (&runs[index], standings[index])
        };
        let today = case(0);
        let value = estimate(today.0, today.1, headline, h, confidence).ok()?;
        let told = against(case(variant), today, headline, h, level).ok()?;
        Some((told.high - told.low) / 2.0 / value.mean.abs())
    };
    (1..variants)
        .flat_map(|v| (0..demands).map(move |d| (v, d)))
        .filter_map(|(v, d)| share(v, d))
        .reduce(f64::max)
}
