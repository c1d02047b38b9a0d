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
    let at = kept_out
        .iter()
        .position(|out| (out.lot, out.station) == (row.lot, station))?;
    let KeptOut { since, on, .. } = kept_out.remove(at);
    (since < row.at).then(|| {
        let span = duration(minutes_from_ticks(row.at - since));
        let why = meanwhile(model, trace, station, since, row.at);
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

/// What the machines of a station did between two moments.
pub(super) fn meanwhile(
    model: &Model,
    trace: &Trace,
    station: usize,
    from: Tick,
    to: Tick,
) -> String {
    let machines = model.stations[station].machines.clone();
    let several = machines.len() > 1;
    let told: Vec<String> = machines
        .map(|m| {
            let mut spent: Vec<(State, Tick)> = Vec::new();
            let mut others: Vec<u32> = Vec::new();
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
                others.extend(row.lot.map(|lot| lot.order));
            }
            spent.sort_by_key(|&(state, time)| (-time, state));
            others.sort_unstable();
            others.dedup();
            let states: Vec<String> = spent
                .iter()
                .take(3)
                .map(|&(state, time)| {
                    format!("{} {}", state.label(), duration(minutes_from_ticks(time)))
                })
                .collect();
            let orders = match others.as_slice() {
                [] => String::new(),
                [one] => format!(" (order {one})"),
                [first, .., last] => format!(" ({} orders, {first} to {last})", others.len()),
            };
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

/// How a lot's time on a machine was spent, up to its leaving.
pub(super) fn on_machine(trace: &Trace, lot: LotName, machine: usize, left: Tick) -> String {
    let mut spent: Vec<(State, Tick)> = Vec::new();
    let mut end = left;
    for row in trace
        .states
        .iter()
        .rev()
        .filter(|row| row.machine == machine && row.to <= left)
    {
        if row.lot != Some(lot) || row.to != end {
            break;
        }
        end = row.from;
        match spent.iter_mut().find(|entry| entry.0 == row.state) {
            Some(entry) => entry.1 += row.to - row.from,
            None => spent.insert(0, (row.state, row.to - row.from)),
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
