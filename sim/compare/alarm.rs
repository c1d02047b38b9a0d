//! What pairs of replications may not have shown yet.
//!
//! In: the runs of two cases. Out: [`Alarm`]: the most skewed difference among what is promised and paid, and
//! for any other difference that moves with the queues the side on which its tail lies.
//!
//! Where one bad month in twenty holds a third of all lateness, twenty pairs without such a month look alike
//! and even in every figure, and all of them are wrong to the same side. So the figures that move with the
//! queues are judged together: by the one that shows the tail best, and by how each goes along with it.

use crate::stats::{Moments, Tail, Welford};
use crate::summary::LEAST;

use super::headline::{Headline, Needs};
use super::run::CaseRun;

/// The most skewed difference of two cases.
#[derive(Debug, Clone)]
pub struct Alarm {
    gaps: Vec<f64>,
    seen: Moments,
}

impl Alarm {
    /// Looks at the differences of two runs.
    pub fn new(headlines: &[Headline], mine: &CaseRun, other: &CaseRun) -> Option<Self> {
        let told = headlines
            .iter()
            .zip(mine.values.iter().zip(&other.values))
            .filter(|(headline, _)| moves(headline))
            .map(|(_, (mine, other))| (&mine[..], &other[..]));
        Self::of_all(told.chain([(&mine.yearly[..], &other.yearly[..])]))
    }

    /// The most skewed one of figures that are judged together, of one case and the other replication by replication.
    /// A figure without a value in one of them is left out.
    pub fn of_all<'a>(figures: impl Iterator<Item = (&'a [f64], &'a [f64])>) -> Option<Self> {
        figures
            .filter_map(|(mine, other)| Self::of(mine, other))
            .max_by_key(|alarm| alarm.seen.wanted())
    }

    /// Pairs that it wants.
    pub fn wanted(&self) -> u64 {
        self.seen.wanted()
    }

    fn of(mine: &[f64], other: &[f64]) -> Option<Self> {
        let gaps: Vec<f64> = mine.iter().zip(other).map(|(a, b)| a - b).collect();
        let seen = gaps.iter().copied().collect::<Welford>().moments();
        (gaps.iter().all(|gap| gap.is_finite()) && seen.sd > 0.0).then_some(Self { gaps, seen })
    }

    /// The tail of another difference of the same two runs, pair by pair.
    pub fn tail(&self, gaps: &[f64]) -> Tail {
        let seen = gaps.iter().copied().collect::<Welford>().moments();
        let own = Tail::of(&seen);
        let wanted = own.wanted.max(self.seen.wanted()).max(u64::from(LEAST));
        if own.wanted >= self.seen.wanted() || gaps.len() != self.gaps.len() {
            return Tail { wanted, ..own };
        }
        let along: f64 = gaps
            .iter()
            .zip(&self.gaps)
            .map(|(a, b)| (a - seen.mean) * (b - self.seen.mean))
            .sum();
        Tail {
            wanted,
            up: (along > 0.0) == (self.seen.skewness > 0.0),
        }
    }
}

/// Pairs that the differences of all variants from today want, demand case by demand case; what cannot keep up has
/// no differences.
pub fn wanted(runs: &[CaseRun], demands: usize) -> u64 {
    let today = &runs[..demands.min(runs.len())];
    let others = runs.iter().enumerate().skip(demands);
    others
        .filter_map(|(index, run)| run.alarm(&today[index % demands]))
        .map(|alarm| alarm.seen.wanted().max(u64::from(LEAST)))
        .max()
        .unwrap_or(0)
}

/// Whether runs have the replications that what is promised and paid in each of them wants: one is no ground for an
/// interval, and none is looked for.
pub fn is_enough(runs: &[CaseRun]) -> bool {
    runs.iter().all(|run| {
        let done = u64::from(run.experiment.done);
        done < 2 || done >= crate::summary::wanted(&run.layout, &run.experiment)
    })
}

/// Whether a headline moves with the queues.
pub fn moves(headline: &Headline) -> bool {
    matches!(headline.needs, Needs::Steady(_))
}
