//! What the commands that run many cells share: the experiment, the threads, where results come from.
//!
//! In: their common arguments. Out: a study with its seed and replications set, a place for results, cases
//! run side by side with a bar on a terminal.

use std::sync::atomic::AtomicBool;

use sha2::{Digest, Sha256};

use crate::compare::{self, Case, CaseRun, Headline};
use crate::plant::{Plant, WarmUp};
use crate::replicate::Growth;
use crate::report::Provenance;
use crate::steady;

use super::super::args::Many;
use super::super::ask;
use super::super::exit::Failure;
use super::super::load::StudyFile;
use super::super::progress::Progress;
use super::super::write::{Place, folder_of};

/// Most replications of a case where the file says how many and they are too few for how skewed figures are.
pub const SKEWED_MOST: u32 = 400;

/// Replications by seed, as asked for or as the scenario says.
#[derive(Debug, Clone, Copy)]
pub struct Plan {
    /// Root of every draw.
    pub seed: u64,
    /// Replications of every case.
    pub replications: u32,
    /// Warm-up of cases that leave it open, minutes, as chosen for today's cell: all cases are measured over the
    /// same time.
    pub warm_up: (f64, WarmUp),
}

/// The plan of a study.
pub fn plan(asked: &Many, file: &StudyFile) -> Plan {
    let mut today = file.study.base.plant.clone();
    today.run.seed = asked.seed.unwrap_or(today.run.seed);
    let stop = AtomicBool::new(false);
    // Where the threads cannot be had, the command says so when it starts its own.
    match ask::threads(asked.threads) {
        Ok(pool) => pool.install(|| steady::settle(&mut today, &stop)),
        Err(_) => steady::settle(&mut today, &stop),
    };
    Plan {
        seed: today.run.seed,
        replications: asked.replications.unwrap_or(today.run.replications),
        warm_up: (today.run.warm_up_min, today.run.warm_up),
    }
}

/// A plant with the seed and replications of the plan.
pub fn planned(plant: &Plant, plan: Plan) -> Plant {
    let mut plant = plant.clone();
    plant.run.seed = plan.seed;
    plant.run.replications = plan.replications;
    if plant.run.warm_up == WarmUp::Auto {
        (plant.run.warm_up_min, plant.run.warm_up) = plan.warm_up;
    }
    plant
}

/// Where the results of a command go; `None` where none are wanted.
///
/// # Errors
/// [`Exit::Output`] where something is there already and may not be replaced.
pub fn place(asked: &Many, command: &str, plan: Plan) -> Result<Option<Place>, Failure> {
    if asked.no_files {
        return Ok(None);
    }
    let folder = asked
        .out
        .clone()
        .unwrap_or_else(|| folder_of(&asked.file, command, plan.seed));
    Place::new(folder, asked.replace).map(Some)
}

/// Where results come from. `said`: what the command line adds to the scenario.
pub fn provenance(asked: &Many, file: &StudyFile, said: &[String]) -> Provenance {
    let mut origin = asked
        .file
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let run = &file.study.base.plant.run;
    let mut said = said.to_vec();
    if let Some(seed) = asked.seed.filter(|&seed| seed != run.seed) {
        said.push(format!("--seed {seed}"));
    }
    if let Some(count) = asked
        .replications
        .filter(|&count| count != run.replications)
    {
        said.push(format!("--replications {count}"));
    }
    if !said.is_empty() {
        origin.push_str(&format!(" with {}", said.join(" ")));
    }
    Provenance {
        file_name: origin,
        sha256: fingerprint(file),
        version: env!("CARGO_PKG_VERSION"),
        scenario_text: file.study.text.clone(),
    }
}

/// SHA-256 of the file, the base it may name, and the order book.
pub fn fingerprint(file: &StudyFile) -> String {
    let mut hash = Sha256::new();
    hash.update(&file.bytes);
    if let Some((_, bytes)) = &file.study.base_file {
        hash.update(bytes);
    }
    if let Some((_, bytes)) = &file.study.base.book {
        hash.update(bytes);
    }
    hash.finalize()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// The files a comparison was read from beside the scenario itself, for the results folder.
pub fn inputs(file: &StudyFile) -> Vec<(String, Vec<u8>)> {
    let base = file
        .study
        .base_file
        .iter()
        .map(|(name, bytes)| (format!("base/{name}"), bytes.clone()));
    let book = file
        .study
        .base
        .book
        .iter()
        .map(|(name, bytes)| (format!("book/{name}"), bytes.clone()));
    base.chain(book).collect()
}

/// Threads and a bar to run cases with.
pub struct Workers {
    pool: rayon::ThreadPool,
    bar: Progress,
}

impl Workers {
    /// As many threads as asked for, and a bar unless it is to be quiet.
    ///
    /// # Errors
    /// [`Exit::Usage`] where the system gives no threads.
    pub fn new(asked: &Many) -> Result<Self, Failure> {
        let pool = ask::threads(asked.threads)?;
        let bar = Progress::new(asked.quiet, 0);
        Ok(Self { pool, bar })
    }

    /// Chooses one warm-up for all where it is left open.
    pub fn settle(&self, plants: &mut [Plant], stop: &AtomicBool) {
        // Where `stop` comes first, no replication is run after it either.
        self.pool.install(|| steady::settle_together(plants, stop));
    }

    /// Runs cases side by side.
    pub fn run(
        &self,
        cases: &[Case],
        headlines: &[Headline],
        count: u32,
        stop: &AtomicBool,
    ) -> Vec<CaseRun> {
        self.bar.more(u64::from(count) * cases.len() as u64);
        self.pool
            .install(|| compare::run(cases, headlines, count, stop, &|| self.bar.done(1)))
    }

    /// Runs cases side by side until `enough` says so; see [`compare::until`].
    pub fn until(
        &self,
        cases: &[Case],
        headlines: &[Headline],
        counts: ([u32; 2], Growth),
        enough: &(dyn Fn(&[CaseRun]) -> bool + Sync),
        stop: &AtomicBool,
    ) -> Vec<CaseRun> {
        self.bar.more(u64::from(counts.0[1]) * cases.len() as u64);
        self.pool.install(|| {
            compare::until(cases, headlines, counts, enough, stop, &|| self.bar.done(1))
        })
    }

    /// Takes the bar away.
    pub fn done(&self) {
        self.bar.end();
    }
}
