//! A sweep over settings: table, files, chart, and the points of an earlier sweep read back.
//!
//! In: [`Sweep`]. Out: text and bytes; `sweep.json` is also the memory from which a sweep goes on.

use serde::{Deserialize, Serialize};

use crate::plant::Plant;
use crate::units::Reader;

use super::Provenance;
use super::answers::SAFETY;
use super::charts::Chart;
use super::charts::curves::{self, Curve, Frame};
use super::compare::words::{plain, unit};
use super::figure::Figure;
use super::method::{self, Study};
use super::page::parts::{figure_html, from, list, sentence, table_html};
use super::page::{method_section, section, shell};
use super::table::Table;
use super::words::{capital, clean, escape, escape_markdown, fit, joined, left, right, wrap};
use crate::summary::Standing;

const COLUMNS: usize = 80;

/// What a point depends on besides its settings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    /// SHA-256 of the scenario and what it names.
    pub sha256: String,
    /// Version of the program.
    pub version: String,
    /// Root of every draw.
    pub seed: u64,
    /// Replications at every point.
    pub replications: u32,
    /// The variant that is swept.
    pub variant: String,
}

/// A figure at a point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// Key.
    pub key: String,
    /// Words.
    pub label: String,
    /// Unit.
    pub unit: String,
    /// The verdict of a comparison would speak of it.
    pub decides: bool,
    /// Mean and both ends of its interval.
    pub value: Option<[f64; 3]>,
    /// Why there is no value.
    pub unknown: Option<String>,
}

/// A finished point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Path and value of each setting.
    pub settings: Vec<(String, String)>,
    /// How the cell stands.
    pub standing: String,
    /// Busiest station.
    pub bottleneck: String,
    /// Figures.
    pub figures: Vec<Told>,
}

#[derive(Serialize, Deserialize)]
struct File {
    format: u32,
    program: String,
    identity: Identity,
    #[serde(default)]
    answer: Vec<String>,
    points: Vec<Point>,
}

/// A sweep.
pub struct Sweep<'a> {
    /// Title.
    pub title: &'a str,
    /// What its points depend on.
    pub identity: &'a Identity,
    /// Where it comes from.
    pub provenance: &'a Provenance,
    /// Paths that are set.
    pub paths: &'a [String],
    /// Points asked for that are done.
    pub points: &'a [Point],
    /// Points of earlier sweeps, kept in `sweep.json`.
    pub others: &'a [Point],
    /// Points asked for.
    pub asked: usize,
    /// The cell that is swept.
    pub plant: &'a Plant,
}

/// The points of an earlier `sweep.json`, if they depend on the same things; `None` if not.
pub fn finished(bytes: &[u8], identity: &Identity) -> Option<Vec<Point>> {
    let file: File = serde_json::from_slice(bytes).ok()?;
    (file.format == 1 && file.identity == *identity).then_some(file.points)
}

impl Sweep<'_> {
    fn reader(&self) -> Reader {
        if self.plant.reader.inch {
            Reader::Inch
        } else {
            Reader::Metric
        }
    }

    /// Words of a figure; those of money with their currency.
    fn label(&self, told: &Told) -> String {
        let words = match told.unit.starts_with("money") {
            true => format!(
                "{}, {}",
                told.label,
                unit(&told.unit, &self.plant.reader.currency)
            ),
            false => told.label.clone(),
        };
        clean(&words)
    }

    /// Figures that are shown: those a verdict would speak of, and a few more.
    fn shown(&self) -> Vec<usize> {
        let figures = self.points.first().map_or(&[][..], |p| &p.figures);
        let more = [
            "lead_done/all/p90",
            "orders/all",
            "cell/busiest",
            "money/result",
        ];
        let wanted = |f: &Told| f.decides || more.contains(&f.key.as_str());
        (0..figures.len())
            .filter(|&i| wanted(&figures[i]))
            .collect()
    }

    fn cell(&self, told: &Told) -> Figure {
        match told.value {
            None => Figure::missing(told.unknown.as_deref().unwrap_or("–")),
            Some([mean, low, high]) => {
                let text = |x: f64| plain(x, &told.unit, self.reader());
                let most = if told.unit == "share" {
                    1.0
                } else {
                    f64::INFINITY
                };
                let interval = match low.is_finite() && high.is_finite() {
                    // A common unit is said once: `65.1 to 88.5 %`.
                    true => format!(
                        "{} to {}",
                        text(low).trim_end_matches(" %"),
                        text(high.min(most))
                    ),
                    false => String::new(),
                };
                Figure::told(text(mean), interval)
            }
        }
    }

    fn table(&self, figures: &[usize]) -> Table {
        let mut head = vec![String::new()];
        head.extend(
            figures
                .iter()
                .map(|&i| self.label(&self.points[0].figures[i])),
        );
        Table {
            title: "Figures".to_owned(),
            note: self
                .paths
                .iter()
                .map(|p| clean(p))
                .collect::<Vec<_>>()
                .join("; "),
            head,
            rows: self
                .points
                .iter()
                .enumerate()
                .map(|(place, point)| {
                    let cell = |&i: &usize| {
                        let from = format!("/points/{place}/figures/{i}/value");
                        self.cell(&point.figures[i]).at(from)
                    };
                    (name(point), figures.iter().map(cell).collect())
                })
                .collect(),
        }
    }
}

/// The values of a point.
fn name(point: &Point) -> String {
    let values: Vec<String> = point
        .settings
        .iter()
        .map(|(_, value)| clean(value))
        .collect();
    values.join("; ")
}

fn origin(sweep: &Sweep<'_>) -> Vec<String> {
    vec![
        format!(
            "Seed {}, {} replications at every point, {} of {} points, cell: {}.",
            sweep.identity.seed,
            sweep.identity.replications,
            sweep.points.len(),
            sweep.asked,
            clean(&sweep.identity.variant)
        ),
        format!(
            "pouchcast {}, scenario {}",
            sweep.identity.version,
            clean(&sweep.provenance.file_name)
        ),
        format!("sha256 {}", sweep.identity.sha256),
    ]
}

const METHOD: &str = "All points meet the same luck. A point whose queue grows has no steady lead time and none is \
    shown. Intervals hold for each point by itself.";

/// For a terminal.
pub fn text(sweep: &Sweep<'_>) -> String {
    let mut out = fit(&clean(sweep.title), COLUMNS) + "\n";
    let paths: Vec<String> = sweep.paths.iter().map(|p| clean(p)).collect();
    let say = |out: &mut String, text: &str| {
        for line in wrap(text, COLUMNS) {
            out.push_str(&line);
            out.push('\n');
        }
    };
    say(&mut out, &format!("Sweep over {}.", paths.join(" and ")));
    for i in sweep.shown() {
        out.push_str(&format!(
            "\n{}\n",
            fit(
                &sweep.label(&sweep.points[0].figures[i]).to_uppercase(),
                COLUMNS
            )
        ));
        for point in sweep.points {
            let cell = sweep.cell(&point.figures[i]);
            out.push_str(&format!(
                "{}{}{}\n",
                left(&name(point), 34),
                right(&cell.value, 14),
                right(&cell.interval, 32)
            ));
        }
    }
    out.push_str("\nBUSIEST STATION\n");
    for point in sweep.points {
        out.push_str(&format!(
            "{}{}\n",
            left(&name(point), 34),
            fit(&clean(&point.bottleneck), COLUMNS - 34)
        ));
    }
    out.push('\n');
    say(&mut out, METHOD);
    origin(sweep).iter().for_each(|line| say(&mut out, line));
    out
}

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
        format: 1,
        program: "pouchcast".to_owned(),
        identity: sweep.identity.clone(),
        answer: answer(sweep),
        points: all,
    };
    let mut json = serde_json::to_string_pretty(&file).unwrap_or_default();
    json.push('\n');
    let mut head: Vec<String> = sweep.paths.iter().map(|p| super::csv::name(p)).collect();
    head.extend(
        [
            "standing",
            "bottleneck",
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
                .map(|(_, v)| super::csv::name(v))
                .collect();
            row.extend([
                point.standing.clone(),
                super::csv::name(&point.bottleneck),
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
    let mut markdown = format!("# {}\n\n| |", escape_markdown(&clean(sweep.title)));
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
        ("sweep.csv".to_owned(), super::csv::written(rows)),
        (
            "scenario.yaml".to_owned(),
            sweep.provenance.scenario_text.clone().into_bytes(),
        ),
    ];
    files.extend(super::charts::files(charts));
    files
}
