//! Nothing of anybody's is lost: results folders and parts under races, signals, full and read-only disks.
//!
//! In: commands in folders with files of others beside and within. Out: every folder before and after, compared file by
//! file. The counts are small here; `cargo test --release --test kept -- --ignored --nocapture` takes the long ones.
#![cfg(unix)]

#[path = "../common/mod.rs"]
mod common;
mod disks;
mod parts;
mod signals;

use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

use sha2::{Digest, Sha256};
use tempfile::TempDir;

use common::{ends, files};

/// Lengths of runs, so that they differ in content.
const SHORT: &str = "2";

/// A folder with a small scenario, and files of somebody else's.
fn bench() -> TempDir {
    let dir = TempDir::new().unwrap();
    let text = pouchcast::scenario::starter()
        .replace("replications: 100", "replications: 6")
        .replace("warm_up: 4 weeks", "warm_up: 1 week")
        .replace("measure: 26 weeks", "measure: 3 weeks");
    fs::write(dir.path().join("cell.yaml"), text).unwrap();
    fs::create_dir(dir.path().join("thesis")).unwrap();
    fs::write(dir.path().join("thesis/chapter.txt"), "years of work").unwrap();
    dir
}

fn start(folder: &Path, arguments: &[&str]) -> Child {
    Command::new(assert_cmd::cargo::cargo_bin("pouchcast"))
        .current_dir(folder)
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn kill(child: &Child, signal: &str) {
    let sent = Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status();
    // It may have ended before.
    let _ = sent.unwrap();
}

/// Whether a folder is a whole results folder: each file as its list says, and none besides.
fn whole(files: &BTreeMap<String, Vec<u8>>, folder: &str) -> bool {
    let within: BTreeMap<&str, &Vec<u8>> = files
        .iter()
        .filter_map(|(name, bytes)| Some((name.strip_prefix(folder)?.strip_prefix('/')?, bytes)))
        .collect();
    let Some(list) = within.get("SHA256SUMS") else {
        return false;
    };
    let list = String::from_utf8_lossy(list).into_owned();
    let listed: Vec<(&str, &str)> = list
        .lines()
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| line.split_once("  "))
        .collect();
    listed.len() + 1 == within.len()
        && listed.iter().all(|(sum, name)| {
            within.get(name).is_some_and(|bytes| {
                let found: String = Sha256::digest(bytes)
                    .iter()
                    .map(|byte| format!("{byte:02x}"))
                    .collect();
                found == *sum
            })
        })
}

/// Names at the top that begin with `out`.
fn outs(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.starts_with("out"))
        .collect();
    names.sort();
    names
}

fn hidden(folder: &Path) -> usize {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .filter(|e| {
            e.as_ref()
                .unwrap()
                .file_name()
                .to_string_lossy()
                .starts_with('.')
        })
        .count()
}

/// The list of sums is read by the common tool.
#[test]
fn sums_are_checked_by_the_common_tool() {
    let dir = bench();
    ends(
        dir.path(),
        0,
        &["run", "cell.yaml", "-n", SHORT, "-o", "out", "-q"],
    );
    let Ok(check) = Command::new("sha256sum")
        .current_dir(dir.path().join("out"))
        .args(["--check", "--strict", "--quiet", "SHA256SUMS"])
        .output()
    else {
        return; // No such tool on this system.
    };
    assert!(
        check.status.success(),
        "{}",
        String::from_utf8_lossy(&check.stderr)
    );
}

#[test]
fn a_changed_folder_is_not_replaced_and_says_why() {
    let dir = bench();
    ends(
        dir.path(),
        0,
        &["run", "cell.yaml", "-n", SHORT, "-o", "out", "-q"],
    );
    let again = ["run", "cell.yaml", "-n", "3", "-o", "out", "--replace"];
    fs::write(dir.path().join("out/notes.txt"), "mine").unwrap();
    let before = files(dir.path());
    let (out, err) = ends(dir.path(), 5, &again);
    assert!(out.is_empty() && err.contains("`notes.txt`"), "{err}");
    assert_eq!(files(dir.path()), before);
    fs::remove_file(dir.path().join("out/notes.txt")).unwrap();
    fs::write(dir.path().join("out/report.md"), "corrected by hand").unwrap();
    let before = files(dir.path());
    let (_, err) = ends(dir.path(), 5, &again);
    assert!(
        err.contains("changed since it was written: `report.md`"),
        "{err}"
    );
    assert_eq!(files(dir.path()), before);
}

#[test]
fn a_place_one_stands_in_is_refused_before_the_work() {
    let dir = bench();
    ends(
        dir.path(),
        0,
        &["run", "cell.yaml", "-n", SHORT, "-o", "out", "-q"],
    );
    let before = files(dir.path());
    for (within, place) in [("out", "."), ("out", "../out"), ("out/charts", "..")] {
        let folder = dir.path().join(within);
        let scenario = dir.path().join("cell.yaml");
        let scenario = scenario.to_str().unwrap();
        let (out, err) = ends(
            &folder,
            5,
            &["run", scenario, "-n", "1", "-o", place, "--replace"],
        );
        assert!(out.is_empty() && err.contains("you stand in"), "{err}");
    }
    assert_eq!(files(dir.path()), before);
    // Into a place beside it, from within: that works.
    let folder = dir.path().join("out/charts");
    ends(
        &folder,
        0,
        &[
            "run",
            "../../cell.yaml",
            "-n",
            "1",
            "-o",
            "../../out2",
            "-q",
        ],
    );
    assert!(whole(&files(dir.path()), "out2"));
}

/// Stdout that is closed, full or read by nobody costs no results.
#[test]
fn what_is_finished_is_kept_whatever_becomes_of_stdout() {
    let dir = bench();
    let program = assert_cmd::cargo::cargo_bin("pouchcast");
    let program = program.display();
    for (number, (end, codes)) in [(">&-", &[0][..]), (">/dev/full", &[5]), ("| true", &[0])]
        .into_iter()
        .enumerate()
    {
        if end == ">/dev/full" && !Path::new("/dev/full").exists() {
            continue;
        }
        let line = format!("{program} run cell.yaml -n 2 -q -o out{number} {end}");
        let output: Output = Command::new("sh")
            .current_dir(dir.path())
            .args(["-c", &line])
            .output()
            .unwrap();
        let code = output.status.code().unwrap_or(-1);
        let err = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(codes.contains(&code), "{end}: {code} {err}");
        assert!(
            whole(&files(dir.path()), &format!("out{number}")),
            "{end}: {err}"
        );
    }
}

/// So many runs to one place at once.
fn race(count: usize, replace: bool) {
    let dir = bench();
    if replace {
        ends(
            dir.path(),
            0,
            &["run", "cell.yaml", "-n", "1", "-o", "out", "-q"],
        );
    }
    let before = files(&dir.path().join("thesis"));
    let lengths: Vec<String> = (0..count).map(|i| (2 + i).to_string()).collect();
    let runs: Vec<Child> = lengths
        .iter()
        .map(|n| {
            let mut arguments = vec!["run", "cell.yaml", "-t", "1", "-q", "-o", "out", "-n", n];
            arguments.extend(replace.then_some("--replace"));
            start(dir.path(), &arguments)
        })
        .collect();
    let mut told = Vec::new();
    for run in runs {
        let output = run.wait_with_output().unwrap();
        told.push((
            output.status.code(),
            String::from_utf8(output.stderr).unwrap(),
        ));
    }
    let found = files(dir.path());
    let places = outs(dir.path());
    let mut lengths_found: Vec<u64> = places
        .iter()
        .map(|place| {
            assert!(whole(&found, place), "{place}: {told:?}");
            let summary: serde_json::Value =
                serde_json::from_slice(&found[&format!("{place}/summary.json")]).unwrap();
            summary["run"]["replications_done"].as_u64().unwrap()
        })
        .collect();
    lengths_found.sort_unstable();
    // A run that began after another had ended was refused before it did any work.
    let done = told
        .iter()
        .filter(|(_, err)| !err.contains("is there already"))
        .count();
    assert_eq!(lengths_found.len(), done, "{told:?} {places:?}");
    lengths_found.dedup();
    assert_eq!(lengths_found.len(), done, "each once: {places:?}");
    let first = told.iter().filter(|(code, _)| *code == Some(0)).count();
    assert!(first >= 1, "{told:?}");
    for (code, err) in &told {
        let beside = err.contains("the results of this run are in");
        assert!(
            matches!((code, beside), (Some(0), false) | (Some(5), _)),
            "{told:?}"
        );
    }
    assert_eq!(files(&dir.path().join("thesis")), before);
    assert_eq!(hidden(dir.path()), 0, "nothing hidden is left");
}

#[test]
fn races_of_two_and_of_eight_all_survive() {
    for replace in [false, true] {
        race(2, replace);
        race(8, replace);
    }
}

/// Two parts to one file: both are kept.
#[test]
fn parts_that_meet_both_survive() {
    let dir = bench();
    let part = |seed: &'static str| {
        let arguments = [
            "run",
            "cell.yaml",
            "--part",
            "1/1",
            "-o",
            "p.jsonl",
            "-s",
            seed,
        ];
        start(dir.path(), &arguments)
    };
    let runs = [part("1"), part("2")];
    let codes: Vec<Option<i32>> = runs
        .into_iter()
        .map(|run| run.wait_with_output().unwrap().status.code())
        .collect();
    assert!(codes.contains(&Some(0)), "{codes:?}");
    let found = files(dir.path());
    // The second one was either refused before its work, or stands beside.
    let beside = found.contains_key("p-2.jsonl");
    assert!(beside || codes.contains(&Some(5)), "{codes:?}");
    for name in ["p.jsonl", "p-2.jsonl"]
        .iter()
        .take(1 + usize::from(beside))
    {
        ends(
            dir.path(),
            0,
            &["merge", "cell.yaml", name, "--no-files", "-q"],
        );
    }
    assert_eq!(hidden(dir.path()), 0);
}

/// A small generator, so that damage and moments are the same on every machine (xorshift64, Marsaglia 2003).
struct Luck(u64);

impl Luck {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }
}

/// Commands that write, each with its place.
const WRITERS: [&[&str]; 9] = [
    &["run", "cell.yaml", "-n", "400", "-o", "out"],
    &[
        "run",
        "cell.yaml",
        "-n",
        "400",
        "--part",
        "1/2",
        "-o",
        "out",
    ],
    &["merge", "cell.yaml", "p1", "p2", "-o", "out"],
    &["compare", "study.yaml", "-n", "60", "-o", "out"],
    &[
        "sweep",
        "study.yaml",
        "-n",
        "20",
        "--set",
        "demand=0.8,1",
        "-o",
        "out",
    ],
    &["choose", "study.yaml", "--effort", "40", "-o", "out"],
    &[
        "limit",
        "study.yaml",
        "-n",
        "10",
        "--promise",
        "90 % on time",
        "-o",
        "out",
    ],
    &["sensitivity", "study.yaml", "-n", "20", "-o", "out"],
    &[
        "promise",
        "cell.yaml",
        "--orders",
        "book.csv",
        "-n",
        "400",
        "-o",
        "out",
    ],
];

/// What `WRITERS` need.
fn prepared() -> TempDir {
    let dir = bench();
    let cell = fs::read_to_string(dir.path().join("cell.yaml")).unwrap();
    let variants = "\nvariants:\n  busier: { change: { demand: x 1.1 } }\n  calmer: { change: { demand: x 0.9 } }\n";
    fs::write(dir.path().join("study.yaml"), cell.clone() + variants).unwrap();
    let product = pouchcast::scenario::read("cell.yaml", cell.as_bytes())
        .unwrap()
        .plant
        .products[0]
        .name
        .clone();
    let book = format!("order,product,quantity\nA,{product},8000\nB,{product},12000\n");
    fs::write(dir.path().join("book.csv"), book).unwrap();
    for (name, part) in [("p1", "1/2"), ("p2", "2/2")] {
        ends(
            dir.path(),
            0,
            &["run", "cell.yaml", "--part", part, "-o", name, "-q"],
        );
    }
    dir
}
