//! Runs with fewer people, or with others who stand in: a machine whose whole run crew is not there goes on with them,
//! slower.
//!
//! How fast it runs now is its pace, a share of its own speed. All that is counted in running ticks to come - run,
//! stops, reels, the first good - is stretched by it when it changes; metres stay what they were.

use crate::kernel::NEVER;
use crate::plant::ShortCrew;
use crate::record::Observe;
use crate::units::{Tick, whole};

use super::Shop;
use super::state::{Hands, MachineRun, Strength};

impl MachineRun<'_> {
    /// The people on it, or those it last had, are the smaller run crew.
    #[inline]
    pub(super) fn goes_at(&self) -> f64 {
        match &self.spec.crew.short {
            Some(short) if self.is_short() => short.pace,
            _ => 1.0,
        }
    }

    /// Stretches what is left of its run where it goes at another pace than so far. It is settled.
    pub(super) fn keep_pace(&mut self) {
        let pace = self.goes_at();
        if pace == self.pace {
            return;
        }
        let by = self.pace / pace;
        self.pace = pace;
        let stretched = |ticks: Tick| match ticks {
            NEVER => NEVER,
            ticks => whole(ticks as f64 * by),
        };
        let at = &mut self.progress;
        let left = at.run_left;
        for clock in [
            &mut at.run_left,
            &mut at.to_stop,
            &mut at.to_reel,
            &mut at.to_first,
            &mut at.to_approval,
            &mut self.run_total,
            &mut self.stop_every,
            &mut self.reel_every,
        ] {
            *clock = stretched(*clock);
        }
        self.asked += self.progress.run_left - left;
        self.mm_per_tick /= by;
    }
}

impl<O: Observe> Shop<'_, O> {
    /// The smaller run crew of a machine would do for what it wants, and is there.
    pub(super) fn few_are_there(&self, m: usize, crew: Hands) -> bool {
        let (machine, pools) = (&self.machines[m], &self.pools);
        let Some(short) = &machine.spec.crew.short else {
            return false;
        };
        let people = match (crew, &machine.spec.first_off) {
            (Hands::Run, _) => &short.people,
            (Hands::FirstOff, Some(first_off)) => &first_off.few,
            _ => return false,
        };
        let free = |&(pool, need): &(usize, u32)| pools[pool].busy + need <= pools[pool].present;
        people.iter().all(free)
    }

    /// Who is free after all that stands was served goes to runs that are short of him, in the order of their pools.
    pub(super) fn fill_up(&mut self) -> bool {
        let mut leave = false;
        let mut turns = std::mem::take(&mut self.turns);
        for p in 0..self.pools.len() {
            turns.clear();
            let mut next = 0;
            while let Some(m) = self.short_runs.from(next) {
                next = m + 1;
                let spec = self.machines[m].spec;
                let lacks = |short: &ShortCrew| short.missing.iter().any(|need| need.0 == p);
                if spec.crew.short.as_ref().is_some_and(lacks) {
                    turns.push((self.turn_of(p, m), m));
                }
            }
            turns.sort_unstable();
            for &(_, m) in &turns {
                if self.machines[m].is_short() && self.missing_are_there(m) {
                    self.settle(m);
                    leave |= self.join_run(m);
                    self.touch(m);
                }
            }
        }
        self.turns = turns;
        leave
    }

    /// All that a short run lacks are free, and nobody else has waited too long for them.
    fn missing_are_there(&self, m: usize) -> bool {
        let missing = self.machines[m].spec.crew.short.as_ref();
        missing.is_some_and(|short| {
            short.missing.iter().all(|&(pool, need)| {
                !self.held.get(pool).is_some_and(|&held| held)
                    && self.pools[pool].busy + need <= self.pools[pool].present
            })
        })
    }

    /// The rest of a crew joins those on a machine; whether somebody who stood in leaves.
    fn join_run(&mut self, m: usize) -> bool {
        let spec = self.machines[m].spec;
        let Some(short) = &spec.crew.short else {
            return false;
        };
        for &(pool, need) in &short.missing {
            self.pools[pool].busy += need;
        }
        for &(pool, need) in &short.leaving {
            self.pools[pool].busy -= need;
            self.people_asked = true;
        }
        self.machines[m].strength = Strength::Whole;
        self.machines[m].keep_pace();
        self.short_runs.remove(m);
        self.audit_people(&short.missing);
        !short.leaving.is_empty()
    }
}
