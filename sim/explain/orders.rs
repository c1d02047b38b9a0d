//! The orders of a replication of which a story can be told.
//!
//! In: a model, the trace of a replication. Out: one line for each order: its number (and its name in the book), what
//! it is, when it came, when it was due and done, and whether that was late.

use crate::model::Model;
use crate::observe::Trace;
use crate::observe::trace::OrderRow;
use crate::plant::Plant;

use super::clock::{due, moment};

/// How an order ended.
fn ended(row: &OrderRow) -> &'static str {
    match (row.done, row.due) {
        (None, _) => "not done",
        (Some(_), None) => "no promise",
        (Some(done), Some(due)) if done > due => "late",
        _ => "on time",
    }
}

/// Cells of an order.
fn cells(plant: &Plant, trace: &Trace, row: &OrderRow) -> [String; 8] {
    let day = plant.run.start_day;
    let product = plant.products.get(row.product);
    let mut product = product.map_or_else(String::new, |product| product.name.clone());
    if row.skus > 1 {
        product += &format!(" +{}", row.skus - 1);
    }
    let class = plant.classes.get(row.class);
    let none = || "-".to_owned();
    let mut end = ended(row).to_owned();
    if !row.measured {
        end += ", not measured";
    }
    [
        row.order.to_string(),
        trace
            .book_name(plant, row.order)
            .map_or_else(none, str::to_owned),
        product,
        class.map_or_else(String::new, |class| class.name.clone()),
        moment(day, row.released),
        row.due.map_or_else(none, |tick| due(day, tick)),
        row.done.map_or_else(none, |tick| moment(day, tick)),
        end,
    ]
}

/// The orders by number, a line each under one of names; only those that are late or not done where `late`.
pub fn text(model: &Model, trace: &Trace, late: bool) -> String {
    let plant = &model.plant;
    let mut rows: Vec<&OrderRow> = trace.orders.iter().collect();
    rows.retain(|row| !late || matches!(ended(row), "late" | "not done"));
    rows.sort_by_key(|row| row.order);
    let head = [
        "order", "book", "product", "class", "released", "due", "done", "",
    ];
    let mut lines = vec![head.map(str::to_owned)];
    lines.extend(rows.iter().map(|row| cells(plant, trace, row)));
    // A column without anything in it is left out.
    let used: Vec<usize> = (0..head.len())
        .filter(|&c| lines.iter().skip(1).any(|line| line[c] != "-") || c == 0)
        .collect();
    let width = |c: usize| lines.iter().map(|line| line[c].chars().count()).max();
    let widths: Vec<usize> = (0..head.len()).map(|c| width(c).unwrap_or(0)).collect();
    let mut text = String::new();
    for line in &lines {
        let cells = used.iter().map(|&c| match c {
            0 => format!("{:>w$}", line[c], w = widths[c]),
            _ => format!("{:<w$}", line[c], w = widths[c]),
        });
        let line: Vec<String> = cells.collect();
        text += line.join("  ").trim_end();
        text.push('\n');
    }
    text
}
