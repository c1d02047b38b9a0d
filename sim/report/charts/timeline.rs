//! Timeline of one replication: a row a machine, states as bars, orders named above them where they fit.

use crate::observe::Trace;
use crate::record::{ALL_STATES, State};
use crate::report::clock::day_name;
use crate::report::context::Context;
use crate::report::timeline::{Folded, stretches, window, within};
use crate::units::{TICKS_PER_MINUTE, Tick};

use super::fills::of_state;
use super::legend::legend_lines;
use super::style::{
    self, BODY, Fill, GRID, INK, MARGIN, QUIET, SMALL, Sheet, Side, fitted, text_width,
};

/// Wider than the other charts: time needs room.
const WIDE: i32 = 1400;
const ROW: i32 = 50;
/// Open hours that can be told apart at this width.
const OPEN_HOURS: i64 = 90;
const DAY: Tick = 1440 * TICKS_PER_MINUTE;

/// The chart; `None` where nothing is open in the window.
pub fn draw(c: &Context<'_>, trace: &Trace) -> Option<String> {
    let (from, to) = window(c.model, trace, OPEN_HOURS);
    let rows = within(trace, from, to);
    let folded = Folded::new(&rows, from, to);
    if folded.length() == 0 {
        return None;
    }
    let entries: Vec<(Fill, String)> = ALL_STATES
        .into_iter()
        .filter(|&s| s != State::OffShift && rows.iter().any(|r| r.state == s))
        .map(|s| (of_state(s), s.label().to_owned()))
        .collect();
    let machines = c.machines.len() as i32;
    let top = style::TOP + 14;
    let bottom = top + machines * ROW;
    let height = bottom + 22 + 22 * legend_lines(WIDE - 2 * MARGIN, &entries) + 12;
    let start = c.model.plant.run.start_day;
    let subtitle = format!(
        "one replication, {} to {}; numbers are orders; hours in which nothing is open are left out",
        day_name(start, from),
        day_name(start, to - 1)
    );
    let told = format!("{} machines as rows, their states as bars", machines);
    Some(style::chart(
        (WIDE, height),
        ("Timeline", &subtitle),
        &told,
        |sheet| {
            let (left, right) = (MARGIN + 150, WIDE - MARGIN);
            let scale = f64::from(right - left) / folded.length() as f64;
            let px = |t: Tick| left + (folded.at(t) as f64 * scale).round() as i32;
            for (m, name) in c.machines.iter().enumerate() {
                let y = top + m as i32 * ROW + 18;
                sheet.text(
                    (left - 10, y + 12),
                    &fitted(name, BODY, 138),
                    BODY,
                    INK,
                    Side::Right,
                );
            }
            for row in rows.iter().filter(|r| r.state != State::OffShift) {
                let y = top + row.machine as i32 * ROW + 18;
                let (x0, x1) = (px(row.from), px(row.to));
                if x1 > x0 {
                    sheet.block((x0, y), (x1, y + 24), of_state(row.state));
                }
            }
            days(sheet, &folded, start, (top, bottom), px);
            for s in stretches(&rows) {
                let (x0, x1) = (px(s.from), px(s.to));
                let y = top + s.machine as i32 * ROW + 8;
                let words = s.order.to_string();
                // A tick at the start of each stretch parts neighbours; the number where it fits.
                sheet.stroke(&[(x0, y + 4), (x0, y + 10)], INK, 1);
                if x1 - x0 > text_width(&words, SMALL) + 2 {
                    sheet.text((x0 + 2, y), &words, SMALL, INK, Side::Left);
                }
            }
            sheet.legend((MARGIN, bottom + 22), WIDE - MARGIN, &entries);
        },
    ))
}

/// A line and a name where a day, or what is left of it, begins.
fn days(
    sheet: &Sheet<'_>,
    folded: &Folded,
    start: i32,
    (top, bottom): (i32, i32),
    px: impl Fn(Tick) -> i32,
) {
    let mut told = i32::MIN;
    let mut last_day = None;
    for piece in &folded.pieces {
        let mut at = piece.0;
        while at < piece.1 {
            let day = at.div_euclid(DAY);
            if last_day != Some(day) {
                last_day = Some(day);
                let x = px(at);
                sheet.stroke(&[(x, top - 6), (x, bottom)], GRID, 2);
                let words = day_name(start, at);
                if x >= told {
                    sheet.text((x + 3, top - 10), &words, SMALL, QUIET, Side::Left);
                    told = x + text_width(&words, SMALL) + 10;
                }
            }
            at = (day + 1) * DAY;
        }
    }
}
