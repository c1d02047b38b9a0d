//! All cases of a comparison, run side by side.
//!
//! In: compiled cases. Out: one [`CaseRun`] for each. Cases and replications are one list of jobs, so that
//! no core waits for the last replication of a case; outcomes are folded in the order of their numbers.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::model::Model;
use crate::observe::{Layout, Outcome};
use crate::replicate::{self, Experiment};
use crate::shop::Counts;
use crate::summary::money::before_capital;

use super::headline::{Finder, Headline};

/// Fewest jobs that run before their outcomes are folded: few enough to be small.
const BATCH: usize = 192;

/// A cell to be run.
#[derive(Debug, Clone)]
pub struct Case {
    /// The cell.
    pub model: Model,
    /// Its figures.
    pub layout: Layout,
}

impl Case {
    /// A case of a model, its chances keyed as those of `base` where both have the same things.
    pub fn new(mut model: Model, base: Option<&Model>) -> Self {
        if let Some(base) = base {
            model.share_chances_with(base);
        }
        let layout = Layout::new(&model);
        Self { model, layout }
    }
}

/// What the replications of a case say.
#[derive(Debug, Clone)]
pub struct CaseRun {
    /// All figures, folded.
    pub experiment: Experiment,
    /// By headline: its value in each replication, NaN or infinite where it has none.
    pub values: Vec<Vec<f64>>,
    /// By group (all, then classes): measured orders in each replication.
    pub released: Vec<Vec<f64>>,
    /// Yearly result before capital in each replication; NaN where the scenario does not speak of money.
    pub yearly: Vec<f64>,
    /// Premiums earned a year in each replication, which are part of it; 0 where none are told.
    pub premium: Vec<f64>,
}

/// Runs replications 0 to `count` of every case.
///
/// `progress` is called once for every replication of a case. When `stop` becomes true the replications
/// that all cases have are what there is.
pub fn run(
    cases: &[Case],
    headlines: &[Headline],
    count: u32,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Vec<CaseRun> {
    let mut runs = none(cases, headlines);
    extend(&mut runs, cases, headlines, count, stop, progress);
    runs
}

/// Runs replications until `enough` says so of those that all cases have, in fixed steps: first as many as
/// the first of `counts`, then the second more at a time, never beyond the third. The number does not depend
/// on threads.
pub fn until(
    cases: &[Case],
    headlines: &[Headline],
    [least, step, most]: [u32; 3],
    enough: &(dyn Fn(&[CaseRun]) -> bool + Sync),
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Vec<CaseRun> {
    let mut runs = none(cases, headlines);
    let mut count = least.min(most);
    loop {
        extend(&mut runs, cases, headlines, count, stop, progress);
        let done = runs.first().map_or(count, |run| run.experiment.done);
        if done < count || count >= most || enough(&runs) {
            return runs;
        }
        count = count.saturating_add(step.max(1)).min(most);
    }
}

/// Runs in which nothing is folded yet.
fn none(cases: &[Case], headlines: &[Headline]) -> Vec<CaseRun> {
    let one = |case: &Case| CaseRun {
        experiment: Experiment::new(&case.model, &case.layout, 0),
        values: vec![Vec::new(); headlines.len()],
        released: vec![Vec::new(); 1 + case.layout.classes],
        yearly: Vec::new(),
        premium: Vec::new(),
    };
    cases.iter().map(one).collect()
}

/// Runs the replications up to `count` that are not there yet.
fn extend(
    runs: &mut [CaseRun],
    cases: &[Case],
    headlines: &[Headline],
    count: u32,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) {
    let finders: Vec<Finder> = cases
        .iter()
        .map(|case| Finder::new(headlines, &case.model, &case.layout))
        .collect();
    for run in runs.iter_mut() {
        run.experiment.asked = count;
    }
    let mut first = runs.first().map_or(0, |run| run.experiment.done);
    let at_once = (replicate::batch(BATCH) / cases.len().max(1)).max(1) as u32;
    while first < count && !stop.load(Ordering::Relaxed) {
        let last = (first + at_once).min(count);
        // One replication of every case after the other, so that an interruption leaves whole ones.
        let jobs: Vec<(u32, usize)> = (first..last)
            .flat_map(|number| (0..cases.len()).map(move |case| (number, case)))
            .collect();
        let outcomes: Vec<Option<(Outcome, Counts)>> = jobs
            .par_iter()
            .with_max_len(1)
            .map(|&(number, case)| {
                (!stop.load(Ordering::Relaxed)).then(|| {
                    let case = &cases[case];
                    let outcome = replicate::one(&case.model, &case.layout, number);
                    progress();
                    outcome
                })
            })
            .collect();
        // Only replications that every case has: pairs, and nothing else.
        let whole = outcomes
            .chunks(cases.len().max(1))
            .take_while(|row| row.iter().all(Option::is_some));
        for row in whole {
            for (case, outcome) in row.iter().flatten().enumerate() {
                fold(&mut runs[case], &cases[case], &finders[case], outcome);
            }
        }
        first = last;
    }
}

fn fold(run: &mut CaseRun, case: &Case, finder: &Finder, (outcome, counts): &(Outcome, Counts)) {
    run.experiment.fold(outcome, counts);
    let told = case.model.plant.money.as_ref();
    run.yearly.push(told.map_or(f64::NAN, |told| {
        before_capital(&case.layout, &outcome.figures, told)
    }));
    let premium = case.layout.find("money/premium");
    let premium = premium
        .and_then(|place| outcome.figures.get(place))
        .copied();
    run.premium
        .push(premium.filter(|p| p.is_finite()).unwrap_or(0.0));
    for (values, value) in run.values.iter_mut().zip(finder.read(outcome)) {
        values.push(value);
    }
    for (orders, value) in run.released.iter_mut().zip(finder.released(outcome)) {
        orders.push(value);
    }
}
