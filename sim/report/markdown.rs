//! The short report as Markdown, for a message or a ticket.
//!
//! In: a [`Context`]. Out: `report.md`.

use super::answers::{self, Line};
use super::context::Context;
use super::table::{self, Table};
use super::words::escape_markdown as esc;

/// The whole text.
pub fn render(c: &Context<'_>) -> String {
    let mut out = format!("# {}\n\n**{}**\n", esc(&c.title), esc(&answers::verdict(c)));
    let mut list = |title: &str, points: Vec<String>| {
        if !points.is_empty() {
            out += &format!("\n## {title}\n\n");
            out.extend(points.iter().map(|p| format!("- {p}\n")));
        }
    };
    let lines = |l: Vec<Line>| -> Vec<String> {
        l.iter()
            .map(|l| format!("{}: {}", esc(&l.label), esc(&l.figure.with_interval())))
            .collect()
    };
    let words = |l: Vec<String>| -> Vec<String> { l.iter().map(|t| esc(t)).collect() };
    list("Bottleneck", words(answers::bottleneck(c)));
    list("Throughput", lines(answers::throughput(c)));
    let mut leads = lines(answers::lead_time(c));
    leads.extend(lines(answers::other_leads(c)));
    list("Lead time, print to shippable", leads);
    let mut kept = lines(answers::on_time(c));
    kept.extend(lines(answers::not_taken(c)));
    kept.extend(lines(answers::short(c)));
    list("On time", kept);
    let mut money = lines(super::money::lines(c));
    money.extend(words(super::money::notes(c)));
    list("Money", money);
    let mut cautions = words(answers::warnings(c));
    let note = answers::missing_note(c);
    if !note.is_empty() {
        cautions.push(esc(&note));
    }
    cautions.extend(answers::SAFETY.iter().map(|t| esc(t)));
    list("Cautions", cautions);
    let mut tables = vec![table::machines(c), table::split(c)];
    if c.summary.layout.classes > 1 {
        tables.push(table::groups(c, "By class", c.class_groups()));
    }
    tables.push(table::groups(c, "By product", c.product_groups()));
    for t in tables.iter().filter(|t| !t.rows.is_empty()) {
        out += &table_text(t);
    }
    out += "\n## Origin\n\n";
    if c.summary.done > 1 {
        out += &format!(
            "In brackets: {} intervals over replications.\n",
            c.confidence()
        );
    }
    for line in super::method::origin(c) {
        out += &format!("{}\n", esc(&line));
    }
    out
}

fn table_text(t: &Table) -> String {
    let mut out = format!("\n## {}\n\n{}\n\n|", t.title, esc(&t.note));
    out.extend(t.head.iter().map(|h| format!(" {} |", esc(h))));
    out += "\n|---|";
    out += &"--:|".repeat(t.head.len().saturating_sub(1));
    out.push('\n');
    for (name, cells) in &t.rows {
        out += &format!("| {} |", esc(name));
        out.extend(cells.iter().map(|f| format!(" {} |", esc(&f.value))));
        out.push('\n');
    }
    out
}
