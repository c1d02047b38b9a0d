//! The comparison as Markdown, for a message or a ticket.
//!
//! In: a [`View`]. Out: `report.md`.

use crate::report::answers::SAFETY;
use crate::report::table::Table;
use crate::report::words::escape_markdown as esc;

use super::words::{MARKS, change_interval, demand, mark, value};
use super::{View, text, verdict};

/// The whole text.
pub fn render(view: &View<'_>) -> String {
    let c = view.comparison;
    let mut out = format!(
        "# {}\n\n**{}**\n",
        esc(&view.title),
        esc(&verdict::short(view))
    );
    let list = |out: &mut String, title: &str, points: &[String]| {
        if !points.is_empty() {
            *out += &format!("\n## {}\n\n", esc(title));
            out.extend(points.iter().map(|p| format!("- {}\n", esc(p))));
        }
    };
    for part in verdict::by_demand(view) {
        list(&mut out, &part.heading, &part.points);
    }
    if let Some(limit) = text::limit_sentence(view) {
        out += &format!("\n{}\n", esc(&limit));
    }
    out += &format!("\n{}\n", esc(&text::explanation(view)));
    for (h, headline) in c.headlines.iter().enumerate() {
        out += &format!("\n## {}\n\n|  |", esc(&headline.label));
        out.extend(
            c.demands
                .iter()
                .map(|&d| format!(" {} | against today |", demand(d))),
        );
        out += &format!("\n|---|{}\n", "--:|--:|".repeat(c.demands.len()));
        for (v, row) in c.cases.iter().enumerate() {
            out += &format!("| {} |", esc(view.name(v)));
            for case in row {
                let told = case.against_today.get(h).and_then(|t| t.as_ref().ok());
                let mark = told.map_or("", |t| mark(t.call));
                let change =
                    told.map_or_else(String::new, |t| change_interval(t, headline, view.reader));
                let value = value(&case.figures[h], headline, view.reader);
                out += &format!(" {} | {} {} |", esc(&value), esc(mark), esc(&change));
            }
            out.push('\n');
        }
    }
    out += &format!("\nMarks: {}.\n", esc(MARKS));
    list(&mut out, "Trade-off", &text::frontier_points(view));
    for d in 0..c.demands.len() {
        for table in [
            super::rush::side_by_side(view, d),
            super::rush::costs(view, d),
        ] {
            out += &rows(&table);
        }
    }
    list(&mut out, "Rush", &super::rush::explanation(view));
    let mut money = super::money::notes(view);
    money.extend(super::ladder::points(view));
    list(&mut out, "Money", &money);
    list(&mut out, "What limits", &verdict::limits(view));
    let differs: Vec<String> = view
        .variants
        .iter()
        .flat_map(|v| {
            v.differences
                .iter()
                .map(move |[path, was, becomes]| format!("{}: {path}: {was} -> {becomes}", v.name))
        })
        .collect();
    list(&mut out, "What differs from today", &differs);
    let mut cautions = super::cautions::sentences(view);
    cautions.extend(SAFETY.map(str::to_owned));
    list(&mut out, "Cautions", &cautions);
    list(&mut out, "Origin", &text::origin(view));
    out
}

/// A table with its intervals in brackets; nothing where it has no rows.
fn rows(table: &Table) -> String {
    if table.rows.is_empty() {
        return String::new();
    }
    let heads: Vec<String> = table.head.iter().map(|head| esc(head)).collect();
    let mut out = format!(
        "\n## {}\n\n{}\n\n| {} |\n|---|{}\n",
        esc(&table.title),
        esc(&table.note),
        heads.join(" | "),
        "--:|".repeat(heads.len().saturating_sub(1))
    );
    for (name, cells) in &table.rows {
        let cells: Vec<String> = cells.iter().map(|c| esc(&c.with_interval())).collect();
        out += &format!("| {} | {} |\n", esc(name), cells.join(" | "));
    }
    out
}
