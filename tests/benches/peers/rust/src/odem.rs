//! A and B for odem-rs, as its own M/M/1 example is written: servers are agents with a waiting line that sleep
//! while it is empty, arrivals are a job.

use std::cell::{Cell, RefCell};
use std::collections::{BinaryHeap, VecDeque};
use std::pin::pin;
use std::task::Waker;
use std::time::Instant;

use odem_rs::core::ops::waker;
use odem_rs::prelude::*;
use odem_rs::rand_distr::{Exp, LogNormal};

use crate::line::{self, CV2, DUE, Done, Job as Piece, KINDS, MEAN, RATES_A, Record, SERVERS};

/// What every process of a run shares.
#[derive(Default, Config)]
struct Bench {
    rng_stream: RngStream,
    stations: [Station; 4],
    records: RefCell<Vec<Record>>,
}

fn bench(seed: u64) -> Bench {
    Bench {
        rng_stream: RngStream::from_seed(seed),
        ..Bench::default()
    }
}

#[derive(Default)]
struct Server {
    queue: RefCell<VecDeque<(f64, f64)>>,
    asleep: Cell<Option<Waker>>,
    orders: Cell<usize>,
    sum: Cell<f64>,
}

impl Behavior<Bench> for Server {
    type Output = ();

    async fn actions(&self, sim: &Sim<Bench>) {
        loop {
            let next = self.queue.borrow_mut().pop_front();
            if let Some((arrival, work)) = next {
                sim.advance(work).await;
                self.sum.set(self.sum.get() + sim.now() - arrival);
                self.orders.set(self.orders.get() + 1);
            } else {
                self.asleep.set(Some(waker().await));
                sleep().await;
            }
        }
    }
}

async fn customers(sim: &Sim<Bench>, server: &Server, orders: usize) {
    let streams = &sim.global().rng_stream;
    let (mut when, mut work) = (streams.next_rng(), streams.next_rng());
    let gap = Exp::new(RATES_A.0).unwrap();
    let service = Exp::new(RATES_A.1).unwrap();
    for _ in 0..orders {
        sim.advance(when.sample(gap)).await;
        let customer = (sim.now(), work.sample(service));
        server.queue.borrow_mut().push_back(customer);
        if let Some(waker) = server.asleep.take() {
            waker.wake();
        }
    }
}

/// M/M/1.
pub fn a(orders: usize, seed: u64) -> Done {
    let simulator = Simulator::new(bench(seed));
    let begin = Instant::now();
    let (done, mean) = simulator
        .run(async |sim: &Sim<Bench>| {
            let server = pin!(Agent::new(Server::default()));
            let server = sim.activate(server);
            let arrivals = pin!(Job::new(customers(sim, server.subject(), orders)));
            sim.activate(arrivals).await;
            while server.subject().orders.get() < orders {
                sim.advance(1.0).await;
            }
            let (n, sum) = (server.subject().orders.get(), server.subject().sum.get());
            (n, sum / n as f64)
        })
        .expect("no deadlock");
    Done {
        seconds: begin.elapsed().as_secs_f64(),
        orders: done,
        mean,
    }
}

/// A station: jobs that wait, machines that sleep.
#[derive(Default)]
struct Station {
    queue: RefCell<BinaryHeap<Piece>>,
    asleep: RefCell<Vec<Waker>>,
}

impl Station {
    fn take(&self, piece: Piece) {
        self.queue.borrow_mut().push(piece);
        if let Some(waker) = self.asleep.borrow_mut().pop() {
            waker.wake();
        }
    }
}

struct Machine {
    station: usize,
}

impl Behavior<Bench> for Machine {
    type Output = ();

    async fn actions(&self, sim: &Sim<Bench>) {
        let floor = sim.global();
        let mut draw = floor.rng_stream.next_rng();
        let (mu, sigma) = line::lognormal(MEAN[self.station], CV2);
        let work = LogNormal::new(mu, sigma).unwrap();
        let station = &floor.stations[self.station];
        loop {
            let next = station.queue.borrow_mut().pop();
            let Some(piece) = next else {
                let waker = waker().await;
                station.asleep.borrow_mut().push(waker);
                sleep().await;
                continue;
            };
            sim.advance(draw.sample(work)).await;
            match line::after(piece.kind, self.station) {
                Some(next) => floor.stations[next].take(piece),
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

async fn jobs(sim: &Sim<Bench>, orders: usize) {
    let floor = sim.global();
    let (mut when, mut what) = (floor.rng_stream.next_rng(), floor.rng_stream.next_rng());
    let gap = Exp::new(1.0).unwrap();
    for number in 0..orders {
        sim.advance(when.sample(gap)).await;
        let kind = what.random_range(0..KINDS);
        let arrival = sim.now();
        floor.stations[line::first(kind)].take(Piece {
            number: number as u32,
            kind,
            arrival,
            due: arrival + what.random_range(DUE.0..DUE.1),
        });
    }
}

/// Four stations.
pub fn b(orders: usize, seed: u64) -> Done {
    let simulator = Simulator::new(bench(seed));
    let begin = Instant::now();
    simulator
        .run(async |sim: &Sim<Bench>| {
            for (station, &servers) in SERVERS.iter().enumerate() {
                for _ in 0..servers {
                    sim.spawn(Machine { station });
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
            }
        })
        .expect("no deadlock");
    let seconds = begin.elapsed().as_secs_f64();
    Done::of(seconds, &simulator.inner().records.borrow())
}
