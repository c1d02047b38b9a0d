//! Differences of two cells under the same luck, and the signs of what is said of them.
//!
//! In: two pools whose replications have the same numbers. Out: how often the interval of a difference holds the
//! truth, and of claims whose truth lies so many standard errors from nothing how many have the right sign, the wrong
//! one, and none.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::compare::alarm::{Alarm, moves};
use crate::compare::difference::difference;
use crate::compare::{Better, Call, CaseRun, Difference, Headline, run, until, wanted_pairs};
use crate::replicate::Growth;

use super::{Count, Pool, Study};

/// Where the truth is put, in standard errors from nothing.
pub const SHIFTS: [f64; 6] = [-2.0, -1.0, -0.5, 0.5, 1.0, 2.0];

/// What was claimed where the truth lies so far from nothing.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Signs {
    /// Claims with the sign of the truth.
    pub right: u32,
    /// Claims with the other one.
    pub wrong: u32,
}

/// A difference and what was counted of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// The figure.
    pub headline: Headline,
    /// The difference over the whole pools.
    pub truth: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// What was counted of its interval.
    pub count: Count,
    /// By [`SHIFTS`].
    pub signs: [Signs; SHIFTS.len()],
}

/// The key that the yearly result before capital goes by here; a headline of its own where money is told.
pub const YEARLY: &str = "yearly";

/// Counts differences of `change` from `today`. The headlines whose figures all replications have are looked at.
pub fn pairs(
    (today, change): (&Pool, &Pool),
    headlines: &[Headline],
    study: Study,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Option<(Vec<Pair>, f64)> {
    let confidence = today.case.model.plant.run.confidence;
    let years = today.kept.len().min(change.kept.len()) as u32;
    let quiet = || {};
    let all = run(
        &[today.in_order(), change.in_order()],
        headlines,
        years,
        stop,
        &quiet,
    );
    let whole = all[1].alarm(&all[0]);
    let mut counted: Vec<Pair> = headlines
        .iter()
        .cloned()
        .chain([yearly()])
        .enumerate()
        .map(|(h, headline)| {
            let gap = told(&all, whole.as_ref(), (h, &headline), confidence, 0.0);
            Pair {
                headline,
                truth: gap.map_or(f64::NAN, |gap| gap.mean),
                sd: gap.map_or(f64::NAN, |gap| gap.sd),
                count: Count::default(),
                signs: Default::default(),
            }
        })
        .collect();
    let each: Option<Vec<(Vec<Counted>, u32)>> = (0..study.runs)
        .into_par_iter()
        .map(|number| {
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let draw = u64::from(number);
            let cases = [today.drawn(draw), change.drawn(draw)];
            let enough = |runs: &[CaseRun]| {
                let done = runs.first().map_or(0, |run| run.experiment.done);
                u64::from(done) >= wanted_pairs(runs, 1)
            };
            let counts = ([study.start, study.most], Growth::Half);
            let runs = until(&cases, headlines, counts, &enough, stop, &quiet);
            let alarm = runs[1].alarm(&runs[0]);
            let each = counted.iter().enumerate();
            let each =
                each.map(|(h, pair)| Counted::of(&runs, alarm.as_ref(), (h, pair), confidence));
            let each = each.collect();
            progress();
            Some((each, runs[0].experiment.done))
        })
        .collect();
    let mut done = 0.0;
    for (row, replications) in each? {
        done += f64::from(replications);
        for (pair, one) in counted.iter_mut().zip(row) {
            pair.count.join(&one.count);
            for (sum, sign) in pair.signs.iter_mut().zip(one.signs) {
                sum.right += sign.right;
                sum.wrong += sign.wrong;
            }
        }
    }
    counted.retain(|pair| pair.truth.is_finite() && pair.sd > 0.0);
    Some((counted, done / f64::from(study.runs.max(1))))
}

/// What one run says of one difference.
#[derive(Default)]
struct Counted {
    count: Count,
    signs: [Signs; SHIFTS.len()],
}

impl Counted {
    fn of(
        runs: &[CaseRun],
        alarm: Option<&Alarm>,
        (h, pair): (usize, &Pair),
        confidence: f64,
    ) -> Self {
        let mut seen = Self::default();
        if !pair.truth.is_finite() {
            return seen;
        }
        let at = |by: f64| told(runs, alarm, (h, &pair.headline), confidence, by);
        if let Some(gap) = at(0.0) {
            seen.count.add(gap.low, gap.high, pair.truth);
        }
        let error = pair.sd / f64::from(runs[0].experiment.done).sqrt();
        for (signs, shift) in seen.signs.iter_mut().zip(SHIFTS) {
            let truth = shift * error;
            let Some(gap) = at(truth - pair.truth) else {
                continue;
            };
            let claimed = match gap.call {
                Call::Higher => 1.0,
                Call::Lower => -1.0,
                _ => continue,
            };
            signs.right += u32::from(claimed * truth > 0.0);
            signs.wrong += u32::from(claimed * truth < 0.0);
        }
        seen
    }
}

fn yearly() -> Headline {
    Headline {
        key: YEARLY.to_owned(),
        label: "yearly result before capital".to_owned(),
        unit: "",
        better: Better::More,
        needs: crate::compare::Needs::Steady(0),
        decides: false,
    }
}

fn values(run: &CaseRun, h: usize) -> &[f64] {
    run.values.get(h).unwrap_or(&run.yearly)
}

/// The difference of a headline, as a comparison tells it, where all that the other cell adds is moved by so much.
fn told(
    runs: &[CaseRun],
    alarm: Option<&Alarm>,
    (h, headline): (usize, &Headline),
    confidence: f64,
    by: f64,
) -> Option<Difference> {
    let (today, change) = (&runs[0], &runs[1]);
    let mine: Vec<f64> = values(change, h).iter().map(|value| value + by).collect();
    let alarm = alarm.filter(|_| moves(headline));
    // Higher and lower: the sign, whichever of them is better.
    let level = (confidence, Better::Neither);
    let tail = |gaps: &[f64]| Some(alarm?.tail(gaps));
    difference(&mine, values(today, h), |_| true, tail, level, 0.0).ok()
}
