//! Stdout for data, stderr for talk.
//!
//! In: text. Out: the same text on a stream. A reader of stdout that has gone away (`| head`) is no
//! error; a disk that is full behind a redirection is one.

use std::io::{ErrorKind, IsTerminal, Write};

use super::exit::{Exit, Failure};

/// Writes data to stdout, with one line end after it.
///
/// # Errors
/// [`Exit::Output`] where stdout cannot be written for any reason but a reader that is gone.
pub fn data(text: &str) -> Result<(), Failure> {
    let mut stdout = std::io::stdout().lock();
    let end = if text.ends_with('\n') { "" } else { "\n" };
    let written = stdout
        .write_all(text.as_bytes())
        .and_then(|()| stdout.write_all(end.as_bytes()))
        .and_then(|()| stdout.flush());
    match written {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::new(
            Exit::Output,
            format!("error: stdout cannot be written: {error}"),
        )),
        _ => Ok(()),
    }
}

/// Says something on stderr. When stderr is gone there is nobody left to tell, so that is ignored.
pub fn say(text: &str) {
    if !text.is_empty() {
        let _ = writeln!(std::io::stderr().lock(), "{}", text.trim_end());
    }
}

/// Whether messages on stderr may be coloured: on a terminal, unless `NO_COLOR` is set to anything.
pub fn colour() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
        && std::io::stderr().is_terminal()
}

/// Columns for messages on stderr: those the shell tells, or 100.
pub fn columns() -> usize {
    std::env::var("COLUMNS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(100)
}
