//! `report.html` of a comparison: one page that opens without a network and without scripts.
//!
//! In: a [`View`] and finished charts. Out: HTML; everything that comes from a scenario is escaped.

use crate::report::answers::SAFETY;
use crate::report::charts::{Chart, differences};
use crate::report::figure::Figure;
use crate::report::page::parts::{escape_lines, figure_html, list, paragraph, table_html};
use crate::report::page::{section, shell};
use crate::report::table::Table;
use crate::report::words::escape;

use super::words::{
    MARKS, chance, change, change_interval, demand, gain, interval, mark, needed, value,
};
use super::{View, text, verdict};

/// The whole page.
pub fn render(view: &View<'_>, charts: &[Chart]) -> String {
    let title = match view.title.as_str() {
        "" => "Comparison".to_owned(),
        title => escape(title),
    };
    let mut body = format!(
        "<header><p class=\"kind\">Print-to-pouch cell, variants compared</p><h1>{title}</h1></header>\n<main>\n"
    );
    body += &answer(view);
    body += &section(
        "differences",
        "Differences from today",
        &(differences::SHEETS
            .into_iter()
            .map(|key| figure_html(charts, key, "Differences from today with their intervals"))
            .collect::<String>()
            + &paragraph(&text::explanation(view))
            + &figures(view)
            + &paragraph(&format!(
                "Marks: {MARKS}. Points (pt) are hundredths of a share."
            ))),
    );
    body += &section(
        "best",
        "Which is best",
        &(best(view)
            + &paragraph(
                "Chance: how often another sample of replications like this one would name the variant best (bootstrap, \
         2,000 samples). It is no proof; a star marks the variants of which no other one is clearly better, at the \
         level of the intervals over all pairs.",
            )),
    );
    body += &section(
        "frontier",
        "Trade-off",
        &match text::frontier_points(view) {
            points if points.is_empty() => String::new(),
            points => {
                figure_html(charts, "frontier", "Two lead times against each other")
                    + &list(&points, "")
            }
        },
    );
    body += &section("rush", "Rush policies", &rush(view, charts));
    let mut money = String::new();
    if view.has_money {
        money.extend(
            (0..view.comparison.demands.len()).map(|d| table_html(&super::money::table(view, d))),
        );
        money += &figure_html(charts, "frontier_money", "Money against lead time");
        money += &list(&super::ladder::points(view), "");
        money += &list(&super::money::notes(view), "");
    }
    body += &section("money", "Money", &money);
    body += &section("limits", "What limits", &list(&verdict::limits(view), ""));
    body += &section("variants", "What differs from today", &variants(view));
    body += &method(view);
    body += "</main>\n";
    shell(&title, &body, "")
}

fn answer(view: &View<'_>) -> String {
    let mut inner = format!(
        "<p class=\"verdict\">{}</p>\n",
        escape(&verdict::short(view))
    );
    for part in verdict::by_demand(view) {
        inner += &format!("<h3>{}</h3>\n", escape(&part.heading));
        inner += &list(&part.points, "");
    }
    if let Some(limit) = text::limit_sentence(view) {
        inner += &format!(
            "<h3>How far today's promise holds</h3>\n{}",
            paragraph(&limit)
        );
    }
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    section("answer", "The answer", &inner)
}

/// Both classes under each policy, what it adds, and what a rush order costs.
fn rush(view: &View<'_>, charts: &[Chart]) -> String {
    let mut out = String::new();
    for d in 0..view.comparison.demands.len() {
        out += &table_html(&super::rush::side_by_side(view, d));
        out += &table_html(&super::rush::costs(view, d));
    }
    out += &figure_html(
        charts,
        "frontier_changeovers",
        "Changeovers against the share of the first class on time",
    );
    out.extend(super::rush::explanation(view).iter().map(|p| paragraph(p)));
    out
}

fn cell(value: String, interval: String) -> Figure {
    Figure::told(value, interval)
}

/// A table for every headline figure.
fn figures(view: &View<'_>) -> String {
    let c = view.comparison;
    let mut out = String::new();
    for (h, headline) in c.headlines.iter().enumerate() {
        let mut head = vec![String::new()];
        for &d in &c.demands {
            head.push(demand(d));
            head.push("against today".to_owned());
        }
        let rows = c
            .cases
            .iter()
            .enumerate()
            .map(|(v, row)| {
                let mut cells = Vec::new();
                for case in row {
                    let figure = &case.figures[h];
                    let told = case.against_today.get(h).and_then(|t| t.as_ref().ok());
                    cells.push(cell(
                        value(figure, headline, view.reader),
                        interval(figure, headline, view.reader),
                    ));
                    cells.push(match told {
                        None => cell(String::new(), String::new()),
                        Some(t) => cell(
                            format!("{} {}", mark(t.call), change(t, headline, view.reader)),
                            change_interval(t, headline, view.reader),
                        ),
                    });
                }
                (view.name(v).to_owned(), cells)
            })
            .collect();
        out += &table_html(&Table {
            title: headline.label.clone(),
            note: String::new(),
            head,
            rows,
        });
    }
    out
}

/// Chances to be best, what pairing gained, what would settle open differences.
fn best(view: &View<'_>) -> String {
    let c = view.comparison;
    let mut out = String::new();
    for (d, &demand) in c.demands.iter().enumerate() {
        let shown: Vec<usize> = c.deciding().collect();
        let mut head = vec![String::new()];
        for &h in &shown {
            head.extend([
                c.headlines[h].label.clone(),
                "pairing gains".into(),
                "settles".into(),
            ]);
        }
        let rows = c
            .cases
            .iter()
            .enumerate()
            .map(|(v, row)| {
                let case = &row[d];
                let mut cells = Vec::new();
                for &h in &shown {
                    let told = case.against_today.get(h).and_then(|t| t.as_ref().ok());
                    let star = if case.may_be_best[h] && case.chance_best[h].is_some() {
                        " *"
                    } else {
                        ""
                    };
                    cells.push(cell(
                        format!("{}{star}", chance(case.chance_best[h])),
                        String::new(),
                    ));
                    cells.push(cell(
                        told.map_or_else(String::new, |t| gain(t.gain)),
                        String::new(),
                    ));
                    cells.push(cell(told.map_or_else(String::new, needed), String::new()));
                }
                (view.name(v).to_owned(), cells)
            })
            .collect();
        out += &table_html(&Table {
            title: format!("Chance to be best, {}", super::words::demand(demand)),
            note: "Pairing gains: how many times the variance of the difference shrank because all variants met the \
                   same luck. Settles: replications that might settle a difference that is open."
                .to_owned(),
            head,
            rows,
        });
    }
    out
}

fn variants(view: &View<'_>) -> String {
    let mut out = String::new();
    for variant in view.variants.iter().skip(1) {
        out += &format!("<h3>{}</h3>\n", escape(&variant.name));
        if !variant.note.is_empty() {
            out += &paragraph(&variant.note);
        }
        let lines: Vec<String> = variant
            .differences
            .iter()
            .map(|[path, was, becomes]| format!("{path}: {was} -> {becomes}"))
            .collect();
        out += &list(&lines, "");
    }
    out
}

fn method(view: &View<'_>) -> String {
    let c = view.comparison;
    let mut inner = paragraph(&format!(
        "Every variant and demand case was run {} times. In replication n all of them meet the same orders, breakdowns, \
         changeover draws and absences in what they share (common random numbers; Law, Simulation Modeling and \
         Analysis, chapter 11), so that a difference shows what was changed and not luck. Differences are paired; \
         intervals are t intervals at Bonferroni's level, so that those of one figure hold together for all variants \
         and demand cases with {} confidence. Different figures are not corrected for each other.",
        c.done,
        view.confidence()
    ));
    inner += &paragraph(
        "A case whose queue grows has no steady lead time; its lead times and shares on time depend on how long one \
         looks and are neither shown nor compared.",
    );
    if !view.note.is_empty() {
        inner += &paragraph(&view.note);
    }
    inner += &format!(
        "<h3>Scenario in full</h3>\n<pre tabindex=\"0\" aria-label=\"Scenario text\">{}</pre>\n<footer>\n",
        escape_lines(&view.provenance.scenario_text)
    );
    inner.extend(text::origin(view).iter().map(|l| paragraph(l)));
    inner += "</footer>\n";
    section("method", "Method", &inner)
}
