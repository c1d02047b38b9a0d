//! Stations: kind of work, what is taken next, how much moves together, the machines.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{
    Bench, Common, Duration, Laminator, Lot, Named, Number, Packer, PieceMachine, PouchMachine,
    Press, RandomTime, Share, Slitter,
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

/// What must agree for two jobs to be of one family.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Setting {
    /// Film: the outer one at a laminator, the laminate at a pouch machine.
    Film,
    /// Finish, at a laminator.
    Finish,
    /// Width of the web, or of the pouch at a pouch machine.
    Width,
    /// Adhesive, at a laminator.
    Adhesive,
    /// Lamination process.
    Process,
    /// Pouch format.
    Format,
    /// Height of the pouch.
    Height,
    /// Gusset.
    Gusset,
    /// With or without a zipper, and its kind.
    Zipper,
    /// Form of the bottom seal.
    Bottom,
    /// Punches, notches, holes and corners.
    Punch,
}

/// When an order of a better rank takes a machine from one of a worse rank.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Interrupt {
    /// Never: the SKU on the machine is finished first.
    #[default]
    Never,
    /// Between two rolls (lots) of the SKU.
    RollEnd,
    /// In the middle of the run. The changeover is paid again on the way back, and so is the start waste.
    AtOnce,
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
            /// A lot that has waited this long, in open hours of the station, is taken before same_family and shortest_changeover count. Default: no limit.
            #[serde(default)]
            pub family_wait: Option<Duration>,
            /// A lot with less time to spare than this until it is due, work and cure taken off, is taken before same_family and shortest_changeover count. Default: it makes no difference.
            #[serde(default)]
            pub family_slack: Option<Duration>,
            /// After so many lots of one family in a row same_family counts no more. Default: no limit.
            #[serde(default)]
            #[schemars(range(min = 1))]
            pub family_most: Option<u32>,
            /// What moves on together: `roll`, `order`, or at most so many metres or pouches. Default: roll; order for bench, inspection, spouting and packing.
            #[serde(default)]
            pub lot: Option<Lot>,
            /// Machine of the station that metres are planned on, where it can do the work. Default: the one that loses most.
            #[serde(default)]
            pub plan_on: Option<String>,
            /// Lots that find room before the station; a full one blocks the machine before it. Default: no limit.
            #[serde(default)]
            pub staging: Option<u32>,
            /// What must agree for `same_family`. Default: everything the machine is dressed for.
            #[serde(default)]
            pub family: Vec<Setting>,
            /// When an order of a better rank (a lower `rank` of its class) takes a machine from one of a worse rank.
            #[serde(default)]
            pub interrupt: Interrupt,
            /// A second machine takes lots of a SKU that is on another one only if their run is at least so many times its changeover. Default: any free machine takes them.
            #[serde(default)]
            pub split_from: Option<Number>,
            /// The next so much planned work keeps its turn: nothing overtakes it any more. Default: none.
            #[serde(default)]
            pub freeze: Option<Duration>,
            /// Share of lots that have to go back, to `rework_to`. Default: none.
            #[serde(default)]
            pub rework: Option<Share>,
            /// Station that `rework` goes back to: this one, or one before it on every route.
            #[serde(default)]
            pub rework_to: Option<String>,
        }

        impl $name {
            fn view(&self) -> StationView<'_> {
                StationView {
                    next: &self.next,
                    family_wait: self.family_wait.as_ref(),
                    family_slack: self.family_slack.as_ref(),
                    family_most: self.family_most,
                    lot: self.lot.as_ref(),
                    plan_on: self.plan_on.as_deref(),
                    staging: self.staging,
                    family: &self.family,
                    interrupt: self.interrupt,
                    split_from: self.split_from.as_ref(),
                    freeze: self.freeze.as_ref(),
                    rework: self.rework.as_ref(),
                    rework_to: self.rework_to.as_deref(),
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
    pub family_slack: Option<&'a Duration>,
    pub family_most: Option<u32>,
    pub lot: Option<&'a Lot>,
    pub plan_on: Option<&'a str>,
    pub staging: Option<u32>,
    pub family: &'a [Setting],
    pub interrupt: Interrupt,
    pub split_from: Option<&'a Number>,
    pub freeze: Option<&'a Duration>,
    pub rework: Option<&'a Share>,
    pub rework_to: Option<&'a str>,
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
