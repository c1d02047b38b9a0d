//! YAML text to a plain tree of values.
//!
//! In: the bytes of a file. Out: a tree, or the problems that kept it from being read: too large,
//! not UTF-8, YAML grammar, keys written twice, aliases that multiply without end.

use std::cell::{Cell, RefCell};
use std::fmt;

use serde::de::{DeserializeSeed, EnumAccess, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};

use super::problem::{Path, Place, Problem, Step};
use super::screen;

/// Largest file that is read, bytes.
const SIZE_MAX: usize = 2_000_000;

/// Most values in a file, aliases counted as often as they are used.
const VALUES_MAX: usize = 300_000;

/// The bytes as text.
pub(super) fn text(bytes: &[u8]) -> Result<&str, Box<(String, Problem)>> {
    if bytes.len() > SIZE_MAX {
        let problem = Problem::error(Place::File, format!("the file has {} bytes", bytes.len()))
            .expected(format!("a scenario of at most {SIZE_MAX} bytes"))
            .help("is this the right file? results and exports are not scenarios");
        return Err(Box::new((String::new(), problem)));
    }
    // Some editors put a byte order mark before the text.
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let good = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
        let line = good.matches('\n').count() + 1;
        let column = good.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        let byte = bytes.get(error.valid_up_to()).copied().unwrap_or(0);
        let problem = Problem::error(
            Place::Point(line, column),
            format!("the file is not UTF-8 text: byte {} is 0x{byte:02X}", error.valid_up_to() + 1),
        )
        .expected("UTF-8 text from here on")
        .help("save the file as UTF-8 in your editor; a spreadsheet or a word processor does not write one");
        Box::new((String::from_utf8_lossy(bytes).into_owned(), problem))
    })
}

/// The text as a tree. Every key that is written twice is reported.
pub(super) fn tree(text: &str) -> Result<Value, Vec<Problem>> {
    let problems = screen::screen(text);
    if !problems.is_empty() {
        return Err(problems);
    }
    let state = State {
        left: Cell::new(VALUES_MAX),
        path: RefCell::default(),
        twice: RefCell::default(),
    };
    let result = Grow(&state).deserialize(serde_yaml::Deserializer::from_str(text));
    let mut problems = state.twice.into_inner();
    match result {
        Ok(Value::Null) => {
            let problem = Problem::error(Place::File, "the file is empty")
                .expected("a scenario")
                .help("start from the starter scenario and change it step by step");
            Err(vec![problem])
        }
        Ok(value) if problems.is_empty() => Ok(value),
        Ok(_) => Err(problems),
        Err(error) => {
            problems.push(grammar(text, &error));
            Err(problems)
        }
    }
}

/// What the walk over the YAML shares.
struct State {
    left: Cell<usize>,
    path: RefCell<Path>,
    twice: RefCell<Vec<Problem>>,
}

impl State {
    fn within<T>(&self, step: Step, f: impl FnOnce() -> T) -> T {
        self.path.borrow_mut().push(step);
        let result = f();
        self.path.borrow_mut().pop();
        result
    }
}

#[derive(Clone, Copy)]
struct Grow<'a>(&'a State);

const TOO_MANY: &str = "too many values";
const TAG: &str = "a YAML tag";
const KEY: &str = "a key that is text";

impl<'de> DeserializeSeed<'de> for Grow<'_> {
    type Value = Value;

    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        match self.0.left.get().checked_sub(1) {
            Some(left) => self.0.left.set(left),
            None => return Err(D::Error::custom(TOO_MANY)),
        }
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Grow<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("any value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_none<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_u128<E>(self, value: u128) -> Result<Value, E> {
        Ok(value.to_string().into())
    }

    fn visit_i128<E>(self, value: i128) -> Result<Value, E> {
        Ok(value.to_string().into())
    }

    /// Infinity and NaN become text, so that the reader of quantities refuses them by name.
    fn visit_f64<E>(self, value: f64) -> Result<Value, E> {
        Ok(match serde_json::Number::from_f64(value) {
            Some(number) => Value::Number(number),
            None => value.to_string().into(),
        })
    }

    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(value.into())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
        let mut values = Vec::new();
        while let Some(value) = self
            .0
            .within(Step::Item(values.len()), || list.next_element_seed(self))?
        {
            values.push(value);
        }
        Ok(values.into())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut values = Map::new();
        while let Some(key) = map.next_key_seed(Key)? {
            let value = self
                .0
                .within(Step::Key(key.clone()), || map.next_value_seed(self))?;
            if values.insert(key.clone(), value).is_some() {
                let mut path = self.0.path.borrow().clone();
                path.push(Step::Key(key.clone()));
                self.0.twice.borrow_mut().push(
                    Problem::error(
                        Place::SecondKey(path.clone()),
                        format!("`{key}` is written twice in the same block"),
                    )
                    .expected("each name once")
                    .see(Place::Key(path), "the first of them")
                    .help("rename one of them, or take it out"),
                );
            }
        }
        Ok(Value::Object(values))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, _: A) -> Result<Value, A::Error> {
        Err(A::Error::custom(TAG))
    }
}

/// Any scalar key, as its text.
struct Key;

impl<'de> DeserializeSeed<'de> for Key {
    type Value = String;

    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<String, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl Visitor<'_> for Key {
    type Value = String;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(KEY)
    }

    fn visit_str<E>(self, value: &str) -> Result<String, E> {
        Ok(value.to_string())
    }
}

/// What the YAML reader says, and what it means to someone who does not know YAML by heart.
/// Each line: part of the reader's words, message, help.
const GRAMMAR: &[(&str, &str, &str)] = &[
    (
        TOO_MANY,
        "the file has too many values, aliases counted as often as they are used",
        "write the values out instead of using aliases (`*name`) of aliases",
    ),
    (
        "repetition limit exceeded",
        "the file uses aliases (`*name`) that multiply without end",
        "write the values out instead of using aliases of aliases",
    ),
    (
        "recursion limit exceeded",
        "blocks are nested too deep",
        "a scenario needs eight levels at most; look for brackets that are not closed",
    ),
    (
        TAG,
        "a tag (`!name`) stands here; a scenario has none",
        "put the text in quotes",
    ),
    (
        KEY,
        "the key is not a text",
        "put the key in quotes, or look for a `?`, `[` or `{` too many",
    ),
    (
        "more than one document",
        "the file holds more than one YAML document",
        "take out the line `---` that starts the second one; one file is one scenario",
    ),
    (
        "unknown anchor",
        "an alias (`*name`) without its anchor (`&name`)",
        "write the value out; a text that starts with `*` stands in quotes",
    ),
    (
        "mapping values are not allowed",
        "a colon stands where no key can be",
        "a text with `: ` in it stands in quotes; otherwise check that the line is indented like its neighbours",
    ),
    (
        "did not find expected key",
        "this line does not fit the block it stands in",
        "indent it like its neighbours, with spaces; in a text in double quotes write `\\\"` for a quote",
    ),
    (
        "did not find expected '-' indicator",
        "a line in a list does not start with `- `",
        "start each item of the list with `- `, indented alike",
    ),
    (
        "did not find expected ',' or ']'",
        "a list `[ ]` is not closed or lacks a comma",
        "close it with `]`, and put texts with commas in quotes",
    ),
    (
        "did not find expected ',' or '}'",
        "a block `{ }` is not closed or lacks a comma",
        "close it with `}`, and put texts with commas in quotes",
    ),
    (
        "could not find expected ':'",
        "a key without its colon",
        "write `key: value`, with a blank after the colon",
    ),
    (
        "found unexpected end of stream",
        "a quote is opened and not closed",
        "close the text with the same quote",
    ),
    (
        "did not find expected node content",
        "a value is missing before this",
        "write the value, or take the key out",
    ),
    (
        "cannot start any token",
        "no value can start with this character",
        "put the text in quotes",
    ),
    (
        "control characters are not allowed",
        "a control character stands in the file",
        "take it out; it may be invisible in your editor",
    ),
];

/// A problem of YAML grammar.
fn grammar(text: &str, error: &serde_yaml::Error) -> Problem {
    let said = error.to_string();
    let place = match error.location() {
        Some(location) => Place::Point(location.line(), location.column()),
        None => Place::File,
    };
    if let Place::Point(line, _) = place {
        // The reader may notice a tab a line late.
        for number in [line, line.saturating_sub(1)] {
            let indent = text.lines().nth(number.wrapping_sub(1)).unwrap_or("");
            let blank = indent.len() - indent.trim_start().len();
            if let Some(tab) = indent[..blank].find('\t') {
                return Problem::error(
                    Place::Point(number, tab + 1),
                    "a tab is used to indent this line",
                )
                .expected("spaces")
                .help("replace it by spaces: two for each level");
            }
        }
    }
    // A quote that is never closed is noticed at the next quote, lines below, whatever stands there.
    if let Place::Point(line, _) = place
        && let Some((first, column)) = screen::runaway_quote(text, line)
    {
        return Problem::error(
            Place::Point(first, column),
            "a quote is opened here and not closed on its line",
        )
        .expected("the same quote at the end of the text")
        .see(place, "only here it became plain");
    }
    match GRAMMAR.iter().find(|(part, _, _)| said.contains(part)) {
        Some((_, message, help)) => match opened(&said) {
            // Where a bracket or a quote was opened says more than where its end was missed.
            Some(start) => Problem::error(start, *message)
                .help(*help)
                .see(place, "it should be closed before this"),
            None => Problem::error(place, *message).help(*help),
        },
        None => Problem::error(place, format!("this is not YAML: {said}")),
    }
}

/// Where the bracket or the quote was opened that the reader's words speak of.
fn opened(said: &str) -> Option<Place> {
    let contexts = [
        "while parsing a flow sequence at line ",
        "while parsing a flow mapping at line ",
        "while scanning a quoted scalar at line ",
    ];
    let rest = contexts
        .iter()
        .find_map(|context| said.split(context).nth(1))?;
    let (line, column) = rest.split_once(" column ")?;
    let column: String = column.chars().take_while(char::is_ascii_digit).collect();
    Some(Place::Point(line.parse().ok()?, column.parse().ok()?))
}
