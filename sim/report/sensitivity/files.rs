//! `sensitivity.json`, `sensitivity.csv` and `report.md`. Keys and columns are documented in
//! `docs/reference/results.md`.

use serde_json::{Value, json};

use crate::report::answers::SAFETY;
use crate::report::compare::json::{difference, estimate};
use crate::report::csv::{name, written};
use crate::report::words::escape_markdown as esc;

use super::setting;
use super::words::{Row, View};

const SIDES: [&str; 2] = ["lower", "higher"];

/// The whole file, indented, ends with a line break.
pub fn json(view: &View<'_>) -> String {
    let c = view.comparison;
    let settings: Vec<Value> = view
        .moved
        .iter()
        .map(|moved| {
            let mut told = json!({ "name": moved.name });
            for (side, key) in moved.sides.iter().zip(SIDES) {
                told[key] = side.as_ref().map_or(Value::Null, |(side, case)| {
                    json!({
                        "moved": side.words,
                        "settings": side.settings.iter().map(|(path, value)| json!({ "path": path, "value": value }))
                            .collect::<Vec<_>>(),
                        "standing": c.cases[*case][0].standing.key(),
                    })
                });
            }
            told
        })
        .collect();
    let effect = |row: &Row| {
        let side = |side: usize| row.sides[side].as_ref().map(difference);
        json!({
            "setting": view.name(row.moved),
            "lower": side(0),
            "higher": side(1),
            "spread": row.spread.is_finite().then_some(row.spread),
            "clear": view.clear(row),
        })
    };
    let figures: Vec<Value> = view
        .figures
        .iter()
        .map(|&h| {
            let headline = &c.headlines[h];
            json!({
                "key": headline.key,
                "label": headline.label,
                "unit": headline.unit,
                "today": estimate(&c.cases[0][0].figures[h]),
                "effects": view.rows(h).iter().map(effect).collect::<Vec<_>>(),
            })
        })
        .collect();
    let value = json!({
        "format": 1,
        "program": "pouchcast",
        "version": view.provenance.version,
        "scenario": {
            "name": view.title,
            "file": view.provenance.file_name,
            "sha256": view.provenance.sha256,
        },
        "run": {
            "seed": view.plant.run.seed,
            "replications_asked": c.asked,
            "replications_done": c.done,
            "partial": c.done < c.asked,
            "confidence": c.confidence,
            "comparisons_together": c.together,
        },
        "cell": view.cell,
        "share": view.share,
        "verdict": view.verdict(),
        "settings": settings,
        "figures": figures,
        "left_out": view.left_out,
    });
    // A tree of strings and numbers always has a text.
    let mut text = serde_json::to_string_pretty(&value).unwrap_or_default();
    text.push('\n');
    text
}

/// A row for every figure, setting and side, the largest effect first.
pub fn csv(view: &View<'_>) -> Vec<u8> {
    let head = [
        "figure", "label", "unit", "rank", "setting", "side", "moved", "standing", "mean", "low",
        "high", "call",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    let c = view.comparison;
    for &h in &view.figures {
        let headline = &c.headlines[h];
        for (rank, row) in view.rows(h).iter().enumerate() {
            for (side, key) in SIDES.into_iter().enumerate() {
                let Some((told, case)) = &view.moved[row.moved].sides[side] else {
                    continue;
                };
                let mut line = vec![
                    headline.key.clone(),
                    name(&headline.label),
                    headline.unit.to_owned(),
                    (rank + 1).to_string(),
                    name(view.name(row.moved)),
                    key.to_owned(),
                    name(&told.words),
                    c.cases[*case][0].standing.key().to_owned(),
                ];
                match &row.sides[side] {
                    Some(Ok(d)) => {
                        line.extend([d.mean, d.low, d.high].map(|x| match x.is_finite() {
                            true => x.to_string(),
                            false => String::new(),
                        }));
                        line.push(d.call.key().to_owned());
                    }
                    _ => line.extend([const { String::new() }; 4]),
                }
                rows.push(line);
            }
        }
    }
    written(rows)
}

/// The short report.
pub fn markdown(view: &View<'_>) -> String {
    let mut out = format!("# {}\n\n", esc(&view.title));
    for sentence in view.verdict() {
        out += &format!("**{}**\n\n", esc(&sentence));
    }
    for &h in &view.figures {
        out += &format!(
            "## {}: {}\n\n| | lower | higher | clear |\n|---|--:|--:|---|\n",
            esc(&view.label(h)),
            esc(&view.today(h))
        );
        for row in view.rows(h) {
            let cell = |side: usize| match view.interval(h, &row, side).as_str() {
                "" => view.change(h, &row, side),
                range => format!("{} ({range})", view.change(h, &row, side)),
            };
            out += &format!(
                "| {} | {} | {} | {} |\n",
                esc(view.name(row.moved)),
                esc(&cell(0)),
                esc(&cell(1)),
                view.clear(&row)
            );
        }
        out.push('\n');
    }
    out += "## What was moved\n\n";
    for moved in &view.moved {
        for (side, _) in moved.sides.iter().flatten() {
            let settings: Vec<String> = side.settings.iter().map(setting).collect();
            out += &format!(
                "- {}, {}: {}\n",
                esc(&moved.name),
                esc(&side.words),
                esc(&settings.join("; "))
            );
        }
    }
    out += "\n## Notes\n\n";
    for note in view.notes().iter().map(String::as_str).chain(SAFETY) {
        out += &format!("- {}\n", esc(note));
    }
    out
}
