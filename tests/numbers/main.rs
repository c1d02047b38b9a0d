//! Every number on a page is the one in the results for other programs, to the digits shown.
//!
//! A page says of each number where it comes from (`data-from`, a JSON pointer, RFC 6901). Here the page is read
//! back: what stands under a pointer is parsed by rules written down here, not by the program's own, and compared
//! with the number in the JSON file; digits that stand nowhere under a pointer are an error. Left out are: names
//! and heads (headings, captions, row and column heads, labels), drawings, the method with the scenario in full,
//! and lists of class `scenario`, which quote the scenario.

mod checked;
mod page;
mod shown;

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use jiff::ToSpan;
use jiff::civil::DateTime;
use serde_json::Value;
use tempfile::TempDir;

use checked::*;
use page::*;
use shown::*;

/// Runs a command in the repository and reads its page and its results.
fn made(folder: &Path, json: &str, arguments: &[&str]) -> (String, Value) {
    let out = folder.join(arguments[0]);
    let mut all = arguments.to_vec();
    let place = out.to_string_lossy().into_owned();
    all.extend(["-q", "--replace", "-o", &place]);
    Command::cargo_bin("pouchcast")
        .unwrap()
        .args(&all)
        .assert()
        .success();
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    (
        read("report.html"),
        serde_json::from_str(&read(json)).unwrap(),
    )
}

#[test]
fn every_number_of_every_page_comes_from_the_results() {
    let dir = TempDir::new().unwrap();
    for (arguments, json, least) in [
        (
            &["run", "scenarios/owner.yaml", "-n", "5"][..],
            "summary.json",
            400,
        ),
        (
            &["run", "scenarios/planner.yaml", "-n", "5"],
            "summary.json",
            400,
        ),
        (
            &["run", "scenarios/consultant.yaml", "-n", "2"],
            "summary.json",
            400,
        ),
        (
            &["compare", "scenarios/owner.yaml", "-n", "6"],
            "compare.json",
            400,
        ),
        (
            &["compare", "scenarios/planner.yaml", "-n", "5"],
            "compare.json",
            400,
        ),
        (
            &[
                "sweep",
                "scenarios/owner.yaml",
                "-n",
                "5",
                "--set",
                "demand=0.9,1,1.2",
            ],
            "sweep.json",
            50,
        ),
        (
            &[
                "limit",
                "scenarios/owner.yaml",
                "-n",
                "10",
                "--promise",
                "95 % on time",
            ],
            "limit.json",
            6,
        ),
        (
            &["choose", "scenarios/owner.yaml", "--effort", "120"],
            "choose.json",
            6,
        ),
        (
            &["promise", "scenarios/planner-monday.yaml", "-n", "60"],
            "promise.json",
            200,
        ),
        (
            &[
                "promise",
                "scenarios/planner-monday.yaml",
                "-n",
                "60",
                "--quote",
                "snack_metal",
                "--quantity",
                "4000",
                "--class",
                "standard",
            ],
            "promise.json",
            220,
        ),
        (
            &[
                "sensitivity",
                "scenarios/owner.yaml",
                "-n",
                "6",
                "--set",
                "demand",
                "--set",
                "people.operators.absence",
            ],
            "sensitivity.json",
            20,
        ),
    ] {
        let (html, json) = made(dir.path(), json, arguments);
        let checked = check(arguments[1], &html, &json);
        assert!(
            checked.problems.is_empty(),
            "{arguments:?}: {} problems\n{}",
            checked.problems.len(),
            checked.problems[..checked.problems.len().min(30)].join("\n")
        );
        assert!(
            checked.numbers >= least,
            "{arguments:?}: {} numbers",
            checked.numbers
        );
        assert!(
            checked.sentences > 0 || arguments[0] == "sweep",
            "{arguments:?}: no sentence"
        );
    }
}

/// An inch reader's page, and one of a cell that cannot keep up.
#[test]
fn other_units_and_missing_values_are_the_same_numbers_too() {
    let dir = TempDir::new().unwrap();
    let starter = pouchcast::scenario::starter().replace("measure: 26 weeks", "measure: 8 weeks");
    for (name, text) in [
        (
            "inch",
            starter.replace("\nrun:", "\nreader: { units: inch }\nrun:"),
        ),
        ("over", starter.replace("per_week: 4", "per_week: 40")),
    ] {
        let file = dir.path().join(format!("{name}.yaml"));
        fs::write(&file, text).unwrap();
        let file = file.to_string_lossy().into_owned();
        let (html, json) = made(dir.path(), "summary.json", &["run", &file, "-n", "5"]);
        let checked = check(name, &html, &json);
        assert!(
            checked.problems.is_empty(),
            "{}",
            checked.problems.join("\n")
        );
        assert!(checked.numbers > 60, "{name}: {}", checked.numbers);
    }
}

/// The check sees a number that is wrong by one in its last digit, a missing source, and a changed sentence.
#[test]
fn a_changed_number_is_seen() {
    let dir = TempDir::new().unwrap();
    let (html, json) = made(
        dir.path(),
        "summary.json",
        &["run", "scenarios/owner.yaml", "-n", "5"],
    );
    assert!(check("page", &html, &json).problems.is_empty());
    let start = html.find("data-from=\"/figures/on_time").unwrap();
    let percent = html[start..].find('%').unwrap() + start;
    let digit = html[..percent].rfind(|c: char| c.is_ascii_digit()).unwrap();
    let other = if &html[digit..=digit] == "5" {
        "6"
    } else {
        "5"
    };
    let mut wrong = html.clone();
    wrong.replace_range(digit..=digit, other);
    assert_eq!(check("page", &wrong, &json).problems.len(), 1, "a digit");
    let bare = html.replacen(
        " data-from=\"/figures/on_time",
        " data-of=\"/figures/on_time",
        1,
    );
    assert!(
        !check("page", &bare, &json).problems.is_empty(),
        "no source"
    );
    let said = html.replacen("The cell keeps up", "The cell nearly keeps up", 1);
    assert_eq!(check("page", &said, &json).problems.len(), 1, "a sentence");
    let shown = numbers("7 d 15 h to 7 d 19 h", "min");
    assert_eq!([shown[0].value, shown[1].value], [10_980.0, 11_220.0]);
    let shown = numbers("-5 to +19.2 pt", "share");
    assert!((shown[0].value + 0.05).abs() < 1e-12 && (shown[1].half - 0.0005).abs() < 1e-12);
}
