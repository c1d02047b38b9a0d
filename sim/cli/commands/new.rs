//! `new`: a commented scenario to start from.
//!
//! In: the name of a file that is not there yet. Out: that file, and beside it the JSON Schema that
//! the file's first lines name, so that an editor can complete and check keys.

use std::fs::{self, File};
use std::io::{ErrorKind, Write};
use std::path::Path;

use crate::scenario;

use super::super::args::New;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::write::parent_of;
use super::super::write::rename::keep;
use super::keys::schema_text;

/// The name that the starter's editor line gives.
const SCHEMA_FILE: &str = "scenario.schema.json";

/// Writes the starter scenario.
///
/// # Errors
/// [`Exit::Output`] where the file is there already or cannot be written.
pub fn new(asked: &New) -> Result<Exit, Failure> {
    let file = &asked.file;
    put(file, scenario::starter(), || {
        format!(
            "error: `{}` is there already, and is not touched\nhelp: choose another name",
            file.display()
        )
    })?;
    console::say(&format!("Written: {}", file.display()));
    let schema_file = file.with_file_name(SCHEMA_FILE);
    let schema = schema_text();
    match fs::read_to_string(&schema_file) {
        Ok(there) if there == schema => {}
        Ok(_) => console::say(&format!(
            "note: `{0}` is there already and is not the schema of this version; it is not touched\n\
             help: to renew it: pouchcast schema > {0}",
            schema_file.display()
        )),
        Err(_) => {
            put(&schema_file, &schema, || {
                format!("error: `{}` is in the way", schema_file.display())
            })?;
            console::say(&format!(
                "Written: {} (for the editor)",
                schema_file.display()
            ));
        }
    }
    console::say(&format!("Next: pouchcast run {}", file.display()));
    Ok(Exit::Done)
}

/// Writes a new file, never over another, and never half of it.
pub(super) fn put(file: &Path, text: &str, taken: impl Fn() -> String) -> Result<(), Failure> {
    let failed = |error: std::io::Error| {
        let message = match error.kind() {
            ErrorKind::AlreadyExists => taken(),
            ErrorKind::NotFound => {
                format!(
                    "error: there is no folder for `{}`\nhelp: make the folder first",
                    file.display()
                )
            }
            _ => format!("error: `{}` cannot be written: {error}", file.display()),
        };
        Failure::new(Exit::Output, message)
    };
    if fs::symlink_metadata(file).is_ok() {
        return Err(failed(ErrorKind::AlreadyExists.into()));
    }
    let _busy = interrupt::writing();
    let hidden = tempfile::Builder::new()
        .prefix(".pouchcast-")
        .tempdir_in(parent_of(file))
        .map_err(failed)?;
    let ready = hidden.path().join("new");
    let written = File::create_new(&ready).and_then(|mut opened| {
        opened.write_all(text.as_bytes())?;
        opened.sync_all()
    });
    written.and_then(|()| keep(&ready, file)).map_err(failed)
}
