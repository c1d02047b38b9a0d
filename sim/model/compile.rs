//! Plant to model: one pass over calendars, machines and products.

use crate::plant::calendar::Calendar;
use crate::plant::fit;
use crate::plant::{
    BenchPer, ElementKind, Machine, Plant, Process, Product, Promise, Rule, ShiftEnd, SlittingSpec, Station, Work,
};
use crate::trade::roll::length_m;
use crate::units::{TICKS_PER_MINUTE, Tick};

use super::law::ticks;
use super::{Dressing, GateKind, Job, Law, MachineModel, Model, PartModel, Presence, StationModel, StepModel};

/// Compiles a validated plant.
pub fn compile(plant: Plant) -> Model {
    let run = &plant.run;
    let total_min = run.warm_up_min + run.measure_min + run.run_out_min;
    // Intervals reach past the end so that overtime and promises near the end have their days.
    let minutes = (total_min.ceil() as i64) + 60 * 1440;
    let calendars: Vec<Vec<(Tick, Tick)>> =
        plant.calendars.iter().map(|c| open_ticks(c, run.start_day, minutes)).collect();
    let mut stations = Vec::new();
    let mut machines = Vec::new();
    for (index, station) in plant.stations.iter().enumerate() {
        let first = machines.len();
        for machine in &station.machines {
            machines.push(machine_model(&plant, &calendars, index, station, machine));
        }
        stations.push(StationModel {
            machines: first..machines.len(),
            work: station.work,
            rules: station.next.clone(),
            family_wait: station.family_wait_min.map_or(Tick::MAX, ticks),
            lot: station.lot,
            staging: station.staging.unwrap_or(u32::MAX),
            sorted_queue: false,
            needs_plan: station
                .next
                .iter()
                .any(|r| matches!(r, Rule::LeastSlack | Rule::CriticalRatio | Rule::ShortestWork)),
        });
    }
    let mut parts = Vec::new();
    let mut body = Vec::new();
    for (index, product) in plant.products.iter().enumerate() {
        body.push(parts.len() as u32);
        parts.push(part_model(&plant, index, product, 0));
        if product.second.as_ref().is_some_and(|s| s.made_here) {
            parts.push(part_model(&plant, index, product, 1));
        }
    }
    for (index, station) in stations.iter_mut().enumerate() {
        let all = all_able(&parts, index, station.machines.len());
        let still = station.rules.iter().all(|r| matches!(r, Rule::FirstCome | Rule::EarliestDue | Rule::ClassFirst));
        // The machine stays with the SKU it runs where lots of one SKU can queue one after the other;
        // only a station whose lots are whole SKUs has a queue order that nothing can change.
        let whole = station.lot == crate::plant::LotSize::Order || station.work == Work::Bench;
        let choosy = machines[station.machines.clone()].iter().any(|m: &MachineModel| m.shift_end == ShiftEnd::NoLateStart);
        station.sorted_queue = all && still && whole && !choosy && station.rules.len() <= 2;
    }
    let promise_closings = plant
        .classes
        .iter()
        .map(|class| match class.promise {
            Promise::WorkingDays { calendar, .. } => day_closings(&calendars[calendar]),
            _ => Vec::new(),
        })
        .collect();
    Model {
        stations,
        machines,
        calendars,
        parts,
        body,
        promise_closings,
        warm_up: ticks(run.warm_up_min),
        measured_end: ticks(run.warm_up_min + run.measure_min),
        end: ticks(total_min),
        plant,
    }
}

fn open_ticks(calendar: &Calendar, start_day: i32, minutes: i64) -> Vec<(Tick, Tick)> {
    calendar
        .intervals(start_day, minutes)
        .into_iter()
        .map(|(from, to)| (from * TICKS_PER_MINUTE, to * TICKS_PER_MINUTE))
        .collect()
}

/// Last closing instant of each day that has an opening, ascending.
fn day_closings(open: &[(Tick, Tick)]) -> Vec<Tick> {
    const DAY: Tick = 1440 * TICKS_PER_MINUTE;
    let mut closings: Vec<Tick> = Vec::new();
    let mut days: Vec<Tick> = Vec::new();
    for &(from, to) in open {
        // A night shift belongs to the day it starts; a stretch over several days closes at each midnight.
        let (mut from, to) = (from, to);
        loop {
            let midnight = (from / DAY + 1) * DAY;
            let end = if to - from > DAY { midnight } else { to };
            if days.last() == Some(&(from / DAY)) {
                if let Some(last) = closings.last_mut() {
                    *last = end;
                }
            } else {
                days.push(from / DAY);
                closings.push(end);
            }
            if end >= to {
                break;
            }
            from = end;
        }
    }
    closings
}

fn machine_model(
    plant: &Plant,
    calendars: &[Vec<(Tick, Tick)>],
    station_index: usize,
    station: &Station,
    machine: &Machine,
) -> MachineModel {
    let maintenance = machine.maintenance.map(|c| calendars[c].as_slice()).unwrap_or_default();
    let open: &[(Tick, Tick)] = if plant.calendars[machine.calendar].never_closes() {
        &[(0, Tick::MAX)]
    } else {
        &calendars[machine.calendar]
    };
    let timeline = timeline(open, maintenance);
    let plain = machine.crew.changeover.is_empty()
        && machine.crew.run.is_empty()
        && machine.breakdowns.is_empty()
        && machine.micro_stops.is_none();
    MachineModel {
        station: station_index,
        longest_open: longest_open(&timeline),
        timeline,
        shift_end: machine.shift_end,
        elements: machine.changeover.elements.clone(),
        dressed: machine
            .dressed_for
            .map(|p| job(plant, station.work, machine, p, 0).dressing),
        plain,
    }
}

/// Changes of presence in time order, beginning at zero.
fn timeline(open: &[(Tick, Tick)], maintenance: &[(Tick, Tick)]) -> Vec<(Tick, Presence)> {
    let mut instants: Vec<Tick> = open.iter().chain(maintenance).flat_map(|&(a, b)| [a, b]).collect();
    instants.push(0);
    instants.sort_unstable();
    instants.dedup();
    let mut out: Vec<(Tick, Presence)> = Vec::with_capacity(instants.len());
    let (mut o, mut m) = (0, 0);
    for at in instants.into_iter().filter(|&t| t != Tick::MAX) {
        let within = |list: &[(Tick, Tick)], next: &mut usize| {
            while list.get(*next).is_some_and(|i| i.1 <= at) {
                *next += 1;
            }
            list.get(*next).is_some_and(|i| i.0 <= at)
        };
        let serviced = within(maintenance, &mut m);
        let presence = match (serviced, within(open, &mut o)) {
            (true, _) => Presence::Maintenance,
            (false, true) => Presence::Open,
            (false, false) => Presence::Closed,
        };
        if out.last().map(|l| l.1) != Some(presence) {
            out.push((at, presence));
        }
    }
    out
}

fn longest_open(timeline: &[(Tick, Presence)]) -> Tick {
    let ends = timeline.iter().skip(1).map(|l| l.0).chain([Tick::MAX]);
    timeline.iter().zip(ends).filter(|(l, _)| l.1 == Presence::Open).map(|(l, end)| end - l.0).max().unwrap_or(0)
}

fn all_able(parts: &[PartModel], station: usize, machines: usize) -> bool {
    let full = if machines >= 64 { u64::MAX } else { (1_u64 << machines) - 1 };
    parts.iter().flat_map(|p| &p.steps).filter(|s| s.station == station).all(|s| s.able == full)
}

fn part_model(plant: &Plant, index: usize, product: &Product, web: u8) -> PartModel {
    let pouching = product.route.iter().position(|&s| plant.stations[s].work == Work::Pouching);
    let mut route = product.route.clone();
    if web == 1 {
        // The second web is laminated and slit by its own laminate's passes and ends where it joins.
        let second = product.second.as_ref().map_or(product.laminate, |s| s.laminate);
        let passes = usize::from(plant.laminates[second].passes);
        route.truncate(pouching.unwrap_or(0));
        let mut seen = 0;
        route.retain(|&s| match plant.stations[s].work {
            Work::Lamination => {
                seen += 1;
                seen <= passes
            }
            Work::Press => true,
            Work::Slitting => true,
            _ => false,
        });
        if let Some(first) = route.iter().position(|&s| plant.stations[s].work == Work::Lamination) {
            let station = route[first];
            for _ in seen..passes {
                route.insert(first, station);
            }
        }
    }
    let mut steps: Vec<StepModel> = Vec::new();
    let mut bonded = 0;
    for &station_index in &route {
        let station = &plant.stations[station_index];
        let jobs: Vec<Job> = station.machines.iter().map(|m| job(plant, station.work, m, index, web)).collect();
        let able = jobs.iter().enumerate().fold(0_u64, |bits, (i, j)| bits | (u64::from(j.able) << i));
        steps.push(StepModel {
            station: station_index,
            gate: match station.work {
                _ if bonded == 0 => GateKind::Open,
                Work::Lamination => GateKind::SecondPass,
                Work::Slitting => GateKind::Slit,
                _ => GateKind::Pouch,
            },
            bonds: station.work == Work::Lamination,
            makes_pouches: station.work == Work::Pouching,
            plan_job: able.trailing_zeros().min(jobs.len() as u32 - 1) as usize,
            able,
            jobs,
        });
        bonded += usize::from(station.work == Work::Lamination);
    }
    let laminate = match (&product.second, web) {
        (Some(second), 1) => second.laminate,
        _ => product.laminate,
    };
    let piece = product.format.is_none();
    let caliper = if piece { 0.0 } else { plant.laminates[laminate].caliper_um };
    let width = match (&product.second, web) {
        (Some(second), 1) => second.width_mm,
        _ => product.developed_mm,
    };
    PartModel {
        product: index,
        web,
        join: (web == 0 && product.second.as_ref().is_some_and(|s| s.made_here)).then_some(pouching).flatten(),
        lanes: if piece { 1 } else { fit::web_lanes(product, web).max(1) },
        pitch_mm: product.pitch_mm,
        roll_max_mm: if piece { f64::INFINITY } else { roll_max_mm(plant, product, web, caliper) },
        m2_per_lane_m: if piece { 0.0 } else { width / 1000.0 },
        kg_per_m2: if piece { 0.0 } else { plant.laminates[laminate].weight_g_per_m2 / 1000.0 },
        steps,
    }
}

/// Longest roll that every laminator able to take this web can unwind and rewind, mm.
fn roll_max_mm(plant: &Plant, product: &Product, web: u8, caliper_um: f64) -> f64 {
    let index = plant.products.iter().position(|p| p.name == product.name).unwrap_or(0);
    product
        .route
        .iter()
        .flat_map(|&s| &plant.stations[s].machines)
        .filter(|m| fit::fits(plant, index, web, m).is_ok())
        .filter_map(|m| match &m.process {
            Process::Lamination(spec) => {
                Some(length_m(spec.unwind_max_mm.min(spec.rewind_max_mm), spec.core_mm, caliper_um) * 1000.0)
            }
            _ => None,
        })
        .fold(f64::INFINITY, f64::min)
}

/// Identity number of a setting: equal values share one. Values are whole enough to compare by bits.
fn identity(value: f64) -> u16 {
    // 0 means "does not matter"; hundredths of a millimetre keep 130 and 130.5 mm apart within 16 bits
    // by mixing, and a clash needs two sizes that differ by exactly 655.35 mm.
    (((value * 100.0).round() as i64).rem_euclid(65_535) + 1) as u16
}

fn job(plant: &Plant, work: Work, machine: &Machine, index: usize, web: u8) -> Job {
    let product = &plant.products[index];
    let able = fit::fits(plant, index, web, machine).is_ok();
    let mut dressing = Dressing::default();
    let mut set = |kind: ElementKind, value: u16| dressing.setting[kind as usize] = value;
    let laminate_index = match (&product.second, web) {
        (Some(second), 1) => second.laminate,
        _ => product.laminate,
    };
    let laminate = plant.laminates.get(laminate_index);
    let width = fit::web_width_mm(product, web);
    let lanes = if product.format.is_some() { fit::web_lanes(product, web).max(1) } else { 1 };
    let mut out = Job {
        able,
        dressing,
        lanes,
        law: Law::Lot(crate::random::Dist::Constant(0.0)),
        start_waste_mm: 0,
        running_waste: 0.0,
        roll_change: 0,
        product: index,
    };
    let per_min = TICKS_PER_MINUTE as f64;
    match &machine.process {
        Process::Press(spec) => {
            set(ElementKind::Width, identity(width));
            out.law = web_law(spec.speed_m_per_min, spec.ramp_m_per_min_s);
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.running_waste;
        }
        Process::Lamination(spec) => {
            if let Some(laminate) = laminate {
                let adhesive = &plant.adhesives[laminate.adhesive];
                set(ElementKind::Film, laminate.film + 1);
                set(ElementKind::Finish, laminate.finish + 1);
                set(ElementKind::Adhesive, laminate.adhesive as u16 + 1);
                set(ElementKind::Process, adhesive.process as u16 + 1);
                let speed = spec.processes.iter().find(|p| p.0 == adhesive.process).map_or(1.0, |p| p.1);
                out.law = web_law(speed, spec.ramp_m_per_min_s);
            }
            set(ElementKind::Width, identity(width));
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.running_waste;
            out.roll_change = ticks(spec.roll_change_min);
        }
        Process::Slitting(spec) => {
            set(ElementKind::Width, identity(width));
            let lane_mm = match (&product.second, web) {
                (Some(second), 1) => second.width_mm,
                _ => product.developed_mm,
            };
            set(ElementKind::Knives, identity(lane_mm) ^ (lanes as u16) << 11);
            dressing.times[ElementKind::Knives as usize] = (lanes + 1).min(255) as u8;
            set_cores(&mut dressing, lanes);
            out.law = slit_law(spec, laminate.map_or(0.0, |l| l.caliper_um), lanes);
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.running_waste;
            out.roll_change = ticks(spec.roll_change_min);
        }
        Process::Pouching(spec) => {
            set(ElementKind::Film, laminate_index as u16 + 1);
            set(ElementKind::Width, identity(product.width_mm));
            set(ElementKind::Height, identity(product.height_mm));
            set(ElementKind::Gusset, identity(product.gusset_mm));
            set(ElementKind::Zipper, u16::from(product.zipper) + 1);
            if let Some(format) = product.format {
                set(ElementKind::Format, format as u16 + 1);
                dressing.flat_bottom = format == crate::trade::Format::FlatBottom;
                let lanes = fit::pouch_lanes(product, spec).max(1);
                out.lanes = lanes;
                let caliper = laminate.map_or(0.0, |l| l.caliper_um);
                let cpm = super::plan::cycles_per_min(spec, format, product, caliper, lanes);
                out.law = Law::Cycles {
                    pitch_mm: product.pitch_mm,
                    ticks_per_cycle: per_min / cpm,
                    reel_mm: match (product.zipper, spec.zipper_reel_m) {
                        (true, Some(reel)) => reel * 1000.0,
                        _ => f64::INFINITY,
                    },
                    reel_stop: ticks(spec.zipper_change_min),
                };
            }
            dressing.punches = product.features.iter().fold(0, |bits, &f| bits | 1 << (f % 64));
            out.start_waste_mm = mm(spec.start_waste_m);
            out.running_waste = spec.rejects;
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
            out.running_waste = spec.rejects;
        }
        Process::Packing(spec) => {
            let roll_stock = product.format == Some(crate::trade::Format::RollStock);
            out.law = Law::Pieces {
                // Reels of roll-stock are wrapped one by one; pouches are counted into cartons.
                ticks_per_piece: if roll_stock { 0.0 } else { per_min / spec.rate_per_min },
                per_carton: if roll_stock { f64::INFINITY } else { f64::from(product.per_carton.max(1)) },
                carton: spec.carton_min * per_min,
                per_lot: if roll_stock { ticks(spec.carton_min * f64::from(lanes)) } else { 0 },
                alongside: spec.alongside && !roll_stock,
            };
        }
        Process::Bench(bench) => {
            if let Some(Some(time)) = bench.times.get(index) {
                let piece = product.format.is_none();
                out.law = match bench.per {
                    BenchPer::Lot => Law::Lot(time.clone()),
                    BenchPer::Metre => Law::Each { time: time.clone(), unit: 1000.0 * f64::from(lanes) },
                    BenchPer::Pouch => Law::Each {
                        time: time.clone(),
                        unit: if piece || after_pouching(plant, product, machine) { 1.0 } else { product.pitch_mm },
                    },
                };
            }
            // Bench machines are dressed by product, so that a from→to table can speak.
            dressing.setting[ElementKind::Format as usize] = 0;
        }
    }
    let _ = work;
    out.dressing = dressing;
    out
}

/// Whether the machine's station comes after pouching on the product's route.
fn after_pouching(plant: &Plant, product: &Product, machine: &Machine) -> bool {
    let of = |name: &str| {
        product.route.iter().position(|&s| plant.stations[s].machines.iter().any(|m| m.name == name))
    };
    let pouching = product.route.iter().position(|&s| plant.stations[s].work == Work::Pouching);
    matches!((of(&machine.name), pouching), (Some(here), Some(pouching)) if here > pouching)
}

fn set_cores(dressing: &mut Dressing, lanes: u32) {
    dressing.setting[ElementKind::Cores as usize] = 1;
    dressing.times[ElementKind::Cores as usize] = lanes.min(255) as u8;
}

fn web_law(speed_m_per_min: f64, ramp_m_per_min_s: f64) -> Law {
    Law::Web {
        m_per_min: speed_m_per_min,
        ramp: ramp_m_per_min_s,
        set_mm: f64::INFINITY,
        set_stop: 0,
    }
}

fn slit_law(spec: &SlittingSpec, caliper_um: f64, lanes: u32) -> Law {
    Law::Web {
        m_per_min: spec.speed_m_per_min,
        ramp: spec.ramp_m_per_min_s,
        set_mm: length_m(spec.rewind_max_mm, spec.core_mm, caliper_um) * 1000.0,
        set_stop: ticks(spec.doff_min + spec.core_load_min * f64::from(lanes)),
    }
}

fn mm(metres: f64) -> i64 {
    (metres * 1000.0).round() as i64
}
