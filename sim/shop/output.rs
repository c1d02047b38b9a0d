//! What comes out of a machine: waste, rejects, good web and good pouches, to the millimetre.

use crate::random::{Dist, Source};
use crate::record::Observe;

use super::Shop;

impl<O: Observe> Shop<'_, O> {
    /// Share lost of this lot, its chance drawn.
    pub(super) fn waste_share(&self, m: usize, lot: u32) -> f64 {
        let record = &self.lots[lot];
        match &self.job(m, lot).running_waste {
            Dist::Constant(share) => *share,
            drawn => {
                let b = self.line_key(record.line) << 40
                    | u64::from(record.number) << 16
                    | u64::from(record.backs) << 8
                    | u64::from(record.step);
                drawn
                    .sample(
                        &mut self
                            .streams
                            .of(Source::Waste, self.order_key(record.line), b),
                    )
                    .clamp(0.0, 1.0)
            }
        }
    }

    /// Turns what went in into what comes out, and books the difference as waste.
    pub(super) fn book_output(&mut self, m: usize, lot: u32) {
        let record = self.lots[lot];
        let model = self.model;
        let part = &model.parts[record.part as usize];
        let step = &part.steps[usize::from(record.step)];
        let station = step.station;
        let machine = &self.machines[m];
        let pitch_mm = part.pitch_mm;
        let waste = self.waste_share(m, lot);
        self.lots[lot].extra_waste_mm = 0.0;
        let job = self.job(m, lot);
        if record.pouches {
            let lost = (record.quantity as f64 * waste).round() as i64;
            self.lots[lot].quantity -= lost;
            self.counts.pouches_lost += lost;
            if lost > 0 {
                self.watch
                    .waste(self.now, station, 0, lost, record.part as usize);
            }
            return;
        }
        if !part.roll_max_mm.is_finite() {
            return;
        }
        let start = machine.start_waste_mm + record.extra_waste_mm;
        let lanes = f64::from(job.lanes);
        let rest = (record.quantity as f64 - start * lanes).max(0.0);
        let (out, lost) = if step.makes_pouches {
            let good = (rest / pitch_mm * (1.0 - waste)).round();
            let used = ((good * pitch_mm).round() as i64).min(record.quantity);
            (good as i64, record.quantity - used)
        } else {
            let out = (rest * (1.0 - waste)).round() as i64;
            (out, record.quantity - out)
        };
        self.counts.lane_mm_waste += lost;
        let ran = self.now - machine.run_began;
        let entry = &mut self.lots[lot];
        if step.makes_pouches {
            self.counts.lane_mm_out += entry.quantity - lost;
            self.counts.pouches_made += out;
            entry.pouches = true;
            entry.pouching_run = ran;
        }
        entry.quantity = out;
        if step.bonds {
            entry.bonded = self.now;
            (entry.hot_for, entry.cure_mark) = (0, self.now);
        }
        self.watch
            .waste(self.now, station, lost, 0, record.part as usize);
    }
}
