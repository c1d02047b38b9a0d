//! `promise.csv`, `promise.json` and `report.md`. Columns and keys are documented in
//! `docs/reference/results.md`.

use serde_json::{Value, json};

use crate::report::answers::SAFETY;
use crate::report::csv::written;
use crate::report::words::escape_markdown as esc;
use crate::summary::promise::{Due, Moment, OrderPromise, POINTS};
use crate::units::minutes_from_ticks;

use super::MOVED;
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
        "short",
        "p90_without",
        "late_without",
        "moved_by_min",
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
        row.push(format!("{:.4}", order.short));
        row.push(
            order
                .without
                .map_or_else(String::new, |w| view.stamp(w.p90)),
        );
        let late = order.without.and_then(|without| without.late);
        row.push(late.map_or_else(String::new, |late| format!("{late:.4}")));
        let moved = order.moved_by().map(minutes_from_ticks);
        row.push(moved.map_or_else(String::new, |minutes| format!("{minutes:.2}")));
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
    let told = |order: &OrderPromise| {
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
            "short": order.short,
        });
        if let Some(map) = value.as_object_mut() {
            for (point, (_, key)) in order.points.iter().zip(POINTS) {
                map.insert(key.to_owned(), moment(point));
            }
            if let Some(without) = &order.without {
                let without = json!({
                    "p90": stamp(without.p90), "late": without.late, "risk": without.risk.key(),
                });
                map.insert("without".to_owned(), without);
                let moved = json!(order.moved_by().map(minutes_from_ticks));
                map.insert("moved_by_min".to_owned(), moved);
            }
        }
        value
    };
    let orders: Vec<Value> = view.promises.orders.iter().map(told).collect();
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
        "cautions": view.cautions(),
        "verdict": view.verdict(),
        "quote": view.promises.quote.as_ref().map(|quote| {
            let mut value = told(&quote.order);
            if let Some(map) = value.as_object_mut() {
                map.insert("entered".to_owned(), stamp(Some(0)));
                map.insert("sure".to_owned(), json!(quote.sure));
                map.insert("done".to_owned(), moment(&quote.done));
                map.insert("quote".to_owned(), stamp(quote.ship));
            }
            value
        }),
        "orders": orders,
    });
    let mut text = serde_json::to_string_pretty(&value).unwrap_or_default();
    text.push('\n');
    text
}

/// The same for a message or a ticket.
pub fn markdown(view: &View<'_>) -> String {
    let mut out = format!("# {}\n\n", esc(&view.title));
    for caution in view.cautions() {
        out += &format!("Caution: {}\n\n", esc(&caution));
    }
    for sentence in view.verdict() {
        out += &format!("**{}**\n\n", esc(&sentence));
    }
    out += "| order | content | class | promised | half by | 9 of 10 by | late |\n|---|---|---|--:|--:|--:|--:|\n";
    let own = view.promises.quote.iter().map(|quote| &quote.order);
    for order in view.promises.orders.iter().chain(own) {
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
    let moved = view.moved();
    if !moved.is_empty() {
        out += &format!(
            "Moved by the new order (9 of 10 by):\n\n| order | {} |\n|---|--:|--:|--:|--:|--:|\n",
            MOVED.join(" | ")
        );
        for (_, order) in moved {
            let cells: Vec<String> = view.moved_cells(order).iter().map(|c| esc(c)).collect();
            let name = esc(&view.name(order.entry));
            out += &format!("| {name} | {} |\n", cells.join(" | "));
        }
        out += "\n";
    }
    for note in view.notes().iter().map(String::as_str).chain(SAFETY) {
        out += &format!("- {}\n", esc(note));
    }
    out
}
