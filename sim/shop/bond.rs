//! Bonds of a web that is laminated more than once, with different adhesives.
//!
//! In: when its passes end. Out: what the gates of the earlier ones are reckoned from.

use crate::units::Tick;

/// A bond made before the last one.
#[derive(Debug, Clone, Copy, Default)]
pub struct Bond {
    /// When.
    pub bonded: Tick,
    /// Time in the hot room of its adhesive since the last pass, as `hot_for` of the lot counts it.
    pub hot_for: Tick,
    /// The longest such time between two passes before that: what was whole then stays whole, and is never added to.
    pub hot_before: Tick,
}

impl Bond {
    /// Made at an instant, and not in a hot room since.
    pub fn at(bonded: Tick) -> Self {
        Self {
            bonded,
            ..Self::default()
        }
    }
}
