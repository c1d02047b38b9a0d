//! Orders come in, are planned into rolls and released; orders end.

use crate::kernel::NEVER;
use crate::model::{NONE, plan_web};
use crate::plant::Promise;
use crate::random::Source;
use crate::record::{Finished, LotEvent, Observe, Spent};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Lot, Order, OrderLine};

/// Most rolls one web of one SKU is cut into; beyond it the rolls grow (a guard against absurd input).
const MOST_ROLLS: i64 = 2_000;

impl<O: Observe> Shop<'_, O> {
    /// Times the next order of a stream: the gap passes on the stream's own calendar clock.
    pub(super) fn next_arrival(&mut self, stream: usize) {
        let plan = &self.model.plant.arrivals[stream];
        let arrival = &mut self.arrivals[stream];
        let mut draw = self.streams.of(Source::ArrivalGap, stream as u64, arrival.count);
        let mut gap = ticks_from_minutes(plan.gap.sample(&mut draw)).max(0);
        let time = match plan.calendar.filter(|&c| !self.model.plant.calendars[c].never_closes()) {
            None => arrival.at.saturating_add(gap),
            Some(calendar) => {
                let open = &self.model.calendars[calendar];
                loop {
                    let Some(&(from, to)) = open.get(arrival.interval) else { break NEVER };
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

    pub(super) fn arrival_event(&mut self, stream: usize) {
        self.release_order(stream);
        self.arrivals[stream].count += 1;
        self.next_arrival(stream);
    }

    /// Draws an order of a stream and releases its printed rolls.
    fn release_order(&mut self, stream: usize) {
        let model = self.model;
        let plan = &model.plant.arrivals[stream];
        let key = ((stream as u64) << 48) | self.arrivals[stream].count;
        let class = pick(&plan.classes, || self.streams.of(Source::OrderClass, key, 0).unit());
        let skus = plan.skus.sample(&mut self.streams.of(Source::OrderLines, key, 0)).round().clamp(1.0, 1000.0);
        let due = self.due_date(class, key);
        let order = self.orders.put(Order {
            serial: self.next_order,
            key,
            class: class as u16,
            skus: skus as u16,
            open_lines: skus as u16,
            measured: self.now >= model.warm_up && self.now < model.measured_end,
            product: 0,
            released: self.now,
            due,
            first_pouch: NEVER,
            ship: 0,
            ordered: 0,
            good: 0,
        });
        self.next_order += 1;
        self.counts.released += 1;
        for no in 0..skus as u16 {
            let product =
                pick(&plan.products, || self.streams.of(Source::OrderProduct, key, u64::from(no)).unit());
            let quantity = plan.quantity.sample(&mut self.streams.of(Source::OrderQuantity, key, u64::from(no)));
            self.release_line(order, no, product, quantity.round().max(1.0));
        }
    }

    /// Plans one SKU backward to metres and hands its rolls over.
    fn release_line(&mut self, order: u32, no: u16, product: usize, quantity: f64) {
        let model = self.model;
        let description = &model.plant.products[product];
        let body = model.body[product];
        let second = description.second.as_ref().filter(|s| s.made_here);
        if no == 0 {
            self.orders[order].product = product as u32;
        }
        self.orders[order].ordered += quantity as i64;
        let line = self.lines.put(OrderLine {
            order,
            no,
            uid: self.next_line,
            live: [0, 0],
            gathered: [(NONE, 0); 2],
            waiting: NONE,
            second_ready: second.is_none(),
        });
        self.next_line += 1;
        let webs: &[(u32, f64)] = &match second {
            Some(second) => [(body, 1.0), (body + 1, second.length_ratio)],
            None => [(body, 1.0), (NONE, 0.0)],
        };
        // All lots of the SKU exist before the first one moves, so that gathering knows how many to expect.
        let mut made = Vec::new();
        for &(part_index, ratio) in webs.iter().filter(|w| w.0 != NONE) {
            let part = &model.parts[part_index as usize];
            let plan = plan_web(part, quantity, description.overs, ratio);
            let web_mm = plan.printed as f64 / f64::from(part.lanes);
            let rolls = ((web_mm / part.roll_max_mm).ceil() as i64).clamp(1, MOST_ROLLS);
            let pouches = !part.roll_max_mm.is_finite() && description.format.is_none();
            let (each, rest) = (plan.printed / rolls, plan.printed % rolls);
            if !pouches {
                self.counts.lane_mm_in += plan.printed;
                self.watch.released(self.now, part_index as usize, plan.printed);
            }
            for roll in 0..rolls {
                let quantity = each + i64::from(roll < rest);
                let lot = self.new_lot(line, part_index, 0, pouches, quantity);
                self.lines[line].live[usize::from(part.web)] += 1;
                made.push(lot);
            }
        }
        for lot in made {
            let name = self.name(lot);
            self.watch.lot(self.now, name, LotEvent::Released);
            self.enter_step(lot);
        }
    }

    /// A new lot whose account starts now.
    pub(super) fn new_lot(&mut self, line: u32, part: u32, step: u16, pouches: bool, quantity: i64) -> u32 {
        let lot = self.lots.put(Lot {
            line,
            part,
            step,
            pouches,
            quantity,
            mark: self.now,
            closed_mark: 0,
            bonded: NEVER,
            seq: 0,
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

    fn due_date(&self, class: usize, key: u64) -> Tick {
        match &self.model.plant.classes[class].promise {
            Promise::None => NEVER,
            Promise::After(span) => {
                let minutes = span.sample(&mut self.streams.of(Source::OrderDue, key, 0));
                self.now + ticks_from_minutes(minutes)
            }
            Promise::WorkingDays { days, .. } => {
                let closings = &self.model.promise_closings[class];
                // The first closing that is still ahead belongs to the day of release (or to the next
                // opening day, when released after hours); the promise counts from the day after it.
                let today = closings.partition_point(|&c| c <= self.now);
                closings.get(today + *days as usize).or(closings.last()).copied().unwrap_or(NEVER)
            }
        }
    }

    /// The last lot of a web is through its last step: packed, or for roll-stock wrapped.
    pub(super) fn lot_done(&mut self, lot: u32) {
        let record = self.lots[lot];
        let line_index = record.line;
        let part = &self.model.parts[record.part as usize];
        let ship = self.ship_gate(lot);
        let name = self.name(lot);
        let line = &mut self.lines[line_index];
        line.live[0] -= 1;
        let last_of_line = line.live[0] == 0;
        let order_index = line.order;
        let order = &mut self.orders[order_index];
        order.ship = order.ship.max(ship);
        if record.pouches {
            order.good += record.quantity;
            self.counts.pouches += record.quantity;
        } else {
            order.good += (record.quantity as f64 / part.pitch_mm) as i64;
            self.counts.lane_mm_out += record.quantity;
        }
        if last_of_line {
            order.open_lines -= 1;
            self.watch.lot(self.now, name, LotEvent::Packed);
            self.lines.drop_at(line_index);
            if self.orders[order_index].open_lines == 0 {
                self.order_done(order_index, lot);
            }
        }
        self.lots.drop_at(lot);
    }

    fn order_done(&mut self, order_index: u32, lot: u32) {
        let order = self.orders[order_index];
        let done = order.ship.max(self.now);
        let cure = self.spent(Spent::Cure);
        let base = lot as usize * self.stride;
        self.split[base + cure] += done - self.now;
        let split = &self.split[base..base + self.stride];
        debug_assert_eq!(split.iter().sum::<Tick>(), done - order.released, "split adds up");
        self.watch.finished(Finished {
            order: order.serial,
            class: usize::from(order.class),
            product: order.product as usize,
            skus: u32::from(order.skus),
            ordered: order.ordered,
            good: order.good,
            released: order.released,
            due: order.due,
            first_pouch: order.first_pouch,
            packed: self.now,
            done,
            measured: order.measured,
            split,
        });
        self.counts.finished += 1;
        self.orders.drop_at(order_index);
    }

    /// When the web of a lot may ship.
    pub(super) fn ship_gate(&self, lot: u32) -> Tick {
        let record = &self.lots[lot];
        if record.bonded == NEVER {
            return 0;
        }
        let part = &self.model.parts[record.part as usize];
        match self.model.ship_hold(part) {
            Some(hold) => {
                let mut draw = self.cure_draw(lot);
                record.bonded + ticks_from_minutes(hold.sample(&mut draw))
            }
            None => 0,
        }
    }

    /// Planned work here and after, for slack rules, minutes.
    pub(super) fn plan_lot(&mut self, lot: u32) {
        let record = self.lots[lot];
        let part = &self.model.parts[record.part as usize];
        let here = usize::from(record.step);
        let (mut work, mut rest) = (0.0, 0.0);
        let mut pouches = record.pouches;
        for (index, step) in part.steps.iter().enumerate().skip(here) {
            let job = &step.jobs[step.plan_job];
            let quantity = if pouches && !record.pouches {
                (record.quantity as f64 / part.pitch_mm) as i64
            } else {
                record.quantity
            };
            let minutes = job.law.minutes(quantity, job.lanes, 0.0);
            if index == here { work = minutes } else { rest += minutes }
            pouches |= step.makes_pouches;
        }
        // Holds still to come; those already running are told by the clock.
        let hold = if record.bonded == NEVER {
            self.model.ship_hold(part).map_or(0.0, |d| d.mean())
        } else {
            0.0
        };
        let record = &mut self.lots[lot];
        record.work_min = work as f32;
        record.rest_min = f64::max(rest, hold) as f32;
    }
}

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
