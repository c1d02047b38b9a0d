//! `report.html`: one page that opens without a network and without scripts.

use crate::report::answers::SAFETY;
use crate::report::method::{self, Study};
use crate::report::page::parts::{frame, from, list, sentence};
use crate::report::page::{method_section, section, shell};
use crate::report::words::{escape, joined};
use crate::summary::promise::{OrderPromise, POINTS, Risk};

use super::words::View;

/// A moment broken between day and time, where it may.
fn moment(words: &str) -> String {
    match words.rsplit_once(' ') {
        Some((day, time)) if time.contains(':') => format!(
            "<span class=\"day\">{}</span> <span class=\"day\">{}</span>",
            escape(day),
            escape(time)
        ),
        _ => escape(words),
    }
}

/// A range of moments around one: the day is left out where both ends lie on the day of that one.
fn range(at: &str, from: &str, to: &str) -> String {
    let parts = |words: &str| {
        let parts = words.rsplit_once(' ');
        parts.map(|(day, time)| (day.to_owned(), time.to_owned()))
    };
    match (parts(at), parts(from), parts(to)) {
        (Some(at), Some(from), Some(to)) if at.0 == from.0 && at.0 == to.0 => {
            format!("{} to {}", escape(&from.1), escape(&to.1))
        }
        _ => format!("{} to {}", moment(from), moment(to)),
    }
}

/// A table of orders; what they hold and their class stand below their names, so that it fits a page.
fn table(view: &View<'_>, title: &str, note: &str, take: impl Fn(&OrderPromise) -> bool) -> String {
    let mut head = vec![("promised".to_owned(), false), ("late".to_owned(), false)];
    head.extend(POINTS.map(|(p, _)| (format!("{:.0} % by", p * 100.0), false)));
    let orders = view.promises.orders.iter().enumerate();
    let rows: Vec<(String, Vec<String>)> = orders
        .filter(|(_, order)| take(order))
        .map(|(place, order)| {
            let at = |key: &str| from(&format!("/orders/{place}/{key}"));
            let late = order.late.map_or_else(String::new, |(_, i)| {
                format!(
                    "<span class=\"interval\">{:.0} to\u{a0}{:.0}\u{a0}%</span>",
                    i.low * 100.0,
                    i.high * 100.0
                )
            });
            let mut cells = vec![
                format!("<td{}>{}</td>", at("promised"), moment(&view.due(order))),
                format!(
                    "<td{}>{}{late}</td>",
                    at("late"),
                    escape(&joined(&view.late(order)))
                ),
            ];
            for (point, (_, key)) in order.points.iter().zip(POINTS) {
                let range = match (point.from, point.to) {
                    (Some(from), Some(to)) if from < to => format!(
                        "<span class=\"interval\">{}</span>",
                        range(
                            &view.day(point.at),
                            &view.day(Some(from)),
                            &view.day(Some(to))
                        )
                    ),
                    _ => String::new(),
                };
                cells.push(format!(
                    "<td{}>{}{range}</td>",
                    at(key),
                    moment(&view.day(point.at))
                ));
            }
            let name = format!(
                "{}<span class=\"interval\"{}>{}</span><span class=\"interval\">{}</span>",
                escape(&view.name(order.entry)),
                at("content"),
                escape(&view.content(order.entry)),
                escape(&view.class(order.entry))
            );
            (name, cells)
        })
        .collect();
    frame(title, note, "dates", &head, &rows)
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
    for (index, words) in view.verdict().iter().enumerate() {
        let class = match index {
            0 => format!("verdict {class}"),
            _ => "verdict".to_owned(),
        };
        inner += &sentence(words, &class, &format!("/verdict/{index}"));
    }
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    body += &section("answer", "The answer", &inner);
    let note = "Most likely late first. Late: chance to be late. Small figures: ranges, none where there are too few \
                replications to tell.";
    let risky = table(
        view,
        "Orders late with a chance of more than 10 %",
        note,
        |order| matches!(order.risk, Risk::LikelyLate | Risk::AtRisk),
    );
    body += &section("risk", "Orders at risk", &risky);
    let rest = table(
        view,
        "Orders that are safe, and those without a date",
        note,
        |order| !matches!(order.risk, Risk::LikelyLate | Risk::AtRisk),
    );
    body += &section("rest", "All other orders", &rest);
    let notes = view.notes();
    let (origin, notes) = notes
        .split_last()
        .map_or((&[][..], &[][..]), |(last, first)| {
            (std::slice::from_ref(last), first)
        });
    let study = Study {
        plant: &view.model.plant,
        provenance: view.provenance,
        purpose: "Purpose: when each order of the book will be done, which are at risk, and what date can be quoted for \
                  a new one."
            .to_owned(),
        experiment: notes.to_vec(),
        replications: Some(view.promises.done),
        effort: None,
    };
    body += &method_section(&method::study(&study), view.provenance, origin);
    body += "</main>\n";
    shell(&title, &body, "")
}
