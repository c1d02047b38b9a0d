//! An observer that distrusts the engine.
//!
//! In: everything the engine tells of one replication, and its counts. Out: a list of broken rules.

use std::collections::BTreeMap;

use pouchcast::model::{Model, Presence};
use pouchcast::plant::{Machine, ShiftEnd};
use pouchcast::record::{Finished, Levels, LotEvent, LotName, Observe, State, Unfinished, WebOf};
use pouchcast::shop::Counts;
use pouchcast::units::{Tick, ticks_from_minutes};

/// More calls than any of the random cells needs: beyond it the run goes in circles.
const MOST_CALLS: u64 = 20_000_000;

struct Stretch {
    state: State,
    from: Tick,
    to: Tick,
}

pub struct Watch<'a> {
    model: &'a Model,
    stretches: Vec<Vec<Stretch>>,
    lot_on: Vec<Option<LotName>>,
    taken: Vec<Vec<(Tick, LotName)>>,
    staged: Vec<i64>,
    /// Lots that wait before a station; true: in its cure place, where it takes no room.
    queued: Vec<(LotName, usize, bool)>,
    now: Tick,
    looked: Tick,
    calls: u64,
    finished: u64,
    unfinished: u64,
    released: BTreeMap<u32, Tick>,
    web_in: i64,
    wrong: Vec<String>,
}

impl<'a> Watch<'a> {
    pub fn new(model: &'a Model) -> Self {
        let machines = model.machines.len();
        Self {
            model,
            stretches: (0..machines).map(|_| Vec::new()).collect(),
            lot_on: vec![None; machines],
            taken: vec![Vec::new(); machines],
            staged: vec![0; model.stations.len()],
            queued: Vec::new(),
            now: 0,
            looked: -1,
            calls: 0,
            finished: 0,
            unfinished: 0,
            released: BTreeMap::new(),
            web_in: 0,
            wrong: Vec::new(),
        }
    }

    fn check(&mut self, holds: bool, rule: impl FnOnce() -> String) {
        if !holds && self.wrong.len() < 20 {
            self.wrong.push(rule());
        }
    }

    fn passes(&mut self, at: Tick) {
        self.calls += 1;
        assert!(self.calls < MOST_CALLS, "the run goes in circles at {at}");
        let now = self.now;
        self.check(at >= now, || format!("time goes back from {now} to {at}"));
        self.now = at;
    }

    fn spec(&self, m: usize) -> &'a Machine {
        let station = &self.model.stations[self.model.machines[m].station];
        &self.model.plant.stations[self.model.machines[m].station].machines
            [m - station.machines.start]
    }

    /// A lot waits before a station; no other one bears its name.
    fn queue(&mut self, lot: LotName, station: usize, in_place: bool) {
        let same = |other: &LotName| {
            other.is_beside(&lot)
                && (other.number, other.part_of_roll) == (lot.number, lot.part_of_roll)
        };
        let twice = self.queued.iter().map(|waiting| &waiting.0);
        let twice = twice.chain(self.lot_on.iter().flatten()).any(same);
        self.check(!twice, || {
            format!("two lots are {lot:?}, one of them at station {station}")
        });
        self.queued.push((lot, station, in_place));
    }

    /// What is wrong with the whole run.
    pub fn verdict(mut self, counts: &Counts) -> Vec<String> {
        let end = self.model.end;
        for m in 0..self.stretches.len() {
            let last = self.stretches[m].last().map_or(0, |s| s.to);
            self.check(last == end, || {
                format!("machine {m} is accounted to {last}, not to the end {end}")
            });
            self.opening_times(m);
        }
        for pool in 0..self.model.plant.pools.len() {
            self.people(pool);
        }
        let c = counts;
        let (finished, unfinished, web_in) = (self.finished, self.unfinished, self.web_in);
        self.check(
            c.lane_mm_in == c.lane_mm_out + c.lane_mm_waste + c.lane_mm_inside,
            || format!("web is not conserved: {c:?}"),
        );
        self.check(c.lane_mm_in == web_in, || {
            format!("web told {web_in}, counted {}", c.lane_mm_in)
        });
        self.check(
            c.pouches_made == c.pouches + c.pouches_lost + c.pouches_inside,
            || format!("pouches are not conserved: {c:?}"),
        );
        self.check(
            c.released == finished + unfinished && c.finished == finished,
            || format!("orders are not conserved: told {finished} and {unfinished}, counted {c:?}"),
        );
        self.wrong
    }

    /// Open means open: work only within opening times and permitted overtime, off shift only outside of them.
    fn opening_times(&mut self, m: usize) {
        let rule = self.model.machines[m].shift_end;
        let overtime = match rule {
            ShiftEnd::FinishLot(minutes) | ShiftEnd::FinishOrder(minutes) => {
                ticks_from_minutes(minutes)
            }
            ShiftEnd::Pause | ShiftEnd::NoLateStart => 0,
        };
        let timeline = &self.model.machines[m].timeline;
        let ends = timeline.iter().skip(1).map(|t| t.0).chain([Tick::MAX]);
        let mut wrong = Vec::new();
        for (&(from, presence), to) in timeline.iter().zip(ends) {
            for s in &self.stretches[m] {
                let (a, b) = (s.from.max(from), s.to.min(to));
                if a >= b {
                    continue;
                }
                let closed = matches!(s.state, State::OffShift | State::Maintenance);
                match presence {
                    Presence::Open if closed => wrong.push(format!(
                        "machine {m} is {:?} while open, {a} to {b}",
                        s.state
                    )),
                    Presence::Maintenance if s.state != State::Maintenance => {
                        wrong.push(format!(
                            "machine {m} is {:?} in maintenance, {a} to {b}",
                            s.state
                        ));
                    }
                    Presence::Closed if !closed && (b > from + overtime) => {
                        wrong.push(format!(
                            "machine {m} is {:?} while closed, {a} to {b}, closed at {from}",
                            s.state
                        ));
                    }
                    Presence::Closed if s.state == State::Maintenance => {
                        wrong.push(format!(
                            "machine {m} is in maintenance while closed, {a} to {b}"
                        ));
                    }
                    _ => {}
                }
            }
            if presence == Presence::Closed {
                let before = self.taken[m].iter().rfind(|t| t.0 <= from).map(|t| t.1);
                // A lot of the very instant of closing was decided before it or not at all.
                for t in self.taken[m].iter().filter(|t| t.0 > from && t.0 < to) {
                    let same = before.is_some_and(|b| (b.order, b.line) == (t.1.order, t.1.line));
                    if !(matches!(rule, ShiftEnd::FinishOrder(_)) && same) {
                        wrong.push(format!(
                            "machine {m} takes {:?} at {} after closing at {from}",
                            t.1, t.0
                        ));
                    }
                }
            }
        }
        for w in wrong {
            self.check(false, || w);
        }
    }

    /// Never more people at work than present (overtime apart, which keeps its own).
    fn people(&mut self, pool: usize) {
        let mut changes: BTreeMap<Tick, i64> = BTreeMap::new();
        let description = &self.model.plant.pools[pool];
        for &(calendar, count) in &description.shifts {
            for &(from, to) in &self.model.calendars[calendar] {
                *changes.entry(from).or_default() += i64::from(count) * 1000;
                *changes.entry(to).or_default() -= i64::from(count) * 1000;
            }
        }
        for m in 0..self.stretches.len() {
            let crew = &self.spec(m).crew;
            let need = |list: &[(usize, u32)]| {
                list.iter()
                    .filter(|n| n.0 == pool)
                    .map(|n| i64::from(n.1))
                    .sum::<i64>()
            };
            let (changeover, run) = (need(&crew.changeover), need(&crew.run));
            let looks = self.spec(m).first_off.as_ref();
            // A smaller crew, or one with others who stand in, stays for stops and looks, too: no more is sure than what both
            // have.
            let short = crew.short.as_ref();
            let looks = looks.map_or(0, |first_off| match short {
                Some(_) => need(&first_off.few).min(need(&first_off.all)),
                None => need(&first_off.all),
            });
            let few = short.map_or(run, |short| need(&short.people));
            let timeline = &self.model.machines[m].timeline;
            let ends = timeline.iter().skip(1).map(|t| t.0).chain([Tick::MAX]);
            for (&(open, _), shut) in timeline
                .iter()
                .zip(ends)
                .filter(|t| t.0.1 == Presence::Open)
            {
                for s in &self.stretches[m] {
                    let (a, b) = (s.from.max(open), s.to.min(shut));
                    let need = match s.state {
                        State::Changeover => changeover,
                        State::Running => run,
                        State::RunningShort => few,
                        State::PlannedStop | State::MicroStop => few.min(run),
                        State::FirstOff => looks,
                        _ => 0,
                    };
                    if a < b && need > 0 {
                        *changes.entry(a).or_default() -= need;
                        *changes.entry(b).or_default() += need;
                    }
                }
            }
        }
        let mut free = 0;
        for (at, change) in changes {
            free += change;
            self.check(free >= 0, || {
                format!("pool {pool} is short of {} thousandths at {at}", -free)
            });
        }
    }
}

impl Observe for Watch<'_> {
    fn state(&mut self, machine: usize, state: State, from: Tick, to: Tick, _: Option<LotName>) {
        // The stops of a run are told when it is over, so only those of one machine come in order.
        self.calls += 1;
        let last = self.stretches[machine].last().map_or(0, |s| s.to);
        self.check(from == last && to > from, || {
            format!("machine {machine}: {state:?} from {from} to {to} after {last}")
        });
        self.stretches[machine].push(Stretch { state, from, to });
    }

    fn levels(&mut self, at: Tick, _: Levels<'_>) {
        let looked = self.looked;
        self.check(at > looked, || format!("levels at {at} after {looked}"));
        self.looked = at;
    }

    fn lot(&mut self, at: Tick, lot: LotName, event: LotEvent) {
        self.passes(at);
        match event {
            LotEvent::Released => {
                self.released.entry(lot.order).or_insert(at);
            }
            LotEvent::Queued(station, true) => self.queue(lot, station, true),
            LotEvent::Queued(station, false) => {
                self.queue(lot, station, false);
                self.staged[station] += 1;
                let (staged, limit) = (self.staged[station], self.model.stations[station].staging);
                self.check(staged <= i64::from(limit), || {
                    format!("{staged} lots staged at station {station} at {at}, room for {limit}")
                });
            }
            LotEvent::Taken(m) => {
                let station = self.model.machines[m].station;
                let mut waiting = self.queued.iter();
                match waiting.position(|other| (other.0, other.1) == (lot, station)) {
                    Some(place) if self.queued.swap_remove(place).2 => {}
                    Some(_) => self.staged[station] -= 1,
                    None => self.check(false, || format!("{lot:?} is taken and never came")),
                }
                let on = self.lot_on[m];
                self.check(on.is_none(), || {
                    format!("machine {m} takes {lot:?} with {on:?} on it")
                });
                self.lot_on[m] = Some(lot);
                self.taken[m].push((at, lot));
            }
            LotEvent::Left(m) => {
                let on = self.lot_on[m].take();
                self.check(on == Some(lot), || {
                    format!("{lot:?} leaves machine {m}, which has {on:?}")
                });
            }
            LotEvent::Curing(until, _)
            | LotEvent::Drying(until, _)
            | LotEvent::Printing(until, _) => self.check(until > at, || {
                format!("hold of {lot:?} ends at {until}, before {at}")
            }),
            LotEvent::Interrupted(m) => {
                // It changes places with the lot that takes the machine, or stands beside it where that one comes
                // out of its cure place.
                let station = self.model.machines[m].station;
                self.staged[station] += 1;
                let on = self.lot_on[m].take();
                self.queue(lot, station, false);
                self.check(on == Some(lot), || {
                    format!("{lot:?} is taken off machine {m}, which has {on:?}")
                });
            }
            LotEvent::NoRoom(station, on) => {
                let (staged, limit) = (self.staged[station], self.model.stations[station].staging);
                self.check(staged >= i64::from(limit), || {
                    format!(
                        "no room at station {station} at {at} with {staged} of {limit} places taken"
                    )
                });
                let before = on.is_none_or(|m| self.model.machines[m].station < station);
                self.check(before, || {
                    format!("{lot:?} keeps {on:?} for room at station {station}")
                });
            }
            LotEvent::Sampled(until, _) => self.check(until > at, || {
                format!("the laboratory has {lot:?} until {until}, before {at}")
            }),
            LotEvent::Stale(station) => {
                let mut waiting = self.queued.iter();
                match waiting.position(|other| (other.0, other.1) == (lot, station)) {
                    Some(place) if self.queued.swap_remove(place).2 => {}
                    Some(_) => self.staged[station] -= 1,
                    None => self.check(false, || format!("{lot:?} is too old and never came")),
                }
            }
            LotEvent::Gathering(_)
            | LotEvent::Failed
            | LotEvent::NoPlace(..)
            | LotEvent::FirstOff(_)
            | LotEvent::Lacking(..)
            | LotEvent::Packed
            | LotEvent::SentBack(_)
            | LotEvent::Remade(_) => {}
        }
    }

    fn finished(&mut self, o: Finished<'_>) {
        self.finished += 1;
        let sum: Tick = o.split.iter().sum();
        self.check(sum == o.done - o.released, || {
            format!("order {}: split {sum} of {}", o.order, o.done - o.released)
        });
        self.check(o.split.iter().all(|&s| s >= 0), || {
            format!("order {}: split {:?}", o.order, o.split)
        });
        let pouch_first = o.first_pouch == Tick::MAX
            || (o.released <= o.first_pouch && o.first_pouch <= o.packed);
        self.check(
            pouch_first && o.released <= o.packed && o.packed <= o.done,
            || {
                format!(
                    "order {}: released {}, first pouch {}, packed {}, done {}",
                    o.order, o.released, o.first_pouch, o.packed, o.done
                )
            },
        );
        let told = self.released.get(&o.order).copied();
        self.check(told.is_some_and(|t| t >= o.released), || {
            format!("order {} released at {told:?} and {}", o.order, o.released)
        });
        self.check(o.ordered > 0 && o.good >= 0, || {
            format!("order {}: {} of {}", o.order, o.good, o.ordered)
        });
    }

    fn unfinished(&mut self, _: Unfinished) {
        self.unfinished += 1;
    }

    fn released(&mut self, at: Tick, _: WebOf, lane_mm: i64) {
        self.passes(at);
        self.web_in += lane_mm;
    }
}
