//! What holds a cell back that does not keep up though its machines have room by arithmetic.
//!
//! In: a model and its results. Out: words for the largest of the waits: people, a limit of the floor, room or
//! racks, or the queue before a station with the rule that makes it change over more than it must. The accounts
//! are those of the orders ("where the time went") and of the machines, not the use of the busiest machine.

use crate::model::Model;
use crate::record::{SPENT, Spent, State};

use super::Summary;

/// Waiting for people that is named before the queue behind it: part of the open time of a machine.
const NAMED: f64 = 0.1;

/// What holds it back, as the end of a sentence; `None` where the accounts show nothing but full machines.
pub fn back(model: &Model, summary: &Summary) -> Option<String> {
    let plant = &model.plant;
    let first = summary.layout.split(0);
    let stations = plant.stations.len();
    let mean = |part: usize| {
        let told = summary.estimates.get(first + part);
        told.map_or(0.0, |e| if e.mean.is_nan() { 0.0 } else { e.mean })
    };
    let spent = |what: Spent| mean(stations + what as usize);
    debug_assert!(Spent::Approval as usize + 1 == SPENT);
    let queue = (0..stations).max_by(|&a, &b| mean(a).total_cmp(&mean(b)))?;
    let waits = mean(queue);
    let of_all =
        |what: Spent| spent(what) > waits.max(spent(Spent::People)).max(spent(Spent::Blocked));
    if of_all(Spent::Release) {
        return Some(match plant.run.floor_limit {
            Some(limit) => format!("`floor_limit: {limit}`: orders wait outside for their release"),
            None => {
                "the limit on orders of a class: they wait outside for their release".to_owned()
            }
        });
    }
    if spent(Spent::Blocked) > waits {
        return Some(
            "room: lots wait on machines or before full staging and cure places".to_owned(),
        );
    }
    let at = |machine: &&super::Busy| machine.station == queue;
    let people = summary
        .machines
        .iter()
        .filter(at)
        .max_by(|a, b| a.waits_people.total_cmp(&b.waits_people));
    if let Some(machine) = people.filter(|m| m.waits_people >= NAMED) {
        let pools = machine.people.join(", ");
        return Some(format!(
            "people ({pools}): {} waits for them {:.0} % of its open time",
            machine.name,
            machine.waits_people * 100.0
        ));
    }
    let station = plant.stations.get(queue)?;
    let machines = model.stations.get(queue)?.machines.clone();
    let share = |state: State| -> f64 {
        let told = machines.clone().filter_map(|m| {
            summary
                .estimates
                .get(summary.layout.machine(m) + state as usize)
        });
        told.map(|e| e.mean).sum()
    };
    let (changing, open) = (
        share(State::Changeover),
        machines.len() as f64 - share(State::OffShift) - share(State::Maintenance),
    );
    let part = changing / open;
    let rule = station.family_wait_min.map(|minutes| {
        format!(
            ", where `family_wait: {}` makes old orders break the family they wait behind",
            crate::units::duration(minutes)
        )
    });
    (part >= NAMED).then(|| {
        format!(
            "changing over at {}: {:.0} % of its open time{}",
            station.name,
            part * 100.0,
            rule.unwrap_or_default()
        )
    })
}
