//! `compare.json`: everything, for other programs.
//!
//! In: a [`View`]. Out: JSON; a number that is not known is `null`. Documented in
//! `docs/reference/results.md`.

use serde_json::{Value, json};

use crate::compare::limit::Limit;
use crate::compare::rush::PerOrder;
use crate::compare::{CaseResult, Difference, Ladder, Rush, Unknown};
use crate::report::clock::iso_date;
use crate::summary::Estimate;
use crate::summary::money::{Payback, Spread, Worth};

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
            "seed": view.plant.run.seed,
            "replications_asked": c.asked,
            "replications_done": c.done,
            "partial": c.done < c.asked,
            "start_date": iso_date(view.plant.run.start_day),
            "confidence": c.confidence,
            "comparisons_together": c.together,
        },
        "verdict": {
            "short": verdict::short(view),
            "lines": verdict::lines(view),
            "overloaded": verdict::overloaded(view),
            "by_demand": verdict::by_demand(view).into_iter().zip(&c.demands).map(|(part, demand)| json!({
                "demand": demand,
                "points": part.points,
            })).collect::<Vec<_>>(),
            "explanation": text::explanation(view),
            "cautions": super::cautions::sentences(view),
            "limits": verdict::limits(view),
            "promise_kept_up_to": text::limit_sentence(view),
            "money": super::money::notes(view),
            "frontier": text::frontier_points(view),
            "ladder": super::ladder::points(view),
            "rush": super::rush::explanation(view),
        },
        "variants": view.variants.iter().enumerate().map(|(v, variant)| json!({
            "name": variant.name,
            "note": variant.note,
            "without_price": c.cautions.get(v).map(|told| &told.unpriced),
            "other_orders": c.cautions.get(v).and_then(|told| told.orders).map(|orders| json!({
                "per_week_today": orders.today,
                "per_week": orders.variant,
                "products_differ": orders.products,
                "sizes_differ": orders.sizes,
            })),
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
                if let (Some(worth), Some(value)) = (&case.worth, told.get_mut("worth")) {
                    value["call"] = json!(super::money::judged(view, v, worth));
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
        "rush": c.rush.as_ref().map(|rush| rush_json(view, rush)),
        "ladders": c.ladders.iter().map(|ladder| ladder_json(view, ladder)).collect::<Vec<_>>(),
        "precision": view.precision.map(|told| json!({
            "figure": told.words, "within": told.within, "widest": told.widest,
        })),
        "break_even_demand": c.break_even.iter().enumerate().filter_map(|(v, found)| found.map(|f| json!({
            "variant": view.name(v), "at": f.at, "low": f.low, "high": f.high,
        }))).collect::<Vec<_>>(),
        "limit": c.limit.as_ref().map(limit),
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

fn per_order(told: &PerOrder) -> Value {
    json!({
        "mean": told.at, "low": told.low, "high": told.high,
        "over_replications": [told.p50, told.p10, told.p90],
    })
}

fn rush_json(view: &View<'_>, rush: &Rush) -> Value {
    let c = view.comparison;
    let groups = &c.cases[0][0].summary.layout.groups;
    let name = |class: usize| groups.get(1 + class).map(|group| group.1.clone());
    let policies = rush
        .policies
        .iter()
        .zip(&c.demands)
        .flat_map(|(row, &demand)| {
            row.iter().enumerate().filter_map(move |(v, policy)| {
                let policy = policy.as_ref()?;
                Some(json!({
                    "variant": view.name(v),
                    "demand": demand,
                    "orders_a_year": policy.orders_a_year,
                    "cost": per_order(&policy.cost),
                    "of_lateness": policy.parts[0],
                    "of_labour_and_machines": policy.parts[1],
                    "of_material": policy.parts[2],
                    "premium": policy.premium,
                    "brings_a_year": spread(&policy.pays),
                    "call": super::rush::call(&policy.pays),
                    "premium_as_today": policy.against_today.as_ref().map(per_order),
                }))
            })
        });
    json!({
        "classes": rush.question.classes.iter().map(|&class| name(class)).collect::<Vec<_>>(),
        "standard": name(rush.question.standard),
        "policies": policies.collect::<Vec<_>>(),
    })
}

fn ladder_json(view: &View<'_>, ladder: &Ladder) -> Value {
    let c = view.comparison;
    let steps = ladder.steps.iter().zip(&c.demands).map(|(steps, &demand)| {
        let steps = steps.iter().map(|step| {
            json!({
                "variant": view.name(step.variant),
                "price": step.price.map(|price| json!({
                    "at": price.at, "low": price.low, "high": price.high,
                })),
            })
        });
        json!({ "demand": demand, "steps": steps.collect::<Vec<_>>() })
    });
    json!({
        "figures": ladder.frontier.figures.map(|h| c.headlines[h].key.clone()),
        "unit": "money a year for one unit of the second figure (min, share)",
        "demands": steps.collect::<Vec<_>>(),
    })
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
        "bottleneck_machine": case.summary.bottleneck.machine.as_ref().map(crate::report::json::machine),
        "next": case.next,
        "worth": case.worth.as_ref().map(worth),
        "warnings": case.summary.warnings.iter()
            .map(|w| json!({ "key": w.key(), "text": w.to_string() })).collect::<Vec<_>>(),
        "figures": figures.collect::<Vec<_>>(),
    })
}

fn spread(told: &Spread) -> Value {
    json!({
        "mean": told.mean, "low": told.interval.low, "high": told.interval.high,
        "p10": told.p10, "p50": told.p50, "p90": told.p90,
    })
}

fn payback(told: &Payback) -> Value {
    json!({
        "years": told.years, "soonest": told.soonest, "latest": told.latest,
        "share_within_life": told.share_within_life,
    })
}

fn worth(told: &Worth) -> Value {
    json!({
        "yearly": spread(&told.yearly),
        "capital": told.capital,
        "life_years": told.life_years,
        "annual_cost": told.annual_cost,
        "yearly_after_capital": told.yearly_after_capital.as_ref().map(spread),
        "payback": told.payback.as_ref().map(payback),
        "discounted_payback": told.discounted_payback.as_ref().map(payback),
        "net_present_value": told.net_present_value.as_ref().map(spread),
        "internal_rate": told.internal_rate,
        "share_worth_it": told.share_worth_it,
        "call": super::money::call(told),
    })
}

/// A limit with every setting that was run.
pub fn limit(found: &Limit) -> Value {
    json!({
        "share": found.share,
        "range": [found.range.0, found.range.1],
        "at": found.at,
        "low": found.low,
        "high": found.high,
        "wanted": found.wanted,
        "kept_at_end": found.kept_at_end,
        "points": found.points.iter().map(|p| json!({
            "at": p.at, "replications": p.n, "mean": p.mean, "low": p.claimed_low(), "high": p.high,
            "wanted": p.wanted, "bound": p.low,
        })).collect::<Vec<_>>(),
    })
}

/// A figure, or why it has no value.
pub fn estimate(figure: &Result<Estimate, Unknown>) -> Value {
    match figure {
        Ok(e) => json!({ "mean": e.mean, "low": e.low, "high": e.high, "sd": e.sd, "n": e.n }),
        Err(why) => json!({ "unknown": why.words() }),
    }
}

/// A paired difference, or why there is none.
pub fn difference(told: &Result<Difference, Unknown>) -> Value {
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
