//! First-off approval as a file writes it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Duration, Named, RandomTime};

/// When the first good metres or pouches are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AskedAt {
    /// After every start: each changeover, also back to work that was interrupted.
    #[default]
    Start,
    /// After a start with another artwork than was approved last on the machine.
    Artwork,
    /// After a start with another format, web or pouch size than was approved last on the machine.
    Size,
}

/// First-off approval: the machine stands, its crew with it, until the first good metres or pouches are approved. A gate: no analysis shortens it.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FirstOff {
    /// How long it takes once those who look are there. Common practice 5 to 20 min, no source.
    pub time: RandomTime,
    /// Least time that the quality plan of the shop allows; a `time` that can be shorter is refused. Default: none.
    #[serde(default = "no_time")]
    pub at_least: Duration,
    /// People of a pool who look, besides the run crew. Default: nobody, the crew looks itself.
    #[serde(default)]
    pub crew: Named<f64>,
    /// After which starts.
    #[serde(default)]
    pub at: AskedAt,
}

fn no_time() -> Duration {
    "0 min".into()
}
