//! `compare.csv`: a row for every variant, demand case and figure.
//!
//! In: a [`View`]. Out: CSV with a point as decimal mark; empty where a number is not known.

use crate::report::csv::{name, written};

use super::View;

fn number(value: f64) -> String {
    if value.is_finite() {
        format!("{value}")
    } else {
        String::new()
    }
}

/// The whole table.
pub fn render(view: &View<'_>) -> Vec<u8> {
    let c = view.comparison;
    let head = [
        "variant",
        "demand",
        "standing",
        "bottleneck",
        "figure",
        "label",
        "unit",
        "mean",
        "low",
        "high",
        "difference",
        "difference_low",
        "difference_high",
        "difference_sd",
        "pairs",
        "call",
        "chance_best",
        "may_be_best",
        "variance_gain",
        "replications_needed",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for (v, cases) in c.cases.iter().enumerate() {
        for (case, &demand) in cases.iter().zip(&c.demands) {
            for (h, headline) in c.headlines.iter().enumerate() {
                let mut row = vec![
                    name(view.name(v)),
                    number(demand),
                    case.standing.key().to_owned(),
                    name(&case.bottleneck),
                    headline.key.clone(),
                    name(&headline.label),
                    headline.unit.to_owned(),
                ];
                match &case.figures[h] {
                    Ok(e) => row.extend([e.mean, e.low, e.high].map(number)),
                    Err(_) => row.extend([const { String::new() }; 3]),
                }
                match case.against_today.get(h) {
                    Some(Ok(d)) => {
                        row.extend([d.mean, d.low, d.high, d.sd].map(number));
                        row.push(d.n.to_string());
                        row.push(d.call.key().to_owned());
                    }
                    _ => row.extend([const { String::new() }; 6]),
                }
                row.push(case.chance_best[h].map_or_else(String::new, number));
                row.push(
                    case.chance_best[h]
                        .map_or_else(String::new, |_| case.may_be_best[h].to_string()),
                );
                match case.against_today.get(h) {
                    Some(Ok(d)) => {
                        row.push(number(d.gain));
                        row.push(d.needed.map_or_else(String::new, |n| n.to_string()));
                    }
                    _ => row.extend([const { String::new() }; 2]),
                }
                rows.push(row);
            }
        }
    }
    written(rows)
}
