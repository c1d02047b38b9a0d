//! The backward chain of one SKU: from good pouches to metres to print, station by station.
//!
//! In: a web of a product and the wanted quantity. Out: what enters and leaves each step, whole metres,
//! as planned on the first machine that can do the step.

use crate::plant::{PouchingSpec, Product};
use crate::trade::Format;
use crate::trade::pouch_rate::{RateCaps, pouch_rate};
use crate::units::{ceiling, whole, whole_above};

use super::{Law, PartModel};

/// One step of the chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepPlan {
    /// Lane-millimetres (pieces after pouching) that enter the step.
    pub enters: i64,
    /// What leaves it.
    pub leaves: i64,
}

/// The chain of one web.
#[derive(Debug, Clone, PartialEq)]
pub struct WebPlan {
    /// Lane-millimetres to print (pieces where there is no web).
    pub printed: i64,
    /// By step of the part.
    pub steps: Vec<StepPlan>,
}

/// Metres that must enter so that `leaves_mm` of web leave: loss share first, then the start, up to a whole metre.
fn step_back(leaves_mm: f64, running_waste: f64, start_mm: f64) -> f64 {
    let metres = (leaves_mm / (1.0 - running_waste) + start_mm) / 1000.0;
    // A millimetre of grace: 7 m must not become 8 m by the last bit of a division.
    ceiling(metres - 1e-6) * 1000.0
}

/// Plans one web for `pouches` good pouches (pieces for products without a format).
pub fn plan_web(part: &PartModel, pouches: f64, overs: f64) -> WebPlan {
    let mut steps = Vec::with_capacity(part.steps.len());
    let printed = plan_back(part, pouches, overs, 0, |step| {
        steps.push(step);
    });
    steps.reverse();
    WebPlan { printed, steps }
}

/// What enters step `first` of the plan of [`plan_web`], lane-millimetres or pieces; beyond the last step
/// what is printed.
pub fn plan_entry(part: &PartModel, pouches: f64, overs: f64, first: usize) -> i64 {
    if part.steps.get(first).is_some_and(|step| step.lossless) {
        return ceiling(pouches * (1.0 + overs) - 1e-9) as i64;
    }
    // Nothing after the last step: the whole chain says what is printed.
    let until = if first < part.steps.len() { first } else { 0 };
    plan_back(part, pouches, overs, until, |_| {})
}

/// What the plan of [`plan_web`] lets the start of step `first` lose, lane-millimetres; 0 for pieces and pouches.
pub fn start_loss(part: &PartModel, first: usize) -> i64 {
    let pouching = part.steps.iter().position(|s| s.makes_pouches);
    match part.steps.get(first) {
        Some(step) if !part.is_piece() && pouching.is_none_or(|p| first <= p) => {
            let job = &step.jobs[step.plan_job];
            let lanes = if step.makes_pouches {
                job.lanes
            } else {
                part.lanes
            };
            job.start_waste_mm * i64::from(lanes)
        }
        _ => 0,
    }
}

/// Walks the chain back from the last step to step `until`, telling each step; gives what enters the latter.
fn plan_back(
    part: &PartModel,
    pouches: f64,
    overs: f64,
    until: usize,
    mut tell: impl FnMut(StepPlan),
) -> i64 {
    let wanted = pouches * (1.0 + overs);
    let length_ratio = part.length_ratio;
    let is_web = !part.is_piece();
    let pouching = part.steps.iter().position(|s| s.makes_pouches);
    let lanes = f64::from(part.lanes);
    // Web wanted at the end of the way, per lane of the laminator web, mm.
    let mut web_mm = wanted * part.pitch_mm * length_ratio / lanes;
    if let Some((loss, start_mm, machine_lanes)) = part.joined_waste {
        // A further web runs through the pouch machine beside the body and loses what it loses.
        let on_machine = wanted * part.pitch_mm * length_ratio / machine_lanes;
        web_mm = step_back(on_machine, loss, start_mm) * machine_lanes / lanes;
    }
    let mut pieces = wanted;
    let mut printed = if is_web {
        whole_above(web_mm * lanes)
    } else {
        pieces as i64
    };
    for (index, step) in part.steps.iter().enumerate().skip(until).rev() {
        let job = &step.jobs[step.plan_job];
        let after_pouching = !is_web || pouching.is_some_and(|p| index > p);
        let planned = if after_pouching {
            let leaves = pieces;
            let loss = if matches!(job.law, Law::Pieces { .. }) {
                job.mean_waste
            } else {
                0.0
            };
            pieces = ceiling(pieces / (1.0 - loss) - 1e-9);
            web_mm = pieces * part.pitch_mm * length_ratio / lanes;
            StepPlan {
                enters: pieces as i64,
                leaves: whole(leaves),
            }
        } else if step.makes_pouches {
            let on_machine = pieces * part.pitch_mm / f64::from(job.lanes);
            let enters = step_back(on_machine, job.mean_waste, job.start_waste_mm as f64);
            let lane_mm = enters * f64::from(job.lanes);
            web_mm = lane_mm / lanes;
            StepPlan {
                enters: lane_mm as i64,
                leaves: whole(pieces),
            }
        } else {
            let enters = step_back(web_mm, job.mean_waste, job.start_waste_mm as f64);
            let leaves = web_mm;
            web_mm = enters;
            StepPlan {
                enters: (enters * lanes) as i64,
                leaves: (leaves * lanes) as i64,
            }
        };
        printed = planned.enters;
        tell(planned);
    }
    printed
}

/// Cycles per minute of a product on a pouch machine: format, web speed, dwell and the people at its end.
pub fn cycles_per_min(
    spec: &PouchingSpec,
    format: Format,
    product: &Product,
    caliper_um: f64,
    lanes: u32,
) -> f64 {
    let of = |list: &[(Format, f64)]| list.iter().find(|f| f.0 == format).map(|f| f.1);
    let plain = of(&spec.formats).unwrap_or(1.0);
    let cap = if product.zipper {
        of(&spec.zipper_formats).unwrap_or(plain).min(plain)
    } else {
        plain
    };
    let dwell = spec
        .dwell
        .iter()
        .find(|d| caliper_um <= d.0)
        .or(spec.dwell.last())
        .map(|d| d.1);
    let index = spec.index_s + spec.index_s_per_mm * product.pitch_mm;
    let caps = RateCaps {
        format_cycles_per_min: cap,
        web_m_per_min: spec.web_speed_m_per_min,
        dwell_s: dwell.unwrap_or(0.0),
        index_s: if dwell.is_some() { index } else { 0.0 },
    };
    let cpm = pouch_rate(&caps, product.pitch_mm, lanes).cycles_per_min;
    match spec.packers_per_min {
        Some(pouches) => cpm.min(pouches / f64::from(lanes)),
        None => cpm,
    }
}
