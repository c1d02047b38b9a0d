//! The results folder: all of it, or nothing.
//!
//! In: files by name, and where they go. Out: a folder that appears under its name in one step, when
//! every file in it is complete and on the disk. Until then it is a hidden folder beside its place,
//! which goes away again when anything fails.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::exit::{Exit, Failure};

/// A file that the results folder of a run has, by which one is known.
pub const MARK: &str = "summary.json";

/// The same of the other commands.
const MARKS: [&str; 7] = [
    MARK,
    "compare.json",
    "sweep.json",
    "limit.json",
    "promise.json",
    "choose.json",
    "sensitivity.json",
];

/// Where results go.
pub struct Place {
    folder: PathBuf,
    replace: bool,
}

impl Place {
    /// A place for results, looked at before the work begins: a refusal after an hour helps nobody.
    ///
    /// # Errors
    /// [`Exit::Output`] where something is there already and may not be replaced, or nothing can be written there.
    pub fn new(folder: PathBuf, replace: bool) -> Result<Self, Failure> {
        let place = Self { folder, replace };
        place.check()?;
        let parent = parent_of(&place.folder);
        probe(parent).map_err(|error| place.failed("cannot be written", &error))?;
        Ok(place)
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    fn check(&self) -> Result<(), Failure> {
        let there = match fs::symlink_metadata(&self.folder) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
            Err(error) => return Err(self.failed("cannot be looked at", &error)),
            Ok(there) => there,
        };
        let shown = self.folder.display();
        if !self.replace {
            return Err(Failure::new(
                Exit::Output,
                format!(
                    "error: `{shown}` is there already\n\
                     help: name another folder with --out, or put the new results in its place with --replace"
                ),
            ));
        }
        // Only what this program has written goes away; a wrong --out must not cost anybody his files.
        let marked = MARKS.iter().any(|mark| self.folder.join(mark).is_file());
        let ours = there.is_dir() && (marked || is_empty(&self.folder));
        if ours {
            return Ok(());
        }
        Err(Failure::new(
            Exit::Output,
            format!(
                "error: `{shown}` is not a results folder (it has no {MARK}), so it is not replaced\nhelp: name another folder with --out"
            ),
        ))
    }

    /// Writes the files and gives the folder its name.
    ///
    /// # Errors
    /// [`Exit::Output`] where the disk refuses; then the place is as it was.
    pub fn write(&self, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
        self.check()?;
        let parent = parent_of(&self.folder);
        let failed = |error: &io::Error| self.failed("cannot be written", error);
        fs::create_dir_all(parent).map_err(|e| failed(&e))?;
        let hidden = tempfile::Builder::new()
            .prefix(".pouchcast-")
            .tempdir_in(parent)
            .map_err(|e| failed(&e))?;
        // A folder within the hidden one, so that it gets the permissions of any other folder.
        let ready = hidden.path().join("results");
        fs::create_dir(&ready).map_err(|e| failed(&e))?;
        for (name, bytes) in files {
            write_file(&ready, name, bytes).map_err(|e| failed(&e))?;
        }
        self.put(&ready, &hidden).map_err(|e| failed(&e))
    }

    fn put(&self, ready: &Path, hidden: &TempDir) -> io::Result<()> {
        let earlier = hidden.path().join("earlier");
        let moved = match fs::rename(&self.folder, &earlier) {
            Ok(()) => true,
            Err(error) if error.kind() == io::ErrorKind::NotFound => false,
            Err(error) => return Err(error),
        };
        fs::rename(ready, &self.folder).inspect_err(|_| {
            if moved {
                // Best effort: the first error is the one to tell.
                let _ = fs::rename(&earlier, &self.folder);
            }
        })
    }

    fn failed(&self, what: &str, error: &io::Error) -> Failure {
        Failure::new(
            Exit::Output,
            format!(
                "error: `{}` {what}: {error}\nhelp: check the folder's permissions and the room on the disk",
                self.folder.display()
            ),
        )
    }
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
    let hidden = tempfile::Builder::new()
        .prefix(".pouchcast-")
        .tempdir_in(there.unwrap_or(Path::new(".")))?;
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

fn is_empty(folder: &Path) -> bool {
    fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none())
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
mod tests {
    use super::*;

    fn file(text: &str) -> Vec<(String, Vec<u8>)> {
        vec![
            (MARK.to_string(), text.as_bytes().to_vec()),
            ("a/b.txt".to_string(), vec![1]),
        ]
    }

    #[test]
    fn a_folder_appears_whole_and_alone() {
        let dir = TempDir::new().unwrap();
        let place = Place::new(dir.path().join("deep/er"), false).unwrap();
        place.write(&file("one")).unwrap();
        assert_eq!(fs::read(place.folder().join("a/b.txt")).unwrap(), [1]);
        assert_eq!(
            fs::read_dir(dir.path().join("deep")).unwrap().count(),
            1,
            "nothing hidden is left"
        );
    }

    #[test]
    fn what_is_there_is_kept_unless_it_is_ours_and_may_go() {
        let dir = TempDir::new().unwrap();
        let folder = dir.path().join("out");
        Place::new(folder.clone(), false)
            .unwrap()
            .write(&file("one"))
            .unwrap();
        assert_eq!(
            Place::new(folder.clone(), false).err().unwrap().exit(),
            Exit::Output
        );
        Place::new(folder.clone(), true)
            .unwrap()
            .write(&file("two"))
            .unwrap();
        assert_eq!(fs::read_to_string(folder.join(MARK)).unwrap(), "two");
        // A folder of somebody else's is never replaced, nor is a file.
        let foreign = dir.path().join("thesis");
        fs::create_dir(&foreign).unwrap();
        fs::write(foreign.join("chapter.txt"), "years of work").unwrap();
        assert!(Place::new(foreign.clone(), true).is_err());
        assert!(Place::new(foreign.join("chapter.txt"), true).is_err());
        assert!(foreign.join("chapter.txt").is_file());
    }

    #[test]
    fn a_place_that_cannot_be_written_is_found_at_once() {
        let dir = TempDir::new().unwrap();
        fs::write(dir.path().join("file"), "x").unwrap();
        let place = Place::new(dir.path().join("file/deep/out"), false);
        assert_eq!(place.err().unwrap().exit(), Exit::Output);
        assert!(Place::new(dir.path().join("a/b/out"), false).is_ok());
        assert_eq!(
            fs::read_dir(dir.path()).unwrap().count(),
            1,
            "nothing is left"
        );
    }

    #[test]
    fn a_failure_leaves_nothing() {
        let dir = TempDir::new().unwrap();
        let place = Place::new(dir.path().join("out"), false).unwrap();
        // A file name twice cannot be written.
        let twice = vec![("x".to_string(), vec![1]), ("x".to_string(), vec![2])];
        assert_eq!(place.write(&twice).err().unwrap().exit(), Exit::Output);
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
    }
}
