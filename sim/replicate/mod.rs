//! Replications: one is a function of model and number; many run on all cores and are folded in order.
//!
//! In: a [`Model`]. Out: an [`Experiment`], whose memory does not grow with the number of replications
//! and whose bytes do not depend on the number of threads: outcomes are folded one by one in the order
//! of their numbers, whoever was ready first.

pub mod part;
pub mod seal;
pub mod years;

use std::ops::Range;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::model::Model;
use crate::observe::histogram::SpanCounts;
use crate::observe::layout::LEADS;
use crate::observe::{BookTimes, Booked, Layout, Outcome, Tally, Trace};
use crate::random::Streams;
use crate::shop::audit::Breach;
use crate::shop::{Counts, Shop};
use crate::stats::{Pooled, Ratio, Welford};

/// Fewest replications that run before their outcomes are folded: few enough that their outcomes are small.
const BATCH: usize = 64;

/// Jobs of each core before outcomes are folded: at the end of a batch a core waits for half of one, on average.
const BATCH_OF_A_CORE: usize = 32;

/// Jobs that run before their outcomes are folded, at least so many. Nothing that is told depends on it.
pub fn batch(least: usize) -> usize {
    least.max(BATCH_OF_A_CORE * rayon::current_num_threads())
}

/// How many replications more are run where those that are there are not enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Growth {
    /// So many at a time.
    By(u32),
    /// Half as many again: where the number needed is not known, at most half too many, in few looks.
    Half,
}

impl Growth {
    /// How many there are to be after so many, up to the most.
    pub fn after(self, done: u32, most: u32) -> u32 {
        let more = match self {
            Growth::By(step) => step.max(1),
            Growth::Half => done.div_ceil(2).max(1),
        };
        done.saturating_add(more).min(most)
    }
}

/// The outcome of replication `number` (from 0).
pub fn one(model: &Model, layout: &Layout, number: u32) -> (Outcome, Counts) {
    let mut tally = Tally::new(model);
    let counts = Shop::new(model, streams(model, number), &mut tally).run();
    let outcome = tally.outcome(layout);
    let counts = audited((model, Some(layout)), number, counts, &outcome.figures);
    (outcome, counts)
}

/// A replication that broke a rule of the audit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Broken {
    /// Its number.
    pub replication: u32,
    /// Its seed.
    pub seed: u64,
    /// The rule and where it did not hold.
    pub breach: Breach,
}

/// Gives the counts of a replication whose audit was kept.
///
/// # Panics
/// Unwinds with a [`Broken`] where a rule did not hold, so that nothing of such a run can be printed, whoever asked for
/// it and on whatever thread; the command line catches it and says what it is.
fn audited(
    (model, layout): (&Model, Option<&Layout>),
    number: u32,
    mut counts: Counts,
    figures: &[f64],
) -> Counts {
    if let Some(layout) = layout {
        let told = figures.iter().enumerate();
        let ranged = told.map(|(index, &figure)| (figure, layout.range(index)));
        counts.audit.figures(model.end, ranged);
    }
    if let Some(breach) = counts.audit.breach {
        std::panic::resume_unwind(Box::new(Broken {
            replication: number,
            seed: model.plant.run.seed,
            breach,
        }));
    }
    counts
}

/// Replication `number` with its whole trace.
pub fn traced(model: &Model, layout: &Layout, number: u32) -> (Outcome, Trace, Counts) {
    let mut tally = Tally::new(model);
    let mut trace = Trace::default();
    let mut both = (&mut tally, &mut trace);
    let counts = Shop::new(model, streams(model, number), &mut both).run();
    trace.sort();
    let outcome = tally.outcome(layout);
    let counts = audited((model, Some(layout)), number, counts, &outcome.figures);
    (outcome, trace, counts)
}

/// When the orders of the book were done in replications 0 to `count`, on rayon's threads; nothing else is
/// kept. `progress` is called after each one; when `stop` becomes true, what is done is what there is.
pub fn booked(
    models: &[&Model],
    count: u32,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Vec<Vec<BookTimes>> {
    let times: Vec<Option<Vec<BookTimes>>> = (0..count)
        .into_par_iter()
        .map(|number| {
            (!stop.load(Ordering::Relaxed)).then(|| {
                let times = models.iter().map(|model| {
                    let mut booked = Booked::new(model);
                    let shop = Shop::new(model, streams(model, number), &mut booked);
                    audited((model, None), number, shop.run(), &[]);
                    booked.times()
                });
                let times = times.collect();
                progress();
                times
            })
        })
        .collect();
    // Up to the first one that was not run, so that what is kept is always 0..done.
    let mut out = vec![Vec::new(); models.len()];
    for one in times.into_iter().map_while(|one| one) {
        for (of_model, times) in out.iter_mut().zip(one) {
            of_model.push(times);
        }
    }
    out
}

fn streams(model: &Model, number: u32) -> Streams {
    Streams::new(model.plant.run.seed, u64::from(number))
}

/// What many replications say together.
#[derive(Debug, Clone, PartialEq)]
pub struct Experiment {
    /// Replications asked for.
    pub asked: u32,
    /// Replications folded in.
    pub done: u32,
    /// Per figure: the ratio of totals over the replications that have it, a mean where all weigh the same.
    pub figures: Vec<Ratio>,
    /// Per figure: replications in which it lies beyond the run (an order that never ended).
    pub beyond: Vec<u32>,
    /// All lead times: by group, then by kind of lead time.
    pub pooled: Vec<Pooled>,
    /// Lead time counts of all replications that are shown, by group of all orders and classes.
    pub spans: Vec<SpanCounts>,
    /// Levels over time: by sample, by level.
    pub levels: Vec<Vec<Welford>>,
    /// Replications in which each station was the bottleneck.
    pub bottleneck: Vec<u32>,
    /// Events handled.
    pub events: u64,
    /// Orders released.
    pub orders: u64,
    /// Checks of the audit, all of them kept.
    pub checks: u64,
}

impl Experiment {
    /// Nothing folded yet.
    pub fn new(model: &Model, layout: &Layout, asked: u32) -> Self {
        Self {
            asked,
            done: 0,
            figures: vec![Ratio::default(); layout.measures.len()],
            beyond: vec![0; layout.measures.len()],
            pooled: vec![Pooled::default(); layout.groups.len() * LEADS.len()],
            spans: vec![SpanCounts::default(); 1 + model.plant.classes.len()],
            levels: Vec::new(),
            bottleneck: vec![0; model.stations.len()],
            events: 0,
            orders: 0,
            checks: 0,
        }
    }

    /// Folds in the outcome of the next replication.
    pub fn fold(&mut self, outcome: &Outcome, counts: &Counts) {
        self.done += 1;
        let figures = outcome.figures.iter().zip(&outcome.weights);
        for (index, (&figure, &weight)) in figures.enumerate() {
            if figure.is_infinite() {
                self.beyond[index] += 1;
            } else if !figure.is_nan() {
                self.figures[index].push(figure * weight, weight);
            } else if weight == 0.0 {
                // Nothing of its kind came in, and that is a replication too.
                self.figures[index].push(0.0, 0.0);
            }
        }
        for (mine, theirs) in self.pooled.iter_mut().zip(&outcome.spans) {
            mine.push(&theirs.cells, theirs.open);
        }
        let done = outcome.spans.iter().step_by(LEADS.len());
        for (mine, theirs) in self.spans.iter_mut().zip(done) {
            theirs.shown(mine);
        }
        let width = 2 + self.bottleneck.len();
        let samples = outcome.levels.len() / width;
        if self.levels.len() < samples {
            self.levels.resize(samples, vec![Welford::default(); width]);
        }
        for (mine, theirs) in self
            .levels
            .iter_mut()
            .zip(outcome.levels.chunks_exact(width))
        {
            for (level, &value) in mine.iter_mut().zip(theirs) {
                level.push(f64::from(value));
            }
        }
        self.bottleneck[outcome.bottleneck] += 1;
        self.events += counts.events;
        self.orders += counts.released;
        self.checks += counts.audit.checks;
    }
}

/// Runs replications 0 to `count` on rayon's threads.
///
/// `progress` is called with the number of replications done so far; when `stop` becomes true the
/// replications folded so far are what there is ([`Experiment::done`] tells how many).
pub fn many(
    model: &Model,
    layout: &Layout,
    count: u32,
    stop: &AtomicBool,
    progress: &(dyn Fn(u32) + Sync),
) -> Experiment {
    let mut experiment = Experiment::new(model, layout, count);
    more(model, layout, &mut experiment, stop, progress);
    experiment
}

/// Runs replications until `enough` says so of those folded in, in fixed steps: first as many as the first of
/// `counts`, then the second more at a time, never beyond the third. The number does not depend on threads.
pub fn until(
    model: &Model,
    layout: &Layout,
    ([least, most], growth): ([u32; 2], Growth),
    enough: &dyn Fn(&Experiment) -> bool,
    stop: &AtomicBool,
    progress: &(dyn Fn(u32) + Sync),
) -> Experiment {
    let mut experiment = Experiment::new(model, layout, least.min(most));
    loop {
        more(model, layout, &mut experiment, stop, progress);
        if experiment.done < experiment.asked || experiment.asked >= most || enough(&experiment) {
            return experiment;
        }
        experiment.asked = growth.after(experiment.asked, most);
    }
}

/// Runs the replications that are asked for and not done yet.
pub fn more(
    model: &Model,
    layout: &Layout,
    experiment: &mut Experiment,
    stop: &AtomicBool,
    progress: &(dyn Fn(u32) + Sync),
) {
    let range = experiment.done..experiment.asked;
    let each = |_: u32, outcome: &Outcome, counts: &Counts| {
        experiment.fold(outcome, counts);
        true
    };
    some(model, layout, range, stop, progress, each);
}

/// Runs the replications of a range on rayon's threads and hands over each outcome in order, whoever was
/// ready first. Ends early when `stop` becomes true or `each` answers false; gives how many were handed over.
pub fn some(
    model: &Model,
    layout: &Layout,
    range: Range<u32>,
    stop: &AtomicBool,
    progress: &(dyn Fn(u32) + Sync),
    mut each: impl FnMut(u32, &Outcome, &Counts) -> bool,
) -> u32 {
    let mut done = 0;
    let mut first = range.start;
    let at_once = batch(BATCH) as u32;
    while first < range.end && !stop.load(Ordering::Relaxed) {
        let last = first.saturating_add(at_once).min(range.end);
        let outcomes: Vec<Option<(Outcome, Counts)>> = (first..last)
            .into_par_iter()
            .with_max_len(1)
            .map(|number| {
                (!stop.load(Ordering::Relaxed)).then(|| {
                    let outcome = one(model, layout, number);
                    progress(1);
                    outcome
                })
            })
            .collect();
        // Up to the first one that was not run, so that what is kept has no gap.
        for outcome in outcomes.iter().map_while(Option::as_ref) {
            if !each(range.start + done, &outcome.0, &outcome.1) {
                return done;
            }
            done += 1;
        }
        first = last;
    }
    done
}
