//! The forms of text in a scenario: how each is read.
//!
//! In: a text and the form wanted, by the name the JSON Schema gives it. Out: its value, or a
//! [`Complaint`] that says what was found, what is expected and what to write.

use crate::random::{Dist, parse_dist};
use crate::units::{Dimension, parse_quantity};

use super::amount::{self, Per};
use super::problem::{Place, Problem};
use super::time;

/// Why a text does not have the form wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Complaint {
    /// What was found, as a sentence.
    pub message: String,
    /// What is expected.
    pub expected: String,
    /// What to write instead.
    pub help: Option<String>,
}

impl Complaint {
    pub(super) fn new(message: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            expected: expected.into(),
            help: None,
        }
    }

    pub(super) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The complaint as an error at a place.
    pub(super) fn at(self, place: Place) -> Problem {
        Problem {
            help: self.help,
            ..Problem::error(place, self.message).expected(self.expected)
        }
    }
}

/// A form of text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// One quantity.
    Quantity(Dimension),
    /// A quantity that may vary.
    Random(Dimension),
    Date,
    Dates,
    Weekly,
    OnDate,
    Lot,
    Promise,
    /// Money per day, year or thousand.
    MoneyPer(Per),
    FilmPrice,
    Years,
}

/// Every form by its name in the JSON Schema.
const FORMS: &[(&str, Form)] = &[
    ("duration", Form::Quantity(Dimension::Duration)),
    ("length of web", Form::Quantity(Dimension::Length)),
    ("size", Form::Quantity(Dimension::SmallLength)),
    ("film thickness", Form::Quantity(Dimension::Caliper)),
    ("speed", Form::Quantity(Dimension::Speed)),
    ("acceleration", Form::Quantity(Dimension::Acceleration)),
    ("rate", Form::Quantity(Dimension::Rate)),
    ("share", Form::Quantity(Dimension::Share)),
    ("share or distribution", Form::Random(Dimension::Share)),
    (
        "money per area",
        Form::Quantity(Dimension::MoneyPerSquareMetre),
    ),
    ("money", Form::Quantity(Dimension::Money)),
    ("money per hour", Form::Quantity(Dimension::MoneyPerHour)),
    (
        "money per weight",
        Form::Quantity(Dimension::MoneyPerKilogram),
    ),
    ("money per day", Form::MoneyPer(Per::Day)),
    ("money per year", Form::MoneyPer(Per::Year)),
    ("money per 1,000 pouches", Form::MoneyPer(Per::Thousand)),
    ("price of a film", Form::FilmPrice),
    ("number of years", Form::Years),
    ("mass per area", Form::Quantity(Dimension::MassPerArea)),
    ("density", Form::Quantity(Dimension::Density)),
    ("mass", Form::Quantity(Dimension::Mass)),
    ("number", Form::Quantity(Dimension::Count)),
    (
        "duration or distribution",
        Form::Random(Dimension::Duration),
    ),
    ("length or distribution", Form::Random(Dimension::Length)),
    ("number or distribution", Form::Random(Dimension::Count)),
    ("date", Form::Date),
    ("date or dates", Form::Dates),
    ("weekly hours", Form::Weekly),
    ("hours on a date", Form::OnDate),
    ("lot", Form::Lot),
    ("promise", Form::Promise),
];

impl Form {
    /// The form of that name.
    pub(super) fn named(name: &str) -> Option<Form> {
        FORMS
            .iter()
            .find(|(known, _)| *known == name)
            .map(|(_, form)| *form)
    }

    /// Whether `text` has the form.
    pub(super) fn check(self, text: &str) -> Result<(), Complaint> {
        match self {
            Form::Quantity(dimension) => quantity(text, dimension).map(drop),
            Form::Random(dimension) => random(text, dimension).map(drop),
            Form::Date => time::date(text).map(drop),
            Form::Dates => time::dates(text).map(drop),
            Form::Weekly => time::weekly(text).map(drop),
            Form::OnDate => time::on_date(text).map(drop),
            Form::Lot => lot(text).map(drop),
            Form::Promise => promise(text).map(drop),
            Form::MoneyPer(per) => amount::money_per(text, per).map(drop),
            Form::FilmPrice => amount::film_price(text).map(drop),
            Form::Years => amount::years(text).map(drop),
        }
    }
}

/// A quantity in the base unit of its dimension.
pub(super) fn quantity(text: &str, dimension: Dimension) -> Result<f64, Complaint> {
    parse_quantity(text, dimension).map_err(|error| Complaint {
        // Its text goes on with what is expected, which stands apart here.
        message: error
            .to_string()
            .split("; expected ")
            .next()
            .unwrap_or_default()
            .to_string(),
        expected: error.expected,
        help: error.hint,
    })
}

/// A quantity that may vary, in the base unit of its dimension.
pub(super) fn random(text: &str, dimension: Dimension) -> Result<Dist, Complaint> {
    parse_dist(text, dimension).map_err(|error| Complaint {
        // A text that is one plain value needs no word for which value is meant.
        message: error
            .problem
            .strip_prefix("value: ")
            .unwrap_or(&error.problem)
            .to_string(),
        expected: error.expected,
        help: error.hint,
    })
}

/// How much moves on together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum LotText {
    Roll,
    Order,
    Metres(f64),
    Pouches(f64),
}

pub(super) fn lot(text: &str) -> Result<LotText, Complaint> {
    const EXPECTED: &str =
        "`roll`, `order`, a length such as `500 m`, or a number such as `5000 pouches`";
    let trimmed = text.trim();
    if let Some(number) = ["pouches", "pouch", "pieces"]
        .iter()
        .find_map(|word| trimmed.strip_suffix(word))
    {
        return quantity(number.trim(), Dimension::Count).map(LotText::Pouches);
    }
    match trimmed {
        "roll" => Ok(LotText::Roll),
        "order" => Ok(LotText::Order),
        other if other.starts_with(|c: char| c.is_ascii_digit()) => {
            quantity(other, Dimension::Length)
                .map(LotText::Metres)
                .map_err(|_| Complaint::new(format!("`{other}` is not a size of lot"), EXPECTED))
        }
        other => Err(Complaint::new(
            format!("`{other}` is not a size of lot"),
            EXPECTED,
        )),
    }
}

/// What a customer is told.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum PromiseText {
    WorkingDays(u32, String),
    After(Dist),
    None,
}

pub(super) fn promise(text: &str) -> Result<PromiseText, Complaint> {
    const EXPECTED: &str = "`5 working days of CALENDAR`, a duration such as `24 h`, or `none`";
    let trimmed = text.trim();
    if trimmed == "none" {
        return Ok(PromiseText::None);
    }
    if trimmed.contains("working day") {
        let words: Vec<&str> = trimmed.split_whitespace().collect();
        return match words.as_slice() {
            [number, "working", "day" | "days", "of", calendar @ ..] if !calendar.is_empty() => {
                match number.parse::<u32>() {
                    Ok(days) if (1..=1000).contains(&days) => {
                        Ok(PromiseText::WorkingDays(days, calendar.join(" ")))
                    }
                    _ => Err(Complaint::new(
                        format!("`{number}` is not a number of working days"),
                        "a whole number from 1 to 1000",
                    )),
                }
            }
            _ => Err(Complaint::new(
                format!("`{trimmed}` does not say whose working days"),
                EXPECTED,
            )
            .help("name the calendar that counts: `5 working days of day`")),
        };
    }
    random(trimmed, Dimension::Duration)
        .map(PromiseText::After)
        .map_err(|complaint| Complaint {
            expected: EXPECTED.to_string(),
            ..complaint
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lots_and_promises_are_read() {
        assert_eq!(lot("roll"), Ok(LotText::Roll));
        assert_eq!(lot("500 m"), Ok(LotText::Metres(500.0)));
        assert_eq!(lot("5000 pouches"), Ok(LotText::Pouches(5000.0)));
        assert!(lot("reel").is_err() && lot("500 kg").is_err());
        assert_eq!(promise("none"), Ok(PromiseText::None));
        assert_eq!(
            promise("5 working days of day"),
            Ok(PromiseText::WorkingDays(5, "day".into()))
        );
        assert!(promise("5 working days").is_err() && promise("0 working days of day").is_err());
        assert!(promise("soon").is_err());
    }
}
