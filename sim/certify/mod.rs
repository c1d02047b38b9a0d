//! What the intervals and verdicts of a cell are worth: counted on the cell itself.
//!
//! In: a cell. Out: of runs drawn from many of its replications, how often the intervals that are printed hold the
//! truth, how often none is claimed, and how often a verdict has the wrong sign.
//!
//! A pool of replications is run once; its own figures are the truth. Runs are drawn from it with replacement, as a
//! bootstrap draws (Efron and Tibshirani, An Introduction to the Bootstrap, 1993), but from a pool many times as
//! large as a run, so that what the pool has not seen hardly counts. Each is folded and told by what folds and tells
//! any other run: what is counted is what is printed.
//!
//! * [`Pool`]: the replications.
//! * [`intervals`]: the figures of a run.
//! * [`pairs()`]: differences of two cells, and the signs of what is said of them.
//! * [`choices()`]: races between line-ups.

mod choices;
mod pairs;

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::compare::Case;
use crate::model::Model;
use crate::replicate::years::{Kept, Years};
use crate::replicate::{self, Experiment, Growth};
use crate::summary::{Estimate, estimate_of, is_claimed};

pub use choices::{Races, choices};
pub use pairs::{Pair, SHIFTS, Signs, pairs};

/// How runs are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Study {
    /// Runs.
    pub runs: u32,
    /// Replications of each.
    pub start: u32,
    /// Most replications, where a run adds some by itself as long as an interval is left open; `start` for none.
    pub most: u32,
}

/// Replications of a cell, kept.
#[derive(Debug, Clone)]
pub struct Pool {
    case: Case,
    kept: Kept,
}

/// What was counted of one interval.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Runs in which both ends were claimed.
    pub told: u32,
    /// Of these, the ones that hold the truth.
    pub held: u32,
    /// Of all runs: the truth lies below the lower end that is claimed.
    pub below: u32,
    /// Of all runs: it lies above the upper end that is claimed.
    pub above: u32,
}

impl Count {
    /// Counts an interval.
    fn add(&mut self, low: f64, high: f64, truth: f64) {
        self.below += u32::from(truth < low);
        self.above += u32::from(truth > high);
        let told = low.is_finite() && high.is_finite();
        self.told += u32::from(told);
        self.held += u32::from(told && low <= truth && truth <= high);
    }

    fn join(&mut self, other: &Self) {
        self.told += other.told;
        self.held += other.held;
        self.below += other.below;
        self.above += other.above;
    }
}

/// A figure and what was counted of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its place in the layout.
    pub place: usize,
    /// The truth: its value over the whole pool.
    pub truth: f64,
    /// What was counted.
    pub count: Count,
}

/// What was counted of the intervals of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Intervals {
    /// Figures, in the order asked for.
    pub figures: Vec<Figure>,
    /// Mean number of replications of a run.
    pub replications: f64,
    /// Runs in which every interval was claimed.
    pub whole: u32,
}

impl Pool {
    /// Runs so many replications and keeps them; `None` if `stop` came first.
    pub fn run(
        model: Model,
        count: u32,
        stop: &AtomicBool,
        progress: &(dyn Fn() + Sync),
    ) -> Option<Self> {
        let case = Case::new(model);
        let kept: Option<Vec<_>> = (0..count)
            .into_par_iter()
            .map(|number| {
                (!stop.load(Ordering::Relaxed)).then(|| {
                    let outcome = Arc::new(replicate::one(&case.model, &case.layout, number));
                    progress();
                    outcome
                })
            })
            .collect();
        let kept = Arc::new(kept?);
        Some(Self { case, kept })
    }

    /// The cell.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// The replications.
    pub fn kept(&self) -> &Kept {
        &self.kept
    }

    /// All replications together.
    pub fn whole(&self) -> Experiment {
        let count = self.kept.len() as u32;
        let mut all = Experiment::new(&self.case.model, &self.case.layout, count);
        for year in self.kept.iter() {
            all.fold(&year.0, &year.1);
        }
        all
    }

    /// The cell, with the replications of a draw. Two cells with one draw meet the same luck.
    pub fn drawn(&self, draw: u64) -> Case {
        Case {
            years: Years::Drawn(Arc::clone(&self.kept), draw),
            ..self.case.clone()
        }
    }

    /// The cell, with the replications of the pool in their order.
    pub fn in_order(&self) -> Case {
        Case {
            years: Years::Kept(Arc::clone(&self.kept)),
            ..self.case.clone()
        }
    }

    /// A run, as `run` makes it.
    fn experiment(&self, draw: u64, study: Study, confidence: f64) -> Experiment {
        let years = Years::Drawn(Arc::clone(&self.kept), draw);
        let (model, layout) = (&self.case.model, &self.case.layout);
        let mut run = Experiment::new(model, layout, study.start);
        loop {
            while run.done < run.asked {
                let year = years.outcome(model, layout, run.done);
                run.fold(&year.0, &year.1);
            }
            if run.done >= study.most || run.done < 2 || is_claimed(layout, &run, confidence) {
                return run;
            }
            run.asked = Growth::Half.after(run.done, study.most);
        }
    }
}

/// Counts the intervals of the figures at some places. Those without a value over the whole pool are left out.
/// `progress` is called after each run.
pub fn intervals(
    pool: &Pool,
    places: &[usize],
    study: Study,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Option<Intervals> {
    let layout = &pool.case.layout;
    let confidence = pool.case.model.plant.run.confidence;
    let whole = pool.whole();
    let told = |run: &Experiment, place: usize| estimate_of(layout, run, place, confidence);
    let figures: Vec<Figure> = places
        .iter()
        .map(|&place| Figure {
            place,
            truth: told(&whole, place).mean,
            count: Count::default(),
        })
        .filter(|figure| figure.truth.is_finite())
        .collect();
    let each: Option<Vec<(Vec<Count>, u32, bool)>> = (0..study.runs)
        .into_par_iter()
        .map(|number| {
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let run = pool.experiment(u64::from(number), study, confidence);
            let mut whole = true;
            let counts = figures.iter().map(|figure| {
                let Estimate { low, high, .. } = told(&run, figure.place);
                whole &= low.is_finite() && high.is_finite();
                let mut count = Count::default();
                count.add(low, high, figure.truth);
                count
            });
            let counts = counts.collect();
            progress();
            Some((counts, run.done, whole))
        })
        .collect();
    let mut all = Intervals {
        figures,
        replications: 0.0,
        whole: 0,
    };
    let mut done = 0.0;
    for (counts, replications, whole) in each? {
        done += f64::from(replications);
        all.whole += u32::from(whole);
        for (figure, count) in all.figures.iter_mut().zip(counts) {
            figure.count.join(&count);
        }
    }
    all.replications = done / f64::from(study.runs.max(1));
    Some(all)
}
