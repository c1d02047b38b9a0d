//! Holds after lamination, as they are planned: each pass has those of its adhesive, and the longest counts.
//!
//! In: when the passes of a web were made. Out: the instant from which it may go on, by the means of the holds. What
//! the floor draws, and what a hot room does, stands in `shop::cure`.

use crate::plant::{Adhesive, Lab, LabBefore, MOST_PASSES};
use crate::random::Dist;
use crate::units::{Tick, ticks_from_minutes};

use super::{GateKind, Model, PartModel};

/// When the passes of a web were made, the first one first.
#[derive(Debug, Clone, Copy, Default)]
pub struct Bonds {
    at: [Tick; MOST_PASSES],
    made: usize,
    printed: Tick,
}

impl Bonds {
    /// Print that is ready at an instant, not laminated yet.
    pub fn printed(at: Tick) -> Self {
        Self {
            printed: at,
            ..Self::default()
        }
    }

    /// One more pass, made at an instant.
    pub fn push(&mut self, at: Tick) {
        if let Some(place) = self.at.get_mut(self.made) {
            *place = at;
            self.made += 1;
        }
    }

    /// The later of each, where rolls are gathered: the least cured speaks for all.
    pub fn later(&mut self, other: &Bonds) {
        self.made = self.made.max(other.made);
        self.printed = self.printed.max(other.printed);
        for (at, other) in self.at.iter_mut().zip(other.at) {
            *at = (*at).max(other);
        }
    }
}

impl Model {
    /// Hold of an adhesive before a step, on ambient racks; `None` where nothing is held, and for shipping by
    /// [`Model::may_ship`].
    fn hold(&self, adhesive: usize, gate: GateKind) -> Option<&Dist> {
        let gates = &self.plant.adhesives[adhesive].ambient;
        match gate {
            GateKind::Open | GateKind::Dry => None,
            GateKind::SecondPass => Some(&gates.second_pass),
            GateKind::Slit => Some(&gates.slit),
            GateKind::Pouch => Some(&gates.pouch),
        }
    }

    /// Holds before a step, of the passes made before it in order.
    pub fn holds<'a>(
        &'a self,
        part: &'a PartModel,
        gate: GateKind,
        made: usize,
    ) -> impl Iterator<Item = (&'a Adhesive, &'a Dist)> {
        let made = part.adhesives.iter().take(made);
        made.filter_map(move |&adhesive| {
            let hold = self.hold(adhesive, gate)?;
            Some((&self.plant.adhesives[adhesive], hold))
        })
    }

    /// The instant from which a web may go on to a step, by planned holds; 0 where nothing holds it.
    pub fn opens(&self, part: &PartModel, gate: GateKind, bonds: &Bonds) -> Tick {
        if gate == GateKind::Dry {
            return bonds.printed + part.dry;
        }
        let holds = part.adhesives.iter().zip(bonds.at).take(bonds.made);
        holds
            .filter_map(|(&adhesive, at)| {
                Some(after(at, self.hold(adhesive, gate)?) + self.lab(adhesive, gate))
            })
            .fold(0, Tick::max)
    }

    /// Planned time of the laboratory of an adhesive before a step, as if it were always open.
    fn lab(&self, adhesive: usize, gate: GateKind) -> Tick {
        let lab = self.plant.adhesives[adhesive].lab.as_ref();
        let before = |lab: &&Lab| match lab.before {
            LabBefore::Slit => gate == GateKind::Slit,
            LabBefore::Pouch => gate == GateKind::Pouch,
        };
        let looks = lab.filter(before);
        looks.map_or(0, |lab| ticks_from_minutes(lab.time.mean()))
    }

    /// The instant from which a web may ship, by planned holds; 0 where nothing holds it.
    pub fn may_ship(&self, part: &PartModel, bonds: &Bonds) -> Tick {
        let holds = part.adhesives.iter().zip(bonds.at).take(bonds.made);
        holds
            .map(|(&adhesive, at)| after(at, &self.plant.adhesives[adhesive].ambient.ship))
            .fold(0, Tick::max)
    }

    /// The longest hold before shipping of any pass, minutes.
    pub fn longest_ship_hold_min(&self, part: &PartModel) -> f64 {
        let holds = part.adhesives.iter();
        holds
            .map(|&adhesive| self.plant.adhesives[adhesive].ambient.ship.mean())
            .fold(0.0, f64::max)
    }

    /// Adhesives of a web that is laminated here, in order of its passes.
    pub fn adhesives<'a>(&'a self, part: &'a PartModel) -> impl Iterator<Item = &'a Adhesive> {
        part.adhesives
            .iter()
            .map(|&index| &self.plant.adhesives[index])
    }
}

fn after(at: Tick, hold: &Dist) -> Tick {
    at.saturating_add(ticks_from_minutes(hold.mean()))
}
