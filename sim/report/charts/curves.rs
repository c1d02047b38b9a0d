//! Shares or other figures over a setting: a line for each cell, with intervals.

use crate::report::words::clean;

use super::axis::Scale;
use super::style::{
    self, AMBER, BLUE, BODY, Fill, GREEN, GRID, Hatch, INK, MARGIN, PLUM, QUIET, RED, SLATE, SMALL,
    Side, WIDTH, fitted, text_width,
};

const HEIGHT: i32 = 460;

/// A line: its name, and setting, mean and both ends of the interval.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Name.
    pub name: String,
    /// Points in rising order of the setting.
    pub points: Vec<[f64; 4]>,
}

/// What a chart of curves says around them.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame<'a> {
    /// Title and subtitle.
    pub titles: (&'a str, &'a str),
    /// What the horizontal axis is.
    pub setting: &'a str,
    /// What the vertical axis is, and the unit that one of it is shown as.
    pub figure: (&'a str, f64),
    /// A line across, such as the promised share.
    pub aim: Option<f64>,
}

/// The chart; `None` where there are not two points.
pub fn draw(frame: &Frame<'_>, curves: &[Curve]) -> Option<String> {
    let scale = frame.figure.1;
    let all = || {
        curves
            .iter()
            .flat_map(|c| &c.points)
            .filter(|p| p[1].is_finite())
    };
    if all().count() < 2 {
        return None;
    }
    let finite = |x: f64, other: f64| if x.is_finite() { x } else { other };
    let least = |k: fn(&[f64; 4]) -> f64| all().map(k).fold(f64::INFINITY, f64::min);
    let most = |k: fn(&[f64; 4]) -> f64| all().map(k).fold(f64::NEG_INFINITY, f64::max);
    let (x0, x1) = (least(|p| p[0]), most(|p| p[0]));
    let mut low = all()
        .map(|p| finite(p[2], p[1]))
        .fold(f64::INFINITY, f64::min);
    let mut high = all()
        .map(|p| finite(p[3], p[1]))
        .fold(f64::NEG_INFINITY, f64::max);
    if let Some(aim) = frame.aim {
        (low, high) = (low.min(aim), high.max(aim));
    }
    let pad = 0.05 * (high - low).max(1e-9);
    let told: Vec<String> = curves
        .iter()
        .flat_map(|c| {
            c.points
                .iter()
                .map(move |p| format!("{} at {:.3}: {:.3}", c.name, p[0], p[1]))
        })
        .collect();
    Some(style::chart(
        (WIDTH, HEIGHT),
        frame.titles,
        &told.join("; "),
        |sheet| {
            let wide = ((x1 - x0) * 0.03).max(1e-9);
            let x = Scale {
                from: x0 - wide,
                to: x1 + wide,
                at: MARGIN + 70,
                end: WIDTH - MARGIN - 20,
            };
            let y = Scale {
                from: (low - pad) * scale,
                to: (high + pad) * scale,
                at: HEIGHT - 96,
                end: style::TOP + 20,
            };
            for (value, words) in x.ticks(8) {
                let px = x.px(value);
                sheet.stroke(&[(px, y.end), (px, y.at)], GRID, 1);
                sheet.text((px, y.at + 14), &words, SMALL, QUIET, Side::Middle);
            }
            for (value, words) in y.ticks(6) {
                let px = y.px(value);
                sheet.stroke(&[(x.at, px), (x.end, px)], GRID, 1);
                sheet.text((x.at - 8, px), &words, SMALL, QUIET, Side::Right);
            }
            sheet.text(
                (x.at, y.end - 14),
                &fitted(frame.figure.0, SMALL, 800),
                SMALL,
                QUIET,
                Side::Left,
            );
            sheet.text(
                (x.at, y.at + 34),
                &fitted(frame.setting, SMALL, 800),
                SMALL,
                QUIET,
                Side::Left,
            );
            if let Some(aim) = frame.aim {
                let py = y.px(aim * scale);
                sheet.stroke(&[(x.at, py), (x.end, py)], INK, 2);
            }
            const COLORS: [style::RGBColor; 6] = [BLUE, AMBER, GREEN, RED, PLUM, SLATE];
            let mut at = MARGIN;
            for (i, curve) in curves.iter().enumerate() {
                let color = COLORS[i % COLORS.len()];
                let pixels: Vec<(i32, i32)> = curve
                    .points
                    .iter()
                    .filter(|p| p[1].is_finite())
                    .map(|p| (x.px(p[0]), y.px(p[1] * scale)))
                    .collect();
                sheet.stroke(&pixels, color, 2);
                for p in curve.points.iter().filter(|p| p[1].is_finite()) {
                    let px = x.px(p[0]) + 2 * (i as i32);
                    if p[2].is_finite() && p[3].is_finite() {
                        sheet.stroke(
                            &[(px, y.px(p[2] * scale)), (px, y.px(p[3] * scale))],
                            color,
                            1,
                        );
                    }
                    let py = y.px(p[1] * scale);
                    sheet.block(
                        (px - 3, py - 3),
                        (px + 3, py + 3),
                        Fill::new(color, Hatch::Plain),
                    );
                }
                let name = fitted(&clean(&curve.name), BODY, 200);
                sheet.block(
                    (at, HEIGHT - 30),
                    (at + 14, HEIGHT - 18),
                    Fill::new(color, Hatch::Plain),
                );
                sheet.text((at + 20, HEIGHT - 24), &name, SMALL, INK, Side::Left);
                at += 40 + text_width(&name, SMALL);
            }
        },
    ))
}
