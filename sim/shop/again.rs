//! Rolls that are printed again: those that the laboratory does not release, and those that have waited too long.
//!
//! Print that may not be touched, a treatment that decays, a bond that is too old for the next pass: `longest` of a
//! laminate says how long a web may wait for its lamination. It is looked at when a machine would take it.

use crate::kernel::NEVER;
use crate::model::plan_entry;
use crate::record::{Lost, LotEvent, Observe};

use super::Shop;
use super::cure::NO_ROOM;
use super::finish::MOST_REMAKES;

impl<O: Observe> Shop<'_, O> {
    /// A lot has waited for its present lamination for longer than its laminate allows.
    pub(super) fn is_stale(&self, lot: u32) -> bool {
        let record = &self.lots[lot];
        let Some(step) = record.at.filter(|step| step.bonds) else {
            return false;
        };
        // A cell in which everything is too old would never end.
        if self.lines[record.line].remakes >= MOST_REMAKES {
            return false;
        }
        let (longest, since) = match step.passes {
            0 => (record.web.longest[0], record.printed),
            _ => (record.web.longest[1], record.bonded),
        };
        longest != NEVER && since != NEVER && self.now - since > longest
    }

    /// What has waited too long at a station is taken out and printed again, before a machine is offered it.
    pub(super) fn clear_stale(&mut self, station: usize) {
        let run = &self.stations[station];
        let waiting = run.queue.iter().copied().chain(run.sorted.lots());
        let mut stale: Vec<u32> = waiting.filter(|&lot| self.is_stale(lot)).collect();
        while let Some(&first) = stale.first() {
            // What is of one web is printed in one go, however it was cut.
            let of = |lot: u32| (self.lots[lot].line, self.lots[lot].part);
            let (lots, others): (Vec<u32>, Vec<u32>) =
                stale.iter().partition(|&&lot| of(lot) == of(first));
            stale = others;
            let mut places = 0;
            for &lot in &lots {
                self.out_of_line(station, lot);
                self.leave_queue(station, lot);
                places += u32::from(self.lots[lot].room == NO_ROOM);
            }
            self.print_again(&lots, LotEvent::Stale(station));
            for _ in 0..places {
                self.room_made(station);
            }
        }
    }

    /// Lots of one web of a SKU are lost, and their share of what it lacks is printed again and cures again.
    pub(super) fn print_again(&mut self, lots: &[u32], why: LotEvent) {
        let Some(&last) = lots.last() else { return };
        for &lot in lots {
            self.lose(lot, why);
        }
        let record = self.lots[last];
        let (web, part) = (usize::from(record.web.web), record.web);
        self.counts.remakes += 1;
        let line = &mut self.lines[record.line];
        let share = lots.len() as f64 / f64::from(line.live[web].max(1));
        let lacks = ((line.ordered - line.good) as f64 * share).max(1.0);
        line.remakes += 1;
        line.uid = self.next_line;
        self.next_line += 1;
        line.live[web] -= lots.len() as u32;
        let gang = u32::from(line.gang);
        let ask = self.model.ask(record.part as usize, lacks, gang);
        let amount = plan_entry(part, &ask, 0);
        let mut made = std::mem::take(&mut self.printed);
        made.clear();
        self.print_web(record.line, record.part, amount, 0, &mut made);
        self.open_accounts(record.line, &made, Some(last));
        for &lot in lots {
            self.lots.drop_at(lot);
        }
        self.send_off(&made, None);
        self.printed = made;
    }

    /// The web of a lot is lost, with all that is joined to it by now.
    fn lose(&mut self, lot: u32, why: LotEvent) {
        self.leave_place(lot);
        self.tell(lot, why);
        let record = self.lots[lot];
        self.counts.lane_mm_waste += record.quantity;
        let last = usize::from(record.step).saturating_sub(1);
        let of = self.web_of(record.part, record.order, last);
        let station = record.web.steps.get(last).map_or(0, |step| step.station);
        let lost = [record.quantity, 0];
        self.watch.waste(self.now, station, Lost::Again, lost, of);
        self.lines[record.line].web_open -= record.quantity;
    }
}
