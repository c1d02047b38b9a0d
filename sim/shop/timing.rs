//! How long a lot takes on a machine: run and changeover with their chance drawn, warming up again.

use crate::model::{Job, Law, NONE, element_minutes, start_waste_mm};
use crate::plant::ChangeoverTable;
use crate::random::{Dist, Source};
use crate::record::Observe;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Doing, Lot};

impl<O: Observe> Shop<'_, O> {
    /// Running minutes of a lot, its chance drawn.
    #[inline(always)]
    pub(super) fn run_minutes(&self, job: &Job, record: &Lot<'_>) -> f64 {
        let draw = || record.chances.of(Source::Bench, record.chance());
        match &job.law {
            Law::Lot(time) => time.draw(draw),
            Law::Each { time, unit } => time.draw(draw) * record.quantity as f64 / unit,
            law => {
                let alongside = crate::units::minutes_from_ticks(record.pouching_run);
                law.minutes(record.quantity, job.lanes, alongside)
            }
        }
    }

    /// Ticks of the changeover to a lot, its chance drawn; keyed by order, line, station and element.
    #[inline]
    pub(super) fn changeover(&self, m: usize, lot: u32) -> Tick {
        let spec = &self.machines[m].spec.changeover;
        let record = &self.lots[lot];
        let station = self.model.keys.stations[self.machines[m].plan.station];
        let of = |element: u64| {
            let number = record.key << 24 | u64::from(record.sku) << 8 | element;
            record.chances.of(Source::Changeover, number ^ station)
        };
        let drawn =
            self.changeover_minutes(m, lot, |dist, element| dist.draw(|| of(element as u64)));
        let mut minutes = drawn - self.laid_ready(m, lot, drawn);
        if let Some(start) = &spec.cold_start {
            let last = self.machines[m].last_active;
            if last < 0 || self.now - last >= ticks_from_minutes(spec.cold_after_min) {
                minutes += start.draw(|| of(255));
            }
        }
        ticks_from_minutes(minutes).max(0)
    }

    /// Mean changeover to a lot, minutes (for rules and plans).
    #[inline]
    pub(super) fn mean_changeover(&self, m: usize, lot: u32) -> f64 {
        if self.continues(m, lot) {
            return 0.0;
        }
        let machine = &self.machines[m];
        let job = self.job(m, lot);
        if let Some(table) = &machine.spec.changeover.table {
            return machine.plan.table_means[table_line(table, machine.last_product, job)];
        }
        let known = machine
            .plan
            .mean_changeover
            .get(machine.dressed_as, job.dress);
        known.unwrap_or_else(|| self.changeover_minutes(m, lot, |dist, _| dist.mean()))
    }

    /// Mean changeover to a lot from how a job leaves the machine, minutes.
    pub(super) fn mean_change_between(&self, m: usize, from: &Job, lot: u32) -> f64 {
        let machine = &self.machines[m];
        let job = self.job(m, lot);
        let spec = &machine.spec.changeover;
        machine.plan.mean_change(spec, from, job)
    }

    /// Minutes of the changeover to a lot; `time` gives those of a line of the table or of an element.
    pub(super) fn changeover_minutes(
        &self,
        m: usize,
        lot: u32,
        time: impl Fn(&Dist, usize) -> f64,
    ) -> f64 {
        let machine = &self.machines[m];
        let spec = &machine.spec.changeover;
        let job = self.job(m, lot);
        match &spec.table {
            Some(table) => {
                let line = table_line(table, machine.last_product, job);
                spec.at_least_locked(time(&table.times[line], 0))
            }
            None => element_minutes(spec, machine.dressed, &job.dressing, time),
        }
    }

    /// Minutes of a changeover that were done away from the machine while it ran before: as long as the lot waited
    /// then, and never what is locked.
    fn laid_ready(&self, m: usize, lot: u32, minutes: f64) -> f64 {
        let machine = &self.machines[m];
        let spec = &machine.spec.changeover;
        if spec.prepare_min <= 0.0 {
            return 0.0;
        }
        let (record, ran) = (&self.lots[lot], machine.ran);
        let closed = (ran.closed - record.closed_joined).max(0);
        let beside = (ran.until - record.joined - closed).clamp(0, ran.length);
        let beside = crate::units::minutes_from_ticks(beside);
        let most = (minutes - spec.locked_min).max(0.0);
        spec.prepare_min.min(beside).min(most)
    }

    /// Web that the start of a lot loses once the machine is set up for it, mm.
    pub(super) fn start_waste_mm(&self, m: usize, lot: u32) -> f64 {
        let machine = &self.machines[m];
        let spec = &machine.spec.changeover;
        let job = self.job(m, lot);
        let from = match machine.last_product {
            NONE => None,
            product => Some(product as usize),
        };
        start_waste_mm(spec, job, from, machine.dressed)
    }

    /// A machine that stood with a lot in it and went cold warms up again before it goes on, and one whose
    /// adhesive set is washed up.
    pub(super) fn warm_again(&mut self, m: usize) {
        let machine = &self.machines[m];
        if !matches!(machine.progress.doing, Doing::Run | Doing::FirstOff) {
            return;
        }
        let stood = self.now - machine.last_active;
        let spec = &self.machines[m].spec.changeover;
        let mut length = 0;
        if let Some(start) = &spec.cold_start
            && stood >= ticks_from_minutes(spec.cold_after_min)
        {
            let chances = self.machines[m].chances;
            let mut draw = chances.of(Source::Changeover, self.now as u64);
            length = ticks_from_minutes(start.sample(&mut draw)).max(0);
        }
        if self.outlasts_pot_life(m, stood) {
            self.unplanned_wash_up(m);
            self.machines[m].progress.left += length;
        } else if length > 0 {
            self.ask_again(m);
            self.machines[m].progress.doing = Doing::Setup;
            self.machines[m].progress.left = length;
        }
    }
}

/// Which of a table's times counts from one product (`NONE`: undressed) to a job.
#[inline]
fn table_line(table: &ChangeoverTable, last_product: u32, job: &Job) -> usize {
    let from = match last_product {
        NONE => job.product,
        product => product as usize,
    };
    table.index[from][job.product] as usize
}
