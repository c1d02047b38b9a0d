//! `compare.json`: everything, for other programs.
//!
//! In: a [`View`]. Out: JSON; a number that is not known is `null`. Documented in
//! `docs/reference/results.md`.

use serde_json::{Value, json};

use crate::compare::{CaseResult, Difference, Unknown};
use crate::report::clock::iso_date;
use crate::summary::Estimate;

use super::{View, text, verdict};

/// Version of the format; it rises when a key changes its meaning or goes.
pub const FORMAT: u32 = 1;

/// The whole file, indented, ends with a line break.
pub fn render(view: &View<'_>) -> String {
    let c = view.comparison;
    let value = json!({
        "format": FORMAT,
        "program": "pouchcast",
        "version": view.provenance.version,
        "scenario": {
            "name": view.title,
            "file": view.provenance.file_name,
            "sha256": view.provenance.sha256,
        },
        "run": {
            "seed": view.run.seed,
            "replications_asked": c.asked,
            "replications_done": c.done,
            "partial": c.done < c.asked,
            "start_date": iso_date(view.run.start_day),
            "confidence": c.confidence,
            "comparisons_together": c.together,
        },
        "verdict": {
            "short": verdict::short(view),
            "by_demand": verdict::by_demand(view).into_iter().zip(&c.demands).map(|(part, demand)| json!({
                "demand": demand,
                "points": part.points,
            })).collect::<Vec<_>>(),
            "limits": verdict::limits(view),
            "frontier": text::frontier_points(view),
        },
        "variants": view.variants.iter().map(|variant| json!({
            "name": variant.name,
            "note": variant.note,
            "differences": variant.differences.iter().map(|[path, was, becomes]| json!({
                "path": path, "was": was, "becomes": becomes,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "demands": c.demands,
        "cases": c.cases.iter().enumerate().flat_map(|(v, row)| {
            row.iter().zip(&c.demands).map(move |(case, &demand)| {
                let mut told = case_json(view, case);
                if let Some(told) = told.as_object_mut() {
                    told.insert("variant".into(), json!(view.name(v)));
                    told.insert("demand".into(), json!(demand));
                }
                told
            })
        }).collect::<Vec<_>>(),
        "frontier": c.frontier.as_ref().map(|f| json!({
            "figures": f.figures.map(|h| c.headlines[h].key.clone()),
            "ranks": f.ranks.iter().map(|ranks| ranks.iter().map(|rank| rank.map(|rank| json!({
                "rank": rank.key(),
                "by": rank.by().map(|by| view.name(by)),
            }))).collect::<Vec<_>>()).collect::<Vec<_>>(),
        })),
        "bottleneck_doubled": c.lifted.as_ref().map(|lifted| json!({
            "station": lifted.name,
            "result": case_json(view, &lifted.result),
        })),
    });
    // A tree of strings and numbers always has a text.
    let mut text = serde_json::to_string_pretty(&value).unwrap_or_default();
    text.push('\n');
    text
}

fn case_json(view: &View<'_>, case: &CaseResult) -> Value {
    let figures = view
        .comparison
        .headlines
        .iter()
        .enumerate()
        .map(|(h, headline)| {
            json!({
                "key": headline.key,
                "label": headline.label,
                "unit": headline.unit,
                "value": estimate(&case.figures[h]),
                "against_today": case.against_today.get(h).map(difference),
                "chance_best": case.chance_best.get(h),
                "may_be_best": case.may_be_best.get(h),
            })
        });
    json!({
        "standing": case.standing.key(),
        "bottleneck": case.bottleneck,
        "next": case.next,
        "warnings": case.summary.warnings.iter()
            .map(|w| json!({ "key": w.key(), "text": w.to_string() })).collect::<Vec<_>>(),
        "figures": figures.collect::<Vec<_>>(),
    })
}

fn estimate(figure: &Result<Estimate, Unknown>) -> Value {
    match figure {
        Ok(e) => json!({ "mean": e.mean, "low": e.low, "high": e.high, "sd": e.sd, "n": e.n }),
        Err(why) => json!({ "unknown": why.words() }),
    }
}

fn difference(told: &Result<Difference, Unknown>) -> Value {
    match told {
        Ok(d) => json!({
            "mean": d.mean,
            "low": d.low,
            "high": d.high,
            "sd": d.sd,
            "pairs": d.n,
            "call": d.call.key(),
            "variance_gain": d.gain,
            "replications_needed": d.needed,
        }),
        Err(why) => json!({ "unknown": why.words() }),
    }
}
