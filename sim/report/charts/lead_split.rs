//! Where the time went: one bar for all orders and one a class, stacked by cause.

use crate::record::ALL_SPENT;
use crate::report::context::{Context, Standing};
use crate::units::duration;

use super::axis::{Scale, round_up, span_unit};
use super::fills::{of_queue, of_spent};
use super::legend::legend_lines;
use super::style::{
    self, BODY, Fill, GRID, Hatch, INK, MARGIN, PAPER, QUIET, SMALL, Side, WIDTH, fitted,
    text_width,
};

const ROW: i32 = 52;

/// Causes that take at least so much of a bar are drawn by themselves.
const SMALLEST: f64 = 0.015;

/// The chart; `None` where no order was done.
pub fn draw(c: &Context<'_>) -> Option<String> {
    let groups: Vec<usize> = c
        .split_groups()
        .filter(|&g| !c.split(g).is_empty())
        .collect();
    let splits: Vec<Vec<f64>> = groups.iter().map(|&g| c.split(g)).collect();
    let sums: Vec<f64> = splits.iter().map(|s| s.iter().sum()).collect();
    let longest = sums.iter().copied().fold(0.0, f64::max);
    if longest.is_nan() || longest <= 0.0 {
        return None;
    }
    let fill = |part: usize| match part.checked_sub(c.stations.len()) {
        Some(spent) => ALL_SPENT
            .get(spent)
            .map_or(Fill::new(GRID, Hatch::Plain), |&s| of_spent(s)),
        None => of_queue(part),
    };
    let parts: Vec<usize> = (0..splits[0].len())
        .filter(|&p| {
            splits
                .iter()
                .zip(&sums)
                .any(|(s, sum)| s[p] > SMALLEST * sum)
        })
        .collect();
    let mut entries: Vec<(Fill, String)> =
        parts.iter().map(|&p| (fill(p), c.split_label(p))).collect();
    entries.push((Fill::new(PAPER, Hatch::Plain), "all else".to_owned()));
    let lines = legend_lines(WIDTH - 2 * MARGIN, &entries);
    let bottom = style::TOP + groups.len() as i32 * ROW;
    let height = bottom + 34 + 22 * lines + 12;
    let steady = c.standing != Standing::Overloaded;
    let (unit, name) = if steady {
        span_unit(longest)
    } else {
        (longest / 100.0, "%")
    };
    let subtitle = if steady {
        format!("mean lead time print to shippable in {name}, of the orders that were done")
    } else {
        "share of the lead time of the orders that were done; not steady: the cell does not keep up"
            .to_owned()
    };
    let told = parts
        .iter()
        .map(|&p| {
            format!(
                "{} {:.0} %",
                c.split_label(p),
                100.0 * splits[0][p] / sums[0]
            )
        })
        .collect::<Vec<_>>()
        .join("; ");
    Some(style::chart(
        (WIDTH, height),
        ("Mean lead time by cause", &subtitle),
        &told,
        |sheet| {
            let x = Scale {
                from: 0.0,
                to: if steady {
                    round_up(longest / unit, 8)
                } else {
                    100.0
                },
                at: MARGIN + 170,
                end: WIDTH - MARGIN - 90,
            };
            for (value, words) in x.ticks(8) {
                let px = x.px(value);
                sheet.stroke(&[(px, style::TOP - 8), (px, bottom - 8)], GRID, 1);
                sheet.text((px, bottom + 6), &words, SMALL, QUIET, Side::Middle);
            }
            sheet.text((x.end + 12, bottom + 6), name, SMALL, QUIET, Side::Left);
            for (row, (&g, split)) in groups.iter().zip(&splits).enumerate() {
                let y = style::TOP + row as i32 * ROW;
                sheet.text(
                    (x.at - 10, y + 18),
                    &fitted(&c.groups[g], BODY, 158),
                    BODY,
                    INK,
                    Side::Right,
                );
                let scale = if steady {
                    1.0 / unit
                } else {
                    100.0 / sums[row]
                };
                let mut sum = 0.0;
                for &part in &parts {
                    let (x0, x1) = (x.px(sum * scale), x.px((sum + split[part]) * scale));
                    sum += split[part];
                    let fill = fill(part);
                    sheet.block((x0, y), (x1, y + 36), fill);
                    let words = if steady {
                        duration(split[part])
                    } else {
                        format!("{:.0} %", split[part] * scale)
                    };
                    let wide = text_width(&words, SMALL);
                    if wide + 10 < x1 - x0 {
                        let middle = (x0 + x1) / 2;
                        let (a, b) = (
                            (middle - wide / 2 - 3, y + 10),
                            (middle + wide / 2 + 3, y + 26),
                        );
                        sheet.block(a, b, Fill::new(fill.color, Hatch::Plain));
                        sheet.text((middle, y + 18), &words, SMALL, fill.on_it(), Side::Middle);
                    }
                }
                let end = x.px(sums[row] * scale);
                sheet.frame((x.at, y), (end, y + 36), QUIET);
                if steady {
                    sheet.padded((end + 8, y + 18), &duration(sums[row]), INK, Side::Left);
                }
            }
            sheet.legend((MARGIN, bottom + 34), WIDTH - MARGIN, &entries);
        },
    ))
}
