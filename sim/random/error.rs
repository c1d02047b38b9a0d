//! What goes wrong when a distribution is described.
//!
//! In: the mistake. Out: [`DistError`], which reads as one sentence: what is wrong, what is
//! expected, and what to write instead.

use std::fmt;

/// Why a distribution could not be read or made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DistError {
    /// What is wrong.
    pub problem: String,
    /// What is expected in its place.
    pub expected: String,
    /// What to write instead, where that can be told.
    pub hint: Option<String>,
}

impl DistError {
    /// An error without a hint.
    pub(super) fn new(problem: impl Into<String>, expected: impl Into<String>) -> DistError {
        DistError {
            problem: problem.into(),
            expected: expected.into(),
            hint: None,
        }
    }

    /// The same error with a hint.
    pub(super) fn hint(mut self, hint: impl Into<String>) -> DistError {
        self.hint = Some(hint.into());
        self
    }
}

impl fmt::Display for DistError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; expected {}", self.problem, self.expected)?;
        match &self.hint {
            Some(hint) => write!(f, "; {hint}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for DistError {}
