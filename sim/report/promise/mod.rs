//! Promise dates in words: for the terminal, a ticket, a spreadsheet, another program, and a page.
//!
//! In: a [`Model`], its [`Promises`] and a [`Provenance`]. Out: text and bytes; nothing here opens a file.

mod files;
mod page;
mod words;

use crate::model::Model;
use crate::summary::promise::Promises;

use super::Provenance;
use super::text::COLUMNS;
use super::words::{left, right, wrap};

pub use words::View;

/// Heads of the table of orders that the new one moves.
const MOVED: [&str; 5] = [
    "without it",
    "with it",
    "moved by",
    "late without",
    "late with",
];

/// The dates for a terminal: at most 80 columns, the most likely late first.
pub fn text(model: &Model, promises: &Promises, provenance: &Provenance) -> String {
    let view = View::new(model, promises, provenance);
    let mut out = String::new();
    let mut push = |line: &str| {
        out.push_str(line.trim_end());
        out.push('\n');
    };
    push(&super::words::fit(&view.title, COLUMNS));
    push("");
    for caution in view.cautions() {
        wrap(&format!("CAUTION: {caution}"), COLUMNS)
            .iter()
            .for_each(|line| push(line));
    }
    for sentence in view.verdict() {
        wrap(&sentence, COLUMNS).iter().for_each(|line| push(line));
    }
    push("");
    const WIDTHS: [usize; 5] = [10, 17, 17, 17, 7];
    let first = COLUMNS - WIDTHS.iter().sum::<usize>();
    let row = |name: &str, cells: &[String]| {
        let cells = cells.iter().zip(WIDTHS).enumerate();
        let cells: String = cells
            .map(|(i, (cell, width))| match i {
                0 => left(cell, width),
                _ => right(cell, width),
            })
            .collect();
        left(name, first - 1) + " " + &cells
    };
    let heads = ["class", "promised", "half by", "9 of 10 by", "late"];
    push(&row("order", &heads.map(str::to_owned)));
    for order in &promises.orders {
        push(&row(&view.name(order.entry), &view.short_cells(order)));
    }
    if let Some(quote) = &promises.quote {
        if !promises.orders.is_empty() {
            push("");
        }
        push(&row(
            &view.name(quote.order.entry),
            &view.short_cells(&quote.order),
        ));
    }
    push("");
    let moved = view.moved();
    if !moved.is_empty() {
        const WIDTHS: [usize; 5] = [17, 17, 10, 14, 10];
        let row = |name: &str, cells: &[String]| {
            let cells = cells.iter().zip(WIDTHS);
            let cells: String = cells.map(|(cell, width)| right(cell, width)).collect();
            left(name, COLUMNS - WIDTHS.iter().sum::<usize>()) + &cells
        };
        push("MOVED BY THE NEW ORDER (9 of 10 by)");
        push(&row("order", &MOVED.map(str::to_owned)));
        for (_, order) in moved {
            push(&row(&view.name(order.entry), &view.moved_cells(order)));
        }
        push("");
    }
    for note in view.notes() {
        wrap(&note, COLUMNS).iter().for_each(|line| push(line));
    }
    out
}

/// Everything that goes into a results folder: (path, bytes), in a fixed order.
pub fn files(
    model: &Model,
    promises: &Promises,
    provenance: &Provenance,
) -> Vec<(String, Vec<u8>)> {
    let view = View::new(model, promises, provenance);
    vec![
        ("report.html".to_owned(), page::render(&view).into_bytes()),
        ("report.md".to_owned(), files::markdown(&view).into_bytes()),
        ("promise.json".to_owned(), files::json(&view).into_bytes()),
        ("promise.csv".to_owned(), files::csv(&view)),
        (
            "scenario.yaml".to_owned(),
            provenance.scenario_text.clone().into_bytes(),
        ),
    ]
}
