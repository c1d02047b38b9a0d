//! One cell, two programs: `cell.yaml` here, `cell.py` with a general-purpose simulation library.
//!
//! In: `results.json`, which `cell.py` wrote (its seed, replications and versions stand in it; `.ci/run` runs
//! the script again and compares), and fresh replications of `cell.yaml`. Out: agreement of throughput,
//! utilisations and lead times within what chance allows on both sides; and a twin of the cell that is told
//! from it. The programs share no code and no draws.

#[path = "../common/mod.rs"]
mod common;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use pouchcast::stats::{bonferroni, t_quantile};
use pouchcast::summary::Summary;

use common::summary_of as ours;

/// Mean and standard deviation over replications.
#[derive(Clone, Copy)]
struct Seen {
    mean: f64,
    sd: f64,
    n: f64,
}

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/crosscheck")
}

/// What the other program saw, by key.
fn theirs() -> BTreeMap<String, Seen> {
    let text = fs::read_to_string(folder().join("results.json")).unwrap();
    let all: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(all["simpy"], "4.1.2", "as in requirements.txt");
    let n = all["replications"].as_f64().unwrap();
    assert!(n >= 30.0);
    let figures = all["figures"].as_object().unwrap();
    figures
        .iter()
        .map(|(key, value)| {
            let number = |name: &str| value[name].as_f64().unwrap();
            let seen = Seen {
                mean: number("mean"),
                sd: number("sd"),
                n,
            };
            (key.clone(), seen)
        })
        .collect()
}

/// Largest half of a 95 % interval, relative.
const NARROW: f64 = 0.03;

/// What is complained of.
#[derive(PartialEq)]
enum Apart {
    /// Only what differs.
    Only,
    /// Also what is not known well enough to tell.
    OrVague,
}

/// Figures that differ by more than chance allows; all together may do so by chance once in a hundred times
/// (Bonferroni; both seeds are fixed, so the outcome is always the same).
fn differing(summary: &Summary, theirs: &BTreeMap<String, Seen>, apart: Apart) -> Vec<String> {
    let p = 0.5 + 0.5 * bonferroni(0.99, theirs.len());
    let mut out = Vec::new();
    for (key, there) in theirs {
        let found = summary
            .get(key)
            .unwrap_or_else(|| panic!("no figure {key}"));
        let here = Seen {
            mean: found.mean,
            sd: found.sd,
            n: f64::from(found.n),
        };
        let error = (here.sd.powi(2) / here.n + there.sd.powi(2) / there.n).sqrt();
        // Degrees of freedom of the smaller side: a little wider than Welch's.
        let allowed = t_quantile(p, here.n.min(there.n) - 1.0) * error;
        let line = format!(
            "{key}: {:.4} here, {:.4} there, {:.1} standard errors apart",
            here.mean,
            there.mean,
            (here.mean - there.mean) / error
        );
        println!("{line}");
        // Agreement within wide intervals would say nothing.
        let half = |seen: Seen| t_quantile(0.975, seen.n - 1.0) * seen.sd / seen.n.sqrt();
        let widest = half(here).max(half(*there)) / there.mean;
        if widest > NARROW && apart == Apart::OrVague {
            out.push(format!("known only to {:.1} %: {line}", 100.0 * widest));
        }
        if (here.mean - there.mean).abs() > allowed {
            out.push(line);
        }
    }
    out
}

#[test]
fn two_programs_agree_on_one_cell() {
    let (text, theirs) = (
        fs::read_to_string(folder().join("cell.yaml")).unwrap(),
        theirs(),
    );
    assert!(theirs.len() >= 12);
    let apart = differing(&ours(&text), &theirs, Apart::OrVague);
    assert!(apart.is_empty(), "\n{}", apart.join("\n"));

    // One number 5 to 10 % off in our cell, and the two are told apart.
    for (from, to) in [
        ("stand_up: 75 /min", "stand_up: 69 /min"),
        ("thermal: 30 m/min", "thermal: 27.5 m/min"),
        (
            "slit_after: 24 h\n    pouch_after: 48 h\n    ship_after: 72 h",
            "slit_after: 24 h\n    pouch_after: 52 h\n    ship_after: 76 h",
        ),
        (
            "\"uniform, from 6 min, to 14 min\"",
            "\"uniform, from 7 min, to 15 min\"",
        ),
    ] {
        let twin = text.replacen(from, to, 1);
        assert_ne!(twin, text, "{from}");
        assert!(
            !differing(&ours(&twin), &theirs, Apart::Only).is_empty(),
            "{to} is not told from {from}"
        );
    }
}
