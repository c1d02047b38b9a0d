//! Every date and chance put into words once, for all outputs.

use crate::model::Model;
use crate::report::Provenance;
use crate::report::clock::{by, by_date_time, due, iso_date};
use crate::report::words::clean;
use crate::summary::promise::{AT_RISK, Due, OrderPromise, Promises, Quote, Risk};
use crate::units::{Tick, duration, grouped, minutes_from_ticks, percent};

/// What stands for a date later than the run.
pub const AFTER_END: &str = "after the end";

/// All that the outputs need.
#[derive(Debug)]
pub struct View<'a> {
    /// The cell.
    pub model: &'a Model,
    /// The dates.
    pub promises: &'a Promises,
    /// Where they come from.
    pub provenance: &'a Provenance,
    /// Title, safe to show.
    pub title: String,
}

impl<'a> View<'a> {
    /// A view of the dates.
    pub fn new(model: &'a Model, promises: &'a Promises, provenance: &'a Provenance) -> Self {
        Self {
            model,
            promises,
            provenance,
            title: clean(&model.plant.name),
        }
    }

    fn start(&self) -> i32 {
        self.model.plant.run.start_day
    }

    /// Name of a booked order, safe to show.
    pub fn name(&self, entry: usize) -> String {
        let order = self.model.plant.book.get(entry);
        clean(order.map_or("", |order| order.name.as_str()))
    }

    /// Class of a booked order, safe to show.
    pub fn class(&self, entry: usize) -> String {
        let class = self.model.plant.book.get(entry).map_or(0, |o| o.class);
        let class = self.model.plant.classes.get(class);
        clean(class.map_or("", |class| class.name.as_str()))
    }

    /// Products and pouches of a booked order.
    pub fn content(&self, entry: usize) -> String {
        let lines = self.model.plant.book.get(entry).map(|order| &order.lines);
        let words: Vec<String> = lines
            .into_iter()
            .flatten()
            .map(|line| {
                let product = self.model.plant.products.get(line.product);
                let name = clean(product.map_or("", |product| product.name.as_str()));
                format!("{} {name}", grouped(line.quantity, 0))
            })
            .collect();
        words.join(", ")
    }

    /// `Mon 4 Jan 06:00`, the minute by which it is done, or that it is later than the run.
    pub fn day(&self, at: Option<Tick>) -> String {
        at.map_or_else(|| AFTER_END.to_owned(), |tick| by(self.start(), tick))
    }

    /// `2027-01-04T06:00:00`, empty where it is later than the run.
    pub fn stamp(&self, at: Option<Tick>) -> String {
        at.map_or_else(String::new, |tick| by_date_time(self.start(), tick))
    }

    /// The promised date.
    pub fn due(&self, order: &OrderPromise) -> String {
        match order.due {
            Due::None => "–".to_owned(),
            Due::At(tick) => due(self.start(), tick),
            Due::Varies => "varies".to_owned(),
        }
    }

    /// The chance to be late.
    pub fn late(&self, order: &OrderPromise) -> String {
        Self::share(order.late.map(|late| late.0))
    }

    fn share(share: Option<f64>) -> String {
        share.map_or_else(
            || "–".to_owned(),
            |share| format!("{} %", grouped(share * 100.0, 0)),
        )
    }

    /// Orders that the new one moves, in the order of all, with their places among them.
    pub fn moved(&self) -> Vec<(usize, &OrderPromise)> {
        let orders = self.promises.orders.iter().enumerate();
        orders.filter(|(_, order)| order.moves()).collect()
    }

    /// By how much the new order moves the date at 90 %, with its sign.
    pub fn moved_by(&self, order: &OrderPromise) -> String {
        match order.moved_by() {
            Some(ticks) if ticks > 0 => format!("+{}", duration(minutes_from_ticks(ticks))),
            Some(ticks) => duration(minutes_from_ticks(ticks)),
            None => "–".to_owned(),
        }
    }

    /// 9 of 10 by without the new order and with it, moved by, late without it and with it.
    pub fn moved_cells(&self, order: &OrderPromise) -> [String; 5] {
        let without = order.without;
        [
            self.day(without.and_then(|without| without.p90)),
            self.day(order.p90()),
            self.moved_by(order),
            Self::share(without.and_then(|without| without.late)),
            self.late(order),
        ]
    }

    /// Class, promised, half by, 9 of 10 by, late.
    pub fn short_cells(&self, order: &OrderPromise) -> [String; 5] {
        [
            self.class(order.entry),
            self.due(order),
            self.day(order.points[0].at),
            self.day(order.p90()),
            self.late(order),
        ]
    }

    /// What it comes to.
    pub fn verdict(&self) -> Vec<String> {
        let count = |risk| self.promises.count(risk);
        let (late, risk, safe) = (
            count(Risk::LikelyLate),
            count(Risk::AtRisk),
            count(Risk::Safe),
        );
        let orders = |n: usize| format!("{n} order{}", if n == 1 { "" } else { "s" });
        let are = |n: usize| if n == 1 { "is" } else { "are" };
        let mut out = match late + risk + safe {
            0 if self.promises.orders.is_empty() => Vec::new(),
            0 => vec![format!(
                "{}, none of them with a promised date.",
                orders(self.promises.orders.len())
            )],
            _ => vec![format!(
                "Of {} with a promised date {late} {} more likely late than not, {risk} {} at risk (late with a chance \
                 of more than {}), {safe} {} safe.",
                orders(late + risk + safe),
                are(late),
                are(risk),
                format!("{} %", grouped(AT_RISK * 100.0, 0)),
                are(safe),
            )],
        };
        out.extend(self.short());
        if let Some(quote) = &self.promises.quote {
            out.push(self.quote(quote));
            out.extend(self.chance(quote));
            out.extend(self.effect());
        }
        out
    }

    /// Orders that may come out short, the likeliest first; nothing where none does more often than one in ten.
    fn short(&self) -> Option<String> {
        const NAMED: usize = 4;
        let quoted = self.promises.quote.iter().map(|quote| &quote.order);
        let mut short: Vec<&OrderPromise> = (self.promises.orders.iter().chain(quoted))
            .filter(|order| order.short > AT_RISK)
            .collect();
        short.sort_by(|a, b| b.short.total_cmp(&a.short).then(a.entry.cmp(&b.entry)));
        let names: Vec<String> = (short.iter().take(NAMED))
            .map(|order| format!("{} ({})", self.name(order.entry), percent(order.short)))
            .collect();
        let more = match short.len().saturating_sub(NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        (!short.is_empty()).then(|| {
            format!(
                "Shipped with fewer pouches than ordered in more than {} of replications: {}{more}.",
                percent(AT_RISK),
                names.join(", ")
            )
        })
    }

    /// The chance of the date that the new order is promised for.
    fn chance(&self, quote: &Quote) -> Option<String> {
        let order = &quote.order;
        let own = self.model.plant.book.get(order.entry)?.due_min;
        let ((late, interval), Due::At(at)) = (order.late?, order.due) else {
            return None;
        };
        let percent = |share: f64| grouped(share * 100.0, 0);
        let which = match own {
            Some(_) => "Promised for",
            None => "Promised as its class is, for",
        };
        Some(format!(
            "{which} {}, it is on time in {} % of replications ({} to {} % at {}).",
            due(self.start(), at),
            percent(1.0 - late),
            percent(1.0 - interval.high),
            percent(1.0 - interval.low),
            self.confidence()
        ))
    }

    /// What the new order does to the others.
    fn effect(&self) -> Option<String> {
        let moved = self.moved();
        let all = self.promises.orders.len();
        if all == 0 {
            return None;
        }
        let Some(most) = moved.iter().max_by_key(|(place, o)| {
            (o.moved_by().unwrap_or(Tick::MAX), std::cmp::Reverse(*place))
        }) else {
            return Some(format!(
                "It moves none of the {all} orders of the book by more than a minute (9 of 10 by, the same luck with \
                 and without it)."
            ));
        };
        let worse: Vec<String> = self
            .promises
            .orders
            .iter()
            .filter(|o| o.without.is_some_and(|w| o.risk < w.risk))
            .map(|o| self.name(o.entry))
            .collect();
        let worse = match worse.as_slice() {
            [] => "No order becomes more of a risk by it.".to_owned(),
            [one] => format!("It makes {one} more of a risk than it was."),
            many => format!(
                "It makes {} more of a risk than they were.",
                many.join(", ")
            ),
        };
        let most = match most.1.moved_by() {
            Some(_) => format!(
                "{} the most, by {}",
                self.name(most.1.entry),
                self.moved_by(most.1)
            ),
            None => format!("{} beyond the end of the run", self.name(most.1.entry)),
        };
        Some(format!(
            "It moves {} of the {all} orders of the book by more than a minute, {most} (9 of 10 by, the same luck with \
             and without it). {worse}",
            moved.len()
        ))
    }

    /// What a reader must know before he trusts a date.
    pub fn cautions(&self) -> Vec<String> {
        let mut out = Vec::new();
        if self.promises.orders.is_empty() && self.promises.quote.is_some() {
            out.push(
                "The scenario has no order book: the cell is empty at the start, and the new order finds nothing \
                 before it. Name the orders on hand with `book`, or with --orders."
                    .to_owned(),
            );
        }
        if self.promises.done < 10 {
            out.push(crate::summary::Warning::FewReplications(self.promises.done).to_string());
        }
        out
    }

    /// The date to quote.
    fn quote(&self, quote: &Quote) -> String {
        let what = format!(
            "New order of {} ({})",
            self.content(quote.order.entry),
            self.class(quote.order.entry)
        );
        let sure = format!("{} %", grouped(quote.sure * 100.0, 1));
        match (quote.done.at, quote.ship) {
            (Some(done), Some(ship)) => {
                let range = match (quote.done.from, quote.done.to) {
                    (Some(from), Some(to)) => {
                        let (from, to) = (by(self.start(), from), by(self.start(), to));
                        match from == to {
                            true => String::new(),
                            false => format!(" ({from} to {to} at {})", self.confidence()),
                        }
                    }
                    _ => ", more replications would say how exact that is".to_owned(),
                };
                let opening = match ship > done {
                    true => format!(
                        " (done by {}, the next opening is the one named)",
                        by(self.start(), done)
                    ),
                    false => String::new(),
                };
                format!(
                    "{what}, entered at the start of the clock, {}: quote {}{opening}. It is done by then in {sure} of \
                     replications{range}.",
                    by(self.start(), 0),
                    by(self.start(), ship)
                )
            }
            _ => format!(
                "{what}: no date can be quoted that is {sure} sure. It lies after the end of the run; a longer \
                 `measure` or `run_out` may find it."
            ),
        }
    }

    /// Level of ranges.
    pub fn confidence(&self) -> String {
        format!(
            "{} % confidence",
            grouped(self.promises.confidence * 100.0, 1)
        )
    }

    /// What the dates mean, and where they come from.
    pub fn notes(&self) -> Vec<String> {
        let run = &self.model.plant.run;
        let mut out = vec![
            "Done means packed and every hold over. Half by, 9 of 10 by: the share of replications in which the order \
             was done by then, rounded up to the minute. Orders of the book only; the streams of the scenario go on beside them."
                .to_owned(),
        ];
        if self.promises.quote.is_some() && !self.promises.orders.is_empty() {
            out.push(
                "All dates of the book are those with the new order in the cell; it is not counted among them."
                    .to_owned(),
            );
        }
        let open: usize = self.promises.orders.iter().filter(|o| o.open > 0).count();
        if open > 0 {
            out.push(format!(
                "{open} of the orders {} not done by the end of the run, {}, in at least one replication: it counts as \
                 late there, and its date as later than the run.",
                if open == 1 { "was" } else { "were" },
                by(self.start(), self.model.end)
            ));
        }
        if self.promises.done < self.promises.asked {
            out.push(format!(
                "Interrupted after {} of {} replications.",
                self.promises.done, self.promises.asked
            ));
        }
        out.push(format!(
            "Seed {}, {} replications from {}. pouchcast {}, scenario {}, sha256 {}.",
            run.seed,
            self.promises.done,
            iso_date(run.start_day),
            self.provenance.version,
            clean(&self.provenance.file_name),
            clean(&self.provenance.sha256)
        ));
        out
    }
}
