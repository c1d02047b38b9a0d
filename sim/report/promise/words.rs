//! Every date and chance put into words once, for all outputs.

use crate::model::Model;
use crate::report::Provenance;
use crate::report::clock::{date_time, iso_date, short};
use crate::report::words::clean;
use crate::summary::promise::{AT_RISK, Due, OrderPromise, Promises, Quote, Risk};
use crate::units::{Tick, grouped};

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

    /// `Mon 4 Jan 06:00`, or that it is later than the run.
    pub fn day(&self, at: Option<Tick>) -> String {
        at.map_or_else(|| AFTER_END.to_owned(), |tick| short(self.start(), tick))
    }

    /// `2027-01-04T06:00:00`, empty where it is later than the run.
    pub fn stamp(&self, at: Option<Tick>) -> String {
        at.map_or_else(String::new, |tick| date_time(self.start(), tick))
    }

    /// The promised date.
    pub fn due(&self, order: &OrderPromise) -> String {
        match order.due {
            Due::None => "–".to_owned(),
            Due::At(tick) => short(self.start(), tick),
            Due::Varies => "varies".to_owned(),
        }
    }

    /// The chance to be late.
    pub fn late(&self, order: &OrderPromise) -> String {
        match order.late {
            None => "–".to_owned(),
            Some((share, _)) => format!("{} %", grouped(share * 100.0, 0)),
        }
    }

    /// Class, promised, half by, 9 of 10 by, late.
    pub fn short_cells(&self, order: &OrderPromise) -> [String; 5] {
        [
            self.class(order.entry),
            self.due(order),
            self.day(order.points[0].at),
            self.day(order.points[2].at),
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
        out.extend(self.promises.quote.as_ref().map(|quote| self.quote(quote)));
        out
    }

    /// The date to quote.
    fn quote(&self, quote: &Quote) -> String {
        let what = format!(
            "New order of {} ({})",
            self.content(quote.entry),
            self.class(quote.entry)
        );
        let sure = format!("{} %", grouped(quote.sure * 100.0, 1));
        match (quote.done.at, quote.ship) {
            (Some(done), Some(ship)) => {
                let range = match (quote.done.from, quote.done.to) {
                    (Some(from), Some(to)) => {
                        let (from, to) = (short(self.start(), from), short(self.start(), to));
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
                        short(self.start(), done)
                    ),
                    false => String::new(),
                };
                format!(
                    "{what}: quote {}{opening}. It is done by then in {sure} of replications{range}.",
                    short(self.start(), ship)
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
             was done by then. Orders of the book only; the streams of the scenario go on beside them."
                .to_owned(),
        ];
        let open: usize = self.promises.orders.iter().filter(|o| o.open > 0).count();
        if open > 0 {
            out.push(format!(
                "{open} of the orders {} not done by the end of the run, {}, in at least one replication: it counts as \
                 late there, and its date as later than the run.",
                if open == 1 { "was" } else { "were" },
                short(self.start(), self.model.end)
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
