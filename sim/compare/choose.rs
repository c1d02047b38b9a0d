//! The best of many line-ups: a race with a guarantee, or a fixed effort.
//!
//! In: compiled cases, one figure, which way is better. Out: [`Chosen`], plain data. All cases meet the
//! same luck replication by replication. A line-up whose figure has no value in some replication, or that
//! does not keep up with its orders where the figure needs that, is taken out and said so: a lead time of
//! a growing queue is no lead time.

mod first;

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::replicate::Experiment;
use crate::replicate::years::Year;
use crate::stats::Welford;
use crate::stats::selection::budget::{self, Seen};
use crate::stats::selection::{Best, race::Race};
use crate::summary::{Standing, Summary};

use super::headline::{Finder, Headline, Needs};
use super::run::Case;
use first::{first_stage, is_sure, judged, wanted};

/// Replications of each line-up in the first step of a fixed effort.
pub const FIRST_OF_EFFORT: u64 = 10;

/// Jobs of each core that a race runs ahead of what it has looked at.
const AHEAD_OF_A_CORE: usize = 4;

/// Replications of one step of a fixed effort.
const STEP: u64 = 20;

/// How the best is looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// Kim and Nelson's procedure; its first stage is as long as the skewness of the differences asks.
    Race {
        /// Smallest difference that matters.
        zone: f64,
        /// Confidence of the guarantee.
        confidence: f64,
        /// Replications before anything may fall, at least.
        first: u32,
        /// Most replications of a line-up.
        most: u32,
    },
    /// Optimal computing budget allocation.
    Effort(u64),
}

/// Why a line-up is out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// Still in.
    In,
    /// Cannot be best.
    Beaten,
    /// Does not keep up with its orders.
    Overloaded,
    /// The figure has no value in some replication.
    NoValue,
}

/// A line-up in the end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Mean of the figure over its replications; NaN where it has none.
    pub mean: f64,
    /// Standard deviation of a replication.
    pub sd: f64,
    /// Its replications; the one after which it fell.
    pub replications: u64,
    /// How it ended.
    pub fate: Fate,
    /// Mean yearly result (earned less cost, or the cost alone below nothing) over its replications; `None` where
    /// the scenario does not speak of money or the cell does not keep up.
    pub yearly: Option<f64>,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// How it was looked for.
    pub way: Way,
    /// By line-up, in the order of the cases.
    pub lines: Vec<Line>,
    /// The best one; `None` where nothing is decided.
    pub winner: Option<usize>,
    /// Estimated chance (a lower bound) that it is best; a fixed effort only.
    pub chance: Option<f64>,
    /// Replications from which on a probability may be stated, where there are fewer: a few bad stretches decide.
    pub wanted: Option<u64>,
    /// Replications of all line-ups.
    pub effort: u64,
    /// It was interrupted.
    pub interrupted: bool,
}

/// One line-up on its way.
struct Runner<'a> {
    case: &'a Case,
    finder: Finder,
    experiment: Experiment,
    seen: Welford,
    /// By figure that is judged, the one asked for first: the value of each replication.
    values: Vec<Vec<f64>>,
    fate: Fate,
}

impl<'a> Runner<'a> {
    fn new(case: &'a Case, judged: &[Headline]) -> Self {
        Self {
            case,
            finder: Finder::new(judged, &case.model, &case.layout),
            values: vec![Vec::new(); judged.len()],
            experiment: Experiment::new(&case.model, &case.layout, 0),
            seen: Welford::new(),
            fate: Fate::In,
        }
    }

    /// Takes the next replication; its figure.
    fn take(&mut self, year: &Year) -> f64 {
        let (outcome, counts) = &**year;
        self.experiment.fold(outcome, counts);
        let told = self.finder.read(outcome);
        for (values, &value) in self.values.iter_mut().zip(&told) {
            values.push(value);
        }
        let value = told.first().copied().unwrap_or(f64::NAN);
        if value.is_finite() {
            self.seen.push(value);
        } else {
            self.fate = Fate::NoValue;
        }
        value
    }

    /// Whether it keeps up, as far as can be seen.
    fn look(&mut self, needs: Needs) {
        let summary = Summary::new(&self.case.model, &self.case.layout, &self.experiment);
        let drowns = Standing::of(&summary) == Standing::Overloaded;
        if drowns && needs != Needs::Nothing && self.fate == Fate::In {
            self.fate = Fate::Overloaded;
        }
    }

    fn line(&self) -> Line {
        Line {
            mean: self.seen.mean(),
            sd: self.seen.sd(),
            replications: u64::from(self.experiment.done),
            fate: self.fate,
            yearly: self.yearly(),
        }
    }

    fn yearly(&self) -> Option<f64> {
        let mean = |key: &str| {
            let figure = self.experiment.figures.get(self.case.layout.find(key)?)?;
            (figure.count() > 0).then(|| figure.mean())
        };
        match self.fate {
            Fate::Overloaded | Fate::NoValue => None,
            _ => mean("money/result").or_else(|| mean("money/cost").map(|cost| -cost)),
        }
    }
}

/// A replication of several line-ups.
type Row = Vec<(usize, Year)>;

/// Replications of so many line-ups that are run ahead, so that no core waits for the last line-up of each one. On
/// one core none is.
fn ahead(line_ups: usize) -> u32 {
    let cores = rayon::current_num_threads();
    match cores {
        0 | 1 => 1,
        _ => (AHEAD_OF_A_CORE * cores).div_ceil(line_ups.max(1)) as u32,
    }
}

/// Runs replications `from..to` of some runners, side by side; by runner, then number.
fn outcomes(
    runners: &[Runner<'_>],
    jobs: &[(usize, u32)],
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Option<Vec<Year>> {
    // Only what threads may share goes to them.
    let jobs: Vec<(&Case, u32)> = jobs
        .iter()
        .map(|&(runner, number)| (runners[runner].case, number))
        .collect();
    jobs.par_iter()
        .with_max_len(1)
        .map(|&(case, number)| {
            (!stop.load(Ordering::Relaxed)).then(|| {
                let outcome = case.outcome(number);
                progress();
                outcome
            })
        })
        .collect()
}

/// Looks for the best case. `progress` is called after every replication. `None` for fewer than two cases
/// or a way that cannot be gone (see [`Race::new`]; an effort below ten replications of each).
pub fn choose(
    cases: &[Case],
    headline: &Headline,
    best: Best,
    way: Way,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Option<Chosen> {
    if cases.len() < 2 {
        return None;
    }
    let judged = judged(&cases[0], headline);
    let mut runners: Vec<Runner<'_>> = cases
        .iter()
        .map(|case| Runner::new(case, &judged))
        .collect();
    let mut chosen = Chosen {
        way,
        lines: Vec::new(),
        winner: None,
        chance: None,
        wanted: None,
        effort: 0,
        interrupted: false,
    };
    match way {
        Way::Race {
            zone,
            confidence,
            first,
            most,
        } => {
            Race::new(cases.len(), best, zone, confidence, first)?;
            let bounds = (first, most.max(first));
            let sure = |runners: &[Runner<'_>]| is_sure(runners, best, zone, confidence);
            match first_stage(&mut runners, headline.needs, bounds, &sure, stop, progress) {
                None => chosen.interrupted = true,
                Some(rows) => {
                    let first = rows.len() as u32;
                    let wants = Some(wanted(&runners)).filter(|&n| n > u64::from(first));
                    chosen.wanted = wants.filter(|_| !sure(&runners));
                    chosen.way = Way::Race {
                        zone,
                        confidence,
                        first,
                        most,
                    };
                    let mut race = Race::new(cases.len(), best, zone, confidence, first)?;
                    let needs = headline.needs;
                    chosen.interrupted = !run_race(
                        &mut runners,
                        &mut race,
                        &rows,
                        (needs, most),
                        stop,
                        progress,
                    );
                }
            }
            let left: Vec<usize> = (0..runners.len())
                .filter(|&i| runners[i].fate == Fate::In)
                .collect();
            if let ([one], false) = (left.as_slice(), chosen.interrupted) {
                chosen.winner = Some(*one);
            }
        }
        Way::Effort(effort) => {
            if effort < FIRST_OF_EFFORT * cases.len() as u64 {
                return None;
            }
            chosen.interrupted = !spend(&mut runners, headline.needs, best, effort, stop, progress);
            let left: Vec<usize> = (0..runners.len())
                .filter(|&i| runners[i].fate == Fate::In)
                .collect();
            let seen = seen(&runners, &left);
            if !chosen.interrupted {
                let least = left.iter().map(|&i| runners[i].seen.count()).min();
                chosen.wanted = Some(wanted(&runners)).filter(|&n| least.is_some_and(|m| n > m));
                chosen.winner = budget::leader(&seen, best)
                    .and_then(|i| left.get(i))
                    .copied();
                let stated = left.len() > 1 && chosen.wanted.is_none();
                chosen.chance = stated.then(|| budget::chance_best(&seen, best));
            }
        }
    }
    chosen.lines = runners.iter().map(Runner::line).collect();
    chosen.effort = chosen.lines.iter().map(|line| line.replications).sum();
    Some(chosen)
}

fn seen(runners: &[Runner<'_>], left: &[usize]) -> Vec<Seen> {
    left.iter()
        .map(|&i| Seen {
            mean: runners[i].seen.mean(),
            sd: runners[i].seen.sd(),
            count: runners[i].seen.count(),
        })
        .collect()
}

/// Runs the race to its end or its most replications, after its first stage; false where it was interrupted.
fn run_race(
    runners: &mut [Runner<'_>],
    race: &mut Race,
    rows: &[Vec<f64>],
    (needs, most): (Needs, u32),
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> bool {
    // Who has no value, or drowns, is out before it can beat anybody; the race goes on without it, which can only be
    // on the safe side.
    for (i, runner) in runners.iter().enumerate() {
        if runner.fate != Fate::In {
            race.withdraw(i);
        }
    }
    for row in rows {
        push(race, row);
    }
    let mut number = rows.len() as u32;
    fall(runners, race, needs);
    let mut ready: VecDeque<Row> = VecDeque::new();
    while number < most && race.survivors().len() > 1 {
        let survivors = race.survivors();
        if ready.is_empty() {
            let last = number.saturating_add(ahead(survivors.len())).min(most);
            let jobs: Vec<(usize, u32)> = (number..last)
                .flat_map(|n| survivors.iter().map(move |&i| (i, n)))
                .collect();
            let Some(done) = outcomes(runners, &jobs, stop, progress) else {
                return false;
            };
            let mut done = done.into_iter();
            ready.extend(
                (number..last)
                    .map(|_| -> Row { survivors.iter().copied().zip(done.by_ref()).collect() }),
            );
        }
        // One replication decides whether there is a next. What was run ahead for a line-up that has fallen since is
        // not looked at, so that the answer is the same.
        let Some(row) = ready.pop_front() else { break };
        let mut values = vec![f64::NAN; runners.len()];
        for (i, outcome) in row.iter().filter(|(i, _)| survivors.contains(i)) {
            values[*i] = runners[*i].take(outcome);
        }
        for &i in &survivors {
            if runners[i].fate != Fate::In {
                race.withdraw(i);
            }
        }
        push(race, &values);
        number += 1;
        fall(runners, race, needs);
    }
    for &i in &race.survivors() {
        runners[i].look(needs);
    }
    true
}

/// One replication of all that are still in the race; `values` by line-up.
fn push(race: &mut Race, values: &[f64]) {
    let still: Vec<f64> = race.survivors().iter().map(|&i| values[i]).collect();
    race.push(&still);
}

/// What has fallen in the race is out, beaten or for a reason of its own.
fn fall(runners: &mut [Runner<'_>], race: &Race, needs: Needs) {
    for (i, fell) in race.dropped().iter().enumerate() {
        if fell.is_some() && runners[i].fate == Fate::In {
            runners[i].look(needs);
            if runners[i].fate == Fate::In {
                runners[i].fate = Fate::Beaten;
            }
        }
    }
}

/// Spends a fixed effort; false where it was interrupted.
fn spend(
    runners: &mut [Runner<'_>],
    needs: Needs,
    best: Best,
    effort: u64,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> bool {
    let mut more = vec![FIRST_OF_EFFORT; runners.len()];
    let mut spent = 0;
    loop {
        let jobs: Vec<(usize, u32)> = more
            .iter()
            .enumerate()
            .flat_map(|(i, &count)| {
                let from = runners[i].experiment.done;
                (from..from + count as u32).map(move |n| (i, n))
            })
            .collect();
        let Some(done) = outcomes(runners, &jobs, stop, progress) else {
            return false;
        };
        for (&(i, _), outcome) in jobs.iter().zip(&done) {
            runners[i].take(outcome);
        }
        spent += jobs.len() as u64;
        if spent == FIRST_OF_EFFORT * runners.len() as u64 {
            runners.iter_mut().for_each(|runner| runner.look(needs));
        }
        let left: Vec<usize> = (0..runners.len())
            .filter(|&i| runners[i].fate == Fate::In)
            .collect();
        if spent >= effort || left.len() < 2 {
            return true;
        }
        let next = budget::next(&seen(runners, &left), best, STEP.min(effort - spent));
        more = vec![0; runners.len()];
        for (&i, count) in left.iter().zip(next) {
            more[i] = count;
        }
        if more.iter().all(|count| *count == 0) {
            return true;
        }
    }
}
