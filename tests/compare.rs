//! Comparisons as their users meet them: identical variants, the same luck, files, claims.

use std::fs;
use std::path::PathBuf;
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// A folder with a small scenario and a file of variants in it.
struct Bench {
    dir: TempDir,
}

impl Bench {
    fn new(variants: &str) -> Self {
        let bench = Self {
            dir: TempDir::new().unwrap(),
        };
        let text = pouchcast::scenario::starter()
            .replace("replications: 100", "replications: 8")
            .replace("warm_up: 4 weeks", "warm_up: 1 week")
            .replace("measure: 26 weeks", "measure: 4 weeks");
        fs::write(bench.path("cell.yaml"), text).unwrap();
        fs::write(
            bench.path("study.yaml"),
            format!("format: 1\nbase: cell.yaml\n{variants}"),
        )
        .unwrap();
        bench
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        let output: Output = Command::cargo_bin("pouchcast")
            .unwrap()
            .current_dir(self.dir.path())
            .args(arguments)
            .output()
            .unwrap();
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        let (out, err) = (text(&output.stdout), text(&output.stderr));
        assert_eq!(
            output.status.code(),
            Some(code),
            "{arguments:?}\n{out}\n{err}"
        );
        (out, err)
    }

    fn json(&self, file: &str) -> Value {
        serde_json::from_slice(&fs::read(self.path(file)).unwrap()).unwrap()
    }
}

const VARIANTS: &str = "demands: [1, 1.1]
variants:
  nothing new: { change: { stations.pouching.machines.pouch_machine.start_waste: 30 m } }
  second machine:
    note: one more
    change: { stations.pouching.machines.second: { like: pouch_machine } }
  slow: { change: { stations.pouching.machines.pouch_machine.changeover: x 1.5 } }
";

/// The figures of a case, by key.
fn figure<'a>(report: &'a Value, variant: &str, demand: f64, key: &str) -> &'a Value {
    report["cases"]
        .as_array()
        .unwrap()
        .iter()
        .find(|case| case["variant"] == variant && case["demand"] == demand)
        .unwrap_or_else(|| panic!("{variant}"))["figures"]
        .as_array()
        .unwrap()
        .iter()
        .find(|figure| figure["key"] == key)
        .unwrap_or_else(|| panic!("{key}"))
}

#[test]
fn identical_variants_differ_by_exactly_nothing_in_every_figure() {
    let bench = Bench::new(VARIANTS);
    bench.ends(0, &["compare", "study.yaml", "-q", "-o", "out"]);
    let report = bench.json("out/compare.json");
    let mut compared = 0;
    for case in report["cases"].as_array().unwrap() {
        if case["variant"] != "nothing new" {
            continue;
        }
        for figure in case["figures"].as_array().unwrap() {
            let told = &figure["against_today"];
            if told.get("unknown").is_none() {
                compared += 1;
                assert_eq!(
                    (&told["mean"], &told["low"], &told["high"], &told["call"]),
                    (&0.0.into(), &0.0.into(), &0.0.into(), &"same".into()),
                    "{figure}"
                );
            }
        }
    }
    assert!(compared >= 20, "{compared}");
    // And what does differ, differs: the check above can fail.
    let changing = figure(&report, "slow", 1.0, "cell/changing_over");
    assert_eq!(changing["against_today"]["call"], "worse");
}

#[test]
fn threads_do_not_change_a_byte_and_the_folder_has_its_files() {
    let bench = Bench::new(VARIANTS);
    let (one, _) = bench.ends(0, &["compare", "study.yaml", "-q", "-o", "one", "-t", "1"]);
    let (three, _) = bench.ends(
        0,
        &["compare", "study.yaml", "-q", "-o", "three", "-t", "3"],
    );
    assert_eq!(one, three);
    assert!(one.lines().all(|line| line.chars().count() <= 80), "{one}");
    for file in [
        "report.html",
        "report.md",
        "compare.json",
        "compare.csv",
        "scenario.yaml",
        "charts/differences.svg",
        "base/cell.yaml",
    ] {
        let read = |folder: &str| fs::read(bench.path(folder).join(file)).unwrap();
        assert_eq!(read("one"), read("three"), "{file}");
    }
    let page = fs::read_to_string(bench.path("one/report.html")).unwrap();
    assert!(
        page.contains("<svg")
            && !page.contains("<script")
            && !page.contains("http-equiv=\"refresh")
    );
    // Nothing goes over earlier results unless it is asked for.
    bench.ends(5, &["compare", "study.yaml", "-q", "-o", "one"]);
    bench.ends(
        0,
        &[
            "compare",
            "study.yaml",
            "-q",
            "-o",
            "one",
            "--replace",
            "--only",
            "slow",
        ],
    );
    let report = bench.json("one/compare.json");
    assert_eq!(report["variants"].as_array().unwrap().len(), 2);
}

#[test]
fn what_cannot_be_compared_is_refused_with_a_way_on() {
    let bench = Bench::new(VARIANTS);
    let (_, err) = bench.ends(2, &["compare", "cell.yaml", "-q"]);
    assert!(
        err.contains("nothing to compare") && err.contains("variants:"),
        "{err}"
    );
    let (_, err) = bench.ends(2, &["compare", "study.yaml", "-q", "--only", "slwo"]);
    assert!(err.contains("slow"), "{err}");
    // A file of variants is no cell.
    let (_, err) = bench.ends(3, &["run", "study.yaml", "-q"]);
    assert!(
        err.contains("study.yaml:2:1") && err.contains("compare"),
        "{err}"
    );
    let (out, _) = bench.ends(0, &["check", "study.yaml"]);
    assert!(out.contains("3 variants, 2 demand cases"), "{out}");
}

/// A machine added before others does not pass its neighbours' breakdowns on: the laminator and slitter of
/// the starter meet the same stops with and without a machine in front of them, so that an idle addition
/// changes nothing at all.
#[test]
fn an_added_machine_shifts_no_other_machines_luck() {
    let bench = Bench::new(
        "variants:
  idle laminator in front:
    change:
      stations.lamination.machines.spare: { like: laminator, before: laminator, calendar: never_used }
      calendars.never_used: { open: [Sun 23:59-24:00] }
",
    );
    bench.ends(0, &["compare", "study.yaml", "-q", "-o", "out", "-n", "20"]);
    let report = bench.json("out/compare.json");
    for key in ["lead_done/all/mean", "orders/all", "cell/waste_m"] {
        let told = figure(&report, "idle laminator in front", 1.0, key);
        assert_eq!(told["against_today"]["call"], "same", "{told}");
    }
}
