//! Orders come in, get their class and promise, and wait for their release where the floor is limited.

use crate::kernel::NEVER;
use crate::model::NONE;
use crate::plant::Promise;
use crate::random::{Chances, Source};
use crate::record::Observe;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::Order;

/// Key space of booked orders, apart from those of the streams.
const BOOK_KEY: u64 = 0xB00C << 48;

impl<O: Observe> Shop<'_, O> {
    /// Times the next order of a stream: the gap passes on the stream's own calendar clock.
    #[inline]
    pub(super) fn next_arrival(&mut self, stream: usize) {
        let plan = &self.model.plant.arrivals[stream];
        let arrival = &mut self.arrivals[stream];
        let drawn = plan.gap.draw(|| {
            let stream = self.model.keys.streams[stream];
            self.streams.of(Source::ArrivalGap, stream, arrival.count)
        });
        let mut gap = ticks_from_minutes(drawn).max(0);
        let time = match self.model.streams[stream].calendar {
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
        let number = self.arrivals[stream].count;
        let key = self.model.keys.streams[stream].wrapping_add(number);
        let chances = self.streams.about(key);
        let class = pick(&plan.classes, || chances.of(Source::OrderClass, 0).unit());
        let due = self.due_date(class, &chances, self.now);
        if !self.is_refused(stream, &chances, class, due) {
            self.take_order(chances, class, [self.now, due], stream, NONE);
        }
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
        let chances = self.streams.about(BOOK_KEY | u64::from(booked.number));
        // Released before the clock's zero it has waited since then, and its promise counts from there.
        let released = ticks_from_minutes(booked.release_min).min(self.now);
        let due = match booked.due_min {
            Some(minutes) => ticks_from_minutes(minutes),
            None => self.due_date(booked.class, &chances, released),
        };
        self.take_order(chances, booked.class, [released, due], 0, index as u32);
        self.next_book += 1;
        self.next_booked();
    }

    #[inline]
    fn take_order(
        &mut self,
        chances: Chances,
        class: usize,
        [released, due]: [Tick; 2],
        stream: usize,
        book: u32,
    ) {
        let model = self.model;
        let (now, serial) = (self.now, self.next_order);
        let order = self.orders.put(move || Order {
            serial,
            chances,
            stream: stream as u16,
            class: class as u16,
            skus: 0,
            open_lines: 0,
            measured: now >= model.warm_up && now < model.measured_end,
            product: 0,
            released,
            due,
            first_pouch: NEVER,
            ship: 0,
            ordered: 0,
            good: 0,
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
            self.waiting_outside += 1;
            self.outside[class].insert((due, u64::from(self.next_order - 1), order));
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
            let classes = &self.model.plant.classes;
            let best = (0..self.outside.len())
                .filter_map(|class| {
                    let &(due, seq, order) = self.outside[class].first()?;
                    let better = (classes[class].rank, due, seq);
                    self.may_release(class).then_some((better, class, order))
                })
                .min();
            let Some(((_, due, seq), class, order)) = best else {
                return;
            };
            self.waiting_outside -= 1;
            self.outside[class].remove(&(due, seq, order));
            self.release(order);
        }
    }

    #[inline]
    fn due_date(&self, class: usize, chances: &Chances, released: Tick) -> Tick {
        match &self.model.plant.classes[class].promise {
            Promise::None => NEVER,
            Promise::After(span) => {
                let minutes = span.draw(|| chances.of(Source::OrderDue, 0));
                released + ticks_from_minutes(minutes)
            }
            Promise::WorkingDays { days, .. } => {
                let closings = &self.model.promise_closings[class];
                // The first closing that is still ahead belongs to the day of release (or to the next
                // opening day, when released after hours); the promise counts from the day after it.
                let today = closings.partition_point(|&c| c <= released);
                closings
                    .get(today + *days as usize)
                    .or(closings.last())
                    .copied()
                    .unwrap_or(NEVER)
            }
        }
    }
}

/// Up to so many shares it is faster to look at all of them than to stop at the right one.
const FEW: usize = 12;

/// Picks an index by shares; draws only when there is a choice.
pub(super) fn pick(shares: &[(usize, f64)], draw: impl FnOnce() -> f64) -> usize {
    match shares {
        [] => 0,
        [only] => only.0,
        _ if shares.len() <= FEW => {
            // The same without a branch, since which it is to be is a toss-up.
            let mut left = draw();
            let mut passed = 0;
            for &(_, share) in shares {
                left -= share;
                passed += usize::from(left >= 0.0);
            }
            shares[passed.min(shares.len() - 1)].0
        }
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
