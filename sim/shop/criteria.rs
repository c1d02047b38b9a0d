//! Which of several lots a machine prefers: the criteria of a station as numbers.
//!
//! In: lots that wait, a machine, the rules of its station. Out: which goes first. No criterion is worked out
//! before it is needed to tell two lots apart.

use crate::model::StationModel;
use crate::plant::{Interrupt, Rule};
use crate::record::Observe;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Lot, MachineRun};

/// Most criteria of a station: whether the machine is on the SKU, then four rules.
const CRITERIA: usize = 5;

/// The lot that goes before all others looked at so far.
pub(super) struct Leader {
    /// Its place in the queue.
    pub place: usize,
    /// The lot.
    pub lot: u32,
    keys: [i64; CRITERIA],
    /// How many of its criteria are worked out.
    known: usize,
}

impl Leader {
    /// The first lot looked at.
    pub fn new(place: usize, lot: u32) -> Self {
        Self {
            place,
            lot,
            keys: [0; CRITERIA],
            known: 0,
        }
    }
}

/// How many criteria a station has.
#[inline]
fn criteria(plan: &StationModel) -> usize {
    (1 + plan.rules.len()).min(CRITERIA)
}

impl<O: Observe> Shop<'_, O> {
    /// Whether a lot goes before the best one so far: by the criteria in order, then the one that joined first.
    pub(super) fn goes_before(
        &self,
        plan: &StationModel,
        m: usize,
        lot: u32,
        leader: &mut Leader,
    ) -> bool {
        let machine = &self.machines[m];
        let (mine, theirs) = (&self.lots[lot], &self.lots[leader.lot]);
        for n in 0..criteria(plan) {
            let key = self.criterion(n, plan, (m, machine), (lot, mine));
            if n == leader.known {
                leader.keys[n] = self.criterion(n, plan, (m, machine), (leader.lot, theirs));
                leader.known += 1;
            }
            if key != leader.keys[n] {
                let better = key < leader.keys[n];
                if better {
                    leader.keys[n] = key;
                    leader.known = n + 1;
                }
                return better;
            }
        }
        mine.seq < theirs.seq
    }

    /// All criteria of a lot for a machine, smaller first.
    pub(super) fn keys(&self, plan: &StationModel, m: usize, lot: u32) -> [i64; CRITERIA] {
        let (machine, record) = (&self.machines[m], &self.lots[lot]);
        let mut keys = [0; CRITERIA];
        for (n, key) in keys.iter_mut().enumerate().take(criteria(plan)) {
            *key = self.criterion(n, plan, (m, machine), (lot, record));
        }
        keys
    }

    /// The `n`-th criterion of a lot for a machine, smaller first.
    #[inline(always)]
    fn criterion(
        &self,
        n: usize,
        plan: &StationModel,
        (m, machine): (usize, &MachineRun<'_>),
        (lot, record): (u32, &Lot<'_>),
    ) -> i64 {
        let Some(rule) = n.checked_sub(1).map(|rule| plan.rules[rule]) else {
            // A machine stays with the SKU it is on, since a further roll of it needs no changeover; where
            // better-ranked orders may come in between two rolls, their rank goes before that.
            let rank = match plan.interrupt {
                Interrupt::Never => 0,
                Interrupt::RollEnd | Interrupt::AtOnce => i64::from(record.rank) << 1,
            };
            return rank | i64::from(record.uid != machine.last_line);
        };
        match rule {
            Rule::FirstCome => record.seq as i64,
            Rule::EarliestDue => record.due,
            Rule::ClassFirst => i64::from(record.rank),
            Rule::ShortestWork => ticks_from_minutes(f64::from(record.work_min)),
            Rule::LeastSlack => record.due.saturating_sub(self.rest_of(lot)),
            Rule::CriticalRatio => {
                let rest = self.rest_of(lot).max(1) as f64;
                (record.due.saturating_sub(self.now) as f64 / rest * 1e6) as i64
            }
            // A lot that has waited long goes before all families.
            Rule::SameFamily | Rule::ShortestChangeover
                if self.now - record.mark >= plan.family_wait =>
            {
                -1
            }
            Rule::SameFamily => {
                let to = &record.job(machine.plan).dressing;
                let same = machine
                    .dressed
                    .is_some_and(|from| from.same_family(to, plan.family));
                i64::from(!same)
            }
            Rule::ShortestChangeover => ticks_from_minutes(self.mean_changeover(m, lot)),
        }
    }

    /// Planned work from here on, or the rest of the cure where that is longer.
    fn rest_of(&self, lot: u32) -> Tick {
        let record = &self.lots[lot];
        let work = ticks_from_minutes(f64::from(record.work_min + record.rest_min));
        let cure = self.ship_gate(lot) - self.now;
        work.max(cure)
    }
}
