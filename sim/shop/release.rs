//! An order is released: its SKUs are drawn, planned into rolls, and handed over.

use crate::kernel::NEVER;
use crate::model::{NONE, Wound, plan_entry, start_loss};
use crate::plant::{MOST_PASSES, Standing};
use crate::random::{Chances, Source};
use crate::record::{LotEvent, Observe, Spent};
use crate::units::{Tick, ticks_from_minutes, whole};

use super::Shop;
use super::cure::NO_ROOM;
use super::orders::pick;
use super::state::{Bond, Cut, Looked, Lot, Order, OrderLine, WEBS};

/// A SKU of an order in the making: product, quantity, SKUs ganged in it, where it stands if it has begun.
pub(super) type Drawn = (usize, f64, u16, Option<Standing>);

impl<O: Observe> Shop<'_, O> {
    /// Product of the first SKU of an order, drawn already or not.
    pub(super) fn first_product(&self, order: &Order) -> usize {
        if order.skus > 0 {
            order.product as usize
        } else if order.book == NONE {
            self.draw_line(usize::from(order.stream), &order.chances, 0)
                .0
        } else {
            self.model.plant.book[order.book as usize].lines[0].product
        }
    }

    /// Draws the SKUs of an order and hands its printed rolls over.
    #[inline]
    pub(super) fn release(&mut self, order_index: u32) {
        let order = &self.orders[order_index];
        let (chances, stream) = (order.chances, usize::from(order.stream));
        let class = usize::from(order.class);
        let single = order.book == NONE && self.model.streams[stream].one_line;
        self.on_floor[class] += 1;
        if single {
            let (product, quantity) = self.draw_line(stream, &chances, 0);
            let entry = &mut self.orders[order_index];
            (entry.skus, entry.open_lines) = (1, 1);
            entry.product = product as u32;
            entry.ordered = quantity as i64;
            self.release_line(order_index, 0, product, quantity, 1, None);
        } else {
            self.release_lines(order_index);
        }
    }

    /// Product and quantity of the `no`-th SKU of an order of a stream.
    #[inline]
    fn draw_line(&self, stream: usize, chances: &Chances, no: u64) -> (usize, f64) {
        let plan = &self.model.plant.arrivals[stream];
        let of = if plan.one_product { 0 } else { no };
        let product = pick(&plan.products, || {
            chances.of(Source::OrderProduct, of).unit()
        });
        let drawn = plan.quantity.draw(|| chances.of(Source::OrderQuantity, no));
        (product, whole(drawn).max(1) as f64)
    }

    /// The SKUs of an order of a stream.
    pub(super) fn stream_lines(&self, stream: usize, chances: &Chances, lines: &mut Vec<Drawn>) {
        let plan = &self.model.plant.arrivals[stream];
        let drawn = plan.skus.draw(|| chances.of(Source::OrderLines, 0));
        let skus = whole(drawn.clamp(0.0, 1001.0)).clamp(1, 1000) as u64;
        for no in 0..skus {
            let (product, quantity) = self.draw_line(stream, chances, no);
            match lines.iter_mut().find(|l| plan.gang && l.0 == product) {
                Some(line) => {
                    line.1 += quantity;
                    line.2 += 1;
                }
                None => lines.push((product, quantity, 1, None)),
            }
        }
    }

    /// The SKUs of an order that waits for its release.
    pub(super) fn lines_of(&self, order: u32, lines: &mut Vec<Drawn>) {
        let order = &self.orders[order];
        match self.model.plant.book.get(order.book as usize) {
            None => self.stream_lines(usize::from(order.stream), &order.chances, lines),
            Some(booked) => lines.extend(
                booked
                    .lines
                    .iter()
                    .map(|l| (l.product, whole(l.quantity).max(1) as f64, 1, l.at)),
            ),
        }
    }

    /// Releases an order of the book, or of a stream whose orders can have several SKUs.
    fn release_lines(&mut self, order_index: u32) {
        let mut lines = std::mem::take(&mut self.drawn);
        lines.clear();
        self.lines_of(order_index, &mut lines);
        let entry = &mut self.orders[order_index];
        entry.skus = lines.iter().map(|l| l.2).sum();
        entry.open_lines = lines.len() as u16;
        entry.product = lines[0].0 as u32;
        entry.ordered = lines.iter().map(|l| l.1 as i64).sum();
        for (no, &(product, quantity, gang, at)) in lines.iter().enumerate() {
            self.release_line(order_index, no as u16, product, quantity, gang, at);
        }
        self.drawn = lines;
    }

    /// Plans one SKU backward to metres and hands its rolls over.
    #[inline]
    fn release_line(
        &mut self,
        order: u32,
        no: u16,
        product: usize,
        quantity: f64,
        gang: u16,
        at: Option<Standing>,
    ) {
        let uid = self.next_line;
        let line = self.lines.put(move || OrderLine {
            order,
            no,
            uid,
            ordered: quantity as i64,
            good: 0,
            product: product as u32,
            remakes: 0,
            gang,
            live: [0; WEBS],
            gathered: [(NONE, 0); WEBS],
            waiting: NONE,
            web_open: 0,
            pouches_open: 0,
            webs_ready: true,
        });
        self.next_line += 1;
        self.print(line, quantity, None, at);
    }

    /// Hands over the printed rolls of a line for `quantity` good pouches; `after`: the lot whose account they continue.
    #[inline]
    pub(super) fn print(
        &mut self,
        line: u32,
        quantity: f64,
        after: Option<u32>,
        at: Option<Standing>,
    ) {
        let model = self.model;
        let product = self.lines[line].product as usize;
        let gang = u32::from(self.lines[line].gang);
        let mut parts = model.parts_of(product);
        if at.is_some() {
            // Begun work has its further webs.
            parts.end = parts.start + 1;
        }
        let part = &model.parts[parts.start as usize];
        if after.is_none() && at.is_none() && parts.len() == 1 && part.is_piece() {
            let amount = plan_entry(part, &model.ask(parts.start as usize, quantity, gang), 0);
            self.hand_over_piece(line, parts.start, amount);
            return;
        }
        self.lines[line].webs_ready = parts.len() == 1;
        // All lots of the SKU exist before the first one moves, so that gathering knows how many to expect.
        let first = at.map_or(0, |standing| standing.step);
        let mut made = std::mem::take(&mut self.printed);
        made.clear();
        for part_index in parts {
            let part = &model.parts[part_index as usize];
            let is_web = !part.is_piece();
            let ask = model.ask(part_index as usize, quantity, gang);
            let mut amount = plan_entry(part, &ask, first);
            if at.is_some_and(|standing| standing.on.is_some()) {
                // On the machine already, it has lost what its start there loses.
                amount = (amount - start_loss(part, &ask, first)).max(1);
            }
            let pouches = !is_web
                || part.steps[..first.min(part.steps.len())]
                    .iter()
                    .any(|s| s.makes_pouches);
            let begin = made.len();
            if !pouches {
                self.print_web(line, part_index, amount, first, &mut made);
            } else {
                self.counts.pouches_made += amount;
                self.lines[line].pouches_open += amount;
                if is_web {
                    // What stands there as pouches has brought its web with it.
                    let web = self.web_of(part_index, self.lines[line].order, first);
                    let lane_mm = whole(amount as f64 * part.pitch_mm);
                    self.watch.released(self.now, web, lane_mm);
                }
                let lot = self.first_lot(line, part_index, (first, true), amount, 0);
                made.push(lot);
            }
            for &lot in &made[begin..] {
                if let Some(minutes) = at.and_then(|standing| standing.bonded_for_min) {
                    let bonded = self.now - ticks_from_minutes(minutes);
                    self.lots[lot].bonded = bonded;
                    // When the passes before were made is not told: their holds begin with the last one, too.
                    self.lots[lot].earlier = [Bond::at(bonded); MOST_PASSES - 1];
                    self.lots[lot].cure_mark = bonded;
                }
            }
        }
        self.open_accounts(line, &made, after);
        self.send_off(&made, at);
        self.printed = made;
    }

    /// Rolls of one web of a line, so many lane-millimetres before a step: what is printed of it, or stands there.
    pub(super) fn print_web(
        &mut self,
        line: u32,
        part_index: u32,
        amount: i64,
        first: usize,
        made: &mut Vec<u32>,
    ) {
        let part = &self.model.parts[part_index as usize];
        self.counts.lane_mm_in += amount;
        self.lines[line].web_open += amount;
        let web = self.web_of(part_index, self.lines[line].order, first);
        self.watch.released(self.now, web, amount);
        let rolls = part.rolls(amount);
        let printed = match first {
            0 => self.press_time(line),
            _ => self.now,
        };
        for roll in 0..rolls {
            let share = amount / rolls + i64::from(roll < amount % rolls);
            let lot = self.first_lot(line, part_index, (first, false), share, roll as u32);
            self.lots[lot].printed = printed;
            if let Some(reels) = part.begun_reels(first, share) {
                self.wind(lot, reels);
            }
            made.push(lot);
        }
    }

    /// When the press prints what a line asks for: at once, or when its calendar opens next.
    fn press_time(&self, line: u32) -> Tick {
        let order = &self.orders[self.lines[line].order];
        let stream = self.model.plant.arrivals.get(usize::from(order.stream));
        let press = stream.and_then(|stream| stream.press);
        match press.filter(|_| order.book == NONE) {
            Some(calendar) => self.open_after_hours(calendar, 0),
            None => self.now,
        }
    }

    /// All of a lot is wound to so many rolls or reels, one behind the other.
    pub(super) fn wind(&mut self, lot: u32, count: u32) {
        let wound = Wound::whole(self.next_roll, count);
        self.next_roll = self.next_roll.wrapping_add(wound.count);
        self.lots[lot].wound = wound;
    }

    /// A lot that a line begins with, before a step: a roll by its number, or pouches.
    fn first_lot(
        &mut self,
        line: u32,
        part_index: u32,
        (first, pouches): (usize, bool),
        quantity: i64,
        number: u32,
    ) -> u32 {
        let lot = self.new_lot(line, part_index, first as u16, pouches, quantity);
        let web = usize::from(self.lots[lot].web.web);
        let line = &mut self.lines[line];
        line.live[web] += 1;
        // Rolls of a remake have numbers of their own.
        self.lots[lot].number = number + 4096 * u32::from(line.remakes);
        lot
    }

    /// The accounts of new lots begin: those of a remake go on from a lot, those of an order that waited outside have
    /// that wait in them.
    pub(super) fn open_accounts(&mut self, line: u32, made: &[u32], after: Option<u32>) {
        let released = self.orders[self.lines[line].order].released;
        if let Some(after) = after {
            for &lot in made {
                let (from, to) = (after as usize * self.stride, lot as usize * self.stride);
                self.split.copy_within(from..from + self.stride, to);
                self.lots[lot].asked = self.lots[after].asked;
            }
        } else if released < self.now {
            let outside = self.spent(Spent::Release);
            for &lot in made {
                self.lots[lot].mark = released;
                self.charge(lot, outside);
            }
        }
    }

    /// New lots go to where they stand: on a machine, on a rack, or before their first step.
    pub(super) fn send_off(&mut self, made: &[u32], at: Option<Standing>) {
        for &lot in made {
            self.tell(lot, LotEvent::Released);
            match at.and_then(|standing| standing.on) {
                Some((within, left_min)) => self.place_on(within, lot, left_min),
                None => {
                    if at.is_some() {
                        self.lie_on_rack(lot);
                    }
                    self.enter_step(lot);
                }
            }
        }
    }

    /// Pieces of a line come in: one lot of one web that nothing has happened to.
    #[inline]
    fn hand_over_piece(&mut self, line: u32, part: u32, amount: i64) {
        self.counts.pouches_made += amount;
        let lot = self.new_lot(line, part, 0, true, amount);
        let line = &mut self.lines[line];
        line.live[0] = 1;
        line.pouches_open += amount;
        let released = self.orders[line.order].released;
        if released < self.now {
            self.lots[lot].mark = released;
            let outside = self.spent(Spent::Release);
            self.charge(lot, outside);
        }
        self.tell(lot, LotEvent::Released);
        self.go_in(lot);
    }

    /// A new lot whose account starts now.
    #[inline]
    pub(super) fn new_lot(
        &mut self,
        line: u32,
        part: u32,
        step: u16,
        pouches: bool,
        quantity: i64,
    ) -> u32 {
        let web = &self.model.parts[part as usize];
        let now = self.now;
        let of = &self.lines[line];
        let (order, uid, key) = (of.order, of.uid, of.key());
        let due = self.orders[order].due;
        let class = usize::from(self.orders[order].class);
        let rank = self.model.plant.classes[class].rank;
        let chances = self.orders[order].chances;
        let wound = Wound::whole(self.next_roll, 1);
        self.next_roll = self.next_roll.wrapping_add(1);
        let lot = self.lots.put(move || Lot {
            line,
            order,
            uid,
            key,
            chances,
            due,
            part,
            web,
            at: web.steps.get(usize::from(step)),
            step,
            pouches,
            rank,
            quantity,
            mark: now,
            closed_mark: 0,
            printed: now,
            bonded: NEVER,
            earlier: Default::default(),
            looked: Looked::Never,
            joined: now,
            closed_joined: 0,
            waits_as: 0,
            passed_over: 0,
            rolls: 1,
            wound,
            number: 0,
            cut: Cut::WHOLE,
            backs: 0,
            asked: 0,
            sku: 0,
            left: None,
            extra_waste_mm: 0.0,
            hot_for: 0,
            cure_mark: 0,
            hot: false,
            warm_at: 0,
            room: NO_ROOM,
            hold: 0,
            pouching_run: 0,
            next: NONE,
            planned: -1,
            work_min: 0.0,
            rest_min: 0.0,
        });
        let end = (lot as usize + 1) * self.stride;
        if self.split.len() < end {
            self.split.resize(end, 0);
        }
        self.split[end - self.stride..end].fill(0);
        lot
    }
}
