//! `keys` and `schema`: what may stand in a scenario file, for people and for editors.
//!
//! In: at most a word. Out: text or JSON on stdout.

use crate::scenario;

use super::super::args::Keys;
use super::super::console;
use super::super::exit::{Exit, Failure};

/// Prints the reference of all keys, or what it says of one word.
///
/// # Errors
/// [`Exit::Usage`] for a word of which it says nothing; [`Exit::Output`] where stdout cannot be written.
pub fn keys(asked: &Keys) -> Result<Exit, Failure> {
    let text = match &asked.word {
        None => scenario::reference(),
        Some(word) => scenario::about(word).map_err(|near| {
            let help = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`pouchcast keys` prints all of them".to_owned(),
            };
            Failure::new(
                Exit::Usage,
                format!("error: there is no key and no block called `{word}`\nhelp: {help}"),
            )
        })?,
    };
    console::data(&text)?;
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
