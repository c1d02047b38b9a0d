//! What happened to one order of a replication, and why it waited.
//!
//! In: the trace of a replication and an order in it. Out: text: every event with its time, for each
//! wait what the machines of the station did meanwhile, and where the lead time went, to the last minute.

use crate::model::Model;
use crate::observe::{OrderRow, Trace};
use crate::plant::Plant;
use crate::record::{ALL_SPENT, LotEvent, LotName};
use crate::units::{Tick, duration, grouped, minutes_from_ticks};

use super::clock::{self, moment};
use super::meanwhile::{KeptOut, let_in, meanwhile, no_room, on_machine};
use super::page::Page;
use super::rolls::{Rolls, outside};

/// Which order is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted<'a> {
    /// By its name in the order book, or else its number.
    Named(&'a str),
    /// The last one done.
    Last,
    /// The last one done after its due date.
    LastLate,
}

/// The order asked for.
pub fn find<'t>(plant: &Plant, trace: &'t Trace, wanted: Wanted<'_>) -> Option<&'t OrderRow> {
    let done = trace.orders.iter().filter(|row| row.done.is_some());
    match wanted {
        Wanted::Named(name) => {
            let mut orders = trace.orders.iter();
            let booked = orders.find(|row| trace.book_name(plant, row.order) == Some(name));
            let number = name.parse::<u32>().ok();
            booked.or_else(|| trace.orders.iter().find(|row| Some(row.order) == number))
        }
        Wanted::Last => last(done),
        Wanted::LastLate => last(done.filter(|row| row.due.is_some() && row.done > row.due)),
    }
}

/// The last one done of those that are in the results; of all where none of them is.
fn last<'t>(done: impl Iterator<Item = &'t OrderRow>) -> Option<&'t OrderRow> {
    done.max_by_key(|row| (row.measured, row.done, row.order))
}

/// The story of an order of replication `replication`.
pub fn text(model: &Model, trace: &Trace, order: &OrderRow, replication: u32) -> String {
    let mut page = Page::default();
    head(&mut page, model, trace, order, replication);
    page.heading("What happened");
    for (at, line) in events(model, trace, order) {
        page.line(
            22,
            &format!("{}  {line}", moment(model.plant.run.start_day, at)),
        );
    }
    split(&mut page, model, order);
    page.text()
}

fn head(page: &mut Page, model: &Model, trace: &Trace, order: &OrderRow, replication: u32) {
    let plant = &model.plant;
    let day = plant.run.start_day;
    let skus = if order.skus == 1 {
        "1 SKU".to_string()
    } else {
        format!("{} SKUs", order.skus)
    };
    page.line(
        0,
        &format!(
            "Order {}{} of replication {replication} (seed {}): {skus}, {} ordered, first {}, class {}",
            order.order,
            trace
                .book_name(plant, order.order)
                .map_or_else(String::new, |name| format!(" ({name})")),
            plant.run.seed,
            grouped(order.ordered as f64, 0),
            plant.products[order.product].name,
            plant.classes[order.class].name
        ),
    );
    page.row("came in", &moment(day, order.released));
    let due = order
        .due
        .map_or_else(|| "nothing".to_string(), |due| clock::due(day, due));
    page.row("promised", &due);
    match order.done {
        None => page.row("done", "not before the replication ended"),
        Some(done) => {
            let late = order.due.map_or_else(String::new, |due| {
                let span = duration(minutes_from_ticks((done - due).abs()));
                if done > due {
                    format!(", {span} late")
                } else {
                    format!(", {span} to spare")
                }
            });
            page.row("done", &format!("{}{late}", moment(day, done)));
            if let Some(good) = order.good {
                page.row(
                    "good",
                    &format!(
                        "{} of {} ordered",
                        grouped(good as f64, 0),
                        grouped(order.ordered as f64, 0)
                    ),
                );
            }
        }
    }
    if !order.measured {
        page.row(
            "note",
            "released outside the measured time; it is not in the results",
        );
    }
}

/// All events of the order with their words, in time order.
fn events(model: &Model, trace: &Trace, order: &OrderRow) -> Vec<(Tick, String)> {
    let day = model.plant.run.start_day;
    let station_name = |s: usize| {
        model
            .plant
            .stations
            .get(s)
            .map_or("shipping", |station| station.name.as_str())
    };
    let machine_name = |m: usize| super::change::spec(model, m).name.as_str();
    // Lots of one SKU and web bear one name; the one that queued first at a station is taken first.
    let mut queued: Vec<(LotName, usize, Tick)> = Vec::new();
    let mut lines: Vec<(Tick, String)> = outside(model, trace, order).into_iter().collect();
    let rolls = Rolls::of(trace, order);
    // Lots on machines since when.
    let mut on: Vec<(LotName, usize, Tick)> = Vec::new();
    // Lots that found no room, by station, until they are in.
    let mut kept_out: Vec<KeptOut> = Vec::new();
    for row in trace
        .stories
        .iter()
        .filter(|row| row.lot.order == order.order)
    {
        let who = rolls.who(order, row.lot);
        let held = |what: &str, until: Tick, station: usize| {
            let span = duration(minutes_from_ticks(until - row.at));
            let (before, end) = (station_name(station), moment(day, until));
            format!("{who}{what}, {span}, before {before}, until {end}")
        };
        let line = match row.event {
            LotEvent::Released => match rolls.released(order, row) {
                Some(line) => line,
                None => continue,
            },
            LotEvent::NoRoom(station, on) => {
                if !kept_out
                    .iter()
                    .any(|out| (out.lot, out.station) == (row.lot, station))
                {
                    kept_out.push(KeptOut {
                        lot: row.lot,
                        station,
                        since: row.at,
                        on,
                    });
                }
                continue;
            }
            LotEvent::NoPlace(station, machine) => format!(
                "{who}stays on {}: no free cure place before {}",
                machine_name(machine),
                station_name(station)
            ),
            LotEvent::Queued(station, _) => {
                lines.extend(let_in(model, trace, &mut kept_out, row, station, &who));
                queued.push((row.lot, station, row.at));
                continue;
            }
            LotEvent::Printing(until, station) => {
                held("printed together with others", until, station)
            }
            LotEvent::Drying(until, station) => {
                held("held until ink or toner is dry", until, station)
            }
            LotEvent::Curing(until, station) => held("held for cure or cooling", until, station),
            LotEvent::Sampled(until, station) => held("with the laboratory", until, station),
            LotEvent::Lacking(until, station, supply) => {
                let product = model.parts[row.lot.part as usize].product;
                let supplies = &model.plant.products[product].supplies;
                let lacks = supplies.get(supply).map_or("material", |s| s.name.as_str());
                held(&format!("waits for its {lacks}"), until, station)
            }
            LotEvent::Gathering(station) => {
                lines.extend(let_in(model, trace, &mut kept_out, row, station, &who));
                format!(
                    "{who}waits for its other rolls or webs before {}",
                    station_name(station)
                )
            }
            LotEvent::Taken(machine) => {
                let station = model.machines[machine].station;
                let at = queued
                    .iter()
                    .position(|&(lot, s, _)| lot == row.lot && s == station);
                on.push((row.lot, machine, row.at));
                let since = at.map_or(row.at, |at| queued.remove(at).2);
                if since < row.at {
                    let waited = duration(minutes_from_ticks(row.at - since));
                    lines.push((
                        since,
                        format!(
                            "{who}waits {waited} for {}: {}",
                            station_name(station),
                            meanwhile(model, trace, row.lot, station, since, row.at)
                        ),
                    ));
                }
                format!("{who}on {}", machine_name(machine))
            }
            LotEvent::Left(machine) => {
                let stay = on.iter().position(|&(_, m, _)| m == machine);
                let taken = stay.map_or(row.at, |stay| on.remove(stay).2);
                format!(
                    "{who}off {}{}",
                    machine_name(machine),
                    on_machine(trace, machine, taken, row.at)
                )
            }
            LotEvent::Interrupted(machine) => {
                on.retain(|&(_, m, _)| m != machine);
                format!(
                    "{who}taken off {} for a better-ranked order",
                    machine_name(machine)
                )
            }
            LotEvent::Stale(station) => format!(
                "{who}has waited too long for {}: printed again",
                station_name(station)
            ),
            LotEvent::Failed => format!("{who}not released by the laboratory: printed again"),
            LotEvent::SentBack(station) => format!("{who}sent back to {}", station_name(station)),
            LotEvent::Remade(pouches) => {
                format!("{who}came out short: {pouches} pouches are printed again")
            }
            LotEvent::FirstOff(machine) => format!(
                "{who}first good of {} waits for approval",
                machine_name(machine)
            ),
            LotEvent::Packed => format!("{who}all packed"),
        };
        lines.push((row.at, line));
    }
    for out in kept_out {
        let waits = no_room(model, out.station, out.on, "to the end of the replication");
        lines.push((out.since, format!("{}{waits}", rolls.who(order, out.lot))));
    }
    for (lot, station, since) in queued {
        lines.push((
            since,
            format!(
                "{}still waits for {} when the replication ends",
                rolls.who(order, lot),
                station_name(station)
            ),
        ));
    }
    if let Some(done) = order.done {
        let held = order.packed.map_or(0, |packed| done - packed);
        let after = if held > 0 {
            format!(" after {} of hold", duration(minutes_from_ticks(held)))
        } else {
            String::new()
        };
        lines.push((done, format!("order may ship{after}")));
    }
    // Waits are told at their start; the sort is stable, so simultaneous events keep their order.
    lines.sort_by_key(|line| line.0);
    lines
}

fn split(page: &mut Page, model: &Model, order: &OrderRow) {
    let Some(done) = order.done else { return };
    page.heading("Where its time went (the way of the lot that was last)");
    let lead = done - order.released;
    let stations = model
        .plant
        .stations
        .iter()
        .map(|station| format!("queue {}", station.name));
    let names = stations.chain(ALL_SPENT.iter().map(|spent| spent.label().to_string()));
    for (name, &ticks) in names.zip(&order.split).filter(|(_, ticks)| **ticks > 0) {
        line(page, &name, ticks, lead);
    }
    line(page, "lead time", order.split.iter().sum(), lead);
}

fn line(page: &mut Page, name: &str, ticks: Tick, lead: Tick) {
    let share = if lead > 0 {
        ticks as f64 / lead as f64 * 100.0
    } else {
        100.0
    };
    let minutes = minutes_from_ticks(ticks);
    page.line(
        2,
        &format!(
            "  {name:<32} {:>12} min {:>12} {share:>6.1} %",
            grouped(minutes, 1),
            duration(minutes)
        ),
    );
}
