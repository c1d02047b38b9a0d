//! Machines by kind of work. The keys that all machines share are written once, in a macro.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{
    Acceleration, Breakdown, ChangeoverView, Duration, FirstOff, LaminationChangeover, Length,
    Mass, MicroStops, Named, PlainChangeover, PouchFormat, PouchingChangeover, PressChangeover,
    Process, RandomShare, Rate, Share, SlittingChangeover, Speed, Width,
};

/// What happens to work in progress when the shift ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ShiftEnd {
    /// Stops at once and goes on with the next shift.
    #[default]
    Pause,
    /// The running lot is finished in overtime.
    FinishLot,
    /// All lots of the running SKU are finished in overtime.
    FinishOrder,
    /// Nothing is started that cannot end before the shift does.
    NoLateStart,
}

/// People a machine needs.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Crew {
    /// Pool and people during changeovers; 0.5 when one person tends two machines.
    #[serde(default)]
    pub changeover: Named<f64>,
    /// Pool and people during the run; 0.5 when one person tends two machines.
    #[serde(default)]
    pub run: Named<f64>,
    /// A smaller crew, or one with people of other pools who stand in, with which the machine runs where the whole run crew is not there. Default: it stands.
    #[serde(default)]
    pub short: Option<ShortCrew>,
}

/// A smaller run crew, or one with others who stand in.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShortCrew {
    /// Pool and people: of at least one pool of the run crew fewer, and no more in all. Those of other pools, or more of one, are trained for it and stand in; they leave when the whole crew is there.
    pub people: Named<f64>,
    /// Share of its own speed at which the machine runs with them.
    pub speed: Share,
}

/// A machine, or hours of it, kept for some classes of orders.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KeptFor {
    /// Classes that may use it.
    #[schemars(length(min = 1))]
    pub classes: Vec<String>,
    /// Calendar: it is kept only while that is open; at other times all classes may use it. Default: always kept.
    #[serde(default)]
    pub hours: Option<String>,
}

/// Washing up before a reactive adhesive sets. Counts for adhesives with a `pot_life`.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WashUp {
    /// Planned wash-up that ends with each shift in which reactive adhesive ran. Common practice, no source.
    #[serde(default = "min_35")]
    pub end_of_shift: Duration,
    /// Wash-up after a stop that outlasts the pot life. Common practice, no source.
    #[serde(default = "min_20")]
    pub unplanned: Duration,
    /// Share of the pot life that a stop may last. Assumed.
    #[serde(default = "percent_60")]
    pub pot_life_share: Share,
    /// Web lost by an unplanned wash-up. Common practice, no source.
    #[serde(default = "m_8")]
    pub waste: Length,
}

/// Declares one kind of machine: its own keys, then those that all machines share.
macro_rules! machine {
    ($(#[$doc:meta])* $name:ident, $changeover:ident { $($(#[$key_doc:meta])* $key:ident: $type:ty,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$key_doc])* pub $key: $type,)*
            /// Machines that are just like this one: `count: 2` under the name `m` makes `m_1` and `m_2`.
            #[serde(default = "one")]
            #[schemars(range(min = 1, max = 50))]
            pub count: u32,
            /// When it is manned.
            #[serde(default = "always")]
            pub calendar: String,
            /// What happens to work in progress when the shift ends.
            #[serde(default)]
            pub shift_end: ShiftEnd,
            /// Longest overtime for finish_lot and finish_order. Assumed.
            #[serde(default = "an_hour")]
            pub overtime: Duration,
            /// People it needs. Default: none.
            #[serde(default)]
            pub crew: Crew,
            /// Changeover times.
            #[serde(default)]
            pub changeover: $changeover,
            /// Causes of breakdown. Default: none.
            #[serde(default)]
            pub breakdowns: Vec<Breakdown>,
            /// Short stops that the operator clears. Default: none.
            #[serde(default)]
            pub micro_stops: Option<MicroStops>,
            /// First-off approval. Default: none.
            #[serde(default)]
            pub first_off: Option<FirstOff>,
            /// Calendar of planned maintenance: the machine is closed while that calendar is open. Default: none.
            #[serde(default)]
            pub maintenance: Option<String>,
            /// Product it is dressed for at the start. Default: none, the first job pays every element.
            #[serde(default)]
            pub dressed_for: Option<String>,
            /// Kept for some classes of orders. Default: for all.
            #[serde(default)]
            pub kept_for: Option<KeptFor>,
        }

        impl $name {
            /// The keys all machines share.
            pub(crate) fn common(&self) -> Common<'_> {
                Common {
                    count: self.count,
                    calendar: &self.calendar,
                    shift_end: self.shift_end,
                    overtime: &self.overtime,
                    crew: &self.crew,
                    changeover: self.changeover.view(),
                    breakdowns: &self.breakdowns,
                    micro_stops: self.micro_stops.as_ref(),
                    first_off: self.first_off.as_ref(),
                    maintenance: self.maintenance.as_deref(),
                    dressed_for: self.dressed_for.as_deref(),
                    kept_for: self.kept_for.as_ref(),
                }
            }
        }
    };
}

/// The keys all machines share.
pub(crate) struct Common<'a> {
    pub count: u32,
    pub calendar: &'a str,
    pub shift_end: ShiftEnd,
    pub overtime: &'a Duration,
    pub crew: &'a Crew,
    pub changeover: ChangeoverView<'a>,
    pub breakdowns: &'a [Breakdown],
    pub micro_stops: Option<&'a MicroStops>,
    pub first_off: Option<&'a FirstOff>,
    pub maintenance: Option<&'a str>,
    pub dressed_for: Option<&'a str>,
    pub kept_for: Option<&'a KeptFor>,
}

machine! {
    /// A press.
    Press, PressChangeover {
        /// Speed.
        speed: Speed,
        /// Acceleration and deceleration. Common practice, no source.
        #[serde(default = "ramp_8")]
        ramp: Acceleration,
        /// Widest web. Assumed.
        #[serde(default = "mm_850")]
        web_max: Width,
        /// Web lost at the start of each job. Assumed.
        #[serde(default = "m_20")]
        start_waste: Length,
        /// Share of web lost while running; drawn anew for each lot where it varies. Assumed.
        #[serde(default = "percent_1")]
        running_waste: RandomShare,
    }
}

machine! {
    /// A laminator.
    Laminator, LaminationChangeover {
        /// Processes it can run, each with its speed. Common practice on short lots: thermal 20 to 80 m/min, solventless 100 to 250, solvent_based 100 to 300, water_based 80 to 200, no source.
        #[schemars(extend("propertyNames" = { "$ref": "#/$defs/Process" }))]
        processes: IndexMap<Process, Speed>,
        /// Share of its speed that it reaches with webs of a kind (see `kinds` of laminates); of several kinds the least counts. Default: all of it.
        #[serde(default)]
        speed_for: Named<Share>,
        /// Acceleration and deceleration. Common practice, no source.
        #[serde(default = "ramp_8")]
        ramp: Acceleration,
        /// Narrowest web.
        #[serde(default = "mm_0")]
        web_min: Width,
        /// Widest web. Common practice for short-run machines, no source.
        #[serde(default = "mm_850")]
        web_max: Width,
        /// Largest roll on the unwinds. Common practice for short-run machines, no source.
        #[serde(default = "mm_800")]
        unwind_max: Width,
        /// Largest roll on the rewind. Common practice for short-run machines, no source.
        #[serde(default = "mm_800")]
        rewind_max: Width,
        /// Heaviest roll that its shafts, its lift or its people take: rolls are made no heavier. What people may lift by hand is a matter of local rules. Default: no limit.
        #[serde(default)]
        lift: Option<Mass>,
        /// Outside diameter of the core (a 76 mm core is 76 mm inside, about 92 mm outside). Common practice, no source.
        #[serde(default = "mm_92")]
        core: Width,
        /// Web lost at the start of each job. Common practice for thermal; 50 m for solventless, no source.
        #[serde(default = "m_20")]
        start_waste: Length,
        /// Share of web lost while running; drawn anew for each lot where it varies. Common practice, no source.
        #[serde(default = "percent_1")]
        running_waste: RandomShare,
        /// Stop at each further roll of a job. Default: 6 min (common practice, no source).
        #[serde(default)]
        roll_change: Option<Duration>,
        /// Splices a further roll of a job at full speed: no stop, so no `roll_change`.
        #[serde(default)]
        flying_splice: bool,
        /// Film on the second unwind: the machine stops each time it has run out, whatever the job. Default: no stops for it.
        #[serde(default)]
        film_reel: Option<Length>,
        /// Changing that film. Common practice, no source.
        #[serde(default = "min_5")]
        film_change: Duration,
        /// Washing up before a reactive adhesive sets. Default: none.
        #[serde(default)]
        wash_up: Option<WashUp>,
        /// Corona treaters it has.
        #[serde(default)]
        treaters: super::Treating,
        /// Lanes it can part in line on its rewinder; 1: none.
        #[serde(default = "one")]
        #[schemars(range(min = 1, max = 100))]
        inline_lanes: u32,
    }
}

machine! {
    /// A slitter-rewinder.
    Slitter, SlittingChangeover {
        /// Average speed once running. Common practice with printed laminate 80 to 250 m/min, far below the brochure, no source.
        speed: Speed,
        /// Share of its speed that it reaches with webs of a kind (see `kinds` of laminates); of several kinds the least counts. Default: all of it.
        #[serde(default)]
        speed_for: Named<Share>,
        /// Acceleration and deceleration. Common practice, no source.
        #[serde(default = "ramp_10")]
        ramp: Acceleration,
        /// Widest web. Assumed.
        #[serde(default = "mm_850")]
        web_max: Width,
        /// Knives: lanes + 1 with both edges trimmed. Common practice for short-run machines, no source.
        #[serde(default = "ten")]
        #[schemars(range(min = 2, max = 200))]
        knives: u32,
        /// Largest rewound reel. Common practice, no source.
        #[serde(default = "mm_400")]
        rewind_max: Width,
        /// Heaviest reel that its shafts, its lift or its people take: reels are made no heavier. Default: no limit.
        #[serde(default)]
        lift: Option<Mass>,
        /// Outside diameter of the core. Common practice, no source.
        #[serde(default = "mm_92")]
        core: Width,
        /// Taking off and labelling a set of reels. Common practice, no source.
        #[serde(default = "min_3")]
        doff: Duration,
        /// Core loading and taping, each lane and set. Common practice, no source.
        #[serde(default = "half_min")]
        core_load: Duration,
        /// Loading each further parent roll of a job. Common practice, no source.
        #[serde(default = "min_6")]
        roll_change: Duration,
        /// Web lost at the start of each job. Common practice, no source.
        #[serde(default = "m_10")]
        start_waste: Length,
        /// Share of web lost while running, edge trim not included; drawn anew for each lot where it varies. Common practice, no source.
        #[serde(default = "percent_half")]
        running_waste: RandomShare,
    }
}

machine! {
    /// A pouch machine.
    PouchMachine, PouchingChangeover {
        /// Cycles it reaches by format, without a zipper; a format that is missing here cannot be made. Common practice: three_side 120 to 200 /min, stand_up 80 to 140, flat_bottom 40 to 80, quad_seal 40 to 90, no source.
        #[schemars(extend("propertyNames" = { "$ref": "#/$defs/PouchFormat" }))]
        speeds: IndexMap<PouchFormat, Rate>,
        /// Cycles with a zipper by format. Default: as `speeds`. Common practice: three_side 80 to 150 /min, stand_up 60 to 120, no source.
        #[serde(default)]
        #[schemars(extend("propertyNames" = { "$ref": "#/$defs/PouchFormat" }))]
        zipper_speeds: IndexMap<PouchFormat, Rate>,
        /// Cap on the speed of the web. Common practice 20 to 45 m/min, no source.
        #[serde(default = "speed_30")]
        web_speed: Speed,
        /// Share of its cycles and of its `web_speed` that it reaches with webs of a kind (see `kinds` of laminates); of several kinds the least counts; `dwell` stays. Default: all of it.
        #[serde(default)]
        speed_for: Named<Share>,
        /// Seal dwell by caliper: up to this caliper, that long; thicker film takes the last one. Default: no cap from dwell.
        #[serde(default)]
        #[schemars(extend("propertyNames" = { "format": "film thickness" }))]
        dwell: IndexMap<super::Caliper, Duration>,
        /// More dwell where the product has a zipper: its profile takes heat, too. Needs `dwell`.
        #[serde(default = "no_time")]
        zipper_dwell: Duration,
        /// Time to index from one pouch to the next, with `dwell`. Common practice, no source.
        #[serde(default = "index")]
        index: Duration,
        /// More index time for each mm of pitch. Common practice, no source.
        #[serde(default = "index_per_mm")]
        index_per_mm: Duration,
        /// Widest web. Common practice for conventional machines; 350 to 650 mm for short-run ones, no source.
        #[serde(default = "mm_1050")]
        web_max: Width,
        /// Largest reel on its unwinds: the slitter makes none larger. Default: no limit.
        #[serde(default)]
        unwind_max: Option<Width>,
        /// Heaviest reel that its shafts, its lift or its people take: the slitter makes none heavier. Default: no limit.
        #[serde(default)]
        lift: Option<Mass>,
        /// Lanes side by side.
        #[serde(default = "one")]
        #[schemars(range(min = 1, max = 20))]
        lanes: u32,
        /// Unwinds: one for each reel that runs at a time, of the body and of further webs. Two lanes of stand_up_two_web or flat_bottom need four; two lanes of stand_up_inserted three, as they share a gusset reel.
        #[serde(default = "one")]
        #[schemars(range(min = 1, max = 16))]
        webs: u32,
        /// Has a zipper module.
        #[serde(default)]
        zipper: bool,
        /// What else it has: words of your own, asked for by the `features` of products.
        #[serde(default)]
        modules: Vec<String>,
        /// Stop at each further roll or reel of a job; what runs side by side is changed together. Common practice, no source.
        #[serde(default = "min_4")]
        roll_change: Duration,
        /// Web lost with each such change: the splice, and what runs before pouches are good again. Default: 5 % of `start_waste` (assumed).
        #[serde(default)]
        splice_waste: Option<Length>,
        /// Zipper on a reel. Common practice, no source.
        #[serde(default = "m_3000")]
        zipper_reel: Length,
        /// Zipper reel change. Common practice, no source.
        #[serde(default = "min_6")]
        zipper_change: Duration,
        /// Web lost at the start of each job. Common practice, no source.
        #[serde(default = "m_40")]
        start_waste: Length,
        /// Share of pouches rejected while running; drawn anew for each lot where it varies. Common practice, no source.
        #[serde(default = "percent_3")]
        rejects: RandomShare,
        /// Pouches that the people at its end can count and pack. Default: no cap. Common practice 50 to 100 /min each, no source.
        #[serde(default)]
        packers: Option<Rate>,
    }
}

machine! {
    /// An inspection place or a spout inserter.
    PieceMachine, PlainChangeover {
        /// Pieces it does.
        rate: Rate,
        /// Share of pieces lost; drawn anew for each lot where it varies. Common practice, no source.
        #[serde(default = "percent_2")]
        rejects: RandomShare,
        /// Fixed time for each lot. Assumed.
        #[serde(default = "min_5")]
        per_lot: Duration,
    }
}

machine! {
    /// A packing place.
    Packer, PlainChangeover {
        /// Pouches stacked and counted. Common practice 50 to 100 /min a person, no source.
        rate: Rate,
        /// Closing and labelling a carton. Common practice, no source.
        #[serde(default = "carton")]
        carton: Duration,
        /// Packs while the pouch machine runs: only what is longer than the pouching run is left to do.
        #[serde(default = "yes")]
        alongside: bool,
    }
}

machine! {
    /// A bench: a server whose time stands at the station.
    Bench, PlainChangeover {}
}

/// Declares defaults as written in a file.
macro_rules! defaults {
    ($($name:ident: $type:ty = $text:literal;)*) => {
        $(fn $name() -> $type { $text.into() })*
    };
}

defaults! {
    always: String = "always";
    an_hour: Duration = "60 min";
    no_time: Duration = "0 min";
    half_min: Duration = "0.5 min";
    min_3: Duration = "3 min";
    min_4: Duration = "4 min";
    min_5: Duration = "5 min";
    min_6: Duration = "6 min";
    min_20: Duration = "20 min";
    min_35: Duration = "35 min";
    carton: Duration = "1.5 min";
    index: Duration = "0.15 s";
    index_per_mm: Duration = "0.0006 s";
    m_8: Length = "8 m";
    m_10: Length = "10 m";
    m_20: Length = "20 m";
    m_40: Length = "40 m";
    m_3000: Length = "3000 m";
    mm_0: Width = "0 mm";
    mm_92: Width = "92 mm";
    mm_400: Width = "400 mm";
    mm_800: Width = "800 mm";
    mm_850: Width = "850 mm";
    mm_1050: Width = "1050 mm";
    percent_half: RandomShare = "0.5 %";
    percent_1: RandomShare = "1 %";
    percent_2: RandomShare = "2 %";
    percent_3: RandomShare = "3 %";
    percent_60: Share = "60 %";
    speed_30: Speed = "30 m/min";
    ramp_8: Acceleration = "8 m/min/s";
    ramp_10: Acceleration = "10 m/min/s";
}

fn one() -> u32 {
    1
}

fn ten() -> u32 {
    10
}

fn yes() -> bool {
    true
}
