//! B+ for odem-rs: what `simpy_full.py` does, step by step, in the style of the programs for A and B.
//!
//! Shifts and breakdowns are worked out ahead, without interruptions, as there.

use std::cell::{Cell, RefCell};
use std::collections::{BinaryHeap, VecDeque};
use std::pin::pin;
use std::task::Waker;
use std::time::Instant;

use odem_rs::core::ops::waker;
use odem_rs::prelude::*;
use odem_rs::rand_distr::{Exp, LogNormal};

use crate::line::{self, CV2, DUE, Done, Job as Piece, KINDS, MEAN, Record, SERVERS};

/// Work beside that of B.
const SHORTER: f64 = 0.45;
/// Room before each station but the first.
const ROOM: usize = 30;
/// Hours of work a day.
const ON: f64 = 16.0;
const DAY: f64 = 24.0;

/// What a machine does.
#[derive(Clone, Copy)]
enum State {
    Idle,
    Changeover,
    Work,
    Blocked,
    Down,
    Closed,
}

/// A visit of a job to a station.
#[allow(dead_code, reason = "kept because every program keeps it")]
struct Visit {
    station: usize,
    queued: f64,
    begun: f64,
    ended: f64,
}

/// A job and when it came into the queue it stands in.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Waiting {
    piece: Piece,
    since: u64,
}

#[derive(Default)]
struct Station {
    queue: RefCell<BinaryHeap<Waiting>>,
    asleep: RefCell<Vec<Waker>>,
    wants_room: RefCell<VecDeque<Waker>>,
    area: Cell<f64>,
    changed: Cell<f64>,
}

impl Station {
    /// The length of the queue over time, up to now.
    fn count(&self, now: f64) {
        let length = self.queue.borrow().len() as f64;
        self.area
            .set(self.area.get() + length * (now - self.changed.get()));
        self.changed.set(now);
    }
}

#[derive(Default, Config)]
struct Floor {
    rng_stream: RngStream,
    stations: [Station; 4],
    records: RefCell<Vec<Record>>,
    visits: RefCell<Vec<Visit>>,
    accounts: RefCell<Vec<[f64; 6]>>,
}

impl Floor {
    fn full(&self, station: usize) -> bool {
        station > 0 && self.stations[station].queue.borrow().len() >= ROOM
    }

    /// Puts a job into a queue, once there is room.
    async fn put(&self, sim: &Sim<Self>, station: usize, piece: Piece) {
        let since = sim.now().to_bits();
        let at = &self.stations[station];
        while self.full(station) {
            let waker = waker().await;
            at.wants_room.borrow_mut().push_back(waker);
            sleep().await;
        }
        at.count(sim.now());
        at.queue.borrow_mut().push(Waiting { piece, since });
        if let Some(waker) = at.asleep.borrow_mut().pop() {
            waker.wake();
        }
    }

    /// The next job of a queue.
    fn take(&self, now: f64, station: usize) -> Option<Waiting> {
        let at = &self.stations[station];
        if at.queue.borrow().is_empty() {
            return None;
        }
        at.count(now);
        let next = at.queue.borrow_mut().pop();
        if let Some(waker) = at.wants_room.borrow_mut().pop_front() {
            waker.wake();
        }
        next
    }
}

struct Machine {
    station: usize,
    place: usize,
}

/// The account of a machine's time.
struct Clock {
    place: usize,
    state: State,
    since: f64,
}

impl Clock {
    fn to(&mut self, sim: &Sim<Floor>, state: State) {
        let now = sim.now();
        let accounts = &sim.global().accounts;
        accounts.borrow_mut()[self.place][self.state as usize] += now - self.since;
        (self.state, self.since) = (state, now);
    }
}

impl Behavior<Floor> for Machine {
    type Output = ();

    async fn actions(&self, sim: &Sim<Floor>) {
        let floor = sim.global();
        let streams = &floor.rng_stream;
        let (mut draw, mut luck) = (streams.next_rng(), streams.next_rng());
        let (mu, sigma) = line::lognormal(MEAN[self.station] * SHORTER, CV2);
        let work = LogNormal::new(mu, sigma).unwrap();
        let (mu, sigma) = line::lognormal(0.8, 1.0);
        let repair = LogNormal::new(mu, sigma).unwrap();
        let failure = Exp::new(1.0 / 20.0).unwrap();
        let mut clock = Clock {
            place: self.place,
            state: State::Idle,
            since: 0.0,
        };
        let mut good_for = luck.sample(failure);
        let mut last = 0;
        loop {
            clock.to(sim, State::Idle);
            let Waiting { piece, since } = loop {
                if let Some(next) = floor.take(sim.now(), self.station) {
                    break next;
                }
                let waker = waker().await;
                floor.stations[self.station].asleep.borrow_mut().push(waker);
                sleep().await;
            };
            let begun = sim.now();
            let changeover = match piece.kind == last {
                true => 0.0,
                false => 0.05 + 0.005 * f64::from(piece.kind),
            };
            let steps = [
                (State::Changeover, changeover),
                (State::Work, draw.sample(work)),
            ];
            for (state, mut left) in steps {
                let works = matches!(state, State::Work);
                while left > 0.0 {
                    let hour = sim.now() % DAY;
                    if hour >= ON {
                        clock.to(sim, State::Closed);
                        sim.advance(DAY - hour).await;
                        continue;
                    }
                    let mut step = left.min(ON - hour);
                    let fails = works && good_for < step;
                    if fails {
                        step = good_for;
                    }
                    clock.to(sim, state);
                    sim.advance(step).await;
                    left -= step;
                    if left < 1e-12 {
                        left = 0.0;
                    }
                    if works {
                        good_for -= step;
                    }
                    if fails {
                        good_for = luck.sample(failure);
                        clock.to(sim, State::Down);
                        sim.advance(luck.sample(repair)).await;
                    }
                }
            }
            last = piece.kind;
            floor.visits.borrow_mut().push(Visit {
                station: self.station,
                queued: f64::from_bits(since),
                begun,
                ended: sim.now(),
            });
            match line::after(piece.kind, self.station) {
                Some(next) => {
                    if floor.full(next) {
                        clock.to(sim, State::Blocked);
                    }
                    floor.put(sim, next, piece).await;
                }
                None => floor.records.borrow_mut().push(Record {
                    kind: piece.kind,
                    arrival: piece.arrival,
                    due: piece.due,
                    lead: sim.now() - piece.arrival,
                }),
            }
        }
    }
}

async fn jobs(sim: &Sim<Floor>, orders: usize) {
    let floor = sim.global();
    let streams = &floor.rng_stream;
    let (mut when, mut what, mut due) =
        (streams.next_rng(), streams.next_rng(), streams.next_rng());
    let gap = Exp::new(1.0).unwrap();
    for number in 0..orders {
        sim.advance(when.sample(gap)).await;
        let kind = what.random_range(0..KINDS);
        let arrival = sim.now();
        let piece = Piece {
            number: number as u32,
            kind,
            arrival,
            due: arrival + due.random_range(DUE.0..DUE.1),
        };
        floor.put(sim, line::first(kind), piece).await;
    }
}

/// Four stations, every mechanism.
pub fn full(orders: usize, seed: u64) -> Done {
    let floor = Floor {
        rng_stream: RngStream::from_seed(seed),
        ..Floor::default()
    };
    let simulator = Simulator::new(floor);
    let begin = Instant::now();
    simulator
        .run(async |sim: &Sim<Floor>| {
            let mut place = 0;
            for (station, &servers) in SERVERS.iter().enumerate() {
                for _ in 0..servers {
                    sim.global().accounts.borrow_mut().push([0.0; 6]);
                    sim.spawn(Machine { station, place });
                    place += 1;
                }
            }
            let arrivals = pin!(Job::new(jobs(sim, orders)));
            sim.activate(arrivals).await;
            while sim.global().records.borrow().len() < orders {
                sim.advance(1.0).await;
            }
            // Wakers may not outlive the run.
            for station in &sim.global().stations {
                station.asleep.borrow_mut().clear();
                station.wants_room.borrow_mut().clear();
            }
        })
        .expect("no deadlock");
    let seconds = begin.elapsed().as_secs_f64();
    Done::of(seconds, &simulator.inner().records.borrow())
}
