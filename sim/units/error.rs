//! What goes wrong when a quantity is read, in words a reader can act on.
//!
//! In: the text, the wanted dimension and what was amiss. Out: [`QuantityError`].

use super::dimension::Dimension;
use super::number::NumberProblem;
use std::fmt;

/// What kind of mistake a [`QuantityError`] reports.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Problem {
    /// Nothing is written.
    Empty,
    /// The text does not begin with a number.
    NotANumber,
    /// A comma stands inside the number.
    CommaInNumber,
    /// A number without its unit.
    MissingUnit,
    /// The unit is not known at all.
    UnknownUnit,
    /// The unit is known but belongs to another kind of quantity.
    WrongDimension,
    /// Less than nothing.
    Negative,
    /// Not a number, infinite, or too large.
    NotFinite,
    /// Below absolute zero.
    BelowAbsoluteZero,
}

/// Why a quantity could not be read. Its text reads as one sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// The kind of mistake.
    pub problem: Problem,
    /// What was written.
    pub found: String,
    /// What is wanted, with its units.
    pub expected: String,
    /// What to write instead, where that can be told.
    pub hint: Option<String>,
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let found = &self.found;
        match self.problem {
            Problem::Empty => write!(f, "nothing is written")?,
            Problem::NotANumber => write!(f, "`{found}` does not begin with a number")?,
            Problem::CommaInNumber => write!(f, "`{found}` has a comma inside the number")?,
            Problem::MissingUnit => write!(f, "`{found}` has no unit")?,
            Problem::UnknownUnit => write!(f, "`{found}` has an unknown unit")?,
            Problem::WrongDimension => write!(f, "`{found}` has the wrong kind of unit")?,
            Problem::Negative => write!(f, "`{found}` is negative")?,
            Problem::NotFinite => write!(f, "`{found}` is not a finite number")?,
            Problem::BelowAbsoluteZero => write!(f, "`{found}` is below absolute zero")?,
        }
        write!(f, "; expected {}", self.expected)?;
        if let Some(hint) = &self.hint {
            write!(f, "; {hint}")?;
        }
        Ok(())
    }
}

impl std::error::Error for QuantityError {}

/// Builds the error for `text` where `dimension` was wanted.
pub(super) fn error(
    problem: Problem,
    text: &str,
    dimension: Dimension,
    hint: Option<String>,
) -> QuantityError {
    let expected = match dimension {
        Dimension::Count => "a plain number without a unit".to_string(),
        Dimension::Money => "an amount of money (a number, with a currency code if wanted)".into(),
        other => format!("{} ({})", other.name(), other.units_text()),
    };
    // A whole paragraph pasted by mistake need not be repeated in full.
    let mut found: String = text.chars().take(60).collect();
    if found.len() < text.len() {
        found.push('…');
    }
    QuantityError {
        problem,
        found,
        expected,
        hint,
    }
}

/// A number and the usual unit of the dimension, as an example to copy.
pub(super) fn example(number: &str, dimension: Dimension) -> String {
    let unit = dimension.usual_unit();
    if unit.is_empty() {
        number.to_string()
    } else {
        format!("{number} {unit}")
    }
}

/// The error for a number that could not be read.
pub(super) fn number_error(
    problem: NumberProblem,
    text: &str,
    dimension: Dimension,
) -> QuantityError {
    match problem {
        NumberProblem::None => {
            let hint = format!(
                "write the number first, for example `{}`",
                example("30", dimension)
            );
            error(Problem::NotANumber, text, dimension, Some(hint))
        }
        NumberProblem::NotFinite => error(Problem::NotFinite, text, dimension, None),
        NumberProblem::Comma {
            thousands: Some(thousands),
            decimal,
        } => {
            let hint = match dimension {
                // Nobody writes money or pieces to the thousandth.
                Dimension::Money | Dimension::Count => {
                    format!("leave out the comma of the thousands: `{thousands}`")
                }
                _ => format!(
                    "a comma can be read two ways: write `{thousands}` or `{decimal}`, without a comma"
                ),
            };
            error(Problem::CommaInNumber, text, dimension, Some(hint))
        }
        NumberProblem::Comma {
            thousands: None,
            decimal,
        } => {
            let hint = format!("write a decimal point: `{decimal}`");
            error(Problem::CommaInNumber, text, dimension, Some(hint))
        }
    }
}

/// The error for a unit that `dimension` does not have.
pub(super) fn unit_error(
    number: f64,
    unit: &str,
    text: &str,
    dimension: Dimension,
) -> QuantityError {
    let number_text = format!("{number}");
    if unit.is_empty() {
        let hint = match dimension {
            Dimension::Share if number.abs() <= 1.0 => {
                // Rounded so that 0.07 is offered as 7 %, not 7.000000000000001 %.
                let percent = (number * 1e8).round() / 1e6;
                format!("write `{percent} %` for a share of {number_text}")
            }
            // Any of them may be meant; a guess would be a wrong answer.
            Dimension::Duration => format!(
                "add the unit that is meant: `{number_text} min`, `{number_text} h`, `{number_text} d` or `{number_text} wk`"
            ),
            _ => format!("write `{}`", example(&number_text, dimension)),
        };
        return error(Problem::MissingUnit, text, dimension, Some(hint));
    }
    let other = Dimension::ALL
        .iter()
        .copied()
        .find(|d| *d != dimension && !d.is_money() && d.factor(unit).is_some());
    if let Some(other) = other {
        let hint = if dimension == Dimension::Count && other == Dimension::Share {
            // Rounded so that 7 % is offered as 0.07.
            let share = (number * 1e8).round() / 1e10;
            format!("a share is a plain number here: write `{share}`")
        } else if dimension == Dimension::Count {
            format!("write `{number_text}` alone")
        } else if dimension == Dimension::Caliper && other == Dimension::SmallLength {
            format!("films are measured in micrometres: is `{number_text} um` meant?")
        } else if dimension == Dimension::Duration && unit == "m" {
            format!("`m` is metres; for minutes write `{number_text} min`")
        } else {
            format!(
                "`{text}` is {}, {} is needed",
                other.name(),
                dimension.name()
            )
        };
        return error(Problem::WrongDimension, text, dimension, Some(hint));
    }
    let hint = nearest_unit(unit, dimension)
        .map(|near| format!("did you mean `{}`?", join(&number_text, near)))
        .or_else(|| {
            (dimension == Dimension::Count).then(|| format!("write `{number_text}` alone"))
        });
    error(Problem::UnknownUnit, text, dimension, hint)
}

/// Number and unit with the blank that usually parts them.
fn join(number: &str, unit: &str) -> String {
    if unit.is_empty() {
        number.to_string()
    } else {
        format!("{number} {unit}")
    }
}

/// The spelling nearest to `unit`, if one is near enough to be meant.
fn nearest_unit(unit: &str, dimension: Dimension) -> Option<&'static str> {
    let short: String = unit.chars().take(20).collect();
    dimension
        .units()
        .iter()
        .filter(|(name, _)| !name.is_empty())
        .map(|(name, _)| (strsim::osa_distance(&short, name), *name))
        .filter(|(distance, name)| *distance <= 2 && *distance < name.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}
