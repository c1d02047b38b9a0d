//! `report.html`: the whole report in one page that opens without a network.
//!
//! In: a [`Context`], the [`Trace`] of one replication, finished charts. Out: HTML with its style, its
//! drawings and a small script inside. Without the script the page is complete; the script lets the
//! timeline be moved. Everything that comes from a scenario is escaped, and the page forbids itself to
//! load anything.

mod data;
pub(super) mod parts;
mod policy;

use crate::observe::Trace;
use crate::observe::layout::place;

use super::Provenance;
use super::answers::{self, Line};
use super::charts::Chart;
use super::context::{Context, Standing};
use super::crew;
use super::figure::Figure;
use super::method;
use super::money;
use super::table;
use super::words::{escape, joined};

use parts::{figure_html, from, list, paragraph, sentence, sentences, table_html, value};

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
    body += &section(
        "machines",
        "Machines and people",
        &(figure_html(charts, "machines", "Machine time by state")
            + &table_html(&table::machines(c))
            + &table_html(&crew::table(c))),
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
    body += &section("late", "Lateness", &lateness(c));
    body += &section(
        "waste",
        "Waste",
        &(lines(&answers::waste(c), "Web handed over and lost")
            + &lines(&answers::waste_places(c), "Where it is lost, area a week")),
    );
    body += &section(
        "money",
        "Money",
        &(lines(&money::lines(c), &format!("{} a year", c.currency))
            + &sentences(&money::notes(c), "", "/answers/money_notes", "")),
    );
    body += &method_html(c);
    body += "</main>\n";
    shell(&title, &body, SCRIPT)
}

/// A page around a body; it loads nothing from anywhere. `title` is escaped already.
pub(super) fn shell(title: &str, body: &str, script: &str) -> String {
    let style = format!("\n{CSS}");
    let policy = policy::content(&style, script);
    let script = match script {
        "" => String::new(),
        script => format!("<script>{script}</script>\n"),
    };
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n<style>{style}</style>\n\
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
    format!(
        "<div class=\"card\"><dt>{}</dt><dd{}>{}</dd></div>\n",
        escape(label),
        from(&figure.from),
        value(figure)
    )
}

fn answer(c: &Context<'_>) -> String {
    let class = match c.standing {
        Standing::Overloaded => "bad",
        Standing::OnEdge | Standing::Filling | Standing::Strained | Standing::Untold => "fair",
        Standing::Steady => "good",
    };
    let mut inner = sentence(
        &answers::verdict(c),
        &format!("verdict {class}"),
        "/answers/verdict",
    );
    inner += "<dl class=\"cards\">\n";
    inner += &card(
        "9 of 10 orders shippable within",
        &c.figure(c.lead_index(0, 0, 3)),
    );
    let on_time = c.figure(c.group_index(0, place::ON_TIME));
    if on_time.value != "–" {
        inner += &card("done by the promised date", &on_time);
    }
    inner += &card("orders done a week", &c.figure(c.group_index(0, 0)));
    for line in answers::not_taken(c).into_iter().chain(answers::short(c)) {
        inner += &card(&line.label, &line.figure);
    }
    inner += "</dl>\n";
    if c.summary.done > 1 {
        inner += &format!(
            "<p class=\"note\">Small figures: <span{}>{}</span> intervals over <span{}>{}</span> replications.</p>\n",
            from("/run/confidence"),
            c.confidence(),
            from("/run/replications_done"),
            c.summary.done
        );
    }
    let cautions = answers::warnings(c);
    let note = answers::missing_note(c);
    if !cautions.is_empty() || !note.is_empty() {
        inner += "<h3>Cautions</h3>\n";
        inner += &sentences(&cautions, "cautions", "/warnings", "/text");
        if !note.is_empty() {
            inner += &sentence(&note, "", "/answers/missing");
        }
    }
    inner += &list(&answers::SAFETY.map(str::to_owned), "safety");
    section("answer", "The answer", &inner)
}

fn limits(c: &Context<'_>) -> String {
    let mut inner = sentences(&answers::bottleneck(c), "", "/answers/bottleneck", "");
    let mut output = answers::output(c);
    output.push(Line {
        label: "orders in the cell".to_owned(),
        figure: c.by_key("cell/wip"),
    });
    inner += &lines(&output, "What leaves the cell");
    section("limits", "What limits the cell", &inner)
}

fn lines(lines: &[Line], caption: &str) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut out = format!(
        "<div class=\"scroll whole\"><table class=\"narrow\"><caption>{caption}</caption><tbody>\n"
    );
    for line in lines {
        out += &format!(
            "<tr{}><th scope=\"row\">{}</th><td>{}</td><td class=\"interval\">{}</td></tr>\n",
            from(&line.figure.from),
            escape(&line.label),
            escape(&joined(&line.figure.value)),
            escape(&joined(&line.figure.interval))
        );
    }
    out + "</tbody></table></div>\n"
}

fn lead_time(c: &Context<'_>, charts: &[Chart]) -> String {
    let mut inner = figure_html(charts, "lead_time", "Distribution of the lead time");
    inner += &table_html(&table::leads(c));
    inner += &figure_html(charts, "lead_groups", "Lead time by class and product");
    if c.summary.layout.classes > 1 {
        inner += &table_html(&table::groups(c, "By class", c.class_groups()));
    }
    inner += &table_html(&table::groups(c, "By product", c.product_groups()));
    section("lead", "Lead time", &inner)
}

fn lateness(c: &Context<'_>) -> String {
    match answers::on_time(c).is_empty() {
        true => paragraph("Nothing is promised in this scenario."),
        false => table_html(&table::lateness(c)),
    }
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
    method_section(&method::sections(c), c.provenance, &method::origin(c))
}

/// The method of a study whose notes say how its replications were made; the last note says where it comes from.
pub(super) fn method_of(mut study: method::Study<'_>) -> String {
    let origin: Vec<String> = study.experiment.pop().into_iter().collect();
    let provenance = study.provenance;
    method_section(&method::study(&study), provenance, &origin)
}

/// The method of any study: its sections, the scenario in full, and where it comes from.
pub(super) fn method_section(
    sections: &[method::Section],
    provenance: &Provenance,
    origin: &[String],
) -> String {
    let mut inner = paragraph(
        "The sections follow the reporting guideline STRESS-DES (Strengthening the Reporting of Empirical \
         Simulation Studies; Monks and others, 2019).",
    );
    for s in sections {
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
        parts::escape_lines(&provenance.scenario_text)
    );
    inner += "<footer>\n";
    inner.extend(origin.iter().map(|l| paragraph(l)));
    inner += "</footer>\n";
    section("method", "Method", &inner)
}
