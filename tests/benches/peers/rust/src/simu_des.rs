//! A and B for simu-des, as its guide and its own comparison with SimPy are written: a process for each order, a
//! resource for each station, its fastest source of random numbers.
//!
//! Its resources order by a whole number: due dates are rounded to ten-thousandths of an hour.

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Instant;

use simu::rng::{SplitMix64, sample};
use simu::{EnvHandle, PriorityResource, Resource, SimEnv};

use crate::line::{self, CV2, DUE, Done, KINDS, MEAN, RATES_A, Record, SERVERS};

async fn customer(env: EnvHandle, server: Resource, sum: Rc<RefCell<(usize, f64)>>) {
    let arrival = env.now();
    let guard = server.request().await;
    let work = sample::exponential(&mut env.rng(), 1.0 / RATES_A.1);
    env.timeout(work).await;
    drop(guard);
    let mut sum = sum.borrow_mut();
    sum.0 += 1;
    sum.1 += env.now() - arrival;
}

/// M/M/1.
pub fn a(orders: usize, seed: u64) -> Done {
    let mut env = SimEnv::with_source(SplitMix64::new(seed));
    let server = Resource::new(1);
    let sum = Rc::new(RefCell::new((0, 0.0)));
    let (handle, kept) = (env.handle(), Rc::clone(&sum));
    env.spawn(async move {
        for _ in 0..orders {
            let gap = sample::exponential(&mut handle.rng(), 1.0 / RATES_A.0);
            handle.timeout(gap).await;
            let next = customer(handle.clone(), server.clone(), Rc::clone(&kept));
            handle.spawn(next);
        }
    });
    let begin = Instant::now();
    env.run();
    let seconds = begin.elapsed().as_secs_f64();
    let (orders, sum) = *sum.borrow();
    Done {
        seconds,
        orders,
        mean: sum / orders as f64,
    }
}

type Stations = Rc<[(PriorityResource, (f64, f64)); 4]>;

async fn job(env: EnvHandle, stations: Stations, kind: u32, records: Rc<RefCell<Vec<Record>>>) {
    let arrival = env.now();
    let due = arrival + DUE.0 + (DUE.1 - DUE.0) * sample::uniform01(&mut env.rng());
    for station in line::route(kind) {
        let (station, (mu, sigma)) = &stations[station];
        let guard = station.request((due * 1e4) as u32).await;
        let work = sample::normal(&mut env.rng(), *mu, *sigma).exp();
        env.timeout(work).await;
        drop(guard);
    }
    records.borrow_mut().push(Record {
        kind,
        arrival,
        due,
        lead: env.now() - arrival,
    });
}

/// Four stations.
pub fn b(orders: usize, seed: u64) -> Done {
    let mut env = SimEnv::with_source(SplitMix64::new(seed));
    let stations: Stations = Rc::new(std::array::from_fn(|i| {
        (
            PriorityResource::new(SERVERS[i]),
            line::lognormal(MEAN[i], CV2),
        )
    }));
    let records = Rc::new(RefCell::new(Vec::new()));
    let (handle, kept) = (env.handle(), Rc::clone(&records));
    env.spawn(async move {
        for _ in 0..orders {
            let gap = sample::exponential(&mut handle.rng(), 1.0);
            handle.timeout(gap).await;
            let kind = (sample::uniform01(&mut handle.rng()) * f64::from(KINDS)) as u32;
            let next = job(handle.clone(), Rc::clone(&stations), kind, Rc::clone(&kept));
            handle.spawn(next);
        }
    });
    let begin = Instant::now();
    env.run();
    let seconds = begin.elapsed().as_secs_f64();
    Done::of(seconds, &records.borrow())
}
