//! From a path to a line, a column and the stretch of text to underline.
//!
//! In: the text of a file and a [`Place`]. Out: its [`Spot`]. The YAML reader tells positions only
//! with its errors, so the way to a position is to walk to it and stop there with an error.

use std::fmt;
use std::ops::Range;

use serde::de::{DeserializeSeed, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::problem::{Place, Step};

/// A stretch of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Bytes of the text to underline.
    pub span: Range<usize>,
}

/// Where `place` is in `text`; `None` for the file as a whole.
pub(super) fn spot(text: &str, place: &Place) -> Option<Spot> {
    let (line, column) = match place {
        Place::File | Place::Book(_) => return None,
        Place::Point(line, column) => (*line, *column),
        Place::Value(path) | Place::Key(path) | Place::SecondKey(path) => {
            let stop = match place {
                Place::Value(_) => Stop::Value,
                Place::SecondKey(_) => Stop::Key(1),
                _ => Stop::Key(0),
            };
            // What is not written (a default) is shown at the name of its nearest parent.
            position(text, path, stop).or_else(|| {
                (0..path.len()).rev().find_map(|length| {
                    let parent = path.get(..length)?;
                    let named = matches!(parent.last(), Some(Step::Key(_)));
                    position(text, parent, if named { Stop::Key(0) } else { Stop::Value })
                })
            })?
        }
    };
    let start = byte_at(text, line, column);
    Some(Spot {
        line,
        column,
        span: start..token_end(text, start),
    })
}

/// The line and column of a stretch of `text`, which ends with its line; `None` where there is no text.
pub(super) fn span(text: &str, span: Range<usize>) -> Option<Spot> {
    let start = (0..=span.start.min(text.len()))
        .rev()
        .find(|&at| text.is_char_boundary(at))?;
    if text.is_empty() {
        return None;
    }
    let before = &text[..start];
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let line_end = text[start..]
        .find(['\n', '\r'])
        .map_or(text.len(), |end| start + end);
    let end = (span.end.clamp(start, line_end)..=line_end).find(|&at| text.is_char_boundary(at))?;
    Some(Spot {
        line: before.matches('\n').count() + 1,
        column: before[line_start..].chars().count() + 1,
        span: start..end,
    })
}

/// What to stop at.
#[derive(Clone, Copy)]
enum Stop {
    Value,
    /// The key, after so many keys of the same name.
    Key(usize),
}

/// Line and column of the value (or the key) at `path`.
fn position(text: &str, path: &[Step], stop: Stop) -> Option<(usize, usize)> {
    let result = Walk { path, stop }.deserialize(serde_yaml::Deserializer::from_str(text));
    let location = result.err()?;
    if !location.to_string().contains(HERE) {
        return None;
    }
    location
        .location()
        .map(|location| (location.line(), location.column()))
}

const HERE: &str = "\u{1}here\u{1}";

/// Walks down the rest of a path and stops at its end.
#[derive(Clone, Copy)]
struct Walk<'a> {
    path: &'a [Step],
    stop: Stop,
}

impl<'de> DeserializeSeed<'de> for Walk<'_> {
    type Value = ();

    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Walk<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(HERE)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let Some((Step::Key(wanted), rest)) = self.path.split_first() else {
            return Err(A::Error::custom(if self.path.is_empty() {
                HERE
            } else {
                ""
            }));
        };
        let mut skip = match self.stop {
            Stop::Key(skip) if rest.is_empty() => Some(skip),
            _ => None,
        };
        while let Some(found) = map.next_key_seed(KeySeed {
            wanted,
            stop: skip == Some(0),
        })? {
            if found && let Some(left) = skip {
                skip = Some(left.saturating_sub(1));
                map.next_value::<IgnoredAny>()?;
                continue;
            }
            if found {
                map.next_value_seed(Walk { path: rest, ..self })?;
            } else {
                map.next_value::<IgnoredAny>()?;
            }
        }
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        let Some((Step::Item(wanted), rest)) = self.path.split_first() else {
            return Err(A::Error::custom(if self.path.is_empty() {
                HERE
            } else {
                ""
            }));
        };
        for _ in 0..*wanted {
            if list.next_element::<IgnoredAny>()?.is_none() {
                return Ok(());
            }
        }
        list.next_element_seed(Walk { path: rest, ..self })?;
        Ok(())
    }
    // Scalars fall to the default methods, whose error tells the position and HERE.
}

/// Reads a key; tells whether it is the wanted one, or stops there.
struct KeySeed<'a> {
    wanted: &'a str,
    stop: bool,
}

impl<'de> DeserializeSeed<'de> for KeySeed<'_> {
    type Value = bool;

    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<bool, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl Visitor<'_> for KeySeed<'_> {
    type Value = bool;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a key")
    }

    fn visit_str<E: Error>(self, key: &str) -> Result<bool, E> {
        match key == self.wanted {
            true if self.stop => Err(E::custom(HERE)),
            found => Ok(found),
        }
    }
}

/// The byte at a line and column, both from 1, columns in characters; the end of the line or of
/// the text where they are beyond it.
fn byte_at(text: &str, line: usize, column: usize) -> usize {
    let mut start = 0;
    for _ in 1..line {
        match text[start..].find('\n') {
            Some(end) => start += end + 1,
            None => return text.len(),
        }
    }
    let rest = text[start..].lines().next().unwrap_or("");
    start
        + rest
            .char_indices()
            .nth(column.saturating_sub(1))
            .map_or(rest.len(), |(byte, _)| byte)
}

/// The end of the token that starts at `start`: a quoted text, a bracket with its contents, a
/// key, a plain text.
fn token_end(text: &str, start: usize) -> usize {
    let line = text[start..].lines().next().unwrap_or("");
    let line_start = text[..start].rfind('\n').map_or(0, |newline| newline + 1);
    let length = match line.chars().next() {
        None => 0,
        Some(quote @ ('"' | '\'')) => line[1..].find(quote).map_or(line.len(), |end| end + 2),
        Some('[' | '{') => bracket_end(line),
        Some(first) if first.is_whitespace() || first == char::REPLACEMENT_CHARACTER => {
            first.len_utf8()
        }
        Some(_) => {
            // Commas and brackets end a plain text only inside brackets.
            let in_brackets = depth(&text[line_start..start]) > 0;
            let ends: &[&str] = if in_brackets {
                &[": ", " #", ", ", ",", "}", "]"]
            } else {
                &[": ", " #"]
            };
            let end = ends
                .iter()
                .filter_map(|end| line.find(end))
                .filter(|end| *end > 0)
                .min();
            line[..end.unwrap_or(line.len())]
                .trim_end()
                .trim_end_matches(':')
                .len()
        }
    };
    start + length
}

/// Brackets open at the end of `text`, quotes aside.
fn depth(text: &str) -> usize {
    let mut depth = 0_usize;
    let mut quote = None;
    for c in text.chars() {
        match (quote, c) {
            (Some(open), _) if c == open => quote = None,
            (Some(_), _) => {}
            (None, '"' | '\'') => quote = Some(c),
            (None, '[' | '{') => depth += 1,
            (None, ']' | '}') => depth = depth.saturating_sub(1),
            (None, _) => {}
        }
    }
    depth
}

/// The length of a bracket with its contents, or of the line if it closes later.
fn bracket_end(line: &str) -> usize {
    let closing = line
        .char_indices()
        .filter(|(_, c)| matches!(c, ']' | '}'))
        .map(|(index, _)| index + 1);
    closing
        .into_iter()
        .find(|end| depth(&line[..*end]) == 0)
        .unwrap_or(line.trim_end().len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(text: &str) -> Step {
        Step::Key(text.to_string())
    }

    fn at(text: &str, place: Place) -> (usize, usize, String) {
        let spot = spot(text, &place).expect("a spot");
        (spot.line, spot.column, text[spot.span].to_string())
    }

    #[test]
    fn finds_keys_and_values_in_blocks_lists_and_quotes() {
        let text = "a: 1\nb:\n  cé: [x, \"y, z\", 7 mm]\n  d: 30 m/min # fast\n";
        assert_eq!(at(text, Place::Value(vec![key("a")])), (1, 4, "1".into()));
        assert_eq!(
            at(text, Place::Key(vec![key("b"), key("d")])),
            (4, 3, "d".into())
        );
        assert_eq!(
            at(text, Place::Value(vec![key("b"), key("d")])),
            (4, 6, "30 m/min".into())
        );
        let list = |index| Place::Value(vec![key("b"), key("cé"), Step::Item(index)]);
        assert_eq!(at(text, list(1)), (3, 11, "\"y, z\"".into()));
        assert_eq!(at(text, list(2)), (3, 19, "7 mm".into()));
    }

    #[test]
    fn shows_the_parent_of_what_is_not_there() {
        assert_eq!(
            at("a:\n  b: 1\n", Place::Key(vec![key("a"), key("z")])),
            (1, 1, "a".into())
        );
    }

    #[test]
    fn finds_a_key_again_and_whole_texts() {
        let text = "a: 1\nb: low 2, high 3 # x\na: [1, {c: 2}]\n";
        assert_eq!(
            at(text, Place::SecondKey(vec![key("a")])),
            (3, 1, "a".into())
        );
        assert_eq!(
            at(text, Place::Value(vec![key("b")])),
            (2, 4, "low 2, high 3".into())
        );
        assert_eq!(
            at("a: [1, {c: 2}] # y\n", Place::Value(vec![key("a")])),
            (1, 4, "[1, {c: 2}]".into())
        );
    }
}
