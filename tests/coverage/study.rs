//! The study: intervals, differences and races, over all beds. It writes docs/verification/coverage.md.
//!
//! `YEARS`: replications of a pool; `RUNS`: runs that are drawn; `SECTIONS`: some of intervals, pairs, races, alone and
//! without writing; `BEDS`: cells of that name.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use pouchcast::certify::{Pool, SHIFTS, Study, choices, intervals, pairs};
use pouchcast::compare::choose::Way;
use pouchcast::compare::{Headline, headlines};
use pouchcast::stats::selection::Best;

use super::beds::{KEYS, file, line_ups, plant, pool, queue};

const HEAD: &str = "# How often intervals and verdicts hold\n
Written by `cargo test --release --test coverage -- --ignored`. The truth is that of a pool of replications that is run once; \
runs are drawn from it, and told by the program's own folding, intervals and verdicts. Levels are 95 %.\n";

const CELLS: [&str; 4] = [
    "tests/beds/owner.yaml",
    "tests/beds/planner.yaml",
    "scenarios/owner.yaml",
    "scenarios/planner.yaml",
];

/// The cells, or those that `BEDS` names a part of.
fn cells() -> impl Iterator<Item = &'static str> {
    let told = std::env::var("BEDS").unwrap_or_default();
    CELLS.into_iter().filter(move |path| path.contains(&told))
}

fn number(name: &str, otherwise: u32) -> u32 {
    let told = std::env::var(name).ok();
    told.and_then(|n| n.parse().ok()).unwrap_or(otherwise)
}

fn share(n: u32, of: u32) -> String {
    match of {
        0 => "–".to_owned(),
        of => format!("{:.1} %", 100.0 * f64::from(n) / f64::from(of)),
    }
}

#[test]
#[ignore = "a study of half an hour; see the head of the file"]
fn the_tables_of_coverage() {
    let (years, runs) = (number("YEARS", 8_000), number("RUNS", 2_000));
    let told = std::env::var("SECTIONS").unwrap_or_default();
    let wanted = |section: &str| told.is_empty() || told.contains(section);
    let mut page = String::from(HEAD);
    if wanted("intervals") {
        section_of_intervals(years, runs, &mut page);
    }
    if wanted("pairs") {
        section_of_pairs(years, runs, &mut page);
    }
    if wanted("races") {
        section_of_races(years, runs, &mut page);
    }
    println!("{page}");
    if told.is_empty() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/verification");
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("coverage.md"), &page).unwrap();
    }
}

fn section_of_intervals(years: u32, runs: u32, page: &mut String) {
    page.push_str(
        "\n## Intervals\n\n*Held*: of the intervals that are claimed with both ends, those that hold the truth. *Open*: runs in which an \
         end is not claimed. *Missed*: of all runs, truth below the lower end / above the upper one. *And on*: replications added by the \
         program itself.\n\n\
         | cell | replications | mean of them | figure | truth | held | open | missed |\n|---|---|---|---|---|---|---|---|\n",
    );
    let queues = [
        "orders/all",
        "lead_done/all/mean",
        "lead_done/all/p50",
        "lead_done/all/p90",
        "lead_done/all/p95",
    ];
    for load in [0.5, 0.9, 0.95] {
        let bed = pool(plant(&queue(load, 4000, 10_000)), years);
        rows(&bed, &format!("M/M/1 at {load}"), &queues, runs, page);
    }
    for path in cells() {
        let bed = pool(plant(&file(path)), years);
        rows(&bed, path, &KEYS, runs, page);
    }
}

fn rows(bed: &Pool, name: &str, keys: &[&str], runs: u32, page: &mut String) {
    let layout = &bed.case().layout;
    let places: Vec<usize> = keys.iter().filter_map(|key| layout.find(key)).collect();
    for (start, on) in [(20, false), (100, false), (20, true), (100, true)] {
        let most = if on {
            pouchcast::steady::SKEWED_MOST
        } else {
            start
        };
        let study = Study { runs, start, most };
        let told = intervals(bed, &places, study, &AtomicBool::new(false), &|| {}).unwrap();
        let kind = format!("{start}{}", if on { " and on" } else { "" });
        for figure in &told.figures {
            let c = figure.count;
            let _ = writeln!(
                page,
                "| {name} | {kind} | {:.0} | `{}` | {:.5} | {} | {} | {} / {} |",
                told.replications,
                layout.measures[figure.place].key,
                figure.truth,
                share(c.held, c.told),
                share(runs - c.told, runs),
                share(c.below, runs),
                share(c.above, runs),
            );
        }
        let _ = writeln!(
            page,
            "| {name} | {kind} | {:.0} | *every interval claimed* | | | {} | |",
            told.replications,
            share(runs - told.whole, runs),
        );
    }
}

/// Today and its variants as pools, at today's demand.
fn pools(path: &str, years: u32) -> Vec<(String, Pool)> {
    let all = line_ups(path).into_iter();
    all.map(|(name, plant)| (name, pool(plant, years)))
        .collect()
}

fn section_of_pairs(years: u32, runs: u32, page: &mut String) {
    page.push_str(
        "\n## Differences\n\nVariants against today under the same luck, one claim at a time. *Held*, *open*: as above. *Wrong* and *right*: what is \
         said where the truth is moved to so many standard errors from nothing, of all runs; the worse of both sides for what is wrong. *And on*: \
         replications added by the program itself.\n\n\
         | cell | variant | replications | mean of them | figure | held | open | wrong at 0.5 | at 1 | at 2 | right at 2 |\n|---|---|---|---|---|---|---|---|---|---|---|\n",
    );
    for path in cells() {
        let pools = pools(path, years);
        let today = &pools[0].1;
        let all = headlines(&today.case().model);
        for (name, change) in &pools[1..] {
            for (start, most) in [(5, 5), (20, 20), (50, 50), (100, 100), (20, 400)] {
                let study = Study { runs, start, most };
                let stop = AtomicBool::new(false);
                let (told, mean) = pairs((today, change), &all, study, &stop, &|| {}).unwrap();
                for pair in told.iter().filter(|pair| is_told(&pair.headline)) {
                    let c = pair.count;
                    let wrong = |shift: f64| {
                        let both = pair.signs.iter().zip(SHIFTS);
                        let at = both.filter(|(_, s)| s.abs() == shift).map(|(s, _)| s.wrong);
                        share(at.max().unwrap_or(0), runs)
                    };
                    let right = pair.signs[0].right.min(pair.signs[SHIFTS.len() - 1].right);
                    let _ = writeln!(
                        page,
                        "| {path} | {name} | {start}{} | {mean:.0} | `{}` | {} | {} | {} | {} | {} | {} |",
                        if most > start { " and on" } else { "" },
                        pair.headline.key,
                        share(c.held, c.told),
                        share(runs - c.told, runs),
                        wrong(0.5),
                        wrong(1.0),
                        wrong(2.0),
                        share(right, runs),
                    );
                }
            }
        }
    }
}

fn is_told(headline: &Headline) -> bool {
    let keys = ["yearly", "money/cost", "money/late", "cell/wip"];
    keys.contains(&headline.key.as_str())
        || headline.key.starts_with("on_time")
        || headline.key.starts_with("lead_done/all")
}

fn section_of_races(years: u32, runs: u32, page: &mut String) {
    page.push_str(
        "\n## Choosing\n\nRaces between today and its variants by the yearly result, 95 %. *Right*: of races that state their probability, those \
         that name one within the zone of the best.\n\n\
         | cell | zone | right | stated | named without | replications |\n|---|---|---|---|---|---|\n",
    );
    for path in cells() {
        let pools: Vec<Pool> = pools(path, years)
            .into_iter()
            .map(|(_, pool)| pool)
            .collect();
        let all = headlines(&pools[0].case().model);
        let by = all
            .iter()
            .find(|h| h.key == "money/result")
            .or(all.iter().find(|h| h.key == "money/cost"));
        let Some(by) = by else { continue };
        let best = if by.key == "money/cost" {
            Best::Smallest
        } else {
            Best::Largest
        };
        for zone in [1_000.0, 5_000.0, 20_000.0] {
            let way = Way::Race {
                zone,
                confidence: 0.95,
                first: 20,
                most: 1_000,
            };
            let runs = runs / 10;
            let stop = AtomicBool::new(false);
            let told = choices(&pools, by, best, (way, zone), runs, &stop, &|| {}).unwrap();
            let stated = told.right + told.wrong;
            let _ = writeln!(
                page,
                "| {path} | {zone:.0} | {} | {} | {} of {} | {:.0} |",
                share(told.right, stated),
                share(stated, runs),
                told.unstated[0],
                told.unstated[0] + told.unstated[1],
                told.effort,
            );
        }
    }
}
