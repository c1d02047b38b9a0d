//! `report.html` of a comparison: one page that opens without a network and without scripts.
//!
//! In: a [`View`] and finished charts. Out: HTML; everything that comes from a scenario is escaped.

use crate::compare::Call;
use crate::report::answers::SAFETY;
use crate::report::charts::{Chart, differences};
use crate::report::figure::Figure;
use crate::report::method::{self, Study};
use crate::report::page::parts::{
    self, figure_html, frame, from, list, paragraph, sentence, sentences, table_html,
};
use crate::report::page::{method_section, section, shell};
use crate::report::words::{capital, escape, joined};

use super::words::{chance, change, change_interval, demand, gain, interval, label, needed, value};
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
            + &sentence(&text::explanation(view), "", "/verdict/explanation")),
    );
    body += &section(
        "cases",
        "In words, demand case by demand case",
        &cases(view),
    );
    body += &section("rush", "Rush policies", &rush(view, charts));
    let mut money = String::new();
    if view.has_money {
        money.extend(
            (0..view.comparison.demands.len()).map(|d| table_html(&super::money::table(view, d))),
        );
        money += &figure_html(charts, "frontier_money", "Money against lead time");
        money += &sentences(&super::ladder::points(view), "", "/verdict/ladder", "");
        money += &sentences(&super::money::notes(view), "", "/verdict/money", "");
    }
    body += &section("money", "Money", &money);
    body += &section(
        "frontier",
        "Trade-off",
        &match text::frontier_points(view) {
            points if points.is_empty() => String::new(),
            points => {
                figure_html(charts, "frontier", "Two lead times against each other")
                    + &sentences(&points, "", "/verdict/frontier", "")
            }
        },
    );
    body += &section(
        "best",
        "Which is best",
        &(best(view)
            + &paragraph(
                "Chance: how often another sample of replications like this one would name the variant best \
         (bootstrap). It is no proof; a star marks the variants of which no other one is clearly better, at the \
         level of the intervals over all pairs.",
            )),
    );
    body += &section(
        "limits",
        "What limits",
        &sentences(&verdict::limits(view), "", "/verdict/limits", ""),
    );
    body += &section("variants", "What differs from today", &variants(view));
    body += &section(
        "figures",
        "All figures",
        &(paragraph(
            "Of each variant the figure with its own interval, then its difference from today with the interval of \
                 the difference. Better and worse: the whole interval of the difference lies on that side. Higher and \
                 lower: the same where neither way is better. Points (pt) are hundredths of a share.",
        ) + &figures(view)),
    );
    body += &method(view);
    body += "</main>\n";
    shell(&title, &body, "")
}

fn answer(view: &View<'_>) -> String {
    let mut inner = String::new();
    for (place, line) in verdict::lines(view).iter().enumerate() {
        inner += &sentence(line, "verdict", &format!("/verdict/lines/{place}"));
    }
    inner += &glance(view);
    inner += &sentences(
        &verdict::overloaded(view),
        "cautions",
        "/verdict/overloaded",
        "",
    );
    if let Some(limit) = text::limit_sentence(view) {
        inner += "<h3>How far today's promise holds</h3>\n";
        inner += &sentence(&limit, "", "/verdict/promise_kept_up_to");
    }
    let cautions = super::cautions::sentences(view);
    if !cautions.is_empty() {
        inner += "<h3>Cautions</h3>\n";
        inner += &sentences(&cautions, "cautions", "/verdict/cautions", "");
    }
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    section("answer", "The answer", &inner)
}

/// The figures that decide, with what all orders wait and what is left over, at today's demand or the first case.
fn glance(view: &View<'_>) -> String {
    let c = view.comparison;
    let demand = crate::compare::home(&c.demands);
    let more = ["lead_done/all/p90", "money/result"];
    let shown: Vec<usize> = (0..c.headlines.len())
        .filter(|&h| c.headlines[h].decides || more.contains(&c.headlines[h].key.as_str()))
        .collect();
    let heads: Vec<(String, bool)> = shown
        .iter()
        .map(|&h| (escape(&label(&c.headlines[h], &view.currency)), false))
        .collect();
    let rows: Vec<(String, Vec<String>)> = (0..c.cases.len())
        .map(|v| {
            let cells = shown
                .iter()
                .map(|&h| figure_cell(view, (v, demand), h, false));
            (escape(view.name(v)), cells.collect())
        })
        .collect();
    frame(
        &super::words::demand_words(c.demands[demand]),
        "Each figure, and below it its difference from today with the interval of the difference. 90 % point: 9 of 10 \
         orders take no longer. Points (pt): hundredths of a share.",
        "",
        &heads,
        &rows,
    )
}

/// The sentences, demand case by demand case.
fn cases(view: &View<'_>) -> String {
    let parts = verdict::by_demand(view).into_iter().enumerate();
    parts
        .map(|(demand, part)| {
            let pointer = format!("/verdict/by_demand/{demand}/points");
            format!("<h3>{}</h3>\n", escape(&part.heading))
                + &sentences(&part.points, "", &pointer, "")
        })
        .collect()
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
    out += &sentences(&super::rush::explanation(view), "", "/verdict/rush", "");
    out
}

/// Where a figure of a case stands in `compare.json`.
pub(super) fn place(view: &View<'_>, variant: usize, demand: usize, h: usize, key: &str) -> String {
    let case = variant * view.comparison.demands.len() + demand;
    format!("/cases/{case}/figures/{h}/{key}")
}

/// Class and word of a call, for the eye and for those who do not see colours.
fn call_words(call: Call) -> (&'static str, &'static str) {
    match call {
        Call::Better => ("better", "better"),
        Call::Worse => ("worse", "worse"),
        Call::Higher => ("other", "higher"),
        Call::Lower => ("other", "lower"),
        Call::Same => ("same", "no difference"),
        Call::Equal => ("same", "as good as equal"),
        Call::Open => ("open", "not settled"),
    }
}

/// Heads of the demand cases.
fn heads(view: &View<'_>) -> Vec<(String, bool)> {
    let demands = &view.comparison.demands;
    demands
        .iter()
        .map(|&d| match demands.len() {
            1 => (String::new(), false),
            _ => (format!("demand {}", demand(d)), false),
        })
        .collect()
}

/// A figure of a case, below or beside it what it is against today.
fn figure_cell(view: &View<'_>, (v, d): (usize, usize), h: usize, beside: bool) -> String {
    let headline = &view.comparison.headlines[h];
    let case = &view.comparison.cases[v][d];
    let figure = &case.figures[h];
    let shown = Figure::told(
        value(figure, headline, view.reader),
        interval(figure, headline, view.reader),
    );
    let mut cell = format!(
        "<td><span class=\"part\"{}>{}</span>",
        from(&place(view, v, d, h, "value")),
        parts::value(&shown)
    );
    if beside {
        cell += "</td><td>";
    }
    if let Some(Ok(told)) = case.against_today.get(h) {
        let (class, word) = call_words(told.call);
        let mean = match told.call {
            Call::Same => String::new(),
            _ => format!("{} ", joined(&change(told, headline, view.reader))),
        };
        cell += &format!(
            "<span class=\"call {class}\"{}>{mean}<b>{word}</b>",
            from(&place(view, v, d, h, "against_today"))
        );
        if told.call != Call::Same {
            cell += &format!(
                "<span class=\"interval\">{}</span>",
                joined(&change_interval(told, headline, view.reader))
            );
        }
        cell += "</span>";
    }
    cell + "</td>"
}

/// A table for every headline figure: a column a demand case, in each cell the figure and what it is against today.
fn figures(view: &View<'_>) -> String {
    let c = view.comparison;
    let mut out = String::new();
    // With one demand case there is room for the difference beside the figure.
    let beside = c.demands.len() == 1;
    let heads = match beside {
        true => vec![(String::new(), false), ("against today".to_owned(), false)],
        false => heads(view),
    };
    for (h, headline) in c.headlines.iter().enumerate() {
        let rows: Vec<(String, Vec<String>)> = (0..c.cases.len())
            .map(|v| {
                let cells = (0..c.demands.len()).map(|d| figure_cell(view, (v, d), h, beside));
                (escape(view.name(v)), cells.collect())
            })
            .collect();
        let label = label(headline, &view.currency);
        out += &frame(&capital(&label), "", "", &heads, &rows);
    }
    out
}

/// Chances to be best, what pairing gained, what would settle open differences: a table for each figure of the
/// verdict.
fn best(view: &View<'_>) -> String {
    let c = view.comparison;
    let mut out = String::new();
    for h in c.deciding() {
        let cell = |v: usize, d: usize| {
            let case = &c.cases[v][d];
            let star = match case.may_be_best[h] && case.chance_best[h].is_some() {
                true => " *",
                false => "",
            };
            let mut cell = format!(
                "<td><span class=\"part\"{}>{}{star}</span>",
                from(&place(view, v, d, h, "chance_best")),
                escape(&chance(case.chance_best[h]))
            );
            if let Some(Ok(told)) = case.against_today.get(h) {
                cell += &format!(
                    "<span class=\"interval\">pairing gains <span{}>{}</span></span>",
                    from(&place(view, v, d, h, "against_today/variance_gain")),
                    gain(told.gain)
                );
                let needed = needed(told);
                if needed.starts_with(|c: char| c.is_ascii_digit()) {
                    cell += &format!(
                        "<span class=\"interval\">settled by some <span{}>{needed}</span></span>",
                        from(&place(view, v, d, h, "against_today/replications_needed")),
                    );
                }
            }
            cell + "</td>"
        };
        let rows: Vec<(String, Vec<String>)> = (0..c.cases.len())
            .map(|v| {
                let cells = (0..c.demands.len()).map(|d| cell(v, d));
                (escape(view.name(v)), cells.collect())
            })
            .collect();
        out += &frame(
            &format!("Chance to be best: {}", c.headlines[h].label),
            "",
            "",
            &heads(view),
            &rows,
        );
    }
    out + &paragraph(
        "Pairing gains: how many times the variance of the difference from today shrank because all variants met the \
         same luck. Settled by: replications that might settle a difference that is open.",
    )
}

fn variants(view: &View<'_>) -> String {
    let mut out = String::new();
    for variant in view.variants.iter().skip(1) {
        out += &format!("<h3>{}</h3>\n", escape(&variant.name));
        if !variant.note.is_empty() {
            out += &sentence(&variant.note, "scenario", "");
        }
        let lines: Vec<String> = variant
            .differences
            .iter()
            .map(|[path, was, becomes]| format!("{path}: {was} -> {becomes}"))
            .collect();
        out += &list(&lines, "scenario");
    }
    out
}

fn method(view: &View<'_>) -> String {
    let c = view.comparison;
    let experiment = vec![format!(
        "Every variant and demand case was run {} times. In replication n all of them meet the same orders, breakdowns, \
         changeover draws and absences in what they share (common random numbers; Law, Simulation Modeling and \
         Analysis, chapter 11), so that a difference shows what was changed and not luck. Differences are paired; \
         intervals are t intervals at Bonferroni's level, so that those of one figure hold together for all variants \
         and demand cases with {} confidence. Different figures are not corrected for each other.",
        c.done,
        view.confidence()
    ),
        "A case whose queue grows has no steady lead time; its lead times and shares on time depend on how long one \
         looks and are neither shown nor compared.".to_owned(),
    ];
    let study = Study {
        plant: view.plant,
        provenance: view.provenance,
        purpose: "Purpose: what the variants change against today, and how sure that is. Outputs: shares done by the \
                  promised date, lead times, throughput, use of machines, waste and money, each with its paired \
                  difference from today."
            .to_owned(),
        experiment,
        replications: Some(c.done),
        effort: None,
    };
    method_section(&method::study(&study), view.provenance, &text::origin(view))
}
