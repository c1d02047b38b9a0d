//! Tables for a spreadsheet. Columns are documented in `docs/reference/results.md`.
//!
//! In: a [`Context`] and a [`Trace`]. Out: CSV as of RFC 4180 with `\n`, point as decimal mark, UTF-8.
//! A name that a spreadsheet would take for a formula gets an apostrophe before it.

use crate::observe::{OrderRow, Trace};
use crate::record::{ALL_SPENT, ALL_STATES};
use crate::units::Tick;

use super::clock::date_time;
use super::context::Context;
use super::words::clean;

/// Ticks in a thousandth of a minute.
const TICKS_PER_MILLI: Tick = crate::units::TICKS_PER_MINUTE / 1000;

/// Writes rows; memory takes every byte, so there is nothing to fail.
pub fn written(rows: Vec<Vec<String>>) -> Vec<u8> {
    let mut writer = ::csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        if writer.write_record(&row).is_err() {
            break;
        }
    }
    writer.into_inner().unwrap_or_default()
}

/// A name as text: never a formula.
pub fn name(text: &str) -> String {
    let text = clean(text);
    if text.trim_start().starts_with(['=', '+', '-', '@']) {
        format!("'{text}")
    } else {
        text
    }
}

/// A number with up to `places` decimals; empty where it is not known.
fn number(value: f64, places: usize) -> String {
    if value.is_finite() {
        format!("{value:.places$}")
    } else {
        String::new()
    }
}

/// Thousandths of a minute, rounded.
fn milli(ticks: Tick) -> i64 {
    (ticks + TICKS_PER_MILLI / 2).div_euclid(TICKS_PER_MILLI)
}

fn minutes(milli: i64) -> String {
    let sign = if milli < 0 { "-" } else { "" };
    format!("{sign}{}.{:03}", milli.abs() / 1000, milli.abs() % 1000)
}

/// `orders.csv`: every order of the traced replication, in the order of their numbers.
pub fn orders(c: &Context<'_>, trace: &Trace) -> Vec<u8> {
    let plant = &c.model.plant;
    let mut head: Vec<String> = [
        "order",
        "name",
        "class",
        "product",
        "skus",
        "ordered",
        "good",
        "measured",
        "released",
        "due",
        "first_pouch",
        "packed",
        "done",
        "released_min",
        "due_min",
        "first_pouch_min",
        "packed_min",
        "done_min",
        "late_min",
        "lead_min",
    ]
    .map(str::to_owned)
    .into();
    head.extend(
        plant
            .stations
            .iter()
            .map(|s| name(&format!("queue:{}", s.name))),
    );
    head.extend(ALL_SPENT.iter().map(|s| s.key().to_owned()));
    let parts = head.len() - 20;
    let mut list: Vec<&OrderRow> = trace.orders.iter().collect();
    list.sort_by_key(|o| o.order);
    let start = plant.run.start_day;
    let when = |t: Option<Tick>| t.map_or_else(String::new, |t| date_time(start, t));
    let min = |t: Option<Tick>| t.map_or_else(String::new, |t| minutes(milli(t)));
    let mut rows = vec![head];
    for o in list {
        let moments = [Some(o.released), o.due, o.first_pouch, o.packed, o.done];
        let mut row = vec![
            o.order.to_string(),
            trace
                .book_name(plant, o.order)
                .map_or_else(String::new, name),
            plant
                .classes
                .get(o.class)
                .map_or_else(String::new, |k| name(&k.name)),
            plant
                .products
                .get(o.product)
                .map_or_else(String::new, |p| name(&p.name)),
            o.skus.to_string(),
            o.ordered.to_string(),
            o.good.map_or_else(String::new, |g| g.to_string()),
            if o.measured { "yes" } else { "no" }.to_owned(),
        ];
        row.extend(moments.map(when));
        row.extend(moments.map(min));
        row.push(min(o.done.zip(o.due).map(|(done, due)| done - due)));
        row.extend(split(o, parts));
        rows.push(row);
    }
    written(rows)
}

/// Lead time and its parts. Parts are differences of rounded running sums, so that as printed they add up
/// to the lead time as printed, each off by a thousandth of a minute at most.
fn split(o: &OrderRow, parts: usize) -> Vec<String> {
    if o.split.is_empty() {
        return vec![String::new(); parts + 1];
    }
    let mut row = vec![minutes(milli(o.split.iter().sum()))];
    let (mut ticks, mut told) = (0, 0);
    for part in &o.split {
        ticks += part;
        let now = milli(ticks);
        row.push(minutes(now - told));
        told = now;
    }
    row
}

fn row_of<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_owned).into()
}

/// `machines.csv`: share of the measured time by machine and state.
pub fn machines(c: &Context<'_>) -> Vec<u8> {
    let mut rows = vec![row_of([
        "station",
        "machine",
        "state",
        "share",
        "low",
        "high",
        "hours_per_week",
    ])];
    let plant = &c.model.plant;
    let all = plant
        .stations
        .iter()
        .flat_map(|s| s.machines.iter().map(move |m| (s, m)));
    for (index, (station, machine)) in all.enumerate() {
        for state in ALL_STATES {
            let e = c.estimate(c.summary.layout.machine(index) + state as usize);
            rows.push(vec![
                name(&station.name),
                name(&machine.name),
                state.key().to_owned(),
                number(e.mean, 6),
                number(e.low, 6),
                number(e.high, 6),
                number(e.mean * 168.0, 4),
            ]);
        }
    }
    written(rows)
}

/// `lead_split.csv`: where the mean lead time went, by all orders and class.
pub fn lead_split(c: &Context<'_>) -> Vec<u8> {
    let mut rows = vec![row_of([
        "group", "cause", "mean_min", "low_min", "high_min", "share",
    ])];
    for group in 0..=c.summary.layout.classes {
        let all: f64 = c.split(group).iter().sum();
        let causes = c
            .model
            .plant
            .stations
            .iter()
            .map(|s| format!("queue:{}", s.name));
        let causes = causes.chain(ALL_SPENT.iter().map(|s| s.key().to_owned()));
        for (part, cause) in causes.enumerate() {
            let e = c.estimate(c.summary.layout.split(group) + part);
            rows.push(vec![
                name(&c.summary.layout.groups[group].0),
                name(&cause),
                number(e.mean, 3),
                number(e.low, 3),
                number(e.high, 3),
                number(if all > 0.0 { e.mean / all } else { f64::NAN }, 6),
            ]);
        }
    }
    written(rows)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_never_formulas() {
        assert_eq!(name("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
        assert_eq!(name("@sum"), "'@sum");
        assert_eq!(name("plain"), "plain");
    }

    #[test]
    fn thousandths_of_minutes_keep_their_sign() {
        assert_eq!(minutes(milli(-90_000)), "-0.001");
        assert_eq!(minutes(milli(60_000_000)), "1.000");
    }
}
