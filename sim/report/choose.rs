//! The best of many line-ups in words: for the terminal, a ticket, another program, and a page.
//!
//! In: what was found ([`Chosen`]) and what it was about. Out: text and bytes. The sentences claim what the
//! procedure guarantees and nothing beyond.

use serde_json::{Value, json};

use crate::compare::choose::{Chosen, Fate, Way};
use crate::compare::{Better, Headline};
use crate::plant::Plant;
use crate::units::{Reader, grouped};

use super::Provenance;
use super::answers::SAFETY;
use super::compare::words::plain;
use super::figure::Figure;
use super::method::{self, Study};
use super::page::parts::{list, sentence, table_html};
use super::page::{method_section, section, shell};
use super::table::Table;
use super::text::COLUMNS;
use super::words::{capital, clean, escape, escape_markdown, fit, left, right, wrap};

/// All that the outputs need.
#[derive(Debug)]
pub struct View<'a> {
    /// What was found.
    pub chosen: &'a Chosen,
    /// The figure.
    pub headline: &'a Headline,
    /// Names of the line-ups, today first.
    pub names: Vec<String>,
    /// Title of the study.
    pub title: String,
    /// For whom lengths are written.
    pub reader: Reader,
    /// Root of all chance.
    pub seed: u64,
    /// The cell as it is today.
    pub plant: &'a Plant,
    /// Where it comes from.
    pub provenance: &'a Provenance,
}

impl View<'_> {
    fn value(&self, value: f64) -> String {
        match value.is_nan() {
            true => "–".to_owned(),
            false => plain(value, self.headline.unit, self.reader),
        }
    }

    fn name(&self, index: usize) -> String {
        clean(self.names.get(index).map_or("", String::as_str))
    }

    fn left(&self) -> Vec<String> {
        (0..self.names.len())
            .filter(|&i| self.chosen.lines.get(i).is_some_and(|l| l.fate == Fate::In))
            .map(|i| self.name(i))
            .collect()
    }

    /// What may be said.
    pub fn verdict(&self) -> Vec<String> {
        let label = clean(&self.headline.label);
        let alone = self
            .chosen
            .lines
            .iter()
            .all(|l| !matches!(l.fate, Fate::Beaten));
        match (self.chosen.way, self.chosen.winner) {
            (_, None) if self.left().is_empty() => vec![format!(
                "None of the line-ups has a steady value of \"{label}\": none keeps up with its orders, or orders were \
                 not done by the end of the run."
            )],
            (Way::Race { .. }, Some(best)) if alone => vec![format!(
                "Only one has a steady value of \"{label}\": {}. The others do not keep up, or have orders that were not \
                 done by the end of the run.",
                self.name(best)
            )],
            (
                Way::Race {
                    zone, confidence, ..
                },
                Some(best),
            ) => vec![
                format!("Left as the best in \"{label}\": {}.", self.name(best)),
                format!(
                    "With a confidence of at least {} % it is the best, if the best is better than every other by {} or \
                     more. Where others are closer than that, it may be one of them.",
                    grouped(confidence * 100.0, 1),
                    self.value(zone)
                ),
            ],
            (Way::Race { most, .. }, None) => vec![format!(
                "Not decided after {most} replications of each: {} are still in for the best in \"{label}\". More \
                 replications (--replications) or a wider --within can decide it.",
                self.left().join(", ")
            )],
            (Way::Effort(_), Some(best)) => vec![
                format!("Best by its mean in \"{label}\": {}.", self.name(best)),
                match self.chosen.chance {
                    Some(chance) => format!(
                        "The estimated chance that it is the best is at least {} %. That is an estimate from the means \
                         and spreads seen, not a guarantee.",
                        grouped((chance * 100.0).floor(), 0)
                    ),
                    None => "No other one has a steady value.".to_owned(),
                },
            ],
            (Way::Effort(_), None) => {
                vec!["Interrupted before the effort was spent: nothing is decided.".to_owned()]
            }
        }
    }

    fn fate(&self, index: usize) -> &'static str {
        match self.chosen.lines.get(index).map(|line| line.fate) {
            Some(Fate::In) if self.chosen.winner == Some(index) => "best",
            Some(Fate::In) => match self.chosen.way {
                Way::Race { .. } => "still in",
                Way::Effort(_) => "behind by its mean",
            },
            Some(Fate::Beaten) => "fell",
            Some(Fate::Overloaded) => "does not keep up",
            Some(Fate::NoValue) | None => "orders not done",
        }
    }

    /// How far the mean of a line-up lies behind that of the best one, in the unit of the figure; nothing where one of
    /// the two has none.
    fn behind(&self, index: usize) -> Option<f64> {
        let mean = |i: usize| {
            let line = self.chosen.lines.get(i)?;
            let told = matches!(line.fate, Fate::In | Fate::Beaten) && line.mean.is_finite();
            told.then_some(line.mean)
        };
        let winner = self.chosen.winner.filter(|&best| best != index)?;
        Some((mean(index)? - mean(winner)?).abs())
    }

    fn behind_words(&self, index: usize) -> String {
        match (self.behind(index), self.headline.unit) {
            (None, _) => "–".to_owned(),
            (Some(share), "share") => format!("{:.2} pt", share * 100.0),
            (Some(value), _) => self.value(value),
        }
    }

    fn row(&self, index: usize) -> [String; 4] {
        let line = self.chosen.lines.get(index);
        [
            self.value(line.map_or(f64::NAN, |line| match line.fate {
                Fate::Overloaded | Fate::NoValue => f64::NAN,
                _ => line.mean,
            })),
            self.behind_words(index),
            grouped(line.map_or(0.0, |line| line.replications as f64), 0),
            self.fate(index).to_owned(),
        ]
    }

    /// The best first, then those that fell last.
    fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.chosen.lines.len()).collect();
        order.sort_by_key(|&i| {
            let line = &self.chosen.lines[i];
            let rank = match line.fate {
                Fate::In if self.chosen.winner == Some(i) => 0,
                Fate::In => 1,
                Fate::Beaten => 2,
                Fate::Overloaded | Fate::NoValue => 3,
            };
            (rank, std::cmp::Reverse(line.replications), i)
        });
        order
    }

    fn notes(&self) -> Vec<String> {
        let way = match self.chosen.way {
            Way::Race { first, zone, .. } => format!(
                "Fully sequential procedure of Kim and Nelson with an indifference zone of {}, first stage {first} \
                 replications, common random numbers. It takes figures of replications as normal.",
                self.value(zone)
            ),
            Way::Effort(effort) => format!(
                "Optimal computing budget allocation of {} replications.",
                grouped(effort as f64, 0)
            ),
        };
        let most = self
            .chosen
            .lines
            .iter()
            .map(|l| l.replications)
            .max()
            .unwrap_or(0);
        let equal = most * self.chosen.lines.len() as u64;
        vec![
            way,
            format!(
                "{} replications in all; as many for each as for the longest would have been {}.",
                grouped(self.chosen.effort as f64, 0),
                grouped(equal as f64, 0)
            ),
            format!(
                "Seed {}, pouchcast {}, scenario {}, sha256 {}.",
                self.seed,
                self.provenance.version,
                clean(&self.provenance.file_name),
                clean(&self.provenance.sha256)
            ),
        ]
    }
}

/// For a terminal, at most 80 columns.
pub fn text(view: &View<'_>) -> String {
    let mut out = fit(&clean(&view.title), COLUMNS) + "\n\n";
    let mut push = |text: &str| {
        for line in wrap(text, COLUMNS) {
            out.push_str(line.trim_end());
            out.push('\n');
        }
    };
    view.verdict().iter().for_each(|sentence| push(sentence));
    out.push('\n');
    let row = |name: &str, cells: &[String]| {
        let [mean, behind, count, fate] = cells else {
            return String::new();
        };
        let line = format!(
            "{} {} {} {}  {fate}",
            left(name, 24),
            right(mean, 11),
            right(behind, 9),
            right(count, 7)
        );
        format!("{}\n", line.trim_end())
    };
    out += &row("", &["mean", "behind", "replic.", ""].map(str::to_owned));
    for index in view.order() {
        out += &row(&view.name(index), &view.row(index));
    }
    out.push('\n');
    for note in view.notes() {
        for line in wrap(&note, COLUMNS) {
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }
    out
}

/// Everything that goes into a results folder.
pub fn files(view: &View<'_>) -> Vec<(String, Vec<u8>)> {
    vec![
        ("report.html".to_owned(), page(view).into_bytes()),
        ("report.md".to_owned(), markdown(view).into_bytes()),
        ("choose.json".to_owned(), json(view).into_bytes()),
        (
            "scenario.yaml".to_owned(),
            view.provenance.scenario_text.clone().into_bytes(),
        ),
    ]
}

fn json(view: &View<'_>) -> String {
    let known = |x: f64| if x.is_finite() { json!(x) } else { Value::Null };
    let (way, zone, confidence) = match view.chosen.way {
        Way::Race {
            zone, confidence, ..
        } => ("race", json!(zone), json!(confidence)),
        Way::Effort(_) => ("effort", Value::Null, Value::Null),
    };
    let lines: Vec<Value> = view
        .chosen
        .lines
        .iter()
        .zip(&view.names)
        .enumerate()
        .map(|(place, (line, name))| {
            json!({
                "variant": name,
                "mean": known(line.mean),
                "sd": known(line.sd),
                "behind_best": view.behind(place),
                "replications": line.replications,
                "fate": match line.fate {
                    Fate::In => "in",
                    Fate::Beaten => "fell",
                    Fate::Overloaded => "overloaded",
                    Fate::NoValue => "no_value",
                },
            })
        })
        .collect();
    let value = json!({
        "format": 1,
        "program": "pouchcast",
        "version": view.provenance.version,
        "scenario": { "name": view.title, "file": view.provenance.file_name, "sha256": view.provenance.sha256 },
        "figure": { "key": view.headline.key, "label": view.headline.label, "unit": view.headline.unit },
        "better": match view.headline.better { Better::Less => "less", Better::More => "more", Better::Neither => "neither" },
        "way": way,
        "zone": zone,
        "confidence": confidence,
        "seed": view.seed,
        "partial": view.chosen.interrupted,
        "best": view.chosen.winner.and_then(|i| view.names.get(i)),
        "chance": view.chosen.chance,
        "replications": view.chosen.effort,
        "verdict": view.verdict(),
        "variants": lines,
    });
    let mut text = serde_json::to_string_pretty(&value).unwrap_or_default();
    text.push('\n');
    text
}

fn markdown(view: &View<'_>) -> String {
    let esc = escape_markdown;
    let mut out = format!("# {}\n\n", esc(&clean(&view.title)));
    for sentence in view.verdict() {
        out += &format!("**{}**\n\n", esc(&sentence));
    }
    out += "| line-up | mean | behind the best | replications | |\n|---|--:|--:|--:|---|\n";
    for index in view.order() {
        let [mean, behind, count, fate] = view.row(index);
        out += &format!(
            "| {} | {mean} | {behind} | {count} | {fate} |\n",
            esc(&view.name(index))
        );
    }
    out.push('\n');
    for note in view.notes().iter().map(String::as_str).chain(SAFETY) {
        out += &format!("- {}\n", esc(note));
    }
    out
}

fn page(view: &View<'_>) -> String {
    let title = escape(&clean(&view.title));
    let mut body = format!(
        "<header><p class=\"kind\">Print-to-pouch cell, the best line-up</p><h1>{title}</h1></header>\n<main>\n"
    );
    let mut inner: String = view
        .verdict()
        .iter()
        .enumerate()
        .map(|(i, words)| {
            let class = if i == 0 { "verdict" } else { "" };
            sentence(words, class, &format!("/verdict/{i}"))
        })
        .collect();
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    body += &section("answer", "The answer", &inner);
    let table = Table {
        title: capital(&clean(&view.headline.label)),
        note: "Behind: how far the mean lies behind that of the best one.".to_owned(),
        head: ["", "mean", "behind", "replications", "outcome"]
            .map(str::to_owned)
            .into(),
        rows: view
            .order()
            .into_iter()
            .map(|i| {
                let [mean, behind, count, fate] = view.row(i).map(Figure::plain);
                let place = |key: &str| format!("/variants/{i}/{key}");
                let cells = vec![
                    mean.at(place("mean")),
                    behind.at(place("behind_best")),
                    count.at(place("replications")),
                    fate,
                ];
                (view.name(i), cells)
            })
            .collect(),
    };
    body += &section("lines", "The line-ups, the best first", &table_html(&table));
    let notes = view.notes();
    let (origin, notes) = notes
        .split_last()
        .map_or((&[][..], &[][..]), |(last, first)| {
            (std::slice::from_ref(last), first)
        });
    let study = Study {
        plant: view.plant,
        provenance: view.provenance,
        purpose: format!(
            "Purpose: which of the line-ups is the best in \"{}\", with as few replications as that takes.",
            clean(&view.headline.label)
        ),
        experiment: notes.to_vec(),
        replications: None,
        effort: None,
    };
    body += &method_section(&method::study(&study), view.provenance, origin);
    body += "</main>\n";
    shell(&title, &body, "")
}
