//! `choose`: the best of many line-ups, with a guarantee or for a fixed effort.
//!
//! In: a scenario with variants, a figure, the smallest difference that matters. Out: what was found on
//! stdout, a results folder, its name on stderr.

use crate::compare::cautions::cautions;
use crate::compare::choose::{FIRST_OF_EFFORT, Way, choose as look_for};
use crate::compare::{Better, Case, Headline, headlines, home};
use crate::model;
use crate::plant::Plant;
use crate::report::choose::{self as report, View};
use crate::scenario::Study;
use crate::stats::selection::Best;
use crate::units::{Dimension, Reader, parse_quantity};

use super::super::args::Choose;
use super::super::ask;
use super::super::console;
use super::super::deliver::{Delivery, deliver};
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::load_study;
use super::super::progress::Progress;
use super::many;

/// Most replications of a line-up where none are asked for.
const MOST: u32 = 2000;

fn usage(text: String) -> Failure {
    Failure::new(Exit::Usage, text)
}

/// Looks for the best.
///
/// # Errors
/// As [`load_study`]; [`Exit::Usage`] where there is nothing to choose from or the question cannot be asked;
/// [`Exit::Output`] where results cannot be written.
pub fn choose(asked: &Choose) -> Result<Exit, Failure> {
    let file = load_study(&asked.many.file, asked.many.quiet)?;
    let study = &file.study;
    if study.variants.len() < 2 {
        return Err(usage(format!(
            "error: `{}` has no variants: there is nothing to choose from\nhelp: add a block `variants:`",
            file.name
        )));
    }
    let plan = many::plan(&asked.many, &file);
    let usual = home(&study.demands);
    let demand = asked
        .demand
        .or_else(|| study.demands.get(usual).copied())
        .unwrap_or(1.0);
    let mut cases: Vec<Case> = Vec::new();
    for plant in plants(study, demand)? {
        let model = model::compile(many::planned(&plant, plan));
        cases.push(Case::new(model));
    }
    let headline = figure(&asked.by, &cases)?;
    let best = match headline.better {
        Better::Less => Best::Smallest,
        Better::More | Better::Neither => Best::Largest,
    };
    let way = way(asked, &headline, cases.len())?;
    let place = many::place(&asked.many, "choose", plan)?;
    let stop = interrupt::flag();
    let bar = Progress::open_ended(asked.many.quiet);
    let pool = ask::threads(asked.many.threads)?;
    let found = pool.install(|| look_for(&cases, &headline, best, way, &stop, &|| bar.done(1)));
    bar.end();
    let Some(chosen) = found else {
        return Err(usage("error: the question cannot be asked so\nhelp: --within above nothing, --sure from 50 to 99.9".to_owned()));
    };
    if chosen.effort == 0 {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before the first stage was done: there are no results.",
        ));
    }
    let mut said = vec![format!("--by {}", asked.by)];
    said.extend(
        asked
            .within
            .as_ref()
            .map(|within| format!("--within \"{within}\"")),
    );
    said.extend(asked.demand.map(|demand| format!("--demand {demand}")));
    said.extend(asked.effort.map(|effort| format!("--effort {effort}")));
    let provenance = many::provenance(&asked.many, &file, &said);
    let plants: Vec<&Plant> = cases.iter().map(|case| &case.model.plant).collect();
    let view = View {
        cautions: cautions(&plants),
        chosen: &chosen,
        headline: &headline,
        names: study.variants.iter().map(|v| v.name.clone()).collect(),
        title: study.name.clone(),
        demand,
        currency: study.base.plant.reader.currency.clone(),
        reader: match study.base.plant.reader.inch {
            true => Reader::Inch,
            false => Reader::Metric,
        },
        seed: plan.seed,
        plant: &study.base.plant,
        provenance: &provenance,
    };
    let delivery = Delivery {
        text: &report::text(&view),
        place,
        complete: !chosen.interrupted,
        more: String::new(),
        quiet: asked.many.quiet,
    };
    deliver(delivery, || {
        let mut files = report::files(&view);
        files.extend(many::inputs(&file));
        files
    })?;
    if chosen.interrupted {
        console::say("Interrupted: these results are marked partial, and decide nothing.");
        return Ok(Exit::Partial);
    }
    Ok(Exit::Done)
}

/// The variants at a demand: as the file has them where it is one of its cases, made anew otherwise.
fn plants(study: &Study, demand: f64) -> Result<Vec<Plant>, Failure> {
    let listed = study.demands.iter().position(|&known| known == demand);
    (0..study.variants.len())
        .map(|variant| {
            if let Some(plant) = listed.and_then(|d| study.variants[variant].plants.get(d)) {
                return Ok(plant.clone());
            }
            let setting = [("demand".to_owned(), format!("x {demand}"))];
            study
                .with_settings(variant, &setting)
                .map_err(|report| usage(report.render(console::colour(), console::columns())))
        })
        .collect()
}

/// The figure asked for, among those that have a better end.
fn figure(key: &str, cases: &[Case]) -> Result<Headline, Failure> {
    let Some(first) = cases.first() else {
        return Err(usage("error: there is no line-up".to_owned()));
    };
    let mut all = headlines(&first.model);
    all.retain(|headline| headline.better != Better::Neither);
    if let Some(found) = all.iter().find(|headline| headline.key == key) {
        return Ok(found.clone());
    }
    let keys: Vec<&str> = all.iter().map(|headline| headline.key.as_str()).collect();
    Err(usage(format!(
        "error: `{key}` is not a figure to choose by\nhelp: there is {}",
        keys.join(", ")
    )))
}

fn way(asked: &Choose, headline: &Headline, line_ups: usize) -> Result<Way, Failure> {
    if let Some(effort) = asked.effort {
        let least = FIRST_OF_EFFORT * line_ups as u64;
        if effort < least {
            return Err(usage(format!(
                "error: an effort of {effort} is too little for {line_ups} line-ups\nhelp: at least {least}: {FIRST_OF_EFFORT} replications of each"
            )));
        }
        return Ok(Way::Effort(effort));
    }
    let Some(within) = &asked.within else {
        return Err(usage(
            "error: how large a difference matters to you is not said\nhelp: --within \"2 h\" (or \"1 %\" for a share), or --effort N for a fixed effort".to_owned(),
        ));
    };
    let dimension = match headline.unit {
        "min" => Dimension::Duration,
        "share" => Dimension::Share,
        _ => Dimension::Count,
    };
    let zone = parse_quantity(within, dimension)
        .map_err(|error| usage(format!("error: --within: {error}")))?;
    if zone <= 0.0 {
        return Err(usage(
            "error: --within is nothing\nhelp: the smallest difference that matters to you"
                .to_owned(),
        ));
    }
    Ok(Way::Race {
        zone,
        confidence: asked.sure / 100.0,
        first: asked.first,
        most: asked.many.replications.unwrap_or(MOST),
    })
}
