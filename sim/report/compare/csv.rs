//! `compare.csv`: a row for every variant, demand case and figure.
//!
//! In: a [`View`]. Out: CSV with a point as decimal mark; empty where a number is not known.

use crate::report::csv::{name, written};
use crate::summary::money::Worth;

use super::View;

fn number(value: f64) -> String {
    if value.is_finite() {
        format!("{value}")
    } else {
        String::new()
    }
}

/// The columns.
const HEAD: [&str; 20] = [
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

/// The whole table.
pub fn render(view: &View<'_>) -> Vec<u8> {
    let c = view.comparison;
    let mut rows = vec![HEAD.map(str::to_owned).to_vec()];
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
            if let Some(told) = &case.worth {
                let start = [
                    name(view.name(v)),
                    number(demand),
                    case.standing.key().to_owned(),
                    name(&case.bottleneck),
                ];
                rows.extend(worth(told).into_iter().map(|row| {
                    let mut whole = start.to_vec();
                    whole.extend(row);
                    whole
                }));
            }
        }
    }
    written(rows)
}

/// What a variant is worth: differences in their columns, what stands by itself in `mean` with its ends in `low`
/// and `high`.
fn worth(told: &Worth) -> Vec<Vec<String>> {
    let row = |key: &str, label: &str, unit: &str| {
        ["worth/".to_owned() + key, label.to_owned(), unit.to_owned()].to_vec()
    };
    let filled = |mut cells: Vec<String>| {
        // Up to the end of the head; the first four columns stand before.
        cells.resize(HEAD.len() - 4, String::new());
        cells
    };
    let mut out = Vec::new();
    let spreads = [
        (
            "yearly",
            "difference a year before capital",
            "money/year",
            Some(&told.yearly),
        ),
        (
            "yearly_after_capital",
            "difference a year after capital",
            "money/year",
            told.yearly_after_capital.as_ref(),
        ),
        (
            "net_present_value",
            "net present value",
            "money",
            told.net_present_value.as_ref(),
        ),
    ];
    for (key, label, unit, spread) in spreads {
        let Some(s) = spread else { continue };
        let mut cells = row(key, label, unit);
        cells.extend([const { String::new() }; 3]);
        cells.extend([s.mean, s.interval.low, s.interval.high].map(number));
        out.push(filled(cells));
    }
    let mut single = |key: &str, label: &str, unit: &str, values: [Option<f64>; 3]| {
        let mut cells = row(key, label, unit);
        cells.extend(values.map(|value| value.map_or_else(String::new, number)));
        out.push(filled(cells));
    };
    single(
        "capital",
        "capital",
        "money",
        [Some(told.capital), None, None],
    );
    single(
        "share_worth_it",
        "replications that pay",
        "share",
        [Some(told.share_worth_it), None, None],
    );
    let paybacks = [
        ("payback", "payback", &told.payback),
        (
            "discounted_payback",
            "payback with interest",
            &told.discounted_payback,
        ),
    ];
    for (key, label, payback) in paybacks {
        if let Some(p) = payback {
            single(key, label, "years", [p.years, p.soonest, p.latest]);
            single(
                &format!("{key}_within_life"),
                &format!("{label} within the life"),
                "share",
                [Some(p.share_within_life), None, None],
            );
        }
    }
    out
}
