//! What moves a figure most: a bar to each side of today's value, the widest at the top.

use crate::report::compare::words;
use crate::report::sensitivity::{Row, View};

use super::axis::{Scale, span_unit};
use super::style::{
    self, BLUE, BODY, Fill, GRID, Hatch, INK, MARGIN, QUIET, SKY, SMALL, Sheet, Side, WIDTH, fitted,
};

const ROW: i32 = 30;

/// Most settings on a chart; the table has all.
const MOST: usize = 20;

/// Most figures that are drawn.
const SHOWN: usize = 4;

/// Names of the charts.
pub const SHEETS: [&str; SHOWN] = [
    "sensitivity",
    "sensitivity-2",
    "sensitivity-3",
    "sensitivity-4",
];

const LOWER: Fill = Fill::new(SKY, Hatch::Rising);
const HIGHER: Fill = Fill::new(BLUE, Hatch::Plain);

/// The chart of a figure; `None` where it has no value to begin with, or nothing was moved.
pub fn draw(view: &View<'_>, h: usize) -> Option<String> {
    let c = view.comparison;
    c.cases[0][0].figures[h].as_ref().ok()?;
    let all = view.rows(h);
    let rows = &all[..all.len().min(MOST)];
    if rows.is_empty() {
        return None;
    }
    let ends = |pick: fn(f64, f64) -> f64| {
        rows.iter()
            .flat_map(|row| row.sides.iter().flatten().flatten())
            .flat_map(|d| [d.low, d.high])
            .filter(|x| x.is_finite())
            .fold(0.0, pick)
    };
    let (low, high) = (ends(f64::min), ends(f64::max));
    let largest = high.max(-low);
    let (unit, name) = match c.headlines[h].unit {
        "min" => span_unit(largest),
        "share" => (0.01, "points"),
        other => (1.0, other),
    };
    let name = words::unit(name, &view.currency);
    let told: Vec<String> = rows
        .iter()
        .map(|row| {
            format!(
                "{}: lower {}, higher {}",
                view.name(row.moved),
                view.change(h, row, 0),
                view.change(h, row, 1)
            )
        })
        .collect();
    let subtitle = format!(
        "today {}; settings moved by {} down and up, people by one in each shift",
        view.today(h),
        view.range()
    );
    let bottom = style::TOP + 16 + rows.len() as i32 * ROW;
    let title = format!("What moves {}", view.label(h));
    Some(style::chart(
        (WIDTH, bottom + 70),
        (&title, &subtitle),
        &told.join("; "),
        |sheet| {
            let pad = ((high - low) / unit * 0.04).max(1e-9);
            let x = Scale {
                from: low / unit - pad,
                to: high / unit + pad,
                at: MARGIN + 290,
                end: WIDTH - MARGIN - 200,
            };
            if largest > 0.0 {
                for (value, words) in x.ticks(6) {
                    let px = x.px(value);
                    sheet.stroke(&[(px, style::TOP + 12), (px, bottom)], GRID, 1);
                    sheet.text((px, bottom + 14), &words, SMALL, QUIET, Side::Middle);
                }
            }
            sheet.text((x.at - 26, bottom + 14), &name, SMALL, QUIET, Side::Right);
            let heads = [("lower", WIDTH - MARGIN - 95), ("higher", WIDTH - MARGIN)];
            for (words, at) in heads {
                sheet.text((at, style::TOP), words, SMALL, QUIET, Side::Right);
            }
            for (place, row) in rows.iter().enumerate() {
                let y = style::TOP + 16 + place as i32 * ROW + ROW / 2;
                sheet.text(
                    (x.at - 14, y),
                    &fitted(view.name(row.moved), BODY, 276),
                    BODY,
                    INK,
                    Side::Right,
                );
                bars(sheet, &x, unit, row, y);
                for (side, (_, at)) in heads.into_iter().enumerate() {
                    let color = if row.is_clear(side) { INK } else { QUIET };
                    sheet.text(
                        (at, y),
                        &view.change(h, row, side),
                        SMALL,
                        color,
                        Side::Right,
                    );
                }
            }
            let zero = x.px(0.0);
            sheet.stroke(&[(zero, style::TOP + 8), (zero, bottom)], INK, 1);
            let keys = [
                (LOWER, "setting lower".to_owned()),
                (HIGHER, "setting higher; thin line: interval".to_owned()),
            ];
            sheet.legend((MARGIN, bottom + 46), WIDTH - MARGIN, &keys);
        },
    ))
}

/// Both bars of a setting with their intervals: the lower side above, the higher one below.
fn bars(sheet: &Sheet<'_>, x: &Scale, unit: f64, row: &Row, y: i32) {
    let zero = x.px(0.0);
    for (side, fill, top) in [(0, LOWER, y - 11), (1, HIGHER, y)] {
        let Some(Ok(told)) = &row.sides[side] else {
            continue;
        };
        let end = x.px(told.mean / unit);
        let (a, b) = (zero.min(end), zero.max(end));
        if b > a {
            sheet.block((a, top), (b, top + 10), fill);
            sheet.frame((a, top), (b, top + 10), BLUE);
        }
        if told.low.is_finite() && told.high.is_finite() && told.low < told.high {
            let (from, to) = (x.px(told.low / unit), x.px(told.high / unit));
            sheet.stroke(&[(from, top + 5), (to, top + 5)], INK, 1);
            for at in [from, to] {
                sheet.stroke(&[(at, top + 2), (at, top + 8)], INK, 1);
            }
        }
    }
}
