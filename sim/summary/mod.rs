//! From folded replications to what is printed: estimates with intervals, the bottleneck, warnings.
//!
//! In: a model, its layout and an [`Experiment`]. Out: [`Summary`], plain data; no formatting, no files.

mod bounds;
pub mod effort;
mod estimate;
mod held;
pub mod limiting;
pub mod money;
pub mod promise;
mod standing;
mod warning;

pub use bounds::{StationBound, station_bounds};
pub use estimate::{Estimate, LEAST, bounded, estimate_of, is_claimed, wanted};
pub use limiting::Busy;
pub use standing::Standing;
pub use warning::{Warning, rounded_up};

use crate::model::Model;
use crate::observe::Layout;
use crate::observe::histogram::SpanCounts;
use crate::replicate::Experiment;

/// The whole result of a run.
#[derive(Debug, Clone)]
pub struct Summary {
    /// Figures and groups.
    pub layout: Layout,
    /// One estimate by figure, in the layout's order.
    pub estimates: Vec<Estimate>,
    /// Level of all intervals.
    pub confidence: f64,
    /// Replications asked for.
    pub asked: u32,
    /// Replications done; fewer than asked after an interruption.
    pub done: u32,
    /// There is an order book and no stream of orders: it is worked off, and the cell has no load to keep up with.
    pub is_worked_off: bool,
    /// Replications that the figures which move with the queues want together.
    pub wanted: u32,
    /// Lead time counts by group (all orders, then classes).
    pub spans: Vec<SpanCounts>,
    /// Levels over time (minutes since zero; orders, curing, queues): mean and spread.
    pub levels: Vec<LevelRow>,
    /// What limits the cell.
    pub bottleneck: Bottleneck,
    /// How each machine spends its open time, in floor order.
    pub machines: Vec<Busy>,
    /// Work against open time by station, from arithmetic alone.
    pub bounds: Vec<StationBound>,
    /// What the reader must know before he trusts a figure.
    pub warnings: Vec<Warning>,
    /// Events handled in all replications.
    pub events: u64,
    /// Orders released in all replications.
    pub orders: u64,
    /// Checks of the audit in all replications, all of them kept.
    pub checks: u64,
}

/// Levels at one instant over all replications.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelRow {
    /// Minutes since the clock's zero.
    pub at_min: f64,
    /// Mean by level: orders in the cell, lots curing, lots waiting by station.
    pub mean: Vec<f64>,
    /// Standard deviation over replications by level.
    pub sd: Vec<f64>,
}

/// The station that limits the cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Bottleneck {
    /// Station that limits: with the highest mean utilisation, or with a machine that is full ([`limiting::order`]).
    pub station: usize,
    /// Its machine, where that has to be named: clearly busier than the station, or waiting for people.
    pub machine: Option<Busy>,
    /// Share of replications in which it had the highest utilisation.
    pub share: f64,
    /// The station that comes next, if there is more than one.
    pub next: Option<usize>,
}

impl Summary {
    /// Summarises an experiment.
    pub fn new(model: &Model, layout: &Layout, experiment: &Experiment) -> Self {
        let confidence = model.plant.run.confidence;
        let estimates = estimate::estimates(layout, experiment, confidence);
        let used: Vec<f64> = (0..model.stations.len())
            .map(|s| estimates[layout.station(s)].mean)
            .collect();
        let machines = limiting::machines(model, layout, &estimates);
        let order = limiting::order(&machines, &used);
        let station = order.first().copied().unwrap_or(0);
        let every_min = crate::units::minutes_from_ticks(model.sample_every);
        let levels = experiment
            .levels
            .iter()
            .enumerate()
            .map(|(index, row)| LevelRow {
                at_min: index as f64 * every_min,
                mean: row.iter().map(crate::stats::Welford::mean).collect(),
                sd: row
                    .iter()
                    .map(|w| if w.count() > 1 { w.sd() } else { 0.0 })
                    .collect(),
            })
            .collect();
        let bounds = station_bounds(model);
        let mut summary = Self {
            bottleneck: Bottleneck {
                station,
                share: f64::from(experiment.bottleneck[station])
                    / f64::from(experiment.done.max(1)),
                next: order.get(1).copied(),
                machine: limiting::named(
                    &machines,
                    station,
                    used.get(station).copied().unwrap_or(0.0),
                ),
            },
            machines,
            layout: layout.clone(),
            estimates,
            confidence,
            asked: experiment.asked,
            done: experiment.done,
            is_worked_off: model.plant.arrivals.is_empty(),
            wanted: u32::try_from(estimate::wanted(layout, experiment)).unwrap_or(u32::MAX),
            spans: experiment.spans.clone(),
            levels,
            bounds,
            warnings: Vec::new(),
            events: experiment.events,
            orders: experiment.orders,
            checks: experiment.checks,
        };
        summary.warnings = warning::warnings(model, &summary);
        summary
    }

    /// True where an end of the interval of what is promised or paid is not claimed.
    pub fn is_skewed(&self) -> bool {
        (0..self.estimates.len())
            .any(|index| self.layout.speaks(index) && self.estimates[index].is_refused())
    }

    /// The estimate of a figure by its key.
    pub fn get(&self, key: &str) -> Option<&Estimate> {
        self.layout.find(key).map(|index| &self.estimates[index])
    }
}
