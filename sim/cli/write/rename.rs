//! Names given without taking anything away: rename where nothing stands, and swap.
//!
//! In: two paths on one disk. Out: the move in one step, or why not. Both say `AlreadyExists` or `NotFound` when
//! somebody else was quicker; nothing is ever overwritten. Where the system or the disk cannot do it in one step,
//! steps follow each other that cannot overwrite either: a name that is taken makes them fail.

use std::fs;
use std::io::{self, ErrorKind};
use std::path::Path;

/// Gives `from` the name `to`, if nothing stands there.
///
/// # Errors
/// `AlreadyExists` where something stands there; what the system says otherwise. Then nothing has moved.
pub fn keep(from: &Path, to: &Path) -> io::Result<()> {
    match at_once::keep(from, to) {
        Err(error) if cannot(&error) => stepwise::keep(from, to),
        done => done,
    }
}

/// Each takes the other's name. `aside`: a free name beside `new`, for disks that cannot swap.
///
/// # Errors
/// What the system says; then `old` stands where it stood, or (never seen, a third party must come between two
/// steps) at `aside`.
pub fn swap(new: &Path, old: &Path, aside: &Path) -> io::Result<()> {
    match at_once::swap(new, old) {
        Err(error) if cannot(&error) => stepwise::swap(new, old, aside),
        done => done,
    }
}

/// Whether the system or the disk does not know how, which says nothing about the two names.
fn cannot(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        ErrorKind::Unsupported | ErrorKind::InvalidInput
    )
}

/// By one call of the system.
#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
mod at_once {
    use super::{Path, io};
    use rustix::fs::{CWD, RenameFlags, renameat_with};

    pub fn keep(from: &Path, to: &Path) -> io::Result<()> {
        Ok(renameat_with(CWD, from, CWD, to, RenameFlags::NOREPLACE)?)
    }

    pub fn swap(new: &Path, old: &Path) -> io::Result<()> {
        Ok(renameat_with(CWD, new, CWD, old, RenameFlags::EXCHANGE)?)
    }
}

/// Other systems have no such call.
#[cfg(not(any(target_os = "linux", target_os = "android", target_vendor = "apple")))]
mod at_once {
    use super::{Path, io};

    pub fn keep(_: &Path, _: &Path) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }

    pub fn swap(_: &Path, _: &Path) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }
}

/// By calls that fail where a name is taken.
mod stepwise {
    use super::{ErrorKind, Path, fs, io};

    pub fn keep(from: &Path, to: &Path) -> io::Result<()> {
        if fs::symlink_metadata(to).is_ok() {
            return Err(ErrorKind::AlreadyExists.into());
        }
        if from.is_dir() {
            // A folder takes at most the place of an empty one; that is what `rename` promises on every system.
            return fs::rename(from, to).map_err(taken);
        }
        // A second name for the file fails where the name is taken; `rename` would overwrite.
        fs::hard_link(from, to).map_err(taken)?;
        fs::remove_file(from)
    }

    pub fn swap(new: &Path, old: &Path, aside: &Path) -> io::Result<()> {
        keep(old, aside)?;
        if let Err(error) = keep(new, old) {
            keep(aside, old)?;
            return Err(error);
        }
        keep(aside, new)
    }

    /// The words of the systems for a name that is taken.
    fn taken(error: io::Error) -> io::Error {
        match error.kind() {
            ErrorKind::DirectoryNotEmpty | ErrorKind::NotADirectory | ErrorKind::IsADirectory => {
                ErrorKind::AlreadyExists.into()
            }
            _ => error,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Keep = fn(&Path, &Path) -> io::Result<()>;
    type Swap = fn(&Path, &Path, &Path) -> io::Result<()>;

    #[test]
    fn a_name_that_is_taken_is_never_given_again() {
        for way in [keep as Keep, stepwise::keep] {
            let dir = tempfile::TempDir::new().unwrap();
            let at = |name: &str| dir.path().join(name);
            fs::write(at("a"), "a").unwrap();
            fs::write(at("b"), "b").unwrap();
            fs::create_dir(at("f")).unwrap();
            fs::write(at("f/x"), "x").unwrap();
            fs::create_dir(at("g")).unwrap();
            for (from, to) in [("a", "b"), ("a", "f"), ("f", "a"), ("f", "g")] {
                let error = way(&at(from), &at(to)).unwrap_err();
                assert_eq!(error.kind(), ErrorKind::AlreadyExists, "{from} to {to}");
            }
            assert_eq!(fs::read(at("b")).unwrap(), b"b");
            way(&at("a"), &at("c")).unwrap();
            way(&at("f"), &at("h")).unwrap();
            assert!(!at("a").exists() && !at("f").exists());
            assert_eq!(fs::read(at("c")).unwrap(), b"a");
            assert_eq!(fs::read(at("h/x")).unwrap(), b"x");
        }
    }

    #[test]
    fn two_folders_and_two_files_change_their_names() {
        for way in [swap as Swap, stepwise::swap] {
            let dir = tempfile::TempDir::new().unwrap();
            let at = |name: &str| dir.path().join(name);
            for (folder, text) in [("new", "n"), ("old", "o")] {
                fs::create_dir(at(folder)).unwrap();
                fs::write(at(folder).join("x"), text).unwrap();
            }
            way(&at("new"), &at("old"), &at("aside")).unwrap();
            assert_eq!(fs::read(at("old/x")).unwrap(), b"n");
            assert_eq!(fs::read(at("new/x")).unwrap(), b"o");
            way(&at("new/x"), &at("old/x"), &at("aside")).unwrap();
            assert_eq!(fs::read(at("old/x")).unwrap(), b"o");
            let gone = way(&at("new"), &at("none"), &at("aside")).unwrap_err();
            assert_eq!(gone.kind(), ErrorKind::NotFound);
            assert!(at("new/x").is_file() && !at("aside").exists());
        }
    }
}
