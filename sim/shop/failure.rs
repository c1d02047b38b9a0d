//! Breakdowns and micro-stops: when they come, how long they take, what they cost.

use crate::kernel::NEVER;
use crate::model::NONE;
use crate::plant::Clock;
use crate::random::Source;
use crate::record::Observe;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::Doing;

impl<O: Observe> Shop<'_, O> {
    pub(super) fn draw_first_failures(&mut self, m: usize) {
        for cause in 0..self.machines[m].failures.len() {
            self.draw_failure(m, cause);
        }
        self.draw_micro_stop(m);
    }

    #[inline]
    pub(super) fn draw_failure(&mut self, m: usize, cause: usize) {
        let breakdown = &self.machines[m].spec.breakdowns[cause];
        let number = self.machines[m].failures[cause].count;
        let mut draw = self.machines[m].chance_of(Source::Failure, cause, number);
        let drawn = breakdown.every.sample(&mut draw);
        let now = self.now;
        let failure = &mut self.machines[m].failures[cause];
        failure.left = match failure.clock {
            Clock::Running => ticks_from_minutes(drawn).max(1) as f64,
            Clock::Metres => (drawn * 1000.0).max(1.0),
            Clock::Calendar => (now + ticks_from_minutes(drawn).max(1)) as f64,
        };
        let next = self.machines[m]
            .failures
            .iter()
            .filter(|f| f.clock == Clock::Calendar)
            .map(|f| f.left as Tick)
            .min();
        self.machines[m].calendar_failure = next.unwrap_or(NEVER);
    }

    pub(super) fn calendar_failure(&mut self, m: usize) {
        let now = self.now as f64;
        let due = self.machines[m]
            .failures
            .iter()
            .position(|f| f.clock == Clock::Calendar && f.left <= now);
        let Some(cause) = due else { return };
        if matches!(
            self.machines[m].progress.doing,
            Doing::Repair | Doing::Rethread
        ) {
            // Down already: the second failure is found and mended with the first.
            self.machines[m].failures[cause].count += 1;
            self.draw_failure(m, cause);
            return;
        }
        self.settle(m);
        self.breaks_down(m, cause);
    }

    pub(super) fn breaks_down(&mut self, m: usize, cause: usize) {
        let breakdown = &self.machines[m].spec.breakdowns[cause];
        let number = self.machines[m].failures[cause].count;
        let mut draw = self.machines[m].chance_of(Source::Repair, cause, number);
        let repair = ticks_from_minutes(breakdown.repair.sample(&mut draw)).max(0);
        // A service works in its own hours, whatever the cell does: how long that takes is known.
        let repair = match breakdown.by_service {
            Some(Some(hours)) => self.open_after_hours(hours, repair) - self.now,
            _ => repair,
        };
        let (now, waste) = (self.now, breakdown.waste_m);
        let machine = &mut self.machines[m];
        machine.after_repair = (machine.progress.doing, machine.progress.left);
        machine.progress.doing = Doing::Repair;
        machine.progress.left = repair;
        machine.down_since = now;
        machine.down_cause = cause;
        machine.failures[cause].count += 1;
        if machine.clock_of(cause) == Clock::Calendar {
            // The next one is counted from the end of this repair.
            machine.failures[cause].left = f64::INFINITY;
        }
        let lot = self.machines[m].lot;
        if lot != NONE {
            self.lots[lot].extra_waste_mm += waste * 1000.0;
        }
        self.after_repair_draw(m, cause);
        // Those who run it stay with it, where they are the ones to mend it.
        self.resume(m);
    }

    /// The instant by which a calendar has been open for so long, counted from now.
    pub(super) fn open_after_hours(&self, calendar: usize, mut left: Tick) -> Tick {
        let open = &self.model.calendars[calendar];
        for &(from, to) in &open[open.partition_point(|i| i.1 <= self.now)..] {
            let from = from.max(self.now);
            if to - from >= left {
                return from + left;
            }
            left -= to - from;
        }
        NEVER / 4
    }

    /// Draws the next failure of a cause; a calendar clock starts again when the repair is planned to end.
    pub(super) fn after_repair_draw(&mut self, m: usize, cause: usize) {
        self.draw_failure(m, cause);
        let repair = self.machines[m].progress.left;
        let machine = &mut self.machines[m];
        if machine.clock_of(cause) == Clock::Calendar {
            machine.failures[cause].left += repair as f64;
            machine.calendar_failure = machine.calendar_failure.saturating_add(repair);
            let next = machine
                .failures
                .iter()
                .filter(|f| f.clock == Clock::Calendar)
                .map(|f| f.left as Tick)
                .min();
            machine.calendar_failure = next.unwrap_or(NEVER);
        }
    }
}
