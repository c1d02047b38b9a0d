//! Ranking and selection: which of many designs is best, with a guarantee, and where to spend effort.
//!
//! In: replications of every design, the smallest difference that matters, a confidence. Out: who is
//! still in, who fell when, how many replications each should get.
//!
//! * [`rinott`]: the constant of Rinott's two-stage procedure (independent replications).
//! * [`race`]: the fully sequential procedure of Kim and Nelson, which also holds with common random numbers.
//! * [`budget`]: the optimal computing budget allocation for a fixed effort (independent replications; a
//!   rule of thumb, without a guarantee).

pub mod budget;
pub mod race;
pub mod rinott;

/// Which end is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Best {
    /// The largest mean.
    Largest,
    /// The smallest mean.
    Smallest,
}

impl Best {
    /// The value with its sign turned so that larger is better.
    pub fn signed(self, value: f64) -> f64 {
        match self {
            Best::Largest => value,
            Best::Smallest => -value,
        }
    }
}
