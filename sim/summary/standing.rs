//! How a cell stands against its orders.

use super::{Summary, Warning};

/// How the cell stands against its orders.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// More work comes than it can do: orders in it grow clearly and something is full, or arithmetic says so; or work
    /// comes to stand still for good. No lead time has a steady value.
    Overloaded,
    /// A machine is used nearly all of its open time, and it is not settled that orders do not grow.
    OnEdge,
    /// More orders are in it at the end than at the start, but nothing is full or too little was measured to tell: the
    /// run is too short, or there is no warm-up.
    Filling,
    /// It keeps up on average, but some measured orders were not done when the run ended.
    Strained,
    /// One replication: chance alone decides how it ends, so nothing is said.
    Untold,
    /// It keeps up.
    Steady,
}

impl Standing {
    /// Key used in files.
    pub fn key(self) -> &'static str {
        match self {
            Standing::Overloaded => "overloaded",
            Standing::OnEdge => "on_edge",
            Standing::Filling => "filling",
            Standing::Strained => "strained",
            Standing::Untold => "untold",
            Standing::Steady => "steady",
        }
    }

    /// The standing that a summary shows.
    pub fn of(summary: &Summary) -> Self {
        let any = |wanted: fn(&Warning) -> bool| summary.warnings.iter().any(wanted);
        let unfinished = summary.get("unfinished/all").is_some_and(|e| e.mean > 0.0);
        let lost = |w: &Warning| {
            matches!(
                w,
                Warning::OverCapacity(..) | Warning::Growing(_) | Warning::StandsStill(..)
            )
        };
        if any(lost) {
            Standing::Overloaded
        } else if summary.done == 1 && !summary.is_worked_off {
            Standing::Untold
        } else if any(|w| matches!(w, Warning::Filling(..))) {
            Standing::Filling
        } else if any(|w| matches!(w, Warning::OnEdge(..))) {
            Standing::OnEdge
        } else if unfinished {
            Standing::Strained
        } else {
            Standing::Steady
        }
    }
}
