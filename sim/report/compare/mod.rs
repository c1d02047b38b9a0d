//! A comparison of variants in words, tables, charts and files.
//!
//! In: a [`Comparison`] with where it comes from. Out: text and bytes, as for a single run.
//!
//! * [`words`]: figures and differences in words; [`verdict`]: what may be said.
//! * [`text`](mod@text), [`markdown`], [`json`], [`csv`], [`page`]: one for each output.

pub mod cautions;
pub mod csv;
pub mod json;
pub mod ladder;
pub mod limit;
pub mod markdown;
pub mod money;
pub mod page;
pub mod rush;
pub mod text;
pub mod verdict;
pub mod words;

use crate::compare::Comparison;
use crate::plant::Plant;
use crate::units::Reader;

use super::Provenance;
use super::charts::{Chart, differences, frontier};
use super::words::clean;

/// A variant as its author describes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Description {
    /// Its name, safe to show.
    pub name: String,
    /// What it stands for.
    pub note: String,
    /// What differs from today: path, before, after.
    pub differences: Vec<[String; 3]>,
}

/// A precision that was asked for, and what was reached.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// Words for the figure.
    pub words: &'static str,
    /// Widest half interval asked for, as a share of today's value.
    pub within: f64,
    /// Widest half interval there is.
    pub widest: f64,
}

/// Everything a renderer needs.
#[derive(Debug, Clone)]
pub struct View<'a> {
    /// The comparison.
    pub comparison: &'a Comparison,
    /// Where it comes from.
    pub provenance: &'a Provenance,
    /// The cell as it is today.
    pub plant: &'a Plant,
    /// For whom lengths are written.
    pub reader: Reader,
    /// Title, safe to show.
    pub title: String,
    /// Free text of the author.
    pub note: String,
    /// Variants, today first.
    pub variants: Vec<Description>,
    /// Currency of the reader, safe to show.
    pub currency: String,
    /// The scenario speaks of money.
    pub has_money: bool,
    /// What the limit of the comparison is about, where one was looked for.
    pub limit_of: Option<limit::About>,
    /// A precision that was asked for.
    pub precision: Option<Precision>,
}

impl<'a> View<'a> {
    /// Makes names safe to show.
    pub fn new(
        comparison: &'a Comparison,
        provenance: &'a Provenance,
        plant: &'a Plant,
        (title, note): (&str, &str),
        variants: Vec<Description>,
    ) -> Self {
        let safe = |d: Description| Description {
            name: clean(&d.name),
            note: clean(&d.note),
            differences: d
                .differences
                .into_iter()
                .map(|d| d.map(|t| clean(&t)))
                .collect(),
        };
        Self {
            comparison,
            provenance,
            plant,
            reader: if plant.reader.inch {
                Reader::Inch
            } else {
                Reader::Metric
            },
            title: clean(title),
            note: clean(note),
            variants: variants.into_iter().map(safe).collect(),
            currency: clean(&plant.reader.currency),
            has_money: plant.money.is_some(),
            limit_of: None,
            precision: None,
        }
    }

    /// Name of a variant.
    pub fn name(&self, variant: usize) -> &str {
        self.variants.get(variant).map_or("", |v| &v.name)
    }

    /// The level of intervals in words: `95 %`.
    pub fn confidence(&self) -> String {
        let percent = self.comparison.confidence * 100.0;
        format!("{} %", crate::units::grouped(percent, 1))
    }
}

/// The comparison for a terminal: at most 80 columns, no colour.
pub fn text(view: &View<'_>) -> String {
    text::render(view)
}

/// Everything that goes into the results folder, in a fixed order.
pub fn files(view: &View<'_>) -> Vec<(String, Vec<u8>)> {
    let sheets = differences::SHEETS.into_iter().zip(differences::draw(view));
    let charts: Vec<Chart> = sheets
        .chain(frontier::all(view))
        .map(|(key, svg)| Chart { key, svg })
        .collect();
    let mut files = vec![
        (
            "report.html".to_owned(),
            page::render(view, &charts).into_bytes(),
        ),
        ("report.md".to_owned(), markdown::render(view).into_bytes()),
        ("compare.json".to_owned(), json::render(view).into_bytes()),
        ("compare.csv".to_owned(), csv::render(view)),
        (
            "scenario.yaml".to_owned(),
            view.provenance.scenario_text.clone().into_bytes(),
        ),
    ];
    files.extend(super::charts::files(charts));
    files
}
