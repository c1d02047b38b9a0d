//! Lead time by class and product: half, 9 of 10 and 19 of 20 orders within, and the promise, a line each.

use crate::observe::Trace;
use crate::report::context::Context;
use crate::units::duration;

use super::axis::{Scale, round_up, span_unit};
use super::lead_time::promise;
use super::style::{
    self, BLUE, BODY, Fill, GRID, Hatch, INK, MARGIN, QUIET, RED, SKY, SMALL, Sheet, Side, WIDTH,
    fitted, text_width,
};

const ROW: i32 = 28;

/// Most groups on a chart; the table has all.
const MOST: usize = 30;

/// A group: its name, the three points, and what is promised, minutes.
struct Row {
    name: String,
    points: [f64; 3],
    promise: Option<f64>,
    words: String,
}

fn rows(c: &Context<'_>, trace: &Trace) -> Vec<Row> {
    let classes = match c.summary.layout.classes {
        0 | 1 => 0..0,
        _ => c.class_groups(),
    };
    classes
        .chain(c.product_groups())
        .filter_map(|g| {
            let indices = [1, 3, 4].map(|point| c.lead_index(g, 0, point));
            let figures = indices.map(|i| c.figure(i));
            let class = c.class_groups().contains(&g).then(|| g - 1);
            figures.iter().all(|f| f.known).then(|| Row {
                name: c.groups[g].clone(),
                points: indices.map(|i| c.estimate(i).mean),
                promise: class.and_then(|class| promise(trace, class)),
                words: figures[1].value.clone(),
            })
        })
        .take(MOST)
        .collect()
}

/// The chart; `None` where there is only one group to tell of.
pub fn draw(c: &Context<'_>, trace: &Trace) -> Option<String> {
    let rows = rows(c, trace);
    if rows.len() < 2 {
        return None;
    }
    let last = rows
        .iter()
        .flat_map(|row| row.points.into_iter().chain(row.promise))
        .fold(0.0, f64::max);
    let (unit, name) = span_unit(last);
    let told: Vec<String> = rows
        .iter()
        .map(|row| {
            let [half, nine, most] = row.points.map(duration);
            format!("{}: half {half}, 9 of 10 {nine}, 19 of 20 {most}", row.name)
        })
        .collect();
    let bottom = style::TOP + 16 + rows.len() as i32 * ROW;
    let subtitle = format!("print to shippable, {name}; mean over replications");
    Some(style::chart(
        (WIDTH, bottom + 62),
        ("Lead time by class and product", &subtitle),
        &told.join("; "),
        |sheet| {
            let x = Scale {
                from: 0.0,
                to: round_up(last / unit * 1.02, 10),
                at: MARGIN + 200,
                end: WIDTH - MARGIN - 110,
            };
            for (value, words) in x.ticks(12) {
                let px = x.px(value);
                sheet.stroke(&[(px, style::TOP + 12), (px, bottom)], GRID, 1);
                sheet.text((px, bottom + 12), &words, SMALL, QUIET, Side::Middle);
            }
            sheet.text((x.at - 14, bottom + 12), name, SMALL, QUIET, Side::Right);
            let right = WIDTH - MARGIN;
            sheet.text(
                (right, style::TOP),
                "9 of 10 within",
                SMALL,
                QUIET,
                Side::Right,
            );
            for (place, row) in rows.iter().enumerate() {
                let y = style::TOP + 16 + place as i32 * ROW + ROW / 2;
                let name = fitted(&row.name, BODY, 186);
                sheet.text((x.at - 14, y), &name, BODY, INK, Side::Right);
                one(sheet, row, y, |minutes| x.px(minutes / unit));
                sheet.text((right, y), &row.words, SMALL, INK, Side::Right);
            }
            key(sheet, bottom + 40);
        },
    ))
}

fn one(sheet: &Sheet<'_>, row: &Row, y: i32, px: impl Fn(f64) -> i32) {
    let [half, nine, most] = row.points.map(&px);
    sheet.stroke(&[(half, y), (most, y)], BLUE, 2);
    sheet.stroke(&[(most, y - 6), (most, y + 6)], BLUE, 2);
    if let Some(promise) = row.promise.map(px) {
        sheet.stroke(&[(promise, y - 11), (promise, y + 11)], RED, 3);
    }
    mark(sheet, half, y, SKY);
    mark(sheet, nine, y, BLUE);
}

/// A square with an edge, so that it stands out on a line of its colour.
fn mark(sheet: &Sheet<'_>, x: i32, y: i32, color: style::RGBColor) {
    let (a, b) = ((x - 5, y - 5), (x + 5, y + 5));
    sheet.block(a, b, Fill::new(color, Hatch::Plain));
    sheet.frame(a, b, BLUE);
}

fn key(sheet: &Sheet<'_>, y: i32) {
    let mut x = MARGIN;
    for (place, words) in [
        "half of the orders within",
        "9 of 10 within",
        "19 of 20 within",
        "promised (middle of the class)",
    ]
    .into_iter()
    .enumerate()
    {
        match place {
            0 => mark(sheet, x + 7, y, SKY),
            1 => mark(sheet, x + 7, y, BLUE),
            2 => sheet.stroke(&[(x + 7, y - 6), (x + 7, y + 6)], BLUE, 2),
            _ => sheet.stroke(&[(x + 7, y - 8), (x + 7, y + 8)], RED, 3),
        }
        sheet.text((x + 20, y), words, SMALL, INK, Side::Left);
        x += 44 + text_width(words, SMALL);
    }
}
