//! A scenario from disk.
//!
//! In: the name of a file. Out: the scenario with the order book beside it, its bytes; or a failure whose message holds every
//! problem with its line. Where a variant is asked for, see `variant`.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use crate::scenario::{self, Loaded, Severity, Study};

use super::console;
use super::effort;
use super::exit::{Exit, Failure};
use super::variant::Chosen;

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
    /// The variant that is the cell; `None`: the cell as it stands in the file.
    pub variant: Option<Chosen>,
}

/// Reads a scenario, with another order book than it names where one is given; its warnings go to stderr unless
/// `quiet`.
///
/// # Errors
/// [`Exit::Usage`] where the file cannot be read, [`Exit::Scenario`] where it has problems.
pub fn load_with_book(file: &Path, book: Option<&Path>, quiet: bool) -> Result<Scenario, Failure> {
    let name = file.display().to_string();
    let bytes = bytes(file, &name)?;
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
    let other = book.map(plain_name);
    let mut beside = |wanted: &str| beside(file, wanted, book);
    match scenario::read_with_book(&name, &bytes, other.as_deref(), &mut beside) {
        Ok(loaded) => {
            affordable(&loaded)?;
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
                variant: None,
            })
        }
        Err(report) => Err(Failure::new(
            Exit::Scenario,
            report.render(console::colour(), console::columns()),
        )),
    }
}

/// Refuses what no machine can run, before anything of it is expanded.
fn affordable(loaded: &Loaded) -> Result<(), Failure> {
    match effort::problem(&effort::of(&loaded.plant)) {
        Some(problem) if problem.severity == Severity::Error => Err(Failure::new(
            Exit::Scenario,
            loaded
                .warnings
                .with(vec![problem])
                .render(console::colour(), console::columns()),
        )),
        _ => Ok(()),
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
/// As [`load_with_book`].
pub fn load_study(file: &Path, quiet: bool) -> Result<StudyFile, Failure> {
    load_study_with_book(file, None, quiet)
}

/// As [`load_study`], with another order book than the scenario names.
///
/// # Errors
/// As [`load_with_book`].
pub fn load_study_with_book(
    file: &Path,
    book: Option<&Path>,
    quiet: bool,
) -> Result<StudyFile, Failure> {
    let name = file.display().to_string();
    let bytes = bytes(file, &name)?;
    let other = book.map(plain_name);
    let mut beside = |wanted: &str| beside(file, wanted, book);
    match scenario::read_study_with_book(&name, &bytes, other.as_deref(), &mut beside) {
        Ok(study) => {
            affordable(&study.base)?;
            if !quiet {
                warn(&study);
            }
            Ok(StudyFile { study, bytes, name })
        }
        Err(report) => Err(Failure::new(
            Exit::Scenario,
            report.render(console::colour(), console::columns()),
        )),
    }
}

/// Says what is legal in a study and probably not meant.
pub fn warn(study: &Study) {
    for warnings in [&study.base.warnings, &study.warnings] {
        if !warnings.is_empty() {
            console::say(&warnings.render(console::colour(), console::columns()));
        }
    }
}

/// The bytes of a file in the folder of the scenario; of `book`, wherever it lies, by its plain name.
fn beside(scenario: &Path, name: &str, book: Option<&Path>) -> std::io::Result<Vec<u8>> {
    match book {
        Some(path) if plain_name(path) == name => read(path),
        _ => read(&scenario.with_file_name(name)),
    }
}

fn plain_name(path: &Path) -> String {
    path.file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(BYTES_MAX).read_to_end(&mut bytes)?;
    Ok(bytes)
}

pub(super) fn bytes(file: &Path, name: &str) -> Result<Vec<u8>, Failure> {
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
