//! What arithmetic alone says of a station: the least work the orders bring, against its open time.
//!
//! A check that stands beside the simulated figures: changeovers count only what every job needs (the
//! `job` element), on the quickest machine that can do it, so the true load is higher, never lower.

use crate::model::{Law, Model, plan_web};
use crate::plant::{Arrivals, AskedAt, Calendar, ElementKind, Plant};

/// Least load of one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationBound {
    /// Work a week, minutes, at least.
    pub work_min_per_week: f64,
    /// Open machine minutes in an ordinary week.
    pub open_min_per_week: f64,
    /// Load by orders that are taken whatever comes, over the measured time with its closed days; above 1 the station
    /// cannot keep up whatever is done.
    pub lasting: f64,
}

impl StationBound {
    /// Work over open time in an ordinary week.
    pub fn load(&self) -> f64 {
        self.work_min_per_week / self.open_min_per_week
    }
}

/// The bound of every station.
pub fn station_bounds(model: &Model) -> Vec<StationBound> {
    let plant = &model.plant;
    let mut bounds: Vec<StationBound> = plant
        .stations
        .iter()
        .map(|station| StationBound {
            work_min_per_week: 0.0,
            open_min_per_week: station
                .machines
                .iter()
                .map(|m| plant.calendars[m.calendar].weekly_open_min() as f64)
                .sum(),
            lasting: 0.0,
        })
        .collect();
    let share = open_shares(plant);
    for stream in &plant.arrivals {
        let lines = stream.skus_per_week(&plant.calendars);
        let lasting = taken_share(plant, stream) * stream.calendar.map_or(1.0, |c| share[c]);
        // Artworks that are ganged share a web and all starts but those at the pouch machine; that few of them may be
        // of one product makes the true load higher.
        let ganged = if stream.gang {
            stream.skus.mean().max(1.0)
        } else {
            1.0
        };
        let quantity = stream.quantity.mean() * ganged;
        for &(product, share) in &stream.products {
            for part in model.parts_of(product) {
                let ask = model.ask(part as usize, quantity, ganged.round() as u32);
                let part = &model.parts[part as usize];
                let plan = plan_web(part, &ask);
                for (step, chain) in part.steps.iter().zip(&plan.steps) {
                    let first = model.stations[step.station].machines.start;
                    let least = (0..step.jobs.len())
                        .filter(|i| step.jobs[*i].able)
                        .map(|i| {
                            let job = &step.jobs[i];
                            let setup = if model.machines[first + i].elements.is_empty() {
                                0.0
                            } else {
                                job_element(model, first + i)
                            };
                            let alongside = matches!(
                                job.law,
                                Law::Pieces {
                                    alongside: true,
                                    ..
                                }
                            );
                            let run = if alongside {
                                0.0
                            } else {
                                job.law.minutes(chain.enters, job.lanes, 0.0) / ganged
                            };
                            let start = setup + first_off(model, first + i);
                            let starts = if step.makes_pouches { 1.0 } else { ganged };
                            start / starts + run
                        })
                        .fold(f64::INFINITY, f64::min);
                    if least.is_finite() {
                        let bound = &mut bounds[step.station];
                        bound.work_min_per_week += lines * share * least;
                        bound.lasting += lines * share * least * lasting;
                    }
                }
            }
        }
    }
    for (bound, station) in bounds.iter_mut().zip(&plant.stations) {
        let open = station
            .machines
            .iter()
            .map(|m| plant.calendars[m.calendar].weekly_open_min() as f64 * share[m.calendar]);
        bound.lasting /= open.sum::<f64>();
    }
    bounds
}

/// Of each calendar: its open time in the measured time, over that of as many ordinary weeks.
fn open_shares(plant: &Plant) -> Vec<f64> {
    let run = &plant.run;
    let (from, to) = (
        run.warm_up_min as i64,
        (run.warm_up_min + run.measure_min) as i64,
    );
    let weeks = (to - from) as f64 / (7.0 * 1440.0);
    let share = |calendar: &Calendar| {
        let ordinary = calendar.weekly_open_min() as f64 * weeks;
        let open = calendar.intervals(run.start_day, to).into_iter();
        let open: i64 = open
            .map(|(open, shut)| (shut.min(to) - open.max(from)).max(0))
            .sum();
        // What is measured is shorter than a week: its days say nothing.
        if weeks < 1.0 || ordinary <= 0.0 {
            1.0
        } else {
            open as f64 / ordinary
        }
    };
    plant.calendars.iter().map(share).collect()
}

/// Share of the orders of a stream that are taken whatever comes: those of classes without a rule for a full cell.
fn taken_share(plant: &Plant, stream: &Arrivals) -> f64 {
    let taken = stream
        .classes
        .iter()
        .filter(|(class, _)| plant.classes[*class].when_full.is_none());
    taken.map(|(_, share)| share).sum()
}

/// What every start waits for its approval, minutes; one that not every start asks counts nothing.
fn first_off(model: &Model, machine: usize) -> f64 {
    let machine = &model.machines[machine];
    let spec = &model.plant.stations[machine.station].machines[machine.within];
    match &spec.first_off {
        Some(first_off) if first_off.at != AskedAt::Size => first_off.time.mean(),
        _ => 0.0,
    }
}

fn job_element(model: &Model, machine: usize) -> f64 {
    model.machines[machine]
        .elements
        .iter()
        .find(|e| e.kind == ElementKind::Job)
        .map_or(0.0, |e| e.time.mean())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model;
    use crate::scenario;

    fn bound(stream: &str) -> StationBound {
        let text = format!(
            "format: 2\nname: bound\nrun: {{ warm_up: 0 wk, measure: 4 wk }}\n\
             calendars: {{ season: {{ open: [Mon-Sun 00:00-24:00], closed: [2027-01-04 to 2027-01-24] }} }}\n\
             products: {{ piece: {{}} }}\n\
             stations: {{ s1: {{ work: bench, time: 10 min, machines: {{ server: {{ changeover: {{ job: 20 min }} }} }} }} }}\n\
             classes: {{ all: {{ promise: 1 d, when_full: turn_away }}, must: {{}} }}\n\
             orders: [{{ name: o, products: {{ piece: 100 % }}, {stream} }}]\n"
        );
        let plant = scenario::read("bound.yaml", text.as_bytes()).unwrap().plant;
        station_bounds(&model::compile(plant))[0]
    }

    /// An order an hour, each 20 min of changeover and 10 of work: half of the week. With three artworks each, ganged, a lot
    /// of all three has one changeover and one time: again half; not ganged three halves. Orders that may be turned
    /// away never fill a station for good, and of a season of one week in four a quarter counts.
    #[test]
    fn least_loads_by_hand() {
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
        let hour = "every: 60 min, classes: { must: 100 % }";
        near(bound(hour).load(), 0.5);
        near(bound(hour).lasting, 0.5);
        near(bound(&format!("{hour}, skus: 3")).load(), 1.5);
        near(
            bound("every: 60 min, classes: { must: 30 %, all: 70 % }").lasting,
            0.15,
        );
        let season = bound(&format!("{hour}, calendar: season"));
        near(season.load(), 0.5);
        near(season.lasting, 0.125);
    }
}
