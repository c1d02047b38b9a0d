//! `certify`: what the intervals of a cell are worth, counted on the cell itself.
//!
//! In: a scenario. Out: on stdout how often its intervals hold, by figure.

use crate::certify::{Pool, Study, intervals};
use crate::compare::headlines;
use crate::model;
use crate::report::certify::{Certificate, text};
use crate::steady;

use super::super::args::Certify;
use super::super::ask;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::progress::Progress;
use super::super::variant::{self, load_cell};
use super::many::SKEWED_MOST;

/// Fewest replications of a pool where the command line does not say how many.
const POOL_LEAST: u32 = 2_000;

/// So many times the longest run is the pool, at least.
const POOL_OF_A_RUN: u32 = 5;

/// Counts.
///
/// # Errors
/// As [`load_cell`]; [`Exit::Usage`] where a run is a large part of the pool, [`Exit::Partial`] where it was interrupted.
pub fn certify(asked: &Certify) -> Result<Exit, Failure> {
    let mut scenario = load_cell(&asked.file, asked.variant.as_deref(), None, asked.quiet)?;
    let plan = &mut scenario.loaded.plant.run;
    plan.seed = asked.seed.unwrap_or(plan.seed);
    plan.replications = asked.replications.unwrap_or(plan.replications);
    let start = plan.replications;
    let refuse = |message: String| Err(Failure::new(Exit::Usage, message));
    if start < 2 {
        return refuse("error: one replication has no intervals\nhelp: how many a run is to have: --replications 100".to_owned());
    }
    let most = ask::at_most(asked.at_most, asked.replications, start, SKEWED_MOST);
    let years = asked
        .pool
        .unwrap_or(most.saturating_mul(POOL_OF_A_RUN).max(POOL_LEAST));
    // A run that is a large part of the pool is no luck of its own.
    if years / POOL_OF_A_RUN < most {
        return refuse(format!(
            "error: runs of up to {most} replications cannot be drawn from {years}\nhelp: --pool {} or more, or a smaller --at-most",
            most.saturating_mul(POOL_OF_A_RUN)
        ));
    }
    let stop = interrupt::flag();
    let pool = ask::threads(asked.threads)?;
    let bar = Progress::new(asked.quiet, u64::from(years) + u64::from(asked.runs));
    let title = scenario.loaded.file.name.clone();
    let told = pool.install(|| {
        if !steady::settle(&mut scenario.loaded.plant, &stop) {
            return None;
        }
        let model = model::compile(scenario.loaded.plant);
        let headlines = headlines(&model);
        let pool = Pool::run(model, years, &stop, &|| bar.done(1))?;
        let layout = &pool.case().layout;
        let places = headlines.iter().filter_map(|h| layout.find(&h.key));
        let places: Vec<usize> = places.collect();
        let study = Study {
            runs: asked.runs,
            start,
            most,
        };
        let told = intervals(&pool, &places, study, &stop, &|| bar.done(1))?;
        Some((pool, study, told))
    });
    bar.end();
    let Some((pool, study, told)) = told else {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted: nothing was counted.",
        ));
    };
    let certificate = Certificate {
        pool: &pool,
        study,
        told: &told,
        title: &title,
    };
    let heading = variant::heading(scenario.variant.as_ref());
    console::data(&(heading + &text(&certificate)))?;
    Ok(Exit::Done)
}
