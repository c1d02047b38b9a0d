//! Money per something, and years: the forms of the `money` block.
//!
//! In: a text such as `150 /day`, `12.50 /1000`, `3.20 /kg`, `10 years`. Out: the number, or a complaint.

use crate::units::Dimension;

use super::form::{Complaint, quantity};

/// What money is counted per.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Per {
    Day,
    Year,
    Thousand,
}

impl Per {
    fn spellings(self) -> &'static [&'static str] {
        match self {
            Per::Day => &["day", "d"],
            Per::Year => &["year", "y", "yr", "a"],
            Per::Thousand => &["1000", "1,000", "thousand"],
        }
    }

    fn wanted(self) -> (&'static str, &'static str) {
        match self {
            Per::Day => ("money per day", "/day"),
            Per::Year => ("money per year", "/year"),
            Per::Thousand => ("money per 1,000 pouches", "/1000"),
        }
    }
}

/// Money per day, year or thousand.
pub(super) fn money_per(text: &str, per: Per) -> Result<f64, Complaint> {
    let (what, unit) = per.wanted();
    let expected = format!("{what} ({unit})");
    let trimmed = text.trim();
    let slashed = trimmed.replacen(" per ", " / ", 1);
    let Some((amount, found)) = slashed.split_once('/') else {
        let complaint = Complaint::new(format!("`{trimmed}` has no unit"), expected);
        return Err(match quantity(trimmed, Dimension::Money) {
            Ok(_) => complaint.help(format!(
                "write how much it is as {what}, in the form `250 {unit}`"
            )),
            Err(_) => Complaint {
                message: format!("`{trimmed}` is not {what}"),
                ..complaint
            },
        });
    };
    if !per
        .spellings()
        .contains(&found.trim().to_lowercase().as_str())
    {
        let message = format!("`/{}` is not the unit of {what}", found.trim());
        return Err(Complaint::new(message, expected));
    }
    quantity(amount, Dimension::Money).map_err(|complaint| Complaint {
        expected,
        ..complaint
    })
}

/// The price of a film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum FilmPrice {
    PerSquareMetre(f64),
    PerKilogram(f64),
}

/// The price of a film, per weight or per area.
pub(super) fn film_price(text: &str) -> Result<FilmPrice, Complaint> {
    if let Ok(price) = quantity(text, Dimension::MoneyPerSquareMetre) {
        return Ok(FilmPrice::PerSquareMetre(price));
    }
    quantity(text, Dimension::MoneyPerKilogram)
        .map(FilmPrice::PerKilogram)
        .map_err(|complaint| Complaint {
            expected: "money per kilogram (/kg) or per square metre (/m2)".to_string(),
            ..complaint
        })
}

/// A number of years.
pub(super) fn years(text: &str) -> Result<f64, Complaint> {
    let trimmed = text.trim();
    let end = trimmed
        .find(|c: char| c.is_ascii_alphabetic())
        .unwrap_or(trimmed.len());
    let (number, unit) = trimmed.split_at(end);
    match unit {
        "years" | "year" | "y" | "yr" | "a" => {
            quantity(number, Dimension::Count).map_err(|complaint| Complaint {
                expected: "a number of years (years)".to_string(),
                ..complaint
            })
        }
        _ => {
            let complaint = match unit {
                "" => Complaint::new(
                    format!("`{trimmed}` has no unit"),
                    "a number of years (years)",
                ),
                _ => Complaint::new(
                    format!("`{unit}` is not a unit of years"),
                    "a number of years (years)",
                ),
            };
            Err(match quantity(number, Dimension::Count) {
                Ok(_) if unit.is_empty() => complaint.help(format!("write `{trimmed} years`")),
                _ => complaint,
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_per_something_is_read() {
        assert_eq!(money_per("150 /day", Per::Day), Ok(150.0));
        assert_eq!(money_per("EUR 12.50 per 1000", Per::Thousand), Ok(12.5));
        assert_eq!(money_per("12.50 /1,000", Per::Thousand), Ok(12.5));
        assert_eq!(money_per("5400 EUR/year", Per::Year), Ok(5400.0));
        for (text, per) in [
            ("150", Per::Day),
            ("150 /h", Per::Day),
            ("-3 /day", Per::Day),
            ("much /day", Per::Day),
            ("", Per::Year),
            ("/1000", Per::Thousand),
        ] {
            assert!(money_per(text, per).is_err(), "{text}");
        }
        let help = money_per("150", Per::Day).unwrap_err().help;
        assert_eq!(
            help.as_deref(),
            Some("write how much it is as money per day, in the form `250 /day`")
        );
    }

    #[test]
    fn films_are_paid_by_weight_or_area() {
        assert_eq!(film_price("3.20 /kg"), Ok(FilmPrice::PerKilogram(3.2)));
        assert_eq!(film_price("0.11 /m2"), Ok(FilmPrice::PerSquareMetre(0.11)));
        assert!(film_price("3.20").is_err() && film_price("3.20 /m").is_err());
    }

    #[test]
    fn years_are_years() {
        assert_eq!(years("10 years"), Ok(10.0));
        assert_eq!(years("7.5 y"), Ok(7.5));
        assert!(years("10").is_err() && years("10 weeks").is_err() && years("ten years").is_err());
    }
}
