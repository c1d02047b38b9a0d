//! How each machine spends its open time: one bar a machine, stacked by state.

use crate::record::{ALL_STATES, State};
use crate::report::context::Context;
use crate::report::table::share;
use crate::units::grouped;

use super::fills::of_state;
use super::legend::legend_lines;
use super::style::{
    self, BODY, Fill, GRID, INK, MARGIN, QUIET, SMALL, Side, WIDTH, fitted, text_width,
};

const ROW: i32 = 40;

/// Running first and no work last, so that the used part is one piece from the left.
const ORDER: [State; 10] = [
    State::Running,
    State::RunningShort,
    State::Changeover,
    State::FirstOff,
    State::PlannedStop,
    State::Down,
    State::MicroStop,
    State::WaitPeople,
    State::WaitMaterial,
    State::Blocked,
];

/// The chart; `None` without machines.
pub fn draw(c: &Context<'_>) -> Option<String> {
    let machines = c.machines.len();
    let shown: Vec<State> = ORDER
        .into_iter()
        .filter(|&s| (0..machines).any(|m| share(c, m, &[s]) > 0.0005))
        .chain([State::NoWork])
        .collect();
    let entries: Vec<(Fill, String)> = shown
        .iter()
        .map(|&s| (of_state(s), s.label().to_owned()))
        .collect();
    let lines = legend_lines(WIDTH - 2 * MARGIN, &entries);
    let bottom = style::TOP + machines as i32 * ROW;
    let height = bottom + 34 + 22 * lines + 12;
    if machines == 0 {
        return None;
    }
    let told = (0..machines)
        .map(|m| {
            format!(
                "{} used {}",
                c.machines[m],
                c.figure(c.summary.layout.machine(m) + ALL_STATES.len())
                    .value
            )
        })
        .collect::<Vec<_>>()
        .join("; ");
    let title = (
        "Machine time by state",
        "share of each machine's open hours, mean over replications",
    );
    Some(style::chart((WIDTH, height), title, &told, |sheet| {
        let (left, right) = (MARGIN + 170, WIDTH - MARGIN - 110);
        for percent in [0, 25, 50, 75, 100] {
            let x = left + (right - left) * percent / 100;
            sheet.stroke(&[(x, style::TOP - 8), (x, bottom)], GRID, 1);
            sheet.text(
                (x, bottom + 12),
                &format!("{percent} %"),
                SMALL,
                QUIET,
                Side::Middle,
            );
        }
        sheet.text(
            (WIDTH - MARGIN, style::TOP - 16),
            "open hours a week",
            SMALL,
            QUIET,
            Side::Right,
        );
        for m in 0..machines {
            let y = style::TOP + m as i32 * ROW;
            sheet.text(
                (left - 10, y + 14),
                &fitted(&c.machines[m], BODY, 158),
                BODY,
                INK,
                Side::Right,
            );
            let all = 1.0 - share(c, m, &[State::OffShift, State::Maintenance]);
            sheet.text(
                (WIDTH - MARGIN, y + 14),
                &format!("{} h", grouped(all * 168.0, 1)),
                BODY,
                INK,
                Side::Right,
            );
            let mut sum = 0.0;
            for &state in &shown {
                let part = share(c, m, &[state]) / all;
                let at = |s: f64| left + (f64::from(right - left) * s).round() as i32;
                let (x0, x1) = (at(sum), at(sum + part));
                sum += part;
                if !part.is_finite() || x1 <= x0 {
                    continue;
                }
                let fill = of_state(state);
                sheet.block((x0, y), (x1, y + 28), fill);
                let words = format!("{:.0} %", part * 100.0);
                let wide = text_width(&words, SMALL);
                if wide + 8 < x1 - x0 {
                    let middle = (x0 + x1) / 2;
                    // Calm ground under the digits, where a hatch would cross them.
                    sheet.block(
                        (middle - wide / 2 - 3, y + 6),
                        (middle + wide / 2 + 3, y + 22),
                        Fill::new(fill.color, style::Hatch::Plain),
                    );
                    sheet.text((middle, y + 14), &words, SMALL, fill.on_it(), Side::Middle);
                }
            }
            sheet.frame((left, y), (right, y + 28), QUIET);
        }
        sheet.legend((MARGIN, bottom + 40), WIDTH - MARGIN, &entries);
    }))
}
