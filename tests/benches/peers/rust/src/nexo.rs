//! A and B for nexosim: a model for the source and for each station, joined by ports, on one thread.

use std::collections::{BinaryHeap, VecDeque};
use std::time::{Duration, Instant};

use nexosim::model::{Context, Model, schedulable};
use nexosim::ports::{Output, QuerySource};
use nexosim::simulation::{Mailbox, SimInit};
use nexosim::time::MonotonicTime;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Exp, LogNormal};
use rand_xoshiro::Xoshiro256PlusPlus;
use serde::{Deserialize, Serialize};

use crate::line::{self, CV2, DUE, Done, Job, KINDS, MEAN, RATES_A, Record, SERVERS};

/// An hour of the line is a second of the simulator; an event lies at least a nanosecond ahead.
fn ahead(time: f64) -> Duration {
    Duration::from_secs_f64(time.max(1e-9))
}

fn hours(time: MonotonicTime) -> f64 {
    time.as_secs() as f64 + f64::from(time.subsec_nanos()) * 1e-9
}

fn draws(seed: u64, stream: u64) -> Xoshiro256PlusPlus {
    Xoshiro256PlusPlus::seed_from_u64(seed * 64 + stream)
}

fn work_at(station: usize) -> LogNormal<f64> {
    let (mu, sigma) = line::lognormal(MEAN[station], CV2);
    LogNormal::new(mu, sigma).unwrap()
}

/// Customers of A.
#[derive(Serialize, Deserialize)]
struct Customers {
    out: Output<f64>,
    left: usize,
    gap: Exp<f64>,
    rng: Xoshiro256PlusPlus,
}

#[Model]
impl Customers {
    #[nexosim(init)]
    async fn init(&mut self, cx: &Context<Self>) {
        self.plan(cx);
    }

    fn plan(&mut self, cx: &Context<Self>) {
        if self.left > 0 {
            self.left -= 1;
            let gap = self.gap.sample(&mut self.rng);
            cx.schedule_event(ahead(gap), schedulable!(Self::arrive), ())
                .unwrap();
        }
    }

    #[nexosim(schedulable)]
    async fn arrive(&mut self, _: (), cx: &Context<Self>) {
        self.out.send(hours(cx.time())).await;
        self.plan(cx);
    }
}

/// The server of A.
#[derive(Serialize, Deserialize)]
struct Server {
    queue: VecDeque<f64>,
    busy: bool,
    orders: usize,
    sum: f64,
    work: Exp<f64>,
    rng: Xoshiro256PlusPlus,
}

#[Model]
impl Server {
    fn arrive(&mut self, arrival: f64, cx: &Context<Self>) {
        if self.busy {
            self.queue.push_back(arrival);
        } else {
            self.busy = true;
            self.serve(arrival, cx);
        }
    }

    fn serve(&mut self, arrival: f64, cx: &Context<Self>) {
        let work = self.work.sample(&mut self.rng);
        cx.schedule_event(ahead(work), schedulable!(Self::done), arrival)
            .unwrap();
    }

    #[nexosim(schedulable)]
    fn done(&mut self, arrival: f64, cx: &Context<Self>) {
        self.orders += 1;
        self.sum += hours(cx.time()) - arrival;
        match self.queue.pop_front() {
            Some(next) => self.serve(next, cx),
            None => self.busy = false,
        }
    }

    async fn told(&mut self) -> (usize, f64) {
        (self.orders, self.sum)
    }
}

/// M/M/1.
pub fn a(orders: usize, seed: u64) -> Done {
    let mut customers = Customers {
        out: Output::default(),
        left: orders,
        gap: Exp::new(RATES_A.0).unwrap(),
        rng: draws(seed, 0),
    };
    let server = Server {
        queue: VecDeque::new(),
        busy: false,
        orders: 0,
        sum: 0.0,
        work: Exp::new(RATES_A.1).unwrap(),
        rng: draws(seed, 1),
    };
    let (customers_box, server_box) = (Mailbox::new(), Mailbox::new());
    customers.out.connect(Server::arrive, &server_box);
    let mut bench = SimInit::with_num_threads(1);
    let told = QuerySource::new()
        .connect(Server::told, &server_box)
        .register(&mut bench);
    let mut simulation = bench
        .add_model(customers, customers_box, "customers")
        .add_model(server, server_box, "server")
        .init(MonotonicTime::EPOCH)
        .expect("a simulation");
    let begin = Instant::now();
    simulation.run().expect("no error");
    let seconds = begin.elapsed().as_secs_f64();
    let (orders, sum) = simulation.process_query(&told, ()).expect("an answer");
    Done {
        seconds,
        orders,
        mean: sum / orders as f64,
    }
}

/// Jobs of B. A job goes out at the port of its first station.
#[derive(Serialize, Deserialize)]
struct Jobs {
    out: [Output<Job>; 2],
    orders: u32,
    sent: u32,
    gap: Exp<f64>,
    rng: Xoshiro256PlusPlus,
}

#[Model]
impl Jobs {
    #[nexosim(init)]
    async fn init(&mut self, cx: &Context<Self>) {
        self.plan(cx);
    }

    fn plan(&mut self, cx: &Context<Self>) {
        if self.sent < self.orders {
            let gap = self.gap.sample(&mut self.rng);
            cx.schedule_event(ahead(gap), schedulable!(Self::arrive), ())
                .unwrap();
        }
    }

    #[nexosim(schedulable)]
    async fn arrive(&mut self, _: (), cx: &Context<Self>) {
        let kind = self.rng.random_range(0..KINDS);
        let arrival = hours(cx.time());
        let job = Job {
            number: self.sent,
            kind,
            arrival,
            due: arrival + self.rng.random_range(DUE.0..DUE.1),
        };
        self.sent += 1;
        self.out[line::first(kind)].send(job).await;
        self.plan(cx);
    }
}

/// A station of B. A job goes out at the port of the station it visits next; the last port is the way out.
#[derive(Serialize, Deserialize)]
struct Station {
    out: [Output<Job>; 5],
    place: usize,
    free: usize,
    queue: BinaryHeap<Job>,
    work: LogNormal<f64>,
    rng: Xoshiro256PlusPlus,
}

#[Model]
impl Station {
    fn arrive(&mut self, job: Job, cx: &Context<Self>) {
        if self.free == 0 {
            self.queue.push(job);
        } else {
            self.free -= 1;
            self.serve(job, cx);
        }
    }

    fn serve(&mut self, job: Job, cx: &Context<Self>) {
        let work = self.work.sample(&mut self.rng);
        cx.schedule_event(ahead(work), schedulable!(Self::done), job)
            .unwrap();
    }

    #[nexosim(schedulable)]
    async fn done(&mut self, job: Job, cx: &Context<Self>) {
        match self.queue.pop() {
            Some(next) => self.serve(next, cx),
            None => self.free += 1,
        }
        let next = line::after(job.kind, self.place).unwrap_or(4);
        self.out[next].send(job).await;
    }
}

/// Keeps the jobs that are done.
#[derive(Serialize, Deserialize)]
struct Exit {
    records: Vec<Record>,
}

#[Model]
impl Exit {
    fn leave(&mut self, job: Job, cx: &Context<Self>) {
        self.records.push(Record {
            kind: job.kind,
            arrival: job.arrival,
            due: job.due,
            lead: hours(cx.time()) - job.arrival,
        });
    }

    async fn told(&mut self) -> Vec<Record> {
        std::mem::take(&mut self.records)
    }
}

/// Four stations.
pub fn b(orders: usize, seed: u64) -> Done {
    let mut jobs = Jobs {
        out: Default::default(),
        orders: orders as u32,
        sent: 0,
        gap: Exp::new(1.0).unwrap(),
        rng: draws(seed, 0),
    };
    let boxes: [Mailbox<Station>; 4] = std::array::from_fn(|_| Mailbox::new());
    let exit_box = Mailbox::new();
    for (out, mailbox) in jobs.out.iter_mut().zip(&boxes) {
        out.connect(Station::arrive, mailbox);
    }
    let mut stations: Vec<Station> = (0..4)
        .map(|place| Station {
            out: Default::default(),
            place,
            free: SERVERS[place],
            queue: BinaryHeap::new(),
            work: work_at(place),
            rng: draws(seed, 1 + place as u64),
        })
        .collect();
    for station in &mut stations {
        for (next, mailbox) in boxes.iter().enumerate() {
            if next > station.place {
                station.out[next].connect(Station::arrive, mailbox);
            }
        }
        station.out[4].connect(Exit::leave, &exit_box);
    }
    let mut bench = SimInit::with_num_threads(1);
    let told = QuerySource::new()
        .connect(Exit::told, &exit_box)
        .register(&mut bench);
    let exit = Exit {
        records: Vec::new(),
    };
    bench = bench
        .add_model(jobs, Mailbox::new(), "jobs")
        .add_model(exit, exit_box, "exit");
    for (station, (mailbox, name)) in stations
        .into_iter()
        .zip(boxes.into_iter().zip(["s1", "s2", "s3", "s4"]))
    {
        bench = bench.add_model(station, mailbox, name);
    }
    let mut simulation = bench.init(MonotonicTime::EPOCH).expect("a simulation");
    let begin = Instant::now();
    simulation.run().expect("no error");
    let seconds = begin.elapsed().as_secs_f64();
    let records = simulation.process_query(&told, ()).expect("an answer");
    Done::of(seconds, &records)
}
