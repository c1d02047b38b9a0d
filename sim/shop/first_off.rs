//! First-off approval: a machine stands after its start until the first good of it is approved.
//!
//! A gate like a hold: it comes before the end of the run whatever the length of that, nobody may interrupt it into
//! not being asked, and what was not approved to the end is asked again. The run crew stays on the machine meanwhile;
//! who looks joins it.

use crate::kernel::NEVER;
use crate::model::Dressing;
use crate::plant::{AskedAt, ElementKind};
use crate::random::Source;
use crate::record::{LotEvent, Observe};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Doing, Hands};

/// Settings that make the size of web or pouch.
const SIZE: [ElementKind; 6] = [
    ElementKind::Width,
    ElementKind::Knives,
    ElementKind::Format,
    ElementKind::FlatBottom,
    ElementKind::Height,
    ElementKind::Gusset,
];

/// Both make the same size.
fn same_size(a: &Dressing, b: &Dressing) -> bool {
    let same = |kind: &ElementKind| a.setting[*kind as usize] == b.setting[*kind as usize];
    a.flat_bottom == b.flat_bottom && SIZE.iter().all(same)
}

impl<O: Observe> Shop<'_, O> {
    /// A lot that is about to start on a machine has to be approved.
    fn is_to_be_approved(&self, m: usize, lot: u32) -> bool {
        let machine = &self.machines[m];
        let Some(first_off) = &machine.spec.first_off else {
            return false;
        };
        let record = &self.lots[lot];
        match (first_off.at, machine.approved) {
            (AskedAt::Start, _) | (_, None) => true,
            (AskedAt::Artwork, Some((uid, sku, _))) => (uid, sku) != (record.uid, record.sku),
            (AskedAt::Size, Some((_, _, last))) => !same_size(last, &self.job(m, lot).dressing),
        }
    }

    /// Planned minutes of the approval of a lot that a machine would start; 0 where nobody asks.
    pub(super) fn mean_first_off(&self, m: usize, lot: u32) -> f64 {
        match &self.machines[m].spec.first_off {
            Some(first_off) if !self.continues(m, lot) && self.is_to_be_approved(m, lot) => {
                first_off.time.mean()
            }
            _ => 0.0,
        }
    }

    /// A lot starts: how far it runs until its first good is to be approved. That comes once the web of the start is
    /// run, at a pouch machine with the first pouches after it; of pieces right after the changeover.
    pub(super) fn plan_first_off(&mut self, m: usize, continues: bool) {
        let lot = self.machines[m].lot;
        let asked = !continues && self.is_to_be_approved(m, lot);
        let (job, record) = (self.job(m, lot), &self.lots[lot]);
        let machine = &mut self.machines[m];
        machine.progress.to_approval = NEVER;
        if !asked {
            return;
        }
        let mut lost_mm = machine.start_waste_mm;
        if record.at.is_some_and(|step| step.makes_pouches) {
            lost_mm += job.law.pitch_mm();
        }
        let share = lost_mm * f64::from(job.lanes) / (record.quantity as f64).max(1.0);
        let start = match record.web.is_piece() || record.pouches {
            true => 0,
            // Whole ticks; a start longer than the run is cut to it.
            false => (machine.run_total as f64 * share) as Tick,
        };
        machine.progress.to_approval = start.min(machine.progress.run_left);
        machine.clocks = true;
    }

    /// The first good of a start is there: the machine stands until those who look have come and are done.
    pub(super) fn ask_for_approval(&mut self, m: usize) {
        let lot = self.machines[m].lot;
        self.tell(lot, LotEvent::FirstOff(m));
        let Some(first_off) = &self.machines[m].spec.first_off else {
            return;
        };
        let record = &self.lots[lot];
        let mut draw = record.chances.of(Source::Inspection, record.chance());
        let time = ticks_from_minutes(first_off.time.sample(&mut draw)).max(0);
        let machine = &mut self.machines[m];
        machine.progress.to_approval = NEVER;
        (machine.progress.doing, machine.progress.left) = (Doing::FirstOff, time);
        self.resume(m);
    }

    /// The first good is approved: the machine runs on.
    pub(super) fn approve(&mut self, m: usize) {
        let lot = self.machines[m].lot;
        let dressing = &self.job(m, lot).dressing;
        let record = &self.lots[lot];
        let machine = &mut self.machines[m];
        machine.approved = Some((record.uid, record.sku, dressing));
        machine.progress.doing = Doing::Run;
        self.resume(m);
    }

    /// What comes between an approval and its end makes it start anew.
    pub(super) fn ask_again(&mut self, m: usize) {
        let progress = &mut self.machines[m].progress;
        if progress.doing == Doing::FirstOff {
            progress.to_approval = 0;
        }
    }

    /// The run crew is on a machine: those who look join it, or it waits on the machine for them (false).
    pub(super) fn look_joins(&mut self, m: usize) -> bool {
        if !self.crew_is_there(m, Hands::FirstOff) {
            self.machines[m].hands = Hands::Joined;
            return false;
        }
        let spec = self.machines[m].spec;
        let looks = (spec.first_off.as_ref()).map_or(&[][..], |first_off| &first_off.crew);
        for &(pool, need) in looks {
            self.pools[pool].busy += need;
        }
        self.machines[m].hands = Hands::FirstOff;
        self.audit_people(looks);
        true
    }

    /// Those who look at the first good of a machine leave it; its crew waits on it for others.
    pub(super) fn leave_joined(&mut self, m: usize) {
        let spec = self.machines[m].spec;
        for &(pool, need) in spec.first_off.iter().flat_map(|first_off| &first_off.crew) {
            self.pools[pool].busy -= need;
        }
        self.people_asked = true;
        self.machines[m].hands = Hands::Joined;
    }
}
