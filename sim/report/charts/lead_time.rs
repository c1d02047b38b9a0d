//! Lead time from print to shippable: histogram, cumulative curve, points and promises.

use crate::observe::Trace;
use crate::observe::histogram::{SpanCounts, upper_min};
use crate::report::context::{Context, Standing};
use crate::units::{duration, minutes_from_ticks};

use super::axis::{Scale, round_up, span_unit};
use super::style::{
    self, BLUE, BODY, Fill, GRID, Hatch, INK, MARGIN, QUIET, RED, SKY, SMALL, Sheet, Side, WIDTH,
    text_width,
};

const HEIGHT: i32 = 540;
const BARS: usize = 40;

/// Share of all spans that ended within `minutes`, spread evenly within a bin.
fn within(spans: &SpanCounts, minutes: f64) -> f64 {
    let mut sum = 0.0;
    let mut lower = 0.0;
    for (bin, &count) in spans.counts.iter().enumerate() {
        let upper = upper_min(bin);
        if upper <= minutes {
            sum += count as f64;
        } else {
            sum += count as f64 * ((minutes - lower) / (upper - lower)).max(0.0);
            break;
        }
        lower = upper;
    }
    sum / spans.total().max(1) as f64
}

/// Where the axis ends: nearly all of what ended lies below, and every mark.
fn last(spans: &SpanCounts, marks: &[Mark]) -> f64 {
    let ended: u64 = spans.counts.iter().sum();
    let mut seen = 0;
    let most = spans.counts.iter().position(|&count| {
        seen += count;
        seen as f64 >= 0.995 * ended as f64
    });
    marks
        .iter()
        .map(|m| m.at_min)
        .fold(most.map_or(60.0, upper_min), f64::max)
}

struct Mark {
    at_min: f64,
    words: String,
    color: plotters::style::RGBColor,
}

/// The points of the headline, where they have a value.
fn points(c: &Context<'_>) -> Vec<Mark> {
    [(1, "half"), (3, "9 of 10"), (4, "19 of 20")]
        .iter()
        .filter_map(|&(point, words)| {
            let index = c.lead_index(0, 0, point);
            let figure = c.figure(index);
            figure.known.then(|| Mark {
                at_min: c.estimate(index).mean,
                words: format!("{words}: {}", figure.value),
                color: INK,
            })
        })
        .collect()
}

/// The middle promise of a class in the traced replication, minutes from release.
pub fn promise(trace: &Trace, class: usize) -> Option<f64> {
    let mut given: Vec<_> = trace
        .orders
        .iter()
        .filter(|o| o.class == class && o.measured)
        .filter_map(|o| o.due.map(|due| due - o.released))
        .collect();
    given.sort_unstable();
    Some(minutes_from_ticks(*given.get(given.len() / 2)?))
}

/// The middle promise of each class in the traced replication, three classes at most.
fn promises(c: &Context<'_>, trace: &Trace) -> Vec<Mark> {
    let several = c.summary.layout.classes > 1;
    (0..c.summary.layout.classes.min(3))
        .filter_map(|class| {
            let middle = promise(trace, class)?;
            let whom = if several {
                format!(" {}", style::fitted(&c.groups[1 + class], SMALL, 120))
            } else {
                String::new()
            };
            Some(Mark {
                at_min: middle,
                words: format!("promise{whom}: {}", duration(middle)),
                color: RED,
            })
        })
        .collect()
}

/// The chart; `None` where no measured order was released.
pub fn draw(c: &Context<'_>, trace: &Trace) -> Option<String> {
    let spans = c.summary.spans.first().filter(|s| s.total() > 0)?;
    let mut marks = points(c);
    marks.extend(promises(c, trace));
    let end = last(spans, &marks);
    let (unit, name) = span_unit(end);
    let end = round_up(end / unit * 1.02, 10);
    let subtitle = match c.standing {
        Standing::Overloaded => {
            format!("share of orders by {name}; not steady: the cell does not keep up")
        }
        _ => format!("share of orders by {name}, all orders, all replications"),
    };
    let told = marks
        .iter()
        .map(|m| m.words.clone())
        .collect::<Vec<_>>()
        .join("; ");
    Some(style::chart(
        (WIDTH, HEIGHT),
        ("Lead time, print to shippable", &subtitle),
        &told,
        |sheet| {
            let x = Scale {
                from: 0.0,
                to: end,
                at: MARGIN + 46,
                end: WIDTH - MARGIN - 54,
            };
            let rows = place(&marks, &x, unit);
            let top = style::TOP + 20 * (rows.iter().copied().max().unwrap_or(0) + 1);
            let bottom = HEIGHT - 76;
            let shares: Vec<f64> = (0..BARS)
                .map(|i| {
                    let at = |i: usize| within(spans, end * unit * i as f64 / BARS as f64);
                    at(i + 1) - at(i)
                })
                .collect();
            let high = round_up(
                shares.iter().copied().fold(0.001, f64::max) * 100.0 * 1.05,
                5,
            );
            let left = Scale {
                from: 0.0,
                to: high,
                at: bottom,
                end: top,
            };
            let right = Scale {
                from: 0.0,
                to: 100.0,
                at: bottom,
                end: top,
            };
            axes(sheet, &x, &left, &right, name);
            for (i, share) in shares.iter().enumerate() {
                let (a, b) = (
                    end * i as f64 / BARS as f64,
                    end * (i + 1) as f64 / BARS as f64,
                );
                let y = left.px(share * 100.0);
                if y < bottom {
                    sheet.block(
                        (x.px(a), y),
                        (x.px(b) - 1, bottom),
                        Fill::new(SKY, Hatch::Plain),
                    );
                }
            }
            let curve: Vec<(i32, i32)> = (0..=200)
                .map(|i| {
                    let at = end * f64::from(i) / 200.0;
                    (x.px(at), right.px(within(spans, at * unit) * 100.0))
                })
                .collect();
            sheet.stroke(&curve, BLUE, 3);
            for (mark, &row) in marks.iter().zip(&rows) {
                let (px, y) = (x.px(mark.at_min / unit), style::TOP + 20 * row);
                if mark.color == RED {
                    sheet.stroke(&[(px, y + 10), (px, bottom)], RED, 2);
                } else {
                    sheet.dashed(px, (y + 10, bottom), mark.color);
                }
            }
            for (mark, &row) in marks.iter().zip(&rows) {
                let (at, side) = beside(x.px(mark.at_min / unit), &mark.words, x.end);
                sheet.padded((at, style::TOP + 20 * row), &mark.words, mark.color, side);
            }
            if spans.open > 0 {
                let words = format!(
                    "{:.1} % of the orders were not done when the run ended: the curve ends below 100 %.",
                    100.0 * spans.open as f64 / spans.total() as f64
                );
                sheet.text((x.at, HEIGHT - 12), &words, SMALL, RED, Side::Left);
            }
        },
    ))
}

/// Label right of its line, or left of it at the edge.
fn beside(px: i32, words: &str, end: i32) -> (i32, Side) {
    if px + text_width(words, SMALL) + 8 > end + 40 {
        (px - 5, Side::Right)
    } else {
        (px + 5, Side::Left)
    }
}

/// A row for each label in which it touches no other label and no other line's head.
fn place(marks: &[Mark], x: &Scale, unit: f64) -> Vec<i32> {
    let mut order: Vec<usize> = (0..marks.len()).collect();
    order.sort_by(|&a, &b| marks[a].at_min.total_cmp(&marks[b].at_min));
    let mut taken: Vec<(i32, i32, i32)> = Vec::new();
    let mut rows = vec![0; marks.len()];
    // From the left: a line further right begins below the labels that reach over it.
    for i in order {
        let px = x.px(marks[i].at_min / unit);
        let wide = text_width(&marks[i].words, SMALL) + 14;
        let (from, to) = match beside(px, &marks[i].words, x.end).1 {
            Side::Right => (px - wide, px),
            _ => (px, px + wide),
        };
        let mut row = taken
            .iter()
            .filter(|&&(_, a, b)| a < px + 4 && b > px)
            .map(|t| t.0 + 1)
            .max()
            .unwrap_or(0);
        while taken
            .iter()
            .any(|&(r, a, b)| r == row && from < b && to > a)
        {
            row += 1;
        }
        rows[i] = row;
        taken.push((row, from, to));
    }
    rows
}

fn axes(sheet: &Sheet<'_>, x: &Scale, left: &Scale, right: &Scale, name: &str) {
    for (value, words) in left.ticks(5) {
        let y = left.px(value);
        sheet.stroke(&[(x.at, y), (x.end, y)], GRID, 1);
        sheet.text(
            (x.at - 8, y),
            &format!("{words} %"),
            SMALL,
            QUIET,
            Side::Right,
        );
    }
    for (value, words) in right.ticks(5) {
        sheet.text(
            (x.end + 8, right.px(value)),
            &format!("{words} %"),
            SMALL,
            BLUE,
            Side::Left,
        );
    }
    for (value, words) in x.ticks(12) {
        let px = x.px(value);
        sheet.stroke(&[(px, left.at), (px, left.at + 5)], QUIET, 1);
        sheet.text((px, left.at + 16), &words, SMALL, QUIET, Side::Middle);
    }
    let y = left.at + 34;
    sheet.block(
        (x.at, y - 6),
        (x.at + 14, y + 6),
        Fill::new(SKY, Hatch::Plain),
    );
    sheet.text(
        (x.at + 20, y),
        "share of orders in a bar (left)",
        SMALL,
        INK,
        Side::Left,
    );
    sheet.stroke(&[(x.at + 240, y), (x.at + 262, y)], BLUE, 3);
    sheet.text(
        (x.at + 268, y),
        "share done within (right)",
        SMALL,
        INK,
        Side::Left,
    );
    sheet.text((x.end, y), name, BODY, INK, Side::Right);
}
