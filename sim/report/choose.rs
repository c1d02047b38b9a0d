//! The best of many line-ups in words: for the terminal, a ticket, another program, and a page.
//!
//! In: a [`View`] of what was found. Out: text and bytes. The sentences claim what the
//! procedure guarantees and nothing beyond.

use serde_json::{Value, json};

use crate::compare::Better;
use crate::compare::choose::{Fate, Way};

use super::answers::SAFETY;
use super::figure::Figure;
use super::method::Study;
use super::page::parts::{list, sentence, sentences, table_html};
use super::page::{method_of, section, shell};
use super::table::Table;
use super::text::COLUMNS;
use super::words::{capital, clean, escape, escape_markdown, fit, left, right, wrap};

mod view;

pub use view::View;

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
        let [mean, behind, year, count, fate] = cells else {
            return String::new();
        };
        let year = match view.has_money() {
            true => right(year, 12),
            false => String::new(),
        };
        let line = format!(
            "{} {} {}{year} {}  {fate}",
            left(name, if view.has_money() { 20 } else { 32 }),
            right(mean, 11),
            right(behind, 9),
            right(count, 7)
        );
        format!("{}\n", line.trim_end())
    };
    out += &row(
        "",
        &["mean", "behind", "a year", "replic.", ""].map(str::to_owned),
    );
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
                "yearly_result": line.yearly,
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
        "demand": view.demand,
        "seed": view.seed,
        "partial": view.chosen.interrupted,
        "best": view.chosen.winner.and_then(|i| view.names.get(i)),
        "chance": view.chosen.chance,
        "wanted": view.chosen.wanted,
        "replications": view.chosen.effort,
        "verdict": view.verdict(),
        "notes": view.notes(),
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
    let year = |cell: &str| match view.has_money() {
        true => format!(" {cell} |"),
        false => String::new(),
    };
    out += &format!(
        "| line-up | mean | behind the best |{} replications | |\n|---|--:|--:|{}--:|---|\n",
        year(&format!("a year, {}", esc(&clean(&view.currency)))),
        year("--:").trim_start()
    );
    for index in view.order() {
        let [mean, behind, yearly, count, fate] = view.row(index);
        out += &format!(
            "| {} | {mean} | {behind} |{} {count} | {fate} |\n",
            esc(&view.name(index)),
            year(&yearly)
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
    inner += &sentences(&view.caution_words(), "cautions", "/notes", "");
    inner += &list(&SAFETY.map(str::to_owned), "safety");
    body += &section("answer", "The answer", &inner);
    let table = Table {
        title: capital(&clean(&view.headline.label)),
        note: format!(
            "{}. Behind: how far the mean lies behind that of the best one.",
            view.at()
        ),
        head: {
            let mut head = vec![String::new(), "mean".to_owned(), "behind".to_owned()];
            if view.has_money() {
                head.push(format!("a year, {}", clean(&view.currency)));
            }
            head.extend(["replications", "outcome"].map(str::to_owned));
            head
        },
        rows: view
            .order()
            .into_iter()
            .map(|i| {
                let [mean, behind, year, count, fate] = view.row(i).map(Figure::plain);
                let place = |key: &str| format!("/variants/{i}/{key}");
                let mut cells = vec![mean.at(place("mean")), behind.at(place("behind_best"))];
                if view.has_money() {
                    cells.push(year.at(place("yearly_result")));
                }
                cells.extend([count.at(place("replications")), fate]);
                (view.name(i), cells)
            })
            .collect(),
    };
    body += &section("lines", "The line-ups, the best first", &table_html(&table));
    let study = Study {
        plant: view.plant,
        provenance: view.provenance,
        purpose: format!(
            "Purpose: which of the line-ups is the best in \"{}\", with as few replications as that takes.",
            clean(&view.headline.label)
        ),
        experiment: view.notes(),
        replications: None,
        effort: None,
    };
    body += &method_of(study);
    body += "</main>\n";
    shell(&title, &body, "")
}
