//! The validated description of a cell: what the scenario reader hands to the model compiler.
//!
//! In: values that [`crate::scenario`] has checked (names resolved to indices, units converted).
//! Out: plain data. Nothing here knows of YAML, of events or of chance being drawn.
//! Base units: minutes, metres along the web, millimetres across it, micrometres of caliper,
//! g/m², metres per minute; shares are fractions. Indices point into the vectors of [`Plant`].

pub mod calendar;
pub mod circle;
pub mod fit;
mod laminate;
mod machine;
mod money;
mod orders;
mod process;
mod product;
pub mod way;

pub use calendar::Calendar;
pub use laminate::{Laminate, MOST_PASSES, Pass, Sheet};
pub use machine::{
    AskedAt, Breakdown, Changeover, ChangeoverTable, Clock, Crew, ELEMENT_KINDS, Element,
    ElementKind, FirstOff, Interrupt, LotSize, Machine, MicroStops, Policy, RULES, Reserved, Rule,
    ShiftEnd, ShortCrew, Station, WashUp, Work,
};
pub use money::{Bought, Money};
pub use orders::{
    Arrivals, BookLine, BookOrder, Class, Outside, Precision, Promise, RunPlan, Shortage, Standing,
    WarmUp, WhenFull,
};
pub use process::{
    BenchPer, BenchTime, LaminationSpec, PackingSpec, PouchingSpec, PressSpec, Process,
    SlittingSpec, SpoutingSpec,
};
pub use product::{
    Adhesive, FreeAt, Gates, HotRoom, Lab, LabBefore, LaminationProcess, MoreWeb, Product, Room,
    Supply, Treated, Used,
};

/// A whole cell with its orders and its experiment, ready to be compiled.
#[derive(Debug, Clone, PartialEq)]
pub struct Plant {
    /// Title of the scenario, shown on every result.
    pub name: String,
    /// Free text of the author.
    pub note: String,
    /// Units and currency of the reader.
    pub reader: Reader,
    /// Seed, replications, warm-up, measured time.
    pub run: RunPlan,
    /// Opening times, by name.
    pub calendars: Vec<Calendar>,
    /// Pools of people, by skill.
    pub pools: Vec<Pool>,
    /// Cure rooms and racks with limited places.
    pub rooms: Vec<Room>,
    /// Adhesives and thermal coatings with their holds.
    pub adhesives: Vec<Adhesive>,
    /// Film structures.
    pub laminates: Vec<Laminate>,
    /// Widths of printed web that the shop keeps, mm, narrowest first; empty where they are not told.
    pub web_widths: Vec<f64>,
    /// What is sold.
    pub products: Vec<Product>,
    /// Steps of the cell in floor order, with their machines.
    pub stations: Vec<Station>,
    /// Order classes (standard, rush, ...), first one is the default.
    pub classes: Vec<Class>,
    /// Streams of orders.
    pub arrivals: Vec<Arrivals>,
    /// Orders known by name: an order book and work in process, in order of release.
    pub book: Vec<BookOrder>,
    /// What things cost and bring; `None` where the scenario does not speak of money.
    pub money: Option<Money>,
}

impl Plant {
    /// SKUs a week that the streams bring of each product, on average.
    pub fn skus_per_week(&self) -> Vec<f64> {
        let mut rates = vec![0.0; self.products.len()];
        for stream in &self.arrivals {
            let skus = stream.skus_per_week(&self.calendars);
            for &(product, share) in &stream.products {
                rates[product] += skus * share;
            }
        }
        rates
    }
}

/// How figures are shown to the reader of results.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reader {
    /// Inch units instead of metric ones in text meant for people.
    pub inch: bool,
    /// Currency code put before money.
    pub currency: String,
}

/// People with one skill; the count changes with their shifts.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    /// Name of the skill.
    pub name: String,
    /// (calendar index, people present while it is open).
    pub shifts: Vec<(usize, u32)>,
    /// Chance that a person is absent for a whole shift, as a fraction.
    pub absence: f64,
    /// Whose turn it is when several want people of this pool.
    pub rule: PoolRule,
    /// What has been passed over for so many open minutes goes first, and people are held for it.
    pub crew_wait_min: f64,
}

/// Whose turn it is when several want people of a pool; what it leaves equal goes by class, slack, longest wait.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum PoolRule {
    /// By class, slack and longest wait alone.
    #[default]
    Urgent,
    /// The station before which most planned work waits.
    MostWork,
    /// The station furthest downstream.
    Downstream,
    /// Stations in this order (indices); those not told come last.
    Stations(Vec<usize>),
}
