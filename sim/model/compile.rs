//! Plant to model: one pass over calendars, machines and products.

use crate::plant::calendar::Calendar;
use crate::plant::{Interrupt, Machine, Plant, Promise, Rule, ShiftEnd, Work, fit};
use crate::random::Dist;
use crate::units::{TICKS_PER_MINUTE, Tick};

use super::alike;
use super::facts;
use super::job::job;
use super::keys::Keys;
use super::law::ticks;
use super::part::part_model;
use super::settings::Settings;
use super::typical;
use super::{
    Dressing, MachineModel, MeanMinutes, Model, PartModel, Presence, SAMPLES, StationModel,
    family_bit,
};

/// Compiles a validated plant.
pub fn compile(plant: Plant) -> Model {
    let run = &plant.run;
    let total_min = run.warm_up_min + run.measure_min + run.run_out_min;
    // Intervals reach past the end so that overtime and promises near the end have their days.
    let minutes = (total_min.ceil() as i64) + 60 * 1440;
    let calendars: Vec<Vec<(Tick, Tick)>> = plant
        .calendars
        .iter()
        .map(|c| open_ticks(c, run.start_day, minutes))
        .collect();
    let mut settings = Settings::default();
    let mut stations = Vec::new();
    let mut machines = Vec::new();
    for (index, station) in plant.stations.iter().enumerate() {
        let first = machines.len();
        for (within, machine) in station.machines.iter().enumerate() {
            machines.push(machine_model(
                &plant,
                &calendars,
                &mut settings,
                (index, within),
                machine,
            ));
        }
        stations.push(StationModel {
            machines: first..machines.len(),
            work: station.work,
            rules: facts::once(&station.next),
            family_wait: station.family_wait_min.map_or(Tick::MAX, ticks),
            family_slack: station.family_slack_min.map_or(Tick::MIN, ticks),
            family_most: station.family_most.unwrap_or(u32::MAX),
            reckons: false,
            lot: station.lot,
            staging: station.staging.unwrap_or(u32::MAX),
            interrupt: station.policy.interrupt,
            family: station
                .policy
                .family
                .iter()
                .fold(0, |bits, &kind| bits | family_bit(kind)),
            split_factor: station.policy.split_factor,
            freeze: ticks(station.policy.freeze_min),
            timed: station.machines.iter().any(|m| m.reserved.is_some())
                || (station.work == Work::Lamination
                    && plant.adhesives.iter().any(|a| a.days.is_some())),
            sorted_queue: false,
            restless: false,
            spoils: station.work == Work::Lamination
                && plant
                    .laminates
                    .iter()
                    .any(|l| l.longest_min.iter().any(|min| min.is_finite())),
            rework: station.policy.rework,
            needs_plan: station.policy.freeze_min > 0.0
                || station.next.iter().any(|r| {
                    matches!(
                        r,
                        Rule::LeastSlack | Rule::CriticalRatio | Rule::ShortestWork
                    )
                })
                || station.family_slack_min.is_some(),
        });
    }
    let mut parts = Vec::new();
    let mut body = Vec::new();
    for (index, product) in plant.products.iter().enumerate() {
        body.push(parts.len() as u32);
        parts.push(part_model(&plant, &mut settings, index, product, 0));
        for (web, _) in product.made_here() {
            parts.push(part_model(&plant, &mut settings, index, product, web));
        }
    }
    let ordered = alike::ordered(&plant);
    for machine in &mut machines {
        let spec = &plant.stations[machine.station].machines[machine.within];
        alike::forget_what_never_changes(&ordered, &mut parts, machine);
        let dressings = number_dressings(&mut parts, machine);
        machine.dressed_as = machine.dressed.map_or(0, |dressed| {
            let known = dressings.iter().position(|&other| other == dressed);
            known.map_or(u32::MAX, |number| number as u32 + 1)
        });
        if spec.changeover.table.is_none() {
            machine.mean_changeover = MeanMinutes::new(&spec.changeover, &dressings);
        }
    }
    for (index, station) in stations.iter_mut().enumerate() {
        let all = all_able(&parts, index);
        let still = station
            .rules
            .iter()
            .all(|r| matches!(r, Rule::FirstCome | Rule::EarliestDue | Rule::ClassFirst));
        // The machine stays with the SKU it runs where lots of one SKU can queue one after the other;
        // only a station whose lots are whole SKUs has a queue order that nothing can change.
        let whole = station.lot == crate::plant::LotSize::Order || station.work == Work::Bench;
        let choosy = machines[station.machines.clone()]
            .iter()
            .any(|m: &MachineModel| {
                // Before its closing, and in overtime, a machine does not take just any lot.
                matches!(
                    m.shift_end,
                    ShiftEnd::NoLateStart | ShiftEnd::FinishOrder(_)
                )
            });
        let policy = station.timed
            || station.freeze > 0
            || station.split_factor.is_some()
            || station.interrupt != Interrupt::Never;
        station.reckons = !facts::alike(index, &machines[station.machines.clone()], &parts);
        station.sorted_queue = !station.reckons
            && all
            && still
            && whole
            && !choosy
            && !policy
            && station.rules.len() <= 2;
        station.restless = facts::restless(station);
    }
    for step in parts.iter_mut().flat_map(|part| &mut part.steps) {
        let specs = &plant.stations[step.station].machines;
        for (job, spec) in step.jobs.iter_mut().zip(specs) {
            job.bare = facts::bare(job, spec, step.makes_pouches);
            job.loses = job.running_waste != Dist::Constant(0.0);
        }
    }
    typical::typical_changes(&plant, &machines, &stations, &mut parts);
    let promise_closings = plant
        .classes
        .iter()
        .map(|class| match class.promise {
            Promise::WorkingDays { calendar, .. } => {
                day_closings(&known_days(&plant.calendars[calendar], &plant, minutes))
            }
            _ => Vec::new(),
        })
        .collect();
    Model {
        keys: Keys::of(&plant),
        streams: facts::streams(&plant),
        stations,
        machines,
        calendars,
        parts,
        body,
        promise_closings,
        looks: plant
            .adhesives
            .iter()
            .any(|adhesive| adhesive.lab.is_some()),
        quotes: plant.classes.iter().any(|class| class.when_full.is_some()),
        warm_up: ticks(run.warm_up_min),
        measured_end: ticks(run.warm_up_min + run.measure_min),
        end: ticks(total_min),
        sample_every: (ticks(total_min) / SAMPLES as Tick).max(1),
        plant,
    }
}

/// Openings of a promise's calendar, from the first release of the order book on where that lies before the start.
fn known_days(calendar: &Calendar, plant: &Plant, minutes: i64) -> Vec<(Tick, Tick)> {
    let first = plant.book.iter().map(|order| order.release_min);
    let days_before = (first.fold(0.0, f64::min) / -1440.0).ceil() as i32;
    let earlier = i64::from(days_before) * 1440;
    let start = plant.run.start_day - days_before;
    let mut open = open_ticks(calendar, start, minutes + earlier);
    for (from, to) in &mut open {
        *from -= earlier * TICKS_PER_MINUTE;
        *to -= earlier * TICKS_PER_MINUTE;
    }
    open
}

/// Gives the dressings of a machine's jobs their numbers.
fn number_dressings(parts: &mut [PartModel], machine: &MachineModel) -> Vec<Dressing> {
    let mut dressings: Vec<Dressing> = Vec::new();
    let steps = parts.iter_mut().flat_map(|part| &mut part.steps);
    for step in steps.filter(|step| step.station == machine.station) {
        let job = &mut step.jobs[machine.within];
        let known = dressings.iter().position(|&d| d == job.dressing);
        job.dress = known.unwrap_or(dressings.len()) as u32;
        if known.is_none() {
            dressings.push(job.dressing);
        }
    }
    dressings
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
            let midnight = (from.div_euclid(DAY) + 1) * DAY;
            let end = if to - from > DAY { midnight } else { to };
            if days.last() == Some(&(from.div_euclid(DAY))) {
                if let Some(last) = closings.last_mut() {
                    *last = end;
                }
            } else {
                days.push(from.div_euclid(DAY));
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
    settings: &mut Settings,
    (station, within): (usize, usize),
    machine: &Machine,
) -> MachineModel {
    let maintenance = machine
        .maintenance
        .map(|c| calendars[c].as_slice())
        .unwrap_or_default();
    let open: &[(Tick, Tick)] = if plant.calendars[machine.calendar].never_closes() {
        &[(0, Tick::MAX)]
    } else {
        &calendars[machine.calendar]
    };
    let timeline = timeline(open, maintenance);
    let crewless = machine.crew.changeover.is_empty()
        && machine.crew.run.is_empty()
        && machine.breakdowns.iter().all(|b| b.crew.is_empty())
        && (machine.first_off.as_ref()).is_none_or(|first_off| first_off.crew.is_empty());
    let changes_over = !machine.changeover.elements.is_empty()
        || machine.changeover.table.is_some()
        || machine.changeover.cold_start.is_some();
    MachineModel {
        station,
        within,
        longest_open: longest_open(&timeline),
        timeline,
        shift_end: machine.shift_end,
        elements: machine.changeover.elements.clone(),
        dressed: machine.dressed_for.map(|p| {
            let product = &plant.products[p];
            let passes = plant.laminates.get(product.laminate);
            let passes = passes.map_or(1, |laminate| laminate.passes.len()) as u8;
            // Of the passes of a product the first one that the machine makes.
            let takes = |pass: &u8| fit::fits(plant, p, 0, *pass, machine).is_ok();
            let pass = (0..passes).find(takes).unwrap_or(0);
            job(plant, settings, machine, p, (0, pass)).dressing
        }),
        crewless,
        approves: machine.first_off.is_some(),
        one_crew: machine.crew.changeover == machine.crew.run,
        changes_over,
        counts_metres: facts::counts_metres(machine),
        stops: !machine.breakdowns.is_empty() || machine.micro_stops.is_some(),
        dressed_as: 0,
        mean_changeover: MeanMinutes::default(),
        table_means: machine
            .changeover
            .table
            .iter()
            .flat_map(|table| &table.times)
            .map(|time| machine.changeover.at_least_locked(time.mean()))
            .collect(),
        quick: machine.changeover.table.is_none()
            && machine.changeover.cold_start.is_none()
            && machine
                .changeover
                .elements
                .iter()
                .all(|e| matches!(e.time, Dist::Constant(0.0))),
    }
}

/// Changes of presence in time order, beginning at zero.
fn timeline(open: &[(Tick, Tick)], maintenance: &[(Tick, Tick)]) -> Vec<(Tick, Presence)> {
    let mut instants: Vec<Tick> = open
        .iter()
        .chain(maintenance)
        .flat_map(|&(a, b)| [a, b])
        .collect();
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
    timeline
        .iter()
        .zip(ends)
        .filter(|(l, _)| l.1 == Presence::Open)
        .map(|(l, end)| end - l.0)
        .max()
        .unwrap_or(0)
}

fn all_able(parts: &[PartModel], station: usize) -> bool {
    parts
        .iter()
        .flat_map(|p| &p.steps)
        .filter(|s| s.station == station)
        .all(|s| s.jobs.iter().all(|job| job.able))
}
