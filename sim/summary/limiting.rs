//! What limits a cell: how machines spend their open time, which one is the busiest, and whether it is full.
//!
//! In: a model, its layout and the estimates of a run. Out: [`Busy`] for every machine; the station that limits and
//! the machine to be named with it; whether more work comes than something can do. A station pools its machines,
//! and unlike machines are not pooled by the orders: a narrow machine can be full beside an idle wide one. A machine
//! that waits for people is taken up as much as one that runs.

use crate::model::Model;
use crate::observe::Layout;
use crate::record::{STATES, State};

use super::{Estimate, LevelRow};

/// Share of its open time from which on a machine is called full.
pub const FULL: f64 = 0.95;

/// How much more of its open time a machine is taken up than its station, to be named: five points.
const CLEARLY: f64 = 0.05;

/// Waiting for people that is worth a word: a tenth of the open time.
const WORTH_A_WORD: f64 = 0.1;

/// Least part of its open time that a machine is taken up before the queue in front of it is taken as a sign that it
/// cannot do more.
const HALF: f64 = 0.5;

/// Shortest measured time in which a queue can be seen to grow beside the rhythm of the week, minutes.
const TWO_WEEKS_MIN: f64 = 14.0 * 1440.0;

/// How a machine spends its open time: means over replications, as shares of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Busy {
    /// Station, by its place.
    pub station: usize,
    /// Its name.
    pub name: String,
    /// Used: running, changing over, stops, repair.
    pub used: f64,
    /// Work is there, people are not.
    pub waits_people: f64,
    /// No room downstream, or something that goes with the web is missing.
    pub held: f64,
    /// Pools that its crew comes from.
    pub people: Vec<String>,
}

impl Busy {
    /// Used or waiting for people: time in which it can take nothing else.
    pub fn taken(&self) -> f64 {
        self.used + self.waits_people
    }

    /// Whether it waits for people so long that it has to be said.
    pub fn waits(&self) -> bool {
        self.waits_people >= WORTH_A_WORD
    }
}

/// All machines in floor order.
pub fn machines(model: &Model, layout: &Layout, estimates: &[Estimate]) -> Vec<Busy> {
    let plant = &model.plant;
    let mean = |index: usize| estimates.get(index).map_or(f64::NAN, |e| e.mean);
    let floor = plant
        .stations
        .iter()
        .enumerate()
        .flat_map(|(s, station)| station.machines.iter().map(move |machine| (s, machine)));
    floor
        .enumerate()
        .map(|(index, (station, machine))| {
            let first = layout.machine(index);
            let state = |state: State| mean(first + state as usize);
            let open = 1.0 - state(State::OffShift) - state(State::Maintenance);
            let of_open = |share: f64| if open > 1e-9 { share / open } else { 0.0 };
            let mut people: Vec<String> = Vec::new();
            for &(pool, _) in machine.crew.changeover.iter().chain(&machine.crew.run) {
                if let Some(pool) = plant.pools.get(pool)
                    && !people.contains(&pool.name)
                {
                    people.push(pool.name.clone());
                }
            }
            Busy {
                station,
                name: machine.name.clone(),
                // The figure itself, so that it agrees with that of the station.
                used: mean(first + STATES),
                waits_people: of_open(state(State::WaitPeople)),
                held: of_open(state(State::Blocked) + state(State::WaitMaterial)),
                people,
            }
        })
        .collect()
}

/// The machine of a station that is taken up most.
pub fn busiest_of(machines: &[Busy], station: usize) -> Option<&Busy> {
    machines
        .iter()
        .filter(|machine| machine.station == station)
        .reduce(|most, other| {
            if other.taken() > most.taken() {
                other
            } else {
                most
            }
        })
}

/// Stations, the one that limits first: by the use of their machines together; by their busiest machine where that
/// one is full.
pub fn order(machines: &[Busy], used: &[f64]) -> Vec<usize> {
    let score = |s: usize| {
        let most = busiest_of(machines, s).map_or(0.0, Busy::taken);
        if most >= FULL {
            most.max(used[s])
        } else {
            used[s]
        }
    };
    let mut order: Vec<usize> = (0..used.len()).collect();
    order.sort_by(|&a, &b| score(b).total_cmp(&score(a)));
    order
}

/// The machine to be named with a station: clearly busier than the station, or waiting for people.
pub fn named(machines: &[Busy], station: usize, used: f64) -> Option<Busy> {
    busiest_of(machines, station)
        .filter(|machine| machine.used > used + CLEARLY || machine.waits())
        .cloned()
}

/// Whether something in the cell can do no more: a machine is full, a queue before a well used one goes on growing in
/// the second half of the measured time, or orders do so in a cell whose rules or rooms keep work from machines.
pub fn is_full(model: &Model, machines: &[Busy], levels: &[LevelRow], replications: u32) -> bool {
    let plant = &model.plant;
    let from = crate::units::minutes_from_ticks(model.warm_up);
    let window = (from, from + plant.run.measure_min);
    let rises = |level: usize| rises(levels, level, window, replications);
    let long = plant.run.measure_min >= TWO_WEEKS_MIN;
    let full = |machine: &Busy| {
        let most = machine.taken() + machine.held;
        most >= FULL || long && most >= HALF && rises(2 + machine.station)
    };
    let kept_away = plant.run.floor_limit.is_some()
        || plant.classes.iter().any(|class| class.limit.is_some())
        || !plant.rooms.is_empty()
        || plant
            .stations
            .iter()
            .flat_map(|station| &station.machines)
            .any(|machine| machine.reserved.is_some());
    machines.iter().any(full) || kept_away && long && rises(0)
}

/// Whether a level is clearly higher in the last quarter of the measured time than in the quarter before it: by more
/// than two standard errors and a fifth of itself.
fn rises(levels: &[LevelRow], level: usize, (from, to): (f64, f64), replications: u32) -> bool {
    if replications < 2 {
        return false;
    }
    let quarter = (to - from) / 4.0;
    let average = |from: f64, to: f64| -> Option<(f64, f64)> {
        let rows: Vec<(f64, f64)> = levels
            .iter()
            .filter(|row| row.at_min >= from && row.at_min < to)
            .filter_map(|row| Some((*row.mean.get(level)?, *row.sd.get(level)?)))
            .collect();
        let count = rows.len() as f64;
        (count > 0.0).then(|| {
            let sum = |of: fn(&(f64, f64)) -> f64| rows.iter().map(of).sum::<f64>() / count;
            // The spread of one instant is an upper bound of that of an average over time.
            (
                sum(|row| row.0),
                sum(|row| row.1) / f64::from(replications).sqrt(),
            )
        })
    };
    let (Some((before, e)), Some((last, f))) = (
        average(to - 2.0 * quarter, to - quarter),
        average(to - quarter, to),
    ) else {
        return false;
    };
    let more = last - before;
    more > 2.0 * e.hypot(f) && more > 0.2 * before
}

#[cfg(test)]
mod tests {
    use super::*;

    fn busy(station: usize, used: f64, waits_people: f64) -> Busy {
        Busy {
            station,
            name: format!("m{station}"),
            used,
            waits_people,
            held: 0.0,
            people: vec!["packers".into()],
        }
    }

    /// A full machine limits although the machines of another station are used more on average; one that is not full
    /// does not.
    #[test]
    fn a_full_machine_limits_before_a_busier_station() {
        let all = [busy(0, 0.7, 0.0), busy(1, 0.99, 0.0), busy(1, 0.2, 0.0)];
        assert_eq!(order(&all, &[0.7, 0.6]), [1, 0]);
        assert_eq!(named(&all, 1, 0.6).unwrap().used, 0.99);
        assert_eq!(named(&all, 0, 0.7), None);
        let all = [busy(0, 0.7, 0.0), busy(1, 0.9, 0.0), busy(1, 0.2, 0.0)];
        assert_eq!(order(&all, &[0.7, 0.55]), [0, 1]);
    }

    #[test]
    fn waiting_for_people_limits() {
        let all = [busy(0, 0.8, 0.0), busy(1, 0.0, 1.0)];
        assert_eq!(order(&all, &[0.8, 0.0]), [1, 0]);
        assert!(named(&all, 1, 0.0).unwrap().waits());
    }

    /// Levels 0, 1, 2, ... grow; those that fill up and stay do not.
    #[test]
    fn growth_and_filling_up_are_told_apart() {
        let rows = |of: fn(f64) -> f64| -> Vec<LevelRow> {
            (0..80)
                .map(|i| LevelRow {
                    at_min: f64::from(i),
                    mean: vec![of(f64::from(i))],
                    sd: vec![1.0],
                })
                .collect()
        };
        assert!(rises(&rows(|x| x), 0, (0.0, 80.0), 20));
        assert!(!rises(&rows(|x| x.min(30.0)), 0, (0.0, 80.0), 20));
        assert!(!rises(&rows(|x| x), 0, (0.0, 80.0), 1));
    }
}
