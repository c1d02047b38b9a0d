//! Orders: classes and their promises, arrival streams, and the experiment around them.

use crate::random::Dist;

use super::Calendar;

/// Experiment settings.
#[derive(Debug, Clone, PartialEq)]
pub struct RunPlan {
    /// Root of every random stream.
    pub seed: u64,
    /// Independent repetitions.
    pub replications: u32,
    /// First day of the clock, as days since 1970-01-01; the clock's zero is its midnight.
    pub start_day: i32,
    /// Time removed before measuring, minutes; a placeholder while the choice is [`WarmUp::Auto`].
    pub warm_up_min: f64,
    /// Where the warm-up comes from.
    pub warm_up: WarmUp,
    /// Measured time after the warm-up, minutes.
    pub measure_min: f64,
    /// Time after the measured one in which orders keep coming unmeasured and measured ones can end, minutes.
    pub run_out_min: f64,
    /// Level of the printed intervals, as a fraction.
    pub confidence: f64,
    /// So much of a difference counts as none: points of a share, of other figures a part of today's value.
    pub equal_within: f64,
    /// How well a figure must be known; replications are added until it is.
    pub precision: Option<Precision>,
    /// Most orders released to the floor at a time; further ones wait outside.
    pub floor_limit: Option<u32>,
}

/// Where the warm-up comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WarmUp {
    /// Given by the scenario.
    Given,
    /// None, because an order book describes the cell at the start.
    Booked,
    /// To be chosen before the run.
    Auto,
    /// Chosen from replications of its own.
    Chosen {
        /// How many.
        pilots: u32,
        /// False where the cell had not settled in the time looked at.
        settled: bool,
    },
}

/// How well a figure must be known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// Key of the figure.
    pub key: &'static str,
    /// Words for it.
    pub words: &'static str,
    /// Largest half of its interval, as a share of the figure.
    pub within: f64,
    /// Most replications.
    pub at_most: u32,
}

impl Precision {
    /// The 90 % point of the lead time within this share, in at most 1,000 replications.
    pub fn usual(within: f64) -> Self {
        Precision {
            key: "lead_done/all/p90",
            words: "90 % lead time",
            within,
            at_most: 1_000,
        }
    }
}

impl RunPlan {
    /// Day of the week of the clock's zero, 0 = Monday.
    pub fn start_weekday(&self) -> u32 {
        // 1970-01-01 was a Thursday (3 with Monday = 0).
        (i64::from(self.start_day) + 3).rem_euclid(7) as u32
    }
}

/// A class of orders.
#[derive(Debug, Clone, PartialEq)]
pub struct Class {
    /// Name shown in results.
    pub name: String,
    /// Lower goes first where a station's rule says `class_first`.
    pub rank: u8,
    /// What the customer is told.
    pub promise: Promise,
    /// Most orders of the class in the cell at a time; further ones wait outside.
    pub limit: Option<u32>,
    /// What happens when fewer good pouches come out than ordered.
    pub shortage: Shortage,
    /// What happens to an order that cannot be promised; `None`: it is taken all the same.
    pub when_full: Option<WhenFull>,
}

/// What happens to an order whose date, worked out when it is asked for, is later than its promise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WhenFull {
    /// Added to the date that is worked out, minutes.
    pub margin_min: f64,
    /// Who makes it instead; `None`: it is turned away.
    pub outside: Option<Outside>,
}

/// Another shop that makes what cannot be promised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// From the day it is asked for until the pouches are there, minutes.
    pub takes_min: f64,
    /// Fewest pouches of an order; of fewer, it is turned away.
    pub least: f64,
}

/// What happens to an order that comes out short.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shortage {
    /// Shipped as it is.
    ShipShort,
    /// What is missing is printed again, laminated and cured again, if more than this share is missing.
    Remake {
        /// Accepted shortage, as a fraction of the ordered quantity.
        tolerance: f64,
    },
}

/// The due date given with an order.
#[derive(Debug, Clone, PartialEq)]
pub enum Promise {
    /// Closing time of the n-th opening day of a calendar after the day of release.
    WorkingDays {
        /// Opening days after the day of release.
        days: u32,
        /// Calendar index whose days count.
        calendar: usize,
    },
    /// Release plus a span, minutes.
    After(Dist),
    /// No promise: never late, never on time.
    None,
}

/// One stream of orders.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrivals {
    /// Name shown in messages.
    pub name: String,
    /// Time between orders on the stream's own calendar clock, minutes.
    pub gap: Dist,
    /// The clock that the gaps run on; `None` runs day and night.
    pub calendar: Option<usize>,
    /// (class, share); shares sum to 1.
    pub classes: Vec<(usize, f64)>,
    /// (product, share); shares sum to 1.
    pub products: Vec<(usize, f64)>,
    /// SKUs in one order (whole number, at least 1), each drawn from `products`.
    pub skus: Dist,
    /// Calendar of the press that prints them together; `None`: their rolls are there when they come in.
    pub press: Option<usize>,
    /// SKUs of one product in an order are ganged along one roll until pouching.
    pub gang: bool,
    /// All SKUs of an order are of one product.
    pub one_product: bool,
    /// Good pouches (roll-stock: metres) per SKU; pieces for products without a format.
    pub quantity: Dist,
}

/// Minutes of a week.
const WEEK_MIN: f64 = 7.0 * 1440.0;

impl Arrivals {
    /// Orders a week, on average, by the clock that its gaps run on.
    pub fn orders_per_week(&self, calendars: &[Calendar]) -> f64 {
        let clock = self.calendar.and_then(|calendar| calendars.get(calendar));
        clock.map_or(WEEK_MIN, |open| open.weekly_open_min() as f64) / self.gap.mean()
    }

    /// SKUs a week, on average.
    pub fn skus_per_week(&self, calendars: &[Calendar]) -> f64 {
        self.orders_per_week(calendars) * self.skus.mean()
    }
}

/// One line of an order book, or a lot that is already in the cell at the clock's zero.
#[derive(Debug, Clone, PartialEq)]
pub struct BookOrder {
    /// The customer's or planner's own number of the order.
    pub name: String,
    /// What its draws are keyed by, its own in the book: an order that comes in besides leaves the others their luck.
    pub number: u32,
    /// Class.
    pub class: usize,
    /// Release, minutes since the clock's zero; 0 or earlier is there at once.
    pub release_min: f64,
    /// Promised, minutes since the clock's zero; `None`: by the class's promise.
    pub due_min: Option<f64>,
    /// SKUs: product and quantity.
    pub lines: Vec<BookLine>,
}

/// One SKU of a booked order.
#[derive(Debug, Clone, PartialEq)]
pub struct BookLine {
    /// Product.
    pub product: usize,
    /// Good pouches still to make.
    pub quantity: f64,
    /// Where it stands at the clock's zero, if it has begun.
    pub at: Option<Standing>,
}

/// Where begun work stands at the clock's zero: it waits before a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Step of the body web it waits for.
    pub step: usize,
    /// Minutes since its last lamination, if it was laminated.
    pub bonded_for_min: Option<f64>,
    /// On a machine of the station already: its number there, and the running minutes left.
    pub on: Option<(usize, f64)>,
}
