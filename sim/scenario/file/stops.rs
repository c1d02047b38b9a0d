//! What stops a machine: breakdowns and who mends them, micro-stops.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Duration, Length, Named, RandomLength, RandomTime};

/// What a breakdown clock counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ClockOf {
    /// Running time of the machine.
    #[default]
    Running,
    /// All time, day and night.
    Calendar,
}

/// A cause of breakdown.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Breakdown {
    /// Time from the end of one to the next. Give this or `every_metres`. Common practice for a pouch machine 4 to 20 h, for laminators and slitters 20 to 80 h, no source.
    #[serde(default)]
    pub every: Option<RandomTime>,
    /// Web run from one to the next, for web breaks. Common practice 5,000 to 40,000 m, no source.
    #[serde(default)]
    pub every_metres: Option<RandomLength>,
    /// Which time `every` counts.
    #[serde(default)]
    pub of: ClockOf,
    /// Repair. Common practice 10 to 90 min, no source.
    pub repair: RandomTime,
    /// Who mends it, where `crew` does not tell.
    #[serde(default)]
    pub by: RepairBy,
    /// People of a pool the repair needs, such as a fitter: the machine stays down until they come.
    #[serde(default)]
    pub crew: Named<f64>,
    /// With `by: service`: the calendar of its hours. Default: round the clock.
    #[serde(default)]
    pub hours: Option<String>,
    /// Re-threading after the repair.
    #[serde(default = "no_time")]
    pub rethread: Duration,
    /// Web lost.
    #[serde(default = "no_length")]
    pub waste: Length,
}

/// Who mends a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RepairBy {
    /// The people that run it: the repair stands still while they are away. Common practice, no source.
    #[default]
    Crew,
    /// A service from outside: it needs nobody of the cell and goes on whether the machine is open or not. Threading the web again needs the crew.
    Service,
}

/// Short stops that the operator clears himself.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MicroStops {
    /// Running time between them. Common practice for a pouch machine 3 to 8 an hour, no source.
    pub every: RandomTime,
    /// Length. Common practice 0.3 to 2 min, no source.
    pub lasting: RandomTime,
    /// Web lost at each. It is not planned for: what is usual belongs to `rejects` or `running_waste`.
    #[serde(default = "no_length")]
    pub waste: Length,
}

fn no_time() -> Duration {
    "0 min".into()
}

fn no_length() -> Length {
    "0 m".into()
}
