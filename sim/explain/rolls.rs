//! The rolls of an order by number, and its wait for release.
//!
//! In: the trace of a replication and an order in it. Out: words for its story, such as `SKU 2, roll 1 of 3: `.

use crate::model::Model;
use crate::observe::{OrderRow, StoryRow, Trace};
use crate::record::{LotEvent, LotName};
use crate::units::{Tick, duration, minutes_from_ticks};

/// Rolls of a remake have numbers from here on.
const REMADE: u32 = 4096;

/// The rolls with which the webs of an order were released.
pub(super) struct Rolls(Vec<LotName>);

impl Rolls {
    /// Those of an order.
    pub(super) fn of(trace: &Trace, order: &OrderRow) -> Self {
        let released = trace
            .stories
            .iter()
            .filter(|row| row.lot.order == order.order && row.event == LotEvent::Released);
        Self(released.map(|row| row.lot).collect())
    }

    /// First rolls of the web of a lot.
    fn first(&self, lot: LotName) -> impl Iterator<Item = &LotName> {
        let beside = move |other: &&LotName| other.is_beside(&lot) && other.number < REMADE;
        self.0.iter().filter(beside)
    }

    /// Which lot a line of the story speaks of, with a colon; nothing where there is only one.
    pub(super) fn who(&self, order: &OrderRow, lot: LotName) -> String {
        let mut words: Vec<String> = self.sku(order, lot).into_iter().collect();
        let count = self.first(lot).count();
        if lot.rolls > 1 {
            words.push(match lot.rolls as usize == count {
                true => format!("all {count} rolls"),
                false => format!("{} rolls", lot.rolls),
            });
        } else if lot.number >= REMADE && self.0.contains(&lot) {
            words.push(format!("remade roll {}", lot.number % REMADE + 1));
        } else if count > 1 && (lot.number as usize) < count {
            words.push(format!("roll {} of {count}", lot.number + 1));
        }
        match words.is_empty() {
            true => String::new(),
            false => format!("{}: ", words.join(", ")),
        }
    }

    /// The SKU and web of a lot, where there are several.
    fn sku(&self, order: &OrderRow, lot: LotName) -> Option<String> {
        let web = if lot.web == 1 { " second web" } else { "" };
        let one = order.skus == 1 && web.is_empty();
        (!one).then(|| format!("SKU {}{web}", lot.line + 1))
    }

    /// One line for all rolls of a web that are released at one moment: that of the first; `None` for the others.
    pub(super) fn released(&self, order: &OrderRow, row: &StoryRow) -> Option<String> {
        let lot = row.lot;
        if lot.number >= REMADE {
            return Some(format!("{}released", self.who(order, lot)));
        }
        let count = self.first(lot).count();
        let sku = self
            .sku(order, lot)
            .map_or_else(String::new, |sku| format!("{sku}: "));
        match (lot.number, count) {
            (0, 0..=1) => Some(format!("{sku}released")),
            (0, _) => Some(format!("{sku}released as {count} rolls")),
            _ => None,
        }
    }
}

/// The wait of an order outside the cell, told at its beginning.
pub(super) fn outside(model: &Model, trace: &Trace, order: &OrderRow) -> Option<(Tick, String)> {
    let let_in = trace
        .stories
        .iter()
        .find(|row| row.lot.order == order.order && row.event == LotEvent::Released)
        .map(|row| row.at);
    let class = model.plant.classes.get(order.class);
    let limit = match class.and_then(|class| class.limit) {
        Some(limit) => format!("at most {limit} orders of its class at a time"),
        None => "the most orders at a time are on the floor".to_owned(),
    };
    match let_in {
        Some(at) if at <= order.released => None,
        // Nothing held it back: it came before the clock did.
        Some(at) if at <= 0 => {
            let span = duration(minutes_from_ticks(at - order.released));
            Some((
                order.released,
                format!("released, {span} before the clock starts"),
            ))
        }
        Some(at) => {
            let span = duration(minutes_from_ticks(at - order.released));
            Some((
                order.released,
                format!("waits {span} for its release: {limit}"),
            ))
        }
        None => Some((
            order.released,
            format!("still waits for its release when the replication ends: {limit}"),
        )),
    }
}
