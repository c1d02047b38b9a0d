//! How a command ends: the exit codes, and the failures that lead to them.
//!
//! In: what went wrong and what to do about it. Out: a number for the shell and a message for people.

use std::process::ExitCode;

/// Exit codes. They are part of the interface and do not change within a major version.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Exit {
    /// Done. Also when whoever read the output stopped reading.
    Done = 0,
    /// The command line cannot be followed: an unknown option, a file that is not there, a product
    /// or an order that does not exist.
    Usage = 2,
    /// The scenario has problems; they are on stderr.
    Scenario = 3,
    /// Interrupted: the results hold fewer replications than asked for and say so, or there are none.
    Partial = 4,
    /// Output could not be written, or would have gone over something that is there already.
    Output = 5,
    /// A published value is not reproduced on this machine.
    Check = 6,
    /// A run broke a rule of its audit: a fault of this program, of which nothing is printed as a result.
    Audit = 7,
}

/// The table shown under `--help`.
pub const EXIT_CODES: &str = "Exit codes:
  0  done
  2  the command line cannot be followed (unknown option, file not there)
  3  the scenario has problems; they are listed on stderr
  4  interrupted: results are partial and say so, or there are none
  5  output could not be written, or something is there already
  6  a published value is not reproduced (verify)
  7  a run broke a rule of its audit: a fault of this program, no result is given
130  given up at the second Ctrl-C: nothing is written";

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        ExitCode::from(exit as u8)
    }
}

/// A command that could not be followed to its end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    exit: Exit,
    message: String,
}

impl Failure {
    /// A failure with a message that says what to do; it may have several lines.
    pub fn new(exit: Exit, message: impl Into<String>) -> Self {
        Self {
            exit,
            message: message.into(),
        }
    }

    /// The code for the shell.
    pub fn exit(&self) -> Exit {
        self.exit
    }

    /// The message for people.
    pub fn message(&self) -> &str {
        &self.message
    }
}
