//! `keys` and `schema`: what may stand in a scenario file, for people and for editors.
//!
//! In: nothing. Out: text or JSON on stdout.

use crate::scenario;

use super::super::console;
use super::super::exit::{Exit, Failure};

/// Prints the reference of all keys.
///
/// # Errors
/// [`Exit::Output`] where stdout cannot be written.
pub fn keys() -> Result<Exit, Failure> {
    console::data(&scenario::reference())?;
    Ok(Exit::Done)
}

/// Prints the JSON Schema.
///
/// # Errors
/// [`Exit::Output`] where stdout cannot be written.
pub fn schema() -> Result<Exit, Failure> {
    console::data(&schema_text())?;
    Ok(Exit::Done)
}

/// The JSON Schema as a file would hold it.
pub fn schema_text() -> String {
    format!("{:#}\n", scenario::schema())
}
