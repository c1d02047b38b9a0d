//! What the lines are: rates, stations, routes; and what is kept of an order.
//!
//! A: one server, arrivals at 0.9, service at 1. B: four stations with 1, 2, 1 and 1 servers, lognormal work,
//! arrivals at 1, five kinds of jobs of which kind k skips station k, earliest due date first.

use std::cmp::Ordering;

use serde::{Deserialize, Serialize};

/// Arrivals and services an hour in A.
pub const RATES_A: (f64, f64) = (0.9, 1.0);
/// Servers of each station in B.
pub const SERVERS: [usize; 4] = [1, 2, 1, 1];
/// Mean work at each station, hours.
pub const MEAN: [f64; 4] = [1.0625, 2.125, 1.0625, 1.0625];
/// Squared coefficient of variation of the work.
pub const CV2: f64 = 0.25;
/// How long after its arrival a job is due, hours.
pub const DUE: (f64, f64) = (10.0, 40.0);
/// Kinds of jobs.
pub const KINDS: u32 = 5;

/// The parameters of the normal distribution behind a lognormal one with this mean.
pub fn lognormal(mean: f64, cv2: f64) -> (f64, f64) {
    let variance = (1.0 + cv2).ln();
    (mean.ln() - variance / 2.0, variance.sqrt())
}

/// Stations of B that a kind visits.
pub fn route(kind: u32) -> impl Iterator<Item = usize> {
    (0..4).filter(move |&station| station as u32 + 1 != kind)
}

/// The station a job of this kind goes to after `station`; `None` where it leaves.
pub fn after(kind: u32, station: usize) -> Option<usize> {
    (station + 1..4).find(|&next| next as u32 + 1 != kind)
}

/// The first station of a kind.
pub fn first(kind: u32) -> usize {
    usize::from(kind == 1)
}

/// A job on its way.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub struct Job {
    pub number: u32,
    pub kind: u32,
    pub arrival: f64,
    pub due: f64,
}

impl PartialEq for Job {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Job {}

impl PartialOrd for Job {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The earliest due date is the greatest, as the standard heap wants it.
impl Ord for Job {
    fn cmp(&self, other: &Self) -> Ordering {
        (other.due.total_cmp(&self.due)).then(other.number.cmp(&self.number))
    }
}

/// What is kept of a job that is done, as in the programs for SimPy.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[allow(dead_code, reason = "kept because every program keeps it")]
pub struct Record {
    pub kind: u32,
    pub arrival: f64,
    pub due: f64,
    pub lead: f64,
}

/// What a run says.
pub struct Done {
    /// Seconds of the simulation loop.
    pub seconds: f64,
    /// Orders done.
    pub orders: usize,
    /// Mean time in system.
    pub mean: f64,
}

impl Done {
    /// Of the records of a run.
    pub fn of(seconds: f64, records: &[Record]) -> Self {
        let sum: f64 = records.iter().map(|record| record.lead).sum();
        Self {
            seconds,
            orders: records.len(),
            mean: sum / records.len() as f64,
        }
    }
}
