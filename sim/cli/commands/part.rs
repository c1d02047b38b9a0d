//! `run --part`: some replications of a run, kept one by one for `merge`.
//!
//! In: a scenario and which part. Out: a file that appears when it is complete, and its name on stderr.

use std::fs::{self, File};
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

use crate::observe::Layout;
use crate::replicate::{self, part};
use crate::steady;

use super::super::args::Run;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::Scenario;
use super::super::variant;
use super::super::write::{folder_of, parent_of, probe};
use super::run::{on_threads, pool};

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
    check(&file, asked.replace)?;
    let failed = |error: &io::Error| {
        Failure::new(
            Exit::Output,
            format!(
                "error: `{}` cannot be written: {error}\nhelp: check the folder's permissions and the room on the disk",
                file.display()
            ),
        )
    };
    let folder = parent_of(&file);
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
    let settled = pool(asked)?.install(|| steady::settle(&mut scenario.loaded.plant, &stop));
    if !settled {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before the first replication.",
        ));
    }
    let model = variant::model_of(scenario.loaded.plant, scenario.variant.as_ref());
    let layout = Layout::new(&model);
    fs::create_dir_all(folder).map_err(|e| failed(&e))?;
    // Hidden until it is complete.
    let hidden = tempfile::Builder::new()
        .prefix(".pouchcast-")
        .tempdir_in(folder)
        .map_err(|e| failed(&e))?;
    let ready = hidden.path().join("part");
    let mut into = BufWriter::new(File::create_new(&ready).map_err(|e| failed(&e))?);
    let mut written = writeln!(into, "{}", head.line());
    let done = on_threads(asked, range.len() as u64, |progress| {
        let each = |number: u32, outcome: &_, counts: &_| {
            if written.is_ok() {
                written = writeln!(into, "{}", part::line(number, outcome, counts));
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
    into.into_inner()
        .map_err(|e| failed(e.error()))?
        .sync_all()
        .map_err(|e| failed(&e))?;
    check(&file, asked.replace)?;
    fs::rename(&ready, &file).map_err(|e| failed(&e))?;
    if !asked.quiet {
        console::say(&format!("Part: {}", file.display()));
    }
    Ok(Exit::Done)
}

/// Only a part may be replaced, and only when that is asked for.
fn check(file: &Path, replace: bool) -> Result<(), Failure> {
    let there = match fs::symlink_metadata(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        there => there.is_ok_and(|there| there.is_file()),
    };
    let mut begin = Vec::new();
    let ours = there
        && File::open(file)
            .and_then(|f| f.take(part::MARK.len() as u64).read_to_end(&mut begin))
            .is_ok()
        && begin == part::MARK.as_bytes();
    if ours && replace {
        return Ok(());
    }
    let shown = file.display();
    let message = if ours {
        format!(
            "error: `{shown}` is there already\nhelp: name another file with --out, or put the new part in its place with --replace"
        )
    } else {
        format!(
            "error: `{shown}` is there already and is not a part of a run, so it is not replaced\nhelp: name another file with --out"
        )
    };
    Err(Failure::new(Exit::Output, message))
}
