//! What arithmetic alone says of a station: the least work the orders bring, against its open time.
//!
//! A check that stands beside the simulated figures: changeovers count only what every job needs (the
//! `job` element), on the quickest machine that can do it, so the true load is higher, never lower.

use crate::model::{Law, Model, plan_web};
use crate::plant::{AskedAt, ElementKind};

/// Least load of one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationBound {
    /// Work a week, minutes, at least.
    pub work_min_per_week: f64,
    /// Open machine minutes in an ordinary week.
    pub open_min_per_week: f64,
}

impl StationBound {
    /// Work over open time; above 1 the station cannot keep up whatever is done.
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
        })
        .collect();
    for stream in &plant.arrivals {
        let lines = stream.skus_per_week(&plant.calendars);
        let quantity = stream.quantity.mean();
        for &(product, share) in &stream.products {
            for part in model.parts_of(product) {
                let ask = model.ask(part as usize, quantity, 1);
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
                                job.law.minutes(chain.enters, job.lanes, 0.0)
                            };
                            setup + first_off(model, first + i) + run
                        })
                        .fold(f64::INFINITY, f64::min);
                    if least.is_finite() {
                        bounds[step.station].work_min_per_week += lines * share * least;
                    }
                }
            }
        }
    }
    bounds
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
