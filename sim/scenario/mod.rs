//! Scenarios: from a YAML file to a validated plant, or to problems a stranger can mend.
//!
//! In: the bytes of a file and its name. Out: [`Loaded`], or a [`Report`] with every problem at
//! once, each with its line, what was expected and what to write. Also the JSON Schema, a starter
//! scenario and the reference of all keys, made from the same types.
//!
//! ```text
//! bytes -> document: text, YAML tree   (size, UTF-8, grammar, keys written twice)
//!       -> structure: the tree against the JSON Schema   (keys, types, words, units, dates)
//!       -> file: typed, as written
//!       -> validate: Plant   (names, sums, holds, widths, routes)
//! ```
//!
//! A stage starts only when the one before it found no error; within a stage all is reported.

mod document;
pub mod file;
mod form;
mod locate;
mod nearest;
mod problem;
mod reference;
mod render;
mod schema;
mod structure;
mod time;
mod validate;
mod wording;

use crate::plant::Plant;

pub use file::ScenarioFile;
pub use locate::Spot;
pub use problem::{Located, Path, Place, Problem, Report, Severity, Step};
pub use reference::reference;
pub use schema::schema;

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
}

/// Reads a scenario. `file_name` is only for messages.
///
/// # Errors
/// A [`Report`] with every problem found, if one of them is an error.
pub fn read(file_name: &str, bytes: &[u8]) -> Result<Loaded, Box<Report>> {
    let refuse =
        |text: &str, problems: Vec<Problem>| Box::new(Report::new(file_name, text, problems));
    let text = document::text(bytes).map_err(|error| refuse(&error.0, vec![error.1]))?;
    let tree = document::tree(text).map_err(|problems| refuse(text, problems))?;
    let problems = structure::check(&tree, &schema());
    if !problems.is_empty() {
        return Err(refuse(text, problems));
    }
    let file: ScenarioFile = serde_json::from_value(tree).map_err(|error| {
        // The walk has seen every shape, so this is a gap in the walk; say what is known.
        refuse(
            text,
            vec![Problem::error(
                Place::File,
                format!("the scenario cannot be read: {error}"),
            )],
        )
    })?;
    match validate::plant(&file) {
        (Some(plant), problems) => Ok(Loaded {
            plant,
            warnings: Report::new(file_name, text, problems),
            file,
            text: text.to_string(),
        }),
        (None, problems) => Err(refuse(text, problems)),
    }
}

/// A commented scenario to start from. It reads without warnings.
pub fn starter() -> &'static str {
    include_str!("starter.yaml")
}
