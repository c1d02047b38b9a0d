//! `report.html`: one page that opens without a network and without scripts.

use crate::report::answers::SAFETY;
use crate::report::method::Study;
use crate::report::page::parts::{frame, from, list, sentence, sentences};
use crate::report::page::{method_of, section, shell};
use crate::report::words::{escape, joined};
use crate::summary::promise::{OrderPromise, POINTS, Risk};

use super::MOVED;
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
/// Each comes with the place where it stands in the results for other programs.
fn table(view: &View<'_>, title: &str, note: &str, orders: &[(String, &OrderPromise)]) -> String {
    let mut head = vec![("promised".to_owned(), false), ("late".to_owned(), false)];
    head.extend(POINTS.map(|(p, _)| (format!("{:.0} % by", p * 100.0), false)));
    let rows: Vec<(String, Vec<String>)> = orders
        .iter()
        .map(|(place, order)| {
            let at = |key: &str| from(&format!("{place}/{key}"));
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

/// The orders that the new one moves.
fn moved(view: &View<'_>) -> String {
    let head = MOVED.map(|head| (head.to_owned(), false));
    let rows: Vec<(String, Vec<String>)> = view
        .moved()
        .into_iter()
        .map(|(place, order)| {
            let at = |key: &str| from(&format!("/orders/{place}/{key}"));
            let [before, after, by, late_before, late] = view.moved_cells(order);
            let cells = vec![
                format!("<td{}>{}</td>", at("without/p90"), moment(&before)),
                format!("<td{}>{}</td>", at("p90/at"), moment(&after)),
                format!("<td{}>{}</td>", at("moved_by_min"), escape(&by)),
                format!("<td{}>{}</td>", at("without/late"), escape(&late_before)),
                format!("<td{}>{}</td>", at("late/share"), escape(&late)),
            ];
            (escape(&view.name(order.entry)), cells)
        })
        .collect();
    let note = "By which it is done in 9 of 10 replications, under the same luck.";
    frame(
        "With and without the new order",
        note,
        "dates",
        &head,
        &rows,
    )
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
    let mut inner = sentences(&view.cautions(), "cautions", "/cautions", "");
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
    if let Some(quote) = &view.promises.quote {
        let own = [("/quote".to_owned(), &quote.order)];
        let inner = table(view, "Its dates", "", &own) + &moved(view);
        body += &section("new", "The new order", &inner);
    }
    let orders = view.promises.orders.iter().enumerate();
    let orders = orders.map(|(place, order)| (format!("/orders/{place}"), order));
    let (risky, rest): (Vec<_>, Vec<_>) =
        orders.partition(|(_, order)| matches!(order.risk, Risk::LikelyLate | Risk::AtRisk));
    let order = "By chance to be late";
    let risky = table(view, order, note, &risky);
    body += &section("risk", "Orders at risk", &risky);
    let rest = table(view, order, note, &rest);
    body += &section("rest", "All other orders", &rest);
    let study = Study {
        plant: &view.model.plant,
        provenance: view.provenance,
        purpose: "Purpose: when each order of the book will be done, which are at risk, and what date can be quoted for \
                  a new one."
            .to_owned(),
        experiment: view.notes(),
        replications: Some(view.promises.done),
        effort: None,
    };
    body += &method_of(study);
    body += "</main>\n";
    shell(&title, &body, "")
}
