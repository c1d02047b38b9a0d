//! The order of the file decides nothing.

use super::*;
use serde_json::{Map, Value};

/// Turns round every map of names of a scenario, and its list of streams; the floor and the default class stay.
fn turned(text: &str) -> String {
    let mut file: Value = serde_yaml::from_str(text).expect("a scenario");
    for block in [
        "calendars",
        "people",
        "rooms",
        "films",
        "adhesives",
        "laminates",
        "products",
    ] {
        if let Some(names) = file.get_mut(block) {
            reverse(names);
        }
    }
    if let Some(Value::Object(stations)) = file.get_mut("stations") {
        stations.values_mut().for_each(|station| {
            reverse(&mut station["machines"]);
            if let Some(times) = station.get_mut("times") {
                reverse(times);
            }
        });
    }
    if let Some(Value::Object(classes)) = file.get_mut("classes") {
        let first = classes.keys().next().cloned().expect("a class");
        let default = classes.shift_remove(&first).expect("the first");
        let rest: Vec<_> = std::mem::take(classes).into_iter().rev().collect();
        classes.insert(first, default);
        classes.extend(rest);
    }
    if let Some(Value::Array(orders)) = file.get_mut("orders") {
        orders.reverse();
        for stream in orders {
            reverse(&mut stream["products"]);
            if let Some(classes) = stream.get_mut("classes") {
                reverse(classes);
            }
        }
    }
    if let Some(Value::Object(money)) = file.get_mut("money") {
        money
            .values_mut()
            .filter(|value| value.is_object())
            .for_each(reverse);
    }
    serde_json::to_string_pretty(&file).expect("text")
}

fn reverse(names: &mut Value) {
    if let Value::Object(map) = names {
        let turned: Map<String, Value> = std::mem::take(map).into_iter().rev().collect();
        *map = turned;
    }
}

fn shipped(name: &str) -> String {
    let path = format!("{}/scenarios/{name}", env!("CARGO_MANIFEST_DIR"));
    fs::read_to_string(path).expect("a scenario")
}

/// The shipped cells, turned round, are the same plants, to the last figure.
#[test]
fn a_file_that_is_turned_round_is_the_same_cell() {
    for name in ["owner.yaml", "planner.yaml", "consultant.yaml"] {
        let text = shipped(name);
        let around = turned(&text);
        let plant = |text: &str| scenario::read(name, text.as_bytes()).map(|loaded| loaded.plant);
        let (there, back) = (plant(&text), plant(&around));
        assert!(there.is_ok() && back.is_ok(), "{name}");
        assert!(there == back, "{name}");
    }
}

/// Machines `m10` and `m2` of one station stand in the order of their numbers, whatever the file says.
#[test]
fn machines_go_by_name() {
    let text = cell("route-pouching-only.yaml");
    let one = "machine: { speeds: { stand_up: 80 /min }, start_waste: 40 m, rejects: 3 %, changeover: { table: [{ from: any, to: any, time: 60 min }] } }";
    let two = format!(
        "{}, {}",
        one.replace("machine:", "m10:"),
        one.replace("machine:", "m2:")
    );
    let model = compiled(&text.replace(one, &two), "");
    let pouching = model
        .plant
        .stations
        .iter()
        .find(|s| s.name == "pouching")
        .unwrap();
    let names: Vec<_> = pouching.machines.iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names, ["m2", "m10"]);
}

/// Rows of an order book, from the last to the first: the same orders with the same luck.
#[test]
fn rows_of_a_book_stand_in_any_order() {
    let text = shipped("planner-monday.yaml");
    let book = shipped("planner-monday.csv");
    let mut rows: Vec<&str> = book.lines().collect();
    rows[1..].reverse();
    let around = rows.join("\n") + "\n";
    let plant = |book: &str| {
        let mut beside = |_: &str| Ok(book.as_bytes().to_vec());
        scenario::read_with("planner-monday.yaml", text.as_bytes(), &mut beside).map(|l| l.plant)
    };
    let (there, back) = (plant(&book), plant(&around));
    assert!(there.is_ok() && there == back);
}

/// What is wrong is still shown on its own line.
#[test]
fn problems_keep_their_lines() {
    let text = cell("route-slitting-pouching.yaml").replace(
        "speeds: { stand_up: 80 /min }",
        "speeds: { stand_up: 80 m }",
    );
    let report = scenario::read("cell.yaml", text.as_bytes()).expect_err("a wrong unit");
    let line = 1 + text
        .lines()
        .position(|line| line.contains("80 m }"))
        .unwrap();
    assert!(
        report
            .render(false, 100)
            .contains(&format!("cell.yaml:{line}:")),
        "{}",
        report.render(false, 100)
    );
}
