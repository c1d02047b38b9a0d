//! Dates for the orders of an order book: when each will be done, how likely it is late, what to quote.
//!
//! In: what every replication says of the book. Out: [`Promises`], plain data. A date at 90 % is one by
//! which nine of ten replications had the order done; an order that was not done when the clock ended
//! counts as later than any date, and as late.

use crate::kernel::NEVER;
use crate::model::Model;
use crate::observe::BookTimes;
use crate::plant::Promise;
use crate::stats::{Interval, order_interval, proportion_interval};
use crate::units::Tick;

/// Points that are told, and their short names.
pub const POINTS: [(f64, &str); 4] = [(0.5, "p50"), (0.8, "p80"), (0.9, "p90"), (0.95, "p95")];

/// A chance to be late above this is a risk (our own line; a tenth, as for the quoted dates).
pub const AT_RISK: f64 = 0.10;

/// A chance to be late above this makes late the likely end.
pub const LIKELY_LATE: f64 = 0.50;

/// A moment with the range in which it lies; `None`: after the end of the run, or not to be told from so
/// few replications.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// Best estimate; `None`: after the end of the run.
    pub at: Option<Tick>,
    /// Lower end; `None`: not to be told.
    pub from: Option<Tick>,
    /// Upper end; `None`: after the end of the run, or not to be told.
    pub to: Option<Tick>,
}

/// When an order is promised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Due {
    /// Not at all.
    None,
    /// At this moment in every replication.
    At(Tick),
    /// Drawn anew in every replication.
    Varies,
}

/// How an order stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Risk {
    /// More likely late than not.
    LikelyLate,
    /// Its chance to be late is more than one in ten.
    AtRisk,
    /// Neither.
    Safe,
    /// Nothing is promised.
    NoPromise,
}

impl Risk {
    /// Key used in files.
    pub fn key(self) -> &'static str {
        match self {
            Risk::LikelyLate => "likely_late",
            Risk::AtRisk => "at_risk",
            Risk::Safe => "safe",
            Risk::NoPromise => "no_promise",
        }
    }
}

/// What is said of one order.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderPromise {
    /// Place in the book.
    pub entry: usize,
    /// Done by, at each of [`POINTS`].
    pub points: [Moment; POINTS.len()],
    /// Promised.
    pub due: Due,
    /// Share of replications in which it was late, with its interval; `None` without a promise.
    pub late: Option<(f64, Interval)>,
    /// Replications in which it was not done when the clock ended.
    pub open: u32,
    /// Share of replications in which it came out with fewer good pouches than ordered.
    pub short: f64,
    /// How it stands.
    pub risk: Risk,
    /// How it would stand under the same luck without the new order; `None` where none is asked for.
    pub without: Option<Without>,
}

/// An order as it stands without the new one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Without {
    /// Done by in nine of ten replications; `None`: after the end of the run.
    pub p90: Option<Tick>,
    /// Share of replications in which it is late.
    pub late: Option<f64>,
    /// How it stands.
    pub risk: Risk,
}

/// Less than this is no move, ticks (a minute, the finest that is shown).
const MOVE: Tick = crate::units::TICKS_PER_MINUTE;

impl OrderPromise {
    /// The date at 90 %.
    pub fn p90(&self) -> Option<Tick> {
        self.points.get(2).and_then(|point| point.at)
    }

    /// By how much the new order moves the date at 90 %, ticks; `None` where either lies after the end of the run.
    pub fn moved_by(&self) -> Option<Tick> {
        Some(self.p90()? - self.without?.p90?)
    }

    /// Whether the new order moves its date at 90 % by more than a minute, or out of the run.
    pub fn moves(&self) -> bool {
        self.without.is_some_and(|without| match self.moved_by() {
            Some(by) => by.abs() > MOVE,
            None => self.p90().is_some() != without.p90.is_some(),
        })
    }
}

/// The date to quote for a new order.
#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    /// How it stands.
    pub order: OrderPromise,
    /// How sure the date is to be.
    pub sure: f64,
    /// Done by.
    pub done: Moment,
    /// First moment from then on at which the calendar of its class's promise is open; the same as `done`
    /// for a class without one. `None`: after the end of the run.
    pub ship: Option<Tick>,
}

/// A new order beside the book.
#[derive(Debug, Clone, Copy)]
pub struct New<'a> {
    /// Its place in the book.
    pub entry: usize,
    /// How sure its date is to be.
    pub sure: f64,
    /// The cell without it.
    pub book: &'a Model,
    /// The same replications without it.
    pub times: &'a [BookTimes],
}

/// All that is said.
#[derive(Debug, Clone, PartialEq)]
pub struct Promises {
    /// Orders of the book, the most likely late first, then by the date at 90 %; with the new order in the cell, if
    /// one is asked for.
    pub orders: Vec<OrderPromise>,
    /// The new order, if one is asked for.
    pub quote: Option<Quote>,
    /// Replications asked for.
    pub asked: u32,
    /// Replications done.
    pub done: u32,
    /// Level of the ranges.
    pub confidence: f64,
}

impl Promises {
    /// From replications.
    pub fn new(model: &Model, times: &[BookTimes], asked: u32, new: Option<New<'_>>) -> Self {
        let confidence = model.plant.run.confidence;
        let mut orders: Vec<OrderPromise> = (0..model.plant.book.len())
            .map(|entry| order(model, times, entry, confidence))
            .collect();
        let quote = new.map(|new| {
            let own = orders.remove(new.entry);
            for (place, order) in orders.iter_mut().enumerate() {
                // Places of a book without the new order.
                let before = self::order(new.book, new.times, place, confidence);
                order.without = Some(Without {
                    p90: before.p90(),
                    late: before.late.map(|late| late.0),
                    risk: before.risk,
                });
            }
            let done = moment(&sorted(times, new.entry), new.sure, confidence);
            let class = model
                .plant
                .book
                .get(new.entry)
                .map_or(0, |order| order.class);
            Quote {
                order: own,
                sure: new.sure,
                done,
                ship: done.at.map(|at| next_open(model, class, at)),
            }
        });
        orders.sort_by(|a, b| {
            let late = |o: &OrderPromise| o.late.map_or(-1.0, |late| late.0);
            let by = |o: &OrderPromise| o.p90().unwrap_or(NEVER);
            late(b)
                .total_cmp(&late(a))
                .then(by(a).cmp(&by(b)))
                .then(a.entry.cmp(&b.entry))
        });
        Self {
            orders,
            quote,
            asked,
            done: times.len() as u32,
            confidence,
        }
    }

    /// Number of orders that stand so.
    pub fn count(&self, risk: Risk) -> usize {
        self.orders.iter().filter(|o| o.risk == risk).count()
    }
}

fn sorted(times: &[BookTimes], entry: usize) -> Vec<Tick> {
    let mut done: Vec<Tick> = times
        .iter()
        .filter_map(|one| one.done.get(entry))
        .copied()
        .collect();
    done.sort_unstable();
    done
}

/// The smallest moment that at least a share `p` does not exceed, with its range by ranks.
fn moment(sorted: &[Tick], p: f64, confidence: f64) -> Moment {
    let n = sorted.len();
    let known = |rank: u64| {
        let index = usize::try_from(rank.saturating_sub(1)).ok()?;
        sorted.get(index).copied().filter(|&tick| tick != NEVER)
    };
    // A share that is a whole number of replications but for rounding is that number.
    let rank = ((p * n as f64) - 1e-9).ceil().max(1.0) as u64;
    let ranks = order_interval(n as u64, p, confidence);
    Moment {
        at: known(rank),
        from: ranks.lower.and_then(known),
        to: ranks.upper.and_then(known),
    }
}

fn order(model: &Model, times: &[BookTimes], entry: usize, confidence: f64) -> OrderPromise {
    let sorted = sorted(times, entry);
    let points = POINTS.map(|(p, _)| moment(&sorted, p, confidence));
    let mut promised = times.iter().filter_map(|one| one.due.get(entry)).copied();
    // An order that never came in within the run has its own date all the same.
    let own = model.plant.book.get(entry).and_then(|order| order.due_min);
    let first = promised.next().unwrap_or(NEVER);
    let due = match (first, own) {
        (NEVER, None) => Due::None,
        (NEVER, Some(min)) => Due::At(crate::units::ticks_from_minutes(min)),
        (at, _) if promised.all(|other| other == at) => Due::At(at),
        _ => Due::Varies,
    };
    let late = (due != Due::None && !times.is_empty()).then(|| {
        let count = times
            .iter()
            .filter(|one| one.done.get(entry) > one.due.get(entry) || one.done[entry] == NEVER)
            .count() as u64;
        let n = times.len() as u64;
        let share = count as f64 / n as f64;
        (share, proportion_interval(count, n, confidence))
    });
    OrderPromise {
        entry,
        points,
        due,
        late,
        short: times
            .iter()
            .filter(|one| one.short.get(entry) == Some(&true))
            .count() as f64
            / times.len().max(1) as f64,
        open: sorted.iter().filter(|&&tick| tick == NEVER).count() as u32,
        risk: match late {
            None => Risk::NoPromise,
            Some((share, _)) if share > LIKELY_LATE => Risk::LikelyLate,
            Some((share, _)) if share > AT_RISK => Risk::AtRisk,
            Some(_) => Risk::Safe,
        },
        without: None,
    }
}

/// The first moment from `at` on at which the calendar of the class's promise is open.
fn next_open(model: &Model, class: usize, at: Tick) -> Tick {
    let calendar = match model.plant.classes.get(class).map(|c| &c.promise) {
        Some(Promise::WorkingDays { calendar, .. }) => *calendar,
        _ => return at,
    };
    model
        .calendars
        .get(calendar)
        .and_then(|open| open.iter().find(|&&(_, to)| to >= at))
        .map_or(at, |&(from, _)| from.max(at))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten replications, by hand: five of ten by the fifth, nine of ten by the ninth; one never done.
    #[test]
    fn dates_are_ranks() {
        let sorted: Vec<Tick> = (1..=9).chain([NEVER]).collect();
        let at = |p| moment(&sorted, p, 0.95).at;
        assert_eq!((at(0.5), at(0.8), at(0.9)), (Some(5), Some(8), Some(9)));
        assert_eq!(at(0.95), None, "after the end of the run");
        assert_eq!(moment(&sorted, 0.5, 0.95).to, Some(9));
        // Ranks 2 and 9 enclose the median of ten at 95 % (exact binomial, Conover's table, from memory).
        assert_eq!(moment(&sorted, 0.5, 0.95).from, Some(2));
        assert_eq!(moment(&sorted, 0.9, 0.95).to, None, "too few to tell");
    }
}
