//! Who gets the people: free ones are offered to all work that could start, in one order for each pool.
//!
//! A machine takes the whole crew of what it is doing or nobody. Who is on a machine stays on it for what follows
//! on it. Everything else that wants people - lots offered to free machines, work that stands - is looked at
//! together once everything else of the instant has happened; nobody is held for a crew that is not complete, but
//! for what has been passed over longer than its pool's limit.

use crate::kernel::NEVER;
use crate::model::NONE;
use crate::plant::PoolRule;
use crate::record::{Observe, Spent};
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::audit::Must;
use super::state::{Doing, Door, Hands, Strength};
use super::status::Mender;

/// Something that could start if it had its people.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    /// The machine.
    m: usize,
    /// The crew it wants.
    crew: Hands,
    /// Its lot; `NONE` for a repair or a wash-up without one.
    lot: u32,
    /// It has been passed over for longer than its pools allow.
    overdue: bool,
}

/// Order in which a pool serves: overdue first, then its own rule, then class, slack, longest wait, machine.
pub(super) type Turn = (bool, i64, u8, Tick, Tick, usize);

impl<'a, O: Observe> Shop<'a, O> {
    /// Offers the free people to everything that waits for some; whether those who stood in somewhere are free by it.
    pub(super) fn serve_people(&mut self) -> bool {
        let mut candidates = std::mem::take(&mut self.candidates);
        candidates.clear();
        self.held.clear();
        let mut next = 0;
        while let Some(m) = self.awaiting.from(next) {
            next = m + 1;
            let machine = &self.machines[m];
            // What it was offered may have gone another way.
            let wants = !machine.is_free() || machine.offer != NONE;
            if machine.door.is_manned() && wants {
                candidates.push(self.candidate(m));
            }
        }
        let fits = |c: &Candidate| self.crew_is_there(c.m, c.crew);
        if !candidates.iter().any(fits) {
            // The order decides nothing: nobody gets anybody.
            for &candidate in &candidates {
                self.pass_over(candidate, 0);
            }
        } else if self.all_fit(&candidates) {
            for &candidate in &candidates {
                self.serve(candidate);
            }
        } else {
            self.serve_in_turn(&candidates);
        }
        self.candidates = candidates;
        !self.short_runs.is_empty() && self.fill_up()
    }

    fn candidate(&self, m: usize) -> Candidate {
        let machine = &self.machines[m];
        let free = machine.progress.doing.is_nothing();
        let lot = if free { machine.offer } else { machine.lot };
        let crew = match machine.door {
            Door::WashUp if machine.progress.doing != Doing::Repair => Hands::Changeover,
            _ if free => self.crew_for_start(m, lot),
            _ => self.crew_of(m),
        };
        let passed = if lot == NONE {
            0
        } else {
            self.passed_over(m, lot)
        };
        let too_long = |&(pool, _): &(usize, u32)| {
            passed > ticks_from_minutes(self.model.plant.pools[pool].crew_wait_min)
        };
        Candidate {
            m,
            crew,
            lot,
            overdue: passed > 0 && self.wanted(m, crew).iter().any(too_long),
        }
    }

    /// Open time for which a lot has waited for people, up to now.
    fn passed_over(&self, m: usize, lot: u32) -> Tick {
        let record = &self.lots[lot];
        let machine = &self.machines[m];
        if machine.lot == lot {
            return record.passed_over + self.now - machine.since;
        }
        let people = self.first_spent + Spent::People as usize;
        if usize::from(record.waits_as) != people {
            return record.passed_over;
        }
        let closed = self.stations[machine.plan.station].closed_at(self.now) - record.closed_mark;
        record.passed_over + self.now - record.mark - closed
    }

    /// There are people for all of them together.
    fn all_fit(&mut self, candidates: &[Candidate]) -> bool {
        if let [one] = candidates {
            return self.crew_is_there(one.m, one.crew);
        }
        (0..self.pools.len()).all(|p| {
            let needed: u32 = candidates
                .iter()
                .filter(|c| self.machines[c.m].door != Door::Overtime || c.crew == Hands::FirstOff)
                .flat_map(|c| self.wanted(c.m, c.crew))
                .filter(|need| need.0 == p)
                .map(|need| need.1)
                .sum();
            self.pools[p].busy + needed <= self.pools[p].present
        })
    }

    /// Pool by pool, each in the order of its own rule.
    fn serve_in_turn(&mut self, candidates: &[Candidate]) {
        let mut served = std::mem::take(&mut self.served);
        served.clear();
        served.resize(candidates.len(), false);
        let mut held = std::mem::take(&mut self.held);
        held.clear();
        held.resize(self.pools.len(), false);
        let mut turns = std::mem::take(&mut self.turns);
        for p in 0..self.pools.len() {
            turns.clear();
            for (index, candidate) in candidates.iter().enumerate() {
                let wants = self
                    .wanted(candidate.m, candidate.crew)
                    .iter()
                    .any(|n| n.0 == p);
                if wants && !served[index] {
                    turns.push((self.turn(p, candidate), index));
                }
            }
            turns.sort_unstable();
            for &(_, index) in &turns {
                let candidate = candidates[index];
                let kept = !candidate.overdue
                    && self
                        .wanted(candidate.m, candidate.crew)
                        .iter()
                        .any(|n| held[n.0]);
                if !kept && self.crew_is_there(candidate.m, candidate.crew) {
                    self.serve(candidate);
                    served[index] = true;
                } else {
                    if candidate.overdue && self.crew_could_be_there(&candidate) {
                        for need in self.wanted(candidate.m, candidate.crew) {
                            held[need.0] = true;
                        }
                    }
                    self.pass_over(candidate, p);
                }
            }
        }
        for (candidate, _) in candidates.iter().zip(&served).filter(|c| !c.1) {
            // What needs nobody after all starts.
            if self.wanted(candidate.m, candidate.crew).is_empty() {
                self.serve(*candidate);
            }
        }
        (self.served, self.held, self.turns) = (served, held, turns);
    }

    /// As many people are present as it needs, at work or not.
    fn crew_could_be_there(&self, candidate: &Candidate) -> bool {
        self.wanted(candidate.m, candidate.crew)
            .iter()
            .all(|&(pool, need)| need <= self.pools[pool].present)
    }

    fn turn(&mut self, pool: usize, candidate: &Candidate) -> Turn {
        let station = self.machines[candidate.m].plan.station;
        let rule = match &self.model.plant.pools[pool].rule {
            PoolRule::Urgent => 0,
            PoolRule::MostWork => -self.work_waiting(station),
            PoolRule::Downstream => -(station as i64),
            PoolRule::Stations(list) => {
                let place = list.iter().position(|&s| s == station);
                place.unwrap_or(list.len()) as i64
            }
        };
        let machine = &self.machines[candidate.m];
        let (rank, slack, since) = if candidate.lot == NONE {
            (u8::MAX, NEVER, machine.since)
        } else {
            let idle = machine.lot == NONE;
            let since = if idle {
                self.lots[candidate.lot].joined
            } else {
                self.seen(candidate.m).0
            };
            self.plan_lot(candidate.lot);
            let slack = self.slack_of(candidate.lot);
            (self.lots[candidate.lot].rank, slack, since)
        };
        (!candidate.overdue, rule, rank, slack, since, candidate.m)
    }

    /// Planned work that waits at a station, ticks.
    fn work_waiting(&mut self, station: usize) -> Tick {
        let run = &self.stations[station];
        let lots: Vec<u32> = run.queue.iter().copied().chain(run.sorted.lots()).collect();
        let mut work = 0;
        for lot in lots {
            self.plan_lot(lot);
            work += ticks_from_minutes(f64::from(self.lots[lot].work_min));
        }
        work
    }

    /// Its people are there: a free machine takes its lot, a standing one goes on.
    fn serve(&mut self, candidate: Candidate) {
        let m = candidate.m;
        if !self.machines[m].progress.doing.is_nothing() {
            return self.resume(m);
        }
        if self.machines[m].door == Door::WashUp {
            self.settle(m);
            self.take_people(m, candidate.crew);
            return self.touch(m);
        }
        let station = self.machines[m].plan.station;
        if self.machines[m].offer != candidate.lot {
            // Whoever was served before it made room, and its lot is gone: something else is looked for.
            self.dirty.add(station);
            return;
        }
        if self.stations[station].plan.spoils && self.is_stale(candidate.lot) {
            // It has become too old while the people were away: something else is looked for.
            self.dirty.add(station);
            return;
        }
        if self.take_people(m, candidate.crew) {
            self.take(station, m, candidate.lot);
            self.dirty.add(station);
        }
    }

    /// Its people are not all there: whom it waits for is noted.
    fn pass_over(&mut self, candidate: Candidate, pool: usize) {
        let m = candidate.m;
        let busy = |&(p, need): &(usize, u32)| self.pools[p].busy + need > self.pools[p].present;
        let short = self
            .wanted(m, candidate.crew)
            .iter()
            .find(|need| busy(need));
        let short = short.map_or(pool, |need| need.0) as u16;
        if self.machines[m].short_of != short {
            self.account(m);
            self.machines[m].short_of = short;
        }
        // What it had may be gone since: whoever was served before it made room downstream.
        let offered = candidate.lot != NONE && self.machines[m].offer == candidate.lot;
        let waits = self.machines[m].progress.doing.is_nothing() && offered;
        if waits {
            let station = self.machines[m].plan.station;
            let entry = self.spent(Spent::People);
            if usize::from(self.lots[candidate.lot].waits_as) != entry {
                self.wait_as(station, candidate.lot, entry);
                self.stations[station].short.push(candidate.lot);
            }
        }
    }

    /// What a crew of a machine consists of, where it is not the smaller one.
    fn whole_crew(&self, m: usize, crew: Hands) -> &'a [(usize, u32)] {
        match crew {
            Hands::Run => &self.machines[m].spec.crew.run,
            _ => self.needs(m, crew),
        }
    }

    /// What a crew of a machine consists of: (pool, thousandths).
    pub(super) fn needs(&self, m: usize, crew: Hands) -> &'a [(usize, u32)] {
        let machine = &self.machines[m];
        let spec = machine.spec;
        match crew {
            Hands::Changeover => &spec.crew.changeover,
            Hands::Run | Hands::Joined => match &spec.crew.short {
                Some(short) if machine.is_short() => &short.people,
                _ => &spec.crew.run,
            },
            Hands::Repair => spec
                .breakdowns
                .get(machine.down_cause)
                .map_or(&[], |b| b.crew.as_slice()),
            Hands::FirstOff => match &spec.first_off {
                Some(first_off) if machine.is_short() => &first_off.few,
                Some(first_off) => &first_off.all,
                None => &[],
            },
            Hands::Nobody | Hands::Awaited => &[],
        }
    }

    /// The turn of a machine that has its people in the order of a pool.
    pub(super) fn turn_of(&mut self, pool: usize, m: usize) -> Turn {
        let (crew, lot) = (self.machines[m].hands, self.machines[m].lot);
        let overdue = false;
        self.turn(
            pool,
            &Candidate {
                m,
                crew,
                lot,
                overdue,
            },
        )
    }

    /// What of a crew is still to come: all of it, or those who look at the first good where the others are there.
    fn wanted(&self, m: usize, crew: Hands) -> &'a [(usize, u32)] {
        let machine = &self.machines[m];
        let there =
            matches!(machine.hands, Hands::Run | Hands::Joined) || machine.door == Door::Overtime;
        match &machine.spec.first_off {
            Some(first_off) if there && crew == Hands::FirstOff => &first_off.crew,
            _ => self.needs(m, crew),
        }
    }

    /// Whether a lot can start on a machine without anybody.
    #[inline]
    pub(super) fn needs_nobody(&self, m: usize, lot: u32) -> bool {
        self.machines[m].plan.crewless || self.needs(m, self.crew_for_start(m, lot)).is_empty()
    }

    /// The crew of what a machine is doing.
    pub(super) fn crew_of(&self, m: usize) -> Hands {
        let machine = &self.machines[m];
        match machine.progress.doing {
            Doing::Setup => Hands::Changeover,
            Doing::Run | Doing::Stop | Doing::Micro | Doing::Rethread => Hands::Run,
            Doing::FirstOff => match &machine.spec.first_off {
                Some(first_off) if !first_off.crew.is_empty() => Hands::FirstOff,
                _ => Hands::Run,
            },
            Doing::Repair => match machine.mender() {
                Mender::Crew if machine.after_repair.0 == Doing::Setup => Hands::Changeover,
                Mender::Crew => Hands::Run,
                Mender::People => Hands::Repair,
                Mender::Service => Hands::Nobody,
            },
            Doing::Idle | Doing::Starved | Doing::Blocked => Hands::Nobody,
        }
    }

    /// All people of a crew are free. In overtime those of the shift stay with their machine though it is over; who
    /// looks at its first good is not there yet.
    pub(super) fn crew_is_there(&self, m: usize, crew: Hands) -> bool {
        let free =
            |&(pool, need): &(usize, u32)| self.pools[pool].busy + need <= self.pools[pool].present;
        let stay = self.machines[m].door == Door::Overtime && crew != Hands::FirstOff;
        stay || self.wanted(m, crew).iter().all(free) || self.few_are_there(m, crew)
    }

    /// Holds exactly the crew asked for; false (and nothing held) where people are missing.
    #[inline]
    pub(super) fn take_people(&mut self, m: usize, crew: Hands) -> bool {
        if self.machines[m].hands == crew {
            return true;
        }
        let there = matches!(self.machines[m].hands, Hands::Run | Hands::Joined);
        if crew == Hands::FirstOff && there {
            return self.look_joins(m);
        }
        self.give_people_back(m);
        if self.machines[m].plan.crewless || crew == Hands::Nobody {
            return true;
        }
        if !self.crew_is_there(m, crew) {
            return false;
        }
        let free =
            |&(pool, need): &(usize, u32)| self.pools[pool].busy + need <= self.pools[pool].present;
        if self.machines[m].spec.crew.short.is_some() {
            let whole = self.needs(m, crew).iter().all(free);
            let machine = &mut self.machines[m];
            if !whole && machine.door != Door::Overtime {
                machine.strength = Strength::Short;
                self.short_runs.add(m);
            }
            if machine.lot != NONE && matches!(crew, Hands::Run | Hands::FirstOff) {
                machine.keep_pace();
            }
        }
        for &(pool, need) in self.needs(m, crew) {
            self.pools[pool].busy += need;
        }
        self.machines[m].hands = crew;
        if self.machines[m].door != Door::Overtime {
            self.audit_people(self.needs(m, crew));
        }
        true
    }

    /// No more of these people are at work than present; who stays in overtime is not counted.
    #[inline]
    pub(super) fn audit_people(&mut self, taken: &[(usize, u32)]) {
        for &(pool, _) in taken {
            let (busy, present) = (self.pools[pool].busy, self.pools[pool].present);
            let audit = &mut self.counts.audit;
            audit.at_most(Must::People, self.now, None, busy.into(), present.into());
        }
    }

    /// Whether the first phase of a lot would find its people if the machine gave back those it holds.
    pub(super) fn people_would_fit(&self, m: usize, lot: u32) -> bool {
        let held = self.needs(m, self.machines[m].hands);
        let crew = self.crew_for_start(m, lot);
        let fits = |&(pool, need): &(usize, u32)| {
            let back: u32 = held.iter().filter(|h| h.0 == pool).map(|h| h.1).sum();
            self.pools[pool].busy - back + need <= self.pools[pool].present
        };
        let short = self.machines[m].spec.crew.short.as_ref();
        let short = short.filter(|_| crew == Hands::Run);
        let whole = self.whole_crew(m, crew);
        whole.iter().all(fits) || short.is_some_and(|short| short.people.iter().all(fits))
    }

    #[inline]
    pub(super) fn give_people_back(&mut self, m: usize) {
        let held = std::mem::replace(&mut self.machines[m].hands, Hands::Nobody);
        for &(pool, need) in self.needs(m, held) {
            self.pools[pool].busy -= need;
            self.people_asked = true;
        }
        if self.machines[m].is_short() {
            self.machines[m].strength = Strength::Whole;
            self.short_runs.remove(m);
        }
    }
}
