//! A place for something finished, and how it gets there without taking anything of anybody's away.
//!
//! In: a path, how to know one of ours there, whether it may be replaced. Out: what is finished stands at the path,
//! or beside it under the next free number. Only the very thing that stood there when the work began is replaced,
//! only if it is one of ours, unchanged, and not by less than it was: an interrupted run never takes the place of a
//! complete one.

use std::fs::{self, Metadata};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use super::super::exit::{Exit, Failure};
use super::rename;

/// What stands at a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum There {
    /// Nothing.
    Nothing,
    /// Something this program has written, and nobody has changed; or an empty folder.
    Ours(Seen),
    /// Anything else; why it is not ours.
    Others(String),
}

/// One of ours, so that it is known again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// It holds all that was asked for.
    pub complete: bool,
    /// Sum of its contents.
    contents: String,
    /// Device, number and birth on the disk: the same run written anew is another.
    id: (u64, u64, Option<std::time::SystemTime>),
}

impl Seen {
    /// What is at `path`, with the sum of its `contents`.
    pub fn of(path: &Path, there: &Metadata, contents: String, complete: bool) -> Self {
        #[cfg(unix)]
        let (device, number) = {
            use std::os::unix::fs::MetadataExt;
            (there.dev(), there.ino())
        };
        #[cfg(not(unix))]
        let (device, number) = (0, 0);
        // The folder's own time changes with its name on some disks, that of its list does not.
        let list = fs::metadata(path.join(super::sums::LIST));
        let born = list.as_ref().unwrap_or(there).modified().ok();
        Self {
            complete,
            contents,
            id: (device, number, born),
        }
    }
}

/// Knows what stands at a path, and takes one of ours away.
pub struct Kind {
    /// What it is called.
    pub name: &'static str,
    /// What stands there.
    pub look: fn(&Path) -> io::Result<There>,
    /// Takes away one of ours, and nothing else.
    pub remove: fn(&Path) -> io::Result<()>,
    /// The path with a number, for a free place beside.
    pub beside: fn(&Path, u32) -> PathBuf,
}

/// Where something finished ended up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Landed {
    /// Where it was to go.
    There,
    /// Beside, at this path as the user would write it.
    Beside(PathBuf),
    /// Where it was to go; what stood there changed at the last moment and is kept at this path.
    Moved(PathBuf),
}

/// A place.
pub struct Spot {
    /// As named by the user.
    shown: PathBuf,
    /// The same from the root, so that it stays the same wherever the program or the folder goes.
    path: PathBuf,
    kind: &'static Kind,
    /// What stood there when the work began and may be replaced.
    earlier: Option<Seen>,
}

/// Numbers tried for a free place beside.
const BESIDE_MAX: u32 = 10_000;

impl Spot {
    /// A place, looked at before the work begins.
    ///
    /// # Errors
    /// [`Exit::Output`] where something is there that may not be replaced.
    pub fn new(shown: PathBuf, replace: bool, kind: &'static Kind) -> Result<Self, Failure> {
        let absolute = std::path::absolute(&shown).map_err(|error| cannot(&shown, &error))?;
        // Without a slash at its end.
        let path: PathBuf = absolute.components().collect();
        let mut spot = Self {
            shown,
            path,
            kind,
            earlier: None,
        };
        let there = (kind.look)(&spot.path).map_err(|error| cannot(&spot.shown, &error))?;
        spot.earlier = spot.may_go(there, replace)?;
        Ok(spot)
    }

    /// As named by the user.
    pub fn shown(&self) -> &Path {
        &self.shown
    }

    /// From the root.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// What stands there and may be replaced, or why not.
    fn may_go(&self, there: There, replace: bool) -> Result<Option<Seen>, Failure> {
        let (shown, kind) = (self.shown.display(), self.kind.name);
        let refuse = |text: String| Err(Failure::new(Exit::Output, text));
        match there {
            There::Nothing => Ok(None),
            There::Ours(_) if !replace => refuse(format!(
                "error: `{shown}` is there already\n\
                 help: name another {kind} with --out, or put the new results in its place with --replace"
            )),
            There::Others(_) if !replace => refuse(format!(
                "error: `{shown}` is there already\nhelp: name another {kind} with --out"
            )),
            There::Others(why) => refuse(format!(
                "error: `{shown}` {why}, so it is not replaced\n\
                 help: name another {kind} with --out, or move it away first"
            )),
            There::Ours(_) if self.stands_in() => refuse(format!(
                "error: you stand in `{shown}`, so it cannot be replaced\n\
                 help: go to another folder first, or name another one with --out"
            )),
            There::Ours(seen) => Ok(Some(seen)),
        }
    }

    /// Whether the working folder is the place or lies in it.
    fn stands_in(&self) -> bool {
        let here = std::env::current_dir().and_then(fs::canonicalize);
        let there = fs::canonicalize(&self.path);
        matches!((here, there), (Ok(here), Ok(there)) if here.starts_with(&there))
    }

    /// Puts what is `ready` (on the same disk) in its place, or beside it. `aside`: a free name on the same disk.
    ///
    /// # Errors
    /// What the disk says; then all is as it was.
    pub fn land(&self, ready: &Path, aside: &Path, complete: bool) -> io::Result<Landed> {
        // Whoever is quicker is seen at the next turn; there is no end to it only if others never rest.
        for _ in 0..100 {
            match rename::keep(ready, &self.path) {
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                done => return done.map(|()| Landed::There),
            }
            if !self.may_be_replaced(complete) {
                return self.beside(ready).map(Landed::Beside);
            }
            match rename::swap(ready, &self.path, aside) {
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                Err(error) => return Err(error),
                // What stood there is now at `ready`.
                Ok(()) => return self.put_away(ready),
            }
        }
        self.beside(ready).map(Landed::Beside)
    }

    /// Whether what stands there is what stood there at the start, and no more than what is to come.
    fn may_be_replaced(&self, complete: bool) -> bool {
        self.earlier.as_ref().is_some_and(|earlier| {
            let same =
                matches!((self.kind.look)(&self.path), Ok(There::Ours(seen)) if seen == *earlier);
            same && (complete || !earlier.complete)
        })
    }

    /// Takes away what stood at the place before, unless it has changed at the last moment.
    fn put_away(&self, earlier: &Path) -> io::Result<Landed> {
        let same = match ((self.kind.look)(earlier), &self.earlier) {
            (Ok(There::Ours(now)), Some(seen)) => now == *seen,
            _ => false,
        };
        if same && (self.kind.remove)(earlier).is_ok() {
            return Ok(Landed::There);
        }
        self.beside(earlier).map(Landed::Moved)
    }

    /// Gives it the first free name beside the place.
    fn beside(&self, ready: &Path) -> io::Result<PathBuf> {
        for number in 2..BESIDE_MAX {
            match rename::keep(ready, &(self.kind.beside)(&self.path, number)) {
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                done => return done.map(|()| (self.kind.beside)(&self.shown, number)),
            }
        }
        Err(ErrorKind::AlreadyExists.into())
    }
}

/// A failure of the disk.
pub fn cannot(shown: &Path, error: &io::Error) -> Failure {
    Failure::new(
        Exit::Output,
        format!(
            "error: `{}` cannot be written: {error}\nhelp: check the folder's permissions and the room on the disk",
            shown.display()
        ),
    )
}
