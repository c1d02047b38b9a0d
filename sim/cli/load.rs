//! A scenario from disk.
//!
//! In: the name of a file. Out: the scenario with the order book beside it, its bytes; or a failure whose message holds every
//! problem with its line.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use crate::scenario::{self, Loaded, Study};

use super::console;
use super::exit::{Exit, Failure};

/// More than this is not read; the reader of scenarios refuses far less.
const BYTES_MAX: u64 = 64 << 20;

/// A scenario and the bytes it was read from.
pub struct Scenario {
    /// The scenario.
    pub loaded: Loaded,
    /// The file's bytes.
    pub bytes: Vec<u8>,
    /// The file's name as given.
    pub name: String,
}

/// Reads a scenario; its warnings go to stderr unless `quiet`.
///
/// # Errors
/// [`Exit::Usage`] where the file cannot be read, [`Exit::Scenario`] where it has problems.
pub fn load(file: &Path, quiet: bool) -> Result<Scenario, Failure> {
    load_with_book(file, None, quiet)
}

/// As [`load`], with another order book than the scenario names.
///
/// # Errors
/// As [`load`].
pub fn load_with_book(file: &Path, book: Option<&Path>, quiet: bool) -> Result<Scenario, Failure> {
    let name = file.display().to_string();
    let bytes = bytes(file, &name)?;
    let other = book
        .and_then(Path::file_name)
        .map(|name| name.to_string_lossy().into_owned());
    // A file that the command line names is missed there, not in the scenario.
    if let Some(path) = book {
        self::bytes(path, &path.display().to_string()).map_err(|failure| {
            let first = failure.message().lines().next().unwrap_or_default();
            let first = first.replacen("error: ", "error: --orders: ", 1);
            Failure::new(
                failure.exit(),
                format!("{first}\nhelp: check the name and the folder of the order book"),
            )
        })?;
    }
    let mut beside = |wanted: &str| match book {
        Some(path) if other.as_deref() == Some(wanted) => read(path),
        _ => beside(file, wanted),
    };
    match scenario::read_with_book(&name, &bytes, other.as_deref(), &mut beside) {
        Ok(loaded) => {
            if !quiet && !loaded.warnings.is_empty() {
                console::say(
                    &loaded
                        .warnings
                        .render(console::colour(), console::columns()),
                );
            }
            Ok(Scenario {
                loaded,
                bytes,
                name,
            })
        }
        Err(report) => Err(Failure::new(
            Exit::Scenario,
            report.render(console::colour(), console::columns()),
        )),
    }
}

/// A cell with its variants and the bytes it was read from.
pub struct StudyFile {
    /// The cell and its variants.
    pub study: Study,
    /// The file's bytes.
    pub bytes: Vec<u8>,
    /// The file's name as given.
    pub name: String,
}

/// Reads a scenario with its variants, or a file of variants; warnings go to stderr unless `quiet`.
///
/// # Errors
/// As [`load`].
pub fn load_study(file: &Path, quiet: bool) -> Result<StudyFile, Failure> {
    let name = file.display().to_string();
    let bytes = bytes(file, &name)?;
    let mut beside = |other: &str| beside(file, other);
    match scenario::read_study(&name, &bytes, &mut beside) {
        Ok(study) => {
            for warnings in [&study.base.warnings, &study.warnings] {
                if !quiet && !warnings.is_empty() {
                    console::say(&warnings.render(console::colour(), console::columns()));
                }
            }
            Ok(StudyFile { study, bytes, name })
        }
        Err(report) => Err(Failure::new(
            Exit::Scenario,
            report.render(console::colour(), console::columns()),
        )),
    }
}

/// The bytes of a file in the folder of the scenario.
fn beside(scenario: &Path, name: &str) -> std::io::Result<Vec<u8>> {
    read(&scenario.with_file_name(name))
}

fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(BYTES_MAX).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn bytes(file: &Path, name: &str) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let read = File::open(file).and_then(|file| file.take(BYTES_MAX).read_to_end(&mut bytes));
    read.map(|_| bytes).map_err(|error| {
        let message = match error.kind() {
            ErrorKind::NotFound => format!(
                "error: there is no file `{name}`\nhelp: check the name and the folder, or write a scenario to start from: pouchcast new {name}"
            ),
            ErrorKind::PermissionDenied => {
                format!("error: `{name}` may not be read\nhelp: check the permissions of the file and its folder")
            }
            ErrorKind::IsADirectory => {
                format!("error: `{name}` is a folder\nhelp: name the scenario file in it")
            }
            _ => format!("error: `{name}` cannot be read: {error}"),
        };
        Failure::new(Exit::Usage, message)
    })
}
