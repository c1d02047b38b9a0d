//! Stations: kind of work, what is taken next, how much moves together, the machines.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{
    Bench, Common, Duration, Laminator, Lot, Named, Packer, PieceMachine, PouchMachine, Press,
    RandomTime, Slitter,
};

/// What to take next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Next {
    /// Longest in the queue.
    FirstCome,
    /// Nearest due date.
    EarliestDue,
    /// Least time to spare, remaining cure included.
    LeastSlack,
    /// Shortest work at this station.
    ShortestWork,
    /// Smallest ratio of the time left to the work and cure left.
    CriticalRatio,
    /// Same family as the machine is dressed for.
    SameFamily,
    /// Shortest changeover from how the machine is dressed.
    ShortestChangeover,
    /// Lowest rank of the order class.
    ClassFirst,
}

/// What a bench time is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Per {
    /// The whole lot.
    #[default]
    Lot,
    /// Each metre of web.
    Metre,
    /// Each pouch or piece.
    Pouch,
}

fn first_come() -> Vec<Next> {
    vec![Next::FirstCome]
}

/// Declares one kind of station: its own keys, then those that all stations share.
macro_rules! station {
    ($(#[$doc:meta])* $name:ident, $machine:ident { $($(#[$key_doc:meta])* $key:ident: $type:ty,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            /// Machines by name; names are unique in the whole file.
            #[schemars(length(min = 1))]
            pub machines: Named<$machine>,
            $($(#[$key_doc])* pub $key: $type,)*
            /// What is taken next: criteria in order, the first that decides wins; ties go to the longest in the queue.
            #[serde(default = "first_come")]
            #[schemars(length(min = 1))]
            pub next: Vec<Next>,
            /// A lot that has waited this long is taken before same_family and shortest_changeover count. Default: no limit.
            #[serde(default)]
            pub family_wait: Option<Duration>,
            /// What moves on together: `roll`, `order`, or at most so many metres or pouches. Default: roll; order for bench, inspection, spouting and packing.
            #[serde(default)]
            pub lot: Option<Lot>,
            /// Lots that find room before the station; a full one blocks the machine before it. Default: no limit.
            #[serde(default)]
            pub staging: Option<u32>,
        }

        impl $name {
            fn view(&self) -> StationView<'_> {
                StationView {
                    next: &self.next,
                    family_wait: self.family_wait.as_ref(),
                    lot: self.lot.as_ref(),
                    staging: self.staging,
                    machines: self.machines.iter().map(|(name, machine)| (name.as_str(), machine.common())).collect(),
                }
            }
        }
    };
}

/// The keys all stations share.
pub(crate) struct StationView<'a> {
    pub next: &'a [Next],
    pub family_wait: Option<&'a Duration>,
    pub lot: Option<&'a Lot>,
    pub staging: Option<u32>,
    pub machines: Vec<(&'a str, Common<'a>)>,
}

station! {
    /// Printing, where a press is modelled.
    PressStation, Press {}
}
station! {
    /// Laminating one pass.
    LaminationStation, Laminator {}
}
station! {
    /// Slitting and rewinding into reels.
    SlittingStation, Slitter {}
}
station! {
    /// Pouch making.
    PouchingStation, PouchMachine {}
}
station! {
    /// Looking at finished pouches or rolls, or inserting spouts.
    PieceStation, PieceMachine {}
}
station! {
    /// Counting, packing, labelling cartons.
    PackingStation, Packer {}
}
station! {
    /// Any other step, given by a time.
    BenchStation, Bench {
        /// Time for every product. Give this or `times`.
        #[serde(default)]
        time: Option<RandomTime>,
        /// Time by product, instead of `time`; products that are missing do not come here.
        #[serde(default)]
        times: Option<Named<RandomTime>>,
        /// What the time is for.
        #[serde(default)]
        per: Per,
    }
}

/// A step of the cell.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(tag = "work", rename_all = "snake_case")]
pub enum Station {
    /// Printing, where a press is modelled.
    Press(PressStation),
    /// Laminating one pass.
    Lamination(LaminationStation),
    /// Slitting and rewinding into reels.
    Slitting(SlittingStation),
    /// Pouch making.
    Pouching(PouchingStation),
    /// Looking at finished pouches or rolls.
    Inspection(PieceStation),
    /// Inserting spouts.
    Spouting(PieceStation),
    /// Counting, packing, labelling cartons.
    Packing(PackingStation),
    /// Any other step, given by a time.
    Bench(BenchStation),
}

impl Station {
    /// The keys all stations share.
    pub(crate) fn view(&self) -> StationView<'_> {
        match self {
            Station::Press(s) => s.view(),
            Station::Lamination(s) => s.view(),
            Station::Slitting(s) => s.view(),
            Station::Pouching(s) => s.view(),
            Station::Inspection(s) | Station::Spouting(s) => s.view(),
            Station::Packing(s) => s.view(),
            Station::Bench(s) => s.view(),
        }
    }
}
