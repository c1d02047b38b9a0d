//! `run --part`: some replications of a run, kept one by one for `merge`.
//!
//! In: a scenario and which part. Out: a file that appears when it is complete, and its name on stderr.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::PathBuf;

use crate::model;
use crate::observe::Layout;
use crate::replicate::seal::Seal;
use crate::replicate::{self, part};
use crate::steady;

use super::super::args::Run;
use super::super::ask;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::Scenario;
use super::super::variant;
use super::super::write::part_file::PART;
use super::super::write::spot::{Landed, Spot, cannot};
use super::super::write::{folder_of, parent_of, probe, put_file};
use super::run::on_threads;

/// Runs part `number` of `parts`.
///
/// # Errors
/// [`Exit::Output`] where the file cannot be written, [`Exit::Partial`] after an interruption.
pub fn run_part(
    asked: &Run,
    mut scenario: Scenario,
    number: u32,
    parts: u32,
) -> Result<Exit, Failure> {
    if scenario.loaded.plant.run.precision.is_some() {
        return Err(Failure::new(
            Exit::Usage,
            "error: a run until a precision is reached cannot be cut into parts, its length is not known\nhelp: leave `precision` out and say how many `replications`",
        ));
    }
    let plan = &scenario.loaded.plant.run;
    let (seed, replications) = (plan.seed, plan.replications);
    let file = asked.out.clone().unwrap_or_else(|| {
        let part = variant::folder_part("", scenario.variant.as_ref());
        let mut name = folder_of(&asked.file, &part, seed).into_os_string();
        name.push(format!(".part-{number}-of-{parts}.jsonl"));
        PathBuf::from(name)
    });
    let spot = Spot::new(file, asked.replace, &PART)?;
    let failed = |error: &io::Error| cannot(spot.shown(), error);
    let folder = parent_of(spot.path());
    probe(folder).map_err(|e| failed(&e))?;
    let range = part::range(number, parts, replications);
    let chosen = scenario.variant.as_ref();
    let sha256 = variant::fingerprint(&scenario.bytes, &scenario.loaded, chosen);
    let head = part::Head::new(
        env!("CARGO_PKG_VERSION"),
        &sha256,
        seed,
        replications,
        range.clone(),
    );
    let stop = interrupt::flag();
    // Each part chooses the same warm-up as the whole.
    let settled =
        ask::threads(asked.threads)?.install(|| steady::settle(&mut scenario.loaded.plant, &stop));
    if !settled {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before the first replication.",
        ));
    }
    let model = model::compile(scenario.loaded.plant);
    let layout = Layout::new(&model);
    fs::create_dir_all(folder).map_err(|e| failed(&e))?;
    // Hidden until it is complete.
    let mut maker = tempfile::Builder::new();
    let make = || maker.prefix(".pouchcast-").tempdir_in(folder);
    let (hidden, unfinished) = interrupt::hidden(make).map_err(|e| failed(&e))?;
    let ready = hidden.path().join("part");
    let mut into = BufWriter::new(File::create_new(&ready).map_err(|e| failed(&e))?);
    let mut seal = Seal::default();
    let mut written = writeln!(into, "{}", head.line(&mut seal));
    let done = on_threads(asked, range.len() as u64, |progress| {
        let each = |number: u32, outcome: &_, counts: &_| {
            if written.is_ok() {
                written = writeln!(into, "{}", part::line(number, outcome, counts, &mut seal));
            }
            written.is_ok()
        };
        replicate::some(&model, &layout, range.clone(), &stop, progress, each)
    })?;
    written.map_err(|e| failed(&e))?;
    if (done as usize) < range.len() {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted: a part is kept only when it is complete, so there is none.",
        ));
    }
    // From here on it is a matter of a moment.
    let _busy = interrupt::writing();
    drop(unfinished);
    let last = part::tail(range.len() as u32, &mut seal);
    writeln!(into, "{last}").map_err(|e| failed(&e))?;
    into.into_inner()
        .map_err(|e| failed(e.error()))?
        .sync_all()
        .map_err(|e| failed(&e))?;
    let shown = spot.shown().display();
    match put_file(&spot, &ready, hidden).map_err(|e| failed(&e))? {
        Landed::There if asked.quiet => {}
        Landed::There => console::say(&format!("Part: {shown}")),
        Landed::Beside(other) | Landed::Moved(other) => {
            return Err(Failure::new(
                Exit::Output,
                format!(
                    "error: `{shown}` was written or changed by somebody else while this part was run; both are kept, \
                     one of them in `{}`",
                    other.display()
                ),
            ));
        }
    }
    Ok(Exit::Done)
}
