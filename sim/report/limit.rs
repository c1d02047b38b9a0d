//! How far promises are kept: what the terminal, the files and the page of `limit` say.
//!
//! In: [`Found`]. Out: text and bytes.

use serde_json::json;

use crate::compare::limit::Limit;
use crate::plant::Plant;
use crate::units::grouped;

use super::Provenance;
use super::answers::SAFETY;
use super::charts::Chart;
use super::charts::curves::{self, Curve, Frame};
use super::clock::iso_date;
use super::compare::json::limit as limit_json;
use super::compare::limit::{About, sentence, table};
use super::method::{self, Study};
use super::page::parts::{figure_html, list, paragraph, sentence as part, table_html};
use super::page::{method_section, section, shell};
use super::words::{clean, escape, escape_markdown, fit, left, right, wrap};

const COLUMNS: usize = 80;

/// Limits of one or several cells.
pub struct Found<'a> {
    /// Title.
    pub title: &'a str,
    /// The cell as it is today.
    pub plant: &'a Plant,
    /// Where it comes from.
    pub provenance: &'a Provenance,
    /// What was found, with what it is about.
    pub limits: &'a [(Limit, About)],
}

fn origin(found: &Found<'_>) -> Vec<String> {
    vec![
        format!(
            "Seed {}, {} replications at every setting shown, from {}.{}",
            found.plant.run.seed,
            replications(found),
            iso_date(found.plant.run.start_day),
            far_words(found)
        ),
        format!(
            "pouchcast {}, scenario {}",
            found.provenance.version,
            clean(&found.provenance.file_name)
        ),
        format!("sha256 {}", found.provenance.sha256),
    ]
}

/// Replications of the settings that are shown, each with its own number.
fn replications(found: &Found<'_>) -> String {
    let points = found.limits.iter().flat_map(|(limit, _)| &limit.points);
    let counts: Vec<u32> = points.map(|point| point.n).collect();
    let told = |n: Option<&u32>| grouped(f64::from(n.copied().unwrap_or(0)), 0);
    let (least, most) = (told(counts.iter().min()), told(counts.iter().max()));
    match least == most {
        true => least,
        false => format!("{least} to {most}"),
    }
}

/// Said where some setting has fewer replications than its interval wants.
fn far_words(found: &Found<'_>) -> &'static str {
    let mut points = found.limits.iter().flat_map(|(limit, _)| &limit.points);
    match points.any(|point| point.n < point.wanted && point.low.is_finite()) {
        true => {
            " A few bad stretches decide some of these shares, and they want more replications than that. They have no \
             lower end; whether a promise is kept is judged by one ten times as far out as these replications show."
        }
        false => "",
    }
}

const METHOD: &str = "All settings meet the same luck. The interval holds every setting at which the share's own \
    interval holds the promised share. Orders that are not done when a run ends count as late.";

/// For a terminal.
pub fn text(found: &Found<'_>) -> String {
    let mut out = fit(&clean(found.title), COLUMNS) + "\n\n";
    let mut say = |text: &str| {
        for line in wrap(text, COLUMNS) {
            out.push_str(&line);
            out.push('\n');
        }
    };
    for (limit, about) in found.limits {
        say(&clean(&sentence(limit, about)));
    }
    say("");
    say(METHOD);
    for (limit, about) in found.limits {
        let table = table(limit, about, "");
        out.push_str(&format!("\n{}\n", fit(&clean(&table.title), COLUMNS)));
        for (name, cells) in &table.rows {
            let value = |i: usize| cells.get(i).map_or("", |c| &c.value);
            let interval = cells.first().map_or("", |c| &c.interval);
            out.push_str(&format!(
                "{}{}{}  {}\n",
                left(name, 12),
                right(value(0), 10),
                right(interval, 24),
                value(1)
            ));
        }
    }
    out.push('\n');
    for line in origin(found) {
        for piece in wrap(&line, COLUMNS) {
            out.push_str(&piece);
            out.push('\n');
        }
    }
    out
}

fn chart(found: &Found<'_>) -> Option<Chart> {
    let (first, about) = found.limits.first()?;
    let curves: Vec<Curve> = found
        .limits
        .iter()
        .map(|(limit, about)| Curve {
            name: about.cell.clone(),
            points: limit
                .points
                .iter()
                // A share lies between nothing and all, whatever its interval says.
                .map(|p| [p.at, p.mean, p.low.max(0.0), p.high.min(1.0)])
                .collect(),
        })
        .collect();
    let far = match far_words(found).is_empty() {
        true => "",
        false => ", ten times as far down where bad stretches ask for more replications",
    };
    let subtitle = format!(
        "{}; upright lines: {} intervals{far}",
        clean(&about.promise),
        about.confidence
    );
    let frame = Frame {
        titles: ("How far the promise is kept", &subtitle),
        setting: &format!("times {}", clean(&about.setting)),
        figure: ("share that keeps it, %", 100.0),
        aim: Some(first.share),
    };
    curves::draw(&frame, &curves).map(|svg| Chart { key: "limit", svg })
}

/// Everything that goes into the results folder.
pub fn files(found: &Found<'_>) -> Vec<(String, Vec<u8>)> {
    let chart = chart(found);
    let json = json!({
        "format": 1,
        "program": "pouchcast",
        "version": found.provenance.version,
        "scenario": { "name": clean(found.title), "file": found.provenance.file_name, "sha256": found.provenance.sha256 },
        "run": { "seed": found.plant.run.seed, "replications": found.plant.run.replications, "confidence": found.plant.run.confidence },
        "limits": found.limits.iter().map(|(limit, about)| json!({
            "cell": about.cell,
            "promise": about.promise,
            "setting": about.setting,
            "answer": sentence(limit, about),
            "limit": limit_json(limit),
        })).collect::<Vec<_>>(),
    });
    let mut rows = vec![
        [
            "cell",
            "promise",
            "times",
            "replications",
            "share",
            "low",
            "high",
        ]
        .map(str::to_owned)
        .to_vec(),
    ];
    for (limit, about) in found.limits {
        rows.extend(limit.points.iter().map(|p| {
            let told = |x: f64| match x.is_finite() {
                true => x.to_string(),
                false => String::new(),
            };
            let numbers = [p.at, f64::from(p.n), p.mean, p.claimed_low(), p.high].map(told);
            let mut row = vec![
                super::csv::name(&about.cell),
                super::csv::name(&about.promise),
            ];
            row.extend(numbers);
            row
        }));
    }
    let mut page = format!(
        "<header><p class=\"kind\">Print-to-pouch cell, limits</p><h1>{}</h1></header>\n<main>\n",
        escape(&clean(found.title))
    );
    let answers: Vec<String> = found
        .limits
        .iter()
        .map(|(l, a)| clean(&sentence(l, a)))
        .collect();
    let mut inner: String = answers
        .iter()
        .enumerate()
        .map(|(i, a)| part(a, "verdict", &format!("/limits/{i}/answer")))
        .collect();
    inner += &paragraph(METHOD);
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    page += &section("answer", "The answer", &inner);
    let charts: Vec<Chart> = chart.iter().cloned().collect();
    let mut shown = figure_html(&charts, "limit", "Share that keeps the promise by setting");
    shown.extend(found.limits.iter().enumerate().map(|(i, (l, a))| {
        let place = format!("/limits/{i}/limit");
        table_html(&table(l, a, &place))
    }));
    page += &section("settings", "What was run", &shown);
    let study = Study {
        plant: found.plant,
        provenance: found.provenance,
        purpose: "Purpose: how far a promise is kept as demand or another setting grows. Output: the share of orders \
                  that keeps it."
            .to_owned(),
        experiment: vec![METHOD.to_owned()],
        replications: Some(found.plant.run.replications),
        effort: None,
    };
    page += &method_section(&method::study(&study), found.provenance, &origin(found));
    page += "</main>\n";
    let mut markdown = format!("# {}\n\n", escape_markdown(&clean(found.title)));
    markdown.extend(
        answers
            .iter()
            .map(|a| format!("- {}\n", escape_markdown(a))),
    );
    markdown += &format!("\n{}\n\n", escape_markdown(METHOD));
    markdown.extend(SAFETY.iter().map(|t| format!("- {}\n", escape_markdown(t))));
    markdown.push('\n');
    markdown.extend(
        origin(found)
            .iter()
            .map(|l| format!("{}\n", escape_markdown(l))),
    );
    let mut text = serde_json::to_string_pretty(&json).unwrap_or_default();
    text.push('\n');
    let mut files = vec![
        (
            "report.html".to_owned(),
            shell(&escape(&clean(found.title)), &page, "").into_bytes(),
        ),
        ("report.md".to_owned(), markdown.into_bytes()),
        ("limit.json".to_owned(), text.into_bytes()),
        ("limit.csv".to_owned(), super::csv::written(rows)),
        (
            "scenario.yaml".to_owned(),
            found.provenance.scenario_text.clone().into_bytes(),
        ),
    ];
    files.extend(super::charts::files(charts));
    files
}
