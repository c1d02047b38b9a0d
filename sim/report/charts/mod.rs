//! Charts as SVG: one file a chart, one look for all; and as pictures for slides.
//!
//! In: a [`Context`] and the [`Trace`] of one replication. Out: SVG text without scripts and without
//! references to anything outside, names escaped; PNG bytes made from it.

mod axis;
pub mod curves;
pub mod differences;
pub mod fills;
pub mod frontier;
mod lead_groups;
mod lead_split;
mod lead_time;
mod legend;
mod levels;
mod machines;
mod png;
pub mod style;
mod timeline;
pub mod tornado;

use crate::observe::Trace;

use super::context::Context;

/// A finished chart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Stem of its file name.
    pub key: &'static str,
    /// The drawing.
    pub svg: String,
}

/// The files of charts: each as drawing and as picture, (path in the results folder, bytes).
pub fn files(charts: Vec<Chart>) -> Vec<(String, Vec<u8>)> {
    charts
        .into_iter()
        .flat_map(|chart| {
            let picture = png::png(&chart.svg);
            let drawing = (format!("charts/{}.svg", chart.key), chart.svg.into_bytes());
            let picture = picture.map(|bytes| (format!("charts/{}.png", chart.key), bytes));
            std::iter::once(drawing).chain(picture)
        })
        .collect()
}

/// Every chart that has something to show, in the order of the report.
pub fn all(c: &Context<'_>, trace: &Trace) -> Vec<Chart> {
    [
        ("lead_time", lead_time::draw(c, trace)),
        ("lead_groups", lead_groups::draw(c, trace)),
        ("lead_split", lead_split::draw(c)),
        ("machines", machines::draw(c)),
        ("levels", levels::draw(c)),
        ("timeline", timeline::draw(c, trace)),
    ]
    .into_iter()
    .filter_map(|(key, svg)| svg.map(|svg| Chart { key, svg }))
    .collect()
}
