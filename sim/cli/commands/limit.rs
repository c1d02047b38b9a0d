//! `limit`: up to which demand (or other setting) a promise is kept.
//!
//! In: a scenario, a promise, what is raised. Out: the answer on stdout, a results folder.

use std::sync::atomic::Ordering;

use crate::compare::limit::Limit;
use crate::model;
use crate::report::compare::limit::About;
use crate::report::limit::{self as report, Found};

use super::super::args::Limit as Asked;
use super::super::ask;
use super::super::deliver::{Delivery, deliver};
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::load_study;
use super::super::variant;
use super::many::{self, SKEWED_MOST, Workers};
use super::promised::{Promise, Question};

/// Looks for limits.
///
/// # Errors
/// As [`load_study`]; [`Exit::Usage`] where the question cannot be asked, [`Exit::Partial`] where it was
/// interrupted.
pub fn limit(asked: &Asked) -> Result<Exit, Failure> {
    let many = &asked.many;
    let promise = Promise::read(&asked.promise, asked.class.as_deref())?;
    let file = load_study(&many.file, many.quiet)?;
    let study = &file.study;
    let plan = many::plan(many, &file);
    if !(asked.from > 0.0 && asked.from < asked.to && asked.to <= 1000.0) {
        return Err(Failure::new(
            Exit::Usage,
            "error: --from and --to are not a range\nhelp: two numbers above 0, the first one smaller, such as --from 0.5 --to 2",
        ));
    }
    let mut variants = Vec::new();
    for name in &asked.variant {
        variants.push(variant::place(study, name)?);
    }
    if variants.is_empty() {
        variants.push(0);
    }
    if asked.by == "demand" && study.base.plant.arrivals.is_empty() {
        return Err(Failure::new(
            Exit::Usage,
            "error: the scenario has an order book and no streams, so there is no demand to raise\n\
             help: describe the orders that come in under `orders`, or raise another setting with --by",
        ));
    }
    let place = many::place(many, "limit", plan)?;
    let stop = interrupt::flag();
    let base = model::compile(many::planned(&study.base.plant, plan));
    let workers = Workers::new(many)?;
    let question = Question {
        study,
        plan,
        promise: &promise,
        by: &asked.by,
        range: (asked.from, asked.to),
        replications: plan.replications,
        at_most: ask::at_most(
            asked.at_most,
            many.replications,
            plan.replications,
            SKEWED_MOST,
        ),
    };
    let mut found: Vec<(Limit, About)> = Vec::new();
    for &which in &variants {
        let answer = question.answer(which, &base, &workers, &stop);
        match answer {
            Ok(Some(told)) => found.push(told),
            Ok(None) => {
                workers.done();
                return Err(match stop.load(Ordering::Relaxed) {
                    true => Failure::new(Exit::Partial, "Interrupted: there is no answer."),
                    false => Failure::new(
                        Exit::Usage,
                        format!(
                            "error: no order was measured for which {} could be kept or not\n\
                             help: a longer `measure`, or a class that has orders and a promise",
                            promise.words()
                        ),
                    ),
                });
            }
            Err(failure) => {
                workers.done();
                return Err(failure);
            }
        }
    }
    workers.done();
    let mut said = vec![format!("--promise \"{}\"", asked.promise)];
    said.extend(asked.class.iter().map(|class| format!("--class {class}")));
    if asked.by != "demand" {
        said.push(format!("--by {}", asked.by));
    }
    let provenance = many::provenance(many, &file, &said);
    let told = Found {
        title: &study.name,
        plant: &base.plant,
        provenance: &provenance,
        limits: &found,
    };
    let delivery = Delivery {
        text: &report::text(&told),
        place,
        complete: true,
        more: String::new(),
        quiet: many.quiet,
    };
    deliver(delivery, || {
        let mut files = report::files(&told);
        files.extend(many::inputs(&file));
        files
    })?;
    Ok(Exit::Done)
}
