//! How much each setting moves a figure: a table for the terminal, files, a chart that is widest at the top.
//!
//! In: a [`View`]: today beside the same cell with one setting moved at a time, under the same luck. Out: text
//! and bytes. An effect is called clear only where the whole interval of its paired difference lies on one side.
//!
//! * `words`: rows and sentences; `files`: JSON, CSV, Markdown; `page`: `report.html`.

mod files;
mod page;
mod words;

use super::charts::{self, Chart, tornado};
use super::text::COLUMNS;
use super::words::{clean, fit, left, right, wrap};

pub use words::{Moved, Row, View};

/// For a terminal: at most 80 columns, the largest effect first.
pub fn text(view: &View<'_>) -> String {
    const CELL: usize = 18;
    let mut out = fit(&view.title, COLUMNS) + "\n\n";
    let mut push = |text: &str| {
        for line in wrap(text, COLUMNS) {
            out.push_str(line.trim_end());
            out.push('\n');
        }
    };
    view.verdict().iter().for_each(|sentence| push(sentence));
    let mut tables = String::new();
    for &h in &view.figures {
        let label = view.label(h).to_uppercase();
        tables += &format!(
            "\n{}\n",
            fit(&format!("{label}: {}", view.today(h)), COLUMNS)
        );
        tables += &format!(
            "{}{}{}\n",
            left("", COLUMNS - 2 * CELL),
            right("lower  ", CELL),
            right("higher", CELL - 2)
        );
        for row in view.rows(h) {
            let cells: String = (0..2)
                .map(|side| {
                    let mark = if row.is_open(side) { "?" } else { " " };
                    right(&format!("{} {mark}", view.change(h, &row, side)), CELL)
                })
                .collect();
            let name = left(view.name(row.moved), COLUMNS - 2 * CELL);
            tables += (name + &cells).trim_end();
            tables.push('\n');
        }
    }
    out += &tables;
    out.push('\n');
    for note in view.notes() {
        for line in wrap(&note, COLUMNS) {
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }
    out
}

/// Everything that goes into the results folder, in a fixed order.
pub fn files(view: &View<'_>) -> Vec<(String, Vec<u8>)> {
    let drawn: Vec<Chart> = tornado::SHEETS
        .into_iter()
        .zip(&view.figures)
        .filter_map(|(key, &h)| {
            let svg = tornado::draw(view, h)?;
            Some(Chart { key, svg })
        })
        .collect();
    let mut all = vec![
        (
            "report.html".to_owned(),
            page::render(view, &drawn).into_bytes(),
        ),
        ("report.md".to_owned(), files::markdown(view).into_bytes()),
        (
            "sensitivity.json".to_owned(),
            files::json(view).into_bytes(),
        ),
        ("sensitivity.csv".to_owned(), files::csv(view)),
        (
            "scenario.yaml".to_owned(),
            view.provenance.scenario_text.clone().into_bytes(),
        ),
    ];
    all.extend(charts::files(drawn));
    all
}

/// A setting as it is written: `demand x 0.9`.
fn setting((path, value): &(String, String)) -> String {
    clean(&format!("{path}: {value}"))
}
