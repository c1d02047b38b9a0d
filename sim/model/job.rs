//! One step on one machine: what it must be dressed for, and its run-time law.
//!
//! In: the plant, a machine, a product and its web. Out: a [`Job`].

use crate::plant::fit;
use crate::plant::{BenchPer, ElementKind, Machine, Plant, Process, Product, SlittingSpec, Work};
use crate::random::Dist;
use crate::units::TICKS_PER_MINUTE;

use super::law::ticks;
use super::settings::Settings;
use super::{Dressing, Job, Law};

/// One step of web `web` of product `index` on one machine, after `passes` lamination passes.
pub(super) fn job(
    plant: &Plant,
    settings: &mut Settings,
    machine: &Machine,
    index: usize,
    (web, passes): (u8, u8),
) -> Job {
    let product = &plant.products[index];
    let able = fit::fits(plant, index, web, passes, machine).is_ok();
    let mut dressing = Dressing::default();
    let laminate_index = product.laminate_of(web);
    let laminate = plant.laminates.get(laminate_index);
    let width = fit::web_width_mm(product, web);
    let lanes = if product.format.is_some() {
        fit::web_lanes(product, web).max(1)
    } else {
        1
    };
    let reels = fit::reels_across(product, web).max(1);
    let mut out = Job {
        able,
        dressing,
        dress: 0,
        lanes,
        law: Law::Lot(Dist::Constant(0.0)),
        start_waste_mm: 0,
        running_waste: Dist::Constant(0.0),
        mean_waste: 0.0,
        reel: machine
            .film_reel_m
            .map(|m| (m * 1000.0, ticks(machine.film_change_min))),
        slits_inline: false,
        splice_mm: 0.0,
        at_once: 1,
        parts_lanes: 0,
        roll_change: 0,
        product: index,
        bare: false,
        loses: false,
    };
    let per_min = TICKS_PER_MINUTE as f64;
    match &machine.process {
        Process::Press(spec) => {
            dressing.set(
                ElementKind::Width,
                settings.of_mm(ElementKind::Width, width, 0),
            );
            out.law = web_law(spec.speed_m_per_min, spec.ramp_m_per_min_s);
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.running_waste.clone();
        }
        Process::Lamination(spec) => {
            if let Some(laminate) = laminate {
                let pass = laminate.pass(passes);
                let adhesive = &plant.adhesives[pass.adhesive];
                dressing.set(ElementKind::Film, u32::from(pass.film) + 1);
                dressing.set(ElementKind::Finish, u32::from(pass.finish) + 1);
                dressing.set(ElementKind::Adhesive, pass.adhesive as u32 + 1);
                dressing.set(ElementKind::Process, adhesive.process as u32 + 1);
                dressing.set(ElementKind::Treater, pass.treat.bits() + 1);
                let speed = spec
                    .processes
                    .iter()
                    .find(|p| p.0 == adhesive.process)
                    .map_or(1.0, |p| p.1);
                let speed = speed * machine.speed_share(&pass.kinds);
                out.law = web_law(speed.min(pass.speed_m_per_min), spec.ramp_m_per_min_s);
            }
            dressing.set(
                ElementKind::Width,
                settings.of_mm(ElementKind::Width, width, 0),
            );
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.running_waste.clone();
            out.roll_change = ticks(spec.roll_change_min);
            out.slits_inline = spec.inline_lanes >= lanes && spec.inline_lanes > 1;
            out.parts_lanes = if out.slits_inline { reels } else { 0 };
        }
        Process::Slitting(spec) => {
            dressing.set(
                ElementKind::Width,
                settings.of_mm(ElementKind::Width, width, 0),
            );
            let lane_mm = product
                .more(web)
                .map_or(product.developed_mm, |m| m.width_mm);
            dressing.set(
                ElementKind::Knives,
                settings.of_mm(ElementKind::Knives, lane_mm, lanes * 1000 + reels),
            );
            dressing.times[ElementKind::Knives as usize] = (reels + 1).min(255) as u8;
            let share = laminate.map_or(1.0, |l| machine.speed_share(&l.kinds));
            let set_mm = fit::reel_max_m(plant, index, web, spec) * 1000.0;
            out.law = slit_law(spec, set_mm, share, reels);
            out.parts_lanes = reels;
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.running_waste.clone();
            out.roll_change = ticks(spec.roll_change_min);
        }
        Process::Pouching(spec) => {
            dressing.set(ElementKind::Film, laminate_index as u32 + 1);
            dressing.set(
                ElementKind::Width,
                settings.of_mm(ElementKind::Width, product.width_mm, 0),
            );
            dressing.set(
                ElementKind::Height,
                settings.of_mm(ElementKind::Height, product.height_mm, 0),
            );
            dressing.set(
                ElementKind::Gusset,
                settings.of_mm(ElementKind::Gusset, product.gusset_mm, 0),
            );
            let zipper = u32::from(product.zipper) + u32::from(product.zipper_kind);
            dressing.set(ElementKind::Zipper, zipper + 1);
            dressing.set(ElementKind::SealBars, u32::from(product.bottom));
            if let Some(format) = product.format {
                dressing.set(ElementKind::Format, format as u32 + 1);
                dressing.flat_bottom = format == crate::trade::Format::FlatBottom;
                let lanes = fit::pouch_lanes(product, spec).max(1);
                out.lanes = lanes;
                out.at_once = fit::reels_at_once(plant, product, spec).max(1);
                out.splice_mm = spec.splice_waste_m * 1000.0;
                let caliper = laminate.map_or(0.0, |l| l.caliper_um);
                let share = laminate.map_or(1.0, |l| machine.speed_share(&l.kinds));
                let caps = super::plan::rate_caps(spec, format, product, caliper, share);
                let cpm = super::plan::cycles_per_min(spec, &caps, product, lanes);
                out.law = Law::Cycles {
                    pitch_mm: product.pitch_mm,
                    ticks_per_cycle: per_min / cpm,
                };
            }
            out.reel = match (product.zipper, spec.zipper_reel_m) {
                (true, Some(reel)) => Some((reel * 1000.0, ticks(spec.zipper_change_min))),
                _ => None,
            };
            dressing.punches = product
                .features
                .iter()
                .fold(0, |bits, &f| bits | 1 << (f % 64));
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.rejects.clone();
            out.roll_change = ticks(spec.roll_change_min);
        }
        Process::Spouting(spec) => {
            out.law = Law::Pieces {
                ticks_per_piece: per_min / spec.rate_per_min,
                per_carton: 1.0,
                carton: 0.0,
                per_lot: ticks(spec.per_lot_min),
                alongside: false,
            };
            out.running_waste = spec.rejects.clone();
        }
        Process::Packing(spec) => {
            let roll_stock = product.format == Some(crate::trade::Format::RollStock);
            out.law = Law::Pieces {
                // Reels of roll-stock are wrapped one by one; pouches are counted into cartons.
                ticks_per_piece: if roll_stock {
                    0.0
                } else {
                    per_min / spec.rate_per_min
                },
                per_carton: if roll_stock {
                    f64::INFINITY
                } else {
                    f64::from(product.per_carton.max(1))
                },
                carton: spec.carton_min * per_min,
                per_lot: if roll_stock {
                    ticks(spec.carton_min * f64::from(lanes))
                } else {
                    0
                },
                alongside: spec.alongside && !roll_stock,
            };
        }
        Process::Bench(bench) => {
            if let Some(Some(time)) = bench.times.get(index) {
                let piece = product.format.is_none();
                out.law = match bench.per {
                    BenchPer::Lot => Law::Lot(time.clone()),
                    BenchPer::Metre => Law::Each {
                        time: time.clone(),
                        unit: 1000.0 * f64::from(lanes),
                    },
                    BenchPer::Pouch => Law::Each {
                        time: time.clone(),
                        unit: if piece || after_pouching(plant, product, machine) {
                            1.0
                        } else {
                            product.pitch_mm
                        },
                    },
                };
            }
        }
    }
    out.dressing = dressing;
    out.mean_waste = out.running_waste.mean();
    out
}

/// Whether the machine's station comes after pouching on the product's route.
fn after_pouching(plant: &Plant, product: &Product, machine: &Machine) -> bool {
    let of = |name: &str| {
        product
            .route
            .iter()
            .position(|&s| plant.stations[s].machines.iter().any(|m| m.name == name))
    };
    let pouching = product
        .route
        .iter()
        .position(|&s| plant.stations[s].work == Work::Pouching);
    matches!((of(&machine.name), pouching), (Some(here), Some(pouching)) if here > pouching)
}

fn web_law(speed_m_per_min: f64, ramp_m_per_min_s: f64) -> Law {
    Law::Web {
        m_per_min: speed_m_per_min,
        ramp: ramp_m_per_min_s,
        set_mm: f64::INFINITY,
        start_mm: 0.0,
        kept: 1.0,
        set_stop: 0,
    }
}

fn slit_law(spec: &SlittingSpec, set_mm: f64, share: f64, reels: u32) -> Law {
    Law::Web {
        m_per_min: spec.speed_m_per_min * share,
        ramp: spec.ramp_m_per_min_s,
        set_mm,
        start_mm: mm(spec.start_waste_m) as f64,
        kept: 1.0 - spec.running_waste.mean(),
        set_stop: ticks(spec.doff_min + spec.core_load_min * f64::from(reels)),
    }
}

fn mm(metres: f64) -> i64 {
    (metres * 1000.0).round() as i64
}
