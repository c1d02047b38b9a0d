//! The first stage of a race: as long as bad stretches ask for.
//!
//! In: line-ups that run side by side. Out: the figure of each by replication, and whether they are enough of them.

use std::sync::atomic::AtomicBool;

use crate::compare::alarm::{self, Alarm};
use crate::compare::headline::{Headline, Needs, headlines};
use crate::compare::run::Case;
use crate::stats::selection::Best;
use crate::stats::{Tail, Welford, bonferroni};

use super::{Fate, Runner, outcomes};

/// The figures that are looked at for bad stretches: the one asked for, and where that moves with the queues all
/// others that do.
pub(super) fn judged(case: &Case, headline: &Headline) -> Vec<Headline> {
    let mut judged = vec![headline.clone()];
    if alarm::moves(headline) {
        let others = headlines(&case.model).into_iter();
        judged.extend(others.filter(|other| alarm::moves(other) && other.key != headline.key));
    }
    judged
}

/// Replications that the differences between the line-ups still in want.
pub(super) fn wanted(runners: &[Runner<'_>]) -> u64 {
    let left: Vec<&Runner<'_>> = runners.iter().filter(|r| r.fate == Fate::In).collect();
    let pairs = left
        .iter()
        .enumerate()
        .flat_map(|(place, mine)| left[..place].iter().map(move |other| (mine, other)));
    let alarms = pairs.filter_map(|(mine, other)| alarm(mine, other));
    alarms.map(|alarm| alarm.wanted()).max().unwrap_or(0)
}

/// The most skewed difference of two line-ups, over the replications that both have.
fn alarm(mine: &Runner<'_>, other: &Runner<'_>) -> Option<Alarm> {
    let both = mine.values.iter().zip(&other.values).map(|(a, b)| {
        let n = a.len().min(b.len());
        (&a[..n], &b[..n])
    });
    Alarm::of_all(both)
}

/// Whether the one with the best mean so far is behind no other by the zone or more, with bad stretches that have not
/// been seen yet allowed for.
pub(super) fn is_sure(runners: &[Runner<'_>], best: Best, zone: f64, confidence: f64) -> bool {
    let left: Vec<&Runner<'_>> = runners.iter().filter(|r| r.fate == Fate::In).collect();
    let mean = |runner: &Runner<'_>| best.signed(runner.seen.mean());
    let leader = left
        .iter()
        .copied()
        .max_by(|a, b| mean(a).total_cmp(&mean(b)));
    let Some(leader) = leader else { return false };
    let level = bonferroni(confidence, left.len().saturating_sub(1).max(1));
    left.iter()
        .filter(|other| !std::ptr::eq(**other, leader))
        .all(|other| {
            let both = leader.values[0].iter().zip(&other.values[0]);
            let gaps: Vec<f64> = both
                .map(|(&a, &b)| best.signed(a) - best.signed(b))
                .collect();
            let seen = gaps.iter().copied().collect::<Welford>().moments();
            let alarm = alarm(leader, other);
            let tail = alarm.map_or_else(|| Tail::of(&seen), |alarm| alarm.tail(&gaps));
            let far = tail.bounded(seen.interval(level), seen.mean, seen.count);
            far.low > -zone
        })
}

/// The first stage of a race, as long as the skewness of the differences asks for or until it is sure without: the
/// figure of each line-up by replication, nothing once it is out. `None` where it was interrupted.
pub(super) fn first_stage(
    runners: &mut [Runner<'_>],
    needs: Needs,
    (first, most): (u32, u32),
    sure: &dyn Fn(&[Runner<'_>]) -> bool,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Option<Vec<Vec<f64>>> {
    let mut rows: Vec<Vec<f64>> = Vec::new();
    let mut until = first;
    loop {
        let done = rows.len() as u32;
        let left: Vec<usize> = (0..runners.len())
            .filter(|&i| runners[i].fate == Fate::In)
            .collect();
        let jobs: Vec<(usize, u32)> = (done..until)
            .flat_map(|n| left.iter().map(move |&i| (i, n)))
            .collect();
        let outcomes = outcomes(runners, &jobs, stop, progress)?;
        for row in outcomes.chunks(left.len().max(1)) {
            let mut values = vec![f64::NAN; runners.len()];
            for (&i, outcome) in left.iter().zip(row) {
                values[i] = runners[i].take(outcome);
            }
            rows.push(values);
        }
        runners.iter_mut().for_each(|runner| runner.look(needs));
        // Half as many again at a time: what few have seen of a tail says too little of it.
        let wanted = u32::try_from(wanted(runners)).unwrap_or(u32::MAX).min(most);
        let enough = rows.len() < until as usize || wanted <= until || sure(runners);
        if enough {
            return Some(rows);
        }
        until = (until + until.div_ceil(2)).min(wanted);
    }
}
