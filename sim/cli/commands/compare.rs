//! `compare`: variants of a cell against today, over demand cases.
//!
//! In: a scenario with variants. Out: the comparison on stdout, a results folder, its name on stderr.

use crate::compare::{
    Case, CaseRun, Comparison, Runs, headlines, home, lifted, precise, rush, wanted_pairs,
};
use crate::model;
use crate::plant::{Plant, Precision};
use crate::replicate::Growth;
use crate::report::compare::{self as report, Description, View};
use crate::scenario::Study;
use crate::steady;
use crate::units::percent;

use super::super::args::Compare;
use super::super::ask;
use super::super::console;
use super::super::deliver::{Delivery, deliver};
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::load_study;
use super::super::variant;
use super::many::{self, SKEWED_MOST, Workers};
use super::promised::{Promise, Question};

/// Compares variants.
///
/// # Errors
/// As [`load_study`]; [`Exit::Usage`] where there is nothing to compare, [`Exit::Output`] where results
/// cannot be written.
pub fn compare(asked: &Compare) -> Result<Exit, Failure> {
    let many = &asked.many;
    let promise = Promise::read(&asked.promise, None)?;
    let mut file = load_study(&many.file, many.quiet)?;
    choose(&mut file.study, &asked.only)?;
    if file.study.variants.len() < 2 && file.study.demands.len() < 2 {
        return Err(Failure::new(
            Exit::Usage,
            format!(
                "error: `{}` has no variants and one demand case only: there is nothing to compare\n\
                 help: add a block `variants:` or `demands:`; `pouchcast keys variant` says what stands in them",
                file.name
            ),
        ));
    }
    let plan = many::plan(many, &file);
    let place = many::place(many, "compare", plan)?;
    let stop = interrupt::flag();
    let study = &file.study;
    let workers = Workers::new(many)?;
    let mut plants: Vec<_> = study
        .variants
        .iter()
        .flat_map(|variant| &variant.plants)
        .map(|plant| many::planned(plant, plan))
        .collect();
    workers.settle(&mut plants, &stop);
    let mut cases: Vec<Case> = Vec::new();
    for plant in plants {
        let model = model::compile(plant);
        let case = Case::new(model);
        cases.push(case);
    }
    let mut headlines = headlines(&cases[0].model);
    let demands = study.demands.len();
    let mut precision = study.base.plant.run.precision;
    if let Some(within) = asked.precision {
        let usual = precision.unwrap_or_else(|| Precision::usual(within));
        precision = Some(Precision { within, ..usual });
    }
    let precision = precision.map(|wanted| (wanted, precise::headline(&mut headlines, &wanted)));
    let headlines = headlines;
    let known = |runs: &[CaseRun]| {
        let (_, h) = precision?;
        precise::widest(&cases, runs, &headlines, h, demands)
    };
    let planned = plan.replications;
    let most = ask::at_most(asked.at_most, many.replications, planned, SKEWED_MOST);
    let runs = match precision {
        None => {
            let counts = ([plan.replications, most], Growth::Half);
            let enough = |runs: &[CaseRun]| {
                let done = runs.first().map_or(0, |run| run.experiment.done);
                u64::from(done) >= wanted_pairs(runs, demands)
            };
            workers.until(&cases, &headlines, counts, &enough, &stop)
        }
        Some((wanted, _)) => {
            let least = plan.replications.max(steady::PRECISION_LEAST);
            let most = wanted.at_most.max(plan.replications);
            let counts = ([least, most], Growth::By(steady::PRECISION_STEP));
            let enough =
                |runs: &[CaseRun]| known(runs).is_none_or(|widest| widest <= wanted.within);
            workers.until(&cases, &headlines, counts, &enough, &stop)
        }
    };
    let all = Runs {
        variants: study
            .variants
            .iter()
            .map(|variant| variant.name.clone())
            .collect(),
        demands: study.demands.clone(),
        cases: &cases,
        runs: &runs,
        headlines: headlines.clone(),
        asked: runs
            .first()
            .map_or(plan.replications, |run| run.experiment.asked),
    };
    let mut comparison = Comparison::new(&all);
    if comparison.done == 0 {
        workers.done();
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before every case had one replication: there are no results.",
        ));
    }
    // What limits next: today once more, with its bottleneck there twice.
    let today = home(&comparison.demands);
    let station = comparison.cases[0][today].summary.bottleneck.station;
    let doubled = Case::new(model::compile(lifted(&cases[today].model.plant, station)));
    let doubled = [doubled];
    let again = workers.run(&doubled, &headlines, comparison.done, &stop);
    // What rush orders cost: the same orders, all taken as standard ones, at every demand case.
    let plants: Vec<&Plant> = cases.iter().map(|case| &case.model.plant).collect();
    if let Some(question) = rush::question(&plants) {
        let calm: Vec<Case> = cases[..demands]
            .iter()
            .filter(|case| case.model.plant.money.is_some())
            .map(|case| {
                let plant = rush::unhurried(&case.model.plant, &question);
                Case::new(model::compile(plant))
            })
            .collect();
        let told = workers.run(&calm, &headlines, comparison.done, &stop);
        if told
            .iter()
            .all(|run| run.experiment.done == comparison.done)
        {
            comparison.with_rush(&question, &all, (&calm, &told));
        }
    }
    let promised =
        headlines.iter().any(|h| h.key == "on_time/all") && !study.base.plant.arrivals.is_empty();
    let mut limit_of = None;
    if promised && !asked.no_limit && comparison.done == comparison.asked {
        // Half as many replications: the curve is steep where the promise breaks.
        let question = Question {
            study,
            plan,
            promise: &promise,
            by: "demand",
            range: (0.5, 2.0),
            replications: (plan.replications / 2).max(10),
            at_most: 0,
        };
        let answer = question.answer(0, &cases[0].model, &workers, &stop);
        if answer.is_err() {
            workers.done();
        }
        if let Some((limit, about)) = answer? {
            comparison.limit = Some(limit);
            limit_of = Some(about);
        }
    }
    workers.done();
    if again[0].experiment.done == comparison.done {
        let name = comparison.cases[0][today].bottleneck.clone();
        comparison.with_lifted(station, name, (&doubled[0], &again[0]), &runs[today]);
    }

    let mut said: Vec<String> = asked
        .only
        .iter()
        .map(|name| format!("--only {name}"))
        .collect();
    said.extend(
        asked
            .precision
            .map(|within| format!("--precision {}", percent(within))),
    );
    let provenance = many::provenance(many, &file, &said);
    let base = &cases[0].model.plant;
    let mut view = View::new(
        &comparison,
        &provenance,
        base,
        (&study.name, &study.note),
        descriptions(study),
    );
    view.limit_of = limit_of;
    view.precision = precision.and_then(|(wanted, _)| {
        Some(report::Precision {
            words: wanted.words,
            within: wanted.within,
            widest: known(&runs)?,
        })
    });
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
            "Interrupted: {} of {} replications of each case are in these results, which are marked partial.",
            comparison.done, comparison.asked
        ));
        return Ok(Exit::Partial);
    }
    Ok(Exit::Done)
}

/// Keeps today and the variants asked for.
fn choose(study: &mut Study, only: &[String]) -> Result<(), Failure> {
    for name in only {
        let names = study.variants.iter().skip(1).map(|v| v.name.as_str());
        if !names.clone().any(|known| known == name) {
            return Err(variant::unknown(name, names));
        }
    }
    if !only.is_empty() {
        let mut index = 0;
        study.variants.retain(|variant| {
            index += 1;
            index == 1 || only.contains(&variant.name)
        });
    }
    Ok(())
}

/// The variants as their author describes them.
pub fn descriptions(study: &Study) -> Vec<Description> {
    study
        .variants
        .iter()
        .map(|variant| Description {
            name: variant.name.clone(),
            note: variant.note.clone(),
            differences: variant
                .differences
                .iter()
                .map(|d| [d.path.clone(), d.was.clone(), d.becomes.clone()])
                .collect(),
        })
        .collect()
}
