//! `report.html`: one page that opens without a network and without scripts.

use crate::report::answers::SAFETY;
use crate::report::figure::Figure;
use crate::report::page::parts::{escape_lines, list, paragraph, table_html};
use crate::report::page::{section, shell};
use crate::report::table::Table;
use crate::report::words::escape;
use crate::summary::promise::{OrderPromise, POINTS, Risk};

use super::words::View;

fn cell(value: String) -> Figure {
    Figure::plain(value)
}

fn table(view: &View<'_>, title: &str, note: &str, take: impl Fn(&OrderPromise) -> bool) -> Table {
    let mut head: Vec<String> = ["", "content", "class", "promised"]
        .map(str::to_owned)
        .into();
    head.extend(POINTS.map(|(p, _)| format!("{:.0} % by", p * 100.0)));
    head.push("late".to_owned());
    let rows = view
        .promises
        .orders
        .iter()
        .filter(|order| take(order))
        .map(|order| {
            let mut cells = vec![
                cell(view.content(order.entry)),
                cell(view.class(order.entry)),
                cell(view.due(order)),
            ];
            for point in &order.points {
                let range = match (point.from, point.to) {
                    (Some(from), Some(to)) if from < to => {
                        format!("{} to {}", view.day(Some(from)), view.day(Some(to)))
                    }
                    _ => String::new(),
                };
                cells.push(Figure {
                    interval: range,
                    ..cell(view.day(point.at))
                });
            }
            let late = order.late.map_or_else(String::new, |(_, i)| {
                format!("{:.0} to {:.0} %", i.low * 100.0, i.high * 100.0)
            });
            cells.push(Figure {
                interval: late,
                ..cell(view.late(order))
            });
            (view.name(order.entry), cells)
        })
        .collect();
    Table {
        title: title.to_owned(),
        note: note.to_owned(),
        head,
        rows,
    }
}

/// The whole page.
pub fn render(view: &View<'_>) -> String {
    let title = match view.title.as_str() {
        "" => "Promise dates".to_owned(),
        title => escape(title),
    };
    let mut body = format!(
        "<header><p class=\"kind\">Print-to-pouch cell, promise dates</p><h1>{title}</h1></header>\n<main>\n"
    );
    let class = match (
        view.promises.count(Risk::LikelyLate),
        view.promises.count(Risk::AtRisk),
    ) {
        (0, 0) => "good",
        (0, _) => "fair",
        _ => "bad",
    };
    let mut inner = String::new();
    for (index, sentence) in view.verdict().iter().enumerate() {
        inner += &match index {
            0 => format!("<p class=\"verdict {class}\">{}</p>\n", escape(sentence)),
            _ => format!("<p class=\"verdict\">{}</p>\n", escape(sentence)),
        };
    }
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    body += &section("answer", "The answer", &inner);
    let note = format!(
        "Small figures: ranges at {}; none where there are too few replications to tell.",
        view.confidence()
    );
    let risky = table(view, "Orders at risk", &note, |order| {
        matches!(order.risk, Risk::LikelyLate | Risk::AtRisk)
    });
    body += &section("risk", "Orders at risk", &table_html(&risky));
    let rest = table(view, "All other orders", &note, |order| {
        !matches!(order.risk, Risk::LikelyLate | Risk::AtRisk)
    });
    body += &section("rest", "All other orders", &table_html(&rest));
    let mut method: String = view.notes().iter().map(|note| paragraph(note)).collect();
    method += &format!(
        "<h3>Scenario in full</h3>\n<pre tabindex=\"0\" aria-label=\"Scenario text\">{}</pre>\n",
        escape_lines(&view.provenance.scenario_text)
    );
    body += &section("method", "Method", &method);
    body += "</main>\n";
    shell(&title, &body, "")
}
