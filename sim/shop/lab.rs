//! Laboratory: a roll whose cure is over is looked at before it goes on, and what fails is printed again.
//!
//! A gate that comes after the hold, never in its place. All rolls of one print of a web are of one mixture and one
//! day: they share how long the laboratory takes and what it says.

use crate::kernel::NEVER;
use crate::model::GateKind;
use crate::plant::{Lab, LabBefore};
use crate::random::Source;
use crate::record::{LotEvent, Observe, Spent};
use crate::units::ticks_from_minutes;

use super::Shop;

/// How far the laboratory is with a cured roll.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Looked {
    /// Not sampled.
    #[default]
    Never,
    /// Its sample is there.
    Sampled,
    /// It may go on.
    Released,
}

impl<'a, O: Observe> Shop<'a, O> {
    /// A lot whose hold is over goes to the laboratory first, or has failed there: it does not go on now.
    pub(super) fn lab_keeps(&mut self, lot: u32) -> bool {
        let Some(lab) = self.lab_before(lot) else {
            return false;
        };
        match self.lots[lot].looked {
            Looked::Released => return false,
            Looked::Sampled => {}
            Looked::Never => {
                self.lots[lot].looked = Looked::Sampled;
                let mut draw = self.chance_of_lab(lot, 0);
                let length = ticks_from_minutes(lab.time.sample(&mut draw)).max(0);
                let until = match lab.hours {
                    Some(hours) => self.open_after_hours(hours, length),
                    None => self.now + length,
                };
                if until > self.now {
                    let station = self.station_of(lot);
                    self.tell(lot, LotEvent::Sampled(until, station));
                    self.hold(lot, until, Spent::Approval);
                    return true;
                }
            }
        }
        let fails = self.chance_of_lab(lot, 1).chance(lab.fails);
        if fails {
            self.print_again(&[lot], LotEvent::Failed);
        } else {
            self.lots[lot].looked = Looked::Released;
        }
        fails
    }

    /// A lot has to pass the laboratory before its present step, and has not yet.
    pub(super) fn needs_lab(&self, lot: u32) -> bool {
        self.lots[lot].looked != Looked::Released && self.lab_before(lot).is_some()
    }

    /// The laboratory that a lot has to pass before its present step.
    fn lab_before(&self, lot: u32) -> Option<&'a Lab> {
        let record = &self.lots[lot];
        if record.bonded == NEVER || record.pouches {
            return None;
        }
        let gate = record.at.map_or(GateKind::Pouch, |step| step.gate);
        let made = self.passes_before(lot, usize::from(record.step));
        let made = record.web.adhesives.iter().take(made).rev();
        let plant = &self.model.plant;
        let mut lab = made.filter_map(|&adhesive| plant.adhesives[adhesive].lab.as_ref());
        lab.find(|lab| match lab.before {
            LabBefore::Slit => matches!(gate, GateKind::Slit | GateKind::Pouch),
            LabBefore::Pouch => gate == GateKind::Pouch,
        })
    }

    /// Chances of one print of a web after one of its passes: how long it takes, what it says.
    fn chance_of_lab(&self, lot: u32, what: u64) -> crate::random::Stream {
        let record = &self.lots[lot];
        let made = self.passes_before(lot, usize::from(record.step)) as u64;
        let web = u64::from(record.web.web);
        let number = record.key << 8 | made << 4 | web << 1 | what;
        record.chances.of(Source::Laboratory, number)
    }
}
