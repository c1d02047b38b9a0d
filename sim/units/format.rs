//! Quantities to text, for metric and inch readers.
//!
//! In: numbers in base units. Out: short text for people, rounded; and [`quantity_text`], which
//! keeps ten significant digits and can be read again by `parse_quantity`.
//!
//! Durations follow one rule: seconds under a minute, minutes under two hours, hours with one
//! decimal under two days, then days and hours. Digits are grouped in threes from 10 000 up, with
//! a narrow space (SI Brochure, 9th edition, 5.4.4: groups of three, four digits customarily left
//! together).

use super::dimension::Dimension;

/// For whom lengths and speeds are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Reader {
    /// Metres and millimetres.
    #[default]
    Metric,
    /// Feet and inches.
    Inch,
}

/// What stands for a number that is missing or endless.
fn odd(value: f64) -> Option<&'static str> {
    if value.is_nan() {
        Some("–")
    } else if value == f64::INFINITY {
        Some("∞")
    } else if value == f64::NEG_INFINITY {
        Some("-∞")
    } else {
        None
    }
}

/// Rounds to `places` decimals and drops trailing zeros.
fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".to_string()
    } else {
        text.to_string()
    }
}

/// Groups the whole digits of a number already written plainly.
fn group(text: &str) -> String {
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", text),
    };
    let (whole, decimals) = match digits.split_once('.') {
        Some((whole, decimals)) => (whole, format!(".{decimals}")),
        None => (digits, String::new()),
    };
    if whole.len() < 5 {
        return text.to_string();
    }
    let mut grouped = String::from(sign);
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i) % 3 == 0 {
            grouped.push('\u{202f}');
        }
        grouped.push(c);
    }
    grouped + &decimals
}

/// A number with `places` decimals, trailing zeros dropped, digits grouped.
pub fn grouped(value: f64, places: usize) -> String {
    odd(value).map_or_else(|| group(&trimmed(value, places)), str::to_string)
}

/// A duration for people, by the one rule of this module: `45 s`, `6.5 min`, `52 min`, `6.5 h`,
/// `3 d 4 h`.
pub fn duration(minutes: f64) -> String {
    if let Some(word) = odd(minutes) {
        return word.to_string();
    }
    if minutes < 0.0 {
        let text = duration(-minutes);
        return if text == "0 s" {
            text
        } else {
            format!("-{text}")
        };
    }
    let seconds = (minutes * 60.0).round();
    if seconds < 60.0 {
        return format!("{seconds} s");
    }
    // Minutes carry a decimal while one digit alone would hide a tenth of the value.
    let rounded = if minutes < 9.95 {
        (minutes * 10.0).round() / 10.0
    } else {
        minutes.round()
    };
    if rounded < 120.0 {
        return format!("{} min", trimmed(rounded, 1));
    }
    let tenths_of_hours = (minutes / 6.0).round();
    if tenths_of_hours < 480.0 {
        return format!("{} h", trimmed(tenths_of_hours / 10.0, 1));
    }
    let hours = (minutes / 60.0).round();
    let days = (hours / 24.0).floor();
    let left = hours - days * 24.0;
    if left == 0.0 {
        format!("{} d", grouped(days, 0))
    } else {
        format!("{} d {left} h", grouped(days, 0))
    }
}

/// A length of web: whole metres, or whole feet for an inch reader.
pub fn metres(length_m: f64, reader: Reader) -> String {
    match reader {
        Reader::Metric => format!("{} m", grouped(length_m, 0)),
        Reader::Inch => format!("{} ft", grouped(length_m / 0.3048, 0)),
    }
}

/// A width or diameter: millimetres to a tenth, or inches to a hundredth.
pub fn small_length(length_mm: f64, reader: Reader) -> String {
    match reader {
        Reader::Metric => format!("{} mm", grouped(length_mm, 1)),
        Reader::Inch => format!("{} in", grouped(length_mm / 25.4, 2)),
    }
}

/// A web speed: m/min to a tenth, or whole ft/min.
pub fn speed(speed_m_per_min: f64, reader: Reader) -> String {
    match reader {
        Reader::Metric => format!("{} m/min", grouped(speed_m_per_min, 1)),
        Reader::Inch => format!("{} ft/min", grouped(speed_m_per_min / 0.3048, 0)),
    }
}

/// A number of pouches, whole, grouped; no word follows it.
pub fn pouches(count: f64) -> String {
    grouped(count, 0)
}

/// A fraction in per cent, always with one decimal so that columns line up.
pub fn percent(fraction: f64) -> String {
    odd(fraction).map_or_else(
        || {
            let text = format!("{:.1} %", fraction * 100.0);
            if text == "-0.0 %" {
                "0.0 %".to_string()
            } else {
                text
            }
        },
        str::to_string,
    )
}

/// An amount of money: whole from 100 up, two decimals below; no currency.
pub fn money(amount: f64) -> String {
    match odd(amount) {
        Some(word) => word.to_string(),
        // Not "-0.00".
        None if amount.abs() < 0.005 => "0.00".to_string(),
        None if amount.abs() < 99.995 => format!("{amount:.2}"),
        None => grouped(amount, 0),
    }
}

/// Ten significant digits, trailing zeros dropped, never in powers of ten.
fn ten_digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.9e}").parse().unwrap_or(value);
    format!("{rounded}")
}

/// True if the value needs no more than two decimals.
fn is_short(value: f64) -> bool {
    ((value * 100.0).round() / 100.0 - value).abs() <= 1e-9 * value.abs()
}

/// A quantity as a scenario would write it, to ten significant digits; `parse_quantity` reads it
/// back. The value is in the base unit of `dimension`.
pub fn quantity_text(value: f64, dimension: Dimension) -> String {
    let (number, unit) = match dimension {
        Dimension::Duration => {
            let (days, hours, seconds) = (value / 1440.0, value / 60.0, value * 60.0);
            if days >= 2.0 && is_short(days) {
                (days, "d")
            } else if hours >= 2.0 && is_short(hours) {
                (hours, "h")
            } else if value > 0.0 && value < 1.0 && !is_short(value) {
                (seconds, "s")
            } else {
                (value, "min")
            }
        }
        Dimension::Share => (value * 100.0, "%"),
        Dimension::Rate if value < 1.0 && !is_short(value) && is_short(value * 60.0) => {
            (value * 60.0, "/h")
        }
        other => (value, other.usual_unit()),
    };
    let text = ten_digits(number);
    if unit.is_empty() {
        text
    } else {
        format!("{text} {unit}")
    }
}

/// An interval in words: `4.7 to 5.0`; `at least 4.7` where the upper end is not claimed, `at most 5.0` where the
/// lower one is not; empty where neither is. `words`: the lower end alone, before the other, the upper one.
pub fn ends([low, high]: [f64; 2], [alone, before, after]: [&str; 3]) -> String {
    match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("{before} to {after}"),
        (true, false) if high > 0.0 => format!("at least {alone}"),
        (false, true) if low < 0.0 => format!("at most {after}"),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::parse_quantity;
    use proptest::prelude::*;

    #[test]
    fn durations_follow_the_one_rule() {
        let rows = [
            (0.0, "0 s"),
            (0.75, "45 s"),
            (0.999, "1 min"),
            (6.5, "6.5 min"),
            (9.97, "10 min"),
            (52.0, "52 min"),
            (119.4, "119 min"),
            (119.6, "2 h"),
            (390.0, "6.5 h"),
            (2879.0, "2 d"),
            (4560.0, "3 d 4 h"),
            (5759.0, "4 d"),
            (-52.0, "-52 min"),
            (f64::INFINITY, "∞"),
            (f64::NAN, "–"),
        ];
        for (minutes, expected) in rows {
            assert_eq!(duration(minutes), expected, "{minutes} min");
        }
    }

    #[test]
    fn grouping_starts_at_five_digits() {
        assert_eq!(pouches(9999.0), "9999");
        assert_eq!(pouches(12345.0), "12\u{202f}345");
        assert_eq!(pouches(-1234567.0), "-1\u{202f}234\u{202f}567");
        assert_eq!(metres(304.8, Reader::Inch), "1000 ft");
        assert_eq!(small_length(76.2, Reader::Inch), "3 in");
        assert_eq!(speed(30.48, Reader::Inch), "100 ft/min");
        assert_eq!(percent(0.9637), "96.4 %");
        assert_eq!(money(12.5), "12.50");
        assert_eq!(money(125_000.4), "125\u{202f}000");
    }

    proptest! {
        /// Half a unit of the last printed digit: 0.5 s, 0.05 or 0.5 min, 0.05 h, 0.5 h.
        #[test]
        fn durations_read_back_within_the_printed_digits(minutes in 0.0f64..100_000.0) {
            let back = parse_quantity(&duration(minutes), Dimension::Duration).expect("readable");
            let half_digit = if minutes < 1.0 { 0.5 / 60.0 }
                else if minutes < 9.95 { 0.05 }
                else if minutes < 119.5 { 0.5 }
                else if minutes < 2877.0 { 3.0 }
                else { 30.0 };
            prop_assert!((back - minutes).abs() <= half_digit + 1e-9, "{} from {}", back, minutes);
        }

        #[test]
        fn quantity_text_reads_back_to_ten_digits(
            mantissa in 0.1f64..10.0, power in -4i32..7, which in 0usize..16,
        ) {
            let dimension = Dimension::ALL[which];
            let value = mantissa * 10f64.powi(power);
            let text = quantity_text(value, dimension);
            let back = parse_quantity(&text, dimension).expect("readable");
            prop_assert!((back - value).abs() <= 1e-8 * value, "{} gave {}", text, back);
        }

        #[test]
        fn people_text_reads_back(value in 0.0f64..1e7) {
            let length = parse_quantity(&metres(value, Reader::Metric), Dimension::Length);
            prop_assert!((length.expect("readable") - value).abs() <= 0.5 + 1e-9);
            let feet = parse_quantity(&metres(value, Reader::Inch), Dimension::Length);
            prop_assert!((feet.expect("readable") - value).abs() <= 0.1525);
            let count = parse_quantity(&pouches(value), Dimension::Count);
            prop_assert!((count.expect("readable") - value).abs() <= 0.5 + 1e-9);
            let share = parse_quantity(&percent(value / 1e7), Dimension::Share);
            prop_assert!((share.expect("readable") - value / 1e7).abs() <= 0.0005 + 1e-12);
        }
    }
}
