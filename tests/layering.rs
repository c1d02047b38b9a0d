//! The layers of the source look one way, files stay short, and nothing but the shell knows the time.
//!
//! In: the text of every file under `sim/`. A lower layer that uses an upper one fails here with the
//! file and the line.

use std::fs;
use std::path::{Path, PathBuf};

/// Layers from the bottom up. Modules of one layer do not use each other, except as [`BESIDE`] allows.
const LAYERS: [&[&str]; 13] = [
    &["units"],
    &["stats", "random", "trade", "finance", "kernel"],
    &["plant"],
    &["scenario", "model", "record"],
    &["shop"],
    &["observe"],
    &["replicate"],
    &["summary"],
    &["steady"],
    &["compare"],
    &["certify"],
    &["explain", "report", "verify"],
    &["cli"],
];

/// Uses within a layer: none.
const BESIDE: [(&str, &str); 0] = [];

/// Most lines of a file.
const LINES_MAX: usize = 500;

/// The files under `sim/`, sorted.
fn files() -> Vec<PathBuf> {
    fn walk(folder: &Path, into: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, into);
            } else if path.extension().is_some_and(|e| e == "rs") {
                into.push(path);
            }
        }
    }
    let mut all = Vec::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("sim"), &mut all);
    all.sort();
    all
}

/// The module of a file, `None` for the roots `lib.rs` and `main.rs`.
fn module(file: &Path) -> Option<String> {
    let within = file
        .strip_prefix(Path::new(env!("CARGO_MANIFEST_DIR")).join("sim"))
        .unwrap();
    let first = within
        .components()
        .next()?
        .as_os_str()
        .to_str()?
        .trim_end_matches(".rs")
        .to_string();
    (!matches!(first.as_str(), "lib" | "main")).then_some(first)
}

fn layer(module: &str) -> Option<usize> {
    LAYERS.iter().position(|layer| layer.contains(&module))
}

/// The part of a line before a comment.
fn code(line: &str) -> &str {
    line.split("//").next().unwrap_or(line)
}

/// Modules of the crate that a line names.
fn named(line: &str) -> Vec<String> {
    let after = code(line).split("crate::").skip(1);
    after
        .map(|rest| {
            rest.chars()
                .take_while(|c| c.is_ascii_alphanumeric() || *c == '_')
                .collect::<String>()
        })
        .filter(|name| name.chars().next().is_some_and(|c| c.is_ascii_lowercase()))
        .collect()
}

/// What one module's line does wrong, if anything.
fn complaint(user: &str, line: &str) -> Option<String> {
    if code(line).contains("crate::{") {
        return Some("a group of modules in one `use`: write one line for each".to_string());
    }
    // In a test at the foot of a file the layers hold as well.
    named(line)
        .into_iter()
        .filter(|used| used != user)
        .find_map(|used| {
            let (from, to) = (layer(user)?, layer(&used));
            match to {
                None => Some(format!("`{used}` stands in no layer")),
                Some(to) if to < from || BESIDE.contains(&(user, used.as_str())) => None,
                Some(_) => Some(format!("`{user}` must not use `{used}`")),
            }
        })
}

#[test]
fn lower_layers_never_use_upper_ones() {
    let mut wrong = Vec::new();
    for file in files() {
        let Some(user) = module(&file) else { continue };
        assert!(
            layer(&user).is_some(),
            "module `{user}` stands in no layer of the table"
        );
        for (number, line) in fs::read_to_string(&file).unwrap().lines().enumerate() {
            if let Some(text) = complaint(&user, line) {
                wrong.push(format!("{}:{}: {text}", file.display(), number + 1));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn the_check_sees_what_it_should() {
    assert!(complaint("units", "use crate::trade::Format;").is_some());
    assert!(complaint("random", "    let x = crate::shop::Shop::new();").is_some());
    assert!(complaint("shop", "use crate::{model, plant};").is_some());
    assert!(complaint("explain", "use crate::report::text;").is_some());
    assert!(complaint("plant", "use crate::nowhere::X;").is_some());
    assert!(complaint("shop", "use crate::model::Model;").is_none());
    assert!(complaint("plant", "//! what [`crate::scenario`] checked").is_none());
}

#[test]
fn files_stay_short() {
    let long: Vec<String> = files()
        .iter()
        .map(|file| (file, fs::read_to_string(file).unwrap().lines().count()))
        .filter(|(_, lines)| *lines > LINES_MAX)
        .map(|(file, lines)| format!("{}: {lines} lines", file.display()))
        .collect();
    assert!(
        long.is_empty(),
        "more than {LINES_MAX} lines:\n{}",
        long.join("\n")
    );
}

/// What makes a file of the floor hard to read: functions that do not fit a screen, records full of flags, answers that
/// are missing in two ways. Told by the layout that rustfmt gives.
fn unreadable(text: &str) -> Vec<String> {
    let lines: Vec<&str> = text.lines().collect();
    let mut wrong = Vec::new();
    for (number, line) in lines.iter().enumerate() {
        let indent = line.len() - line.trim_start().len();
        let words: Vec<&str> = line.split_whitespace().collect();
        let end = format!("{}}}", " ".repeat(indent));
        let body = lines[number..].iter().take_while(|l| **l != end);
        if words.contains(&"fn") && line.contains('(') && !line.trim_start().starts_with("//") {
            let length = body.count() + 1;
            if length > FUNCTION_MAX {
                wrong.push(format!("{}: {length} lines", line.trim()));
            }
        } else if words.contains(&"struct") && line.ends_with('{') {
            let flags = body.filter(|l| l.trim_end().ends_with(": bool,")).count();
            if flags > FLAGS_MAX {
                wrong.push(format!("{}: {flags} flags", line.trim()));
            }
        }
        if line.contains("Option<Option<") {
            wrong.push(format!("{}: missing in two ways", line.trim()));
        }
    }
    wrong
}

/// Most lines of a function of the floor, and most flags of one of its records.
const FUNCTION_MAX: usize = 80;
const FLAGS_MAX: usize = 3;

#[test]
fn the_floor_can_be_read() {
    let mut wrong = Vec::new();
    for file in files() {
        if module(&file).is_some_and(|module| module == "shop") {
            let found = unreadable(&fs::read_to_string(&file).unwrap());
            wrong.extend(found.iter().map(|w| format!("{}: {w}", file.display())));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    // The scan sees what it should.
    let long = format!("    fn f() {{\n{}    }}\n", "        x();\n".repeat(79));
    assert_eq!(unreadable(&long).len(), 1);
    let flags = format!("struct S {{\n{}}}\n", "    a: bool,\n".repeat(4));
    assert_eq!(unreadable(&flags).len(), 1);
    assert_eq!(unreadable("x: Option<Option<u8>>,").len(), 1);
}

/// Hash maps have no order and a wall clock is never the same twice: with either, the same scenario and
/// seed would not give the same bytes.
#[test]
fn nothing_but_the_shell_knows_the_time_or_hashes() {
    let mut wrong = Vec::new();
    for file in files()
        .iter()
        .filter(|file| module(file).is_some_and(|module| module != "cli"))
    {
        for (number, line) in fs::read_to_string(file).unwrap().lines().enumerate() {
            for word in ["HashMap", "HashSet", "SystemTime::now", "Instant::now"] {
                if code(line).contains(word) {
                    wrong.push(format!("{}:{}: {word}", file.display(), number + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Only the shell reads, writes, prints, or starts threads; replications run on the threads it gives.
#[test]
fn nothing_but_the_shell_touches_the_world() {
    let mut wrong = Vec::new();
    for file in files()
        .iter()
        .filter(|file| module(file).is_some_and(|module| module != "cli"))
    {
        let text = fs::read_to_string(file).unwrap();
        // Tests at the foot of a file may print and read.
        let text = text.split("#[cfg(test)]").next().unwrap_or("");
        if file.ends_with("tests.rs") {
            continue;
        }
        for (number, line) in text.lines().enumerate() {
            for word in [
                "println!",
                "print!(",
                "eprint",
                "std::fs",
                "std::env",
                "std::process",
                "std::thread",
                "dbg!",
            ] {
                if code(line).contains(word) {
                    wrong.push(format!("{}:{}: {word}", file.display(), number + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}
