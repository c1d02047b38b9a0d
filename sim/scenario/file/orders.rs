//! Order classes and streams of orders. The columns of an order book stand in [`super::super::book`].

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Duration, Named, Number, Promise, RandomNumber, RandomTime, Share};

/// What happens to an order that comes out short.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Shortage {
    /// Shipped as it is.
    #[default]
    ShipShort,
    /// What is missing is printed, laminated and cured again.
    Remake,
}

/// A class of orders.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Class {
    /// Due date told to the customer, counted from the release: `5 working days of day` (the close of that opening day of the calendar `day`), a duration, or `none`.
    #[serde(default = "no_promise")]
    pub promise: Promise,
    /// Where stations take `class_first`, a lower rank goes first. Default: 0 for a class called `rush`, 1 otherwise.
    #[serde(default)]
    pub rank: Option<u8>,
    /// Most orders of the class on the floor at a time; further ones wait outside, and their lead time runs. Default: no limit.
    #[serde(default)]
    #[schemars(range(min = 1))]
    pub limit: Option<u32>,
    /// What happens when fewer good pouches come out than ordered.
    #[serde(default)]
    pub shortage: Shortage,
    /// Missing share that is accepted, with `shortage: remake`. Default: 0 %.
    #[serde(default)]
    pub tolerance: Option<Share>,
    /// What happens to an order of a stream whose date, worked out when it is asked for, is later than its promise.
    #[serde(default)]
    pub when_full: WhenFull,
    /// Added to the date that is worked out before it is held against the promise, with `when_full`. Default: nothing.
    #[serde(default)]
    pub quote_margin: Option<Duration>,
    /// The shop that makes what is sent out. Required with `when_full: send_out`; its price stands under `money`, `outside`.
    #[serde(default)]
    pub outside: Option<Outside>,
}

/// What happens to an order that cannot be promised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WhenFull {
    /// It is taken, and may be late.
    #[default]
    TakeAll,
    /// It is turned away: its margin is lost.
    TurnAway,
    /// Another shop makes it.
    SendOut,
}

/// Another shop that makes what cannot be promised.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outside {
    /// From the day an order is asked for until its pouches are there: print, film, pouches and freight of the other shop.
    pub takes: Duration,
    /// Fewest pouches of an order that the other shop makes; smaller ones are turned away. Default: any number.
    #[serde(default)]
    pub least: Option<Number>,
}

fn no_promise() -> Promise {
    "none".into()
}

/// A stream of orders.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stream {
    /// Name, for messages and results.
    pub name: String,
    /// Orders in a calendar week on average, coming at random. Give this or `every`.
    #[serde(default)]
    pub per_week: Option<Number>,
    /// Time from one order to the next, on the clock of `calendar`. Give this or `per_week`.
    #[serde(default)]
    pub every: Option<RandomTime>,
    /// Orders come while this calendar is open.
    #[serde(default = "always")]
    pub calendar: String,
    /// Share of each class; must add up to 100 %. Default: all of the first class.
    #[serde(default)]
    pub classes: Option<Named<Share>>,
    /// Share of each product among the SKUs; must add up to 100 %.
    pub products: Named<Share>,
    /// SKUs in one order, rounded to a whole number, at least 1.
    #[serde(default = "one")]
    pub skus: RandomNumber,
    /// Good pouches per SKU, rounded to a whole number, at least 1; metres for roll_stock, pieces for products without a format.
    #[serde(default = "one")]
    pub quantity: RandomNumber,
    /// Calendar of the press: an order is printed together with all that came in since, when that opens next; its promise counts from when it came in. Default: its printed rolls are there when it comes in.
    #[serde(default)]
    pub press: Option<String>,
    /// SKUs of one product in an order share one roll, one behind the other, until they are parted at pouch making.
    #[serde(default)]
    pub gang: bool,
    /// All SKUs of an order are of one product: artworks of it.
    #[serde(default)]
    pub one_product: bool,
}

fn always() -> String {
    "always".to_string()
}

fn one() -> RandomNumber {
    "1".into()
}
