//! The key below a chart: fills and their names, broken into lines.
//!
//! In: fills with words. Out: strokes on a sheet, and how many lines they take.

use crate::report::words::fit;

use super::style::{Fill, INK, QUIET, SMALL, Sheet, Side, text_width};

impl Sheet<'_> {
    /// A row of fills with their names from `(x, y)` on; returns the y below it.
    pub fn legend(&self, (x, mut y): (i32, i32), right: i32, entries: &[(Fill, String)]) -> i32 {
        let mut at = x;
        for (fill, words) in entries {
            let words = fit(words, 40);
            let wide = 20 + text_width(&words, SMALL) + 16;
            if at > x && at + wide > right {
                at = x;
                y += 22;
            }
            self.block((at, y - 7), (at + 14, y + 7), *fill);
            self.frame((at, y - 7), (at + 14, y + 7), QUIET);
            self.text((at + 20, y), &words, SMALL, INK, Side::Left);
            at += wide;
        }
        y + 22
    }
}

/// Lines a legend will take.
pub fn legend_lines(width: i32, entries: &[(Fill, String)]) -> i32 {
    let (mut at, mut lines) = (0, 1);
    for (_, words) in entries {
        let wide = 36 + text_width(&fit(words, 40), SMALL);
        if at > 0 && at + wide > width {
            at = 0;
            lines += 1;
        }
        at += wide;
    }
    lines
}
