//! The cells of the study: queues whose truth is known, the frozen owner and planner, and the shipped ones.

use std::fs;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use pouchcast::certify::Pool;
use pouchcast::model;
use pouchcast::plant::Plant;
use pouchcast::scenario;

/// Figures of the first page that are counted, where a cell has them.
pub const KEYS: [&str; 18] = [
    "orders/all",
    "pouches/all",
    "cell/wip",
    "cell/waste_share",
    "lead_done/all/mean",
    "lead_done/all/p50",
    "lead_done/all/p90",
    "lead_done/all/p95",
    "on_time/all",
    "on_time/class:quick",
    "on_time/class:standard",
    "on_time/class:rush",
    "money/material",
    "money/late",
    "money/cost",
    "money/per_thousand",
    "money/margin",
    "money/result",
];

/// M/M/1 at one order each minute and the given load, looked at for `minutes` after `warm_up`.
pub fn queue(load: f64, warm_up: u32, minutes: u32) -> String {
    format!(
        "format: 2\nname: coverage\nrun: {{ seed: 5, replications: 20, warm_up: {warm_up} min, measure: {minutes} min, run_out: 2000 min }}\n\
         products: {{ piece: {{}} }}\n\
         stations: {{ s1: {{ work: bench, time: \"exponential, mean {load} min\", machines: {{ server: {{}} }} }} }}\n\
         orders: [{{ name: all, every: \"exponential, mean 1 min\", products: {{ piece: 100 % }} }}]\n"
    )
}

/// A file under the project's folder.
pub fn file(path: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

/// A plant from the text of a scenario.
pub fn plant(text: &str) -> Plant {
    match scenario::read("bed.yaml", text.as_bytes()) {
        Ok(loaded) => loaded.plant,
        Err(_) => panic!("{text}"),
    }
}

/// A pool of so many replications.
pub fn pool(plant: Plant, years: u32) -> Pool {
    let stop = AtomicBool::new(false);
    Pool::run(model::compile(plant), years, &stop, &|| {}).unwrap()
}

/// Today and the variants of a cell, by name, at the demand as it stands.
pub fn line_ups(path: &str) -> Vec<(String, Plant)> {
    let text = file(path);
    // Today's demand alone.
    let text: String = text
        .lines()
        .filter(|line| !line.starts_with("demands:"))
        .fold(String::new(), |all, line| all + line + "\n");
    let mut beside = |_: &str| Err(std::io::ErrorKind::NotFound.into());
    let Ok(study) = scenario::read_study(path, text.as_bytes(), &mut beside) else {
        panic!("{path}")
    };
    let variants = study.variants.into_iter();
    variants
        .map(|mut variant| (variant.name, variant.plants.remove(0)))
        .collect()
}
