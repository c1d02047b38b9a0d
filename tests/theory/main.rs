//! The engine against queueing theory, hand simulations and schedules, through scenario files.
//!
//! In: the table of checks of the library (`pouchcast::verify`), each with a twin that must fail, and runs
//! without chance that need more than a scenario file (`traces`). Out: passes; `docs/verification.md`, which
//! is compared with the fresh results byte for byte.
//!
//! `REWRITE_DOCS=1 cargo test --release --test theory` writes the page anew; read the difference before
//! committing it.

mod traces;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::time::Instant;

use pouchcast::verify::{self, COMPARISONS, Judged, Verdict};

/// At least so many published or reference values.
const VALUES_AT_LEAST: usize = 400;

#[test]
fn every_published_value_is_reproduced_and_the_page_says_so() {
    let checks = verify::checks();
    let values: usize = checks.iter().map(|c| c.claims.len()).sum();
    let references = verify::references();
    assert!(values + references.len() >= VALUES_AT_LEAST);
    // The chance of a false alarm is shared out over at least as many values as there are.
    assert!(COMPARISONS >= values as f64);
    let names: BTreeSet<&str> = checks.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names.len(), checks.len(), "names are unique");

    let mut wrong = String::new();
    let judged: Vec<Judged> = checks
        .into_iter()
        .filter_map(|check| {
            let (name, began) = (check.name.clone(), Instant::now());
            let judged = verify::judge(check, true)
                .map_err(|message| wrong += &format!("{name}: {message}\n"))
                .ok();
            // Shown with --nocapture: where the time goes.
            println!("{:6.2} s  {name}", began.elapsed().as_secs_f64());
            judged
        })
        .collect();
    for check in &judged {
        for line in check.lines.iter().filter(|l| l.verdict != Verdict::Holds) {
            wrong += &format!("{}: {line:?}\n", check.check.name);
        }
    }
    for reference in references.iter().filter(|r| !r.holds()) {
        wrong += &format!("{reference:?}\n");
    }
    let page = verify::page(&judged, &references);
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/verification.md");
    if std::env::var_os("REWRITE_DOCS").is_some() {
        fs::write(&file, &page).unwrap();
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(
        fs::read_to_string(&file).unwrap_or_default() == page,
        "docs/verification.md is out of date; run REWRITE_DOCS=1 cargo test --release --test theory, and read the difference"
    );
}
