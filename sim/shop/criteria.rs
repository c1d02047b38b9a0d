//! Which of several lots a machine prefers: the criteria of a station as numbers.
//!
//! In: lots that wait, a machine, the rules of its station. Out: which goes first. No criterion is worked out
//! before it is needed to tell two lots apart.

use crate::kernel::NEVER;
use crate::model::StationModel;
use crate::plant::{Interrupt, RULES, Rule};
use crate::record::Observe;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::state::{Lot, MachineRun};

/// Most criteria of a station: whether the machine is on the SKU, then each rule once.
const CRITERIA: usize = 1 + RULES;

/// The lot that goes before all others looked at so far.
pub(super) struct Leader {
    /// The lot.
    pub lot: u32,
    keys: [i64; CRITERIA],
    /// How many of its criteria are worked out.
    known: usize,
}

impl Leader {
    /// The first lot looked at.
    pub fn new(lot: u32) -> Self {
        Self {
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
        (mine.joined, self.tie(lot)) < (theirs.joined, self.tie(leader.lot))
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
            Rule::FirstCome => record.joined,
            Rule::EarliestDue => record.due,
            Rule::ClassFirst => i64::from(record.rank),
            Rule::ShortestWork => ticks_from_minutes(f64::from(record.work_min)),
            // Without a promise there is no end of time to spare: all such are equal.
            Rule::LeastSlack | Rule::CriticalRatio if record.due == NEVER => NEVER,
            Rule::LeastSlack => record.due - self.rest_of(lot),
            Rule::CriticalRatio => {
                let rest = self.rest_of(lot).max(1) as f64;
                ((record.due - self.now) as f64 / rest * 1e6) as i64
            }
            // A lot that has waited long goes before all families.
            Rule::SameFamily | Rule::ShortestChangeover if self.goes_before_family(plan, lot) => -1,
            Rule::SameFamily => {
                let same = self.is_same_family(plan, m, lot);
                i64::from(!same || machine.in_family >= plan.family_most)
            }
            Rule::ShortestChangeover => ticks_from_minutes(self.mean_changeover(m, lot)),
        }
    }

    /// Nothing a station calls the family differs from what a machine is dressed for.
    pub(super) fn is_same_family(&self, plan: &StationModel, m: usize, lot: u32) -> bool {
        let machine = &self.machines[m];
        let to = &self.lots[lot].job(machine.plan).dressing;
        machine
            .dressed
            .is_some_and(|from| from.same_family(to, plan.family))
    }

    /// A lot has waited so long of its station's open time, or has so little time to spare, that it goes before the
    /// family.
    fn goes_before_family(&self, plan: &StationModel, lot: u32) -> bool {
        let record = &self.lots[lot];
        if plan.family_wait != Tick::MAX {
            let station = record.at.map_or(0, |step| step.station);
            let closed = self.stations[station].closed_at(self.now) - record.closed_joined;
            if self.now - record.joined - closed >= plan.family_wait {
                return true;
            }
        }
        plan.family_slack != Tick::MIN && self.slack_of(lot) < plan.family_slack
    }

    /// Time to spare until the due date: less what is left of work or of cure, whichever is longer.
    pub(super) fn slack_of(&self, lot: u32) -> Tick {
        let due = self.lots[lot].due;
        if due == NEVER {
            return due;
        }
        due - self.now - self.rest_of(lot)
    }

    /// Planned work from here on, or the rest of the cure where that is longer.
    fn rest_of(&self, lot: u32) -> Tick {
        let record = &self.lots[lot];
        let work = ticks_from_minutes(f64::from(record.work_min + record.rest_min));
        let cure = self.ship_gate(lot) - self.now;
        work.max(cure)
    }
}
