//! Calendars, pools of people, rooms: what is open, who is there, where rolls wait.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{Dates, Named, OnDate, Share, Weekly};

/// Opening times.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Calendar {
    /// Weekly hours, at least one entry: days, then hours. `Mon-Fri 22:00-06:00` ends on the next day; `Mon-Sun 00:00-24:00` never closes.
    #[schemars(length(min = 1))]
    pub open: Vec<Weekly>,
    /// Weekly hours taken out of the opening times.
    #[serde(default)]
    pub breaks: Vec<Weekly>,
    /// Days on which it stays closed: holidays, works closures.
    #[serde(default)]
    pub closed: Vec<Dates>,
    /// Extra hours on one date: overtime.
    #[serde(default)]
    pub also_open: Vec<OnDate>,
}

/// People with one skill.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pool {
    /// Calendar and the people present while it is open; shifts that overlap add up.
    pub shifts: Named<u32>,
    /// Chance that a person misses a whole shift. Common practice is 3 to 8 %, no source.
    #[serde(default = "nobody")]
    pub absence: Share,
}

fn nobody() -> Share {
    "0 %".into()
}

/// A place where rolls wait.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// Rolls it takes. Default: no limit.
    #[serde(default)]
    #[schemars(range(min = 1))]
    pub places: Option<u32>,
    /// Whether it is a hot room; wound film warms slowly, and that lag is added to the hold. Time on ambient racks is not credited in it, nor its time on the racks.
    #[serde(default)]
    pub heated: bool,
}
