//! What a reader needs to judge and to repeat a run, in sentences.
//!
//! In: a [`Context`]. Out: lines and sections. The sections carry the names of the reporting guideline
//! STRESS for discrete-event simulation (Monks and others, Journal of Simulation 13(1), 2019; section
//! names from memory).

use crate::plant::{Promise, RunPlan, WarmUp, Work};
use crate::random::describe;
use crate::steady::PRECISION_STEP;
use crate::units::{Dimension, duration, grouped, percent};

use super::clock::iso_date;
use super::context::Context;
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

/// The method, section by section.
pub fn sections(c: &Context<'_>) -> Vec<Section> {
    let plant = &c.model.plant;
    vec![
        Section {
            title: "1. Objectives",
            paragraphs: vec![
                "Purpose: the lead times that the print-to-pouch cell can keep, what limits it, and where an \
                 order's time goes. Outputs: throughput, machine time by state, lead time from print to first \
                 pouch, packed and shippable, share done by the promised date."
                    .to_owned(),
                clean(&plant.note),
            ],
            points: Vec::new(),
        },
        Section {
            title: "2. Logic",
            paragraphs: vec![
                "Orders of one or more SKUs are released when their printed rolls are handed over. Lots pass the \
                 stations below in order; holds for cure and cooling run around the clock, machines and people \
                 keep their calendars. Every machine is at each instant in exactly one state. An order is done \
                 when its last lot is packed and its hold for shipping is over."
                    .to_owned(),
                "Civil days have 24 hours: daylight saving is not modelled.".to_owned(),
            ],
            points: plant
                .stations
                .iter()
                .zip(&c.stations)
                .map(|(s, name)| {
                    let names: Vec<String> = s.machines.iter().map(|m| clean(&m.name)).collect();
                    format!("{name} ({}): {}", work(s.work), names.join(", "))
                })
                .collect(),
        },
        Section { title: "3. Data", paragraphs: data_words(), points: data(c) },
        Section { title: "4. Experimentation", paragraphs: experiment(c, &plant.run), points: Vec::new() },
        Section {
            title: "5. Implementation",
            paragraphs: vec![
                format!(
                    "pouchcast {}. Next-event simulation on an integer clock of microseconds. Every source of chance \
                     draws from its own stream, keyed by what it belongs to, so that two line-ups under one seed \
                     meet the same luck.",
                    c.provenance.version
                ),
                format!(
                    "{} events and {} orders were simulated in all replications.",
                    grouped(c.summary.events as f64, 0),
                    grouped(c.summary.orders as f64, 0)
                ),
            ],
            points: Vec::new(),
        },
        Section {
            title: "6. Code access",
            paragraphs: vec![format!(
                "The same scenario, seed and version give the same bytes on any computer. Scenario {}, sha256 {}; \
                 its full text follows.",
                clean(&c.provenance.file_name),
                clean(&c.provenance.sha256)
            )],
            points: Vec::new(),
        },
    ]
}

fn work(work: Work) -> &'static str {
    match work {
        Work::Press => "press",
        Work::Lamination => "lamination",
        Work::Slitting => "slitting",
        Work::Pouching => "pouching",
        Work::Inspection => "inspection",
        Work::Spouting => "spouting",
        Work::Packing => "packing",
        Work::Bench => "bench",
    }
}

fn data_words() -> Vec<String> {
    vec!["Inputs are those of the scenario; quantities carry their units. Holds are inputs by adhesive and are \
          refused below the data sheet that the scenario states."
        .to_owned()]
}

fn data(c: &Context<'_>) -> Vec<String> {
    let plant = &c.model.plant;
    let mut out: Vec<String> = plant
        .arrivals
        .iter()
        .map(|s| {
            format!(
                "Orders of {}: one every {} of its opening time on average; SKUs {}; quantity {}.",
                clean(&s.name),
                duration(s.gap.mean()),
                describe(&s.skus, Dimension::Count),
                describe(&s.quantity, Dimension::Count)
            )
        })
        .collect();
    out.extend(plant.classes.iter().map(|class| {
        let promise = match &class.promise {
            Promise::WorkingDays { days, calendar } => {
                let name = plant
                    .calendars
                    .get(*calendar)
                    .map_or_else(String::new, |k| clean(&k.name));
                format!("{days} working days of {name}")
            }
            Promise::After(span) => describe(span, Dimension::Duration),
            Promise::None => "none".to_owned(),
        };
        format!("Promise of {}: {promise}.", clean(&class.name))
    }));
    out.extend(plant.calendars.iter().map(|k| {
        format!(
            "Calendar {}: open {} h a week.",
            clean(&k.name),
            grouped(k.weekly_open_min() as f64 / 60.0, 1)
        )
    }));
    let gate = |d| describe(d, Dimension::Duration);
    out.extend(plant.adhesives.iter().map(|a| {
        format!(
            "Holds of {}: slit after {}, pouch after {}, ship after {}.",
            clean(&a.name),
            gate(&a.ambient.slit),
            gate(&a.ambient.pouch),
            gate(&a.ambient.ship)
        )
    }));
    out
}

fn experiment(c: &Context<'_>, run: &RunPlan) -> Vec<String> {
    let mut out = vec![
        format!(
            "{} independent replications from {}, seed {}. Each starts empty; the first {} are a warm-up and are \
             not measured. Orders released in the {} after it are measured; the clock then runs on for {} so that \
             they can be done, while further orders keep coming. Orders not done by then are counted as late and \
             named; none is dropped.",
            c.summary.done,
            iso_date(run.start_day),
            run.seed,
            weeks(run.warm_up_min),
            weeks(run.measure_min),
            weeks(run.run_out_min)
        ),
        format!(
            "Intervals are Student-t intervals of {} for the mean over replications (Law, Simulation Modeling and \
             Analysis, chapter 9). A point of the lead time is computed in each replication and then averaged.",
            c.confidence()
        ),
    ];
    match run.warm_up {
        WarmUp::Chosen { pilots, settled } => out.push(format!(
            "The warm-up of {} was chosen by MSER-5 (White, Cobb and Spratt 2000) from the orders in the cell \
             and the lots in cure, averaged over {pilots} replications of their own{}.",
            weeks(run.warm_up_min),
            if settled {
                ""
            } else {
                "; the cell had not settled in the time looked at"
            }
        )),
        WarmUp::Booked => out.push(
            "There is no warm-up, because the order book describes the cell at the start.".to_owned(),
        ),
        WarmUp::Given | WarmUp::Auto => {}
    }
    if let Some(precision) = &run.precision {
        out.push(format!(
            "Replications were added, {} at a time and at most {}, until the {} was known within {}: half of \
             its interval at most that share of it.",
            PRECISION_STEP,
            grouped(f64::from(precision.at_most), 0),
            precision.words,
            percent(precision.within)
        ));
    }
    out
}
