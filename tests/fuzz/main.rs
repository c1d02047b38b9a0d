//! Mutated scenarios, order books and parts: none brings the program down, none gives figures that cannot be.
//!
//! In: the scenarios of the repository, changed at random but always the same way for a number. Out: for each input a
//! refusal with messages or a run whose figures can be; a panic, ten seconds, a gigabyte or a wrong figure fails, and
//! says the input, which is kept in `target/fuzz`. What was found once stands in `corpus` and is tried again.
//!
//! The plain tests take a small number; `.ci/fuzz 100000` takes as many as asked for.

mod judge;
mod luck;
mod mutate;
mod program;

use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use pouchcast::observe::Layout;
use pouchcast::replicate::part::{self, Head};
use pouchcast::replicate::seal::Seal;
use pouchcast::{model, replicate, scenario};

use judge::Fate;
use luck::Luck;

/// No input takes longer.
const LONGEST: Duration = Duration::from_secs(10);

/// The process never holds more, kilobytes.
const LARGEST_KB: u64 = 1_000_000;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Good scenarios to start from.
fn good() -> Vec<String> {
    let mut texts = vec![scenario::starter().to_owned()];
    texts.extend(texts_of(&["scenarios", "docs/tutorial"]));
    texts
}

/// Scenarios in folders, by name.
fn texts_of(folders: &[&str]) -> Vec<String> {
    let mut texts = Vec::new();
    for folder in folders {
        let entries = fs::read_dir(root().join(folder)).unwrap();
        let mut files: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
        files.retain(|file| file.extension().is_some_and(|e| e == "yaml"));
        files.sort();
        let text = files
            .iter()
            .filter_map(|file| fs::read_to_string(file).ok());
        texts.extend(text.filter(|text| text.len() < 20_000));
    }
    texts
}

fn book_text() -> String {
    fs::read_to_string(root().join("scenarios/planner-monday.csv")).unwrap()
}

/// Most memory the process has held, kilobytes; `None` where the system does not tell.
fn peak_kb() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Where inputs are kept that bring the program down.
fn keep(kind: &str, number: u64, bytes: &[u8]) -> PathBuf {
    let folder = root().join("target/fuzz");
    fs::create_dir_all(&folder).unwrap();
    let file = folder.join(format!("{kind}-{number}"));
    fs::write(&file, bytes).unwrap();
    file
}

/// Number of the input that is judged.
static CURRENT: AtomicU64 = AtomicU64::new(0);
/// When it was begun, milliseconds of [`now_ms`]; 0 between two inputs.
static BEGUN: AtomicU64 = AtomicU64::new(0);

/// Milliseconds since this was first asked, from 1.
fn now_ms() -> u64 {
    static CLOCK: OnceLock<Instant> = OnceLock::new();
    1 + CLOCK.get_or_init(Instant::now).elapsed().as_millis() as u64
}

/// Ends the test when an input takes too long; the input is in `target/fuzz` by then.
fn watch() {
    std::thread::spawn(|| {
        loop {
            std::thread::sleep(Duration::from_millis(200));
            let begun = BEGUN.load(Ordering::SeqCst);
            if begun > 0 && now_ms().saturating_sub(begun) > LONGEST.as_millis() as u64 {
                let number = CURRENT.load(Ordering::SeqCst);
                eprintln!("input {number} takes longer than {LONGEST:?}");
                std::process::abort();
            }
        }
    });
}

/// Judges a series of inputs; how many met which fate. All faults are gathered.
fn series(
    kind: &str,
    numbers: impl Iterator<Item = u64>,
    make: impl Fn(u64) -> Vec<u8>,
    judge: impl Fn(&[u8]) -> Result<Fate, String>,
) -> BTreeMap<String, u64> {
    let clock = Instant::now();
    let long = std::env::var_os("FUZZ_COUNT").is_some();
    let mut fates: BTreeMap<String, u64> = BTreeMap::new();
    let mut faults: Vec<String> = Vec::new();
    let mut slowest = Duration::ZERO;
    for number in numbers {
        let bytes = make(number);
        if long {
            CURRENT.store(number, Ordering::SeqCst);
            fs::create_dir_all(root().join("target/fuzz")).unwrap();
            fs::write(root().join(format!("target/fuzz/current-{kind}")), &bytes).unwrap();
        }
        let begun = Instant::now();
        BEGUN.store(now_ms(), Ordering::SeqCst);
        let fate = catch_unwind(AssertUnwindSafe(|| judge(&bytes)));
        BEGUN.store(0, Ordering::SeqCst);
        let took = begun.elapsed();
        slowest = slowest.max(took);
        let fault = match fate {
            Ok(Ok(fate)) => {
                *fates.entry(format!("{fate:?}")).or_default() += 1;
                None
            }
            Ok(Err(what)) => Some(what),
            Err(_) => Some("panics".to_owned()),
        };
        let fault = fault.or((took > LONGEST).then(|| format!("takes {took:?}")));
        let large = peak_kb().filter(|&kb| kb > LARGEST_KB);
        let fault = fault.or(large.map(|kb| format!("takes {kb} kB")));
        if let Some(what) = fault {
            let file = keep(kind, number, &bytes);
            faults.push(format!("{kind} {number} ({}): {what}", file.display()));
            if large.is_some() || faults.len() > 20 {
                break;
            }
        }
    }
    let peak = peak_kb().unwrap_or(0) / 1000;
    println!(
        "{kind}: {fates:?}, slowest {slowest:?}, at most {peak} MB, {:?} in all",
        clock.elapsed()
    );
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    fates
}

/// Mutated scenarios, judged in this process; with `program`, given to the program itself.
fn scenarios(
    numbers: impl Iterator<Item = u64>,
    seed: u64,
    program: bool,
) -> BTreeMap<String, u64> {
    let texts = good();
    let trees = |texts: &[String]| -> Vec<serde_json::Value> {
        let trees = texts.iter().map(|text| serde_yaml::from_str(text).ok());
        trees.flatten().collect()
    };
    let mut all = trees(&texts);
    let count = all.len();
    // What is wrong in one place may be right in another.
    all.extend(trees(&texts_of(&["tests/bad"])));
    let book = book_text();
    let make = |number| mutate::scenario(&texts, &all[..count], &all, &mut Luck::new(seed, number));
    if program {
        let dir = tempfile::tempdir().unwrap();
        fs::write(dir.path().join("planner-monday.csv"), &book).unwrap();
        return series("program", numbers, make, |bytes| {
            program::scenario(dir.path(), bytes, book.as_bytes())
        });
    }
    series("scenario", numbers, make, |bytes| {
        judge::scenario(bytes, book.as_bytes())
    })
}

fn books(numbers: impl Iterator<Item = u64>, seed: u64) -> BTreeMap<String, u64> {
    let cell = fs::read(root().join("scenarios/planner-monday.yaml")).unwrap();
    let book = book_text();
    series(
        "book",
        numbers,
        |number| mutate::book(&book, &mut Luck::new(seed, number)),
        |bytes| judge::scenario(&cell, bytes),
    )
}

fn parts(numbers: impl Iterator<Item = u64>, seed: u64) -> BTreeMap<String, u64> {
    let text = scenario::starter()
        .replace("warm_up: 4 weeks", "warm_up: 1 week")
        .replace("measure: 26 weeks", "measure: 2 weeks");
    let plant = scenario::read("cell.yaml", text.as_bytes()).unwrap().plant;
    let model = model::compile(plant);
    let layout = Layout::new(&model);
    let mut seal = Seal::default();
    let mut good = Head::new("1", "x", 1, 9, 2..6).line(&mut seal) + "\n";
    for number in 2..6 {
        let (outcome, counts) = replicate::one(&model, &layout, number);
        good += &(part::line(number, &outcome, &counts, &mut seal) + "\n");
    }
    good += &(part::tail(4, &mut seal) + "\n");
    assert!(judge::read_part(good.as_bytes(), &model, &layout).is_some());
    series(
        "part",
        numbers,
        |number| mutate::part(good.as_bytes(), &mut Luck::new(seed, number)),
        |bytes| judge::part(bytes, &model, &layout),
    )
}

/// What was found once is not found again.
#[test]
fn the_corpus_stays_mended() {
    let book = book_text();
    let mut files: Vec<PathBuf> = fs::read_dir(root().join("tests/fuzz/corpus"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    let count = files.len() as u64;
    assert!(count > 0);
    let read = |number: u64| fs::read(&files[number as usize]).unwrap();
    series("corpus", 0..count, read, |bytes| {
        judge::scenario(bytes, book.as_bytes())
    });
}

/// A small number of each, with a fixed seed. Most scenarios are refused; enough of them are run.
#[test]
fn mutated_inputs_are_refused_or_run() {
    scenarios(0..60, 16, true);
    let fates = scenarios(0..400, 20_270_104, false);
    assert!(fates.get("Run").copied().unwrap_or(0) >= 40, "{fates:?}");
    let fates = books(0..150, 20_270_104);
    assert!(fates.get("Run").copied().unwrap_or(0) >= 20, "{fates:?}");
    parts(0..300, 20_270_104);
}

fn number(name: &str, otherwise: u64) -> u64 {
    let text = std::env::var(name).ok();
    text.and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

/// As many as `FUZZ_COUNT` says, a tenth of that of books and of parts, a hundredth to the program itself, by `FUZZ_SEED`, from `FUZZ_FROM` on.
#[test]
#[ignore = "a long run: .ci/fuzz COUNT"]
fn many_mutated_inputs_are_refused_or_run() {
    let (count, seed) = (number("FUZZ_COUNT", 10_000), number("FUZZ_SEED", 1));
    let from = number("FUZZ_FROM", 0);
    watch();
    parts(0..count / 10, seed);
    books(0..count / 10, seed);
    scenarios(from..from + (count - from) / 100, seed, true);
    scenarios(from..count, seed, false);
}
