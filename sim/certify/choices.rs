//! How often a race between line-ups names the best one.
//!
//! In: pools of several line-ups whose replications have the same numbers. Out: of races on drawn replications, those
//! that name one within the zone of the best, those that name another, and those that state no probability.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::compare::choose::{Way, choose};
use crate::compare::headline::Finder;
use crate::compare::{Case, Headline};
use crate::stats::selection::Best;

use super::Pool;

/// What was counted of races.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Races {
    /// Mean of the figure of each line-up over its pool.
    pub means: Vec<f64>,
    /// Races that state their probability and name one within the zone of the best.
    pub right: u32,
    /// Races that state it and name another one.
    pub wrong: u32,
    /// Races that state none: how many of them name one within the zone, and how many another or nobody.
    pub unstated: [u32; 2],
    /// Mean number of replications of all line-ups.
    pub effort: f64,
}

/// Runs so many races. A race that ends undecided names nobody and states nothing.
pub fn choices(
    pools: &[Pool],
    headline: &Headline,
    best: Best,
    (way, zone): (Way, f64),
    runs: u32,
    stop: &AtomicBool,
    progress: &(dyn Fn() + Sync),
) -> Option<Races> {
    let means: Vec<f64> = pools.iter().map(|pool| mean(pool, headline)).collect();
    let top = means
        .iter()
        .map(|&mean| best.signed(mean))
        .fold(f64::MIN, f64::max);
    let within = |winner: usize| best.signed(means[winner]) >= top - zone;
    let quiet = || {};
    let each: Option<Vec<(Option<bool>, bool, u64)>> = (0..runs)
        .into_par_iter()
        .map(|number| {
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let cases: Vec<Case> = pools.iter().map(|p| p.drawn(u64::from(number))).collect();
            let chosen = choose(&cases, headline, best, way, stop, &quiet)?;
            progress();
            let stated = chosen.winner.is_some() && chosen.wanted.is_none();
            Some((chosen.winner.map(within), stated, chosen.effort))
        })
        .collect();
    let mut races = Races {
        means,
        ..Races::default()
    };
    for (right, stated, effort) in each? {
        match (right, stated) {
            (Some(true), true) => races.right += 1,
            (_, true) => races.wrong += 1,
            (Some(true), false) => races.unstated[0] += 1,
            (_, false) => races.unstated[1] += 1,
        }
        races.effort += effort as f64 / f64::from(runs.max(1));
    }
    Some(races)
}

/// Mean of a figure over the replications of a pool.
fn mean(pool: &Pool, headline: &Headline) -> f64 {
    let case = pool.case();
    let finder = Finder::new(std::slice::from_ref(headline), &case.model, &case.layout);
    let told = pool.kept().iter().map(|year| finder.read(&year.0));
    let sum: f64 = told
        .map(|value| value.first().copied().unwrap_or(f64::NAN))
        .sum();
    sum / pool.kept().len() as f64
}
