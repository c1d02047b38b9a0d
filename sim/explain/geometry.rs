//! The first part of the page: the pouch on its web, the metres backward, the rolls.
//!
//! In: model and explanation. Out: lines, each with its formula and figures.

use crate::model::{Job, Law, Model, PartModel, StepPlan};
use crate::plant::{Process, Product, fit};
use crate::trade::Format;
use crate::trade::lanes::web_use;
use crate::trade::roll::{mass_kg, outer_diameter_mm};
use crate::units::grouped;

use super::page::Page;
use super::{Explanation, Web, is_web};

pub(super) fn write(page: &mut Page, model: &Model, explained: &Explanation) {
    let product = &model.plant.products[explained.product];
    page.line(
        0,
        &format!(
            "Why it takes this long: one order of {} {}",
            number(explained.quantity),
            product.name
        ),
    );
    let how = explained.how;
    if how.artworks > 1 {
        let web = if how.ganged {
            "ganged on one web"
        } else {
            "each on a web of its own; metres and runs are those of one, times of all"
        };
        page.line(
            0,
            &format!("{} artworks of that quantity each, {web}.", how.artworks),
        );
    }
    if how.split > 1 {
        page.line(
            0,
            &format!("Each artwork shared by {} pouch machines.", how.split),
        );
    }
    page.line(
        0,
        "By arithmetic alone: means, no queue, no breakdown, nobody missing.",
    );
    if let Some(format) = product.format {
        page.heading("The pouch on its web");
        pouch(page, product, format);
        for web in &explained.webs {
            layout(page, model, web);
        }
        super::layouts::write(page, model, explained);
    }
    for web in &explained.webs {
        let part = &model.parts[web.part];
        let of = if explained.webs.len() > 1 {
            format!(" of the {}", web_name(part))
        } else {
            String::new()
        };
        let unit = if is_web(part) { "Metres" } else { "Pieces" };
        page.heading(&format!("{unit}{of}, backward from what is ordered"));
        chain(page, model, explained, web);
        if is_web(part) {
            rolls(page, model, web);
            super::web::write(page, model, explained, web);
        }
    }
}

/// Words for a web.
pub(super) fn web_name(part: &PartModel) -> &'static str {
    match part.web {
        0 => "body web",
        1 => "second web",
        _ => "third web",
    }
}

/// A number with at most two decimals.
pub(super) fn number(value: f64) -> String {
    grouped(value, 2)
}

fn pouch(page: &mut Page, product: &Product, format: Format) {
    let (w, h, g) = (product.width_mm, product.height_mm, product.gusset_mm);
    let n = number;
    let rest = product.developed_mm - 2.0 * w - 2.0 * g;
    let rest = rest - 8.0 * product.fin_mm;
    let formula = match format {
        Format::StandUp | Format::Spouted => {
            format!("2 x height + 2 x gusset = 2 x {} + 2 x {}", n(h), n(g))
        }
        Format::StandUpInserted | Format::ThreeSide => format!("2 x height = 2 x {}", n(h)),
        Format::StandUpTwoWeb => format!("height + gusset = {} + {}", n(h), n(g)),
        Format::FlatBottom => format!("2 x height + depth = 2 x {} + {}", n(h), n(g)),
        Format::QuadSeal => {
            let fins = match product.fin_mm {
                0.0 => [String::new(), String::new()],
                fin => [" + 8 fins".to_string(), format!(" + 8 x {}", n(fin))],
            };
            format!(
                "2 x width + 2 x depth + seam{} = 2 x {} + 2 x {} + {}{}",
                fins[0],
                n(w),
                n(g),
                n(rest),
                fins[1]
            )
        }
        Format::RollStock => format!("2 x width + seam = 2 x {} + {}", n(w), n(rest)),
    };
    page.row(
        "developed",
        &format!("{formula} = {} mm a lane", n(product.developed_mm)),
    );
    if format == Format::RollStock {
        let cut = n(product.height_mm);
        page.row(
            "pitch",
            &format!("ordered and counted by the metre; cut off at {cut} mm"),
        );
        return;
    }
    let lies = if format.is_made_sideways() {
        "made sideways: the width"
    } else {
        "made lengthways: the height"
    };
    page.row(
        "pitch",
        &format!("{} mm of web a pouch ({lies})", n(product.pitch_mm)),
    );
}

fn layout(page: &mut Page, model: &Model, web: &Web) {
    let part = &model.parts[web.part];
    let product = &model.plant.products[part.product];
    let width = fit::web_width_mm(product, part.web);
    let lane = part.m2_per_lane_m * 1000.0;
    let used = web_use(part.lanes, lane, width);
    page.row(
        web_name(part),
        &format!(
            "{} x {} mm on {} mm: {:.1} % of the web, {} mm for trims, {} mm not used",
            part.lanes,
            number(lane),
            number(width),
            used * 100.0,
            number(part.trim_mm),
            number(width - f64::from(part.lanes) * lane - part.trim_mm)
        ),
    );
    super::passes::write(page, model, part);
}

fn chain(page: &mut Page, model: &Model, explained: &Explanation, web: &Web) {
    let part = &model.parts[web.part];
    let product = &model.plant.products[part.product];
    let ordered = explained.quantity * f64::from(explained.how.on_one_web());
    let wanted = ordered * (1.0 + product.overs);
    let overs = if product.overs > 0.0 {
        format!(
            "{} x (1 + {} %) = {}",
            number(ordered),
            number(product.overs * 100.0),
            number(wanted)
        )
    } else {
        number(wanted)
    };
    page.row("wanted", &overs);
    let lanes = f64::from(part.lanes);
    let pouching = part.steps.iter().position(|step| step.makes_pouches);
    for (nth, (step, plan)) in part.steps.iter().zip(&web.plan.steps).enumerate().rev() {
        let job = &step.jobs[plan.job];
        let name = &model.plant.stations[step.station].name;
        let here = f64::from(job.lanes);
        let waste = job.running_waste.mean() * 100.0;
        let text = if matches!(job.law, Law::Pieces { .. }) && waste > 0.0 {
            format!(
                "{} / (1 - {} %) = {} pieces",
                number(plan.leaves as f64),
                number(waste),
                number(plan.enters as f64)
            )
        } else if step.makes_pouches {
            format!(
                "{} x {} mm / {} / (1 - {} %) + {} = {} m",
                number(plan.leaves as f64),
                number(part.pitch_mm),
                lanes_word(job.lanes),
                number(waste),
                lost(job, plan),
                number(plan.enters as f64 / here / 1000.0)
            )
        } else if plan.enters == plan.leaves
            || !is_web(part)
            || pouching.is_some_and(|pouching| nth > pouching)
        {
            continue;
        } else {
            let across = if here == lanes {
                String::new()
            } else {
                format!(" (on {})", lanes_word(job.lanes))
            };
            format!(
                "{} / (1 - {} %) + {} = {} m{across}",
                number(plan.leaves as f64 / lanes / 1000.0),
                number(waste),
                lost(job, plan),
                number(plan.enters as f64 / lanes / 1000.0)
            )
        };
        page.row(name, &text);
    }
    if is_web(part) {
        let good = wanted * part.pitch_mm / lanes / 1000.0;
        let share = if part.web == 0 {
            format!(
                "; good web {} m = {:.1} %",
                number(good),
                good / web.printed_m * 100.0
            )
        } else {
            String::new()
        };
        page.row("to print", &format!("{} m{share}", number(web.printed_m)));
        page.row(
            "",
            "rounded up to whole metres at each step: a little more arrives than is planned",
        );
    }
}

/// Metres that starts and changes of reels are planned to lose.
fn lost(job: &Job, plan: &StepPlan) -> String {
    let start = number(job.start_waste_mm as f64 / 1000.0);
    let mut text = if plan.starts > 1 {
        format!("{} starts x {start}", plan.starts)
    } else {
        start
    };
    if plan.changes > 0 && job.splice_mm > 0.0 {
        let each = number(job.splice_mm / 1000.0);
        text.push_str(&format!(" + {} changes x {each}", plan.changes));
    }
    text
}

fn lanes_word(lanes: u32) -> String {
    if lanes == 1 {
        "1 lane".to_string()
    } else {
        format!("{lanes} lanes")
    }
}

fn rolls(page: &mut Page, model: &Model, web: &Web) {
    let part = &model.parts[web.part];
    let product = &model.plant.products[part.product];
    let laminate = product.laminate_of(part.web);
    let caliper = model.plant.laminates[laminate].caliper_um;
    let most = part.roll_max_mm / 1000.0;
    let each = web.printed_m / web.rolls as f64;
    let count = if web.rolls == 1 {
        "1 roll".to_string()
    } else {
        format!("{} rolls", web.rolls)
    };
    let held = if most.is_finite() {
        format!("at most {} m a roll", grouped(most, 0))
    } else {
        "no largest roll on its way".to_string()
    };
    page.row(
        "rolls",
        &format!("{} m / {held} = {count}", number(web.printed_m)),
    );
    let core = part.steps.iter().flat_map(|step| {
        let machines = &model.plant.stations[step.station].machines;
        machines
            .iter()
            .zip(&step.jobs)
            .filter(|(_, job)| job.able)
            .filter_map(|(machine, _)| match &machine.process {
                Process::Lamination(spec) => Some(spec.core_mm),
                _ => None,
            })
    });
    if let Some(core) = core.into_iter().next() {
        page.row(
            "a roll",
            &format!(
                "sqrt(4 x {} m x {} um / pi + {}^2) = {} mm across",
                grouped(each, 0),
                number(caliper),
                number(core),
                grouped(outer_diameter_mm(each, core, caliper), 0)
            ),
        );
    }
    let width = fit::web_width_mm(product, part.web);
    let weight = part.kg_per_m2 * 1000.0;
    page.row(
        "",
        &format!(
            "{} m x {} m x {} g/m2 = {} kg",
            grouped(each, 0),
            number(width / 1000.0),
            grouped(weight, 1),
            grouped(mass_kg(each, width, weight), 0)
        ),
    );
}
