//! How a cell stands against its orders.

use super::{Summary, Warning};

/// How the cell stands against its orders.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// More work comes than it can do: no lead time has a steady value.
    Overloaded,
    /// It keeps up on average, but some measured orders were not done when the run ended.
    Strained,
    /// It keeps up.
    Steady,
}

impl Standing {
    /// Key used in files.
    pub fn key(self) -> &'static str {
        match self {
            Standing::Overloaded => "overloaded",
            Standing::Strained => "strained",
            Standing::Steady => "steady",
        }
    }

    /// The standing that a summary shows.
    pub fn of(summary: &Summary) -> Self {
        let overloaded = summary
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::OverCapacity(..) | Warning::Growing(_)));
        let unfinished = summary.get("unfinished/all").is_some_and(|e| e.mean > 0.0);
        match (overloaded, unfinished) {
            (true, _) => Standing::Overloaded,
            (false, true) => Standing::Strained,
            (false, false) => Standing::Steady,
        }
    }
}
