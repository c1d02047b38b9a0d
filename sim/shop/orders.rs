//! Orders come in, wait for their release where the floor is limited, and are planned into rolls.

use crate::kernel::NEVER;
use crate::model::{NONE, plan_entry};
use crate::plant::{Promise, Standing};
use crate::random::Source;
use crate::record::{LotEvent, Observe, Spent};
use crate::units::{Tick, ticks_from_minutes, whole, whole_above};

use super::Shop;
use super::cure::NO_ROOM;
use super::state::{Lot, Order, OrderLine, WEBS};

/// Most rolls one web of one SKU is cut into; beyond it the rolls grow (a guard against absurd input).
const MOST_ROLLS: i64 = 2_000;

/// Key space of booked orders, apart from those of the streams.
const BOOK_KEY: u64 = 0xB00C << 48;

impl<O: Observe> Shop<'_, O> {
    /// Times the next order of a stream: the gap passes on the stream's own calendar clock.
    #[inline]
    pub(super) fn next_arrival(&mut self, stream: usize) {
        let plan = &self.model.plant.arrivals[stream];
        let arrival = &mut self.arrivals[stream];
        let drawn = plan.gap.draw(|| {
            self.streams.of(
                Source::ArrivalGap,
                self.model.keys.streams[stream],
                arrival.count,
            )
        });
        let mut gap = ticks_from_minutes(drawn).max(0);
        let time = match plan
            .calendar
            .filter(|&c| !self.model.plant.calendars[c].never_closes())
        {
            None => arrival.at.saturating_add(gap),
            Some(calendar) => {
                let open = &self.model.calendars[calendar];
                loop {
                    let Some(&(from, to)) = open.get(arrival.interval) else {
                        break NEVER;
                    };
                    let at = arrival.at.max(from);
                    // An order at the very end of an opening belongs to it.
                    if at <= to && to - at >= gap {
                        break at + gap;
                    }
                    gap -= (to - at).max(0);
                    arrival.interval += 1;
                }
            }
        };
        arrival.at = time;
        let slot = self.arrival_slot(stream);
        self.slots.set(slot, time);
    }

    /// An order of a stream is there: its class is drawn; its SKUs are drawn when it is released.
    #[inline]
    pub(super) fn arrival_event(&mut self, stream: usize) {
        let plan = &self.model.plant.arrivals[stream];
        let key = (self.model.keys.streams[stream] << 48) | self.arrivals[stream].count;
        let class = pick(&plan.classes, || {
            self.streams.of(Source::OrderClass, key, 0).unit()
        });
        let due = self.due_date(class, key);
        self.take_order(key, class, due, NONE);
        self.arrivals[stream].count += 1;
        self.next_arrival(stream);
    }

    /// Times the next order of the book.
    pub(super) fn next_booked(&mut self) {
        let time = self
            .model
            .plant
            .book
            .get(self.next_book)
            .map_or(NEVER, |order| {
                ticks_from_minutes(order.release_min).max(self.now)
            });
        let slot = self.book_slot();
        self.slots.set(slot, time);
    }

    /// A booked order is due for release.
    pub(super) fn book_event(&mut self) {
        let index = self.next_book;
        let booked = &self.model.plant.book[index];
        let key = BOOK_KEY | index as u64;
        let due = match booked.due_min {
            Some(minutes) => ticks_from_minutes(minutes),
            None => self.due_date(booked.class, key),
        };
        self.take_order(key, booked.class, due, index as u32);
        self.next_book += 1;
        self.next_booked();
    }

    #[inline]
    fn take_order(&mut self, key: u64, class: usize, due: Tick, book: u32) {
        let model = self.model;
        let order = self.orders.put(Order {
            serial: self.next_order,
            key,
            class: class as u16,
            skus: 0,
            open_lines: 0,
            measured: self.now >= model.warm_up && self.now < model.measured_end,
            product: 0,
            released: self.now,
            due,
            first_pouch: NEVER,
            ship: 0,
            ordered: 0,
            good: 0,
            seq: u64::from(self.next_order),
            book,
        });
        if book != NONE {
            self.watch.booked(self.next_order, book as usize);
        }
        self.next_order += 1;
        self.counts.released += 1;
        // Work already in the cell at the clock's zero needs no release.
        let begun = book != NONE
            && model.plant.book[book as usize]
                .lines
                .iter()
                .any(|l| l.at.is_some());
        if begun || self.may_release(class) {
            self.release(order);
        } else {
            self.outside.push(order);
        }
    }

    /// Neither the floor nor the class is full.
    #[inline]
    fn may_release(&self, class: usize) -> bool {
        let plant = &self.model.plant;
        plant
            .run
            .floor_limit
            .is_none_or(|limit| self.on_floor.iter().sum::<u32>() < limit)
            && plant.classes[class]
                .limit
                .is_none_or(|limit| self.on_floor[class] < limit)
    }

    /// An order left the floor: the best of those outside that may come in does.
    pub(super) fn release_next(&mut self) {
        loop {
            let model = self.model;
            let best = (0..self.outside.len())
                .filter(|&i| self.may_release(usize::from(self.orders[self.outside[i]].class)))
                .min_by_key(|&i| {
                    let order = &self.orders[self.outside[i]];
                    (
                        model.plant.classes[usize::from(order.class)].rank,
                        order.due,
                        order.seq,
                    )
                });
            let Some(place) = best else { return };
            let order = self.outside.remove(place);
            self.release(order);
        }
    }

    /// Draws the SKUs of an order and hands its printed rolls over.
    #[inline]
    fn release(&mut self, order_index: u32) {
        let model = self.model;
        let order = self.orders[order_index];
        self.on_floor[usize::from(order.class)] += 1;
        let mut lines = std::mem::take(&mut self.drawn);
        lines.clear();
        if order.book == NONE {
            let plan = &model.plant.arrivals[(order.key >> 48) as usize];
            let drawn = plan
                .skus
                .draw(|| self.streams.of(Source::OrderLines, order.key, 0));
            let skus = whole(drawn.clamp(0.0, 1001.0)).clamp(1, 1000) as u64;
            for no in 0..skus {
                let product = pick(&plan.products, || {
                    self.streams.of(Source::OrderProduct, order.key, no).unit()
                });
                let drawn = plan
                    .quantity
                    .draw(|| self.streams.of(Source::OrderQuantity, order.key, no));
                let quantity = whole(drawn).max(1) as f64;
                match lines.iter_mut().find(|l| plan.gang && l.0 == product) {
                    Some(line) => {
                        line.1 += quantity;
                        line.2 += 1;
                    }
                    None => lines.push((product, quantity, 1, None)),
                }
            }
        } else {
            let booked = &model.plant.book[order.book as usize];
            lines.extend(
                booked
                    .lines
                    .iter()
                    .map(|l| (l.product, whole(l.quantity).max(1) as f64, 1, l.at)),
            );
        }
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
        let line = self.lines.put(OrderLine {
            order,
            no,
            uid: self.next_line,
            ordered: quantity as i64,
            good: 0,
            product: product as u32,
            remakes: 0,
            gang,
            on: [0; WEBS],
            live: [0; WEBS],
            gathered: [(NONE, 0); WEBS],
            waiting: NONE,
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
        let description = &model.plant.products[product];
        // Begun work has its further webs.
        let webs = || {
            model
                .webs(product)
                .take(if at.is_none() { usize::MAX } else { 1 })
        };
        self.lines[line].webs_ready = webs().nth(1).is_none();
        // All lots of the SKU exist before the first one moves, so that gathering knows how many to expect.
        let first = at.map_or(0, |standing| standing.step);
        let mut made = std::mem::take(&mut self.printed);
        made.clear();
        for (part_index, ratio) in webs() {
            let part = &model.parts[part_index as usize];
            let is_web = part.roll_max_mm.is_finite();
            let amount = plan_entry(part, quantity, description.overs, ratio, first);
            let pouches = !is_web
                || part.steps[..first.min(part.steps.len())]
                    .iter()
                    .any(|s| s.makes_pouches);
            let web_mm = amount as f64 / f64::from(part.lanes);
            let rolls = if pouches {
                1
            } else {
                whole_above(web_mm / part.roll_max_mm).clamp(1, MOST_ROLLS)
            };
            if !pouches {
                self.counts.lane_mm_in += amount;
                self.watch.released(self.now, part_index as usize, amount);
            } else {
                self.counts.pouches_made += amount;
            }
            for roll in 0..rolls {
                let share = if rolls == 1 {
                    amount
                } else {
                    amount / rolls + i64::from(roll < amount % rolls)
                };
                let lot = self.new_lot(line, part_index, first as u16, pouches, share);
                self.lots[lot].number = roll as u32 + 4096 * u32::from(self.lines[line].remakes);
                self.lines[line].live[usize::from(part.web)] += 1;
                if let Some(minutes) = at.and_then(|standing| standing.bonded_for_min) {
                    let bonded = self.now - ticks_from_minutes(minutes);
                    self.lots[lot].bonded = bonded;
                    self.lots[lot].cure_mark = bonded;
                }
                made.push(lot);
            }
        }
        let released = self.orders[self.lines[line].order].released;
        for &lot in &made {
            match after {
                Some(after) => {
                    let (from, to) = (after as usize * self.stride, lot as usize * self.stride);
                    self.split.copy_within(from..from + self.stride, to);
                }
                None => {
                    self.lots[lot].mark = released;
                    let outside = self.spent(Spent::Release);
                    self.charge(lot, outside);
                }
            }
        }
        for &lot in &made {
            self.tell(lot, LotEvent::Released);
            match at.and_then(|standing| standing.on) {
                Some((within, left_min)) => self.place_on(within, lot, left_min),
                None => self.enter_step(lot),
            }
        }
        self.printed = made;
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
        let lot = self.lots.put(Lot {
            line,
            part,
            web,
            at: web.steps.get(usize::from(step)),
            step,
            pouches,
            quantity,
            mark: self.now,
            closed_mark: 0,
            bonded: NEVER,
            seq: 0,
            rolls: 1,
            number: 0,
            backs: 0,
            sku: 0,
            left_run: None,
            extra_waste_mm: 0.0,
            hot_for: 0,
            cure_mark: 0,
            hot: false,
            warm_at: 0,
            room: NO_ROOM,
            hold: 0,
            pouching_run: 0,
            next: NONE,
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

    #[inline]
    fn due_date(&self, class: usize, key: u64) -> Tick {
        match &self.model.plant.classes[class].promise {
            Promise::None => NEVER,
            Promise::After(span) => {
                let minutes = span.draw(|| self.streams.of(Source::OrderDue, key, 0));
                self.now + ticks_from_minutes(minutes)
            }
            Promise::WorkingDays { days, .. } => {
                let closings = &self.model.promise_closings[class];
                // The first closing that is still ahead belongs to the day of release (or to the next
                // opening day, when released after hours); the promise counts from the day after it.
                let today = closings.partition_point(|&c| c <= self.now);
                closings
                    .get(today + *days as usize)
                    .or(closings.last())
                    .copied()
                    .unwrap_or(NEVER)
            }
        }
    }

    /// Key of an order's chances.
    #[inline]
    pub(super) fn order_key(&self, line: u32) -> u64 {
        self.orders[self.lines[line].order].key
    }

    /// Key of a line's chances within its order; a remake has its own.
    #[inline]
    pub(super) fn line_key(&self, line: u32) -> u64 {
        let line = &self.lines[line];
        u64::from(line.no) | u64::from(line.remakes) << 12
    }
}

/// A SKU of an order in the making: product, quantity, SKUs ganged in it, where it stands if it has begun.
pub(super) type Drawn = (usize, f64, u16, Option<Standing>);

/// Picks an index by shares; draws only when there is a choice.
fn pick(shares: &[(usize, f64)], draw: impl FnOnce() -> f64) -> usize {
    match shares {
        [] => 0,
        [only] => only.0,
        _ => {
            let mut left = draw();
            for &(index, share) in shares {
                left -= share;
                if left < 0.0 {
                    return index;
                }
            }
            // Shares may sum to a hair under 1.
            shares[shares.len() - 1].0
        }
    }
}
