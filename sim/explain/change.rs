//! The changeover of one machine to one job, in three cases.
//!
//! In: the machine's elements or table, and what the machine must be dressed for. Out: minutes, and
//! the elements they are made of.

use crate::model::{Dressing, Job, Model, differing, start_waste_mm};
use crate::plant::{ELEMENT_KINDS, ElementKind, Machine, Process};
use crate::trade::Format;
use crate::trade::changeover::overlap;

/// How the machine stands when the job comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Case {
    /// Dressed for this very product: only the artwork is new.
    Artwork = 0,
    /// Dressed for a product of the mix, weighted by how often it comes.
    Average = 1,
    /// Dressed for something else in every respect.
    Everything = 2,
}

impl Case {
    /// All cases, in the order of the columns.
    pub const ALL: [Case; 3] = [Case::Artwork, Case::Average, Case::Everything];

    /// Words for people.
    pub fn label(self) -> &'static str {
        match self {
            Case::Artwork => "new artwork only",
            Case::Average => "average of the mix",
            Case::Everything => "everything differs",
        }
    }
}

/// An element that applies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Applied {
    /// Which.
    pub kind: ElementKind,
    /// How many times (knives, lanes, punches).
    pub times: u32,
    /// Mean minutes of one.
    pub each_min: f64,
}

/// The description of machine `m` of the model.
pub fn spec(model: &Model, m: usize) -> &Machine {
    let station = model.machines[m].station;
    &model.plant.stations[station].machines[m - model.stations[station].machines.start]
}

/// Minutes of a changeover on machine `m` to `job`.
pub fn minutes(model: &Model, m: usize, job: &Job, case: Case) -> f64 {
    let changeover = &spec(model, m).changeover;
    match (case, &changeover.table) {
        (Case::Artwork, None) => combined(model, m, &applied(model, m, Some(&job.dressing), job)),
        (Case::Everything, None) => combined(
            model,
            m,
            &applied(model, m, Some(&unlike(spec(model, m), &job.dressing)), job),
        ),
        (Case::Artwork, Some(table)) => changeover.mean_by(table, job.product, job.product),
        (Case::Everything, Some(table)) => (0..table.index.len())
            .map(|from| changeover.mean_by(table, from, job.product))
            .fold(0.0, f64::max),
        (Case::Average, _) => average(model, m, |product, from| match &changeover.table {
            Some(table) => changeover.mean_by(table, product, job.product),
            None => combined(model, m, &applied(model, m, Some(from), job)),
        })
        .unwrap_or_else(|| minutes(model, m, job, Case::Artwork)),
    }
}

/// Web that the start of `job` on machine `m` loses, mm.
pub fn start_mm(model: &Model, m: usize, job: &Job, case: Case) -> f64 {
    let changeover = &spec(model, m).changeover;
    let lost = |from: usize, dressing: &Dressing| {
        start_waste_mm(changeover, job, Some(from), Some(dressing))
    };
    match case {
        Case::Artwork => lost(job.product, &job.dressing),
        Case::Average => {
            average(model, m, lost).unwrap_or_else(|| start_mm(model, m, job, Case::Artwork))
        }
        Case::Everything if changeover.table.is_some() => (0..model.plant.products.len())
            .map(|from| lost(from, &job.dressing))
            .fold(0.0, f64::max),
        Case::Everything => lost(job.product, &unlike(spec(model, m), &job.dressing)),
    }
}

/// The elements that apply when a machine dressed as `from` gets ready for `job`.
pub fn applied(model: &Model, m: usize, from: Option<&Dressing>, job: &Job) -> Vec<Applied> {
    let elements = model.machines[m].elements.iter();
    elements
        .map(|element| Applied {
            kind: element.kind,
            times: differing(element.kind, from, &job.dressing),
            each_min: element.time.mean(),
        })
        .filter(|applied| applied.times > 0)
        .collect()
}

/// The largest element and the machine's share of the others, as the engine adds them.
pub fn combined(model: &Model, m: usize, applied: &[Applied]) -> f64 {
    let changeover = &spec(model, m).changeover;
    changeover.at_least_locked(overlap(
        applied.iter().map(|a| f64::from(a.times) * a.each_min),
        changeover.rest_share,
    ))
}

/// A dressing that differs from `to` in everything that can differ on the machine. A machine with
/// one process or one format never changes it.
pub fn unlike(machine: &Machine, to: &Dressing) -> Dressing {
    let stays = |kind: ElementKind| match (&machine.process, kind) {
        (Process::Lamination(spec), ElementKind::Process) => spec.processes.len() < 2,
        (Process::Pouching(spec), ElementKind::Format) => spec.formats.len() < 2,
        (Process::Pouching(spec), ElementKind::Zipper) => !spec.zipper,
        _ => false,
    };
    let mut from = *to;
    for slot in (0..ELEMENT_KINDS).filter(|&slot| {
        !KINDS
            .into_iter()
            .any(|kind| kind as usize == slot && stays(kind))
    }) {
        if to.setting[slot] != 0 {
            // 0 would mean "does not matter"; any other number is another setting.
            from.setting[slot] = if to.setting[slot] == u32::MAX {
                1
            } else {
                to.setting[slot] + 1
            };
        }
    }
    from.punches = 0;
    if let Process::Pouching(spec) = &machine.process {
        let flat = |format: Format| format == Format::FlatBottom;
        // To or from a flat bottom is an element of its own, where the machine makes both.
        let both = spec.formats.iter().any(|f| flat(f.0) != to.flat_bottom);
        from.flat_bottom = to.flat_bottom != both;
    }
    if let Process::Lamination(spec) = &machine.process {
        let slot = ElementKind::Treater as usize;
        let bits = to.setting[slot].saturating_sub(1);
        if to.setting[slot] != 0 {
            from.setting[slot] = (bits ^ spec.treaters.bits()) + 1;
        }
    }
    from
}

/// Mean over the products that come to the machine, by their share of all SKUs, of what the change from one
/// (its number, its dressing) to the job takes; `None` where none comes.
fn average(model: &Model, m: usize, of: impl Fn(usize, &Dressing) -> f64) -> Option<f64> {
    let station = model.machines[m].station;
    let within = m - model.stations[station].machines.start;
    let (mut sum, mut weights) = (0.0, 0.0);
    for (product, weight) in (model.plant.skus_per_week())
        .into_iter()
        .enumerate()
        .filter(|(_, weight)| *weight > 0.0)
    {
        let steps = &model.body_part(product).steps;
        let Some(from) = steps
            .iter()
            .find(|s| s.station == station)
            .map(|s| &s.jobs[within])
            .filter(|j| j.able)
        else {
            continue;
        };
        sum += weight * of(product, &from.dressing);
        weights += weight;
    }
    (weights > 0.0).then(|| sum / weights)
}

/// Kinds that may stay as they are on a machine.
const KINDS: [ElementKind; 3] = [
    ElementKind::Process,
    ElementKind::Format,
    ElementKind::Zipper,
];

/// Words for an element.
pub fn label(kind: ElementKind) -> &'static str {
    match kind {
        ElementKind::Job => "job",
        ElementKind::Film => "film",
        ElementKind::Finish => "finish",
        ElementKind::Width => "width",
        ElementKind::Adhesive => "adhesive",
        ElementKind::Process => "process",
        ElementKind::Knives => "knives",
        ElementKind::Format => "format",
        ElementKind::FlatBottom => "flat bottom",
        ElementKind::Height => "height",
        ElementKind::Gusset => "gusset",
        ElementKind::Zipper => "zipper",
        ElementKind::Punch => "punch",
        ElementKind::Treater => "treater",
        ElementKind::SealBars => "seal bars",
    }
}
