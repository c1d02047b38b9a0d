//! A variant as the cell: `run`, `merge`, `explain`, `story` and `promise` with `--variant`.
//!
//! In: a small cell with variants, in one file and in two. Out: the figures that `compare` has for the variant,
//! parts that are put together again to the byte and never mixed up, and wrong names told with the right ones.

mod common;

use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use tempfile::TempDir;

const VARIANTS: &str = "
variants:
  second machine:
    note: One more of the same.
    change: { stations.pouching.machines.second: { like: pouch_machine } }
  slow:
    change:
      stations.pouching.machines.pouch_machine.changeover: x 1.5
      stations.lamination.machines.laminator.processes.solventless: 40 m/min
";

struct Bench {
    dir: TempDir,
}

impl Bench {
    /// `cell.yaml` with its variants, and `base.yaml` with the same in `study.yaml`.
    fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let text = pouchcast::scenario::starter()
            .replace("replications: 100", "replications: 6")
            .replace("warm_up: 4 weeks", "warm_up: 1 week")
            .replace("measure: 26 weeks", "measure: 4 weeks");
        let write = |name: &str, text: String| fs::write(dir.path().join(name), text).unwrap();
        write("cell.yaml", format!("{text}{VARIANTS}"));
        write(
            "study.yaml",
            format!("format: 2\nbase: base.yaml{VARIANTS}"),
        );
        write("base.yaml", text);
        Self { dir }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        common::ends(self.dir.path(), code, arguments)
    }

    fn json(&self, file: &str) -> Value {
        serde_json::from_slice(&fs::read(self.path(file)).unwrap()).unwrap()
    }
}

/// All figures that both tell, to the last digit, and none of today's.
#[test]
fn a_variant_is_run_with_the_luck_that_compare_gives_it() {
    let bench = Bench::new();
    bench.ends(
        0,
        &["compare", "cell.yaml", "-n", "6", "-q", "-o", "compared"],
    );
    let compared = bench.json("compared/compare.json");
    for (file, variant) in [
        ("cell.yaml", "second machine"),
        ("cell.yaml", "slow"),
        ("study.yaml", "second machine"),
        ("study.yaml", "today"),
    ] {
        let run = [
            "run",
            file,
            "--variant",
            variant,
            "-n",
            "6",
            "-q",
            "--replace",
        ];
        bench.ends(0, &[&run[..], &["-o", "ran"]].concat());
        let ran = bench.json("ran/summary.json");
        let cases = compared["cases"].as_array().unwrap();
        let case = cases.iter().find(|case| case["variant"] == variant);
        let mut same = 0;
        for figure in case.unwrap()["figures"].as_array().unwrap() {
            let value = &figure["value"]["mean"];
            let key = figure["key"].as_str().unwrap();
            if let Some(mean) = ran["figures"][key].get("mean")
                && value.is_f64()
            {
                assert_eq!(value, mean, "{file}, {variant}: {figure}");
                same += 1;
            }
        }
        assert!(same >= 8, "{file}, {variant}: {same}");
        assert_eq!(
            bench.path("ran/base/base.yaml").exists(),
            file == "study.yaml"
        );
    }
}

#[test]
fn results_say_which_variant_they_are_of() {
    let bench = Bench::new();
    let run = ["run", "cell.yaml", "-q", "-n", "2"];
    bench.ends(0, &run);
    let (out, _) = bench.ends(0, &[&run[..], &["--variant", "second machine"]].concat());
    assert!(out.starts_with("Variant \"second machine\": "), "{out}");
    assert!(out.contains("--variant \"second machine\""), "{out}");
    let of = |name: &str| {
        let mut folders = fs::read_dir(bench.path("results")).unwrap();
        let folder = folders.find_map(|entry| {
            let path = entry.unwrap().path();
            let is = path
                .file_name()
                .unwrap()
                .to_string_lossy()
                .contains("variant");
            (is == (name == "variant")).then_some(path)
        });
        folder.unwrap()
    };
    assert!(of("variant").ends_with("cell-variant-second-machine-seed1"));
    let read = |name: &str| fs::read_to_string(of("variant").join(name)).unwrap();
    assert!(read("report.md").contains("second machine"));
    let page = read("report.html");
    for word in [
        "second machine",
        "One more of the same.",
        "Differs from today",
    ] {
        assert!(page.contains(word), "{word}");
    }
    let sha = |name: &str| {
        let text = fs::read(of(name).join("summary.json")).unwrap();
        serde_json::from_slice::<Value>(&text).unwrap()["scenario"]["sha256"].clone()
    };
    assert_ne!(sha("variant"), sha("today"));
    for command in ["explain", "story"] {
        let (out, _) = bench.ends(0, &[command, "cell.yaml", "--variant", "slow"]);
        let (today, _) = bench.ends(0, &[command, "cell.yaml"]);
        let rest = out.strip_prefix("Variant \"slow\"\n\n").unwrap_or_default();
        assert!(!rest.is_empty() && rest != today, "{command}\n{out}");
    }
}

#[test]
fn parts_of_a_variant_are_put_together_and_never_mixed_up() {
    let bench = Bench::new();
    let variant = ["--variant", "slow"];
    let with = |arguments: &[&str], more: &[&str]| {
        let all = [arguments, more].concat();
        bench.ends(0, &all)
    };
    let (expected, _) = with(&["run", "cell.yaml", "-n", "6", "-o", "whole"], &variant);
    for (part, name, threads) in [("1/2", "a", "1"), ("2/2", "b", "2")] {
        let run = [
            "run",
            "cell.yaml",
            "-q",
            "--part",
            part,
            "-o",
            name,
            "-t",
            threads,
        ];
        with(&run, &variant);
    }
    let merge = ["merge", "cell.yaml", "b", "a", "-o", "merged"];
    let (told, _) = with(&merge, &variant);
    assert_eq!(told, expected);
    assert_eq!(
        common::files(&bench.path("merged")),
        common::files(&bench.path("whole"))
    );
    for more in [&[][..], &["--variant", "second machine"]] {
        let (_, err) = bench.ends(2, &[&merge[..], &["--replace"], more].concat());
        assert!(err.contains("another variant"), "{err}");
    }
}

#[test]
fn a_wrong_name_is_told_with_the_right_ones() {
    let bench = Bench::new();
    for command in [
        &["run", "cell.yaml"][..],
        &["run", "study.yaml"],
        &["run", "cell.yaml", "--part", "1/2"],
        &["merge", "cell.yaml", "none"],
        &["explain", "cell.yaml"],
        &["story", "cell.yaml"],
        &["promise", "cell.yaml"],
        &["sensitivity", "cell.yaml"],
        &["limit", "cell.yaml", "--promise", "95 % on time"],
        &["sweep", "cell.yaml", "--set", "demand=1"],
    ] {
        let (_, err) = bench.ends(2, &[command, &["--variant", "scond machine"]].concat());
        for word in [
            "no variant `scond machine`",
            "did you mean `second machine`?",
            "slow",
        ] {
            assert!(err.contains(word), "{command:?}: {err}");
        }
    }
    let (_, err) = bench.ends(2, &["compare", "cell.yaml", "--only", "Slow "]);
    assert!(err.contains("did you mean `slow`?"), "{err}");
    assert!(!bench.path("results").exists());
}

/// A book of one order, read in the place of the book that the scenario names; its hold begins later behind a
/// slow laminator.
#[test]
fn promises_are_those_of_the_variant() {
    let bench = Bench::new();
    let product = pouchcast::scenario::read("", &fs::read(bench.path("base.yaml")).unwrap());
    let product = product.unwrap().plant.products[0].name.clone();
    fs::create_dir(bench.path("desk")).unwrap();
    fs::write(
        bench.path("desk/book.csv"),
        format!("order,product,quantity\nA,{product},5000\n"),
    )
    .unwrap();
    let ask = |more: &[&str]| {
        let (book, out) = (
            "desk/book.csv",
            ["-q", "--replace", "-o", "dates", "-n", "60"],
        );
        let promise = ["promise", "cell.yaml", "--orders", book];
        let (text, _) = bench.ends(0, &[&promise[..], &out, more].concat());
        let told = bench.json("dates/promise.json");
        (text, told["orders"][0]["p50"]["at"].clone(), told)
    };
    let (_, today, _) = ask(&[]);
    let (text, slow, told) = ask(&["--variant", "slow"]);
    assert!(text.contains("Variant \"slow\""), "{text}");
    assert!(
        today.as_str() < slow.as_str() && today.is_string(),
        "{told}"
    );
    assert!(bench.path("dates/book/book.csv").exists());
}
