//! Layouts of one product compared: widths of web that the shop keeps, lanes, pouches turned, artworks side by side.
//!
//! In: model and explanation. Out: a line for each, with the web that the order would take.

use crate::model::{Model, compile, plan_web};
use crate::plant::{Plant, Product};
use crate::trade::Format;
use crate::trade::lanes::{WebTrims, lanes_across, trims_mm, web_use};
use crate::units::grouped;

use super::Explanation;
use super::geometry::number;
use super::page::Page;

pub(super) fn write(page: &mut Page, model: &Model, explained: &Explanation) {
    let product = &model.plant.products[explained.product];
    let mut widths = model.plant.web_widths.clone();
    if !widths.iter().any(|&width| same(width, product.web_mm)) {
        widths.push(product.web_mm);
        widths.sort_by(f64::total_cmp);
    }
    let turns = product.format == Some(Format::ThreeSide);
    let artworks = explained.how.on_one_web();
    let mut rows = Vec::new();
    for &width in &widths {
        for turned in [false, true].into_iter().take(1 + usize::from(turns)) {
            let own = same(width, product.web_mm) && !turned;
            if let Some(text) = layout(&model.plant, explained, width, turned, artworks) {
                let taken = if own { "  <- taken" } else { "" };
                rows.push((format!("{} mm", number(width)), format!("{text}{taken}")));
            }
        }
    }
    let side_by_side = artworks > 1 && product.lanes.is_multiple_of(artworks);
    if side_by_side && let Some(text) = layout(&model.plant, explained, product.web_mm, false, 1) {
        let text = format!("{artworks} artworks side by side, one start: {text}; not simulated");
        rows.push((format!("{} mm", number(product.web_mm)), text));
    }
    if rows.len() < 2 {
        return;
    }
    page.heading("Layouts of the body web, for this order");
    for (width, text) in rows {
        page.row(&width, &text);
    }
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

/// The order on a web of that width, in words; `None` where not one lane fits.
fn layout(
    plant: &Plant,
    explained: &Explanation,
    width_mm: f64,
    turned: bool,
    artworks: u32,
) -> Option<String> {
    let mut plant = plant.clone();
    let product = plant.products.get_mut(explained.product)?;
    lay_out(product, width_mm, turned)?;
    let (lanes, lane_mm) = (product.lanes, product.developed_mm);
    let model = compile(plant);
    let index = model.parts_of(explained.product).start as usize;
    let part = &model.parts[index];
    let pouches = explained.quantity * f64::from(explained.how.on_one_web());
    let ask = model
        .ask(index, pouches, artworks)
        .shared(explained.how.split);
    let metres = plan_web(part, &ask).printed as f64 / f64::from(part.lanes) / 1000.0;
    let m2 = metres * width_mm / 1000.0;
    let turned = if turned { ", turned" } else { "" };
    let lanes_word = if lanes == 1 { "lane" } else { "lanes" };
    let able = part.steps.iter().all(|step| step.able_machines() > 0);
    let cannot = if able {
        ""
    } else {
        "; no machine of the cell for it"
    };
    Some(format!(
        "{lanes} {lanes_word}{turned}, {} % of the web: {} m = {} m2{cannot}",
        grouped(web_use(lanes, lane_mm, width_mm) * 100.0, 1),
        number(metres),
        grouped(m2, 1),
    ))
}

/// Lays the body web of a product out anew: as many lanes as fit, the pouch turned by a right angle where wanted.
fn lay_out(product: &mut Product, width_mm: f64, turned: bool) -> Option<()> {
    if turned {
        product.developed_mm = 2.0 * product.width_mm;
        product.pitch_mm = product.height_mm;
    }
    let trims = WebTrims {
        edge_mm: product.edge_trim_mm,
        centre_mm: product.centre_trim_mm,
    };
    if !same(width_mm, product.web_mm) || turned {
        let lanes = lanes_across(width_mm, product.developed_mm, &trims).ok()?;
        // Reels that carry several lanes stay as they are, so lanes are a multiple of theirs.
        let reels = lanes / product.reel_lanes.max(1);
        product.lanes = reels * product.reel_lanes.max(1);
        if product.lanes == 0 {
            return None;
        }
    }
    product.web_mm = width_mm;
    product.trim_mm = trims_mm(product.lanes, product.developed_mm, &trims);
    Some(())
}
