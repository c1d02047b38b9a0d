//! `run`: a scenario, many times over.
//!
//! In: a file and how to run it. Out: the summary on stdout, a results folder, its name on stderr.

use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use rayon::ThreadPool;

use crate::model::{self, Model};
use crate::observe::Layout;
use crate::plant::{Precision, RunPlan};
use crate::replicate::{self, Experiment, Growth};
use crate::report::{self, Provenance};
use crate::steady;
use crate::summary::Summary;
use crate::units::percent;

use super::super::args::Run;
use super::super::ask;
use super::super::console;
use super::super::deliver::{Delivery, deliver};
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::Scenario;
use super::super::progress::Progress;
use super::super::variant::{self, Chosen, load_cell};
use super::super::write::{Place, folder_of};

/// Runs a scenario.
///
/// # Errors
/// As [`load_cell`]; [`Exit::Output`] where results cannot be written.
pub fn run(asked: &Run) -> Result<Exit, Failure> {
    let mut scenario = load_cell(&asked.file, asked.variant.as_deref(), None, asked.quiet)?;
    let plan = &mut scenario.loaded.plant.run;
    let origin = origin(
        &asked.file,
        scenario.variant.as_ref(),
        plan,
        asked.seed,
        asked.replications,
        asked.precision,
    );
    if let Some(within) = asked.precision {
        let usual = plan.precision.unwrap_or_else(|| Precision::usual(within));
        plan.precision = Some(Precision { within, ..usual });
    }
    plan.seed = asked.seed.unwrap_or(plan.seed);
    plan.replications = asked.replications.unwrap_or(plan.replications);
    let seed = plan.seed;
    if let Some((part, parts)) = asked.part {
        return super::part::run_part(asked, scenario, part, parts);
    }
    let place = place(
        (!asked.no_files).then_some(asked.out.clone()),
        &asked.file,
        scenario.variant.as_ref(),
        seed,
        asked.replace,
    )?;
    let stop = interrupt::flag();
    let Scenario {
        mut loaded,
        bytes,
        variant: chosen,
        ..
    } = scenario;
    let sha256 = variant::fingerprint(&bytes, &loaded, chosen.as_ref());
    let pool = ask::threads(asked.threads)?;
    let settled = pool.install(|| steady::settle(&mut loaded.plant, &stop));
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let experiment = if settled {
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
    let provenance = Provenance {
        file_name: origin,
        sha256,
        version: env!("CARGO_PKG_VERSION"),
        scenario_text: loaded.text,
    };
    show(
        &model,
        &layout,
        &experiment,
        &provenance,
        place,
        variant::inputs(loaded.book, chosen.as_ref()),
        asked.quiet,
    )
}

/// Where results go, looked at before the work begins; `wanted`: `None` for nowhere, else the folder asked for.
pub(super) fn place(
    wanted: Option<Option<PathBuf>>,
    file: &Path,
    chosen: Option<&Chosen>,
    seed: u64,
    replace: bool,
) -> Result<Option<Place>, Failure> {
    let usual = || folder_of(file, &variant::folder_part("", chosen), seed);
    wanted
        .map(|out| Place::new(out.unwrap_or_else(usual), replace))
        .transpose()
}

/// Prints the summary of an experiment and writes its results folder; `inputs`: files it came from.
pub(super) fn show(
    model: &Model,
    layout: &Layout,
    experiment: &Experiment,
    provenance: &Provenance,
    place: Option<Place>,
    inputs: Vec<(String, Vec<u8>)>,
    quiet: bool,
) -> Result<Exit, Failure> {
    let summary = Summary::new(model, layout, experiment);
    let delivery = Delivery {
        text: &report::text(model, &summary, provenance),
        place,
        complete: experiment.done >= experiment.asked,
        more: String::new(),
        quiet,
    };
    deliver(delivery, || {
        let (_, trace, _) = replicate::traced(model, layout, 0);
        let mut files = report::files(model, &summary, &trace, provenance);
        files.extend(inputs);
        files
    })?;
    if experiment.done < experiment.asked {
        console::say(&format!(
            "Interrupted: {} of {} replications are in these results, which are marked partial.",
            experiment.done, experiment.asked
        ));
        return Ok(Exit::Partial);
    }
    Ok(Exit::Done)
}

/// The scenario file, and what was asked for instead of what it says.
pub(super) fn origin(
    file: &Path,
    chosen: Option<&Chosen>,
    plan: &RunPlan,
    seed: Option<u64>,
    replications: Option<u32>,
    precision: Option<f64>,
) -> String {
    let mut origin = file
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let mut said: Vec<String> = variant::said(chosen).into_iter().collect();
    if let Some(other) = seed.filter(|&other| other != plan.seed) {
        said.push(format!("--seed {other}"));
    }
    if let Some(other) = replications.filter(|&other| other != plan.replications) {
        said.push(format!("--replications {other}"));
    }
    let written = plan.precision.map(|precision| precision.within);
    if let Some(other) = precision.filter(|&other| Some(other) != written) {
        said.push(format!("--precision {}", percent(other)));
    }
    if !said.is_empty() {
        origin.push_str(&format!(" run with {}", said.join(" ")));
    }
    origin
}

/// Does the work on the threads asked for.
pub(super) fn on_threads<T: Send>(
    asked: &Run,
    count: u64,
    work: impl FnOnce(&(dyn Fn(u32) + Sync)) -> T + Send,
) -> Result<T, Failure> {
    let bar = Progress::new(asked.quiet, count);
    let done = ask::threads(asked.threads)?.install(|| work(&|done| bar.done(u64::from(done))));
    bar.end();
    Ok(done)
}

/// The replications, as many as the scenario says or its precision asks for.
fn work(
    asked: &Run,
    pool: &ThreadPool,
    model: &Model,
    layout: &Layout,
    stop: &AtomicBool,
) -> Experiment {
    let run = &model.plant.run;
    let (count, confidence) = (run.replications, run.confidence);
    let skewed = ask::at_most(
        asked.at_most,
        asked.replications,
        count,
        steady::SKEWED_MOST,
    );
    let most = run
        .precision
        .as_ref()
        .map_or(count, |p| p.at_most.max(count));
    let bar = Progress::new(asked.quiet, u64::from(most));
    let progress = |done: u32| bar.done(u64::from(done));
    let experiment = pool.install(|| match &run.precision {
        None => steady::until_claimed(model, layout, skewed, stop, &|done| {
            bar.beyond(
                u64::from(skewed),
                " at most, for intervals that a few bad stretches decide",
            );
            progress(done);
        }),
        Some(precision) => {
            let least = count.max(steady::PRECISION_LEAST);
            let counts = (
                [least, precision.at_most.max(count)],
                Growth::By(steady::PRECISION_STEP),
            );
            let enough =
                |so_far: &Experiment| steady::precise(layout, so_far, precision, confidence);
            replicate::until(model, layout, counts, &enough, stop, &progress)
        }
    });
    bar.end();
    experiment
}
