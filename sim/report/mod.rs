//! From results to text: what a person, a spreadsheet or another program reads.
//!
//! In: a [`Model`], its [`Summary`], the [`Trace`] of one replication and a [`Provenance`].
//! Out: text and bytes; nothing here opens a file, looks at a clock or knows of a terminal, so the same
//! results give the same bytes.
//!
//! * [`context`]: every figure put into words once, for all outputs.
//! * [`text`](mod@text): the summary of the terminal; [`markdown`]: the same for a message or a ticket.
//! * [`json`]: `summary.json`; [`csv`]: tables for a spreadsheet; both documented in
//!   `docs/reference/results.md`.
//! * [`certify`]: what the intervals of a cell are worth.
//! * [`choose`]: the best of many line-ups.
//! * [`promise`]: dates of the orders of an order book.
//! * [`compare`]: the same for a comparison of variants.
//! * [`sensitivity`]: how much each setting matters.
//! * [`charts`]: SVG charts; [`page`]: the page that holds everything.

pub mod answers;
pub mod certify;
pub mod charts;
pub mod choose;
pub mod clock;
pub mod compare;
pub mod context;
pub mod crew;
pub mod csv;
pub mod figure;
pub mod inputs;
pub mod json;
pub mod limit;
mod limiting;
pub mod markdown;
pub mod method;
pub mod money;
pub mod page;
pub mod promise;
pub mod sensitivity;
pub mod sweep;
pub mod table;
pub mod text;
pub mod timeline;
pub mod words;

use crate::model::Model;
use crate::observe::Trace;
use crate::summary::Summary;

use context::Context;

/// Where results come from: what makes them reproducible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Provenance {
    /// Name of the scenario file, without its folder.
    pub file_name: String,
    /// SHA-256 of the scenario text, hexadecimal.
    pub sha256: String,
    /// Version of the program.
    pub version: &'static str,
    /// The scenario as read.
    pub scenario_text: String,
}

/// The summary for a terminal: at most 80 columns, no colour, ends with a line break.
pub fn text(model: &Model, summary: &Summary, provenance: &Provenance) -> String {
    text::render(&Context::new(model, summary, provenance))
}

/// Everything that goes into a results folder: (path relative to it with `/`, bytes), in a fixed order.
///
/// `trace` is the replication shown in the timeline and listed in `orders.csv`.
pub fn files(
    model: &Model,
    summary: &Summary,
    trace: &Trace,
    provenance: &Provenance,
) -> Vec<(String, Vec<u8>)> {
    let context = Context::new(model, summary, provenance);
    let charts = charts::all(&context, trace);
    let mut files = vec![
        (
            "report.html".to_owned(),
            page::render(&context, trace, &charts).into_bytes(),
        ),
        (
            "report.md".to_owned(),
            markdown::render(&context).into_bytes(),
        ),
        (
            "summary.json".to_owned(),
            json::render(&context).into_bytes(),
        ),
        ("orders.csv".to_owned(), csv::orders(&context, trace)),
        ("machines.csv".to_owned(), csv::machines(&context)),
        ("lead_split.csv".to_owned(), csv::lead_split(&context)),
        (
            "scenario.yaml".to_owned(),
            provenance.scenario_text.clone().into_bytes(),
        ),
    ];
    files.extend(charts::files(charts));
    files
}
