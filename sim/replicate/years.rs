//! Where the replications of a cell come from: the floor, or ones that were run before.
//!
//! In: a number. Out: the outcome that has it. Runs that are drawn from kept replications are told by the same
//! folding, intervals and verdicts as any other, so that what these are worth can be counted.

use std::sync::Arc;

use crate::model::Model;
use crate::observe::{Layout, Outcome};
use crate::random::{Source, Streams};
use crate::shop::Counts;

use super::one;

/// What a replication leaves, to be looked at by several.
pub type Year = Arc<(Outcome, Counts)>;

/// Replications that are kept, by number.
pub type Kept = Arc<Vec<Year>>;

/// Where the replications of a cell come from.
#[derive(Debug, Clone, Default)]
pub enum Years {
    /// They are run.
    #[default]
    Run,
    /// Those that are kept, in their order, and from the first one again behind the last.
    Kept(Kept),
    /// Drawn with replacement from those that are kept; the number names the draw. Cells with one draw meet the same
    /// replications.
    Drawn(Kept, u64),
}

impl Years {
    /// The outcome of replication `number` (from 0). Of none that are kept, it is run.
    pub fn outcome(&self, model: &Model, layout: &Layout, number: u32) -> Year {
        let kept = match self {
            Years::Kept(kept) => kept.get(number as usize % kept.len().max(1)),
            Years::Drawn(kept, draw) => {
                let stream = Streams::new(*draw, u64::from(number));
                let word = stream.of(Source::Resample, 0, 0).next_word();
                // The upper half of the product is even over the places (Lemire, 2019), but for a part in 2^50.
                let place = (u128::from(word) * kept.len() as u128) >> 64;
                kept.get(place as usize)
            }
            Years::Run => None,
        };
        match kept {
            Some(year) => Arc::clone(year),
            None => Arc::new(one(model, layout, number)),
        }
    }
}
