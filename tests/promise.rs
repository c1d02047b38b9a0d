//! Promise dates: against dates worked by hand, and the command as its users meet it.

mod common;

use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use tempfile::TempDir;

/// A bench of 8 h a day that makes 100 pieces an hour, one order after the other, by due date.
const BENCH: &str = "format: 2
name: bench
run: { seed: 7, replications: 20, start: 2027-02-08, warm_up: 0 min, measure: 1 week, run_out: 1 week }
calendars:
  day: { open: [Mon-Fri 08:00-16:00] }
products:
  piece: { route: [bench] }
stations:
  bench:
    work: bench
    next: [earliest_due]
    time: 0.6 min
    per: pouch
    machines: { table: { calendar: day } }
classes:
  standard: { promise: 2 working days of day }
  rush: { promise: 1 working day of day }
book: book.csv
";

/// A: 400 pieces, done Monday 12:00. B: 600, Tuesday 10:00, promised Tuesday 09:00. C comes in on Tuesday
/// at noon, 100 pieces: 13:00. D: 20,000 pieces take 200 h of 80 open ones: never within the run.
const BOOK: &str = "order,class,product,quantity,release,due
A,standard,piece,400,,2027-02-08 16:00
B,standard,piece,600,,2027-02-09 09:00
C,rush,piece,100,2027-02-09 12:00,
D,standard,piece,20000,2027-02-09 14:00,2027-02-19
";

struct Desk {
    dir: TempDir,
}

impl Desk {
    fn new() -> Self {
        let desk = Self {
            dir: TempDir::new().unwrap(),
        };
        fs::write(desk.path("bench.yaml"), BENCH).unwrap();
        fs::write(desk.path("book.csv"), BOOK).unwrap();
        desk
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        common::ends(self.dir.path(), code, arguments)
    }

    fn json(&self, folder: &str) -> Value {
        let text = fs::read_to_string(self.path(folder).join("promise.json")).unwrap();
        serde_json::from_str(&text).unwrap()
    }
}

fn order<'a>(json: &'a Value, name: &str) -> &'a Value {
    let orders = json["orders"].as_array().unwrap();
    orders.iter().find(|o| o["order"] == name).unwrap()
}

#[test]
fn dates_are_those_worked_by_hand() {
    let desk = Desk::new();
    let (out, err) = desk.ends(0, &["promise", "bench.yaml", "-q"]);
    assert_eq!(err, "");
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    let json = desk.json("results/bench-promise-seed7");
    let at = |name: &str, point: &str| order(&json, name)[point]["at"].clone();
    assert_eq!(at("A", "p50"), "2027-02-08T12:00:00");
    assert_eq!(at("A", "p95"), "2027-02-08T12:00:00");
    assert_eq!(at("B", "p90"), "2027-02-09T10:00:00");
    assert_eq!(at("C", "p90"), "2027-02-09T13:00:00");
    assert_eq!(order(&json, "A")["late"]["share"], 0.0);
    assert_eq!(order(&json, "B")["late"]["share"], 1.0);
    assert_eq!(order(&json, "B")["risk"], "likely_late");
    // One working day after Tuesday: by the close of Wednesday.
    assert_eq!(order(&json, "C")["promised"], "2027-02-10T16:00:00");
    // Not done by the end: counted as late, with no date.
    assert_eq!(at("D", "p50"), Value::Null);
    assert_eq!(order(&json, "D")["not_done"], 20);
    assert_eq!(order(&json, "D")["late"]["share"], 1.0);
    assert!(out.contains("after the end"), "{out}");
    let rows: Vec<String> = json["orders"]
        .as_array()
        .unwrap()
        .iter()
        .map(|o| o["order"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(
        rows,
        ["B", "D", "A", "C"],
        "the likely late first, then by date"
    );
    for file in [
        "report.html",
        "report.md",
        "promise.csv",
        "scenario.yaml",
        "book/book.csv",
    ] {
        assert!(
            desk.path("results/bench-promise-seed7")
                .join(file)
                .is_file(),
            "{file}"
        );
    }
    let page = fs::read_to_string(desk.path("results/bench-promise-seed7/report.html")).unwrap();
    assert!(
        page.contains("<title>bench</title>")
            && page.contains("Orders at risk")
            && !page.contains("://"),
        "self-contained"
    );
    let table = fs::read_to_string(desk.path("results/bench-promise-seed7/promise.csv")).unwrap();
    assert_eq!(table.lines().count(), 5);
    // A second time the folder is there already, and only --replace puts it away.
    desk.ends(5, &["promise", "bench.yaml", "-q"]);
    desk.ends(0, &["promise", "bench.yaml", "-q", "--replace"]);
}

/// A new order of 300 pieces with the rush promise (Tuesday 16:00) goes after A and B by due date: it is
/// done on Tuesday at 13:00.
#[test]
fn a_new_order_gets_a_date() {
    let desk = Desk::new();
    let asked = [
        "promise",
        "bench.yaml",
        "-q",
        "--quote",
        "piece",
        "--quantity",
        "300",
    ];
    let (_, err) = desk.ends(2, &asked);
    assert!(err.contains("--class: standard, rush"), "{err}");
    let mut asked = asked.to_vec();
    asked.extend(["--class", "rush", "--out", "quoted"]);
    let (out, _) = desk.ends(0, &asked);
    assert!(out.contains("quote Tue 9 Feb 13:00"), "{out}");
    let json = desk.json("quoted");
    assert_eq!(json["quote"]["quote"], "2027-02-09T13:00:00");
    // It stands apart from the orders of the book, and enters at the start.
    let own = &json["quote"];
    assert_eq!(own["late"]["share"], 0.0);
    assert_eq!(own["entered"], "2027-02-08T00:00:00");
    assert_eq!(json["orders"].as_array().unwrap().len(), 4);
    assert!(out.contains("Of 4 orders with a promised date"), "{out}");
    // C waits behind it: from 13:00 to 14:00 of Tuesday. A and B go before it, D is never done.
    assert_eq!(order(&json, "C")["moved_by_min"], 60.0);
    assert_eq!(order(&json, "C")["without"]["p90"], "2027-02-09T13:00:00");
    assert_eq!(order(&json, "C")["p90"]["at"], "2027-02-09T14:00:00");
    assert_eq!(order(&json, "A")["moved_by_min"], 0.0);
    let words = out.replace('\n', " ");
    let told = "moves 1 of the 4 orders of the book by more than a minute, C the most, by +60 min";
    assert!(words.contains(told), "{out}");
    // The chance of a date that is asked about: 13:00 is kept, 12:00 is not.
    for (due, chance) in [("2027-02-09T13:00", "100 %"), ("2027-02-09 12:00", "0 %")] {
        let mut asked = asked[..asked.len() - 2].to_vec();
        asked.extend(["--due", due, "--no-files"]);
        let (out, _) = desk.ends(0, &asked);
        let words = out.replace('\n', " ");
        assert!(
            words.contains(&format!("it is on time in {chance} of")),
            "{out}"
        );
    }
    let mut asked = asked[..asked.len() - 2].to_vec();
    asked.extend(["--due", "Thursday"]);
    let (_, err) = desk.ends(2, &asked);
    assert!(err.contains("write it like `2027-01-04`"), "{err}");
    let unknown = [
        "promise",
        "bench.yaml",
        "--quote",
        "pice",
        "--quantity",
        "2",
        "--class",
        "rush",
    ];
    let (_, err) = desk.ends(2, &unknown);
    assert!(err.contains("no product called `pice`"), "{err}");
    desk.ends(2, &["promise", "bench.yaml", "--quote", "piece"]);
    desk.ends(2, &["promise", "bench.yaml", "--sure", "120"]);
}

#[test]
fn another_book_takes_the_place_of_the_first() {
    let desk = Desk::new();
    fs::create_dir(desk.path("desk")).unwrap();
    let other = BOOK.replace("A,standard,piece,400", "A,standard,piece,800");
    fs::write(desk.path("desk/tuesday.csv"), other).unwrap();
    let asked = [
        "promise",
        "bench.yaml",
        "-q",
        "--orders",
        "desk/tuesday.csv",
        "--out",
        "other",
    ];
    desk.ends(0, &asked);
    let json = desk.json("other");
    assert_eq!(order(&json, "A")["p50"]["at"], "2027-02-08T16:00:00");
    assert!(desk.path("other/book/tuesday.csv").is_file());
    // Its mistakes are told at its own lines.
    fs::write(desk.path("bad.csv"), "order,product,quantity\nA,pice,3\n").unwrap();
    let (_, err) = desk.ends(3, &["promise", "bench.yaml", "--orders", "bad.csv"]);
    assert!(err.contains("bad.csv:2"), "{err}");
    let (_, err) = desk.ends(2, &["promise", "bench.yaml", "--orders", "none.csv"]);
    assert!(
        err.contains("--orders: there is no file `none.csv`"),
        "{err}"
    );
    // Without a book there is nothing to date.
    fs::write(
        desk.path("streams.yaml"),
        BENCH.replace(
            "book: book.csv",
            "orders: [{ name: s, per_week: 3, products: { piece: 100 % }, quantity: 10 }]",
        ),
    )
    .unwrap();
    let (_, err) = desk.ends(2, &["promise", "streams.yaml"]);
    assert!(err.contains("no order book"), "{err}");
}

/// The planner's Monday: the same bytes on one core and on two, and something is at risk.
#[test]
fn the_planners_monday_is_the_same_on_any_cores() {
    let desk = Desk::new();
    let scenario = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/planner-monday.yaml");
    let ask = |threads: &str, out: &str| {
        desk.ends(
            0,
            &[
                "promise", scenario, "-q", "-n", "40", "-t", threads, "--out", out,
            ],
        )
        .0
    };
    assert_eq!(ask("1", "one"), ask("2", "two"));
    for file in ["promise.json", "promise.csv", "report.html", "report.md"] {
        let read = |folder: &str| fs::read(desk.path(folder).join(file)).unwrap();
        assert_eq!(read("one"), read("two"), "{file}");
    }
    let risky = desk.json("one")["orders"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|o| o["risk"] == "at_risk" || o["risk"] == "likely_late")
        .count();
    assert!(risky > 0);
}
