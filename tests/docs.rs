//! Files that people read are kept true: the schema beside the scenarios, the worked scenarios, the
//! steps of the tutorial and every block of output that a page quotes.
//!
//! `REWRITE_DOCS=1 cargo test --release --test docs` writes the schema and the quoted blocks anew;
//! read the difference before committing it.

mod common;

use std::fs;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use pouchcast::report::figure::ends;
use pouchcast::{model, observe, replicate, scenario, summary};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn rewrite() -> bool {
    std::env::var_os("REWRITE_DOCS").is_some()
}

/// Compares a file of the repository with what it should hold, or writes it.
fn keep_true(path: &str, wanted: &str) {
    let file = root().join(path);
    if rewrite() {
        fs::write(&file, wanted).unwrap();
    }
    let found = fs::read_to_string(&file).unwrap_or_default();
    assert!(
        found == wanted,
        "{path} is out of date; run REWRITE_DOCS=1 cargo test --release --test docs, and read the difference"
    );
}

/// Reads a scenario that must be without errors and warnings.
fn load(path: &Path) -> scenario::Loaded {
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    match scenario::read(&name, &fs::read(path).unwrap()) {
        Ok(loaded) => {
            assert_eq!(loaded.warnings.render(false, 100), "", "{name}");
            loaded
        }
        Err(report) => panic!("{}", report.render(false, 100)),
    }
}

fn run(loaded: scenario::Loaded, replications: u32) -> summary::Summary {
    let model = model::compile(loaded.plant);
    let layout = observe::Layout::new(&model);
    let experiment = replicate::many(
        &model,
        &layout,
        replications,
        &AtomicBool::new(false),
        &|_| {},
    );
    summary::Summary::new(&model, &layout, &experiment)
}

#[test]
fn the_schema_beside_the_scenarios_is_the_one_the_program_uses() {
    let mut text = serde_json::to_string_pretty(scenario::schema()).unwrap();
    text.push('\n');
    keep_true("scenarios/scenario.schema.json", &text);
}

#[test]
fn every_scenario_names_its_schema_first() {
    let mut files = common::scenarios("scenarios");
    files.extend(common::scenarios("docs/tutorial"));
    files.push(root().join("sim/scenario/starter.yaml"));
    assert!(files.len() >= 9);
    for path in files {
        let text = fs::read_to_string(&path).unwrap();
        let first = text.lines().next().unwrap_or_default();
        assert!(
            first.starts_with("# yaml-language-server: $schema=")
                && first.ends_with("scenario.schema.json"),
            "{}: {first}",
            path.display()
        );
    }
}

/// A share as it stands in the summary.
fn share(summary: &summary::Summary, key: &str) -> f64 {
    summary.get(key).unwrap_or_else(|| panic!("{key}")).mean
}

/// Bounds are common practice for short runs, no source: laminator used 20 to 65 % (one for two processes), slitter 25 to 55 %,
/// waste 8 to 20 % of the web, all orders done, the promise kept mostly but not always.
#[test]
fn the_worked_shops_are_healthy() {
    for (file, machine, use_from, use_to) in [
        ("owner", "pouch_machine", 0.80, 0.90),
        ("planner", "pouch_machine_1", 0.85, 0.95),
        ("consultant", "narrow_machine", 0.80, 0.90),
    ] {
        let loaded = load(&root().join(format!("scenarios/{file}.yaml")));
        assert!(loaded.plant.products.len() >= 10, "{file}");
        let summary = run(loaded, 30);
        let warned: Vec<&str> = summary
            .warnings
            .iter()
            .map(summary::Warning::key)
            .filter(|key| !["wide_interval", "skewed"].contains(key))
            .collect();
        assert!(warned.is_empty(), "{file}: {warned:?}");
        let within = |key: &str, from: f64, to: f64| {
            let value = share(&summary, key);
            assert!(
                (from..=to).contains(&value),
                "{file}: {key} is {value}, not {from} to {to}"
            );
        };
        within(&format!("machine/{machine}/utilisation"), use_from, use_to);
        within("station/lamination/utilisation", 0.20, 0.65);
        within("station/slitting/utilisation", 0.25, 0.55);
        within("cell/waste_share", 0.08, 0.20);
        within("on_time/all", 0.90, 0.998);
        within("time/all/wait_people", 0.1, 60.0);
        // The longest hold of the cured orders is seven days; nothing ships before it.
        within("lead_done/class:standard/p95", 7.0 * 1440.0, 14.0 * 1440.0);
        let events = summary.events / u64::from(summary.done);
        assert!(events < 400_000, "{file}: {events} events a replication");
    }
}

#[test]
fn the_starter_keeps_up() {
    let loaded = load(&root().join("sim/scenario/starter.yaml"));
    let summary = run(loaded, 30);
    assert!(
        summary
            .warnings
            .iter()
            .all(|w| ["wide_interval", "skewed"].contains(&w.key())),
        "{:?}",
        summary.warnings
    );
    let used = share(&summary, "machine/pouch_machine/utilisation");
    assert!((0.60..0.80).contains(&used), "{used}");
}

/// The first step of the tutorial is the queue M/M/1, whose mean time in the system is
/// 1/(1/60 - 1/75) = 300 min and whose server is busy 60/75 of the time (textbook queueing theory,
/// for example Law, Simulation Modeling and Analysis).
#[test]
fn the_first_step_of_the_tutorial_is_a_textbook_queue() {
    let summary = run(load(&root().join("docs/tutorial/1-one-bench.yaml")), 100);
    for (key, wanted) in [
        ("lead_done/all/mean", 300.0),
        ("machine/bench/utilisation", 0.8),
    ] {
        let found = summary.get(key).unwrap();
        // Three half-widths: the check may fail by chance once in ten thousand seeds, and the seed is fixed.
        let slack = 1.5 * (found.high - found.low);
        assert!((found.mean - wanted).abs() < slack, "{key}: {found:?}");
    }
}

/// Pages that quote figures or output.
const PAGES: [&str; 2] = ["README.md", "docs/tutorial.md"];

/// What the line before a quoted block asks for: `<!-- figures FILE: KEY, KEY -->`, or
/// `<!-- output ARGUMENTS: until LINE -->`.
fn asked(line: &str) -> Option<(&str, &str, &str)> {
    let inner = line.strip_prefix("<!-- ")?.strip_suffix(" -->")?;
    let (kind, rest) = inner.split_once(' ')?;
    let (of, what) = rest.split_once(": ")?;
    ["figures", "output"]
        .contains(&kind)
        .then_some((kind, of, what))
}

/// What the command prints, up to the line that begins with `until`.
fn output(arguments: &str, until: &str) -> String {
    let run = std::process::Command::new(env!("CARGO_BIN_EXE_pouchcast"))
        .args(arguments.split(' '))
        .current_dir(root())
        .output()
        .unwrap();
    assert!(run.status.success(), "{arguments}: {run:?}");
    let text = String::from_utf8(run.stdout).unwrap();
    let end = text
        .find(&format!("\n{until}"))
        .unwrap_or_else(|| panic!("{until} in {text}"));
    format!("{}\n", text[..end].trim_end())
}

#[test]
fn quoted_figures_are_what_the_program_says() {
    let mut quoted = Vec::new();
    for page in PAGES {
        let text = fs::read_to_string(root().join(page)).unwrap();
        let mut out = String::new();
        let mut lines = text.lines();
        while let Some(line) = lines.next() {
            out.push_str(line);
            out.push('\n');
            let Some((kind, of, what)) = asked(line) else {
                continue;
            };
            assert_eq!(lines.next(), Some("```text"), "{page}: {line}");
            let _old = lines.by_ref().take_while(|line| *line != "```").count();
            let found = if kind == "figures" {
                let loaded = load(&root().join(of));
                let replications = loaded.plant.run.replications;
                quoted.push(of.to_string());
                block(&run(loaded, replications), what)
            } else {
                output(of, what.trim_start_matches("until "))
            };
            out.push_str(&format!("```text\n{found}```\n"));
        }
        keep_true(page, &out);
    }
    for step in common::scenarios("docs/tutorial") {
        let name = format!(
            "docs/tutorial/{}",
            step.file_name().unwrap().to_string_lossy()
        );
        assert!(quoted.contains(&name), "{name} is not quoted");
    }
}

/// One line by key: what it is, its mean over the replications and the interval of that mean.
fn block(summary: &summary::Summary, keys: &str) -> String {
    let mut out = String::new();
    for key in keys.split(", ") {
        let index = summary
            .layout
            .find(key)
            .unwrap_or_else(|| panic!("no figure {key}"));
        let (measure, found) = (&summary.layout.measures[index], &summary.estimates[index]);
        let (scale, digits, unit) = match measure.unit {
            "share" => (100.0, 1, "%"),
            "min" if found.mean >= 2.0 * 1440.0 => (1.0 / 1440.0, 2, "d"),
            "min" if found.mean >= 120.0 => (1.0 / 60.0, 2, "h"),
            "1/week" => (1.0, 1, "a week"),
            other => (1.0, 1, other),
        };
        let digits = if found.mean * scale >= 1000.0 {
            0
        } else {
            digits
        };
        let [mean, low, high] =
            [found.mean, found.low, found.high].map(|value| format!("{:.digits$}", value * scale));
        let interval = match ends([found.low, found.high], [&low, &low, &high]) {
            none if none.is_empty() => none,
            ends => format!(" ({ends})"),
        };
        let line = format!("{:<48} {mean:>8} {unit:<7}{interval}", measure.label);
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}
