//! `promise.csv`, `promise.json` and `report.md`. Columns and keys are documented in
//! `docs/reference/results.md`.

use serde_json::{Value, json};

use crate::report::answers::SAFETY;
use crate::report::csv::written;
use crate::report::words::escape_markdown as esc;
use crate::summary::promise::{Due, Moment, POINTS};

use super::words::View;

/// A name that a spreadsheet would take for a formula gets an apostrophe before it.
fn cell(text: String) -> String {
    match text.starts_with(['=', '+', '-', '@']) {
        true => format!("'{text}"),
        false => text,
    }
}

/// One row for every order, the most likely late first.
pub fn csv(view: &View<'_>) -> Vec<u8> {
    let mut head = vec!["order", "class", "content", "promised"];
    head.extend(POINTS.map(|point| point.1));
    head.extend([
        "p90_from",
        "p90_to",
        "late",
        "late_from",
        "late_to",
        "risk",
        "not_done",
    ]);
    let mut rows = vec![head.into_iter().map(str::to_owned).collect::<Vec<_>>()];
    for order in &view.promises.orders {
        let due = match order.due {
            Due::At(tick) => view.stamp(Some(tick)),
            Due::None | Due::Varies => String::new(),
        };
        let mut row = vec![
            cell(view.name(order.entry)),
            cell(view.class(order.entry)),
            cell(view.content(order.entry)),
            due,
        ];
        row.extend(order.points.iter().map(|point| view.stamp(point.at)));
        row.push(view.stamp(order.points[2].from));
        row.push(view.stamp(order.points[2].to));
        match order.late {
            Some((share, interval)) => {
                row.extend([share, interval.low, interval.high].map(|x| format!("{x:.4}")));
            }
            None => row.extend([String::new(), String::new(), String::new()]),
        }
        row.push(order.risk.key().to_owned());
        row.push(order.open.to_string());
        rows.push(row);
    }
    written(rows)
}

/// The same for other programs.
pub fn json(view: &View<'_>) -> String {
    let run = &view.model.plant.run;
    let stamp = |at| match view.stamp(at) {
        text if text.is_empty() => Value::Null,
        text => Value::from(text),
    };
    let moment = |moment: &Moment| json!({ "at": stamp(moment.at), "from": stamp(moment.from), "to": stamp(moment.to) });
    let name = |entry: usize| view.model.plant.book.get(entry).map(|o| o.name.clone());
    let orders: Vec<Value> = view
        .promises
        .orders
        .iter()
        .map(|order| {
            let mut value = json!({
                "order": name(order.entry),
                "class": view.class(order.entry),
                "content": view.content(order.entry),
                "promised": match order.due {
                    Due::At(tick) => stamp(Some(tick)),
                    Due::None => Value::Null,
                    Due::Varies => Value::from("varies"),
                },
                "late": order.late.map(|(share, i)| json!({ "share": share, "low": i.low, "high": i.high })),
                "risk": order.risk.key(),
                "not_done": order.open,
            });
            if let Some(map) = value.as_object_mut() {
                for (point, (_, key)) in order.points.iter().zip(POINTS) {
                    map.insert(key.to_owned(), moment(point));
                }
            }
            value
        })
        .collect();
    let value = json!({
        "format": 1,
        "program": "pouchcast",
        "version": view.provenance.version,
        "scenario": {
            "name": view.model.plant.name,
            "file": view.provenance.file_name,
            "sha256": view.provenance.sha256,
        },
        "run": {
            "seed": run.seed,
            "replications_asked": view.promises.asked,
            "replications_done": view.promises.done,
            "partial": view.promises.done < view.promises.asked,
            "confidence": view.promises.confidence,
            "end": stamp(Some(view.model.end)),
        },
        "verdict": view.verdict(),
        "quote": view.promises.quote.as_ref().map(|quote| json!({
            "order": name(quote.entry),
            "content": view.content(quote.entry),
            "class": view.class(quote.entry),
            "sure": quote.sure,
            "done": moment(&quote.done),
            "quote": stamp(quote.ship),
        })),
        "orders": orders,
    });
    let mut text = serde_json::to_string_pretty(&value).unwrap_or_default();
    text.push('\n');
    text
}

/// The same for a message or a ticket.
pub fn markdown(view: &View<'_>) -> String {
    let mut out = format!("# {}\n\n", esc(&view.title));
    for sentence in view.verdict() {
        out += &format!("**{}**\n\n", esc(&sentence));
    }
    out += "| order | content | class | promised | half by | 9 of 10 by | late |\n|---|---|---|--:|--:|--:|--:|\n";
    for order in &view.promises.orders {
        let [class, due, half, nine, late] = view.short_cells(order);
        let cells = [
            view.name(order.entry),
            view.content(order.entry),
            class,
            due,
            half,
            nine,
            late,
        ];
        let cells: Vec<String> = cells.iter().map(|cell| esc(cell)).collect();
        out += &format!("| {} |\n", cells.join(" | "));
    }
    out += "\n";
    for note in view.notes().iter().map(String::as_str).chain(SAFETY) {
        out += &format!("- {}\n", esc(note));
    }
    out
}
