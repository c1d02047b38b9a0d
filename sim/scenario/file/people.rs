//! Calendars, pools of people, rooms: what is open, who is there, where rolls wait.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Dates, Duration, Named, OnDate, Share, Weekly};

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
    /// Whose turn it is when several want people of this pool.
    #[serde(default)]
    pub next: PoolNext,
    /// Stations that are served before all others, in this order; `next` decides the rest.
    #[serde(default)]
    pub first: Vec<String>,
    /// What has been passed over for longer than this, in open hours, goes first: free people are held for it. Assumed.
    #[serde(default = "four_hours")]
    pub crew_wait: Duration,
}

fn four_hours() -> Duration {
    "4 h".into()
}

/// Whose turn it is when several want people of one pool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PoolNext {
    /// The best class, then the least time to spare, then the longest wait.
    #[default]
    Urgent,
    /// The station before which most planned work waits, then as `urgent`.
    MostWork,
    /// The station furthest downstream, then as `urgent`.
    Downstream,
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
    /// When the place of a cured roll is free again.
    #[serde(default)]
    pub free_at: FreeAt,
}

/// When the place of a cured roll is free again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FreeAt {
    /// When the roll is taken out for its next step; until then it needs no room before the station.
    #[default]
    TakenOut,
    /// When its hold is over: people clear the place at once.
    HoldEnd,
}
