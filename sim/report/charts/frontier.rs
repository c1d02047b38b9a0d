//! Two figures against each other, a point a variant: which ones are not beaten in both.

use crate::compare::{Better, Frontier, Headline, Rank, home};
use crate::report::compare::View;
use crate::report::compare::words::demand;
use crate::summary::Estimate;

use super::axis::{Scale, span_unit};
use super::style::{
    self, AMBER, BLUE, Fill, GRID, Hatch, INK, MARGIN, QUIET, RED, SMALL, Side, WIDTH, fitted,
};

const HEIGHT: i32 = 520;

/// A point: variant, rank, both figures with their ends.
struct Point {
    variant: usize,
    rank: Rank,
    at: [f64; 2],
    ends: [(f64, f64); 2],
}

/// The charts of a comparison with their keys: two lead times, changeovers against punctuality, money against
/// lead time; each where it has something to show.
pub fn all(view: &View<'_>) -> Vec<(&'static str, String)> {
    let c = view.comparison;
    [
        (
            "frontier",
            c.frontier.as_ref(),
            "What one class gains and the other pays",
        ),
        (
            "frontier_changeovers",
            c.changing.as_ref().filter(|_| c.rush.is_some()),
            "What punctuality of the first class costs in changeovers",
        ),
        (
            "frontier_money",
            c.ladders.first().map(|ladder| &ladder.frontier),
            "What a shorter lead time costs",
        ),
    ]
    .into_iter()
    .filter_map(|(key, frontier, title)| Some((key, draw(view, frontier?, title)?)))
    .collect()
}

/// In how many base units a figure is drawn, and their name.
fn unit(headline: &Headline, most: f64, currency: &str) -> (f64, String) {
    match headline.unit {
        "min" => {
            let (per, name) = span_unit(most);
            (per, name.to_owned())
        }
        "share" => (0.01, "%".to_owned()),
        "h/week" => (1.0, "hours a week".to_owned()),
        _ if most.abs() >= 10_000.0 => (1000.0, format!("thousand {currency} a year")),
        _ => (1.0, format!("{currency} a year")),
    }
}

/// Ends of an interval as far as it is claimed; elsewhere the value itself.
fn drawn(told: &Estimate) -> (f64, f64) {
    let [low, high] = [told.low, told.high].map(|end| match end.is_finite() {
        true => end,
        false => told.mean,
    });
    (low, high)
}

/// The chart of today's demand case; `None` where there is no trade-off.
fn draw(view: &View<'_>, frontier: &Frontier, title: &str) -> Option<String> {
    let c = view.comparison;
    let today = home(&c.demands);
    let ranks = frontier.ranks.get(today)?;
    let points: Vec<Point> = ranks
        .iter()
        .enumerate()
        .filter_map(|(variant, rank)| {
            let case = &c.cases[variant][today];
            let told = frontier
                .figures
                .map(|h| case.figures[h].as_ref().ok().copied());
            let [Some(a), Some(b)] = told else {
                return None;
            };
            Some(Point {
                variant,
                rank: (*rank)?,
                at: [a.mean, b.mean],
                ends: [drawn(&a), drawn(&b)],
            })
        })
        .collect();
    if points.len() < 2 {
        return None;
    }
    let headlines = frontier.figures.map(|h| &c.headlines[h]);
    let range = |k: usize| {
        let low = points
            .iter()
            .map(|p| p.ends[k].0.min(p.at[k]))
            .fold(f64::INFINITY, f64::min);
        let high = points
            .iter()
            .map(|p| p.ends[k].1.max(p.at[k]))
            .fold(f64::NEG_INFINITY, f64::max);
        // A little room, and ends where the figure has them.
        let (least, ends) = match headlines[k].unit {
            "share" => (0.001, (0.0, 1.0)),
            "min" | "h/week" => (1.0, (0.0, f64::INFINITY)),
            _ => (1.0, (f64::NEG_INFINITY, f64::INFINITY)),
        };
        let pad = 0.06 * (high - low).max(least);
        ((low - pad).max(ends.0), (high + pad).min(ends.1))
    };
    let (xs, ys) = (range(0), range(1));
    let (x_unit, x_name) = unit(headlines[0], xs.1, &view.currency);
    let (y_unit, y_name) = unit(headlines[1], ys.1, &view.currency);
    let labels = headlines.map(|headline| headline.label.clone());
    let told: Vec<String> = points
        .iter()
        .map(|p| {
            format!(
                "{}: {:.1} {x_name}, {:.1} {y_name}, {}",
                view.name(p.variant),
                p.at[0] / x_unit,
                p.at[1] / y_unit,
                p.rank.key()
            )
        })
        .collect();
    let more = headlines.map(|headline| headline.better == Better::More);
    let corner = match more {
        [false, false] => "lower left",
        [true, false] => "lower right",
        [false, true] => "upper left",
        [true, true] => "upper right",
    };
    let subtitle = format!(
        "{}; {corner} is better; lines are the intervals of each point by itself",
        demand(c.demands[today])
    );
    let title = (title, subtitle.as_str());
    Some(style::chart(
        (WIDTH, HEIGHT),
        title,
        &told.join("; "),
        |sheet| {
            let x = Scale {
                from: xs.0 / x_unit,
                to: xs.1 / x_unit,
                at: MARGIN + 70,
                end: WIDTH - MARGIN - 190,
            };
            let y = Scale {
                from: ys.0 / y_unit,
                to: ys.1 / y_unit,
                at: HEIGHT - 90,
                end: style::TOP + 24,
            };
            for (value, words) in x.ticks(8) {
                let px = x.px(value);
                sheet.stroke(&[(px, y.end), (px, y.at)], GRID, 1);
                sheet.text((px, y.at + 14), &words, SMALL, QUIET, Side::Middle);
            }
            for (value, words) in y.ticks(8) {
                let px = y.px(value);
                sheet.stroke(&[(x.at, px), (x.end, px)], GRID, 1);
                sheet.text((x.at - 8, px), &words, SMALL, QUIET, Side::Right);
            }
            sheet.text(
                (x.at, y.end - 20),
                &fitted(&format!("{}, {y_name}", labels[1]), SMALL, 700),
                SMALL,
                QUIET,
                Side::Left,
            );
            sheet.text(
                (x.at, y.at + 36),
                &fitted(&format!("{}, {x_name}", labels[0]), SMALL, 700),
                SMALL,
                QUIET,
                Side::Left,
            );
            // The frontier as a staircase through the efficient points.
            let mut best: Vec<&Point> = points
                .iter()
                .filter(|p| p.rank == Rank::Efficient)
                .collect();
            // From the best one in the first figure to the worst, which is the best in the second.
            best.sort_by(|a, b| match more[0] {
                true => b.at[0].total_cmp(&a.at[0]),
                false => a.at[0].total_cmp(&b.at[0]),
            });
            let mut stairs = Vec::new();
            for pair in best.windows(2) {
                let corner = (x.px(pair[1].at[0] / x_unit), y.px(pair[0].at[1] / y_unit));
                stairs.push((x.px(pair[0].at[0] / x_unit), y.px(pair[0].at[1] / y_unit)));
                stairs.push(corner);
                stairs.push((x.px(pair[1].at[0] / x_unit), y.px(pair[1].at[1] / y_unit)));
            }
            if !stairs.is_empty() {
                sheet.stroke(&stairs, BLUE, 2);
            }
            for (number, p) in points.iter().enumerate() {
                let (px, py) = (x.px(p.at[0] / x_unit), y.px(p.at[1] / y_unit));
                let color = match p.rank {
                    Rank::Efficient => BLUE,
                    Rank::Doubtful(_) => AMBER,
                    Rank::Dominated(_) => RED,
                };
                let ((xa, xb), (ya, yb)) = (p.ends[0], p.ends[1]);
                if xa.is_finite() && ya.is_finite() {
                    sheet.stroke(
                        &[(x.px(xa / x_unit), py), (x.px(xb / x_unit), py)],
                        color,
                        1,
                    );
                    sheet.stroke(
                        &[(px, y.px(ya / y_unit)), (px, y.px(yb / y_unit))],
                        color,
                        1,
                    );
                }
                let hatch = if p.rank == Rank::Efficient {
                    Hatch::Plain
                } else {
                    Hatch::Crossed
                };
                sheet.block((px - 5, py - 5), (px + 5, py + 5), Fill::new(color, hatch));
                // Names stand in the list at the side: points may lie too close for them.
                let above = if number % 2 == 0 { -12 } else { 13 };
                let words = (number + 1).to_string();
                sheet.padded(
                    (px + 9 + 6 * (number as i32 % 3), py + above),
                    &words,
                    color,
                    Side::Left,
                );
                let line = format!("{words}  {}", view.name(p.variant));
                let row = style::TOP + 30 + 20 * number as i32;
                sheet.text(
                    (x.end + 14, row),
                    &fitted(&line, SMALL, 176),
                    SMALL,
                    INK,
                    Side::Left,
                );
            }
            let mut at = MARGIN;
            for (color, words) in [
                (BLUE, "not beaten by the means"),
                (AMBER, "beaten in both by the means, not clearly"),
                (RED, "clearly beaten"),
            ] {
                sheet.block(
                    (at, HEIGHT - 24),
                    (at + 14, HEIGHT - 12),
                    Fill::new(color, Hatch::Plain),
                );
                sheet.text((at + 20, HEIGHT - 18), words, SMALL, INK, Side::Left);
                at += 44 + style::text_width(words, SMALL);
            }
        },
    ))
}
