//! Sensitivities against what theory says an effect must be, and as their users meet them.

mod common;

use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use tempfile::TempDir;

struct Desk {
    dir: TempDir,
}

impl Desk {
    fn new(scenario: &str) -> Self {
        let dir = TempDir::new().unwrap();
        fs::write(dir.path().join("cell.yaml"), scenario).unwrap();
        Self { dir }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        let all = [&["sensitivity", "cell.yaml", "-q"], arguments].concat();
        common::ends(self.dir.path(), code, &all)
    }

    fn json(&self, folder: &str) -> Value {
        let bytes = fs::read(self.path(folder).join("sensitivity.json")).unwrap();
        serde_json::from_slice(&bytes).unwrap()
    }
}

/// One bench that never closes.
fn bench(run: &str, time: &str, every: &str) -> String {
    format!(
        "format: 2\nname: bench\nrun: {{ seed: 5, {run} }}\nproducts: {{ piece: {{}} }}\n\
         stations: {{ wrapping: {{ work: bench, time: \"{time}\", machines: {{ server: {{}} }} }} }}\n\
         orders: [{{ name: all, every: \"{every}\", products: {{ piece: 100 % }} }}]\n"
    )
}

/// Index of a figure in the file.
fn effects<'a>(json: &'a Value, key: &str) -> &'a Vec<Value> {
    let figures = json["figures"].as_array().unwrap();
    let figure = figures.iter().find(|f| f["key"] == key).unwrap();
    figure["effects"].as_array().unwrap()
}

/// Orders every hour that take 20 minutes never meet: the lead time is the work, and a tenth of it is 2 minutes.
/// By hand.
#[test]
fn a_tenth_of_the_only_work_is_a_tenth_of_the_lead_time() {
    let run = "replications: 6, warm_up: 1 day, measure: 2 weeks, run_out: 1 day";
    let desk = Desk::new(&bench(run, "20 min", "60 min"));
    let (out, _) = desk.ends(0, &["--by", "lead_done/all/mean", "-o", "out"]);
    let json = desk.json("out");
    let effects = effects(&json, "lead_done/all/mean");
    let work = effects
        .iter()
        .find(|e| e["setting"] == "wrapping: work time")
        .unwrap();
    for (side, minutes) in [("lower", -2.0), ("higher", 2.0)] {
        for end in ["mean", "low", "high"] {
            let value = work[side][end].as_f64().unwrap();
            assert!((value - minutes).abs() < 1e-4, "{side} {end}: {value}");
        }
    }
    assert_eq!(work["clear"], "both sides");
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("work time (x 0.9: -120 s, x 1.1: +120 s)"),
        "{out}"
    );
    // Demand does nothing here: no order ever waits.
    let demand = effects.iter().find(|e| e["setting"] == "demand").unwrap();
    assert_eq!(demand["lower"]["call"], "same");
    assert_eq!(demand["clear"], "no");
}

/// A queue M/M/1 with a mean service of 1 h and 0.6 orders an hour: mean time in it 1/(1 - rho) = 2.5 h; at 10 %
/// less demand 1/0.46, at 10 % more 1/0.34 (Gross and Harris, Fundamentals of Queueing Theory). The 95 %
/// intervals hold together for both sides; the seed is fixed.
#[test]
fn demand_moves_a_queue_as_much_as_theory_says() {
    let run = "replications: 60, warm_up: 4 weeks, measure: 40 weeks, run_out: 2 weeks";
    let desk = Desk::new(&bench(
        run,
        "exponential, mean 1 h",
        "exponential, mean 100 min",
    ));
    desk.ends(
        0,
        &["--by", "lead_done/all/mean", "--set", "demand", "-o", "out"],
    );
    let json = desk.json("out");
    let demand = &effects(&json, "lead_done/all/mean")[0];
    for (side, load) in [("lower", 0.54), ("higher", 0.66)] {
        let theory = 60.0 * (1.0 / (1.0 - load) - 2.5);
        let end = |key: &str| demand[side][key].as_f64().unwrap();
        assert!(
            end("low") <= theory && theory <= end("high"),
            "{side}: {theory} in {} to {}",
            end("low"),
            end("high")
        );
        assert!(
            end("high") - end("low") < 0.4 * theory.abs(),
            "{side} is narrow"
        );
    }
    assert_eq!(demand["clear"], "both sides");
}

fn starter() -> String {
    pouchcast::scenario::starter()
        .replace("replications: 100", "replications: 6")
        .replace("warm_up: 4 weeks", "warm_up: 1 week")
        .replace("measure: 26 weeks", "measure: 4 weeks")
}

#[test]
fn files_agree_and_do_not_depend_on_threads() {
    let desk = Desk::new(&starter());
    let (one, _) = desk.ends(0, &["-o", "one", "-t", "1"]);
    let (three, _) = desk.ends(0, &["-o", "three", "-t", "3"]);
    assert_eq!(one, three);
    assert!(one.lines().all(|line| line.chars().count() <= 80), "{one}");
    for file in [
        "report.html",
        "report.md",
        "sensitivity.json",
        "sensitivity.csv",
        "scenario.yaml",
        "charts/sensitivity.svg",
        "charts/sensitivity.png",
    ] {
        let read = |folder: &str| fs::read(desk.path(folder).join(file)).unwrap();
        assert!(read("one") == read("three"), "{file}");
    }
    let json = desk.json("one");
    for figure in json["figures"].as_array().unwrap() {
        let spreads: Vec<f64> = figure["effects"]
            .as_array()
            .unwrap()
            .iter()
            .map(|effect| effect["spread"].as_f64().unwrap_or(f64::INFINITY))
            .collect();
        assert!(
            spreads.len() > 8 && spreads.is_sorted_by(|a, b| a >= b),
            "{spreads:?}"
        );
    }
    desk.ends(5, &["-o", "one"]);
}

#[test]
fn a_cell_that_cannot_keep_up_is_told_so_and_moves_nothing() {
    let desk = Desk::new(&starter().replace("per_week: 4", "per_week: 40"));
    let (out, _) = desk.ends(0, &["--no-files", "--set", "demand"]);
    assert!(out.contains("has no value as the cell is"), "{out}");
    assert!(out.contains("not steady"), "{out}");
}

#[test]
fn what_cannot_be_asked_is_refused() {
    let desk = Desk::new(&starter());
    for (arguments, words) in [
        (&["--by", "lead_time"][..], "there is no figure `lead_time`"),
        (&["--set", "demand=1"], "does not name two values"),
        (&["--set", "stations.nowhere.time"], "nowhere"),
        (&["--variant", "none"], "there is no variant `none`"),
        (&["--range", "90%"], "50 %"),
    ] {
        let (_, err) = desk.ends(2, arguments);
        assert!(err.contains(words), "{arguments:?}: {err}");
    }
}
