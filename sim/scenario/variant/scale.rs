//! `x 1.2`: a value multiplied.
//!
//! In: a value as it is written, its form in the schema and a factor. Out: the value written anew. A
//! text is multiplied number by number, shares of spread left alone, and then read back: what does not
//! come out as the factor says (a count of trials, say) is refused rather than guessed.

use serde_json::{Number, Value};

use crate::random::Dist;
use crate::units::Dimension;

use super::super::form::{self, Complaint, Form};
use super::path::Shape;

/// Forms of times that may vary: what `x` multiplies on a whole block.
const TIMES: &str = "duration or distribution";

/// Words whose numbers say how something spreads, not how much it is.
const SPREADS: [&str; 6] = ["cv", "sigma", "shape", "stages", "alpha", "beta"];

/// The factor of a text such as `x 1.2`.
pub(super) fn factor(text: &str) -> Option<Result<f64, Complaint>> {
    let number = text.trim().strip_prefix(['x', '×'])?;
    if !number.starts_with(' ') {
        return None;
    }
    Some(match number.trim().parse::<f64>() {
        Ok(factor) if factor > 0.0 && factor <= 1000.0 => Ok(factor),
        _ => Err(Complaint::new(
            format!("`{}` is not a number to multiply by", number.trim()),
            "a number above 0, at most 1000, such as `x 1.2`",
        )),
    })
}

/// `value` times `factor`.
pub(super) fn scaled(value: &Value, shape: Shape<'_>, factor: f64) -> Result<Value, Complaint> {
    match value {
        Value::Object(_) => {
            let mut block = value.clone();
            match times(&mut block, shape, factor)? {
                0 => Err(Complaint::new(
                    "there is no time that may vary in this block",
                    "a block of times, or the path to a single value",
                )),
                _ => Ok(block),
            }
        }
        Value::Number(number) => {
            let old = number.as_f64().unwrap_or(f64::NAN);
            let new = old * factor;
            let whole = (number.is_u64() || number.is_i64()) && new.fract() == 0.0;
            if whole && new.abs() < 9e15 {
                return Ok(Value::from(new as i64));
            }
            Number::from_f64(tidy(new))
                .map(Value::Number)
                .ok_or_else(|| not_a_number(value))
        }
        Value::String(text) => {
            let form = shape.form().and_then(Form::named);
            match form {
                Some(form @ (Form::Quantity(dimension) | Form::Random(dimension))) => {
                    scaled_text(text, form, dimension, factor).map(Value::from)
                }
                _ => Err(not_a_number(value)),
            }
        }
        _ => Err(not_a_number(value)),
    }
}

fn not_a_number(value: &Value) -> Complaint {
    Complaint::new(
        format!("{} cannot be multiplied", super::quoted(value)),
        "a path to a number or a quantity",
    )
}

/// Multiplies every time that may vary in a block; tells how many there were.
fn times(value: &mut Value, shape: Shape<'_>, factor: f64) -> Result<usize, Complaint> {
    let Value::Object(block) = value else {
        return Ok(0);
    };
    let whole = Value::Object(block.clone());
    let mut count = 0;
    for (key, entry) in block.iter_mut() {
        let step = super::super::problem::Step::Key(key.clone());
        let below = shape.below(&step, Some(&whole));
        if entry.is_object() {
            count += times(entry, below, factor)?;
        } else if below.form() == Some(TIMES) {
            *entry = scaled(entry, below, factor)?;
            count += 1;
        }
    }
    Ok(count)
}

fn scaled_text(
    text: &str,
    form: Form,
    dimension: Dimension,
    factor: f64,
) -> Result<String, Complaint> {
    let new = match form {
        Form::Quantity(_) => every_number(text, factor),
        _ => text
            .split(',')
            .map(|part| scaled_part(part, factor))
            .collect::<Vec<_>>()
            .join(","),
    };
    let read = |text: &str| match form {
        Form::Quantity(_) => form::quantity(text, dimension).map(Dist::Constant),
        _ => form::random(text, dimension),
    };
    let (old, made) = (read(text)?, read(&new)?);
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs().max(1e-12);
    if near(made.mean(), factor * old.mean())
        && near(made.variance(), factor * factor * old.variance())
    {
        Ok(new)
    } else {
        Err(Complaint::new(
            format!("`{text}` cannot be multiplied as it is written"),
            "a quantity, or a distribution that keeps its shape when it is multiplied",
        )
        .help("write the new value out instead"))
    }
}

/// One part of a distribution: the numbers that say how much.
fn scaled_part(part: &str, factor: f64) -> String {
    let trimmed = part.trim_start();
    let word: String = trimmed
        .chars()
        .take_while(|c| c.is_alphabetic())
        .collect::<String>()
        .to_lowercase();
    if SPREADS.contains(&word.as_str()) {
        return part.to_string();
    }
    // `worst in 50 80 min` names a share before its value, `3 min x 5` a count after it.
    if let Some(rest) = trimmed.strip_prefix("worst in ") {
        let (share, value) = rest.split_once(' ').unwrap_or((rest, ""));
        let lead = &part[..part.len() - trimmed.len()];
        return format!("{lead}worst in {share} {}", every_number(value, factor));
    }
    match part.split_once(" x ") {
        Some((value, count)) => format!("{} x {count}", every_number(value, factor)),
        None => every_number(part, factor),
    }
}

/// Every number of a text multiplied; numbers that belong to a word (`m2`) are left alone.
fn every_number(text: &str, factor: f64) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let (before, from) = rest.split_at(start);
        let end = from
            .find(|c: char| !c.is_ascii_digit() && c != '.')
            .unwrap_or(from.len());
        let (number, after) = from.split_at(end);
        out.push_str(before);
        let in_word = out.chars().last().is_some_and(char::is_alphabetic);
        match number.parse::<f64>() {
            Ok(value) if !in_word => out.push_str(&tidy(value * factor).to_string()),
            _ => out.push_str(number),
        }
        rest = after;
    }
    out + rest
}

/// Without the last digits that binary fractions leave behind.
fn tidy(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times(text: &str, dimension: Dimension, factor: f64) -> Result<String, Complaint> {
        scaled_text(text, Form::Random(dimension), dimension, factor)
    }

    #[test]
    fn amounts_are_multiplied_and_spreads_are_not() {
        let minutes = |text| times(text, Dimension::Duration, 0.5).unwrap();
        assert_eq!(minutes("30 min"), "15 min");
        assert_eq!(
            minutes("low 4 min, typical 6 min, high 11 min"),
            "low 2 min, typical 3 min, high 5.5 min"
        );
        assert_eq!(
            minutes("typical 30 min, worst in ten 90 min"),
            "typical 15 min, worst in ten 45 min"
        );
        assert_eq!(
            minutes("typical 30 min, worst in 50 90 min"),
            "typical 15 min, worst in 50 45 min"
        );
        assert_eq!(minutes("mean 1 h, cv 0.5"), "mean 0.5 h, cv 0.5");
        assert_eq!(
            minutes("values 3 min x 5, 4 min x 2"),
            "values 1.5 min x 5, 2 min x 2"
        );
        let count = |text| times(text, Dimension::Count, 1.1).unwrap();
        assert_eq!(
            count("lognormal, median 940, sigma 0.85, from 250 to 10000"),
            "lognormal, median 1034, sigma 0.85, from 275 to 11000"
        );
    }

    #[test]
    fn what_changes_its_shape_is_refused() {
        let told = times("geometric, mean 2.5, at most 12", Dimension::Count, 2.0).unwrap_err();
        assert!(told.message.contains("cannot be multiplied"));
        assert!(factor("x 1.2").unwrap().is_ok());
        assert!(factor("x -1").unwrap().is_err() && factor("x").is_none());
        assert!(factor("xylophone").is_none());
    }
}
