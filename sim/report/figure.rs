//! One estimate in words: value, interval, or why there is none.
//!
//! In: an [`Estimate`] with its unit. Out: [`Figure`]. Every number a person reads is rounded here.

use crate::summary::Estimate;
use crate::units::{Reader, duration, grouped, metres, percent};

pub use crate::units::ends;

/// A figure as people read it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Figure {
    /// Rounded value with its unit, or two words why there is none.
    pub value: String,
    /// `low to high`, empty where there is no interval.
    pub interval: String,
    /// False where `value` is not a number but the reason for having none.
    pub known: bool,
    /// Where the number stands in the results for other programs, as a JSON pointer (RFC 6901); empty where it is
    /// no result.
    pub from: String,
}

impl Figure {
    /// A reason instead of a number.
    pub fn missing(reason: &str) -> Self {
        Self {
            value: reason.to_owned(),
            interval: String::new(),
            known: false,
            from: String::new(),
        }
    }

    /// Words or a number without an interval.
    pub fn plain(value: impl Into<String>) -> Self {
        Self::told(value, "")
    }

    /// A value with its interval.
    pub fn told(value: impl Into<String>, interval: impl Into<String>) -> Self {
        Self {
            value: value.into(),
            interval: interval.into(),
            known: true,
            from: String::new(),
        }
    }

    /// The same, with the JSON pointer to its number.
    pub fn at(self, from: impl Into<String>) -> Self {
        Self {
            from: from.into(),
            ..self
        }
    }

    /// Words and no number, though there is something to tell.
    pub fn is_word(&self) -> bool {
        self.known && self.from.is_empty() && !self.value.chars().any(|c| c.is_ascii_digit())
    }

    /// `4.9 (4.7 to 5.0)`.
    pub fn with_interval(&self) -> String {
        if self.interval.is_empty() {
            self.value.clone()
        } else {
            format!("{} ({})", self.value, self.interval)
        }
    }
}

/// How a number is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A span of time.
    Duration,
    /// A fraction as per cent.
    Share,
    /// A bare count or rate.
    Count,
    /// Length of web.
    Web,
    /// Area of web.
    Area,
    /// Weight, kg.
    Weight,
    /// Share of the clock as hours a week.
    HoursAWeek,
}

impl Form {
    /// The usual form of a unit of the layout.
    pub fn of(unit: &str) -> Self {
        match unit {
            "min" => Form::Duration,
            "share" => Form::Share,
            "m/week" => Form::Web,
            "m2/week" => Form::Area,
            "kg/week" => Form::Weight,
            _ => Form::Count,
        }
    }

    /// Rounded text with unit.
    pub fn text(self, value: f64, reader: Reader) -> String {
        match self {
            Form::Duration => duration(value),
            Form::Share => percent(value),
            Form::Count => count(value),
            Form::Web => metres(value, reader),
            Form::Area if reader == Reader::Inch => {
                format!("{} ft²", grouped(value / 0.3048 / 0.3048, 0))
            }
            Form::Area => format!("{} m²", grouped(value, 0)),
            Form::Weight if reader == Reader::Inch => {
                format!("{} lb", grouped(value / 0.453_592_37, 0))
            }
            Form::Weight => format!("{} kg", grouped(value, 0)),
            Form::HoursAWeek => format!("{:.1}", value * 168.0),
        }
    }
}

/// A count: whole from 1000 up, one decimal from 10, two below, zeros dropped.
fn count(value: f64) -> String {
    let size = value.abs();
    grouped(
        value,
        if size >= 1000.0 {
            0
        } else if size >= 10.0 {
            1
        } else {
            2
        },
    )
}

/// The figure of an estimate that has a value. Intervals of what cannot be negative are cut at nothing,
/// and those of shares at one.
pub fn figure(estimate: &Estimate, form: Form, reader: Reader, signed: bool) -> Figure {
    let text = |value| form.text(value, reader);
    let cut = |value: f64| {
        let value = if signed { value } else { value.max(0.0) };
        if form == Form::Share && !signed {
            value.min(1.0)
        } else {
            value
        }
    };
    let (low, high) = (text(cut(estimate.low)), text(cut(estimate.high)));
    // A common unit is said once: `65.1 to 88.5 %`.
    let bare = match (form, low.strip_suffix(" %")) {
        (Form::Share, Some(bare)) => bare.to_owned(),
        _ => low.clone(),
    };
    let interval = ends([estimate.low, estimate.high], [&low, &bare, &high]);
    Figure::told(text(estimate.mean), interval)
}

/// A JSON pointer through the given keys (RFC 6901, 3: `~` and `/` within a key are escaped).
pub fn pointer(keys: &[&str]) -> String {
    keys.iter()
        .map(|key| format!("/{}", key.replace('~', "~0").replace('/', "~1")))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn estimate(mean: f64, low: f64, high: f64) -> Estimate {
        Estimate {
            mean,
            low,
            high,
            sd: 1.0,
            n: 9,
            beyond: 0,
            wanted: 0,
        }
    }

    #[test]
    fn figures_are_short_and_their_intervals_possible() {
        let show = |e, form| figure(&e, form, Reader::Metric, false).with_interval();
        assert_eq!(
            show(estimate(0.98, 0.94, 1.02), Form::Share),
            "98.0 % (94.0 to 100.0 %)"
        );
        assert_eq!(
            show(estimate(2.55, -0.3, 5.1), Form::Count),
            "2.55 (0 to 5.1)"
        );
        assert_eq!(
            show(estimate(600.0, f64::NAN, f64::NAN), Form::Duration),
            "10 h"
        );
        assert_eq!(
            figure(&estimate(3048.0, 0.0, 1.0), Form::Web, Reader::Inch, false).value,
            "10\u{202f}000 ft"
        );
    }
}
