//! What a command found, to its readers: the results folder first, then the text, then where the folder is.
//!
//! In: a text for stdout, files and their place. Out: both, each even where the other fails. The folder comes first:
//! a reader of stdout that has gone away or stands still must not cost the results.

use super::console;
use super::exit::Failure;
use super::write::Place;

/// Files by name.
pub type Files = Vec<(String, Vec<u8>)>;

/// What goes out.
pub struct Delivery<'a> {
    /// For stdout.
    pub text: &'a str,
    /// Where the files go; `None` for nowhere.
    pub place: Option<Place>,
    /// They hold all that was asked for.
    pub complete: bool,
    /// What is said behind the name of the folder.
    pub more: String,
    /// Nothing but errors on stderr.
    pub quiet: bool,
}

/// Writes the `files`, which are made only where they are wanted, and prints the text.
///
/// # Errors
/// [`super::Exit::Output`] where one of them could not be written as asked; the message says where the results are.
pub fn deliver(what: Delivery<'_>, files: impl FnOnce() -> Files) -> Result<(), Failure> {
    let written = what.place.map(|place| place.write(&files(), what.complete));
    let told = console::data(what.text);
    match written {
        Some(Ok(folder)) => {
            // Where the text is lost, the folder is worth telling even in silence.
            if !what.quiet || told.is_err() {
                console::say(&format!("Results: {}{}", folder.display(), what.more));
            }
            told
        }
        Some(Err(failure)) => {
            if let Err(also) = told {
                console::say(also.message());
            }
            Err(failure)
        }
        None => told,
    }
}
