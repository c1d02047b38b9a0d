//! What went on while a lot waited: no room, and what the machines did.
//!
//! In: the trace of a replication, a lot and two moments. Out: phrases for its story.

use crate::model::Model;
use crate::observe::{StoryRow, Trace};
use crate::record::{LotName, State};
use crate::units::{Tick, duration, minutes_from_ticks};

/// A lot that finds no room before a station.
pub(super) struct KeptOut {
    pub(super) lot: LotName,
    pub(super) station: usize,
    pub(super) since: Tick,
    /// Machine it stays on meanwhile.
    pub(super) on: Option<usize>,
}

/// The wait of a lot that now found room, told at its beginning.
pub(super) fn let_in(
    model: &Model,
    trace: &Trace,
    kept_out: &mut Vec<KeptOut>,
    row: &StoryRow,
    station: usize,
    who: &str,
) -> Option<(Tick, String)> {
    // Rolls that are gathered on the way in may come under another number.
    let here = |out: &KeptOut| out.station == station && out.lot.is_beside(&row.lot);
    let name = |lot: &LotName| (lot.number, lot.part_of_roll);
    let at = kept_out
        .iter()
        .position(|out| here(out) && name(&out.lot) == name(&row.lot))
        .or_else(|| kept_out.iter().position(here))?;
    let KeptOut { since, on, .. } = kept_out.remove(at);
    (since < row.at).then(|| {
        let span = duration(minutes_from_ticks(row.at - since));
        let why = meanwhile(model, trace, row.lot, station, since, row.at);
        let waits = no_room(model, station, on, &span);
        (since, format!("{who}{waits}: {why}"))
    })
}

/// Where a lot waits whose station has no room for it.
pub(super) fn no_room(model: &Model, station: usize, on: Option<usize>, span: &str) -> String {
    let places = match model.stations[station].staging {
        1 => "the one place".to_string(),
        places => format!("all {places} places"),
    };
    let name = &model.plant.stations[station].name;
    match on {
        Some(m) => format!(
            "stays {span} on {}, {places} before {name} taken",
            super::change::spec(model, m).name
        ),
        None => format!("waits {span} on the floor, {places} before {name} taken"),
    }
}

/// Most other orders that are named; of more, those that took longest.
const NAMED: usize = 3;

/// What the machines of a station that can do the job did between two moments.
pub(super) fn meanwhile(
    model: &Model,
    trace: &Trace,
    lot: LotName,
    station: usize,
    from: Tick,
    to: Tick,
) -> String {
    let machines = model.stations[station].machines.clone();
    let step = model
        .parts
        .get(lot.part as usize)
        .and_then(|part| part.steps.iter().find(|step| step.station == station));
    let able = |m: usize| {
        let job = step.and_then(|step| step.jobs.get(m - machines.start));
        job.is_none_or(|job| job.able)
    };
    let several = machines.len() > 1;
    let told: Vec<String> = machines
        .clone()
        .filter(|&m| able(m))
        .map(|m| {
            let mut spent: Vec<(State, Tick)> = Vec::new();
            let mut others: Vec<(u32, Tick)> = Vec::new();
            for row in trace
                .states
                .iter()
                .filter(|row| row.machine == m && row.from < to && row.to > from)
            {
                let time = row.to.min(to) - row.from.max(from);
                match spent.iter_mut().find(|entry| entry.0 == row.state) {
                    Some(entry) => entry.1 += time,
                    None => spent.push((row.state, time)),
                }
                if let Some(of) = row.lot {
                    match others.iter_mut().find(|entry| entry.0 == of.order) {
                        Some(entry) => entry.1 += time,
                        None => others.push((of.order, time)),
                    }
                }
            }
            spent.sort_by_key(|&(state, time)| (-time, state));
            let mut states: Vec<String> = spent
                .iter()
                .take(3)
                .map(|&(state, time)| {
                    format!("{} {}", state.label(), duration(minutes_from_ticks(time)))
                })
                .collect();
            let rest: Tick = spent.iter().skip(3).map(|&(_, time)| time).sum();
            if rest > 0 {
                states.push(format!(
                    "and {} of other",
                    duration(minutes_from_ticks(rest))
                ));
            }
            let orders = orders(model, trace, others);
            let name = if several {
                format!("{} ", super::change::spec(model, m).name)
            } else {
                String::new()
            };
            format!("{name}{}{orders}", states.join(", "))
        })
        .collect();
    told.join("; ")
}

/// Orders on a machine with their times, the longest named.
fn orders(model: &Model, trace: &Trace, mut others: Vec<(u32, Tick)>) -> String {
    others.sort_by_key(|&(order, time)| (-time, order));
    let names: Vec<String> = others
        .iter()
        .take(NAMED)
        .map(|&(order, _)| trace.name(&model.plant, order))
        .collect();
    match others.len() {
        0 => String::new(),
        1 => format!(" (order {})", names.join("")),
        n if n <= NAMED => format!(" (orders {})", names.join(", ")),
        n => format!(" ({n} orders, longest {})", names.join(", ")),
    }
}

/// How a stay on a machine was spent.
pub(super) fn on_machine(trace: &Trace, machine: usize, taken: Tick, left: Tick) -> String {
    let mut spent: Vec<(State, Tick)> = Vec::new();
    for row in trace
        .states
        .iter()
        .filter(|row| row.machine == machine && row.from < left && row.to > taken)
    {
        let time = row.to.min(left) - row.from.max(taken);
        match spent.iter_mut().find(|entry| entry.0 == row.state) {
            Some(entry) => entry.1 += time,
            None => spent.push((row.state, time)),
        }
    }
    let told: Vec<String> = spent
        .iter()
        .map(|&(state, time)| format!("{} {}", state.label(), duration(minutes_from_ticks(time))))
        .collect();
    if told.is_empty() {
        String::new()
    } else {
        format!(": {}", told.join(", "))
    }
}
