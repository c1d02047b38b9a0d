//! `run`: a scenario, many times over.
//!
//! In: a file and how to run it. Out: the summary on stdout, a results folder, its name on stderr.

use std::sync::atomic::AtomicBool;

use indicatif::{ProgressBar, ProgressStyle};
use sha2::{Digest, Sha256};

use crate::model::{self, Model};
use crate::observe::Layout;
use crate::replicate::{self, Experiment};
use crate::report::{self, Provenance};
use crate::summary::Summary;

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
    let origin = origin(asked, plan.seed, plan.replications);
    plan.seed = asked.seed.unwrap_or(plan.seed);
    plan.replications = asked.replications.unwrap_or(plan.replications);
    let (seed, replications) = (plan.seed, plan.replications);
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
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let experiment = work(asked, &model, &layout, replications, &stop)?;
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
fn origin(asked: &Run, seed: u64, replications: u32) -> String {
    let mut origin = asked
        .file
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let mut said = Vec::new();
    if let Some(other) = asked.seed.filter(|&other| other != seed) {
        said.push(format!("--seed {other}"));
    }
    if let Some(other) = asked.replications.filter(|&other| other != replications) {
        said.push(format!("--replications {other}"));
    }
    if !said.is_empty() {
        origin.push_str(&format!(" run with {}", said.join(" ")));
    }
    origin
}

/// The replications, on the threads asked for, with a bar on a terminal.
fn work(
    asked: &Run,
    model: &Model,
    layout: &Layout,
    count: u32,
    stop: &AtomicBool,
) -> Result<Experiment, Failure> {
    let bar = if asked.quiet {
        ProgressBar::hidden()
    } else {
        ProgressBar::new(u64::from(count))
    };
    if let Ok(style) = ProgressStyle::with_template("{bar:32} {pos}/{len} replications, {eta} left")
    {
        bar.set_style(style);
    }
    let threads = usize::from(asked.threads.unwrap_or(0));
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .map_err(|error| Failure::new(Exit::Usage, format!("error: the threads cannot be started: {error}\nhelp: ask for fewer with --threads")))?;
    let experiment = pool
        .install(|| replicate::many(model, layout, count, stop, &|done| bar.inc(u64::from(done))));
    bar.finish_and_clear();
    Ok(experiment)
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
