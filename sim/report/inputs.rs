//! The inputs of a scenario in sentences: orders, promises, calendars, people, holds, stops.
//!
//! In: a [`Plant`]. Out: points for the method of a report; distributions as a scenario would write them.

use crate::plant::{Clock, Machine, Plant, Promise, Work};
use crate::random::describe;
use crate::units::{Dimension, duration, grouped, percent};

use super::words::clean;

/// What is taken as given, in every scenario.
pub fn assumptions() -> Vec<String> {
    [
        "Orders of one or more SKUs are released when their printed rolls are handed over. Lots pass the stations below \
         in order; holds for cure and cooling run around the clock, machines and people keep their calendars. Every \
         machine is at each instant in exactly one state. An order is done when its last lot is packed and its hold \
         for shipping is over.",
        "Waste and rejects are shares; why pouches fail is not told apart. Times of one machine and the gaps between \
         orders are independent draws. Transport between stations, spare parts, temperature, humidity and learning \
         are not modelled, nor is daylight saving: civil days have 24 hours.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// The stations in the order of the floor, with their machines.
pub fn stations(plant: &Plant) -> Vec<String> {
    plant
        .stations
        .iter()
        .map(|s| {
            let machines: Vec<String> = s.machines.iter().map(|m| clean(&m.name)).collect();
            let (name, work) = (clean(&s.name), work(s.work));
            match name == work {
                true => format!("{name}: {}", machines.join(", ")),
                false => format!("{name} ({work}): {}", machines.join(", ")),
            }
        })
        .collect()
}

fn work(work: Work) -> &'static str {
    match work {
        Work::Press => "press",
        Work::Lamination => "lamination",
        Work::Slitting => "slitting",
        Work::Pouching => "pouching",
        Work::Inspection => "inspection",
        Work::Spouting => "spouting",
        Work::Packing => "packing",
        Work::Bench => "bench",
    }
}

/// What the numbers below are.
pub const ABOUT: &str = "Inputs are those of the scenario, in full below; quantities carry their units. Holds are \
    inputs by adhesive and are refused below the data sheet that the scenario states.";

/// Orders, promises, calendars, people, holds and stops.
pub fn points(plant: &Plant) -> Vec<String> {
    let mut out: Vec<String> = plant
        .arrivals
        .iter()
        .map(|s| {
            format!(
                "Orders of {}: one every {} of its opening time on average; SKUs {}; quantity {}.",
                clean(&s.name),
                duration(s.gap.mean()),
                describe(&s.skus, Dimension::Count),
                describe(&s.quantity, Dimension::Count)
            )
        })
        .collect();
    if !plant.book.is_empty() {
        let count = grouped(plant.book.len() as f64, 0);
        out.push(format!("Order book: {count} orders with their dates."));
    }
    out.extend(plant.classes.iter().map(|class| {
        let promise = match &class.promise {
            Promise::WorkingDays { days, calendar } => {
                let name = plant
                    .calendars
                    .get(*calendar)
                    .map_or_else(String::new, |k| clean(&k.name));
                let day = if *days == 1 { "day" } else { "days" };
                format!("{days} working {day} of {name}")
            }
            Promise::After(span) => describe(span, Dimension::Duration),
            Promise::None => "none".to_owned(),
        };
        format!("Promise of {}: {promise}.", clean(&class.name))
    }));
    out.extend(plant.calendars.iter().map(|k| {
        format!(
            "Calendar {}: open {} h a week.",
            clean(&k.name),
            grouped(k.weekly_open_min() as f64 / 60.0, 1)
        )
    }));
    out.extend(plant.pools.iter().map(|pool| {
        let shifts: Vec<String> = pool
            .shifts
            .iter()
            .map(|&(calendar, people)| {
                let name = plant.calendars.get(calendar).map(|k| clean(&k.name));
                format!("{people} in {}", name.unwrap_or_default())
            })
            .collect();
        let absent = match pool.absence > 0.0 {
            true => format!("; absent {}", percent(pool.absence)),
            false => String::new(),
        };
        format!(
            "People, {}: {}{absent}.",
            clean(&pool.name),
            shifts.join(", ")
        )
    }));
    let gate = |d| describe(d, Dimension::Duration);
    out.extend(plant.adhesives.iter().map(|a| {
        format!(
            "Holds of {}: slit after {}, pouch after {}, ship after {}.",
            clean(&a.name),
            gate(&a.ambient.slit),
            gate(&a.ambient.pouch),
            gate(&a.ambient.ship)
        )
    }));
    let machines = plant.stations.iter().flat_map(|s| &s.machines);
    out.extend(machines.flat_map(stops));
    out
}

/// Breakdowns and micro-stops of a machine.
fn stops(machine: &Machine) -> Vec<String> {
    let name = clean(&machine.name);
    let span = |d| describe(d, Dimension::Duration);
    let breakdowns = machine.breakdowns.iter().map(|b| {
        let every = match b.clock {
            Clock::Running => format!("{} of running", span(&b.every)),
            Clock::Calendar => format!("{} by the calendar", span(&b.every)),
            Clock::Metres => format!("{} of web", describe(&b.every, Dimension::Length)),
        };
        format!(
            "Breakdowns of {name}: every {every}; repair {}.",
            span(&b.repair)
        )
    });
    let micro = machine.micro_stops.iter().map(|m| {
        format!(
            "Micro-stops of {name}: every {} of running, lasting {}.",
            span(&m.every),
            span(&m.lasting)
        )
    });
    breakdowns.chain(micro).collect()
}
