//! Changeovers by kind of machine: elements with their meaning and default, or a table.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{Duration, Length, RandomTime, Share};

/// A line of a changeover table.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TableLine {
    /// Product the machine is dressed for, or `any`.
    pub from: String,
    /// Next product, or `any`.
    pub to: String,
    /// Time it takes.
    pub time: RandomTime,
    /// Web lost at the start that follows. Default: the machine's `start_waste`.
    #[serde(default)]
    pub waste: Option<Length>,
}

/// Declares the web lost by the elements of one kind of machine.
macro_rules! start_losses {
    ($name:ident { $($key:ident,)* }) => {
        /// Web lost at the start of a job, by what was changed for it.
        #[derive(Debug, Clone, PartialEq, Default, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $(
                #[doc = concat!("With `", stringify!($key), "`.")]
                #[serde(default)]
                pub $key: Option<Length>,
            )*
        }
    };
}

/// Declares the changeover of one kind of machine.
macro_rules! changeover {
    ($(#[$doc:meta])* $name:ident, $waste:ident { $($(#[$key_doc:meta])* $key:ident,)* }) => {
        start_losses!($waste { $($key,)* });

        $(#[$doc])*
        ///
        /// Times include lock-out, cool-down and guard checks; never model a saving from skipping
        /// them. Elements that apply are combined: the largest plus `rest_share` of the others.
        #[derive(Debug, Clone, PartialEq, Default, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$key_doc])* #[serde(default)] pub $key: Option<RandomTime>,)*
            /// Web lost at the start that follows, by element that applies; those not named lose none. They are combined like the times. What is printed for stays `start_waste`: set that to the largest usual loss, or small orders come out short. Default: each start loses `start_waste`, whatever changed.
            #[serde(default)]
            pub waste: Option<$waste>,
            /// Share of all elements but the largest that is added to the largest. Default: 50 % for pouching (two people work at once), 100 % otherwise (common practice, no source).
            #[serde(default)]
            pub rest_share: Option<Share>,
            /// Least time of a changeover in which anything is changed: standstill, lock-out, cool-down, guard checks. Nothing makes it shorter, and no variant may lower it. Default: 0 min, as the times tell all.
            #[serde(default)]
            pub locked: Option<Duration>,
            /// Work on the next job that its people do away from the machine while it still runs: trolley, knives, cores and reels laid ready. Taken off the changeover as far as the lot waited in the queue during the run before it, never below `locked`. Default: none.
            #[serde(default)]
            pub prepare: Option<Duration>,
            /// Extra time after standing longer than `cold_after`: warming up. Default on a machine with a calendar: 30 min for a thermal laminator, 45 min for one with a reactive process, 20 min for a pouch machine, which heats its bars (common practice, no source); otherwise none.
            #[serde(default)]
            pub cold_start: Option<RandomTime>,
            /// Standing time after which the machine is cold. Default: 4 h (assumed).
            #[serde(default)]
            pub cold_after: Option<Duration>,
            /// Times by product instead of the elements; the first line that matches counts.
            #[serde(default)]
            pub table: Vec<TableLine>,
        }

        impl $name {
            /// The keys all changeovers share, and the elements as written, by key.
            pub(crate) fn view(&self) -> ChangeoverView<'_> {
                ChangeoverView {
                    elements: vec![$((stringify!($key), self.$key.as_ref())),*],
                    waste: self.waste.as_ref().map(|lost| vec![$(lost.$key.as_ref()),*]),
                    rest_share: self.rest_share.as_ref(),
                    locked: self.locked.as_ref(),
                    prepare: self.prepare.as_ref(),
                    cold_start: self.cold_start.as_ref(),
                    cold_after: self.cold_after.as_ref(),
                    table: &self.table,
                }
            }
        }
    };
}

/// Any changeover, whatever the machine.
pub(crate) struct ChangeoverView<'a> {
    pub elements: Vec<(&'static str, Option<&'a RandomTime>)>,
    /// Web lost by element, in the order of `elements`.
    pub waste: Option<Vec<Option<&'a Length>>>,
    pub rest_share: Option<&'a Share>,
    pub locked: Option<&'a Duration>,
    pub prepare: Option<&'a Duration>,
    pub cold_start: Option<&'a RandomTime>,
    pub cold_after: Option<&'a Duration>,
    pub table: &'a [TableLine],
}

changeover! {
    /// Changeover of a press.
    PressChangeover, PressStartWaste {
        /// Next job, nothing of the dressing differs. Default: 5 min (assumed).
        job,
        /// Another film. Default: 10 min (assumed).
        film,
        /// Another web width. Default: 5 min (assumed).
        width,
    }
}

changeover! {
    /// Changeover of a laminator. Defaults are common practice, no source: thermal machines / machines with a reactive process.
    LaminationChangeover, LaminationStartWaste {
        /// Next job, same film: splice. Default: 5 min / 8 min.
        job,
        /// Another film. Default: 12 min / 15 min.
        film,
        /// Another finish of the same film; another film brings its finish with it. Default: 12 min / 15 min.
        finish,
        /// Another web width. Default: 8 min / 12 min.
        width,
        /// Another adhesive, or another temperature for thermal films; not where the process changes. Default: 15 min / 45 min.
        adhesive,
        /// Another lamination process on the same machine, instead of `adhesive`. Default: 30 min / 45 min (assumed).
        process,
        /// Each corona treater that is cleaned and set, or taken off: the next job treats another web. Default: 5 min.
        treater,
    }
}

changeover! {
    /// Changeover of a slitter.
    SlittingChangeover, SlittingStartWaste {
        /// Next job: load and thread the parent roll. Default: 6 min (common practice, no source).
        job,
        /// Each knife that moves. Default: 2 min (razor, by hand; common practice, no source).
        knives,
        /// Another web width. Default: 0 min (assumed: in the knives).
        width,
    }
}

changeover! {
    /// Changeover of a pouch machine. Defaults are common practice on a short-run servo machine, no source.
    PouchingChangeover, PouchingStartWaste {
        /// Next job, same size and film: splice, new artwork, register. Default: 8 min.
        job,
        /// Another film: temperatures. Default: 20 min.
        film,
        /// Another pouch width: pitch, side seals, cut. Default: 35 min.
        width,
        /// Another height: zipper and seal lanes, fold. Default: 45 min.
        height,
        /// Another gusset. Default: 35 min.
        gusset,
        /// Zipper put in, taken out or threaded, or one of another kind. Default: 25 min.
        zipper,
        /// Another format. Default: 90 min.
        format,
        /// To or from a flat-bottom format, instead of `format`. Default: 120 min.
        flat_bottom,
        /// Each punch, notch, hole or corner tool that differs. Default: 10 min.
        punch,
        /// Other seal bars: another `bottom` of the product. Default: 20 min (assumed).
        seal_bars,
    }
}

changeover! {
    /// Changeover of inspection, spouting, packing or a bench.
    PlainChangeover, PlainStartWaste {
        /// Next job. Default: 0 min.
        job,
    }
}
