//! The words of the text language of distributions.
//!
//! In: text after the name of the distribution. Out: [`Words`]: each value under its key, taken
//! one by one; what is left over or missing is an error that names the nearest right word.

use super::error::DistError;
use crate::units::{Dimension, parse_quantity};

/// Phrases that begin a part, with the key each stands for. Longer phrases come before shorter
/// ones that begin alike.
pub(super) const PHRASES: &[(&str, &str)] = &[
    ("worst in", "worst in"),
    ("give or take", "give or take"),
    ("most likely", "typical"),
    ("at least", "at least"),
    ("at most", "at most"),
    ("typical", "typical"),
    ("typically", "typical"),
    ("mode", "typical"),
    ("low", "low"),
    ("high", "high"),
    ("mean", "mean"),
    ("median", "median"),
    ("cv", "cv"),
    ("sd", "sd"),
    ("sigma", "sigma"),
    ("shape", "shape"),
    ("scale", "scale"),
    ("stages", "stages"),
    ("alpha", "alpha"),
    ("beta", "beta"),
    ("from", "from"),
    ("to", "to"),
    ("between", "between"),
    ("about", "about"),
];

/// Splits a known phrase off the front of `text`: its key and the value after it.
pub(super) fn split_phrase(text: &str) -> Option<(&'static str, &str)> {
    let text = text.trim();
    // Lower-casing ASCII alone keeps every byte where it was.
    let lower = text.to_ascii_lowercase();
    PHRASES.iter().find_map(|(phrase, key)| {
        let after = lower.strip_prefix(phrase)?;
        let begins_word = after.is_empty() || after.starts_with([' ', '\t', '=', ':']);
        let value = text.get(phrase.len()..).filter(|_| begins_word)?;
        let value = value.trim_start_matches([' ', '\t', '=', ':']).trim();
        Some((*key, value.strip_prefix("of ").unwrap_or(value).trim()))
    })
}

/// Splits at a word that stands between blanks, whatever its case.
pub(super) fn split_at_word<'a>(text: &'a str, word: &str) -> Option<(&'a str, &'a str)> {
    let at = text.to_ascii_lowercase().find(word)?;
    Some((text.get(..at)?.trim(), text.get(at + word.len()..)?.trim()))
}

/// A wrong word, shortened, with the nearest right one as a hint.
pub(super) fn unknown(what: &str, text: &str, known: &[&str], expected: &str) -> DistError {
    let word: String = text
        .chars()
        .take_while(|c| c.is_alphabetic() || *c == '-')
        .take(24)
        .collect::<String>()
        .to_lowercase();
    let shown: String = text.chars().take(40).collect();
    let error = DistError::new(format!("`{shown}` is {what}"), expected);
    let near = known
        .iter()
        .map(|name| (strsim::osa_distance(&word, name), *name))
        .filter(|(distance, name)| *distance <= 1 + name.len() / 4 && !word.is_empty())
        .min_by_key(|(distance, _)| *distance);
    match near {
        Some((_, name)) => error.hint(format!("did you mean `{name}`?")),
        None => error,
    }
}

/// Values under their keys.
#[derive(Debug)]
pub(super) struct Words<'a> {
    pairs: Vec<(&'static str, &'a str)>,
    dimension: Dimension,
    /// Keys asked for so far, to say what would have been understood.
    asked: Vec<&'static str>,
}

impl<'a> Words<'a> {
    /// Reads parts such as `mean 8 h` or `between 2 min and 4 min`.
    pub(super) fn read(
        parts: impl Iterator<Item = &'a str>,
        dimension: Dimension,
    ) -> Result<Words<'a>, DistError> {
        let mut words = Words {
            pairs: Vec::new(),
            dimension,
            asked: Vec::new(),
        };
        for part in parts {
            let part = part.trim();
            if part.is_empty() {
                let problem = "there is nothing between two commas or after the last";
                return Err(DistError::new(
                    problem,
                    "a word and its value, such as `mean 8 h`",
                ));
            }
            let Some((key, value)) = split_phrase(part) else {
                let known: Vec<&str> = PHRASES.iter().map(|(phrase, _)| *phrase).collect();
                let expected = "a word and its value, such as `mean 8 h`";
                return Err(unknown("not understood", part, &known, expected));
            };
            match key {
                "between" => {
                    let Some((from, to)) = split_at_word(value, " and ") else {
                        let problem = format!("`{part}` names one end only");
                        return Err(DistError::new(problem, "`between 20 min and 40 min`"));
                    };
                    words.push("from", from)?;
                    words.push("to", to)?;
                }
                "from" | "about" => {
                    let (joint, second) = if key == "from" {
                        (" to ", "to")
                    } else {
                        (" give or take ", "give or take")
                    };
                    match split_at_word(value, joint) {
                        Some((first, rest)) => {
                            words.push(key, first)?;
                            words.push(second, rest)?;
                        }
                        None => words.push(key, value)?,
                    }
                }
                _ => words.push(key, value)?,
            }
        }
        Ok(words)
    }

    fn push(&mut self, key: &'static str, value: &'a str) -> Result<(), DistError> {
        if self.has(key) {
            return Err(DistError::new(
                format!("`{key}` is written twice"),
                "each word once",
            ));
        }
        self.pairs.push((key, value));
        Ok(())
    }

    /// The kind of quantity wanted.
    pub(super) fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// True if the key is written and not yet taken.
    pub(super) fn has(&self, key: &str) -> bool {
        self.pairs.iter().any(|(k, _)| *k == key)
    }

    /// Takes the text under a key.
    pub(super) fn text(&mut self, key: &'static str) -> Option<&'a str> {
        self.asked.push(key);
        let at = self.pairs.iter().position(|(k, _)| *k == key)?;
        Some(self.pairs.remove(at).1)
    }

    /// Takes a quantity of the wanted dimension, if it is written.
    pub(super) fn quantity(&mut self, key: &'static str) -> Result<Option<f64>, DistError> {
        let dimension = self.dimension;
        self.text(key)
            .map(|text| quantity_under(key, text, dimension))
            .transpose()
    }

    /// Takes a quantity that must be there.
    pub(super) fn need(&mut self, key: &'static str, form: &str) -> Result<f64, DistError> {
        self.quantity(key)?.ok_or_else(|| missing(key, form))
    }

    /// Takes a pure number that must be there; `40 %` is 0.4.
    pub(super) fn number(&mut self, key: &'static str, form: &str) -> Result<f64, DistError> {
        let text = self.text(key).ok_or_else(|| missing(key, form))?;
        let share = if text.ends_with('%') {
            Dimension::Share
        } else {
            Dimension::Count
        };
        quantity_under(key, text, share)
    }

    /// Takes a mean and its spread as `cv`, or as `sd` in the unit of the mean.
    pub(super) fn mean_and_cv(&mut self, form: &str) -> Result<(f64, f64), DistError> {
        let mean = self.need("mean", form)?;
        if self.has("cv") || !self.has("sd") {
            return Ok((mean, self.number("cv", form)?));
        }
        Ok((mean, self.need("sd", form)? / mean))
    }

    /// Takes the ends to keep a distribution to, under either way of saying them.
    pub(super) fn ends(&mut self) -> Result<(Option<f64>, Option<f64>), DistError> {
        let from = self.quantity("from")?;
        let least = self.quantity("at least")?;
        let to = self.quantity("to")?;
        let most = self.quantity("at most")?;
        let twice = |a: Option<f64>, b: Option<f64>, end: &str| {
            if a.is_some() && b.is_some() {
                return Err(DistError::new(
                    format!("the {end} end is written twice"),
                    "each end once",
                ));
            }
            Ok(a.or(b))
        };
        Ok((twice(from, least, "lower")?, twice(to, most, "upper")?))
    }

    /// Complains about anything not taken.
    pub(super) fn finish(self, form: &str) -> Result<(), DistError> {
        match self.pairs.first() {
            None => Ok(()),
            Some((key, _)) => Err(unknown(
                &format!("not used by {form}"),
                key,
                &[],
                &self.asked.join(", "),
            )),
        }
    }
}

/// A quantity with the key named in the error.
pub(super) fn quantity_under(
    key: &str,
    text: &str,
    dimension: Dimension,
) -> Result<f64, DistError> {
    let value = parse_quantity(text, dimension).map_err(|e| {
        let problem = match e.to_string().split_once("; expected ") {
            Some((problem, _)) => format!("{key}: {problem}"),
            None => format!("{key}: {e}"),
        };
        DistError {
            problem,
            expected: e.expected,
            hint: e.hint,
        }
    })?;
    // A spread in Fahrenheit is a difference: the zero of the scale does not enter.
    let spread = dimension == Dimension::Temperature && matches!(key, "sd" | "give or take");
    if spread && text.ends_with(['f', 'F']) {
        return Ok(value + 32.0 / 1.8);
    }
    Ok(value)
}

/// The error for a word that has to be there.
fn missing(key: &str, form: &str) -> DistError {
    DistError::new(format!("`{key}` is missing"), format!("`{form}`"))
}
