//! The file of a part, line by line and to its last byte.
//!
//! In: a path. Out: its lines in order, none of them cut off, nothing behind the last one; or what is wrong with it,
//! in words. Also whether a file that stands in the way is a part, whole and as it was written.

use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, Read};
use std::path::Path;

use crate::replicate::part::{self, Head, MARK};
use crate::replicate::seal::Seal;

use super::spot::{Kind, Seen, There};
use super::sums::sha256;

/// Files of `run --part`.
pub const PART: Kind = Kind {
    name: "file",
    look,
    remove: |path| fs::remove_file(path),
    beside: |path, number| {
        let stem = path.file_stem().unwrap_or_default();
        let mut name = stem.to_owned();
        name.push(format!("-{number}"));
        if let Some(extension) = path.extension() {
            name.push(".");
            name.push(extension);
        }
        path.with_file_name(name)
    },
};

/// Longest line that is read, bytes; the lines of the largest cells have some hundred thousand.
const LINE_MAX: u64 = 256 << 20;

/// A part that is open, its head read.
pub struct PartFile {
    /// The file's name as given.
    pub name: String,
    /// Its first line.
    pub head: Head,
    /// The sum so far.
    pub seal: Seal,
    lines: BufReader<File>,
    read: u32,
}

impl PartFile {
    /// Opens a part.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn open(file: &Path) -> Result<Self, String> {
        let opened = File::open(file).map_err(|error| error.to_string())?;
        let mut lines = BufReader::new(opened);
        let begin = lines.fill_buf().map_err(|error| error.to_string())?;
        if begin.is_empty() {
            return Err("is empty".into());
        }
        let same = begin.len().min(MARK.len());
        if begin[..same] != MARK.as_bytes()[..same] {
            return Err("is not a part of a run".into());
        }
        let mut seal = Seal::default();
        let first = line(&mut lines)?.ok_or("line 1 is cut off")?;
        let head = Head::read(&first, &mut seal)?;
        if head.first > head.end {
            return Err("line 1 is damaged".into());
        }
        Ok(Self {
            name: file.display().to_string(),
            head,
            seal,
            lines,
            read: 1,
        })
    }

    /// The next line and its number; `None` at the end.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn next(&mut self) -> Result<Option<(u32, String)>, String> {
        let at = self.read + 1;
        let next = line(&mut self.lines).map_err(|what| format!("line {at}: {what}"))?;
        self.read = at;
        Ok(next.map(|line| (at, line)))
    }

    /// Reads the last line, behind which there is nothing.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn end(&mut self) -> Result<(), String> {
        let replications = self.head.end - self.head.first;
        let Some((at, line)) = self.next()? else {
            return Err(format!(
                "ends after line {}, before its last one",
                self.read - 1
            ));
        };
        if !part::is_tail(&line, replications, &mut self.seal) {
            return Err(format!("line {at} is not the last line of a part"));
        }
        match self.next()? {
            None => Ok(()),
            Some((at, _)) => Err(format!("goes on behind its end, at line {at}")),
        }
    }
}

/// The next line without its end; `None` at the end of the file.
fn line(from: &mut BufReader<File>) -> Result<Option<String>, String> {
    let mut bytes = Vec::new();
    from.take(LINE_MAX)
        .read_until(b'\n', &mut bytes)
        .map_err(|error| error.to_string())?;
    if bytes.is_empty() {
        return Ok(None);
    }
    match bytes.pop() {
        Some(b'\n') => String::from_utf8(bytes)
            .map(Some)
            .map_err(|_| "is damaged: it is not UTF-8 text".to_string()),
        _ => Err("is cut off".into()),
    }
}

/// What stands where a part is to go.
fn look(file: &Path) -> io::Result<There> {
    let there = match fs::symlink_metadata(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(There::Nothing),
        there => there?,
    };
    let others = |what: String| Ok(There::Others(what));
    if !there.is_file() {
        return others("is no part of a run".into());
    }
    match whole(file) {
        Ok(sum) => Ok(There::Ours(Seen::of(file, &there, sum, true))),
        Err(what) if what.starts_with("is ") => others(what),
        Err(what) => others(format!("is not as a part was written ({what})")),
    }
}

/// Reads a part to its end; the sum of its bytes.
fn whole(file: &Path) -> Result<String, String> {
    let mut part = PartFile::open(file)?;
    for _ in part.head.first..part.head.end {
        let Some((at, line)) = part.next()? else {
            return Err("its end is missing".into());
        };
        part.seal
            .open(&line)
            .ok_or(format!("line {at} is damaged"))?;
    }
    part.end()?;
    let bytes = fs::read(file).map_err(|error| error.to_string())?;
    Ok(sha256(&bytes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::PathBuf;

    #[test]
    fn a_number_comes_before_the_ending() {
        let beside = (PART.beside)(Path::new("a/x.part-1-of-3.jsonl"), 2);
        assert_eq!(beside, PathBuf::from("a/x.part-1-of-3-2.jsonl"));
        assert_eq!((PART.beside)(Path::new("x"), 3), PathBuf::from("x-3"));
    }
}
