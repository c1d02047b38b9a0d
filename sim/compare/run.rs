//! All cases of a comparison, run side by side.
//!
//! In: compiled cases. Out: one [`CaseRun`] for each. Cases and replications are one list of jobs, so that
//! no core waits for the last replication of a case; outcomes are folded in the order of their numbers.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::model::Model;
use crate::observe::layout::LEADS;
use crate::observe::spans::Spans;
use crate::observe::{Kind, Layout};
use crate::replicate::years::{Year, Years};
use crate::replicate::{self, Experiment, Growth};
use crate::stats::Ratio;
use crate::summary::money::before_capital;
use crate::units::TICKS_PER_MINUTE;

use super::alarm::Alarm;
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
    /// Where its replications come from.
    pub years: Years,
}

impl Case {
    /// A case of a model, whose replications are run.
    pub fn new(model: Model) -> Self {
        let layout = Layout::new(&model);
        Self {
            model,
            layout,
            years: Years::Run,
        }
    }

    /// The outcome of a replication.
    pub fn outcome(&self, number: u32) -> Year {
        self.years.outcome(&self.model, &self.layout, number)
    }
}

/// How much of a difference counts as none.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Margin {
    /// Points of a share; of other figures a part of the figure.
    share: f64,
    /// Money a year.
    money: f64,
}

/// What the replications of a case say.
#[derive(Debug, Clone)]
pub struct CaseRun {
    /// All figures, folded.
    pub experiment: Experiment,
    /// The figures of its cell.
    pub layout: Layout,
    /// What counts as equal.
    margin: Margin,
    /// The compared figures.
    headlines: Vec<Headline>,
    /// By headline: what each replication adds to it, NaN or infinite where it has no value. The mean of these
    /// is the figure itself: for a ratio of totals and a quantile of all orders, their linear part.
    pub values: Vec<Vec<f64>>,
    /// By headline: its own value in each replication, and its weight.
    raw: Vec<[Vec<f64>; 2]>,
    /// By replication: lead times to done, by group of all orders and classes.
    spans: Vec<Vec<Spans>>,
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

/// Runs replications until `enough` says so of those that all cases have: first as many as the first of the counts,
/// then more, never beyond the second. The number does not depend on threads.
pub fn until(
    cases: &[Case],
    headlines: &[Headline],
    ([least, most], growth): ([u32; 2], Growth),
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
        count = growth.after(count, most);
    }
}

/// Runs in which nothing is folded yet.
fn none(cases: &[Case], headlines: &[Headline]) -> Vec<CaseRun> {
    let one = |case: &Case| CaseRun::new(case, headlines);
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
        let outcomes: Vec<Option<Year>> = jobs
            .par_iter()
            .with_max_len(1)
            .map(|&(number, case)| {
                (!stop.load(Ordering::Relaxed)).then(|| {
                    let case = &cases[case];
                    let outcome = case.outcome(number);
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
    for run in runs.iter_mut() {
        run.put_together();
    }
}

impl CaseRun {
    /// A run in which nothing is folded yet.
    pub fn new(case: &Case, headlines: &[Headline]) -> Self {
        Self {
            experiment: Experiment::new(&case.model, &case.layout, 0),
            layout: case.layout.clone(),
            margin: Margin {
                share: case.model.plant.run.equal_within,
                money: case
                    .model
                    .plant
                    .money
                    .as_ref()
                    .map_or(0.0, |money| money.equal_within),
            },
            headlines: headlines.to_vec(),
            values: vec![Vec::new(); headlines.len()],
            raw: vec![[Vec::new(), Vec::new()]; headlines.len()],
            spans: Vec::new(),
            released: vec![Vec::new(); 1 + case.layout.classes],
            yearly: Vec::new(),
            premium: Vec::new(),
        }
    }

    /// So much of a difference of a headline from this run counts as none: points of a share, of anything else a part of
    /// the figure itself. Of money nothing does but what the scenario says.
    pub fn equal(&self, h: usize) -> f64 {
        let Some(headline) = self.headlines.get(h) else {
            return 0.0;
        };
        let values = &self.values[h];
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        match headline.unit {
            "share" => self.margin.share,
            "money/year" => self.margin.money,
            _ if mean.is_finite() => self.margin.share * mean.abs(),
            _ => 0.0,
        }
    }

    /// The most skewed difference from another run.
    pub fn alarm(&self, other: &Self) -> Option<Alarm> {
        Alarm::new(&self.headlines, self, other)
    }

    /// What each replication adds to the figures, from all that are there.
    fn put_together(&mut self) {
        for (h, headline) in self.headlines.iter().enumerate() {
            let [raw, weights] = &self.raw[h];
            let kind = self
                .layout
                .find(&headline.key)
                .map(|place| self.layout.kind(place));
            self.values[h] = match kind {
                Some(Kind::Point(place, p))
                    if self.spans.iter().all(|s| s.len() > place / LEADS.len()) =>
                {
                    let group = place / LEADS.len();
                    let each = self
                        .spans
                        .iter()
                        .map(|s| (&s[group].cells[..], s[group].open));
                    let ticks = self.experiment.pooled[place].linear(p, each);
                    ticks
                        .iter()
                        .map(|ticks| ticks / TICKS_PER_MINUTE as f64)
                        .collect()
                }
                _ if raw.iter().any(|value| value.is_infinite()) => raw.clone(),
                _ if weights.iter().all(|&weight| weight == 1.0) => raw.clone(),
                _ => {
                    let amounts: Vec<f64> = raw
                        .iter()
                        .zip(weights)
                        .map(|(value, &weight)| if weight == 0.0 { 0.0 } else { value * weight })
                        .collect();
                    Ratio::linear(&amounts, weights)
                }
            };
        }
    }
}

fn fold(run: &mut CaseRun, case: &Case, finder: &Finder, year: &Year) {
    let (outcome, counts) = &**year;
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
    let told = finder
        .read(outcome)
        .into_iter()
        .zip(finder.weights(outcome));
    for ([values, weights], (value, weight)) in run.raw.iter_mut().zip(told) {
        values.push(value);
        weights.push(weight);
    }
    let groups = 1 + case.layout.classes;
    let done = outcome.spans.iter().step_by(LEADS.len()).take(groups);
    run.spans.push(done.cloned().collect());
    for (orders, value) in run.released.iter_mut().zip(finder.released(outcome)) {
        orders.push(value);
    }
}
