//! Speeds on the page: web that must speed up and slow down, and what caps a pouch machine.
//!
//! In: a law's figures. Out: lines with the formula, its figures and what binds.

use crate::model::{Job, Model, PartModel, rate_caps};
use crate::plant::{Machine, PouchingSpec};
use crate::trade::pouch_rate::{RateBound, pouch_rate};
use crate::trade::runtime::{length_up_and_down_m, peak_speed_m_per_min, ramp_loss_min};
use crate::units::{duration, grouped};

use super::geometry::number;
use super::page::Page;

/// Running minutes of web in equal sets, each from rest to rest.
pub(super) fn web_run(
    page: &mut Page,
    lane_m: f64,
    sets: u32,
    m_per_min: f64,
    ramp: f64,
    minutes: f64,
) {
    let piece = lane_m / f64::from(sets);
    let times = if sets > 1 {
        format!("{sets} sets x (")
    } else {
        String::new()
    };
    let end = if sets > 1 { ")" } else { "" };
    if piece >= length_up_and_down_m(m_per_min, ramp) {
        page.row(
            "run",
            &format!(
                "{times}{} m / {} m/min + {} / (60 x {}){end} = {} min",
                number(piece),
                number(m_per_min),
                number(m_per_min),
                number(ramp),
                grouped(minutes, 1)
            ),
        );
        let lost = f64::from(sets) * ramp_loss_min(m_per_min, ramp);
        page.row(
            "",
            &format!("of it {} for speeding up and slowing down", duration(lost)),
        );
    } else {
        page.row(
            "run",
            &format!(
                "{times}2 x sqrt({} m / (60 x {})){end} = {} min",
                number(piece),
                number(ramp),
                grouped(minutes, 1)
            ),
        );
        page.row(
            "",
            &format!(
                "too short to reach {} m/min: {} m/min at most",
                number(m_per_min),
                grouped(peak_speed_m_per_min(piece, m_per_min, ramp), 0)
            ),
        );
    }
}

/// The caps of a pouch machine, and which of them binds.
pub(super) fn rate(
    page: &mut Page,
    model: &Model,
    part: &PartModel,
    job: &Job,
    (machine, spec): (&Machine, &PouchingSpec),
) {
    let product = &model.plant.products[part.product];
    let Some(format) = product.format else { return };
    let laminate = &model.plant.laminates[product.laminate];
    let caliper = laminate.caliper_um;
    let share = machine.speed_share(&laminate.kinds);
    let caps = rate_caps(spec, format, product, caliper, share);
    let (zipped, web) = (caps.format_cycles_per_min, caps.web_m_per_min);
    let (dwell, index) = (caps.dwell_s, caps.index_s);
    let found = pouch_rate(&caps, product.pitch_mm, job.lanes);
    let packers = spec
        .packers_per_min
        .map(|pouches| pouches / f64::from(job.lanes))
        .filter(|&cap| cap < found.cycles_per_min);
    let mark = |bound: RateBound| {
        if packers.is_none() && found.bound == bound {
            "  <- binds"
        } else {
            ""
        }
    };
    let zipper = if product.zipper {
        "with zipper"
    } else {
        "without zipper"
    };
    page.row(
        "rate",
        &format!(
            "format {zipper}: {} cycles a min{}",
            number(zipped),
            mark(RateBound::Format)
        ),
    );
    page.row(
        "",
        &format!(
            "web: {} m/min / {} mm = {}{}",
            number(web),
            number(product.pitch_mm),
            grouped(web * 1000.0 / product.pitch_mm, 1),
            mark(RateBound::WebSpeed)
        ),
    );
    if !spec.dwell.is_empty() {
        let of_zipper = match product.zipper && spec.zipper_dwell_s > 0.0 {
            true => format!(" (zipper {} s of it)", number(spec.zipper_dwell_s)),
            false => String::new(),
        };
        page.row(
            "",
            &format!(
                "dwell {} s at {} um{of_zipper} + index {} s: 60 / {} = {}{}",
                number(dwell),
                number(caliper),
                grouped(index, 3),
                grouped(dwell + index, 3),
                grouped(60.0 / (dwell + index), 1),
                mark(RateBound::DwellAndIndex)
            ),
        );
    }
    if let Some(cap) = packers {
        page.row(
            "",
            &format!("people at its end: {}  <- binds", grouped(cap, 1)),
        );
    }
    if job.lanes > 1 {
        page.row(
            "",
            &format!(
                "{} lanes: {} pouches a min",
                job.lanes,
                grouped(
                    found
                        .pouches_per_min
                        .min(spec.packers_per_min.unwrap_or(f64::INFINITY)),
                    0
                )
            ),
        );
    }
}
