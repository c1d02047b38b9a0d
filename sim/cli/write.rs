//! The results folder: all of it, or nothing.
//!
//! In: files by name, and where they go. Out: a folder that appears under its name in one step, when
//! every file in it is complete and on the disk. Until then it is a hidden folder beside its place,
//! which goes away again when anything fails. Whose a folder is, it says itself ([`sums`]); what may take whose place,
//! and where results go that may not, is a matter of [`spot`].

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::exit::{Exit, Failure};
use super::interrupt;

pub mod part_file;
pub mod rename;
pub mod spot;
pub mod sums;

use spot::{Kind, Landed, Spot, cannot};

/// Results folders.
const FOLDER: Kind = Kind {
    name: "folder",
    look: sums::look,
    remove: sums::remove,
    beside: |path, number| {
        let mut name = path.as_os_str().to_owned();
        name.push(format!("-{number}"));
        PathBuf::from(name)
    },
};

/// Where results go.
pub struct Place {
    spot: Spot,
}

impl Place {
    /// A place for results, looked at before the work begins: a refusal after an hour helps nobody.
    ///
    /// # Errors
    /// [`Exit::Output`] where something is there already and may not be replaced, or nothing can be written there.
    pub fn new(folder: PathBuf, replace: bool) -> Result<Self, Failure> {
        let spot = Spot::new(folder, replace, &FOLDER)?;
        probe(parent_of(spot.path())).map_err(|error| cannot(spot.shown(), &error))?;
        Ok(Self { spot })
    }

    /// Writes the files and gives the folder its name; what it is called in the end. `complete`: they hold all that
    /// was asked for.
    ///
    /// # Errors
    /// [`Exit::Output`] where the folder got another name, or none because the disk refuses; the message says where
    /// the results are. What stood at the place is as it was.
    pub fn write(&self, files: &[(String, Vec<u8>)], complete: bool) -> Result<PathBuf, Failure> {
        // A second Ctrl-C in the midst of it would leave half a folder.
        let _busy = interrupt::writing();
        let mut files = files.to_vec();
        files.push((sums::LIST.to_string(), sums::list(&files, complete).into()));
        let landed = write_at(&self.spot, &files, complete);
        let shown = self.spot.shown();
        match landed {
            Ok(Landed::There) => Ok(shown.to_owned()),
            Ok(Landed::Beside(other)) => Err(beside(shown, &other, complete)),
            Ok(Landed::Moved(earlier)) => Err(Failure::new(
                Exit::Output,
                format!(
                    "error: `{}` was changed while its place was taken; what was there is kept in `{}`\n\
                     note: the new results are in `{}`",
                    shown.display(),
                    earlier.display(),
                    shown.display()
                ),
            )),
            Err(error) => Err(self.elsewhere(&files, complete, &error)),
        }
    }

    /// Puts results that their disk does not take into the system's folder for temporary files: work that is done
    /// is not thrown away.
    fn elsewhere(&self, files: &[(String, Vec<u8>)], complete: bool, error: &io::Error) -> Failure {
        let failed = cannot(self.spot.shown(), error);
        let name = self.spot.path().file_name().unwrap_or_default();
        let Ok(other) = Spot::new(std::env::temp_dir().join(name), false, &ANY) else {
            return failed;
        };
        let landed = match write_at(&other, files, complete) {
            Ok(Landed::There) => other.shown().to_owned(),
            Ok(Landed::Beside(path) | Landed::Moved(path)) => path,
            Err(_) => return failed,
        };
        let message = failed.message();
        Failure::new(
            Exit::Output,
            format!(
                "{message}\nnote: the results are in `{}` instead",
                landed.display()
            ),
        )
    }
}

/// As [`FOLDER`], where nothing is ever replaced and a name that is taken is no mistake.
const ANY: Kind = Kind {
    look: |_| Ok(spot::There::Nothing),
    ..FOLDER
};

/// Why the results are not where they were to go.
fn beside(shown: &Path, other: &Path, complete: bool) -> Failure {
    let (shown, other) = (shown.display(), other.display());
    Failure::new(
        if complete {
            Exit::Output
        } else {
            Exit::Partial
        },
        match complete {
            true => format!(
                "error: `{shown}` was written or changed by somebody else while this run was at work, and is not \
                 touched\nnote: the results of this run are in `{other}`"
            ),
            false => format!(
                "note: `{shown}` is not touched, an interrupted run does not take its place; the results of this run \
                 are in `{other}`"
            ),
        },
    )
}

/// The folder and those beside it, as far as they are results that nobody has changed.
pub fn folder_and_beside(folder: &Path) -> impl Iterator<Item = PathBuf> {
    let beside: Vec<PathBuf> = (2..)
        .map(|number| (FOLDER.beside)(folder, number))
        .take_while(|path| path.exists())
        .collect();
    let all = std::iter::once(folder.to_owned()).chain(beside);
    all.filter(|path| matches!(sums::look(path), Ok(spot::There::Ours(_))))
}

/// Writes the files into a hidden folder beside the place, and puts it there in one step.
fn write_at(spot: &Spot, files: &[(String, Vec<u8>)], complete: bool) -> io::Result<Landed> {
    let parent = parent_of(spot.path());
    fs::create_dir_all(parent)?;
    let hidden = tempfile::Builder::new()
        .prefix(".pouchcast-")
        .tempdir_in(parent)?;
    // A folder within the hidden one, so that it gets the permissions of any other folder.
    let ready = hidden.path().join("results");
    let aside = hidden.path().join("earlier");
    fs::create_dir(&ready)?;
    for (name, bytes) in files {
        write_file(&ready, name, bytes)?;
    }
    let landed = spot.land(&ready, &aside, complete);
    let ours = || fs::read(ready.join(sums::LIST)).ok() == files.last().map(|(_, b)| b.clone());
    let landed = kept(landed, hidden, aside.exists() || ready.exists() && !ours());
    sync(parent);
    landed
}

/// Puts a finished file into its place; it is the only one in the folder `hidden`.
///
/// # Errors
/// What the disk says.
pub fn put_file(spot: &Spot, ready: &Path, hidden: TempDir) -> io::Result<Landed> {
    let sum = fs::read(ready)?;
    let aside = hidden.path().join("earlier");
    let landed = spot.land(ready, &aside, true);
    let ours = || fs::read(ready).is_ok_and(|now| now == sum);
    let landed = kept(landed, hidden, aside.exists() || ready.exists() && !ours());
    sync(parent_of(spot.path()));
    landed
}

/// What stood at the place before may be in the hidden folder, where it could not go back from: it must not vanish
/// with it.
fn kept(landed: io::Result<Landed>, hidden: TempDir, earlier: bool) -> io::Result<Landed> {
    match landed {
        Err(error) if earlier => {
            let shown = hidden.keep();
            let shown = shown.display();
            Err(io::Error::other(format!(
                "{error}; what was there is kept in `{shown}`"
            )))
        }
        landed => landed,
    }
}

/// Names in a folder are safe from a power cut once the folder is written, too. Not every disk can; then so be it.
fn sync(folder: &Path) {
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}

/// The folder that holds `path`.
pub fn parent_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Whether a folder can be made where `parent` is or will be: tried in the nearest folder above that is there, and
/// taken back. Nothing else is made, so that many runs can try at once.
///
/// # Errors
/// Why it cannot.
pub fn probe(parent: &Path) -> io::Result<()> {
    let there = parent.ancestors().find(|folder| folder.exists());
    let mut maker = tempfile::Builder::new();
    let there = there.unwrap_or(Path::new("."));
    let (hidden, _unfinished) =
        interrupt::hidden(|| maker.prefix(".pouchcast-").tempdir_in(there))?;
    hidden.close()
}

/// Default place: by scenario and seed, so that two seeds never meet, and by the command where it is not a run.
pub fn folder_of(scenario_file: &Path, command: &str, seed: u64) -> PathBuf {
    let stem = scenario_file
        .file_stem()
        .map_or_else(|| "scenario".into(), |s| s.to_string_lossy());
    let command = match command {
        "" => String::new(),
        command => format!("{command}-"),
    };
    Path::new("results").join(format!("{stem}-{command}seed{seed}"))
}

fn write_file(folder: &Path, name: &str, bytes: &[u8]) -> io::Result<()> {
    let path = folder.join(name);
    if let Some(within) = path.parent() {
        fs::create_dir_all(within)?;
    }
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(test)]
mod tests;
