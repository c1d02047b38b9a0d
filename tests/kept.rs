//! Nothing of anybody's is lost: results folders and parts under races, signals, full and read-only disks.
//!
//! In: commands in folders with files of others beside and within. Out: every folder before and after, compared file by
//! file. The counts are small here; `cargo test --release --test kept -- --ignored --nocapture` takes the long ones.
#![cfg(unix)]

mod common;

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

/// One damage to a file, never none.
fn damaged(bytes: &[u8], other: &[u8], luck: &mut Luck) -> Vec<u8> {
    let mut new = bytes.to_vec();
    let at = luck.below(bytes.len());
    let to = (at + 1 + luck.below(200)).min(bytes.len());
    let lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
    match luck.below(10) {
        0 => new[at] ^= 1 << luck.below(8),
        1 => new[at] = b"0123456789.eE-+ \"{}:,\n\r\0"[luck.below(24)],
        2 => drop(new.drain(at..to)),
        3 => new.truncate(at),
        4 => new.insert(at, b"0123456789\n\r "[luck.below(13)]),
        5 => new.extend_from_slice(&bytes[at..to]),
        6 => {
            let (a, b) = (luck.below(lines.len()), luck.below(lines.len()));
            let mut lines = lines.clone();
            lines.swap(a, b);
            new = lines.concat();
        }
        7 => {
            let mut lines = lines.clone();
            lines.insert(luck.below(lines.len()), lines[luck.below(lines.len())]);
            new = lines.concat();
        }
        8 => {
            let mut lines = lines.clone();
            lines.remove(luck.below(lines.len()));
            new = lines.concat();
        }
        // A line of another run of the same scenario, in the same place.
        _ => {
            let others: Vec<&[u8]> = other.split_inclusive(|b| *b == b'\n').collect();
            let mut lines = lines.clone();
            let line = 1 + luck.below(lines.len() - 1);
            lines[line] = others[line];
            new = lines.concat();
        }
    }
    if new == bytes {
        return damaged(bytes, other, luck);
    }
    new
}

/// So many damages of parts: none merges, each says which file.
fn damages(count: usize, seed: u64) {
    let dir = bench();
    for (name, part, seed) in [("a", "1/2", "1"), ("b", "2/2", "1"), ("c", "2/2", "2")] {
        let part = [
            "run",
            "cell.yaml",
            "--part",
            part,
            "-o",
            name,
            "-s",
            seed,
            "-q",
        ];
        ends(dir.path(), 0, &part);
    }
    let merge = ["merge", "cell.yaml", "--no-files", "-q", "a", "d"];
    let (good, other) = (
        fs::read(dir.path().join("b")),
        fs::read(dir.path().join("c")),
    );
    let (good, other) = (good.unwrap(), other.unwrap());
    fs::write(dir.path().join("d"), &good).unwrap();
    ends(dir.path(), 0, &merge);
    let mut luck = Luck(seed);
    for number in 0..count {
        let bad = damaged(&good, &other, &mut luck);
        fs::write(dir.path().join("d"), &bad).unwrap();
        let output = common::output(dir.path(), &merge);
        let err = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "damage {number}: {err}");
        assert!(output.stdout.is_empty(), "damage {number}");
        assert!(err.contains("`d`"), "damage {number}: {err}");
    }
}

#[test]
fn no_damaged_part_merges() {
    damages(40, 20_270_104);
}

#[test]
#[ignore = "400 damages, a minute; the plain tests take 40"]
fn no_damaged_part_merges_long() {
    damages(400, 16);
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

/// Commands that only print, or make a new file.
const OTHERS: [&[&str]; 5] = [
    &["new", "fresh.yaml"],
    &["check", "study.yaml"],
    &["story", "cell.yaml"],
    &["explain", "cell.yaml", "--all"],
    &["verify"],
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

/// One signal (or two of them) to one command after so many microseconds; `out` held earlier results.
fn signal(dir: &Path, arguments: &[&str], signals: &[&str], after: Duration, replace: bool) {
    let before = files(dir);
    let mut all = arguments.to_vec();
    all.extend(["-q"].iter().filter(|_| arguments.contains(&"-o")));
    all.extend(replace.then_some("--replace"));
    let mut child = start(dir, &all);
    std::thread::sleep(after);
    for signal in signals {
        kill(&child, signal);
        std::thread::sleep(Duration::from_millis(2));
    }
    let begun = Instant::now();
    let code = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status.code();
        }
        assert!(
            begun.elapsed() < Duration::from_secs(60),
            "{all:?} goes on after {signals:?}"
        );
        std::thread::sleep(Duration::from_millis(2));
    };
    let mut err = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut err)
        .unwrap();
    assert!(!err.contains("panicked"), "{all:?}: {err}");
    let after = files(dir);
    for (name, bytes) in &before {
        // Only a run that came to its end takes the place of a complete one.
        let replaced = replace && code == Some(0) && name.split('/').next() == Some("out");
        assert!(
            replaced || after.get(name) == Some(bytes),
            "{all:?} {code:?}: `{name}` is lost"
        );
    }
    let killed = signals.contains(&"-KILL");
    for (name, bytes) in &after {
        let top = name.split('/').next().unwrap();
        if before.contains_key(name) && before.get(name) == Some(bytes) {
            continue;
        }
        if top.starts_with('.') {
            assert!(killed, "{all:?} {code:?}: hidden `{name}` is left: {err}");
        } else if top.starts_with("out") && after.contains_key(&format!("{top}/SHA256SUMS")) {
            assert!(whole(&after, top), "{all:?} {code:?}: `{top}` is not whole");
        } else if top.starts_with("out") {
            let text = String::from_utf8_lossy(bytes);
            assert!(
                text.lines().last().is_some_and(|l| l.contains("end_after")),
                "{all:?}: {name}"
            );
        } else {
            let text = String::from_utf8_lossy(bytes);
            let whole = *text == *pouchcast::scenario::starter() || name == "scenario.schema.json";
            assert!(whole, "{all:?} {code:?}: `{name}` is new or changed");
        }
    }
}

/// A folder as it was before.
fn clear(dir: &Path) {
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name.starts_with("out") || name.starts_with(".pouchcast-") {
            let _ = fs::remove_dir_all(&path).or_else(|_| fs::remove_file(&path));
        }
    }
    for name in ["fresh.yaml", "scenario.schema.json"] {
        let _ = fs::remove_file(dir.join(name));
    }
}

/// A part that is given up in the middle of its run takes its hidden file with it.
#[test]
fn a_part_given_up_leaves_nothing() {
    let dir = bench();
    let before = files(dir.path());
    let begun = |dir: &Path| {
        let entries = fs::read_dir(dir).unwrap();
        entries
            .flatten()
            .any(|entry| entry.path().join("part").exists())
    };
    for pause in [0, 1, 5, 20, 50] {
        let part = "run cell.yaml -n 4000 --part 1/2 -o out -q";
        let arguments: Vec<&str> = part.split(' ').collect();
        let mut child = start(dir.path(), &arguments);
        let clock = Instant::now();
        while !begun(dir.path()) && clock.elapsed() < Duration::from_secs(30) {
            std::thread::sleep(Duration::from_millis(1));
        }
        std::thread::sleep(Duration::from_millis(pause));
        kill(&child, "-INT");
        kill(&child, "-INT");
        child.wait().unwrap();
        assert_eq!(files(dir.path()), before, "after {pause} ms");
    }
}

fn signals(count: usize, seed: u64) {
    let dir = prepared();
    let mut luck = Luck(seed);
    let all: Vec<&[&str]> = WRITERS.into_iter().chain(OTHERS).collect();
    for number in 0..count {
        clear(dir.path());
        let arguments = all[number % all.len()];
        let writes = arguments.contains(&"-o");
        // Of those that write, half stand before earlier results.
        let replace = writes && luck.below(2) == 0;
        if replace && arguments.contains(&"--part") {
            ends(
                dir.path(),
                0,
                &[
                    "run",
                    "cell.yaml",
                    "-n",
                    "1",
                    "--part",
                    "1/1",
                    "-o",
                    "out",
                    "-q",
                ],
            );
        } else if replace {
            ends(
                dir.path(),
                0,
                &["run", "cell.yaml", "-n", "1", "-o", "out", "-q"],
            );
        }
        let kinds: [&[&str]; 6] = [
            &["-INT"],
            &["-TERM"],
            &["-INT", "-INT"],
            &["-TERM", "-INT"],
            &["-KILL"],
            &["-HUP"],
        ];
        let kind = kinds[luck.below(kinds.len())];
        let most = [20, 200, 1500][luck.below(3)];
        let after = Duration::from_micros(1000 * luck.below(most) as u64 + luck.below(1000) as u64);
        signal(dir.path(), arguments, kind, after, replace);
    }
}

#[test]
fn signals_at_random_moments_leave_all_or_nothing() {
    signals(28, 20_270_104);
}

#[test]
#[ignore = "500 signals over all commands, some minutes; the plain tests take 28"]
fn signals_at_random_moments_leave_all_or_nothing_long() {
    signals(500, 16);
}

/// Runs a shell line in a folder with a small disk of its own under `disk`, mounted with the options; what was on the
/// disk before and after is copied to `seen-before` and `seen-after`. `None` where the system lets nobody mount.
fn on_disk(dir: &Path, options: &str, fill: &str, line: &str) -> Option<Output> {
    for folder in ["disk", "seen-before", "seen-after", "tmp"] {
        fs::create_dir_all(dir.join(folder)).unwrap();
    }
    let script = format!(
        "mount -t tmpfs -o size=400k none disk || exit 99\n\
         mkdir disk/thesis && echo years > disk/thesis/chapter.txt\n{fill}\n{options}\n\
         cp -r disk/. seen-before\n{line}\ncode=$?\ncp -r disk/. seen-after\nexit $code"
    );
    let output = Command::new("unshare")
        .current_dir(dir)
        .args(["-rm", "sh", "-c", &script])
        .env("TMPDIR", dir.join("tmp"))
        .output()
        .ok()?;
    match output.status.code() {
        Some(99) | None => None,
        Some(1) if String::from_utf8_lossy(&output.stderr).contains("unshare") => None,
        _ => Some(output),
    }
}

/// Every command that writes, where its disk is full or may not be written.
#[test]
fn full_and_read_only_disks_keep_what_is_on_them() {
    let program = assert_cmd::cargo::cargo_bin("pouchcast");
    let full = "dd if=/dev/zero of=disk/ballast bs=1k count=390 2>/dev/null";
    let locked = "mount -o remount,ro disk";
    for (options, fill) in [("", full), (locked, "")] {
        for arguments in WRITERS {
            let dir = prepared();
            let quick: Vec<String> = arguments
                .iter()
                .map(|word| match *word {
                    "out" => "disk/out".to_owned(),
                    "400" | "60" | "20" | "10" => "2".to_owned(),
                    "90 % on time" => "\"90 % on time\"".to_owned(),
                    word => word.to_owned(),
                })
                .collect();
            let line = format!("{} {} -q", program.display(), quick.join(" "));
            let Some(output) = on_disk(dir.path(), options, fill, &line) else {
                eprintln!("not tried: this system lets nobody mount a disk");
                return;
            };
            let err = String::from_utf8_lossy(&output.stderr).into_owned();
            assert_eq!(output.status.code(), Some(5), "{line}: {err}");
            assert!(err.contains("disk/out"), "{line}: {err}");
            let after = files(&dir.path().join("seen-after"));
            assert_eq!(
                after,
                files(&dir.path().join("seen-before")),
                "{line}: {err}"
            );
            // Found before the work, or the results are kept elsewhere and the message says where.
            let kept = files(&dir.path().join("tmp"));
            if err.contains("instead") {
                assert!(
                    whole(&kept, "out") && err.contains("tmp/out`"),
                    "{line}: {err}"
                );
            } else {
                assert!(kept.is_empty() && output.stdout.is_empty(), "{line}: {err}");
            }
        }
    }
}
