//! The scenario file as it is written: one type per block, every key with its meaning.
//!
//! In: YAML that the structural walk has passed. Out: [`ScenarioFile`], texts and numbers as
//! written, nothing resolved. The doc comments of the keys become the JSON Schema's descriptions
//! and the reference page, so they speak to the author of a scenario.
//!
//! A default that depends on nothing stands in the type (and so in the schema); one that depends
//! on other keys is told in the key's text and applied by the validator.

mod changeover;
mod first_off;
mod laminate;
mod machine;
mod material;
mod money;
mod order;
mod orders;
mod people;
mod product;
mod station;
mod stops;
mod text;
mod variant;

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use changeover::*;
pub use first_off::*;
pub use laminate::*;
pub use machine::*;
pub use material::*;
pub use money::*;
pub use order::by_name;
pub use orders::*;
pub use people::*;
pub use product::*;
pub use station::*;
pub use stops::*;
pub use text::*;
pub use variant::*;

/// A map that keeps the order of the file.
pub type Named<V> = IndexMap<String, V>;

/// A print-to-pouch finishing cell with its orders.
///
/// Quantities carry their unit: `30 m/min`, `760 mm`, `129 um`, `2 h`, `4 %`. A text with a comma
/// in it stands in quotes inside `{ }` and `[ ]`.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Scenario")]
pub struct ScenarioFile {
    /// Version of this file format: `2`. Files of format 1 are rewritten by `pouchcast renew`.
    #[schemars(range(min = 2, max = 2))]
    pub format: u32,
    /// Title, shown on every result.
    pub name: String,
    /// Free text of the author, shown with the results.
    #[serde(default)]
    pub note: Option<String>,
    /// How figures are shown to the reader of results.
    #[serde(default)]
    pub reader: Option<Reader>,
    /// The experiment: seed, replications, warm-up, measured time. Every key has a default.
    #[serde(default)]
    pub run: Option<Run>,
    /// Opening times by name. The name `always` is there already: never closed.
    #[serde(default)]
    pub calendars: Named<Calendar>,
    /// Pools of people by skill. Machines ask for people under `crew`.
    #[serde(default)]
    pub people: Named<Pool>,
    /// Hot rooms and racks whose places are limited, by name.
    #[serde(default)]
    pub rooms: Named<Room>,
    /// Single films by name, to build laminates from.
    #[serde(default)]
    pub films: Named<Film>,
    /// Adhesives and thermal coatings by name, with their holds.
    #[serde(default)]
    pub adhesives: Named<Adhesive>,
    /// Film structures by name.
    #[serde(default)]
    pub laminates: Named<Laminate>,
    /// Widths of printed web that the shop keeps, one to three as a rule. A product without `web` is printed on the one that takes least web for a pouch, and `explain` compares them. Default: each product tells its `web`.
    #[serde(default)]
    pub web_widths: Vec<Width>,
    /// What is sold, by name.
    pub products: Named<Product>,
    /// The steps of the cell by name, in floor order, each with its machines.
    pub stations: Named<Station>,
    /// Order classes by name; the first one is the default class. Without this block there is one class, `standard`, without a promise.
    #[serde(default)]
    pub classes: Named<Class>,
    /// Streams of orders. At least one, unless there is a `book`.
    #[serde(default)]
    pub orders: Vec<Stream>,
    /// File name of an order book beside the scenario: orders known by name, and work already in the cell at the start. A table (CSV) with the columns `order`, `product` and `quantity`, and if wanted `class`, `release`, `due`, `at` (the station it waits for at the start) `bonded` (when its roll left the laminator), `on` and `left` (the machine a roll of it is on at the start, and how long until that roll is off it, stops included; further rolls of the row wait behind it). Work that began before the start has waited since its `release`, where that is told. Default: none.
    #[serde(default)]
    pub book: Option<String>,
    /// What things cost and bring. Default: results do not speak of money.
    #[serde(default)]
    pub money: Option<Money>,
    /// What the cell is compared with: named changes to it. The cell as it stands in the file is called `today`.
    #[serde(default)]
    pub variants: Named<Variant>,
    /// Demand cases of a comparison: the orders of all streams multiplied by each of these, such as `[1, 1.15, 1.3]`. Default: 1 alone.
    #[serde(default)]
    pub demands: Vec<Number>,
}

/// How figures are shown.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reader {
    /// Units in text meant for people.
    #[serde(default)]
    pub units: UnitSystem,
    /// Currency code of three letters, put before money.
    #[serde(default = "currency")]
    pub currency: String,
}

fn currency() -> String {
    "EUR".to_string()
}

/// Units in text meant for people.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Metres and millimetres.
    #[default]
    Metric,
    /// Feet and inches.
    Inch,
}

/// The experiment.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Root of every random draw: same file, same seed, same result.
    #[serde(default = "seed")]
    pub seed: u64,
    /// Independent repetitions; more of them make intervals narrower.
    #[serde(default = "replications")]
    #[schemars(range(min = 1, max = 1_000_000))]
    pub replications: u32,
    /// First day of the clock, which starts at midnight. The default is a Monday.
    #[serde(default = "start")]
    pub start: Date,
    /// Time at the start that is not measured, so that the empty cell fills up. `auto`: chosen from 20 replications of its own, by how long orders take and how slowly the fullest station forgets where it began; nothing where a `book` describes the start.
    #[serde(default = "warm_up")]
    pub warm_up: WarmUp,
    /// Measured time after the warm-up. Assumed.
    #[serde(default = "measure")]
    pub measure: Duration,
    /// Time after the measured one: orders keep coming, unmeasured, so that the measured ones can end. Assumed.
    #[serde(default = "run_out")]
    pub run_out: Duration,
    /// Level of the printed intervals, from 50 % to 99.9 %.
    #[serde(default = "confidence")]
    pub confidence: Share,
    /// Differences that are surely no larger than this count as equal in comparisons: points of a share on time, of other figures a part of today's value; up to 20 %. Money has one of its own. Assumed.
    #[serde(default = "equal_within")]
    pub equal_within: Share,
    /// Replications are added to those above, 20 at a time, until a figure is known well enough. Default: none are added.
    #[serde(default)]
    pub precision: Option<Precision>,
    /// Most orders on the floor at a time; further ones wait outside, the best rank and nearest due date first, and their lead time runs. Default: no limit.
    #[serde(default)]
    #[schemars(range(min = 1))]
    pub floor_limit: Option<u32>,
}

impl Default for Run {
    fn default() -> Self {
        Run {
            seed: seed(),
            replications: replications(),
            start: start(),
            warm_up: warm_up(),
            measure: measure(),
            run_out: run_out(),
            confidence: confidence(),
            equal_within: equal_within(),
            precision: None,
            floor_limit: None,
        }
    }
}

/// How well a figure must be known.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Precision {
    /// The figure, of all orders.
    #[serde(default)]
    pub of: PreciseFigure,
    /// Largest half of its interval, as a share of the figure; from 0.1 % to 50 %.
    pub within: Share,
    /// Most replications.
    #[serde(default = "at_most")]
    #[schemars(range(min = 20, max = 1_000_000))]
    pub at_most: u32,
}

fn at_most() -> u32 {
    1_000
}

/// A figure that can be asked to be precise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PreciseFigure {
    /// Lead time within which half of the orders are done.
    P50LeadTime,
    /// Lead time within which 9 of 10 orders are done.
    #[default]
    P90LeadTime,
    /// Lead time within which 19 of 20 orders are done.
    P95LeadTime,
    /// Mean lead time.
    MeanLeadTime,
    /// Orders done a week.
    Throughput,
    /// Share of the orders done by the promised date.
    OnTime,
}

fn seed() -> u64 {
    1
}

fn replications() -> u32 {
    100
}

fn start() -> Date {
    "2027-01-04".into()
}

fn warm_up() -> WarmUp {
    "auto".into()
}

fn measure() -> Duration {
    "26 weeks".into()
}

fn run_out() -> Duration {
    "4 weeks".into()
}

fn confidence() -> Share {
    "95 %".into()
}

fn equal_within() -> Share {
    "0.5 %".into()
}
