//! What a reader needs to judge and to repeat a study, in sentences.
//!
//! In: a [`Study`]: the plant, where it comes from, and what this kind of study adds. Out: lines and sections. The
//! sections carry the names of the reporting guideline STRESS for discrete-event simulation (Monks and others,
//! Journal of Simulation 13(1), 2019; section names from memory).

use crate::plant::{Plant, RunPlan, WarmUp};
use crate::steady::PRECISION_STEP;
use crate::units::{duration, grouped, percent};

use super::Provenance;
use super::clock::iso_date;
use super::context::Context;
use super::inputs;
use super::words::clean;

fn weeks(minutes: f64) -> String {
    if minutes > 0.0 && (minutes / 10_080.0).fract().abs() < 1e-9 {
        let n = minutes / 10_080.0;
        format!("{} week{}", grouped(n, 0), if n == 1.0 { "" } else { "s" })
    } else {
        duration(minutes)
    }
}

/// Seed, replications, version: the last lines of every output.
pub fn origin(c: &Context<'_>) -> Vec<String> {
    let run = &c.model.plant.run;
    let partial = if c.summary.done < c.summary.asked {
        " (interrupted)"
    } else {
        ""
    };
    vec![
        format!(
            "Seed {}, {} of {} replications{partial}, {} measured after {} of warm-up{}, from {}.",
            run.seed,
            c.summary.done,
            c.summary.asked,
            weeks(run.measure_min),
            weeks(run.warm_up_min),
            match run.warm_up {
                WarmUp::Chosen { .. } => " (chosen)",
                _ => "",
            },
            iso_date(run.start_day)
        ),
        format!(
            "pouchcast {}, scenario {}",
            c.provenance.version,
            clean(&c.provenance.file_name)
        ),
        format!("sha256 {}", clean(&c.provenance.sha256)),
    ]
}

/// A titled section of the method.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Name, as in the guideline.
    pub title: &'static str,
    /// Paragraphs.
    pub paragraphs: Vec<String>,
    /// Points.
    pub points: Vec<String>,
}

/// What the method of a study is told from.
#[derive(Debug)]
pub struct Study<'a> {
    /// The cell as it is today.
    pub plant: &'a Plant,
    /// Where it comes from.
    pub provenance: &'a Provenance,
    /// What the study is for, and which figures it tells.
    pub purpose: String,
    /// How its replications were made and judged.
    pub experiment: Vec<String>,
    /// Replications of each case; `None` where they differ from case to case.
    pub replications: Option<u32>,
    /// What the computer did, where it was counted.
    pub effort: Option<String>,
}

/// The method of a study, section by section.
pub fn study(study: &Study<'_>) -> Vec<Section> {
    let plant = study.plant;
    let mut experiment = plan(&plant.run, study.replications);
    experiment.extend(study.experiment.iter().cloned());
    let mut implementation = vec![format!(
        "pouchcast {}. Next-event simulation on an integer clock of microseconds. Every source of chance draws from its \
         own stream, keyed by what it belongs to, so that two line-ups under one seed meet the same luck.",
        study.provenance.version
    )];
    implementation.extend(study.effort.clone());
    vec![
        Section {
            title: "1. Objectives",
            paragraphs: vec![study.purpose.clone(), clean(&plant.note)],
            points: Vec::new(),
        },
        Section {
            title: "2. Logic",
            paragraphs: inputs::assumptions(),
            points: inputs::stations(plant),
        },
        Section {
            title: "3. Data",
            paragraphs: vec![inputs::ABOUT.to_owned()],
            points: inputs::points(plant),
        },
        Section {
            title: "4. Experimentation",
            paragraphs: experiment,
            points: Vec::new(),
        },
        Section {
            title: "5. Implementation",
            paragraphs: implementation,
            points: Vec::new(),
        },
        Section {
            title: "6. Code access",
            paragraphs: vec![format!(
                "The same scenario, seed and version give the same bytes on any computer. Scenario {}, sha256 {}; its \
                 full text follows.",
                clean(&study.provenance.file_name),
                clean(&study.provenance.sha256)
            )],
            points: Vec::new(),
        },
    ]
}

/// The method of a run.
pub fn sections(c: &Context<'_>) -> Vec<Section> {
    let run = &c.model.plant.run;
    study(&Study {
        plant: &c.model.plant,
        provenance: c.provenance,
        purpose: "Purpose: the lead times that the print-to-pouch cell can keep, what limits it, and where an order's \
                  time goes. Outputs: throughput, machine time by state, lead time from print to first pouch, packed \
                  and shippable, share done by the promised date."
            .to_owned(),
        experiment: experiment(c, run),
        replications: Some(c.summary.done),
        effort: Some(format!(
            "{} events and {} orders were simulated in all replications. Audit: {} checks of lots, web, pouches, \
             people, places and minutes, all of them kept.",
            grouped(c.summary.events as f64, 0),
            grouped(c.summary.orders as f64, 0),
            grouped(c.summary.checks as f64, 0)
        )),
    })
}

/// What every replication goes through.
fn plan(run: &RunPlan, replications: Option<u32>) -> Vec<String> {
    let many = match replications {
        Some(count) => format!("{} independent replications", grouped(f64::from(count), 0)),
        None => "Independent replications".to_owned(),
    };
    let start = match run.warm_up {
        WarmUp::Booked => "Each starts with the order book; there is no warm-up, because the book describes the cell \
                           at the start."
            .to_owned(),
        _ => format!(
            "Each starts empty; the first {} are a warm-up and are not measured.",
            weeks(run.warm_up_min)
        ),
    };
    let mut out = vec![format!(
        "{many} from {}, seed {}. {start} Orders released in the {} after it are measured; the clock then runs on for {} \
         so that they can be done, while further orders keep coming. Orders not done by then are counted as late and \
         named; none is dropped.",
        iso_date(run.start_day),
        run.seed,
        weeks(run.measure_min),
        weeks(run.run_out_min)
    )];
    if let WarmUp::Chosen { pilots, settled } = run.warm_up {
        out.push(format!(
            "The warm-up of {} was chosen from {pilots} replications of their own: the mean time from release to done, \
             and twice the time in which the slowest queue forgets where it began (heavy traffic: four times its mean \
             wait over the share of open time that is free){}.",
            weeks(run.warm_up_min),
            if settled {
                ""
            } else {
                "; that is more than the measured time, so it is too short"
            }
        ));
    }
    out
}

fn experiment(c: &Context<'_>, run: &RunPlan) -> Vec<String> {
    let mut out = vec![format!(
        "Intervals are Student-t intervals of {} for the mean over replications (Law, Simulation Modeling and Analysis, \
         chapter 9). A point of the lead time is computed in each replication and then averaged.",
        c.confidence()
    )];
    if let Some(precision) = &run.precision {
        out.push(format!(
            "Replications were added, {} at a time and at most {}, until the {} was known within {}: half of its \
             interval at most that share of it.",
            PRECISION_STEP,
            grouped(f64::from(precision.at_most), 0),
            precision.words,
            percent(precision.within)
        ));
    }
    out
}
