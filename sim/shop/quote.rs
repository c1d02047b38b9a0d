//! What date an order could be promised, worked out without chance, and who makes what cannot.
//!
//! In: an order of a stream as it is asked for. Out: the date by which planned work says that it can ship. Ahead of it
//! at each station is what a machine is on, and what could be there before it by planned runs and holds alone, unless
//! it is of a worse class where classes go first; that is worked off in the open hours of the station's machines
//! together. Then come its own run and hold. No drawn time is looked at: neither breakdowns nor absence nor waiting
//! for people is in it, which is what the margin of the class is for.

use crate::kernel::NEVER;
use crate::model::{Bonds, Job, Law, NONE, PartModel, Presence, StepModel, plan_entry};
use crate::plant::Rule;
use crate::random::Chances;
use crate::record::{Observe, Refused};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::release::Drawn;

/// Planned work by station; kept to be used again.
#[derive(Debug, Default)]
pub(super) struct Board {
    /// By station: when it could be there, planned ticks; in that order.
    ahead: Vec<Vec<(Tick, Tick)>>,
    /// Ticks of the order itself, by station. Whole numbers: their sum does not depend on the order of adding.
    own: Vec<Tick>,
    /// Lots on machines, and when they leave them.
    on: Vec<(u32, Tick)>,
    /// SKUs of the order that is asked for.
    lines: Vec<Drawn>,
    /// SKUs of an order that waits for its release.
    others: Vec<Drawn>,
    /// Place in the timeline of each machine of a station.
    places: Vec<usize>,
}

/// Planned minutes of a step on the machine that plans reckon with, without its changeover.
fn run_minutes(job: &Job, quantity: i64) -> f64 {
    match &job.law {
        // Done while the pouch machine runs.
        Law::Pieces {
            alongside: true, ..
        } => 0.0,
        _ => job.planned_minutes(quantity),
    }
}

/// Planned ticks of a step, with the changeover that comes before it on average, shared by so many lots.
fn step_ticks(step: &StepModel, quantity: i64, lots: u32) -> Tick {
    let change = step.typical_change_min / f64::from(lots.max(1));
    ticks_from_minutes(change + run_minutes(&step.jobs[step.plan_job], quantity))
}

/// What a web that enters with `amount` brings to its `index`-th step: pouches once it has been made into some.
fn quantity_at(part: &PartModel, amount: i64, index: usize) -> i64 {
    let made = part.steps[..index].iter().any(|s| s.makes_pouches);
    match made && !part.is_piece() {
        true => (amount as f64 / part.pitch_mm) as i64,
        false => amount,
    }
}

impl<O: Observe> Shop<'_, O> {
    /// Whether an order of a stream is not taken since its date would be later than its promise; it is told then.
    pub(super) fn is_refused(
        &mut self,
        stream: usize,
        chances: &Chances,
        class: usize,
        due: Tick,
    ) -> bool {
        let Some(rule) = self.model.plant.classes[class].when_full else {
            return false;
        };
        let mut board = std::mem::take(&mut self.board);
        board.lines.clear();
        self.stream_lines(stream, chances, &mut board.lines);
        let margin = ticks_from_minutes(rule.margin_min);
        let rank = self.model.plant.classes[class].rank;
        let quoted = self.quote(&mut board, rank).saturating_add(margin);
        let refused = quoted > due;
        if refused {
            let ordered: i64 = board.lines.iter().map(|line| line.1 as i64).sum();
            let outside = rule
                .outside
                .filter(|shop| ordered as f64 >= shop.least)
                .map(|shop| self.now + ticks_from_minutes(shop.takes_min));
            self.counts.refused += 1;
            self.watch.refused(Refused {
                class,
                product: board.lines[0].0,
                skus: board.lines.iter().map(|line| u32::from(line.2)).sum(),
                ordered,
                asked: self.now,
                due,
                quoted,
                outside,
                measured: self.now >= self.model.warm_up && self.now < self.model.measured_end,
            });
        }
        self.board = board;
        refused
    }

    /// The instant from which on the order on the board, of a class of this rank, could ship.
    fn quote(&self, board: &mut Board, rank: u8) -> Tick {
        self.work_ahead(board, rank);
        board.own.clear();
        board.own.resize(self.stations.len(), 0);
        for &(product, quantity, gang, _) in &board.lines {
            for index in self.model.parts_of(product) {
                let (part, amount) = self.planned(index, quantity, gang);
                for (at, step) in part.steps.iter().enumerate() {
                    board.own[step.station] += step_ticks(step, quantity_at(part, amount, at), 1);
                }
            }
        }
        let mut date = self.now;
        for place in 0..board.lines.len() {
            let mut parts = self.model.parts_of(board.lines[place].0);
            let body = parts.start;
            parts.start += 1;
            let webs = parts.map(|part| self.walk(board, part, self.now)).max();
            date = date.max(self.walk(board, body, webs.unwrap_or(self.now)));
        }
        date
    }

    /// A web of a SKU that is not printed yet: what is printed of it.
    fn planned(&self, part: u32, quantity: f64, gang: u16) -> (&PartModel, i64) {
        let ask = self.model.ask(part as usize, quantity, u32::from(gang));
        let part = &self.model.parts[part as usize];
        (part, plan_entry(part, &ask, 0))
    }

    /// What still has to pass each station before an order of this rank: lots in the cell, orders that wait outside.
    fn work_ahead(&self, board: &mut Board, rank: u8) {
        board.ahead.resize(self.stations.len(), Vec::new());
        board.ahead.iter_mut().for_each(Vec::clear);
        board.on.clear();
        for (m, machine) in self.machines.iter().enumerate() {
            if machine.lot != NONE {
                let rest = self.planned_rest(m);
                board.ahead[machine.plan.station].push((self.now, rest));
                board.on.push((machine.lot, self.open_after(m, rest)));
            }
        }
        for lot in self.lots.live() {
            let record = &self.lots[lot];
            let lots = self.lines[record.line].live[usize::from(record.web.web)];
            let on = board.on.iter().find(|on| on.0 == lot);
            let mut bonds = self.bonds(lot);
            let from = match on {
                // With its step it leaves the machine, bonded then where the step bonds.
                Some(&(_, left)) => {
                    if record.at.is_some_and(|step| step.bonds) {
                        bonds.push(left);
                    }
                    (left, bonds)
                }
                None => (self.now, bonds),
            };
            let first = usize::from(record.step) + usize::from(on.is_some());
            let quantity = |index: usize| match record.pouches {
                true => record.quantity,
                false => quantity_at(record.web, record.quantity, index),
            };
            self.add_way(
                &mut board.ahead,
                record.web,
                (first, from),
                rank < record.rank,
                |step, at| step_ticks(step, quantity(at), lots),
            );
        }
        let mut others = std::mem::take(&mut board.others);
        for &(_, _, order) in self.outside.iter().flatten() {
            others.clear();
            self.lines_of(order, &mut others);
            let class = usize::from(self.orders[order].class);
            let worse = rank < self.model.plant.classes[class].rank;
            for &(product, quantity, gang, _) in &others {
                for index in self.model.parts_of(product) {
                    let (part, amount) = self.planned(index, quantity, gang);
                    let from = (0, (self.now, Bonds::default()));
                    self.add_way(&mut board.ahead, part, from, worse, |step, at| {
                        step_ticks(step, quantity_at(part, amount, at), 1)
                    });
                }
            }
        }
        board.others = others;
        board.ahead.iter_mut().for_each(|list| list.sort_unstable());
    }

    /// When the passes of a lot were made.
    fn bonds(&self, lot: u32) -> Bonds {
        let record = &self.lots[lot];
        let mut bonds = Bonds::printed(record.printed);
        let made = self.passes_before(lot, usize::from(record.step));
        if let Some(last) = made.checked_sub(1).filter(|_| record.bonded != NEVER) {
            for pass in 0..last {
                let mixed = record.web.mixed;
                bonds.push(if mixed {
                    record.earlier[pass].bonded
                } else {
                    record.bonded
                });
            }
            bonds.push(record.bonded);
        }
        bonds
    }

    /// Adds what a web has yet to pass, from a step on at which it is at an instant, with its bonds.
    fn add_way(
        &self,
        ahead: &mut [Vec<(Tick, Tick)>],
        part: &PartModel,
        (first, (mut at, mut bonds)): (usize, (Tick, Bonds)),
        worse: bool,
        ticks: impl Fn(&StepModel, usize) -> Tick,
    ) {
        for (index, step) in part.steps.iter().enumerate().skip(first) {
            at = at.max(self.model.opens(part, step.gate, &bonds));
            let work = ticks(step, index);
            let plan = self.stations[step.station].plan;
            if !(worse && plan.rules.contains(&Rule::ClassFirst)) {
                ahead[step.station].push((at, work));
            }
            at = self.open_from(plan.machines.start + step.plan_job, at, work);
            if step.prints {
                bonds = Bonds::printed(at);
            }
            if step.bonds {
                bonds.push(at);
            }
        }
    }

    /// When a web of the order is through with its last step and its holds, if its further webs are there at `webs`.
    fn walk(&self, board: &mut Board, part: u32, webs: Tick) -> Tick {
        let part = &self.model.parts[part as usize];
        let product = &self.model.plant.products[part.product];
        let (mut at, mut bonds) = (self.now, Bonds::printed(self.now));
        for (index, step) in part.steps.iter().enumerate() {
            at = at.max(self.model.opens(part, step.gate, &bonds));
            if part.join == Some(index) {
                at = at.max(webs);
            }
            for supply in &product.supplies {
                if supply.is_used(step.station, step.makes_pouches) {
                    at = at.max(self.now + ticks_from_minutes(supply.there.mean()));
                }
            }
            let first = self.stations[step.station].plan.machines.start;
            let free = self.free_for(board, step.station, at);
            at = self.open_from(first + step.plan_job, at.max(free), board.own[step.station]);
            if step.prints {
                bonds = Bonds::printed(at);
            }
            if step.bonds {
                bonds.push(at);
            }
        }
        at.max(self.model.may_ship(part, &bonds))
    }

    /// When a station has worked off what could be there by `at`.
    fn free_for(&self, board: &mut Board, station: usize, at: Tick) -> Tick {
        let mut free = self.now;
        let mut work = 0;
        for &(ready, ticks) in &board.ahead[station] {
            if ready > at {
                break;
            }
            // What is there when the one before it ends follows at once.
            if ready > free {
                free = self.open_together(station, free, work, &mut board.places);
                work = 0;
                free = free.max(ready);
            }
            work += ticks;
        }
        self.open_together(station, free, work, &mut board.places)
    }

    /// The instant by which the machines of a station have been open, all together, for so long from `from` on.
    fn open_together(
        &self,
        station: usize,
        mut from: Tick,
        work: Tick,
        places: &mut Vec<usize>,
    ) -> Tick {
        if work <= 0 {
            return from;
        }
        let machines = self.stations[station].plan.machines.clone();
        let timeline = |m: usize| &self.machines[m].plan.timeline;
        places.clear();
        places.extend(machines.clone().map(|m| {
            let later = timeline(m).partition_point(|entry| entry.0 <= from);
            later.saturating_sub(1)
        }));
        let mut left = work;
        loop {
            let (mut to, mut open) = (NEVER, 0);
            for (m, &place) in machines.clone().zip(places.iter()) {
                let presence = timeline(m).get(place).map(|entry| entry.1);
                open += Tick::from(presence == Some(Presence::Open));
                to = to.min(timeline(m).get(place + 1).map_or(NEVER, |next| next.0));
            }
            if open > 0 {
                let needed = (left + open - 1) / open;
                if to == NEVER || needed <= to - from {
                    return from.saturating_add(needed);
                }
                left -= open * (to - from);
            } else if to == NEVER {
                return NEVER;
            }
            for (m, place) in machines.clone().zip(places.iter_mut()) {
                let next = timeline(m).get(*place + 1);
                *place += usize::from(next.is_some_and(|next| next.0 == to));
            }
            from = to;
        }
    }
}
