//! Can this machine make this web of this product? The one place that decides it.
//!
//! In: product, laminate, machine. Out: nothing, or the first reason why not, with the numbers.

use super::machine::Machine;
use super::process::{PouchingSpec, Process, SlittingSpec};
use super::product::{Product, Treated};
use super::{LaminationProcess, Plant, Work};
use crate::trade::roll::length_m;

/// Why a machine cannot do a step.
#[derive(Debug, Clone, PartialEq)]
pub enum Misfit {
    /// Web wider than the machine takes: (web, machine), mm.
    TooWide(f64, f64),
    /// Web narrower than the machine takes: (web, machine), mm.
    TooNarrow(f64, f64),
    /// The machine does not run this lamination process.
    Process(LaminationProcess),
    /// A corona treater is missing: (needed, there).
    Treaters(Treated, Treated),
    /// More knives needed than there are: (needed, there).
    Knives(u32, u32),
    /// The machine does not make this format.
    Format(crate::trade::Format),
    /// More webs to join than the machine has: (needed, there).
    Webs(u32, u32),
    /// More reels side by side than unwinds: (of the body, of further webs, unwinds).
    Unwinds(u32, u32, u32),
    /// No zipper module.
    Zipper,
    /// A module is missing: its index.
    Module(u16),
    /// Not even one lane fits: (developed width and trims, machine), mm.
    Lane(f64, f64),
    /// A bench station without a time for this product.
    NoTime,
    /// A piece without a format at a station that needs a web.
    NoFormat,
}

/// Width of the web of a product at the laminator and slitter, mm; `web` 0 is the body web.
pub fn web_width_mm(product: &Product, web: u8) -> f64 {
    product.more(web).map_or(product.web_mm, |m| m.web_mm)
}

/// Lanes of a product on a pouch machine: no more than the web had, the machine joins, and its width takes.
pub fn pouch_lanes(product: &Product, spec: &PouchingSpec) -> u32 {
    let by_width = (spec.web_max_mm / product.developed_mm).floor().max(0.0) as u32;
    product.lanes.min(spec.lanes_max).min(by_width)
}

/// Lanes of a web on the laminator and slitter.
pub fn web_lanes(product: &Product, web: u8) -> u32 {
    product.more(web).map_or(product.lanes, |m| m.lanes)
}

/// Reels side by side that a web of a product is slit to.
pub fn reels_across(product: &Product, web: u8) -> u32 {
    let lanes = web_lanes(product, web);
    if web == 0 {
        lanes.div_ceil(product.reel_lanes.max(1))
    } else {
        lanes
    }
}

/// Whether the body web of a product is parted before it comes to the pouch machine: by a slitter, or in line by a
/// laminator of its route.
pub fn is_slit(plant: &Plant, product: &Product) -> bool {
    let lanes = product.lanes;
    product
        .route
        .iter()
        .filter_map(|&station| plant.stations.get(station))
        .any(|station| {
            station.work == Work::Slitting
                || station.machines.iter().any(|m| match &m.process {
                    Process::Lamination(spec) => {
                        spec.inline_lanes >= lanes && spec.inline_lanes > 1
                    }
                    _ => false,
                })
        })
}

/// Longest reel that a slitter makes of a web, m: as its rewind and lift take it, and those of the pouch machines on the
/// way of the product that can make it.
pub fn reel_max_m(plant: &Plant, index: usize, web: u8, slitter: &SlittingSpec) -> f64 {
    let product = &plant.products[index];
    let laminate = plant.laminates.get(product.laminate_of(web));
    let (caliper_um, g_per_m2) = laminate.map_or((0.0, 0.0), |l| (l.caliper_um, l.weight_g_per_m2));
    let (across_mm, reels) = match product.more(web) {
        Some(more) => (more.width_mm, 1),
        None => (product.developed_mm, product.reel_lanes.max(1)),
    };
    let kg_per_m = across_mm / 1000.0 * f64::from(reels) * g_per_m2 / 1000.0;
    let (mut across, mut lift_kg) = (slitter.rewind_max_mm, slitter.lift_kg);
    let stations = product.route.iter().filter_map(|&s| plant.stations.get(s));
    for machine in stations.flat_map(|station| &station.machines) {
        if let Process::Pouching(spec) = &machine.process
            && fits(plant, index, web, 0, machine).is_ok()
        {
            across = across.min(spec.unwind_max_mm);
            lift_kg = lift_kg.min(spec.lift_kg);
        }
    }
    length_m(across, slitter.core_mm, caliper_um).min(lift_kg / kg_per_m)
}

/// Unwinds that the further webs of a product take on a pouch machine: for each web a reel for as many lanes as it
/// serves.
pub fn more_unwinds(product: &Product, spec: &PouchingSpec) -> u32 {
    let lanes = pouch_lanes(product, spec);
    let reels = product
        .more_webs
        .iter()
        .map(|web| lanes.div_ceil(web.serves.max(1)));
    reels.sum()
}

/// Reels of the body web that run side by side on a pouch machine; an unslit web is one roll.
pub fn reels_at_once(plant: &Plant, product: &Product, spec: &PouchingSpec) -> u32 {
    if is_slit(plant, product) {
        pouch_lanes(product, spec).div_ceil(product.reel_lanes.max(1))
    } else {
        1
    }
}

/// Whether `machine` can do its work on `web` (0 body, then the further ones) of product `index` of the plant; a
/// laminator its pass `pass`, from 0, which says nothing elsewhere.
///
/// # Errors
/// The first [`Misfit`] found.
pub fn fits(
    plant: &Plant,
    index: usize,
    web: u8,
    pass: u8,
    machine: &Machine,
) -> Result<(), Misfit> {
    let product = &plant.products[index];
    let width = web_width_mm(product, web);
    if product.format.is_none()
        && !matches!(
            machine.process,
            Process::Bench(_) | Process::Packing(_) | Process::Spouting(_)
        )
    {
        return Err(Misfit::NoFormat);
    }
    let within = |max: f64| {
        if width > max {
            Err(Misfit::TooWide(width, max))
        } else {
            Ok(())
        }
    };
    match &machine.process {
        Process::Press(spec) => within(spec.web_max_mm),
        Process::Lamination(spec) => {
            let pass = plant.laminates[product.laminate_of(web)].pass(pass);
            let process = plant.adhesives[pass.adhesive].process;
            if !spec.processes.iter().any(|p| p.0 == process) {
                return Err(Misfit::Process(process));
            }
            let treat = pass.treat;
            if !spec.treaters.covers(treat) {
                return Err(Misfit::Treaters(treat, spec.treaters));
            }
            if width < spec.web_min_mm {
                return Err(Misfit::TooNarrow(width, spec.web_min_mm));
            }
            within(spec.web_max_mm)
        }
        Process::Slitting(spec) => {
            within(spec.web_max_mm)?;
            let knives = reels_across(product, web) + 1;
            if knives > spec.knives {
                Err(Misfit::Knives(knives, spec.knives))
            } else {
                Ok(())
            }
        }
        Process::Pouching(spec) => {
            let format = product.format.ok_or(Misfit::NoFormat)?;
            if !spec.formats.iter().any(|f| f.0 == format) {
                return Err(Misfit::Format(format));
            }
            let webs = 1 + product.more_webs.len() as u32;
            if webs > spec.webs {
                return Err(Misfit::Webs(webs, spec.webs));
            }
            if product.zipper && !spec.zipper {
                return Err(Misfit::Zipper);
            }
            if let Some(&missing) = product.features.iter().find(|f| !spec.modules.contains(f)) {
                return Err(Misfit::Module(missing));
            }
            if pouch_lanes(product, spec) == 0 {
                return Err(Misfit::Lane(product.developed_mm, spec.web_max_mm));
            }
            let reels = reels_at_once(plant, product, spec);
            let more = more_unwinds(product, spec);
            if reels + more > spec.webs {
                return Err(Misfit::Unwinds(reels, more, spec.webs));
            }
            Ok(())
        }
        Process::Spouting(_) | Process::Packing(_) => Ok(()),
        Process::Bench(time) => match time.times.get(index) {
            Some(Some(_)) => Ok(()),
            _ => Err(Misfit::NoTime),
        },
    }
}
