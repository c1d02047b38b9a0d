//! A web of a product on its way: its steps, what bonds and parts it, how long its rolls may be.
//!
//! In: the plant and a product. Out: a [`PartModel`] with a job for every machine of every step.

use crate::plant::way::way;
use smallvec::SmallVec;

use crate::kernel::NEVER;
use crate::plant::{Laminate, LotSize, Plant, Process, Product, Sheet, Supply, Work, fit};
use crate::trade::roll::length_m;
use crate::units::ticks_from_minutes;

use super::job::job;
use super::settings::Settings;
use super::{GateKind, Job, Law, PartModel, StepModel, Worth};

/// Web `web` of product `index` and its way through the cell.
pub(super) fn part_model(
    plant: &Plant,
    settings: &mut Settings,
    index: usize,
    product: &Product,
    web: u8,
) -> PartModel {
    let pouching = product
        .route
        .iter()
        .position(|&s| plant.stations[s].work == Work::Pouching);
    let route = way(plant, product, web);
    let made = plant.laminates.get(product.laminate_of(web));
    let made = made.filter(|_| product.format.is_some());
    let mut steps: Vec<StepModel> = Vec::new();
    let mut adhesives = SmallVec::new();
    let mut bonded: u8 = 0;
    let dry = made.map_or(0, |made| ticks_from_minutes(made.dry_min));
    for &station_index in &route {
        let station = &plant.stations[station_index];
        let jobs: Vec<Job> = station
            .machines
            .iter()
            .map(|m| job(plant, settings, m, index, (web, bonded)))
            .collect();
        let bonds = station.work == Work::Lamination;
        let (enters, leaves) =
            made.map_or_else(Default::default, |made| worth(made, bonded, bonds));
        let adhesive = made.filter(|_| bonds).map(|m| m.pass(bonded).adhesive);
        steps.push(StepModel {
            station: station_index,
            gate: match station.work {
                Work::Lamination if bonded == 0 && dry > 0 => GateKind::Dry,
                _ if bonded == 0 => GateKind::Open,
                Work::Lamination => GateKind::SecondPass,
                Work::Slitting => GateKind::Slit,
                _ => GateKind::Pouch,
            },
            prints: station.work == Work::Press,
            bonds,
            passes: bonded,
            adhesive,
            enters,
            leaves,
            joins: enters != leaves,
            makes_pouches: station.work == Work::Pouching,
            straight: false,
            lossless: false,
            lot: station.lot,
            plan_on: station.plan_on,
            plan_job: plan_job(&jobs, station.plan_on),
            typical_change_min: 0.0,
            jobs,
        });
        adhesives.extend(adhesive);
        bonded += u8::from(bonds);
    }
    let mut lossless = product.format.is_none();
    for step in steps.iter_mut().rev() {
        lossless &= !matches!(step.jobs[step.plan_job].law, Law::Pieces { .. });
        step.lossless = lossless;
    }
    let join = (web == 0 && product.made_here().next().is_some())
        .then_some(pouching)
        .flatten();
    for step in &mut steps {
        let used = |s: &Supply| s.is_used(step.station, step.makes_pouches);
        let supplied = product.supplies.iter().any(used);
        step.straight = join.is_none() && !step.makes_pouches && !supplied;
    }
    let laminate = product.laminate_of(web);
    let piece = product.format.is_none();
    let caliper = if piece {
        0.0
    } else {
        plant.laminates[laminate].caliper_um
    };
    let width = product
        .more(web)
        .map_or(product.developed_mm, |m| m.width_mm);
    let minutes = match plant.laminates.get(laminate) {
        Some(laminate) if !piece => laminate.longest_min,
        _ => [f64::INFINITY; 2],
    };
    let longest = minutes.map(|minutes| match minutes.is_finite() {
        true => ticks_from_minutes(minutes),
        false => NEVER,
    });
    PartModel {
        product: index,
        web,
        mixed: adhesives.iter().any(|adhesive| adhesive != &adhesives[0]),
        longest,
        dry,
        adhesives,
        join,
        counts_rolls: !piece && steps.iter().any(counts_rolls),
        length_ratio: product.more(web).map_or(1.0, |more| more.length_ratio),
        lanes: if piece {
            1
        } else {
            fit::web_lanes(product, web).max(1)
        },
        pitch_mm: product.pitch_mm,
        piece,
        roll_max_mm: if piece {
            f64::INFINITY
        } else {
            roll_max_mm(plant, product, index, web)
        },
        caliper_um: caliper,
        price_per_m2: if piece {
            0.0
        } else {
            plant.laminates[laminate].price_per_m2
        },
        m2_per_lane_m: if piece { 0.0 } else { width / 1000.0 },
        web_mm: if piece {
            0.0
        } else {
            fit::web_width_mm(product, web)
        },
        trim_mm: product.more(web).map_or(product.trim_mm, |m| m.trim_mm),
        kg_per_m2: if piece {
            0.0
        } else {
            plant.laminates[laminate].weight_g_per_m2 / 1000.0
        },
        steps,
    }
}

/// The machine that plans of single lots reckon with: the named one where it can do the step, or else the one that
/// loses most of a kilometre.
fn plan_job(jobs: &[Job], named: Option<usize>) -> usize {
    if let Some(on) = named.filter(|&on| jobs[on].able) {
        return on;
    }
    let lost = |job: &Job| job.start_waste_mm as f64 + 1e6 * job.mean_waste;
    let mut most = 0;
    for (index, job) in jobs.iter().enumerate().filter(|(_, job)| job.able) {
        if !jobs[most].able || lost(job) > lost(&jobs[most]) {
            most = index;
        }
    }
    most
}

/// How many rolls, reels and lots come to a step decides what is lost there.
fn counts_rolls(step: &StepModel) -> bool {
    let shared = step.able_machines() > 1 && step.lot != LotSize::Order;
    shared || step.jobs.iter().any(|job| job.splice_mm > 0.0)
}

/// What comes to a step after so many passes, and what it is there; a pass joins its web at once.
fn worth(made: &Laminate, passes: u8, bonds: bool) -> (Worth, Worth) {
    let of = |sheet: Sheet| Worth {
        kg_per_m2: sheet.weight_g_per_m2 / 1000.0,
        price_per_m2: sheet.price_per_m2,
    };
    let pass = made.pass(passes);
    let all_made = usize::from(passes) >= made.passes.len();
    let enters = of(if all_made { pass.leaves } else { pass.enters });
    (enters, if bonds { of(pass.leaves) } else { enters })
}

/// Longest roll that every laminator able to take this web can unwind as it comes, and rewind as it leaves, mm.
fn roll_max_mm(plant: &Plant, product: &Product, index: usize, web: u8) -> f64 {
    let laminate = &plant.laminates[product.laminate_of(web)];
    let mut most = f64::INFINITY;
    let mut passes = 0;
    for &station in &product.route {
        let station = &plant.stations[station];
        let pass = laminate.pass(passes);
        for machine in &station.machines {
            if let Process::Lamination(spec) = &machine.process
                && fit::fits(plant, index, web, passes, machine).is_ok()
            {
                let mut takes = |across, caliper| {
                    most = most.min(length_m(across, spec.core_mm, caliper) * 1000.0)
                };
                takes(spec.unwind_max_mm, pass.enters.caliper_um);
                takes(spec.rewind_max_mm, pass.leaves.caliper_um);
                let g_per_m =
                    fit::web_width_mm(product, web) / 1000.0 * pass.leaves.weight_g_per_m2;
                most = most.min(spec.lift_kg * 1000.0 / g_per_m * 1000.0);
            }
        }
        passes += u8::from(station.work == Work::Lamination);
    }
    most
}
