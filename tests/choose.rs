//! The best of many line-ups as its users meet it: a bench whose best variant is known, claims, files.

mod common;

use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use tempfile::TempDir;

/// A single-server queue around the clock: an order an hour on average; the quicker the bench, the shorter
/// the lead time (queueing theory: 1/(mu - lambda)). `drowning` cannot keep up at all.
const CELL: &str = "format: 2
name: benches
run: { seed: 3, replications: 10, warm_up: 1 week, measure: 8 weeks, run_out: 1 week }
products:
  piece: { route: [bench] }
stations:
  bench:
    work: bench
    time: exponential, mean 48 min
    machines: { table: { calendar: always } }
orders:
  - { name: shop, every: \"exponential, mean 1 h\", products: { piece: 100 % }, quantity: 1 }
variants:
  quicker: { change: { stations.bench.time: \"exponential, mean 36 min\" } }
  quickest: { change: { stations.bench.time: \"exponential, mean 24 min\" } }
  drowning: { change: { stations.bench.time: \"exponential, mean 80 min\" } }
";

struct Desk {
    dir: TempDir,
}

impl Desk {
    fn new() -> Self {
        let desk = Self {
            dir: TempDir::new().unwrap(),
        };
        fs::write(desk.path("cell.yaml"), CELL).unwrap();
        desk
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        common::ends(self.dir.path(), code, arguments)
    }

    fn json(&self, folder: &str) -> Value {
        serde_json::from_slice(&fs::read(self.path(folder).join("choose.json")).unwrap()).unwrap()
    }
}

fn fate(json: &Value, name: &str) -> String {
    let variants = json["variants"].as_array().unwrap();
    let found = variants.iter().find(|v| v["variant"] == name).unwrap();
    found["fate"].as_str().unwrap().to_owned()
}

#[test]
fn the_quickest_bench_is_left_and_the_claim_is_the_guarantee() {
    let desk = Desk::new();
    let ask = |threads: &str, out: &str| {
        let asked = [
            "choose",
            "cell.yaml",
            "-q",
            "--by",
            "lead_done/all/mean",
            "--within",
            "10 min",
            "-t",
            threads,
            "--out",
            out,
        ];
        desk.ends(0, &asked).0
    };
    let said = ask("1", "one");
    assert_eq!(said, ask("2", "two"));
    // More cores run further ahead.
    assert_eq!(said, ask("7", "seven"));
    assert!(
        said.lines().all(|line| line.chars().count() <= 80),
        "{said}"
    );
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("At today's demand, quickest is left as the best in"),
        "{said}"
    );
    assert!(
        flat.contains(
            "at least 95 % it is the best, if the best is better than every other by 10 min or more"
        ),
        "{said}"
    );
    let json = desk.json("one");
    assert_eq!(json["best"], "quickest");
    assert_eq!(json["demand"], 1.0);
    // Either reason is right: its queue grows, and orders are left over at the end.
    assert!(["overloaded", "no_value"].contains(&fate(&json, "drowning").as_str()));
    assert_eq!(fate(&json, "today"), "fell");
    for file in ["report.html", "report.md", "choose.json", "scenario.yaml"] {
        let read = |folder: &str| fs::read(desk.path(folder).join(file)).unwrap();
        assert_eq!(read("one"), read("two"), "{file}");
        assert_eq!(read("one"), read("seven"), "{file}");
    }
}

#[test]
fn a_race_that_is_not_decided_says_so() {
    let desk = Desk::new();
    let asked = [
        "choose",
        "cell.yaml",
        "-q",
        "--no-files",
        "--by",
        "orders/all",
        "--within",
        "0.000001",
        "-n",
        "6",
        "--first",
        "5",
    ];
    let (out, _) = desk.ends(0, &asked);
    assert!(
        out.contains("At today's demand: not decided after 6"),
        "{out}"
    );
}

/// The demand it is decided at is today's, whatever the first case of the file is, and every output names it.
#[test]
fn it_is_decided_at_todays_demand_unless_another_is_asked_for() {
    let desk = Desk::new();
    let cases = format!("{CELL}demands: [0.5, 1]\n");
    fs::write(desk.path("cases.yaml"), cases).unwrap();
    let ask = |more: &[&str], folder: &str| {
        let mut asked = vec![
            "choose",
            "cases.yaml",
            "-q",
            "--by",
            "lead_done/all/mean",
            "--within",
            "10 min",
            "--out",
            folder,
        ];
        asked.extend(more);
        let (out, _) = desk.ends(0, &asked);
        let read = |file: &str| fs::read_to_string(desk.path(folder).join(file)).unwrap();
        (
            out,
            read("report.md"),
            read("report.html"),
            desk.json(folder),
        )
    };
    let (out, markdown, page, json) = ask(&[], "usual");
    assert_eq!(json["demand"], 1.0);
    for text in [&out, &markdown, &page] {
        assert!(
            text.contains("today's demand") || text.contains("today&#39;s demand"),
            "{text}"
        );
    }
    // One of the cases, and one that is not among them.
    for (asked, wanted) in [("0.5", 0.5), ("0.8", 0.8)] {
        let (out, markdown, page, json) = ask(&["--demand", asked], asked);
        assert_eq!(json["demand"], wanted);
        let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
        for text in [&flat, &markdown, &page] {
            assert!(text.contains(&format!("At {asked} times today")), "{text}");
        }
    }
    let (_, err) = desk.ends(
        2,
        &["choose", "cases.yaml", "--within", "2 h", "--demand", "0"],
    );
    assert!(err.contains("--demand"), "{err}");
}

/// Two benches that differ by less than the zone: the answer says that they cannot be told apart, and the means
/// show that they differ.
#[test]
fn what_lies_within_the_zone_is_not_told_apart() {
    let desk = Desk::new();
    let near = CELL.replace("mean 36 min", "mean 24.2 min");
    fs::write(desk.path("near.yaml"), near).unwrap();
    let asked = [
        "choose",
        "near.yaml",
        "-q",
        "--no-files",
        "--by",
        "lead_done/all/mean",
        "--within",
        "10 min",
    ];
    let (out, _) = desk.ends(0, &asked);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("cannot be told apart within 10 min from"),
        "{out}"
    );
    let mean = |name: &str| {
        let line = out
            .lines()
            .find(|line| line.starts_with(&format!("{name} ")));
        line.unwrap()[name.len()..]
            .split("min")
            .next()
            .unwrap()
            .trim()
            .to_owned()
    };
    assert_ne!(mean("quicker"), mean("quickest"), "{out}");
}

#[test]
fn a_fixed_effort_is_spent_and_promises_nothing() {
    let desk = Desk::new();
    let asked = [
        "choose",
        "cell.yaml",
        "-q",
        "--by",
        "lead_done/all/mean",
        "--effort",
        "3000",
        "--out",
        "effort",
    ];
    let (out, _) = desk.ends(0, &asked);
    assert!(out.contains("not a guarantee"), "{out}");
    let json = desk.json("effort");
    assert_eq!(json["best"], "quickest");
    assert_eq!(json["replications"], 3000);
    assert!(json["chance"].is_f64() && json["wanted"].is_null());
    // A little effort has seen too little of the long waits to state a chance.
    let little = ["choose", "cell.yaml", "-q", "--by", "lead_done/all/mean"];
    let little = [&little[..], &["--effort", "40", "--out", "little"]].concat();
    let (out, _) = desk.ends(0, &little);
    let json = desk.json("little");
    assert_eq!(json["chance"].is_null(), json["wanted"].is_u64());
    assert!(
        json["chance"].is_null() && out.contains("cannot be stated"),
        "{out}"
    );
    let (_, err) = desk.ends(2, &["choose", "cell.yaml", "--effort", "12"]);
    assert!(err.contains("at least 40"), "{err}");
}

#[test]
fn what_is_not_asked_well_is_said() {
    let desk = Desk::new();
    let (_, err) = desk.ends(2, &["choose", "cell.yaml"]);
    assert!(err.contains("--within"), "{err}");
    let (_, err) = desk.ends(2, &["choose", "cell.yaml", "--within", "2 mm"]);
    assert!(err.contains("--within"), "{err}");
    let (_, err) = desk.ends(
        2,
        &["choose", "cell.yaml", "--within", "2 h", "--by", "lead"],
    );
    assert!(err.contains("lead_done/all/p90"), "{err}");
    desk.ends(
        2,
        &["choose", "cell.yaml", "--within", "2 h", "--effort", "100"],
    );
}
