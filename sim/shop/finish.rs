//! Lots and orders end: shortage and remake, packing, shipping.

use crate::kernel::NEVER;
use crate::plant::Shortage;
use crate::record::{Finished, LotEvent, Observe, Spent};

use super::Shop;

/// Most times one SKU is made again; a cell that loses everything would never end.
pub(super) const MOST_REMAKES: u16 = 20;

impl<O: Observe> Shop<'_, O> {
    /// A lot of the body web is through its last step: packed, or for roll-stock wrapped.
    #[inline]
    pub(super) fn lot_done(&mut self, lot: u32) {
        let record = &self.lots[lot];
        let line_index = record.line;
        let part = record.web;
        let ship = self.ship_gate(lot);
        let good = if record.pouches {
            self.counts.pouches += record.quantity;
            record.quantity
        } else {
            self.counts.lane_mm_out += record.quantity;
            (record.quantity as f64 / part.pitch_mm) as i64
        };
        let made_of = if record.pouches { 0 } else { record.quantity };
        let packed = record.quantity - made_of;
        let line = &mut self.lines[line_index];
        line.live[0] -= 1;
        line.good += good;
        line.web_open -= made_of;
        line.pouches_open -= packed;
        let last_of_line = line.live[0] == 0;
        if last_of_line {
            let serial = self.orders[line.order].serial;
            self.counts.audit.line(self.now, serial, line);
        }
        let order_index = line.order;
        let order = &mut self.orders[order_index];
        order.ship = order.ship.max(ship);
        order.good += good;
        if last_of_line && !self.made_again(lot) {
            self.orders[order_index].open_lines -= 1;
            self.tell(lot, LotEvent::Packed);
            self.lines.drop_at(line_index);
            if self.orders[order_index].open_lines == 0 {
                self.order_done(order_index, lot);
            }
        }
        self.lots.drop_at(lot);
    }

    /// Prints what is missing of a line, if its class asks for that.
    #[inline]
    fn made_again(&mut self, lot: u32) -> bool {
        let line_index = self.lots[lot].line;
        let line = self.lines[line_index];
        let class = usize::from(self.orders[line.order].class);
        let Shortage::Remake { tolerance } = self.model.plant.classes[class].shortage else {
            return false;
        };
        let missing = line.ordered - line.good;
        if missing as f64 <= tolerance * line.ordered as f64 || line.remakes >= MOST_REMAKES {
            return false;
        }
        self.tell(lot, LotEvent::Remade(missing));
        self.counts.remakes += 1;
        let record = &mut self.lines[line_index];
        record.remakes += 1;
        record.gang = 1;
        record.uid = self.next_line;
        self.next_line += 1;
        self.print(line_index, missing as f64, Some(lot), None);
        true
    }

    #[inline]
    fn order_done(&mut self, order_index: u32, lot: u32) {
        let order = &self.orders[order_index];
        let class = usize::from(order.class);
        let done = order.ship.max(self.now);
        let base = lot as usize * self.stride;
        let split = &mut self.split[base..base + self.stride];
        split[self.first_spent + Spent::Cure as usize] += done - self.now;
        let finished = Finished {
            order: order.serial,
            class,
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
        };
        let running = split[self.first_spent + Spent::Running as usize];
        let asked = self.lots[lot].asked;
        self.counts.audit.order(&finished, running, asked);
        self.watch.finished(finished);
        self.counts.finished += 1;
        if done > self.now {
            self.held_back.push(std::cmp::Reverse(done));
        }
        self.on_floor[class] -= 1;
        self.orders.drop_at(order_index);
        if self.waiting_outside > 0 {
            self.release_next();
        }
    }

    /// Planned work here and after, for slack rules, minutes.
    pub(super) fn plan_lot(&mut self, lot: u32) {
        let record = &self.lots[lot];
        if record.planned == record.quantity {
            return;
        }
        let part = record.web;
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
            if index == here {
                work = minutes
            } else {
                rest += minutes
            }
            pouches |= step.makes_pouches;
        }
        // Holds still to come; those already running are told by the clock.
        let hold = if record.bonded == NEVER {
            self.model.longest_ship_hold_min(part)
        } else {
            0.0
        };
        let record = &mut self.lots[lot];
        record.planned = record.quantity;
        record.work_min = work as f32;
        record.rest_min = f64::max(rest, hold) as f32;
    }
}
