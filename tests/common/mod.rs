//! What several tests do alike: run the program in a folder, read what it left, run a scenario to its summary.
//!
//! In: a folder and arguments, or the text of a scenario. Out: what was printed, all files with their bytes, a summary.

// Every test is a program of its own and uses some of these.
#![allow(dead_code)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::sync::atomic::AtomicBool;

use assert_cmd::Command;
use pouchcast::summary::Summary;
use pouchcast::{model, observe, replicate, scenario};

/// All scenario files of a folder of the project, sorted.
pub fn scenarios(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let entries = fs::read_dir(folder).unwrap();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|e| e == "yaml"));
    files.sort();
    files
}

/// Runs the program in a folder.
pub fn output(folder: &Path, arguments: &[&str]) -> Output {
    Command::cargo_bin("pouchcast")
        .unwrap()
        .current_dir(folder)
        .args(arguments)
        .env_remove("NO_COLOR")
        .output()
        .unwrap()
}

/// What the program prints, stdout and stderr, where it ends with `code`.
pub fn ends(folder: &Path, code: i32, arguments: &[&str]) -> (String, String) {
    let output = output(folder, arguments);
    let out = String::from_utf8(output.stdout).unwrap();
    let err = String::from_utf8(output.stderr).unwrap();
    let found = output.status.code();
    assert_eq!(found, Some(code), "{arguments:?}\n{out}\n{err}");
    (out, err)
}

/// Every file under a folder, by its path below it, with its bytes.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            let within = files(&path);
            all.extend(within.into_iter().map(|(n, b)| (format!("{name}/{n}"), b)));
        } else {
            all.insert(name, fs::read(&path).unwrap());
        }
    }
    all
}

/// The summary of as many replications as the scenario asks for.
pub fn summary_of(text: &str) -> Summary {
    let plant = match scenario::read("cell.yaml", text.as_bytes()) {
        Ok(loaded) => loaded.plant,
        Err(report) => panic!("{}", report.render(false, 100)),
    };
    let count = plant.run.replications;
    let model = model::compile(plant);
    let layout = observe::Layout::new(&model);
    let stop = AtomicBool::new(false);
    let experiment = replicate::many(&model, &layout, count, &stop, &|_| {});
    Summary::new(&model, &layout, &experiment)
}
