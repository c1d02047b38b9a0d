//! Text to quantity.
//!
//! In: text and the wanted [`Dimension`]. Out: the value in base units, or an error that says
//! what was found, what is expected and what to write. Durations may be compound, the larger unit
//! first (`3 d 4 h`).

use super::dimension::Dimension;
use super::error::{Problem, QuantityError, error, example, number_error, unit_error};
use super::number::leading_number;

/// Lower case, `per` as a slash, one way of writing blanks around slashes.
fn tidy_unit(unit: &str) -> String {
    let lower = unit.trim().to_lowercase();
    if lower == "per cent" {
        return lower;
    }
    let joined = match lower.strip_prefix("per ") {
        Some(rest) => format!("/{rest}"),
        None => lower.replace(" per ", "/"),
    };
    let parts: Vec<&str> = joined.split('/').map(str::trim).collect();
    parts.join("/")
}

/// Takes a currency sign, or a code of three letters, off the front of `text`.
fn strip_currency(text: &str) -> &str {
    if let Some(rest) = text.strip_prefix(['$', '€', '£', '¥']) {
        return rest.trim_start();
    }
    let letters = text.chars().take_while(|c| c.is_ascii_alphabetic()).count();
    let code = text.get(..3).filter(|_| letters == 3);
    match code.map(str::to_ascii_lowercase).as_deref() {
        None | Some("nan" | "inf" | "per" | "min" | "day") => text,
        Some(_) => text.get(3..).unwrap_or("").trim_start(),
    }
}

/// Reads a quantity written with its unit into the base unit of `dimension`.
///
/// ```
/// use pouchcast::units::{Dimension, parse_quantity};
/// assert_eq!(parse_quantity("2 days", Dimension::Duration), Ok(2880.0));
/// assert!(parse_quantity("30 mm", Dimension::Speed).is_err());
/// ```
///
/// # Errors
/// See [`Problem`]; negative values are refused except for temperatures.
pub fn parse_quantity(text: &str, dimension: Dimension) -> Result<f64, QuantityError> {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        let hint = Some(format!("write for example `{}`", example("30", dimension)));
        return Err(error(Problem::Empty, trimmed, dimension, hint));
    }
    let front = if dimension.is_money() {
        strip_currency(trimmed)
    } else {
        trimmed
    };
    let (number, rest) = leading_number(front).map_err(|p| number_error(p, trimmed, dimension))?;
    let value = if dimension == Dimension::Duration {
        compound_duration(number, rest, trimmed)?
    } else {
        single(number, rest, trimmed, dimension)?
    };
    if !value.is_finite() {
        return Err(error(Problem::NotFinite, trimmed, dimension, None));
    }
    if dimension == Dimension::Temperature {
        // Absolute zero, by the definition of the Celsius scale.
        if value < -273.15 {
            return Err(error(Problem::BelowAbsoluteZero, trimmed, dimension, None));
        }
    } else if front.starts_with(['-', '−']) {
        let hint = Some(format!("{} cannot be less than nothing", dimension.name()));
        return Err(error(Problem::Negative, trimmed, dimension, hint));
    }
    Ok(value)
}

/// One number with one unit.
fn single(number: f64, rest: &str, text: &str, dimension: Dimension) -> Result<f64, QuantityError> {
    let rest = rest.trim();
    let unit = tidy_unit(if dimension.is_money() {
        strip_currency(rest)
    } else {
        rest
    });
    match dimension.factor(&unit) {
        Some(_) if matches!(unit.as_str(), "f" | "°f" | "degf") => Ok((number - 32.0) / 1.8),
        Some(size) => Ok(scaled(number, size)),
        None => Err(unit_error(number, &unit, text, dimension)),
    }
}

/// Number times unit. A unit that is a round fraction of the base divides, so that 30 s is
/// exactly half a minute and 4 % exactly 0.04.
fn scaled(number: f64, size: f64) -> f64 {
    let inverse = (1.0 / size).round();
    if size < 1.0 && (size * inverse - 1.0).abs() < 1e-12 {
        number / inverse
    } else {
        number * size
    }
}

/// `3 d 4 h`: pairs of number and unit, each unit smaller than the one before.
fn compound_duration(number: f64, rest: &str, text: &str) -> Result<f64, QuantityError> {
    let dimension = Dimension::Duration;
    let (mut number, mut rest) = (number, rest);
    let (mut total, mut last_size) = (0.0, f64::INFINITY);
    loop {
        let unit_text = rest.trim_start();
        let end = unit_text
            .find(|c: char| c.is_ascii_digit())
            .unwrap_or(unit_text.len());
        let (unit, after) = unit_text.split_at(end);
        let unit = tidy_unit(unit);
        let Some(size) = dimension.factor(&unit).filter(|size| *size < last_size) else {
            let whole = tidy_unit(unit_text);
            return Err(unit_error(number, &whole, text, dimension));
        };
        total += scaled(number, size);
        last_size = size;
        if after.is_empty() {
            return Ok(total);
        }
        (number, rest) = leading_number(after).map_err(|p| number_error(p, text, dimension))?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str, dimension: Dimension) -> f64 {
        parse_quantity(text, dimension).unwrap_or_else(|e| panic!("{text}: {e}"))
    }

    fn refused(text: &str, dimension: Dimension) -> QuantityError {
        parse_quantity(text, dimension).expect_err(text)
    }

    /// Conversions by definition: 1 in = 25.4 mm, 1 ft = 0.3048 m (international yard and pound
    /// agreement, 1959), 1 mil = 0.001 in, 212 F = 100 C.
    #[test]
    fn every_dimension_is_read_into_its_base_unit() {
        use Dimension::*;
        let rows = [
            ("90 s", Duration, 1.5),
            ("25 min", Duration, 25.0),
            ("1.5 hours", Duration, 90.0),
            ("2 days", Duration, 2880.0),
            ("3 weeks", Duration, 30240.0),
            ("3 d 4 h", Duration, 4560.0),
            ("2h30min", Duration, 150.0),
            ("1200 m", Length, 1200.0),
            ("12 000 m", Length, 12000.0),
            ("2.5 km", Length, 2500.0),
            ("1000 ft", Length, 304.8),
            ("100 yd", Length, 91.44),
            ("600 mm", SmallLength, 600.0),
            ("6 in", SmallLength, 152.4),
            ("3\"", SmallLength, 76.2),
            ("12 µm", Caliper, 12.0),
            ("2 mil", Caliper, 50.8),
            ("30 m/min", Speed, 30.0),
            ("100 ft/min", Speed, 30.48),
            ("2 m/s", Speed, 120.0),
            ("30 m per min", Speed, 30.0),
            ("5 m/min/s", Acceleration, 5.0),
            ("0.1 m/s2", Acceleration, 6.0),
            ("60 /min", Rate, 60.0),
            ("6 per hour", Rate, 0.1),
            ("4 %", Share, 0.04),
            ("4%", Share, 0.04),
            ("80 gsm", MassPerArea, 80.0),
            ("0.92 g/cm3", Density, 0.92),
            ("920 kg/m3", Density, 0.92),
            ("-10 °C", Temperature, -10.0),
            ("212 F", Temperature, 100.0),
            ("1200", Money, 1200.0),
            ("EUR 1200", Money, 1200.0),
            ("1200 eur", Money, 1200.0),
            ("$12.50", Money, 12.5),
            ("45 EUR/h", MoneyPerHour, 45.0),
            ("45 /h", MoneyPerHour, 45.0),
            ("€45 per hour", MoneyPerHour, 45.0),
            ("0.8 /m2", MoneyPerSquareMetre, 0.8),
            ("3 EUR/kg", MoneyPerKilogram, 3.0),
            ("12", Count, 12.0),
        ];
        for (text, dimension, expected) in rows {
            let value = read(text, dimension);
            assert!(
                (value - expected).abs() <= 1e-12 * expected.abs(),
                "{text} gave {value}"
            );
        }
    }

    #[test]
    fn errors_say_what_was_found_expected_and_meant() {
        let missing = refused("30", Dimension::Speed);
        assert_eq!(missing.problem, Problem::MissingUnit);
        assert_eq!(
            missing.to_string(),
            "`30` has no unit; expected a speed (m/min, ft/min or m/s); write `30 m/min`"
        );
        let wrong = refused("30 mm", Dimension::Speed);
        assert_eq!(wrong.problem, Problem::WrongDimension);
        assert!(
            wrong
                .to_string()
                .ends_with("`30 mm` is a width or diameter, a speed is needed")
        );
        let typo = refused("30 huors", Dimension::Duration);
        assert_eq!(typo.hint.as_deref(), Some("did you mean `30 hours`?"));
        let metres = refused("30 m", Dimension::Duration);
        assert!(metres.to_string().contains("for minutes write `30 min`"));
        let share = refused("0.07", Dimension::Share);
        assert_eq!(
            share.hint.as_deref(),
            Some("write `7 %` for a share of 0.07")
        );
        let comma = refused("1,200 m", Dimension::Length);
        assert!(
            comma.to_string().contains("write `1200` or `1.200`"),
            "{comma}"
        );
        let decimal = refused("2,5 h", Dimension::Duration);
        assert!(
            decimal
                .to_string()
                .ends_with("write a decimal point: `2.5`")
        );
    }

    #[test]
    fn nonsense_is_refused_with_its_reason() {
        assert_eq!(refused("", Dimension::Length).problem, Problem::Empty);
        assert_eq!(
            refused("soon", Dimension::Duration).problem,
            Problem::NotANumber
        );
        assert_eq!(
            refused("-3 min", Dimension::Duration).problem,
            Problem::Negative
        );
        assert_eq!(
            refused("-0.5 %", Dimension::Share).problem,
            Problem::Negative
        );
        assert_eq!(
            refused("nan min", Dimension::Duration).problem,
            Problem::NotFinite
        );
        assert_eq!(refused("inf", Dimension::Money).problem, Problem::NotFinite);
        assert_eq!(
            refused("1e308 km", Dimension::Length).problem,
            Problem::NotFinite
        );
        assert_eq!(
            refused("-300 C", Dimension::Temperature).problem,
            Problem::BelowAbsoluteZero
        );
        assert_eq!(
            refused("12 pieces", Dimension::Count).hint.as_deref(),
            Some("write `12` alone")
        );
        // The smaller unit may not come first, nor a unit twice.
        assert!(parse_quantity("4 h 3 d", Dimension::Duration).is_err());
        assert!(parse_quantity("4 h 3 h", Dimension::Duration).is_err());
        assert!(parse_quantity("4 h 3", Dimension::Duration).is_err());
    }

    proptest! {
        #[test]
        fn no_text_panics_and_what_is_read_is_finite(text in ".{0,40}", which in 0usize..16) {
            if let Ok(value) = parse_quantity(&text, Dimension::ALL[which]) {
                prop_assert!(value.is_finite());
            }
        }

        #[test]
        fn near_misses_do_not_panic(text in "[-+−0-9.,eE µ°\"a-z/%_ ]{0,24}", which in 0usize..16) {
            if let Ok(value) = parse_quantity(&text, Dimension::ALL[which]) {
                prop_assert!(value.is_finite());
            }
        }
    }
}
