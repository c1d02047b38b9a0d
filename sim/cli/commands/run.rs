//! `run`: a scenario, many times over.
//!
//! In: a file and how to run it. Out: the summary on stdout, a results folder, its name on stderr.

use std::sync::atomic::AtomicBool;

use indicatif::{ProgressBar, ProgressStyle};
use rayon::ThreadPool;
use sha2::{Digest, Sha256};

use crate::model::{self, Model};
use crate::observe::Layout;
use crate::plant::{Precision, RunPlan};
use crate::replicate::{self, Experiment};
use crate::report::{self, Provenance};
use crate::steady;
use crate::summary::Summary;
use crate::units::percent;

use super::super::args::Run;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::{Scenario, load};
use super::super::write::{Place, default_folder};

/// Runs a scenario.
///
/// # Errors
/// As [`load`]; [`Exit::Output`] where results cannot be written.
pub fn run(asked: &Run) -> Result<Exit, Failure> {
    let Scenario {
        mut loaded, bytes, ..
    } = load(&asked.file, asked.quiet)?;
    let plan = &mut loaded.plant.run;
    let origin = origin(asked, plan);
    if let Some(within) = asked.precision {
        let usual = plan.precision.unwrap_or_else(|| Precision::usual(within));
        plan.precision = Some(Precision { within, ..usual });
    }
    plan.seed = asked.seed.unwrap_or(plan.seed);
    plan.replications = asked.replications.unwrap_or(plan.replications);
    let seed = plan.seed;
    let place = if asked.no_files {
        None
    } else {
        let folder = asked
            .out
            .clone()
            .unwrap_or_else(|| default_folder(&asked.file, seed));
        Some(Place::new(folder, asked.replace)?)
    };

    let stop = interrupt::flag();
    let pool = pool(asked)?;
    let chosen = pool.install(|| steady::settle(&mut loaded.plant, &stop));
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let experiment = if chosen {
        work(asked, &pool, &model, &layout, &stop)
    } else {
        Experiment::new(&model, &layout, model.plant.run.replications)
    };
    if experiment.done == 0 {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before the first replication was done: there are no results.",
        ));
    }
    let summary = Summary::new(&model, &layout, &experiment);
    let provenance = Provenance {
        file_name: origin,
        sha256: fingerprint(&bytes, loaded.book.as_ref().map(|book| book.1.as_slice())),
        version: env!("CARGO_PKG_VERSION"),
        scenario_text: loaded.text,
    };
    console::data(&report::text(&model, &summary, &provenance))?;
    if let Some(place) = place {
        let (_, trace, _) = replicate::traced(&model, &layout, 0);
        let mut files = report::files(&model, &summary, &trace, &provenance);
        // In a folder of its own: the results have an `orders.csv` too.
        files.extend(
            loaded
                .book
                .map(|(name, bytes)| (format!("book/{name}"), bytes)),
        );
        place.write(&files)?;
        if !asked.quiet {
            console::say(&format!("Results: {}", place.folder().display()));
        }
    }
    if experiment.done < experiment.asked {
        console::say(&format!(
            "Interrupted: {} of {} replications are in these results, which are marked partial.",
            experiment.done, experiment.asked
        ));
        return Ok(Exit::Partial);
    }
    Ok(Exit::Done)
}

/// The scenario file, and what the command line asked for instead of what it says.
fn origin(asked: &Run, plan: &RunPlan) -> String {
    let mut origin = asked
        .file
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let mut said = Vec::new();
    if let Some(other) = asked.seed.filter(|&other| other != plan.seed) {
        said.push(format!("--seed {other}"));
    }
    if let Some(other) = asked
        .replications
        .filter(|&other| other != plan.replications)
    {
        said.push(format!("--replications {other}"));
    }
    let written = plan.precision.map(|precision| precision.within);
    if let Some(other) = asked.precision.filter(|&other| Some(other) != written) {
        said.push(format!("--precision {}", percent(other)));
    }
    if !said.is_empty() {
        origin.push_str(&format!(" run with {}", said.join(" ")));
    }
    origin
}

/// The replications, on the threads asked for, with a bar on a terminal.
fn work(
    asked: &Run,
    pool: &ThreadPool,
    model: &Model,
    layout: &Layout,
    stop: &AtomicBool,
) -> Experiment {
    let run = &model.plant.run;
    let (count, confidence) = (run.replications, run.confidence);
    let bar = if asked.quiet {
        ProgressBar::hidden()
    } else {
        ProgressBar::new(u64::from(count))
    };
    if let Ok(style) = ProgressStyle::with_template("{bar:32} {pos}/{len} replications, {eta} left")
    {
        bar.set_style(style);
    }
    let progress = |done: u32| bar.inc(u64::from(done));
    let experiment = pool.install(|| match &run.precision {
        None => replicate::many(model, layout, count, stop, &progress),
        Some(precision) => {
            bar.set_length(u64::from(precision.at_most));
            let counts = [
                count.max(steady::PRECISION_LEAST),
                steady::PRECISION_STEP,
                precision.at_most,
            ];
            let enough =
                |so_far: &Experiment| steady::precise(layout, so_far, precision, confidence);
            replicate::until(model, layout, counts, &enough, stop, &progress)
        }
    });
    bar.finish_and_clear();
    experiment
}

/// The threads asked for.
fn pool(asked: &Run) -> Result<ThreadPool, Failure> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(asked.threads.unwrap_or(0)))
        .build()
        .map_err(|error| Failure::new(Exit::Usage, format!("error: the threads cannot be started: {error}\nhelp: ask for fewer with --threads")))
}

/// SHA-256 of the scenario followed by its order book.
fn fingerprint(scenario: &[u8], book: Option<&[u8]>) -> String {
    let mut hash = Sha256::new();
    hash.update(scenario);
    hash.update(book.unwrap_or_default());
    hex(&hash.finalize())
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
