//! What goes into the folder of a sweep: the page, Markdown, JSON, CSV and the chart.
//!
//! In: a [`Sweep`]. Out: names and bytes.

use crate::report::answers::SAFETY;
use crate::report::charts::Chart;
use crate::report::charts::curves::{self, Curve, Frame};
use crate::report::method::{self, Study};
use crate::report::page::parts::{figure_html, from, list, sentence, table_html};
use crate::report::page::{method_section, section, shell};
use crate::report::words::{capital, clean, escape, escape_markdown, joined};
use crate::summary::Standing;

use super::{File, METHOD, Point, Sweep, origin};

/// What the sweep says: the figure of the chart from the first to the last point that keeps up, and which do not.
fn answer(sweep: &Sweep<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let named = |point: &Point| {
        let settings = point.settings.iter();
        let told: Vec<String> = settings
            .map(|(path, value)| format!("{} {}", clean(path), clean(value)))
            .collect();
        told.join(", ")
    };
    for i in sweep.shown() {
        let known: Vec<&Point> = (sweep.points.iter())
            .filter(|point| point.figures[i].value.is_some())
            .collect();
        if let [first, .., last] = known.as_slice() {
            out.push(format!(
                "{}: {} at {}, {} at {}.",
                capital(&sweep.label(&sweep.points[0].figures[i])),
                sweep.cell(&first.figures[i]).with_interval(),
                named(first),
                sweep.cell(&last.figures[i]).with_interval(),
                named(last)
            ));
        }
    }
    let over: Vec<String> = (sweep.points.iter())
        .filter(|point| point.standing == Standing::Overloaded.key())
        .map(named)
        .collect();
    let keeps_up = match over.is_empty() {
        true => "The cell keeps up with its orders at every point.".to_owned(),
        false => format!(
            "The cell cannot keep up with its orders at: {}.",
            over.join("; ")
        ),
    };
    out.insert(0, keeps_up);
    out
}

/// The number at the front of a value, `x 1.2` or `30 m/min`.
fn number(value: &str) -> Option<f64> {
    let text = value.trim().trim_start_matches(['x', '×']).trim_start();
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    text[..end].parse().ok()
}

/// The first deciding figure over the first setting, a line for each combination of the others.
fn chart(sweep: &Sweep<'_>) -> Option<Chart> {
    let figure = *sweep.shown().first()?;
    let told = &sweep.points.first()?.figures[figure];
    let mut curves: Vec<Curve> = Vec::new();
    for point in sweep.points {
        let (first, rest) = point.settings.split_first()?;
        let at = number(&first.1)?;
        let rest: Vec<String> = rest
            .iter()
            .map(|(path, value)| format!("{path} {value}"))
            .collect();
        let name = match rest.is_empty() {
            true => sweep.identity.variant.clone(),
            false => rest.join(", "),
        };
        let Some([mean, mut low, mut high]) = point.figures[figure].value else {
            continue;
        };
        // An end that is not claimed is drawn at the value itself.
        (low, high) = (
            if low.is_finite() { low } else { mean },
            if high.is_finite() { high } else { mean },
        );
        if told.unit == "share" {
            (low, high) = (low.max(0.0), high.min(1.0));
        }
        match curves.iter_mut().find(|curve| curve.name == name) {
            Some(curve) => curve.points.push([at, mean, low, high]),
            None => curves.push(Curve {
                name,
                points: vec![[at, mean, low, high]],
            }),
        }
    }
    for curve in &mut curves {
        curve.points.sort_by(|a, b| a[0].total_cmp(&b[0]));
    }
    let (scale, unit) = match told.unit.as_str() {
        "share" => (100.0, "%"),
        "min" => (1.0 / 60.0, "h"),
        other => (1.0, other),
    };
    let label = format!("{}, {unit}", clean(&told.label));
    let frame = Frame {
        titles: (
            "The figure over the setting",
            "upright lines: intervals of each point by itself; points that do not keep up are left out",
        ),
        setting: &clean(sweep.paths.first()?),
        figure: (&label, scale),
        aim: None,
    };
    curves::draw(&frame, &curves).map(|svg| Chart { key: "sweep", svg })
}

/// Everything that goes into the results folder.
pub fn files(sweep: &Sweep<'_>) -> Vec<(String, Vec<u8>)> {
    let chart = chart(sweep);
    let all: Vec<Point> = sweep.points.iter().chain(sweep.others).cloned().collect();
    let file = File {
        format: super::FORMAT,
        program: "pouchcast".to_owned(),
        identity: sweep.identity.clone(),
        answer: answer(sweep),
        points: all,
    };
    let mut json = serde_json::to_string_pretty(&file).unwrap_or_default();
    json.push('\n');
    let mut head: Vec<String> = sweep
        .paths
        .iter()
        .map(|p| crate::report::csv::name(p))
        .collect();
    head.extend(
        [
            "standing",
            "bottleneck",
            "replications",
            "figure",
            "unit",
            "mean",
            "low",
            "high",
        ]
        .map(str::to_owned),
    );
    let mut rows = vec![head];
    for point in sweep.points {
        for told in &point.figures {
            let mut row: Vec<String> = point
                .settings
                .iter()
                .map(|(_, v)| crate::report::csv::name(v))
                .collect();
            row.extend([
                point.standing.clone(),
                crate::report::csv::name(&point.bottleneck),
                point.replications.to_string(),
                told.key.clone(),
                told.unit.clone(),
            ]);
            match told.value {
                Some(values) => row.extend(values.map(|x| {
                    if x.is_finite() {
                        x.to_string()
                    } else {
                        String::new()
                    }
                })),
                None => row.extend([const { String::new() }; 3]),
            }
            rows.push(row);
        }
    }
    let shown: Vec<usize> = (0..sweep.points.first().map_or(0, |p| p.figures.len())).collect();
    let table = sweep.table(&shown);
    let charts: Vec<Chart> = chart.iter().cloned().collect();
    let title = escape(&clean(sweep.title));
    let mut page = format!(
        "<header><p class=\"kind\">Print-to-pouch cell, settings swept</p><h1>{title}</h1></header>\n<main>\n"
    );
    let said = answer(sweep);
    let mut inner = said
        .first()
        .map_or_else(String::new, |first| sentence(first, "verdict", "/answer/0"));
    let rest: String = (said.iter().enumerate().skip(1))
        .map(|(i, words)| {
            format!(
                "<li{}>{}</li>\n",
                from(&format!("/answer/{i}")),
                escape(&joined(words))
            )
        })
        .collect();
    inner += &format!("<ul>\n{rest}</ul>\n");
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    page += &section("answer", "The answer", &inner);
    page += &section(
        "points",
        "All points",
        &(figure_html(&charts, "sweep", "A figure over the first setting") + &table_html(&table)),
    );
    let study = Study {
        plant: sweep.plant,
        provenance: sweep.provenance,
        purpose:
            "Purpose: how the figures of the cell move over the values of one or several settings."
                .to_owned(),
        experiment: vec![METHOD.to_owned()],
        replications: Some(sweep.identity.replications),
        effort: None,
    };
    page += &method_section(&method::study(&study), sweep.provenance, &origin(sweep));
    page += "</main>\n";
    let mut markdown = format!("# {}\n\n", escape_markdown(&clean(sweep.title)));
    for words in &said {
        markdown += &format!("{}\n\n", escape_markdown(&joined(words)));
    }
    markdown += "| |";
    let few = sweep.table(&sweep.shown());
    markdown.extend(
        few.head
            .iter()
            .skip(1)
            .map(|h| format!(" {} |", escape_markdown(h))),
    );
    markdown += &format!(
        "\n|---|{}\n",
        "--:|".repeat(few.head.len().saturating_sub(1))
    );
    for (name, cells) in &few.rows {
        markdown += &format!("| {} |", escape_markdown(name));
        markdown.extend(
            cells
                .iter()
                .map(|c| format!(" {} |", escape_markdown(&c.with_interval()))),
        );
        markdown.push('\n');
    }
    markdown.push('\n');
    for words in SAFETY {
        markdown += &format!("* {}\n", escape_markdown(words));
    }
    markdown.push('\n');
    markdown.extend(
        origin(sweep)
            .iter()
            .map(|l| format!("{}\n", escape_markdown(l))),
    );
    let mut files = vec![
        (
            "report.html".to_owned(),
            shell(&title, &page, "").into_bytes(),
        ),
        ("report.md".to_owned(), markdown.into_bytes()),
        ("sweep.json".to_owned(), json.into_bytes()),
        ("sweep.csv".to_owned(), crate::report::csv::written(rows)),
        (
            "scenario.yaml".to_owned(),
            sweep.provenance.scenario_text.clone().into_bytes(),
        ),
    ];
    files.extend(crate::report::charts::files(charts));
    files
}
