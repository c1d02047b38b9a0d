//! Scales: from values to pixels, with round ticks.
//!
//! In: a range of values and of pixels. Out: positions and labelled ticks.

use crate::units::grouped;

/// A linear scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Value at `at`.
    pub from: f64,
    /// Value at `to`.
    pub to: f64,
    /// Pixel of `from`.
    pub at: i32,
    /// Pixel of `to`.
    pub end: i32,
}

impl Scale {
    /// Pixel of a value, kept within the scale.
    pub fn px(&self, value: f64) -> i32 {
        let share = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        let share = if share.is_nan() { 0.0 } else { share };
        self.at + (share * f64::from(self.end - self.at)).round() as i32
    }

    /// Round values within the scale, about `count` of them, with their words.
    pub fn ticks(&self, count: usize) -> Vec<(f64, String)> {
        let step = step(self.to - self.from, count);
        if step.is_nan() || step <= 0.0 {
            return Vec::new();
        }
        let places = if step >= 1.0 {
            0
        } else {
            (-step.log10()).ceil() as usize
        };
        let first = (self.from / step).ceil() as i64;
        let last = (self.to / step + 1e-9).floor() as i64;
        (first..=last)
            .map(|i| (i as f64 * step, grouped(i as f64 * step, places)))
            .collect()
    }
}

/// A step of 1, 2 or 5 times a power of ten that parts `range` into about `count`.
pub fn step(range: f64, count: usize) -> f64 {
    let rough = range / count.max(1) as f64;
    if rough <= 0.0 || !rough.is_finite() {
        return 0.0;
    }
    let power = 10f64.powf(rough.log10().floor());
    let lead = rough / power;
    power
        * if lead <= 1.0 {
            1.0
        } else if lead <= 2.0 {
            2.0
        } else if lead <= 5.0 {
            5.0
        } else {
            10.0
        }
}

/// The first round value at or above `value`.
pub fn round_up(value: f64, count: usize) -> f64 {
    let step = step(value, count);
    if step > 0.0 {
        (value / step - 1e-9).ceil() * step
    } else {
        1.0
    }
}

/// The unit in which spans up to `minutes` are drawn: minutes in one, name.
pub fn span_unit(minutes: f64) -> (f64, &'static str) {
    if minutes > 3.0 * 1440.0 {
        (1440.0, "days")
    } else if minutes > 180.0 {
        (60.0, "hours")
    } else {
        (1.0, "minutes")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_within() {
        let scale = Scale {
            from: 0.0,
            to: 37.0,
            at: 0,
            end: 370,
        };
        let ticks = scale.ticks(8);
        assert_eq!(
            ticks.iter().map(|t| t.1.as_str()).collect::<Vec<_>>(),
            ["0", "5", "10", "15", "20", "25", "30", "35"]
        );
        assert_eq!(scale.px(18.5), 185);
        assert_eq!(round_up(37.0, 8), 40.0);
        assert_eq!(Scale { to: 0.0, ..scale }.ticks(5), []);
    }
}
