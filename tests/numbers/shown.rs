//! Numbers as they are shown, parsed by rules of their own.

use super::*;

/// Phrases of the language that have digits in them.
pub const PHRASES: [&str; 2] = ["9 of 10", "19 of 20"];

/// A number as it is shown: its value in the unit of the file, and half a unit of its last digit.
#[derive(Debug, Clone, Copy)]
pub struct Shown {
    pub value: f64,
    pub half: f64,
}

/// Numbers and their units, one after the other: `7 d 15 h to 7 d 19 h` has two, each in minutes.
pub fn numbers(text: &str, unit: &str) -> Vec<Shown> {
    let text = text.replace(['\u{202f}'], "").replace('\u{a0}', " ");
    let is_signed = text.trim_start().starts_with(['+', '-']);
    let mut found: Vec<(f64, f64, String)> = Vec::new();
    let mut words = text.split(' ').peekable();
    while let Some(word) = words.next() {
        let word = word.trim_matches(|c: char| "(),;*".contains(c));
        let Ok(value) = word.trim_start_matches('+').parse::<f64>() else {
            continue;
        };
        let places = word.split_once('.').map_or(0, |(_, places)| places.len());
        let after = words
            .peek()
            .map_or("", |next| next.trim_matches(|c: char| "(),;*".contains(c)));
        found.push((value, 0.5 * 0.1f64.powi(places as i32), after.to_owned()));
    }
    // Days and hours are one number.
    let mut joined: Vec<(f64, f64, String)> = Vec::new();
    for (value, half, after) in found {
        match joined.last_mut() {
            Some(last) if last.2 == "d" && after == "h" => {
                let sign = if last.0.is_sign_negative() { -1.0 } else { 1.0 };
                *last = (last.0 * 24.0 + sign * value, half, "h".to_owned());
            }
            _ => joined.push((value, half, after)),
        }
    }
    // A unit that is said once, at the end of a range.
    let last = joined.last().map_or(String::new(), |last| last.2.clone());
    joined
        .into_iter()
        .map(|(value, half, own)| {
            let shown = if scale(&own, unit).is_some() {
                own
            } else {
                last.clone()
            };
            let scale = scale(&shown, unit).unwrap_or(1.0);
            Shown {
                value: value * scale,
                // Whole days without hours were rounded to the hour, differences in days to a tenth.
                half: match shown.as_str() {
                    "d" if half == 0.5 && is_signed => 72.0,
                    "d" if half == 0.5 => 30.0,
                    _ => half * scale,
                },
            }
        })
        .collect()
}

/// What one of a shown unit is in the unit of the file.
pub fn scale(shown: &str, unit: &str) -> Option<f64> {
    Some(match (shown, unit) {
        ("s", "min") => 1.0 / 60.0,
        ("min", "min") => 1.0,
        ("h", "min") => 60.0,
        ("d", "min") => 1440.0,
        ("h", _) => 1.0,
        ("%" | "pt", _) => 0.01,
        ("ft", _) => 0.3048,
        ("ft²", _) => 0.3048 * 0.3048,
        ("lb", _) => 0.453_592_37,
        ("m" | "m²" | "kg" | "years", _) => 1.0,
        _ => return None,
    })
}

/// A moment of a page (`Mon 8 Feb 20:31`) in the file (`2027-02-08T20:30:12`): rounded up to the minute; the end of
/// a day may be 24:00.
pub fn same_moment(shown: &str, file: &str) -> bool {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let words: Vec<&str> = shown.split_whitespace().collect();
    let [_, day, month, time] = words.as_slice() else {
        return false;
    };
    let month = MONTHS.iter().position(|m| m == month).map_or(0, |m| m + 1);
    let day: u32 = day.parse().unwrap_or(0);
    let moment: DateTime = file.parse().unwrap();
    let up = moment.checked_add(59.seconds()).unwrap();
    let (of, clock) = (up.date(), up.strftime("%H:%M").to_string());
    let (of, clock) = match *time {
        "24:00" if clock == "00:00" => (of.yesterday().unwrap(), "24:00".to_owned()),
        _ => (of, clock),
    };
    (of.month() as usize, of.day() as u32) == (month, day) && clock == *time
}
