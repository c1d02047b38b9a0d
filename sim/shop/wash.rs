//! Washing up where a reactive adhesive would set: before the shift ends, and after a stop that outlasts
//! the pot life, whether a run stopped or the machine stood without work.

use crate::kernel::NEVER;
use crate::model::{NONE, Presence};
use crate::record::Observe;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Doing, Door, Hands};

impl<O: Observe> Shop<'_, O> {
    /// Pot life of the adhesive that a lot is bonded with at its present step, minutes.
    #[inline]
    fn pot_life_min(&self, lot: u32) -> Option<f64> {
        let adhesive = self.lots[lot].at?.adhesive?;
        self.model.plant.adhesives[adhesive].pot_life_min
    }

    /// A lot is bonded at its present step with an adhesive that has a pot life.
    #[inline]
    pub(super) fn runs_reactive(&self, lot: u32) -> bool {
        self.pot_life_min(lot).is_some()
    }

    /// A stop of this length is too long for the mixed adhesive on the machine.
    pub(super) fn outlasts_pot_life(&self, m: usize, stopped: Tick) -> bool {
        let Some(wash) = &self.machines[m].spec.wash_up else {
            return false;
        };
        let lot = self.machines[m].lot;
        if lot == NONE
            || (!self.machines[m].dirty
                && self.machines[m].progress.run_left == self.machines[m].run_total)
        {
            return false;
        }
        self.pot_life_min(lot)
            .is_some_and(|life| stopped > ticks_from_minutes(life * wash.pot_life_share))
    }

    /// Adhesive stands mixed on a machine from now on, where its lot runs one that has a pot life.
    pub(super) fn leaves_mixed(&mut self, m: usize) {
        let lot = self.machines[m].lot;
        if self.lots[lot].at.is_some_and(|step| step.bonds) && self.runs_reactive(lot) {
            let adhesive = self.lots[lot].at.and_then(|step| step.adhesive);
            self.machines[m].mixed = adhesive.map(|adhesive| (adhesive, self.now));
        }
    }

    /// Planned minutes of washing out what has set on a machine while it stood; 0 for nothing.
    pub(super) fn set_adhesive_min(&self, m: usize) -> f64 {
        let machine = &self.machines[m];
        let (Some(wash), Some((adhesive, since))) = (&machine.spec.wash_up, machine.mixed) else {
            return 0.0;
        };
        let life = self.model.plant.adhesives[adhesive].pot_life_min;
        let over = life
            .is_some_and(|life| self.now - since > ticks_from_minutes(life * wash.pot_life_share));
        if over { wash.unplanned_min } else { 0.0 }
    }

    /// A machine starts a lot: what has set on it is washed out first (ticks), and web of the lot is lost by it.
    pub(super) fn wash_out_set(&mut self, m: usize, lot: u32) -> Tick {
        let minutes = self.set_adhesive_min(m);
        if minutes > 0.0 {
            let waste_m = (self.machines[m].spec.wash_up.as_ref()).map_or(0.0, |w| w.waste_m);
            self.lots[lot].extra_waste_mm += waste_m * 1000.0;
            self.machines[m].dirty = false;
            self.machines[m].mixed = None;
        } else if let Some((adhesive, _)) = self.machines[m].mixed
            && self.lots[lot].at.and_then(|step| step.adhesive) != Some(adhesive)
        {
            // The changeover to another adhesive cleans it out.
            self.machines[m].mixed = None;
        }
        ticks_from_minutes(minutes).max(0)
    }

    /// The adhesive set: the machine is washed before it goes on, and some web is lost.
    pub(super) fn unplanned_wash_up(&mut self, m: usize) {
        let Some(wash) = &self.machines[m].spec.wash_up else {
            return;
        };
        self.ask_again(m);
        let machine = &mut self.machines[m];
        machine.progress.doing = Doing::Setup;
        machine.progress.left = ticks_from_minutes(wash.unplanned_min).max(0);
        machine.dirty = false;
        machine.mixed = None;
        let lot = machine.lot;
        self.lots[lot].extra_waste_mm += wash.waste_m * 1000.0;
    }

    /// When a machine that opens now has to begin its wash-up: so that it ends with the shift. Breaks do not count.
    pub(super) fn plan_wash_up(&mut self, m: usize) {
        let Some(wash) = &self.machines[m].spec.wash_up else {
            return;
        };
        let length = ticks_from_minutes(wash.end_of_shift_min);
        let timeline = &self.machines[m].plan.timeline;
        let here = self.machines[m].interval;
        let closes = timeline
            .get(here + 1)
            .filter(|t| t.1 == Presence::Closed)
            .map(|t| t.0);
        let opens = timeline.get(here + 2).map_or(NEVER, |t| t.0);
        const BREAK: Tick = 90 * crate::units::TICKS_PER_MINUTE;
        self.machines[m].wash_at = match closes {
            Some(closes) if opens - closes > BREAK && length > 0 => (closes - length).max(self.now),
            _ => NEVER,
        };
    }

    /// Time to wash up: whatever runs is paused until the next shift.
    pub(super) fn begin_wash_up(&mut self, m: usize) {
        self.settle(m);
        self.machines[m].wash_at = NEVER;
        let lot = self.machines[m].lot;
        let machine = &self.machines[m];
        let (doing, dirty, door) = (machine.progress.doing, machine.dirty, machine.door);
        let running = lot != NONE && self.runs_reactive(lot) && doing != Doing::Setup;
        if door != Door::Open
            || !(dirty || running)
            || matches!(doing, Doing::Repair | Doing::Rethread)
        {
            return;
        }
        let machine = &mut self.machines[m];
        machine.dirty = false;
        machine.mixed = None;
        machine.door = Door::WashUp;
        // Washing needs the people of a changeover.
        if !self.take_people(m, Hands::Changeover) {
            self.ask_for_people(m);
        }
        self.touch(m);
    }
}
