//! `sweep`: a cell over the values of one or several settings.
//!
//! In: a scenario and settings with their values. Out: a table on stdout, a results folder. A point that is
//! in the folder already, from the same scenario, seed, replications and version, is not run again.

use std::fs;
use std::path::Path;
use std::sync::atomic::Ordering;

use crate::compare::alarm::is_enough;
use crate::compare::{Case, CaseRun, Comparison, Headline, Runs, headlines};
use crate::model;
use crate::replicate::Growth;
use crate::report::sweep::{self as report, Identity, Point, Sweep, Told};

use super::super::args::Sweep as Asked;
use super::super::ask;
use super::super::console;
use super::super::deliver::{Delivery, deliver};
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::load_study;
use super::super::variant;
use super::super::write::{Place, folder_and_beside, folder_of};
use super::many::{self, SKEWED_MOST, Workers};

/// Most points of a sweep.
const POINTS_MAX: usize = 2_000;

/// Sweeps.
///
/// # Errors
/// As [`load_study`]; [`Exit::Usage`] where settings cannot be made.
pub fn sweep(asked: &Asked) -> Result<Exit, Failure> {
    let many = &asked.many;
    let settings: Vec<(String, Vec<String>)> = asked
        .set
        .iter()
        .map(|text| setting(text))
        .collect::<Result<_, _>>()?;
    let file = load_study(&many.file, many.quiet)?;
    let study = &file.study;
    let plan = many::plan(many, &file);
    let variant = match &asked.variant {
        None => 0,
        Some(name) => variant::place(study, name)?,
    };
    let grid = grid(&settings);
    if grid.len() > POINTS_MAX {
        return Err(Failure::new(
            Exit::Usage,
            format!(
                "error: these are {} points\nhelp: at most {POINTS_MAX}; name fewer values",
                grid.len()
            ),
        ));
    }
    // Every point is checked before the first one runs.
    let mut plants = Vec::new();
    for point in &grid {
        let plant = study.with_settings(variant, point).map_err(|report| {
            let text = report.render(console::colour(), console::columns());
            Failure::new(Exit::Usage, text)
        })?;
        plants.push(many::planned(&plant, plan));
    }
    let identity = Identity {
        sha256: many::fingerprint(&file),
        version: env!("CARGO_PKG_VERSION").to_string(),
        seed: plan.seed,
        replications: plan.replications,
        at_most: ask::at_most(
            asked.at_most,
            many.replications,
            plan.replications,
            SKEWED_MOST,
        ),
        variant: study.variants[variant].name.clone(),
    };
    let folder = many
        .out
        .clone()
        .unwrap_or_else(|| folder_of(&many.file, "sweep", plan.seed));
    let earlier = match many.no_files || many.replace {
        true => Vec::new(),
        false => finished_before(&folder, &identity),
    };
    let place = match many.no_files {
        true => None,
        false => Some(Place::new(folder, many.replace || !earlier.is_empty())?),
    };
    let stop = interrupt::flag();
    let base = model::compile(many::planned(&study.base.plant, plan));
    let headlines = headlines(&base);
    let workers = Workers::new(many)?;
    let mut points: Vec<Option<Point>> = grid
        .iter()
        .map(|settings| {
            earlier
                .iter()
                .find(|point| point.settings == *settings)
                .cloned()
        })
        .collect();
    let reused = points.iter().flatten().count();
    let missing: Vec<usize> = (0..grid.len()).filter(|&i| points[i].is_none()).collect();
    let counts = ([plan.replications, identity.at_most], Growth::Half);
    // One point after the other: how many replications it has is its own affair.
    for i in missing {
        let case = [Case::new(model::compile(plants[i].clone()))];
        let runs = workers.until(&case, &headlines, counts, &is_enough, &stop);
        if stop.load(Ordering::Relaxed) {
            break;
        }
        points[i] = Some(point(&grid[i], &case[0], &runs[0], &headlines));
    }
    workers.done();
    let (asked_for, done) = (grid.len(), points.iter().flatten().count());
    let mut all: Vec<Point> = points.into_iter().flatten().collect();
    if done == 0 {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before the first point was done: there are no results.",
        ));
    }
    let said: Vec<String> = asked
        .set
        .iter()
        .map(|text| format!("--set \"{text}\""))
        .collect();
    let provenance = many::provenance(many, &file, &said);
    let paths: Vec<String> = settings.into_iter().map(|(path, _)| path).collect();
    let shown = all.len();
    // Points of an earlier, wider sweep stay in the folder.
    all.extend(
        earlier
            .into_iter()
            .filter(|point| !grid.contains(&point.settings)),
    );
    let told = Sweep {
        title: &study.name,
        identity: &identity,
        provenance: &provenance,
        paths: &paths,
        points: &all[..shown],
        others: &all[shown..],
        asked: asked_for,
        plant: &base.plant,
    };
    let delivery = Delivery {
        text: &report::text(&told),
        place,
        complete: done >= asked_for,
        more: format!(" ({reused} of {asked_for} points were there already)"),
        quiet: many.quiet,
    };
    deliver(delivery, || {
        let mut files = report::files(&told);
        files.extend(many::inputs(&file));
        files
    })?;
    if done < asked_for {
        console::say(&format!(
            "Interrupted: {done} of {asked_for} points are in these results. The same command again goes on from there."
        ));
        return Ok(Exit::Partial);
    }
    Ok(Exit::Done)
}

/// The points of the same sweep that are in the folder, or beside it where an interrupted one had to go. A folder that
/// anybody has changed is not believed.
fn finished_before(folder: &Path, identity: &Identity) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::new();
    for at in folder_and_beside(folder) {
        let text = fs::read(at.join("sweep.json"));
        let found = text
            .ok()
            .and_then(|bytes| report::finished(&bytes, identity));
        for point in found.unwrap_or_default() {
            if !points.iter().any(|known| known.settings == point.settings) {
                points.push(point);
            }
        }
    }
    points
}

/// What a run says at a point.
fn point(
    settings: &[(String, String)],
    case: &Case,
    run: &CaseRun,
    headlines: &[Headline],
) -> Point {
    let (cases, runs) = (std::slice::from_ref(case), std::slice::from_ref(run));
    let compared = Comparison::new(&Runs {
        variants: vec![String::new()],
        demands: vec![1.0],
        cases,
        runs,
        headlines: headlines.to_vec(),
        asked: run.experiment.asked,
    });
    let result = &compared.cases[0][0];
    Point {
        settings: settings.to_vec(),
        standing: result.standing.key().to_string(),
        bottleneck: result.bottleneck.clone(),
        replications: run.experiment.done,
        figures: headlines
            .iter()
            .zip(&result.figures)
            .map(|(headline, figure)| Told {
                key: headline.key.clone(),
                label: headline.label.clone(),
                unit: headline.unit.to_string(),
                decides: headline.decides,
                value: figure.as_ref().ok().map(|e| [e.mean, e.low, e.high]),
                unknown: figure.as_ref().err().map(|why| why.words().to_string()),
            })
            .collect(),
    }
}

/// All combinations, the last setting fastest.
fn grid(settings: &[(String, Vec<String>)]) -> Vec<Vec<(String, String)>> {
    let mut all: Vec<Vec<(String, String)>> = vec![Vec::new()];
    for (path, values) in settings {
        all = all
            .into_iter()
            .flat_map(|front| {
                values.iter().map(move |value| {
                    let mut point = front.clone();
                    point.push((path.clone(), value.clone()));
                    point
                })
            })
            .take(POINTS_MAX + 1)
            .collect();
    }
    all
}

/// `path=a|b|c`, `path=a, b, c` or `path=0.8..1.4 step 0.1`; of `demand` plain numbers are factors.
fn setting(text: &str) -> Result<(String, Vec<String>), Failure> {
    let refuse = |why: &str| {
        Failure::new(
            Exit::Usage,
            format!(
                "error: `--set {text}` {why}\nhelp: write a path and its values, such as demand=0.9..1.3 step 0.1 or \
                 stations.pouching.machines.pouch_machine.count=1,2; values with commas in them are parted by |"
            ),
        )
    };
    let (path, values) = text.split_once('=').ok_or_else(|| refuse("has no `=`"))?;
    let (path, values) = (path.trim(), values.trim());
    let mut list: Vec<String> = match range(values) {
        Some(Ok(values)) => values,
        Some(Err(why)) => return Err(refuse(&why)),
        None => {
            let by = if values.contains('|') { '|' } else { ',' };
            values
                .split(by)
                .map(|value| value.trim().to_string())
                .collect()
        }
    };
    if matches!(path, "run.seed" | "run.replications") {
        let option = match path {
            "run.seed" => "--seed",
            _ => "--replications",
        };
        return Err(Failure::new(
            Exit::Usage,
            format!(
                "error: `--set {text}` changes what all points must share\nhelp: {option} sets it for all of them"
            ),
        ));
    }
    if path.is_empty() || list.iter().any(String::is_empty) {
        return Err(refuse("names nothing in one place"));
    }
    if path == "demand" {
        for value in &mut list {
            if value.parse::<f64>().is_ok() {
                *value = format!("x {value}");
            }
        }
    }
    for (index, value) in list.iter().enumerate() {
        if list[..index].contains(value) {
            return Err(refuse("names a value twice"));
        }
    }
    Ok((path.to_string(), list))
}

/// `0.8..1.4 step 0.1`, `20..40 m/min step 5`; `None` where it is no range.
fn range(text: &str) -> Option<Result<Vec<String>, String>> {
    let Some((from, rest)) = text.split_once("..") else {
        let (from, to) = text.split_once('-')?;
        let numbers: (f64, f64) = (from.trim().parse().ok()?, to.trim().parse().ok()?);
        return Some(Err(format!(
            "has a range with `-`: write `{}..{} step {}`",
            numbers.0,
            numbers.1,
            step_like(numbers.0, numbers.1)
        )));
    };
    let (to, step) = match rest.split_once(" step ") {
        Some(parts) => parts,
        None => return Some(Err("has a range without a step".to_string())),
    };
    let from: f64 = from.trim().parse().ok()?;
    let to = to.trim();
    let end = to
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(to.len());
    let (to, unit) = to.split_at(end);
    let (Ok(to), Ok(step)) = (to.parse::<f64>(), step.trim().parse::<f64>()) else {
        return Some(Err("has a range that cannot be read".to_string()));
    };
    if from > to {
        return Some(Err(format!(
            "has a range that runs backwards: write `{to}..{from}{unit} step {step}`"
        )));
    }
    if step.is_nan() || step <= 0.0 {
        return Some(Err("has a step that is not above 0".to_string()));
    }
    if (to - from) / step >= POINTS_MAX as f64 {
        return Some(Err(format!(
            "has too small a step: {:.0} values, at most {POINTS_MAX}",
            (to - from) / step + 1.0
        )));
    }
    // Counted, not added up, so that the last value is met.
    let count = ((to - from) / step + 1e-9).floor() as usize;
    Some(Ok((0..=count)
        .map(|i| {
            let value = from + step * i as f64;
            format!("{}{unit}", (value * 1e9).round() / 1e9)
        })
        .collect()))
}

/// A step that makes some five values of a range.
fn step_like(from: f64, to: f64) -> f64 {
    let width = (to - from).abs();
    match width > 0.0 {
        true => 10f64.powf((width / 2.0).log10().floor()),
        false => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_lists_or_ranges() {
        let values = |text: &str| {
            setting(text)
                .map(|s| s.1)
                .map_err(|f| f.message().to_string())
        };
        assert_eq!(
            values("demand=0.9..1.1 step 0.1").unwrap(),
            ["x 0.9", "x 1", "x 1.1"]
        );
        assert_eq!(
            values("a.b=20..30 m/min step 5").unwrap(),
            ["20 m/min", "25 m/min", "30 m/min"]
        );
        assert_eq!(values("a=1, 2").unwrap(), ["1", "2"]);
        assert_eq!(
            values("a=exponential, mean 8 h | exponential, mean 9 h")
                .unwrap()
                .len(),
            2
        );
        for bad in ["a", "=1", "a=1,,2", "a=1..3", "a=1..3 step 0", "a=1,1"] {
            assert!(values(bad).unwrap_err().contains("--set"), "{bad}");
        }
        for (bad, says) in [
            ("demand=0.8-1.2", "write `0.8..1.2 step 0.1`"),
            ("a=3..1 m step 1", "runs backwards: write `1..3 m step 1`"),
            ("a=1..3 step 0", "not above 0"),
            ("a=1..3 step 0.00001", "too small a step"),
            ("run.seed=1,2", "--seed sets it"),
            ("run.replications=5", "--replications sets it"),
        ] {
            assert!(values(bad).unwrap_err().contains(says), "{bad}");
        }
        let two = [
            ("a".to_string(), vec!["1".to_string(), "2".to_string()]),
            ("b".to_string(), vec!["x".to_string(), "y".to_string()]),
        ];
        assert_eq!(grid(&two).len(), 4);
        assert_eq!(grid(&two)[1][1].1, "y");
    }
}
