//! Differences from today with their intervals: a panel a figure, a line a variant and demand case.

use crate::compare::{Better, Call, Difference};
use crate::report::compare::View;
use crate::report::compare::words::{change_interval, demand, unit as unit_words};

use super::axis::{Scale, span_unit, step};
use super::style::{
    self, AMBER, BODY, Fill, GREEN, GRID, Hatch, INK, MARGIN, QUIET, RED, SMALL, Sheet, Side,
    WIDTH, fitted,
};

const ROW: i32 = 20;
const HEAD: i32 = 34;
const FOOT: i32 = 36;

/// Most figures that are drawn.
const PANELS: usize = 8;

/// A line of a panel: variant, demand, what is known.
type Line = (usize, usize, Option<Difference>);

/// Most pixels of height: a sheet fits a printed page.
const TALLEST: i32 = 1150;

/// Names of the sheets.
pub const SHEETS: [&str; PANELS] = [
    "differences",
    "differences-2",
    "differences-3",
    "differences-4",
    "differences-5",
    "differences-6",
    "differences-7",
    "differences-8",
];

/// The chart, on as many sheets as it takes; none where there is nothing to compare.
pub fn draw(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    let mut shown: Vec<usize> = c.deciding().collect();
    shown.extend((0..c.headlines.len()).filter(|&h| {
        let headline = &c.headlines[h];
        !headline.decides && (headline.key.ends_with("/p90") || headline.key.starts_with("money/"))
    }));
    shown.truncate(PANELS);
    let variants = view.variants.len();
    if variants < 2 || shown.is_empty() {
        return Vec::new();
    }
    let lines: Vec<(usize, usize)> = (1..variants)
        .flat_map(|v| (0..c.demands.len()).map(move |d| (v, d)))
        .collect();
    let panel = HEAD + lines.len() as i32 * ROW + FOOT;
    let on_a_sheet = ((TALLEST - style::TOP - 34) / panel).max(1) as usize;
    shown
        .chunks(on_a_sheet)
        .enumerate()
        .map(|(place, some)| {
            let sheets = shown.len().div_ceil(on_a_sheet);
            let title = match sheets {
                1 => "Differences from today".to_owned(),
                _ => format!("Differences from today, sheet {} of {sheets}", place + 1),
            };
            sheet(view, &title, some, &lines, panel)
        })
        .collect()
}

/// One sheet: a panel for each figure of `shown`.
fn sheet(
    view: &View<'_>,
    title: &str,
    shown: &[usize],
    lines: &[(usize, usize)],
    panel: i32,
) -> String {
    let c = view.comparison;
    let height = style::TOP + shown.len() as i32 * panel + 34;
    let told: Vec<String> = shown
        .iter()
        .flat_map(|&h| lines.iter().map(move |&(v, d)| (h, v, d)))
        .filter_map(|(h, v, d)| {
            let t = c.cases[v][d].against_today[h].ok()?;
            let range = change_interval(&t, &c.headlines[h], view.reader);
            Some(format!(
                "{}, {}, {}: {range}",
                c.headlines[h].label,
                view.name(v),
                demand(c.demands[d])
            ))
        })
        .collect();
    let subtitle = format!(
        "paired differences, {} intervals that hold together within each figure",
        view.confidence()
    );
    let title = (title, subtitle.as_str());
    style::chart((WIDTH, height), title, &told.join("; "), |sheet| {
        for (i, &h) in shown.iter().enumerate() {
            let top = style::TOP + i as i32 * panel;
            let rows: Vec<Line> = lines
                .iter()
                .map(|&(v, d)| (v, d, c.cases[v][d].against_today[h].ok()))
                .collect();
            one(sheet, view, h, top, &rows);
        }
        let y = height - 18;
        let mut x = MARGIN;
        for (color, words) in [
            (GREEN, "clearly better"),
            (RED, "clearly worse"),
            (AMBER, "not settled (hollow), or neither way better"),
        ] {
            sheet.block((x, y - 6), (x + 14, y + 6), Fill::new(color, Hatch::Plain));
            sheet.text((x + 20, y), words, SMALL, INK, Side::Left);
            x += 40 + style::text_width(words, SMALL);
        }
    })
}

fn one(sheet: &Sheet<'_>, view: &View<'_>, h: usize, top: i32, rows: &[Line]) {
    let headline = &view.comparison.headlines[h];
    sheet.bold(
        (MARGIN, top + 10),
        &fitted(&headline.label, BODY, WIDTH - 2 * MARGIN),
        BODY,
        INK,
        Side::Left,
    );
    // So that nobody has to tell green from red.
    let wanted = match headline.better {
        Better::Less => "less is better",
        Better::More => "more is better",
        Better::Neither => "",
    };
    sheet.text(
        (WIDTH - MARGIN, top + 10),
        wanted,
        SMALL,
        QUIET,
        Side::Right,
    );
    let ends = |pick: fn(f64, f64) -> f64| {
        rows.iter()
            .filter_map(|r| r.2)
            .flat_map(|d| [d.low, d.high])
            .filter(|x| x.is_finite())
            .fold(0.0, pick)
    };
    let (low, high) = (ends(f64::min), ends(f64::max));
    let largest = high.max(-low);
    let (unit, name) = match headline.unit {
        "min" => span_unit(largest),
        "share" => (0.01, "points"),
        other => (1.0, other),
    };
    let name = unit_words(name, &view.currency);
    let pad = ((high - low) / unit * 0.04).max(1e-9);
    let x = Scale {
        from: low / unit - pad,
        to: high / unit + pad,
        at: MARGIN + 250,
        end: WIDTH - MARGIN - 170,
    };
    let bottom = top + HEAD + rows.len() as i32 * ROW;
    if step(x.to - x.from, 8) > 0.0 && largest > 0.0 {
        for (value, words) in x.ticks(8) {
            let px = x.px(value);
            sheet.stroke(&[(px, top + HEAD - 8), (px, bottom)], GRID, 1);
            sheet.text((px, bottom + 12), &words, SMALL, QUIET, Side::Middle);
        }
    }
    sheet.text((x.end + 12, bottom + 12), &name, SMALL, QUIET, Side::Left);
    let zero = x.px(0.0);
    sheet.stroke(&[(zero, top + HEAD - 8), (zero, bottom)], INK, 1);
    for (row, &(v, d, told)) in rows.iter().enumerate() {
        let y = top + HEAD + row as i32 * ROW + ROW / 2;
        if d == 0 {
            sheet.text(
                (MARGIN, y),
                &fitted(view.name(v), SMALL, 190),
                SMALL,
                INK,
                Side::Left,
            );
        }
        if view.comparison.demands.len() > 1 {
            let words = demand(view.comparison.demands[d]);
            sheet.text((x.at - 8, y), &words, SMALL, QUIET, Side::Right);
        }
        let Some(t) = told else {
            let case = |v: usize| &view.comparison.cases[v][d];
            let why = case(v).against_today[h].err().map_or("", |why| why.words());
            // The variant may well have the figure; it is today that it cannot be compared with.
            let words = match (&case(v).figures[h], &case(0).figures[h]) {
                (Ok(_), Err(today)) => format!("today {}", today.words()),
                _ => why.to_owned(),
            };
            sheet.text((zero + 6, y), &words, SMALL, QUIET, Side::Left);
            continue;
        };
        let color = match t.call {
            Call::Better => GREEN,
            Call::Worse => RED,
            _ => AMBER,
        };
        // An end that is not claimed reaches to the border.
        let px = |value: f64| x.px((value / unit).clamp(x.from, x.to));
        let (a, m, b) = (px(t.low), px(t.mean), px(t.high));
        sheet.stroke(&[(a, y), (b, y)], color, 3);
        for end in [a, b] {
            sheet.stroke(&[(end, y - 5), (end, y + 5)], color, 2);
        }
        sheet.block(
            (m - 4, y - 4),
            (m + 4, y + 4),
            Fill::new(color, Hatch::Plain),
        );
        // Open ones are hollow.
        if matches!(t.call, Call::Open | Call::Same | Call::Equal) {
            sheet.block(
                (m - 2, y - 2),
                (m + 2, y + 2),
                Fill::new(style::PAPER, Hatch::Plain),
            );
        }
        let words = change_interval(&t, headline, view.reader);
        sheet.text((WIDTH - MARGIN, y), &words, SMALL, INK, Side::Right);
    }
}
