//! Speeds on the page: web that must speed up and slow down, and what caps a pouch machine.
//!
//! In: a law's figures. Out: lines with the formula, its figures and what binds.

use crate::model::{Job, Model, PartModel};
use crate::plant::PouchingSpec;
use crate::trade::pouch_rate::{RateBound, RateCaps, pouch_rate};
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
    spec: &PouchingSpec,
) {
    let product = &model.plant.products[part.product];
    let Some(format) = product.format else { return };
    let of =
        |list: &[(crate::trade::Format, f64)]| list.iter().find(|f| f.0 == format).map(|f| f.1);
    let plain = of(&spec.formats).unwrap_or(1.0);
    let zipped = if product.zipper {
        of(&spec.zipper_formats).unwrap_or(plain).min(plain)
    } else {
        plain
    };
    let caliper = model.plant.laminates[product.laminate].caliper_um;
    let dwell = spec
        .dwell
        .iter()
        .find(|d| caliper <= d.0)
        .or(spec.dwell.last())
        .map(|d| d.1);
    let index = spec.index_s + spec.index_s_per_mm * product.pitch_mm;
    let caps = RateCaps {
        format_cycles_per_min: zipped,
        web_m_per_min: spec.web_speed_m_per_min,
        dwell_s: dwell.unwrap_or(0.0),
        index_s: if dwell.is_some() { index } else { 0.0 },
    };
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
            number(spec.web_speed_m_per_min),
            number(product.pitch_mm),
            grouped(spec.web_speed_m_per_min * 1000.0 / product.pitch_mm, 1),
            mark(RateBound::WebSpeed)
        ),
    );
    if let Some(dwell) = dwell {
        page.row(
            "",
            &format!(
                "dwell {} s at {} um + index {} s: 60 / {} = {}{}",
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
