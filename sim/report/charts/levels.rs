//! Orders in the cell and lots curing over time: mean with a band, warm-up and run-out shaded.

use plotters::style::RGBColor;

use crate::plant::WarmUp;
use crate::report::clock::iso_date;
use crate::report::context::Context;
use crate::units::minutes_from_ticks;

use super::axis::{Scale, round_up};
use super::style::{
    self, BLUE, BODY, Fill, GREEN, GRID, Hatch, INK, MARGIN, QUIET, SHADE, SMALL, Sheet, Side,
    WIDTH,
};

const PANEL: i32 = 190;
const GAP: i32 = 36;
const WEEK: f64 = 10_080.0;

/// The chart; `None` where nothing was sampled.
pub fn draw(c: &Context<'_>) -> Option<String> {
    let rows = &c.summary.levels;
    let last = rows.last()?.at_min;
    if last.is_nan() || last <= 0.0 {
        return None;
    }
    let curing = rows.iter().any(|r| r.mean.get(1).is_some_and(|&m| m > 0.0));
    let panels: Vec<(usize, &str, RGBColor)> = [
        (0, "orders released and not yet shippable", BLUE),
        (1, "lots held for cure", GREEN),
    ]
    .into_iter()
    .filter(|p| p.0 == 0 || curing)
    .collect();
    let height = style::TOP + panels.len() as i32 * (PANEL + GAP) + 34;
    let title = if curing {
        "Orders on the floor and lots curing"
    } else {
        "Orders on the floor"
    };
    let subtitle = format!(
        "number, weeks since {}; line: mean of {} replications, band: one standard deviation",
        iso_date(c.model.plant.run.start_day),
        c.summary.done
    );
    let told = format!(
        "{} weeks, warm-up and run-out shaded",
        (last / WEEK).round()
    );
    Some(style::chart(
        (WIDTH, height),
        (title, &subtitle),
        &told,
        |sheet| {
            let x = Scale {
                from: 0.0,
                to: last / WEEK,
                at: MARGIN + 46,
                end: WIDTH - MARGIN - 8,
            };
            for (row, &(level, words, color)) in panels.iter().enumerate() {
                let top = style::TOP + 12 + row as i32 * (PANEL + GAP);
                panel(c, sheet, &x, (top, top + PANEL), level, color);
                sheet.bold((x.at, top - 12), words, BODY, color, Side::Left);
            }
            let bottom = style::TOP + 12 + panels.len() as i32 * (PANEL + GAP) - GAP;
            for (value, words) in x.ticks(12) {
                sheet.text(
                    (x.px(value), bottom + 14),
                    &words,
                    SMALL,
                    QUIET,
                    Side::Middle,
                );
            }
            sheet.text((x.end, bottom + 34), "weeks", BODY, INK, Side::Right);
        },
    ))
}

fn panel(
    c: &Context<'_>,
    sheet: &Sheet<'_>,
    x: &Scale,
    (top, bottom): (i32, i32),
    level: usize,
    color: RGBColor,
) {
    let rows = &c.summary.levels;
    let value = |r: &crate::summary::LevelRow| {
        let (mean, sd) = (
            r.mean.get(level).copied().unwrap_or(0.0),
            r.sd.get(level).copied().unwrap_or(0.0),
        );
        ((mean - sd).max(0.0), mean, mean + sd)
    };
    let most = rows.iter().map(|r| value(r).2).fold(0.5, f64::max);
    let y = Scale {
        from: 0.0,
        to: round_up(most * 1.05, 5),
        at: bottom,
        end: top,
    };
    let warm = x.px(minutes_from_ticks(c.model.warm_up) / WEEK);
    let measured = x.px(minutes_from_ticks(c.model.measured_end) / WEEK);
    let warming = match c.model.plant.run.warm_up {
        WarmUp::Chosen { .. } => "warm-up, chosen",
        _ => "warm-up",
    };
    for (from, to, words) in [(x.at, warm, warming), (measured, x.end, "run-out")] {
        if to - from > 1 {
            sheet.block((from, top), (to, bottom), Fill::new(SHADE, Hatch::Plain));
        }
        if to - from > style::text_width(words, SMALL) + 4 {
            sheet.text(
                ((from + to) / 2, top + 12),
                words,
                SMALL,
                QUIET,
                Side::Middle,
            );
        }
    }
    for (value, words) in y.ticks(5) {
        let py = y.px(value);
        sheet.stroke(&[(x.at, py), (x.end, py)], GRID, 1);
        sheet.text((x.at - 8, py), &words, SMALL, QUIET, Side::Right);
    }
    let at = |r: &crate::summary::LevelRow, v: f64| (x.px(r.at_min / WEEK), y.px(v));
    let mut band: Vec<(i32, i32)> = rows.iter().map(|r| at(r, value(r).2)).collect();
    band.extend(rows.iter().rev().map(|r| at(r, value(r).0)));
    sheet.area(&band, color, 0.22);
    let line: Vec<(i32, i32)> = rows.iter().map(|r| at(r, value(r).1)).collect();
    sheet.stroke(&line, color, 2);
}
