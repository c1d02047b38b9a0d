//! Some of the inputs given to the program itself, as a user would.
//!
//! In: a scenario as bytes. Out: refused or run, by the exit code; a panic, a signal, ten seconds or an address space of
//! two gigabytes fail. What would take long is only checked.

use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use pouchcast::summary::effort::{EVENTS_MAX, MEMORY_MAX, effort};
use pouchcast::{model, scenario};

use crate::judge::Fate;

/// Events of a replication that is run here.
const EVENTS_MOST: f64 = 1e6;

/// Exit code of a scenario that cannot be used.
const REFUSED: i32 = 3;

/// Gives a scenario to `check`, and to `run` where that is short.
///
/// # Errors
/// What is wrong with what the program did.
pub fn scenario(folder: &Path, bytes: &[u8], book: &[u8]) -> Result<Fate, String> {
    fs::write(folder.join("fuzz.yaml"), bytes).unwrap();
    let ended = call(folder, &["check", "fuzz.yaml"])?;
    let mut beside = |name: &str| match name == "planner-monday.csv" {
        true => Ok(book.to_vec()),
        false => Err(std::io::ErrorKind::NotFound.into()),
    };
    let read = scenario::read_study("fuzz.yaml", bytes, &mut beside);
    let cost = |study: &scenario::Study| {
        let plant = study.variants.first().and_then(|v| v.plants.first());
        plant.map(|plant| effort(&model::compile(plant.clone())))
    };
    match (ended, &read) {
        (0, Ok(_)) | (REFUSED, Err(_)) => {}
        // What can be read and would never end is refused, too.
        (REFUSED, Ok(study))
            if cost(study).is_some_and(|c| c.events > EVENTS_MAX || c.memory > MEMORY_MAX) =>
        {
            return Ok(Fate::Dear);
        }
        _ => return Err(format!("`check` ends with {ended}, read: {}", read.is_ok())),
    }
    let Ok(study) = read else {
        return Ok(Fate::Refused);
    };
    match cost(&study) {
        None => return Ok(Fate::Refused),
        Some(cost) if cost.events > EVENTS_MOST => return Ok(Fate::Dear),
        Some(_) => {}
    }
    match call(folder, &["run", "fuzz.yaml", "-n", "1", "-q", "--no-files"])? {
        0 => Ok(Fate::Run),
        REFUSED => Ok(Fate::Refused),
        code => Err(format!("`run` ends with {code}")),
    }
}

/// Exit code of the program.
fn call(folder: &Path, arguments: &[&str]) -> Result<i32, String> {
    let program = assert_cmd::cargo::cargo_bin("pouchcast");
    let mut child = Command::new("sh")
        .current_dir(folder)
        .args(["-c", "ulimit -v 2000000; exec \"$0\" \"$@\""])
        .arg(program)
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| error.to_string())?;
    // Read beside, so that a full pipe does not look like a program that hangs.
    let mut pipe = child.stderr.take().ok_or("no stderr")?;
    let told = std::thread::spawn(move || {
        let mut told = Vec::new();
        let _ = pipe.read_to_end(&mut told);
        String::from_utf8_lossy(&told).into_owned()
    });
    let begun = Instant::now();
    let status = loop {
        match child.try_wait().map_err(|error| error.to_string())? {
            Some(status) => break status,
            None if begun.elapsed() > crate::LONGEST => {
                let _ = child.kill();
                return Err(format!("{arguments:?} takes longer than ten seconds"));
            }
            None => std::thread::sleep(Duration::from_millis(2)),
        }
    };
    let told = told.join().unwrap_or_default();
    match status.code() {
        Some(code) if !told.contains("panicked") => Ok(code),
        _ => Err(format!("{arguments:?} ends with {status}: {told}")),
    }
}
