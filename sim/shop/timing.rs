//! How long a lot takes on a machine: run and changeover with their chance drawn, warming up again.

use crate::model::{Law, NONE, differing, start_waste_mm};
use crate::random::{Dist, Source};
use crate::record::Observe;
use crate::trade::changeover::overlap;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Phase, machine_spec};

impl<O: Observe> Shop<'_, O> {
    /// Running minutes of a lot, its chance drawn.
    pub(super) fn run_minutes(&self, m: usize, lot: u32) -> f64 {
        let record = &self.lots[lot];
        let job = self.job(m, lot);
        let draw = || {
            let b = self.line_key(record.line) << 40
                | u64::from(record.number) << 16
                | u64::from(record.backs) << 8
                | u64::from(record.step);
            self.streams
                .of(Source::Bench, self.order_key(record.line), b)
        };
        match &job.law {
            Law::Lot(time) => time.sample(&mut draw()),
            Law::Each { time, unit } => time.sample(&mut draw()) * record.quantity as f64 / unit,
            law => {
                let alongside = crate::units::minutes_from_ticks(record.pouching_run);
                law.minutes(record.quantity, job.lanes, alongside)
            }
        }
    }

    /// Ticks of the changeover to a lot, its chance drawn; keyed by order, line, station and element.
    pub(super) fn changeover(&self, m: usize, lot: u32) -> Tick {
        let spec = &machine_spec(self.model, m).changeover;
        let line = &self.lines[self.lots[lot].line];
        let key = self.orders[line.order].key;
        let station = self.model.keys.stations[self.model.machines[m].station];
        let base = self.line_key(self.lots[lot].line) << 24
            | u64::from(self.lots[lot].sku) << 16
            | station << 8;
        let mut minutes = self.changeover_minutes(m, lot, |dist, element| {
            dist.sample(
                &mut self
                    .streams
                    .of(Source::Changeover, key, base | element as u64),
            )
        });
        let cold = self.machines[m].last_active < 0
            || self.now - self.machines[m].last_active >= ticks_from_minutes(spec.cold_after_min);
        if let (true, Some(start)) = (cold, &spec.cold_start) {
            minutes += start.sample(&mut self.streams.of(Source::Changeover, key, base | 255));
        }
        ticks_from_minutes(minutes).max(0)
    }

    /// Mean changeover to a lot, minutes (for rules and plans).
    pub(super) fn mean_changeover(&self, m: usize, lot: u32) -> f64 {
        if self.continues(m, lot) {
            0.0
        } else {
            self.changeover_minutes(m, lot, |dist, _| dist.mean())
        }
    }

    pub(super) fn changeover_minutes(
        &self,
        m: usize,
        lot: u32,
        time: impl Fn(&Dist, usize) -> f64,
    ) -> f64 {
        let spec = &machine_spec(self.model, m).changeover;
        let job = self.job(m, lot);
        if let Some(table) = &spec.table {
            let from = match self.machines[m].last_product {
                NONE => job.product,
                product => product as usize,
            };
            return time(&table.times[table.index[from][job.product] as usize], 0);
        }
        let dressed = self.machines[m].dressed.as_ref();
        let parts =
            spec.elements
                .iter()
                .enumerate()
                .filter_map(|(index, element)| {
                    match differing(element.kind, dressed, &job.dressing) {
                        0 => None,
                        count => Some(f64::from(count) * time(&element.time, index)),
                    }
                });
        overlap(parts, spec.rest_share)
    }

    /// Web that the start of a lot loses once the machine is set up for it, mm.
    pub(super) fn start_waste_mm(&self, m: usize, lot: u32) -> f64 {
        let spec = &machine_spec(self.model, m).changeover;
        let job = self.job(m, lot);
        let machine = &self.machines[m];
        let from = match machine.last_product {
            NONE => None,
            product => Some(product as usize),
        };
        start_waste_mm(spec, job, from, machine.dressed.as_ref())
    }

    /// A machine that stood with a lot in it and went cold warms up again before it goes on, and one whose
    /// adhesive set is washed up.
    pub(super) fn warm_again(&mut self, m: usize) {
        let machine = &self.machines[m];
        if machine.phase != Phase::Run {
            return;
        }
        let stood = self.now - machine.last_active;
        let spec = &machine_spec(self.model, m).changeover;
        let mut length = 0;
        if let Some(start) = &spec.cold_start
            && stood >= ticks_from_minutes(spec.cold_after_min)
        {
            let mut draw = self.streams.of(
                Source::Changeover,
                u64::MAX - self.machine_key(m),
                self.now as u64,
            );
            length = ticks_from_minutes(start.sample(&mut draw)).max(0);
        }
        if self.outlasts_pot_life(m, stood) {
            self.unplanned_wash_up(m);
            self.machines[m].left += length;
        } else if length > 0 {
            self.machines[m].phase = Phase::Setup;
            self.machines[m].left = length;
        }
    }
}
