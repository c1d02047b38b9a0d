//! What becomes of an input, and whether that is right.
//!
//! In: bytes. Out: refused, or run with figures that can be; anything else is a fault. A run is cut to some weeks and two
//! replications, and what would still take long is only reckoned: its effort is told before it is run.

use std::sync::atomic::AtomicBool;

use pouchcast::observe::{Layout, Trace};
use pouchcast::replicate::part::{self, Head};
use pouchcast::replicate::seal::Seal;
use pouchcast::report::{self, Provenance};
use pouchcast::summary::Summary;
use pouchcast::summary::effort::effort;
use pouchcast::{model, plant::Plant, replicate, scenario};

/// Events of a replication that is run here.
const EVENTS_MOST: f64 = 400_000.0;

const WEEK_MIN: f64 = 10_080.0;

/// What became of an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// With messages.
    Refused,
    /// With figures that can be.
    Run,
    /// Its effort was told; too long for here.
    Dear,
}

/// Reads a scenario with the order book `book` beside it, and runs it.
///
/// # Errors
/// What is wrong with what the program did.
pub fn scenario(bytes: &[u8], book: &[u8]) -> Result<Fate, String> {
    let mut beside = |_: &str| Ok(book.to_vec());
    let study = match scenario::read_study("fuzz.yaml", bytes, &mut beside) {
        Err(report) => return refused(&report),
        Ok(study) => study,
    };
    drop(study.base.warnings.render(false, 100));
    drop(study.warnings.render(true, 60));
    let mut fate = Fate::Refused;
    // Today and one of the variants.
    for variant in study.variants.iter().take(2) {
        for plant in variant.plants.iter().take(1) {
            fate = run(plant.clone(), &study.base.text)?;
        }
    }
    Ok(fate)
}

fn refused(report: &scenario::Report) -> Result<Fate, String> {
    let said = report.render(false, 100);
    if report.errors() == 0 || !said.contains("error") {
        return Err(format!("refused without an error: {said}"));
    }
    match said.chars().all(|c| c == '\n' || !c.is_control()) {
        true => Ok(Fate::Refused),
        false => Err("a control character gets through".into()),
    }
}

fn run(mut plant: Plant, text: &str) -> Result<Fate, String> {
    let plan = &mut plant.run;
    plan.replications = 2;
    plan.warm_up_min = plan.warm_up_min.min(WEEK_MIN);
    plan.measure_min = plan.measure_min.min(3.0 * WEEK_MIN);
    plan.run_out_min = plan.run_out_min.min(2.0 * WEEK_MIN);
    let model = model::compile(plant);
    let cost = effort(&model);
    if !(cost.events.is_finite() && cost.memory.is_finite() && cost.events >= 0.0) {
        return Err(format!("an effort that cannot be: {cost:?}"));
    }
    if cost.events > EVENTS_MOST {
        return Ok(Fate::Dear);
    }
    let layout = Layout::new(&model);
    let (outcome, trace, counts) = replicate::traced(&model, &layout, 0);
    if counts.events as f64 > 20.0 * cost.events + 10_000.0 {
        return Err(format!(
            "{} events, {} were reckoned",
            counts.events, cost.events
        ));
    }
    kept(&trace, counts.released, counts.finished)?;
    if counts.stuck > 0 && !layout.standstill {
        return Err("machines wait for each other where that was told to be impossible".into());
    }
    for (measure, &figure) in layout.measures.iter().zip(&outcome.figures) {
        let signed = ["growth", "money", "tardiness", "late"];
        let signed = signed.iter().any(|word| measure.key.contains(word));
        // What is not known has no number; a point of a lead time beyond the run is infinite.
        let beyond = figure.is_nan() || figure == f64::INFINITY && measure.key.starts_with("lead");
        if !(beyond || figure.is_finite() && (signed || figure >= -1e-9)) {
            return Err(format!("`{}` is {figure}", measure.key));
        }
        if measure.key.ends_with("/utilisation") && figure > 1.0 + 1e-9 {
            return Err(format!("`{}` is {figure}", measure.key));
        }
    }
    let stop = AtomicBool::new(false);
    let experiment = replicate::many(&model, &layout, 2, &stop, &|_| {});
    let summary = Summary::new(&model, &layout, &experiment);
    let provenance = Provenance {
        file_name: "fuzz.yaml".into(),
        sha256: String::new(),
        version: "0",
        scenario_text: text.to_owned(),
    };
    let told = report::text(&model, &summary, &provenance);
    let words = |word: &str| {
        told.split(|c: char| !c.is_alphanumeric())
            .any(|w| w == word)
    };
    // The author may call his cell so.
    let told_by_program = |word: &str| words(word) && !text.contains(word);
    if told_by_program("NaN") || told_by_program("inf") {
        return Err(format!("no number in\n{told}"));
    }
    for busy in &summary.machines {
        // Not known, and shown as such, where a machine is never open in the measured time.
        let known = !busy.used.is_nan();
        if known && !(0.0..=1.0 + 1e-9).contains(&busy.used) {
            return Err(format!("{} is used {}", busy.name, busy.used));
        }
    }
    Ok(Fate::Run)
}

/// No order is lost: each that was released is done or still there.
fn kept(trace: &Trace, released: u64, finished: u64) -> Result<(), String> {
    let done = trace.orders.iter().filter(|row| row.done.is_some()).count() as u64;
    let all = trace.orders.len() as u64;
    match all == released && done <= finished && finished <= released {
        true => Ok(()),
        false => Err(format!(
            "{released} orders came, {finished} were finished; {all} are listed, {done} of them done"
        )),
    }
}

/// Reads a damaged part as `merge` does.
///
/// # Errors
/// Where it is taken for a good one.
pub fn part(bytes: &[u8], model: &model::Model, layout: &Layout) -> Result<Fate, String> {
    match read_part(bytes, model, layout) {
        Some(()) => Err("a damaged part is read".into()),
        None => Ok(Fate::Refused),
    }
}

/// Reads a part; `None` where something is wrong with it.
pub fn read_part(bytes: &[u8], model: &model::Model, layout: &Layout) -> Option<()> {
    let text = std::str::from_utf8(bytes).ok()?;
    let mut seal = Seal::default();
    let mut lines = text
        .split_inclusive('\n')
        .map(|line| line.strip_suffix('\n'));
    let head = Head::read(lines.next()??, &mut seal).ok()?;
    for number in head.first..head.end {
        part::read(lines.next()??, number, model, layout, &mut seal).ok()?;
    }
    let tail = part::is_tail(lines.next()??, head.end.checked_sub(head.first)?, &mut seal);
    (tail && lines.next().is_none()).then_some(())
}
