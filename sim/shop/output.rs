//! What comes out of a machine: waste, rejects, good web and good pouches, to the millimetre.

use crate::random::{Dist, Source};
use crate::record::{Lost, Observe, WebOf};
use crate::units::whole;

use super::Shop;
use super::state::{Bond, Looked};

impl<O: Observe> Shop<'_, O> {
    /// Share lost of this lot, its chance drawn.
    #[inline]
    pub(super) fn waste_share(&self, m: usize, lot: u32) -> f64 {
        let record = &self.lots[lot];
        match &self.job(m, lot).running_waste {
            Dist::Constant(share) => *share,
            drawn => drawn
                .draw(|| record.chances.of(Source::Waste, record.chance()))
                .clamp(0.0, 1.0),
        }
    }

    /// Which web is spoken of, and at which of its steps.
    pub(super) fn web_of(&self, part: u32, order: u32, step: usize) -> WebOf {
        WebOf {
            part: part as usize,
            step,
            measured: self.orders[order].measured,
        }
    }

    /// A pass is made, `made` others before it: its holds begin, and those of the others go on where their adhesive is
    /// another one.
    fn bond(&mut self, lot: u32, made: usize) {
        let now = self.now;
        let entry = &mut self.lots[lot];
        if entry.web.mixed && made > 0 {
            entry.earlier[made - 1] = Bond {
                bonded: entry.bonded,
                hot_for: entry.hot_for,
                hot_before: 0,
            };
            for bond in &mut entry.earlier[..made] {
                bond.hot_before = bond.hot_before.max(std::mem::take(&mut bond.hot_for));
            }
        }
        entry.bonded = now;
        entry.looked = Looked::Never;
        (entry.hot_for, entry.cure_mark) = (0, now);
    }

    /// Turns what went in into what comes out, and books the difference as waste.
    #[inline]
    pub(super) fn book_output(&mut self, m: usize, lot: u32) {
        let record = &self.lots[lot];
        let part = record.web;
        let step = &part.steps[usize::from(record.step)];
        let station = step.station;
        let machine = &self.machines[m];
        let pitch_mm = part.pitch_mm;
        let waste = self.waste_share(m, lot);
        let job = self.job(m, lot);
        let web = self.web_of(record.part, record.order, usize::from(record.step));
        if record.pouches || part.is_piece() {
            let pouches = record.pouches;
            let lost = whole(record.quantity as f64 * waste);
            self.lots[lot].extra_waste_mm = 0.0;
            if pouches && lost != 0 {
                self.lots[lot].quantity -= lost;
                self.counts.pouches_lost += lost;
                let line = self.lots[lot].line;
                self.lines[line].pouches_open -= lost;
                if lost > 0 {
                    self.watch
                        .waste(self.now, station, Lost::Reject, [0, lost], web);
                }
            }
            return;
        }
        if step.joins {
            self.watch.joined(self.now, web, record.quantity);
        }
        let start_mm = machine.start_waste_mm;
        let stops_mm = record.extra_waste_mm + machine.micro_waste_mm();
        let start = start_mm + stops_mm;
        let lanes = f64::from(job.lanes);
        let rest = (record.quantity as f64 - start * lanes).max(0.0);
        let (out, lost) = if step.makes_pouches {
            let good = whole(rest / pitch_mm * (1.0 - waste));
            let used = whole(good as f64 * pitch_mm).min(record.quantity);
            (good, record.quantity - used)
        } else {
            let out = whole(rest * (1.0 - waste));
            (out, record.quantity - out)
        };
        self.counts.lane_mm_waste += lost;
        let line = &mut self.lines[record.line];
        line.web_open -= lost;
        if step.makes_pouches {
            line.web_open -= record.quantity - lost;
            line.pouches_open += out;
        }
        // Packing beside it goes on only while the machine is open and its people are there.
        let ran = machine.progress.at_it;
        let starts = machine.start_waste_mm > 0.0;
        let reels = job.reels(record.quantity, record.rolls, starts);
        if let Some(reels) = reels {
            self.wind(lot, reels);
        }
        let entry = &mut self.lots[lot];
        if step.makes_pouches {
            self.counts.lane_mm_out += entry.quantity - lost;
            self.counts.pouches_made += out;
            entry.pouches = true;
            entry.pouching_run += ran;
        }
        entry.quantity = out;
        entry.extra_waste_mm = 0.0;
        if step.bonds {
            self.bond(lot, usize::from(step.passes));
        }
        let by_start = whole(start_mm * lanes).clamp(0, lost);
        let by_stops = whole(stops_mm * lanes).clamp(0, lost - by_start);
        let parts = [by_start, by_stops, lost - by_start - by_stops];
        self.tell_waste(station, step.makes_pouches, parts, web);
    }

    /// Web that a lot lost by its start, by stops and by the rest, lane-millimetres.
    fn tell_waste(&mut self, station: usize, makes_pouches: bool, lost: [i64; 3], web: WebOf) {
        let rest = match makes_pouches {
            true => Lost::Reject,
            false => Lost::Running,
        };
        for (why, lost) in [Lost::Start, Lost::Stop, rest].into_iter().zip(lost) {
            if lost != 0 {
                self.watch.waste(self.now, station, why, [lost, 0], web);
            }
        }
    }
}
