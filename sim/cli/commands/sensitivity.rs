//! `sensitivity`: how much each setting moves a figure.
//!
//! In: a scenario, how far its settings are moved. Out: the effects on stdout, the largest first, a results
//! folder, its name on stderr.

use crate::compare::{Case, Comparison, Headline, Runs, headlines};
use crate::model;
use crate::report::sensitivity::{self as report, Moved, View};
use crate::report::words::clean;
use crate::scenario::{Lever, Side};
use crate::units::{Reader, percent};

use super::super::args::Sensitivity;
use super::super::console;
use super::super::deliver::{Delivery, deliver};
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::load_study;
use super::super::variant;
use super::many::{self, Workers};

/// Figures that are shown beside the one asked for, where the scenario has them.
const BESIDE: [&str; 3] = ["lead_done/all/p90", "on_time/all", "money/result"];

fn usage(text: String) -> Failure {
    Failure::new(Exit::Usage, text)
}

/// Moves one setting after the other.
///
/// # Errors
/// As [`load_study`]; [`Exit::Usage`] where the question cannot be asked, [`Exit::Output`] where results cannot be
/// written.
pub fn sensitivity(asked: &Sensitivity) -> Result<Exit, Failure> {
    let many = &asked.many;
    let file = load_study(&many.file, many.quiet)?;
    let study = &file.study;
    let plan = many::plan(many, &file);
    let variant = match &asked.variant {
        None => 0,
        Some(name) => variant::place(study, name)?,
    };
    let today = study
        .with_settings(variant, &[])
        .map_err(|report| usage(report.render(console::colour(), console::columns())))?;
    let base = model::compile(many::planned(&today, plan));
    let all = headlines(&base);
    let headlines = shown(&asked.by, &all)?;
    let levers = match asked.set.is_empty() {
        true => study.levers(variant, asked.range),
        false => asked
            .set
            .iter()
            .map(|text| lever(text, asked.range))
            .collect::<Result<_, _>>()?,
    };
    let mut cases = vec![Case::new(base)];
    let (mut moved, mut left_out) = (Vec::new(), Vec::new());
    for lever in &levers {
        let mut told = Moved {
            name: clean(&lever.name),
            sides: [None, None],
        };
        for (side, place) in lever.sides.iter().zip(&mut told.sides) {
            let Some(side) = side else { continue };
            match study.with_settings(variant, &side.settings) {
                Ok(plant) => {
                    *place = Some((side.clone(), cases.len()));
                    let model = model::compile(many::planned(&plant, plan));
                    let case = Case::new(model);
                    cases.push(case);
                }
                // What the caller named is a mistake of theirs; what the program thought of is left out.
                Err(report) if !asked.set.is_empty() => {
                    return Err(usage(report.render(console::colour(), console::columns())));
                }
                Err(report) => {
                    let why = report.problems.first().map(|p| p.problem.message.clone());
                    let why = clean(&why.unwrap_or_default());
                    left_out.push(format!("{} {} ({why})", told.name, side.words));
                }
            }
        }
        if told.sides.iter().any(Option::is_some) {
            moved.push(told);
        }
    }
    if moved.is_empty() {
        return Err(usage(format!(
            "error: there is nothing in `{}` that can be moved\nhelp: name a setting: --set PATH, or --set \"PATH=LOW|HIGH\"",
            file.name
        )));
    }
    let place = many::place(many, "sensitivity", plan)?;
    let stop = interrupt::flag();
    let workers = Workers::new(many)?;
    let runs = workers.run(&cases, &headlines, plan.replications, &stop);
    workers.done();
    let comparison = Comparison::new(&Runs {
        variants: vec![String::new(); cases.len()],
        demands: vec![1.0],
        cases: &cases,
        runs: &runs,
        headlines: headlines.clone(),
        asked: plan.replications,
    });
    if comparison.done == 0 {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before every side had one replication: there are no results.",
        ));
    }
    let provenance = many::provenance(many, &file, &said(asked));
    let plant = &cases[0].model.plant;
    let view = View {
        comparison: &comparison,
        provenance: &provenance,
        plant,
        reader: match plant.reader.inch {
            true => Reader::Inch,
            false => Reader::Metric,
        },
        title: clean(&study.name),
        cell: clean(&study.variants[variant].name),
        currency: clean(&plant.reader.currency),
        share: asked.range,
        moved,
        left_out,
        figures: (0..headlines.len()).collect(),
    };
    let delivery = Delivery {
        text: &report::text(&view),
        place,
        complete: comparison.done >= comparison.asked,
        more: String::new(),
        quiet: many.quiet,
    };
    deliver(delivery, || {
        let mut files = report::files(&view);
        files.extend(many::inputs(&file));
        files
    })?;
    if comparison.done < comparison.asked {
        console::say(&format!(
            "Interrupted: {} of {} replications of each side are in these results, which are marked partial.",
            comparison.done, comparison.asked
        ));
        return Ok(Exit::Partial);
    }
    Ok(Exit::Done)
}

/// The figure asked for, then those that are of interest anyway.
fn shown(by: &str, all: &[Headline]) -> Result<Vec<Headline>, Failure> {
    let find = |key: &str| all.iter().find(|headline| headline.key == key).cloned();
    let Some(first) = find(by) else {
        let keys: Vec<&str> = all.iter().map(|headline| headline.key.as_str()).collect();
        return Err(usage(format!(
            "error: there is no figure `{by}`\nhelp: there is {}",
            keys.join(", ")
        )));
    };
    let mut shown = vec![first];
    shown.extend(BESIDE.into_iter().filter(|&key| key != by).filter_map(find));
    Ok(shown)
}

/// `PATH`, or `PATH=LOW|HIGH`.
fn lever(text: &str, share: f64) -> Result<Lever, Failure> {
    let Some((path, values)) = text.split_once('=') else {
        let path = text.trim();
        return Ok(Lever::scaling(path, &[path.to_owned()], share));
    };
    let path = path.trim();
    let values: Vec<&str> = values.split('|').map(str::trim).collect();
    match values.as_slice() {
        [low, high] if !path.is_empty() && !low.is_empty() && !high.is_empty() => {
            let side = |value: &str| {
                Some(Side {
                    words: value.to_owned(),
                    settings: vec![(path.to_owned(), value.to_owned())],
                })
            };
            Ok(Lever {
                name: path.to_owned(),
                sides: [side(low), side(high)],
            })
        }
        _ => Err(usage(format!(
            "error: `--set {text}` does not name two values\nhelp: write a path and its low and high value, such as \
             \"people.operators.absence=0 %|8 %\", or a path alone to move it by the range"
        ))),
    }
}

/// What the command line adds to the scenario.
fn said(asked: &Sensitivity) -> Vec<String> {
    let mut said = Vec::new();
    if asked.range != 0.1 {
        said.push(format!("--range {}", percent(asked.range)));
    }
    said.push(format!("--by {}", asked.by));
    said.extend(asked.set.iter().map(|text| format!("--set \"{text}\"")));
    said.extend(
        asked
            .variant
            .iter()
            .map(|name| format!("--variant \"{name}\"")),
    );
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_paths_or_two_values() {
        let told = lever("a.b", 0.2).unwrap_or_else(|why| panic!("{}", why.message()));
        assert_eq!(told, Lever::scaling("a.b", &["a.b".to_owned()], 0.2));
        let told = lever("a.b= 1 | 3", 0.2).unwrap_or_else(|why| panic!("{}", why.message()));
        let words = told.sides.map(|side| side.map(|s| s.settings[0].1.clone()));
        assert_eq!(words, [Some("1".to_owned()), Some("3".to_owned())]);
        for bad in ["a=1", "a=1|2|3", "=1|2", "a=|2"] {
            assert!(lever(bad, 0.1).is_err(), "{bad}");
        }
    }
}
