//! A run cut into parts and put together again: the same bytes as if it had not been cut.
//!
//! In: a small scenario in a folder of its own. Out: equality of every file and of stdout, and refusals of
//! parts that do not belong together.

mod common;

use std::fs;

use tempfile::TempDir;

use common::files;

fn bench() -> TempDir {
    let dir = TempDir::new().unwrap();
    let text = pouchcast::scenario::starter()
        .replace("replications: 100", "replications: 7")
        .replace("warm_up: 4 weeks", "warm_up: 1 week")
        .replace("measure: 26 weeks", "measure: 3 weeks");
    fs::write(dir.path().join("cell.yaml"), text).unwrap();
    dir
}

fn ends(dir: &TempDir, code: i32, arguments: &[&str]) -> (String, String) {
    common::ends(dir.path(), code, arguments)
}

#[test]
fn merged_parts_are_the_undivided_run_to_the_byte() {
    for (parts, more) in [(3, &["-n", "7"][..]), (9, &["-n", "5", "-s", "8"][..])] {
        let dir = bench();
        let whole = [&["run", "cell.yaml", "-o", "whole"], more].concat();
        let (expected, _) = ends(&dir, 0, &whole);
        let names: Vec<String> = (1..=parts).map(|k| format!("p{k}.jsonl")).collect();
        for (k, name) in names.iter().enumerate() {
            let part = format!("{}/{parts}", k + 1);
            let threads = ["-t", if k % 2 == 0 { "1" } else { "2" }];
            let run = ["run", "cell.yaml", "--part", &part, "-o", name];
            let (out, _) = ends(&dir, 0, &[&run[..], &threads, more].concat());
            assert!(out.is_empty(), "a part has no summary: {out}");
        }
        // In any order.
        let mut merge = vec!["merge", "cell.yaml", "-o", "merged"];
        merge.extend(names.iter().rev().map(String::as_str));
        let (out, _) = ends(&dir, 0, &merge);
        assert_eq!(out, expected);
        assert_eq!(
            files(&dir.path().join("merged")),
            files(&dir.path().join("whole"))
        );
    }
}

#[test]
fn parts_that_do_not_belong_together_are_refused() {
    let dir = bench();
    for part in ["1/3", "2/3", "3/3"] {
        ends(&dir, 0, &["run", "cell.yaml", "--part", part, "-q"]);
    }
    let name = |k: u32, of: u32| format!("results/cell-seed1.part-{k}-of-{of}.jsonl");
    let (a, b, c) = (name(1, 3), name(2, 3), name(3, 3));
    let refused = |files: &[&str], word: &str| {
        let arguments = [&["merge", "cell.yaml", "--no-files"], files].concat();
        let (out, err) = ends(&dir, 2, &arguments);
        assert!(out.is_empty() && err.contains(word), "{err}");
    };
    refused(&[&a, &c], "replications 2 to 3 are in none");
    refused(&[&a, &b], "replications 4 to 6 are in none");
    refused(&[&a, &b, &b, &c], "is in another part, too");
    refused(&["cell.yaml"], "is not a part of a run");
    // Nothing that is there is written over, unless it is a part and that is asked for.
    ends(&dir, 5, &["run", "cell.yaml", "--part", "1/3"]);
    ends(&dir, 0, &["run", "cell.yaml", "--part", "1/3", "--replace"]);
    ends(
        &dir,
        5,
        &[
            "run",
            "cell.yaml",
            "--part",
            "1/3",
            "--replace",
            "-o",
            "cell.yaml",
        ],
    );
    ends(&dir, 2, &["run", "cell.yaml", "--part", "4/3"]);
    // A part cut short, another seed, another scenario.
    let text = fs::read_to_string(dir.path().join(&c)).unwrap();
    let short: Vec<&str> = text.lines().take(2).collect();
    fs::write(dir.path().join("short"), short.join("\n") + "\n").unwrap();
    refused(
        &[&a, &b, "short"],
        "ends after line 2, before replication 5",
    );
    let cut: String = text.chars().take(text.len() - 40).collect();
    fs::write(dir.path().join("cut"), cut).unwrap();
    refused(&[&a, &b, "cut"], "line 5: is cut off");
    ends(
        &dir,
        0,
        &[
            "run",
            "cell.yaml",
            "--part",
            "3/3",
            "-s",
            "2",
            "-o",
            "other",
        ],
    );
    refused(&[&a, &b, "other"], "has the seed 2, the others have 1");
    let cell = dir.path().join("cell.yaml");
    let changed = fs::read_to_string(&cell).unwrap() + "\n# changed\n";
    fs::write(&cell, changed).unwrap();
    refused(&[&a, &b, &c], "another scenario");
}
