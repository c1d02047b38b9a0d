//! The list of sums by which a results folder knows itself: `SHA256SUMS`.
//!
//! In: the files of a folder. Out: one line for each with its SHA-256, as `sha256sum --check` reads them, between
//! lines that say what made them and whether the run was complete; and the judgement whether a folder on the disk
//! is still that very folder. A folder is known by what is in it, never by the name of a file alone.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::Path;

use sha2::{Digest, Sha256};

use super::spot::{Seen, There};

/// Name of the list.
pub const LIST: &str = "SHA256SUMS";

/// How its first line begins; the number rises with the form of the list.
const BEGIN: &str = "# pouchcast results 1, ";
/// What the first line says of a run that came to its end, and of one that did not.
const STATES: [(&str, bool); 2] = [("complete", true), ("interrupted", false)];
/// How its last line begins, which holds the sum of the lines above.
const END: &str = "# these lines: ";

/// SHA-256 as text.
pub fn sha256(bytes: &[u8]) -> String {
    let sum = Sha256::digest(bytes);
    sum.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The list of the files of a folder.
pub fn list(files: &[(String, Vec<u8>)], complete: bool) -> String {
    let (state, _) = STATES[usize::from(!complete)];
    let mut text = format!("{BEGIN}{state}\n# to check by hand: sha256sum --check {LIST}\n");
    let sorted: BTreeMap<&String, &Vec<u8>> = files.iter().map(|(name, b)| (name, b)).collect();
    for (name, bytes) in sorted {
        text += &format!("{}  {name}\n", sha256(bytes));
    }
    let sum = sha256(text.as_bytes());
    text + END + &sum + "\n"
}

/// Names with their sums, and whether the run was complete; `None` where it is no list of ours, or a changed one.
fn read(text: &str) -> Option<(BTreeMap<&str, &str>, bool)> {
    let lines = text.strip_suffix('\n')?;
    let (above, sum) = lines.rsplit_once('\n')?;
    let whole = text.get(..=above.len())?;
    if sum.strip_prefix(END)? != sha256(whole.as_bytes()) {
        return None;
    }
    let mut lines = above.lines();
    let state = lines.next()?.strip_prefix(BEGIN)?;
    let (_, complete) = STATES.into_iter().find(|(word, _)| *word == state)?;
    let files = lines
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split_once("  ").map(|(sum, name)| (name, sum)));
    Some((files.collect::<Option<_>>()?, complete))
}

/// What stands at a place where a results folder is to go.
///
/// # Errors
/// What the disk says.
pub fn look(folder: &Path) -> io::Result<There> {
    let there = match fs::symlink_metadata(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(There::Nothing),
        there => there?,
    };
    let others = |what: &str| Ok(There::Others(what.to_string()));
    if !there.is_dir() {
        return others("is no folder");
    }
    let found = walk(folder)?;
    if found.is_empty() {
        return Ok(There::Ours(Seen::of(folder, &there, String::new(), false)));
    }
    let Ok(text) = fs::read_to_string(folder.join(LIST)) else {
        return others(&format!("is not a results folder: it has no {LIST}"));
    };
    let Some((listed, complete)) = read(&text) else {
        return others(&format!("is not a results folder: its {LIST} is another"));
    };
    let expected = with_folders(&listed);
    if let Some(more) = found.iter().find(|name| !expected.contains(*name)) {
        return others(&format!(
            "holds `{more}`, which this program has not put there"
        ));
    }
    for (name, sum) in &listed {
        let same = fs::read(folder.join(name)).is_ok_and(|bytes| sha256(&bytes) == **sum);
        if !same {
            return others(&format!("has been changed since it was written: `{name}`"));
        }
    }
    Ok(There::Ours(Seen::of(
        folder,
        &there,
        sha256(text.as_bytes()),
        complete,
    )))
}

/// Takes away the listed files and the folders they leave empty, and nothing else.
///
/// # Errors
/// What the disk says; then what could not go is still there, and everything that is not listed.
pub fn remove(folder: &Path) -> io::Result<()> {
    let text = fs::read_to_string(folder.join(LIST)).unwrap_or_default();
    if let Some((listed, _)) = read(&text) {
        for name in with_folders(&listed).into_iter().rev() {
            let path = folder.join(&name);
            match listed.contains_key(name.as_str()) || name == LIST {
                true => fs::remove_file(path)?,
                false => fs::remove_dir(path)?,
            }
        }
    }
    fs::remove_dir(folder)
}

/// The listed names, the list itself and the folders they lie in; a folder before what lies in it.
fn with_folders(listed: &BTreeMap<&str, &str>) -> BTreeSet<String> {
    let mut names = BTreeSet::from([LIST.to_string()]);
    for name in listed.keys() {
        let folders = name.match_indices('/').map(|(at, _)| &name[..at]);
        names.extend(folders.chain([*name]).map(str::to_string));
    }
    names
}

/// Everything in a folder by its path below it, folders too. A link is an entry of its own and not followed.
fn walk(folder: &Path) -> io::Result<BTreeSet<String>> {
    let mut found = BTreeSet::new();
    let mut left = vec![(folder.to_path_buf(), String::new())];
    while let Some((within, prefix)) = left.pop() {
        for entry in fs::read_dir(within)? {
            let entry = entry?;
            let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
            if entry.file_type()?.is_dir() {
                left.push((entry.path(), format!("{name}/")));
            }
            found.insert(name);
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(complete: bool) -> tempfile::TempDir {
        let dir = tempfile::TempDir::new().unwrap();
        let files = [
            ("summary.json".to_string(), b"{}".to_vec()),
            ("charts/a.svg".to_string(), b"<svg/>".to_vec()),
        ];
        fs::create_dir(dir.path().join("charts")).unwrap();
        for (name, bytes) in &files {
            fs::write(dir.path().join(name), bytes).unwrap();
        }
        fs::write(dir.path().join(LIST), list(&files, complete)).unwrap();
        dir
    }

    fn others(folder: &Path) -> String {
        match look(folder).unwrap() {
            There::Others(what) => what,
            there => panic!("{there:?}"),
        }
    }

    /// The digest of "abc" is that of FIPS 180-2, appendix B.1.
    #[test]
    fn sums_are_those_of_the_standard() {
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256(b"abc"), abc);
    }

    #[test]
    fn our_own_folder_is_known_and_says_whether_it_is_complete() {
        for complete in [true, false] {
            let dir = written(complete);
            match look(dir.path()).unwrap() {
                There::Ours(seen) => assert_eq!(seen.complete, complete),
                there => panic!("{there:?}"),
            }
        }
    }

    #[test]
    fn any_change_makes_it_somebody_elses() {
        type Change = (fn(&Path), &'static str);
        let changes: [Change; 7] = [
            (
                |f| fs::write(f.join("summary.json"), "{ }").unwrap(),
                "changed",
            ),
            (
                |f| fs::remove_file(f.join("charts/a.svg")).unwrap(),
                "changed",
            ),
            (
                |f| fs::write(f.join("note.txt"), "mine").unwrap(),
                "`note.txt`",
            ),
            (|f| fs::create_dir(f.join("mine")).unwrap(), "`mine`"),
            (
                |f| fs::write(f.join("charts/b.svg"), "b").unwrap(),
                "`charts/b.svg`",
            ),
            (|f| fs::remove_file(f.join(LIST)).unwrap(), "no SHA256SUMS"),
            (
                |f| {
                    let text = fs::read_to_string(f.join(LIST)).unwrap();
                    fs::write(f.join(LIST), text.replace("complete", "interrupted")).unwrap();
                },
                "another",
            ),
        ];
        for (change, word) in changes {
            let dir = written(true);
            change(dir.path());
            let what = others(dir.path());
            assert!(what.contains(word), "{what}");
        }
    }

    #[test]
    fn only_what_is_listed_goes() {
        let dir = written(true);
        let folder = dir.path().join("sub");
        fs::create_dir(&folder).unwrap();
        for name in ["summary.json", LIST] {
            fs::rename(dir.path().join(name), folder.join(name)).unwrap();
        }
        fs::rename(dir.path().join("charts"), folder.join("charts")).unwrap();
        fs::write(folder.join("charts/mine.txt"), "mine").unwrap();
        assert!(remove(&folder).is_err());
        assert_eq!(fs::read(folder.join("charts/mine.txt")).unwrap(), b"mine");
        let dir = written(true);
        remove(dir.path()).unwrap();
        assert!(!dir.path().exists());
    }
}
