//! `report.html`: the whole report in one page that opens without a network.
//!
//! In: a [`Context`], the [`Trace`] of one replication, finished charts. Out: HTML with its style, its
//! drawings and a small script inside. Without the script the page is complete; the script lets the
//! timeline be moved. Everything that comes from a scenario is escaped, and the page forbids itself to
//! load anything.

mod data;
pub(super) mod parts;

use crate::observe::Trace;

use super::answers::{self, Line};
use super::charts::Chart;
use super::context::{Context, Standing};
use super::figure::Figure;
use super::method;
use super::money;
use super::table;
use super::words::escape;

use parts::{figure_html, list, paragraph, table_html};

const CSS: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("timeline.js");

/// The whole page.
pub fn render(c: &Context<'_>, trace: &Trace, charts: &[Chart]) -> String {
    let title = if c.title.is_empty() {
        "Report".to_owned()
    } else {
        escape(&c.title)
    };
    let mut body = String::new();
    body += &format!(
        "<header><p class=\"kind\">Print-to-pouch cell, simulated</p><h1>{title}</h1></header>\n<main>\n"
    );
    body += &answer(c);
    body += &limits(c);
    body += &lead_time(c, charts);
    body += &section(
        "split",
        "Where the time went",
        &(figure_html(charts, "lead_split", "Mean lead time split by cause")
            + &table_html(&table::split(c))),
    );
    body += &money_html(c);
    body += &section(
        "machines",
        "Machine time",
        &(figure_html(charts, "machines", "Machine time by state")
            + &table_html(&table::machines(c))),
    );
    body += &section(
        "levels",
        "Orders and cure over time",
        &figure_html(
            charts,
            "levels",
            "Orders and lots held for cure over the weeks",
        ),
    );
    body += &section(
        "timeline",
        "Timeline of one replication",
        &timeline(c, trace, charts),
    );
    let mut tables = String::new();
    if c.summary.layout.classes > 1 {
        tables += &table_html(&table::groups(c, "By class", c.class_groups()));
    }
    tables += &table_html(&table::groups(c, "By product", c.product_groups()));
    body += &section("groups", "By class and product", &tables);
    body += &method_html(c);
    body += "</main>\n";
    shell(&title, &body, SCRIPT)
}

/// A page around a body; it loads nothing from anywhere. `title` is escaped already.
pub(super) fn shell(title: &str, body: &str, script: &str) -> String {
    let script = match script {
        "" => String::new(),
        script => format!("<script>\n{script}</script>\n"),
    };
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; \
         script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n<style>\n{CSS}</style>\n\
         </head>\n<body>\n{body}{script}</body>\n</html>\n"
    )
}

pub(super) fn section(id: &str, title: &str, inner: &str) -> String {
    if inner.is_empty() {
        return String::new();
    }
    format!(
        "<section aria-labelledby=\"{id}-h\">\n<h2 id=\"{id}-h\">{title}</h2>\n{inner}</section>\n"
    )
}

fn card(label: &str, figure: &Figure) -> String {
    let interval = if figure.interval.is_empty() {
        String::new()
    } else {
        format!(
            "<span class=\"interval\">{}</span>",
            escape(&figure.interval)
        )
    };
    format!(
        "<div class=\"card\"><dt>{}</dt><dd>{}{interval}</dd></div>\n",
        escape(label),
        escape(&figure.value)
    )
}

fn answer(c: &Context<'_>) -> String {
    let class = match c.standing {
        Standing::Overloaded => "bad",
        Standing::Strained => "fair",
        Standing::Steady => "good",
    };
    let mut inner = format!(
        "<p class=\"verdict {class}\">{}</p>\n<dl class=\"cards\">\n",
        escape(&answers::verdict(c))
    );
    inner += &card(
        "9 of 10 orders shippable within",
        &c.figure(c.lead_index(0, 0, 3)),
    );
    let on_time = c.figure(c.group_index(0, 2));
    if on_time.value != "–" {
        inner += &card("done by the promised date", &on_time);
    }
    inner += &card("orders done a week", &c.figure(c.group_index(0, 0)));
    inner += "</dl>\n";
    if c.summary.done > 1 {
        inner += &paragraph(&format!(
            "Small figures: {} intervals over {} replications.",
            c.confidence(),
            c.summary.done
        ));
    }
    let mut cautions = answers::warnings(c);
    let note = answers::missing_note(c);
    if !note.is_empty() {
        cautions.push(note);
    }
    if !cautions.is_empty() {
        inner += "<h3>Cautions</h3>\n";
        inner += &list(&cautions, "cautions");
    }
    inner += &list(&answers::SAFETY.map(str::to_owned), "safety");
    section("answer", "The answer", &inner)
}

fn limits(c: &Context<'_>) -> String {
    let mut inner = list(&answers::bottleneck(c), "");
    inner += &lines(&answers::throughput(c), "What leaves the cell");
    section("limits", "What limits the cell", &inner)
}

fn lines(lines: &[Line], caption: &str) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut out = format!(
        "<div class=\"scroll\"><table class=\"narrow\"><caption>{caption}</caption><tbody>\n"
    );
    for line in lines {
        out += &format!(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td class=\"interval\">{}</td></tr>\n",
            escape(&line.label),
            escape(&line.figure.value),
            escape(&line.figure.interval)
        );
    }
    out + "</tbody></table></div>\n"
}

fn lead_time(c: &Context<'_>, charts: &[Chart]) -> String {
    let mut inner = figure_html(charts, "lead_time", "Distribution of the lead time");
    inner += &table_html(&table::leads(c));
    inner += &lines(&answers::on_time(c), "Done by the promised date");
    section("lead", "Lead time", &inner)
}

fn money_html(c: &Context<'_>) -> String {
    let mut inner = lines(&money::lines(c), "Cost and earnings a year");
    inner.extend(money::notes(c).iter().map(|note| paragraph(note)));
    section("money", "Money", &inner)
}

fn timeline(c: &Context<'_>, trace: &Trace, charts: &[Chart]) -> String {
    let drawing = figure_html(charts, "timeline", "Timeline of one replication");
    if drawing.is_empty() {
        return drawing;
    }
    format!(
        "<div id=\"timeline\">\n{drawing}</div>\n<script type=\"application/json\" id=\"timeline-data\">{}</script>\n",
        data::timeline(c, trace)
    )
}

fn method_html(c: &Context<'_>) -> String {
    let mut inner = paragraph(
        "The sections follow the reporting guideline STRESS-DES (Strengthening the Reporting of Empirical \
         Simulation Studies; Monks and others, 2019).",
    );
    for s in method::sections(c) {
        inner += &format!("<h3>{}</h3>\n", s.title);
        inner.extend(
            s.paragraphs
                .iter()
                .filter(|p| !p.is_empty())
                .map(|p| paragraph(p)),
        );
        inner += &list(&s.points, "");
    }
    inner += &format!(
        "<h3>Scenario in full</h3>\n<pre tabindex=\"0\" aria-label=\"Scenario text\">{}</pre>\n",
        parts::escape_lines(&c.provenance.scenario_text)
    );
    inner += "<footer>\n";
    inner.extend(method::origin(c).iter().map(|l| paragraph(l)));
    inner += "</footer>\n";
    section("method", "Method", &inner)
}
