//! What of the web is paid and what becomes of it: square metres, kilograms, money.
//!
//! In: the plan of a web. Out: lines; the parts add up to the whole.

use crate::model::{Job, Model, StepPlan, Worth};
use crate::units::grouped;

use super::geometry::number;
use super::page::Page;
use super::{Explanation, Web};

/// Area of a planned web by what becomes of it, m².
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Area {
    /// Handed over, from edge to edge.
    pub all: f64,
    /// Edge and centre trims.
    pub trims: f64,
    /// Beside lanes and trims.
    pub unused: f64,
    /// Lost at starts.
    pub starts: f64,
    /// Lost at changes of reels.
    pub changes: f64,
    /// Lost while running, and what rounding to whole metres adds.
    pub running: f64,
    /// Rejected pouches.
    pub rejects: f64,
    /// Good pouches beyond the order.
    pub overs: f64,
    /// Good pouches ordered.
    pub pouches: f64,
}

/// The parts of a web of an order.
pub fn area(model: &Model, explained: &Explanation, web: &Web) -> Area {
    let part = &model.parts[web.part];
    let product = &model.plant.products[part.product];
    let lanes = f64::from(part.lanes);
    let lane_m2 = |lane_mm: f64| lane_mm / 1000.0 * part.m2_per_lane_m;
    let metres = web.plan.printed as f64 / 1000.0 / lanes;
    let mut out = Area {
        all: metres * part.web_mm / 1000.0,
        trims: metres * part.trim_mm / 1000.0,
        ..Area::default()
    };
    out.unused = out.all - out.trims - lane_m2(web.plan.printed as f64);
    for (step, plan) in part.steps.iter().zip(&web.plan.steps) {
        let job = &step.jobs[plan.job];
        if plan.starts == 0 {
            out.rejects += lane_m2((plan.enters - plan.leaves) as f64 * part.pitch_mm);
            continue;
        }
        let here = if step.makes_pouches {
            f64::from(job.lanes)
        } else {
            lanes
        };
        let left = if step.makes_pouches {
            plan.leaves as f64 * part.pitch_mm
        } else {
            plan.leaves as f64
        };
        let starts = lane_m2(f64::from(plan.starts) * job.start_waste_mm as f64 * here);
        let changes = lane_m2(f64::from(plan.changes) * job.splice_mm * here);
        let rest = lane_m2(plan.enters as f64 - left) - starts - changes;
        out.starts += starts;
        out.changes += changes;
        if step.makes_pouches {
            out.rejects += rest;
        } else {
            out.running += rest;
        }
    }
    let ordered = explained.quantity * f64::from(explained.how.on_one_web());
    let good = |pouches: f64| lane_m2(pouches * part.pitch_mm * part.length_ratio);
    out.pouches = good(ordered);
    out.overs = good(ordered * product.overs);
    // A further web loses at the pouch machine what the body loses there, lane by lane.
    if part.web > 0
        && let Some((job, plan)) = body_at_pouching(model, explained)
    {
        let beside = f64::from(job.lanes) * part.length_ratio;
        let starts = f64::from(plan.starts) * job.start_waste_mm as f64;
        out.starts += lane_m2(starts * beside);
        out.changes += lane_m2(f64::from(plan.changes) * job.splice_mm * beside);
    }
    let rest = out.all
        - [
            out.trims,
            out.unused,
            out.starts,
            out.changes,
            out.running,
            out.rejects,
            out.overs,
            out.pouches,
        ]
        .iter()
        .sum::<f64>();
    if part.web > 0 {
        out.rejects += rest;
    } else {
        out.running += rest;
    }
    out
}

/// The step at which the body web is made into pouches: its job and plan.
fn body_at_pouching<'a>(
    model: &'a Model,
    explained: &'a Explanation,
) -> Option<(&'a Job, &'a StepPlan)> {
    let body = explained.webs.first()?;
    let steps = model.parts[body.part].steps.iter().zip(&body.plan.steps);
    let mut pouching = steps.filter(|(step, _)| step.makes_pouches);
    pouching
        .next()
        .map(|(step, plan)| (&step.jobs[plan.job], plan))
}

/// The lines of a web.
pub(super) fn write(page: &mut Page, model: &Model, explained: &Explanation, web: &Web) {
    let part = &model.parts[web.part];
    let found = area(model, explained, web);
    page.row(
        "web",
        &format!(
            "{} m x {} mm = {} m2{}",
            number(web.printed_m),
            number(part.web_mm),
            grouped(found.all, 1),
            worth(model, part.worth_at(0), found.all)
        ),
    );
    joined(page, model, web, found.all);
    let parts = [
        ("pouches", found.pouches),
        ("overs", found.overs),
        ("rejects", found.rejects),
        ("starts", found.starts),
        ("roll changes", found.changes),
        ("running", found.running),
        ("trims", found.trims),
        ("not used", found.unused),
    ];
    let told: Vec<String> = parts
        .iter()
        .filter(|(_, m2)| *m2 > 0.05)
        .map(|(word, m2)| {
            format!(
                "{word} {} ({} %)",
                grouped(*m2, 1),
                grouped(100.0 * m2 / found.all, 1)
            )
        })
        .collect();
    page.row("", &format!("of it {}", told.join(", ")));
}

/// What passes join to the web, each along the metres that come to it; and what all of it weighs and costs.
fn joined(page: &mut Page, model: &Model, web: &Web, printed_m2: f64) {
    let part = &model.parts[web.part];
    let first = part.worth_at(0);
    let mut all = Worth {
        kg_per_m2: printed_m2 * first.kg_per_m2,
        price_per_m2: printed_m2 * first.price_per_m2,
    };
    let steps = part.steps.iter().zip(&web.plan.steps);
    let mut told = false;
    for (step, plan) in steps.filter(|(step, _)| step.joins) {
        let metres = plan.enters as f64 / 1000.0 / f64::from(part.lanes);
        let m2 = metres * part.web_mm / 1000.0;
        let adds = step.adds();
        page.row(
            &format!("pass {} adds", step.passes + 1),
            &format!(
                "{} m x {} mm = {} m2{}",
                number(metres),
                number(part.web_mm),
                grouped(m2, 1),
                worth(model, adds, m2)
            ),
        );
        all.kg_per_m2 += m2 * adds.kg_per_m2;
        all.price_per_m2 += m2 * adds.price_per_m2;
        told = true;
    }
    if told {
        let mut text = format!("{} kg", grouped(all.kg_per_m2, 1));
        if all.price_per_m2 > 0.0 {
            let money = grouped(all.price_per_m2, 2);
            text.push_str(&format!("; {money} {}", model.plant.reader.currency));
        }
        page.row("all of it", &text);
    }
}

/// Weight and price of an area.
fn worth(model: &Model, each: Worth, m2: f64) -> String {
    let mut text = format!(
        " x {} g/m2 = {} kg",
        grouped(each.kg_per_m2 * 1000.0, 1),
        grouped(m2 * each.kg_per_m2, 1)
    );
    if each.price_per_m2 > 0.0 {
        text.push_str(&format!(
            "; at {} a m2 {} {}",
            number(each.price_per_m2),
            grouped(m2 * each.price_per_m2, 2),
            model.plant.reader.currency
        ));
    }
    text
}
