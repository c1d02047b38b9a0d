//! The replication that the page's timeline shows, as JSON inside the page.
//!
//! In: a [`Context`] and a [`Trace`]. Out: JSON that cannot end its script element.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::observe::Trace;
use crate::record::{ALL_STATES, State};
use crate::report::charts::fills::of_state;
use crate::report::charts::style::Hatch;
use crate::report::context::Context;
use crate::report::timeline::{Folded, window, within};
use crate::report::words::clean;
use crate::units::{Tick, minutes_from_ticks};

/// Most state rows the page takes along (each is some 25 bytes).
const ROWS: usize = 20_000;

fn minutes(tick: Tick) -> f64 {
    (minutes_from_ticks(tick) * 100.0).round() / 100.0
}

/// Rows from the measured start, as long as they fit.
pub fn timeline(c: &Context<'_>, trace: &Trace) -> String {
    let from = c.model.warm_up;
    let mut to = c.model.measured_end;
    let all = within(trace, from, to);
    let mut starts: Vec<Tick> = all
        .iter()
        .filter(|r| r.state != State::OffShift)
        .map(|r| r.from)
        .collect();
    starts.sort_unstable();
    if let Some(&cut) = starts.get(ROWS) {
        to = cut.max(from + 1);
    }
    let rows: Vec<_> = within(trace, from, to)
        .into_iter()
        .filter(|r| r.state != State::OffShift)
        .collect();
    let folded = Folded::new(&rows, from, to);
    let seen: BTreeSet<u32> = rows.iter().filter_map(|r| r.lot).map(|l| l.order).collect();
    let orders: Vec<Value> = trace
        .orders
        .iter()
        .filter(|o| seen.contains(&o.order))
        .map(|o| {
            json!([
                o.order,
                o.class,
                o.product,
                minutes(o.released),
                o.due.map(minutes),
                o.packed.map(minutes),
                o.done.map(minutes)
            ])
        })
        .collect();
    let names =
        |list: Vec<&String>| -> Vec<String> { list.into_iter().map(|n| clean(n)).collect() };
    let first = window(c.model, trace, 45);
    let value = json!({
        "startDay": c.model.plant.run.start_day,
        "machines": c.machines,
        "classes": names(c.model.plant.classes.iter().map(|k| &k.name).collect()),
        "products": names(c.model.plant.products.iter().map(|p| &p.name).collect()),
        "states": ALL_STATES.iter().map(|&s| {
            let fill = of_state(s);
            let color = format!("#{:02x}{:02x}{:02x}", fill.color.0, fill.color.1, fill.color.2);
            let hatch = match fill.hatch {
                Hatch::Plain => "",
                Hatch::Rising => "rising",
                Hatch::Falling => "falling",
                Hatch::Crossed => "crossed",
                Hatch::Upright => "upright",
            };
            json!([s.label(), color, hatch])
        }).collect::<Vec<_>>(),
        "pieces": folded.pieces.iter().map(|p| json!([minutes(p.0), minutes(p.1)])).collect::<Vec<_>>(),
        "first": [minutes(first.0), minutes(first.1)],
        "rows": rows.iter().map(|r| json!([
            r.machine,
            r.state as u8,
            minutes(r.from),
            minutes(r.to),
            r.lot.map_or(-1, |l| i64::from(l.order))
        ])).collect::<Vec<_>>(),
        "orders": orders,
    });
    // `<` would be the only way out of the element; the separators are line ends to old scripts.
    value
        .to_string()
        .replace('<', "\\u003c")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}
