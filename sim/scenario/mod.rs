//! Scenarios: from a YAML file to a validated plant, or to problems a stranger can mend.
//!
//! In: the bytes of a file and its name, and those of the order book it names. Out: [`Loaded`], or a [`Report`] with every problem at
//! once, each with its line, what was expected and what to write. Also the JSON Schema, a starter
//! scenario and the reference of all keys, made from the same types.
//!
//! ```text
//! bytes -> document: text, YAML tree   (size, UTF-8, grammar, keys written twice)
//!       -> structure: the tree against the JSON Schema   (keys, types, words, units, dates)
//!       -> file: typed, as written
//!       -> book: the table beside it, cell by cell
//!       -> validate: Plant   (names, sums, holds, widths, routes)
//! ```
//!
//! A [`Study`] is a cell with its variants: each variant is the tree with some places changed, and goes
//! through the same stages. [`Lever`]s are what of a cell is worth moving a little.
//!
//! A stage starts only when the one before it found no error; within a stage all is reported.

mod alike;
mod amount;
mod book;
mod document;
pub mod file;
mod form;
mod gates;
mod lever;
mod locate;
mod nearest;
mod problem;
mod reference;
mod render;
mod renew;
mod schema;
mod screen;
mod structure;
mod study;
mod time;
mod validate;
mod variant;
mod wording;

use crate::plant::Plant;

use problem::Source;

pub use file::ScenarioFile;
pub use lever::{Lever, Side};
pub use locate::Spot;
pub use nearest::nearest;
pub use problem::{Located, Path, Place, Problem, Report, Severity, Step};
pub use reference::{about, reference};
pub use renew::{Change, Renewed, renew};
pub use schema::{schema, variants_schema};
pub use study::{Study, TODAY, Variant, read_study, read_study_with_book};
pub use time::due_min;
pub use variant::Difference;

/// Version of the file format.
pub const FORMAT: u64 = 2;

/// A scenario that can be used.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// The validated cell.
    pub plant: Plant,
    /// What is legal and probably not meant.
    pub warnings: Report,
    /// The file as written.
    pub file: ScenarioFile,
    /// Its text.
    pub text: String,
    /// The order book beside it: its name in the scenario, and its bytes.
    pub book: Option<(String, Vec<u8>)>,
}

/// Reads a scenario that has no order book. `file_name` is only for messages.
///
/// # Errors
/// A [`Report`] with every problem found, if one of them is an error.
pub fn read(file_name: &str, bytes: &[u8]) -> Result<Loaded, Box<Report>> {
    read_with(file_name, bytes, &mut |_| {
        Err(std::io::Error::other(
            "no file beside the scenario is read here",
        ))
    })
}

/// Reads a scenario, and the order book it names through `beside`: a plain file name, to be looked up in
/// the folder of the scenario. Nothing is read in any other way. `file_name` is only for messages.
///
/// # Errors
/// A [`Report`] with every problem found in both, if one of them is an error.
pub fn read_with(
    file_name: &str,
    bytes: &[u8],
    beside: &mut dyn FnMut(&str) -> std::io::Result<Vec<u8>>,
) -> Result<Loaded, Box<Report>> {
    read_with_book(file_name, bytes, None, beside)
}

/// As [`read_with`], with `book` in the place of the order book the scenario names.
///
/// # Errors
/// As [`read_with`].
pub fn read_with_book(
    file_name: &str,
    bytes: &[u8],
    book: Option<&str>,
    beside: &mut dyn FnMut(&str) -> std::io::Result<Vec<u8>>,
) -> Result<Loaded, Box<Report>> {
    let refuse =
        |text: &str, problems: Vec<Problem>| Box::new(Report::new(file_name, text, None, problems));
    let text = document::text(bytes).map_err(|error| refuse(&error.0, vec![error.1]))?;
    let tree = document::tree(text).map_err(|problems| refuse(text, problems))?;
    if tree.get("base").is_some() {
        return Err(refuse(text, vec![study::not_a_cell()]));
    }
    if let Some(outdated) = renew::outdated(&tree) {
        return Err(refuse(text, vec![outdated]));
    }
    let problems = structure::check(&tree, schema());
    if !problems.is_empty() {
        return Err(refuse(text, problems));
    }
    let mut file: ScenarioFile = serde_json::from_value(tree).map_err(|error| {
        // The walk has seen every shape, so this is a gap in the walk; say what is known.
        refuse(
            text,
            vec![Problem::error(
                Place::File,
                format!("the scenario cannot be read: {error}"),
            )],
        )
    })?;
    if let Some(book) = book {
        file.book = Some(book.to_owned());
    }
    file.put_in_order();
    let book = file.book.as_ref().map(|name| Beside::read(name, beside));
    let table = book.as_ref().and_then(|book| book.table.as_ref());
    let (plant, mut problems) = validate::plant(&file, table);
    let mut source = None;
    let mut book_bytes = None;
    let mut unreadable = false;
    if let Some(book) = book {
        unreadable = book
            .problems
            .iter()
            .any(|problem| problem.severity == Severity::Error);
        problems.extend(book.problems);
        source = Some(Source {
            name: book.name.clone(),
            text: book.text,
        });
        book_bytes = Some((book.name, book.bytes));
    }
    let report = Report::new(file_name, text, source, problems);
    match plant {
        Some(plant) if !unreadable => Ok(Loaded {
            plant,
            warnings: report,
            file,
            text: text.to_string(),
            book: book_bytes,
        }),
        _ => Err(Box::new(report)),
    }
}

/// The order book as far as it could be read.
struct Beside {
    name: String,
    bytes: Vec<u8>,
    text: String,
    table: Option<book::Table>,
    problems: Vec<Problem>,
}

impl Beside {
    fn read(name: &str, beside: &mut dyn FnMut(&str) -> std::io::Result<Vec<u8>>) -> Beside {
        let mut found = Beside {
            name: name.to_string(),
            bytes: Vec::new(),
            text: String::new(),
            table: None,
            problems: Vec::new(),
        };
        let place = || Place::Value(vec![Step::Key("book".to_string())]);
        let plain = !name.contains(['/', '\\', ':']) && !name.starts_with('.');
        if !plain {
            found.problems.push(
                Problem::error(place(), format!("`{name}` is not a plain file name")).expected(
                    "the name of a file in the folder of the scenario, such as `orders.csv`",
                ),
            );
            return found;
        }
        match beside(name) {
            Ok(bytes) => found.bytes = bytes,
            Err(error) => {
                found.problems.push(
                    Problem::error(
                        place(),
                        format!("the order book `{name}` cannot be read: {error}"),
                    )
                    .expected("a file in the folder of the scenario"),
                );
                return found;
            }
        }
        match book::text(&found.bytes) {
            Ok(text) => {
                let (table, problems) = book::table(name, &text);
                found.text = text;
                found.table = Some(table);
                found.problems = problems;
            }
            Err(told) => {
                let (text, problem) = *told;
                found.text = text;
                found.problems.push(problem);
            }
        }
        found
    }
}

/// A commented scenario to start from. It reads without warnings.
pub fn starter() -> &'static str {
    include_str!("starter.yaml")
}
