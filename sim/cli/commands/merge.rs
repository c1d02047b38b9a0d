//! `merge`: the parts of a run put together.
//!
//! In: the scenario and the files of `run --part`. Out: what `run` gives, to the byte. The parts are read
//! line by line, so memory does not grow with the replications.

use std::sync::atomic::Ordering;

use crate::model::{self, Model};
use crate::observe::Layout;
use crate::replicate::Experiment;
use crate::replicate::part::{self, Head};
use crate::report::Provenance;
use crate::steady;

use super::super::args::Merge;
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::Scenario;
use super::super::variant::{self, load_cell};
use super::super::write::part_file::PartFile;
use super::run::{origin, place, show};

/// Puts parts together.
///
/// # Errors
/// [`Exit::Usage`] where the parts do not belong together or some are missing; else as `run`.
pub fn merge(asked: &Merge) -> Result<Exit, Failure> {
    let Scenario {
        mut loaded,
        bytes,
        variant: chosen,
        ..
    } = load_cell(&asked.file, asked.variant.as_deref(), None, asked.quiet)?;
    let sha256 = variant::fingerprint(&bytes, &loaded, chosen.as_ref());
    let mut parts = Vec::with_capacity(asked.parts.len());
    for file in &asked.parts {
        let part = PartFile::open(file);
        parts.push(part.map_err(|what| bad(&file.display().to_string(), &what))?);
    }
    // Empty parts (more parts than replications) stand before the one that begins where they do.
    parts.sort_by_key(|part| (part.head.first, part.head.end));
    let (seed, replications) = together(&parts, &sha256)?;
    let plan = &mut loaded.plant.run;
    let origin = origin(
        &asked.file,
        chosen.as_ref(),
        plan,
        Some(seed),
        Some(replications),
        None,
    );
    (plan.seed, plan.replications) = (seed, replications);
    let place = place(
        (!asked.no_files).then_some(asked.out.clone()),
        &asked.file,
        chosen.as_ref(),
        seed,
        asked.replace,
    )?;
    let stop = interrupt::flag();
    steady::settle(&mut loaded.plant, &stop);
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let mut experiment = Experiment::new(&model, &layout, replications);
    for part in &mut parts {
        if stop.load(Ordering::Relaxed) {
            return Err(Failure::new(
                Exit::Partial,
                "Interrupted: parts give results only all together, so there are none.",
            ));
        }
        let name = part.name.clone();
        fold(part, &model, &layout, &mut experiment).map_err(|what| bad(&name, &what))?;
    }
    let provenance = Provenance {
        file_name: origin,
        sha256,
        version: env!("CARGO_PKG_VERSION"),
        scenario_text: loaded.text,
    };
    show(
        &model,
        &layout,
        &experiment,
        &provenance,
        place,
        variant::inputs(loaded.book, chosen.as_ref()),
        asked.quiet,
    )
}

/// Adds the replications of a part, to its last line.
fn fold(
    part: &mut PartFile,
    model: &Model,
    layout: &Layout,
    experiment: &mut Experiment,
) -> Result<(), String> {
    for number in part.head.first..part.head.end {
        let Some((at, line)) = part.next()? else {
            // The head is line 1.
            let last = number - part.head.first + 1;
            return Err(format!(
                "ends after line {last}, before replication {number}"
            ));
        };
        let (outcome, counts) = part::read(&line, number, model, layout, &mut part.seal)
            .map_err(|what| format!("line {at}: {what}"))?;
        experiment.fold(&outcome, &counts);
    }
    part.end()
}

fn bad(name: &str, what: &str) -> Failure {
    Failure::new(
        Exit::Usage,
        format!("error: `{name}`: {what}\nhelp: write the part again with run --part"),
    )
}

/// Seed and replications of the run that all parts belong to; every replication is there once.
fn together(parts: &[PartFile], sha256: &str) -> Result<(u64, u32), Failure> {
    let usage = |message: String| Failure::new(Exit::Usage, message);
    let Some(one) = parts.first() else {
        return Err(usage("error: there are no parts".into()));
    };
    // What most parts have is what the others differ from; the first of equally many.
    let heads = || parts.iter().map(|part| &part.head);
    let seed = most(heads().map(|head| head.seed));
    let replications = most(heads().map(|head| u64::from(head.replications)));
    let mut next = 0;
    for PartFile { name, head, .. } in parts {
        let other = if head.sha256 != sha256 {
            Some(
                "was run from another scenario or another variant of it, or the scenario has changed since"
                    .to_string(),
            )
        } else if head.program != env!("CARGO_PKG_VERSION") {
            Some(format!(
                "was run by version {} of the program, this is {}",
                head.program,
                env!("CARGO_PKG_VERSION")
            ))
        } else if head.seed != seed {
            let of = other_than(parts, &|other| other.seed == seed);
            Some(format!("has the seed {}, {of} {seed}", head.seed))
        } else if u64::from(head.replications) != replications {
            let of = other_than(parts, &|other| {
                u64::from(other.replications) == replications
            });
            Some(format!(
                "is of a run of {} replications, {of} {replications}",
                head.replications
            ))
        } else {
            None
        };
        if let Some(what) = other {
            return Err(bad(name, &what));
        }
        if head.first > next {
            return Err(usage(format!(
                "error: replications {next} to {} are in none of the parts\nhelp: run the missing part and name it, too",
                head.first - 1
            )));
        }
        if head.first < next {
            return Err(usage(format!(
                "error: `{name}`: replication {} is in another part, too\nhelp: name each part once, all cut into the same number of parts",
                head.first
            )));
        }
        next = head.end;
    }
    if next < one.head.replications {
        return Err(usage(format!(
            "error: replications {next} to {} are in none of the parts\nhelp: run the missing part and name it, too",
            one.head.replications - 1
        )));
    }
    Ok((one.head.seed, one.head.replications))
}

/// The value that most have; the smallest of equally many.
fn most(values: impl Iterator<Item = u64>) -> u64 {
    let mut counts = std::collections::BTreeMap::new();
    for value in values {
        *counts.entry(value).or_insert(0usize) += 1;
    }
    let most = counts
        .iter()
        .max_by_key(|&(value, count)| (*count, std::cmp::Reverse(*value)));
    most.map_or(0, |(value, _)| *value)
}

/// `the others` or the one other part, with the verb.
fn other_than(parts: &[PartFile], same: &dyn Fn(&Head) -> bool) -> String {
    let mut others = parts.iter().filter(|part| same(&part.head));
    match (others.next(), others.next()) {
        (Some(only), None) => format!("`{}` has", only.name),
        _ => "the others have".to_string(),
    }
}
