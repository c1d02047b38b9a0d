//! No figure without its uncertainty, and no interval that does not hold.
//!
//! One mechanism for everything that is printed: what the replications say of a figure comes down to the
//! moments of what each of them adds to it - of a mean, of a ratio of totals, of a quantile of all orders -
//! and from these to an interval that holds under skewness, or to the number of replications that one wants.

use crate::observe::{Kind, Layout};
use crate::replicate::Experiment;
use crate::stats::{Interval, Moments, Ratio, Tail, Welford, share_interval, t_quantile};

/// A figure over replications with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Over all replications that have the figure; NaN where none has.
    pub mean: f64,
    /// Lower end of the interval; NaN where there is none, infinite where it is not claimed.
    pub low: f64,
    /// Upper end of the interval; NaN where there is none, infinite where it is not claimed.
    pub high: f64,
    /// Standard deviation of what one replication tells of it.
    pub sd: f64,
    /// Replications that have the figure.
    pub n: u32,
    /// Replications in which it lies beyond the run: orders were never done, so the figure has no value.
    pub beyond: u32,
    /// Replications from which on both ends may be claimed; of fewer, the one on the side of the tail is not.
    pub wanted: u32,
}

/// Fewest replications of which an interval is claimed where a figure moves with the queues: of fewer, the
/// skewness itself is a matter of luck.
pub const LEAST: u32 = 20;

impl Estimate {
    /// Nothing is known.
    pub const NONE: Self = Self {
        mean: f64::NAN,
        low: f64::NAN,
        high: f64::NAN,
        sd: f64::NAN,
        n: 0,
        beyond: 0,
        wanted: 0,
    };

    /// From moments, with the interval as far as it may be claimed.
    fn claimed(mut self, seen: &Moments, interval: Interval, tail: Tail) -> Self {
        self.sd = seen.sd;
        if seen.count < 2 {
            return self;
        }
        self.wanted = u32::try_from(tail.wanted).unwrap_or(u32::MAX);
        let told = tail.claimed(interval, seen.count);
        (self.low, self.high) = (told.low, told.high);
        self
    }

    /// Estimate of a mean from its values.
    pub fn new(figure: &Welford, beyond: u32, confidence: f64) -> Self {
        let seen = figure.moments();
        let start = Self {
            mean: if seen.count == 0 { f64::NAN } else { seen.mean },
            n: seen.count as u32,
            beyond,
            ..Self::NONE
        };
        start.claimed(&seen, seen.interval(confidence), Tail::of(&seen))
    }

    /// True where the figure has a value in every replication that has such orders.
    pub fn is_known(&self) -> bool {
        self.n > 0 && self.beyond == 0
    }

    /// Whether it is surely above nothing, at another two-sided level than that of its own interval.
    pub fn surely_above(&self, own: f64, level: f64) -> bool {
        if self.n < 2 || !self.low.is_finite() {
            return false;
        }
        let point = |confidence: f64| t_quantile(0.5 + confidence / 2.0, f64::from(self.n - 1));
        // The arm below, longer by as much as Student's t is.
        self.mean - (self.mean - self.low) * point(level) / point(own) > 0.0
    }

    /// True where an end of the interval is not claimed, for how skewed the replications are.
    pub fn is_refused(&self) -> bool {
        self.is_known() && (self.low.is_infinite() || self.high.is_infinite())
    }

    /// Half the width of the interval relative to the mean; infinite where none is claimed.
    pub fn relative_half_width(&self) -> f64 {
        let width = (self.high - self.low) / 2.0 / self.mean.abs();
        if width.is_nan() { f64::INFINITY } else { width }
    }
}

/// The moments of every figure: what a replication adds to it.
fn moments(layout: &Layout, experiment: &Experiment, index: usize) -> Moments {
    match layout.kind(index) {
        Kind::Point(spans, p) => {
            let mut seen = experiment.pooled[spans].moments(p);
            seen.mean = minutes(seen.mean);
            seen.sd = minutes(seen.sd);
            seen
        }
        Kind::Mean | Kind::Share => experiment.figures[index].moments(),
    }
}

fn minutes(ticks: f64) -> f64 {
    ticks / crate::units::TICKS_PER_MINUTE as f64
}

/// Replications that a figure wants by itself.
fn alarm(layout: &Layout, experiment: &Experiment, index: usize, seen: &Moments) -> u64 {
    match layout.kind(index) {
        Kind::Mean => seen.wanted(),
        Kind::Share => seen.wanted_beyond(seen.mean, experiment.figures[index].weight()),
        Kind::Point(spans, p) => {
            let pooled = &experiment.pooled[spans];
            let each = pooled.total() as f64 / pooled.clusters().max(1) as f64;
            seen.wanted_beyond(p, each)
        }
    }
}

/// Replications that the figures which move with the queues want together, by what these show: one bad month
/// moves all of them, so that the most skewed one speaks for all. The outermost points are left out: they have
/// few orders of their own, and an alarm of their own.
pub fn wanted(layout: &Layout, experiment: &Experiment) -> u64 {
    (0..layout.measures.len())
        .filter(|&index| layout.speaks(index))
        .filter(|&index| experiment.beyond[index] == 0)
        .map(|index| {
            alarm(
                layout,
                experiment,
                index,
                &moments(layout, experiment, index),
            )
        })
        .max()
        .unwrap_or(0)
        .max(u64::from(LEAST))
}

/// The estimates of all figures.
pub fn estimates(layout: &Layout, experiment: &Experiment, confidence: f64) -> Vec<Estimate> {
    let family = wanted(layout, experiment);
    (0..layout.measures.len())
        .map(|index| one(layout, experiment, index, family, confidence))
        .collect()
}

/// Whether both ends of the intervals of what is promised or paid are claimed.
pub fn is_claimed(layout: &Layout, experiment: &Experiment, confidence: f64) -> bool {
    let family = wanted(layout, experiment);
    !(0..layout.measures.len())
        .filter(|&index| layout.speaks(index))
        .any(|index| one(layout, experiment, index, family, confidence).is_refused())
}

/// The estimate of one figure.
pub fn estimate_of(
    layout: &Layout,
    experiment: &Experiment,
    index: usize,
    confidence: f64,
) -> Estimate {
    let family = wanted(layout, experiment);
    one(layout, experiment, index, family, confidence)
}

/// The estimate of one figure for whoever decides by it: the end that is not claimed lies as far out as an unseen tail is
/// allowed to move the mean ([`Tail::bounded`]).
pub fn bounded(
    layout: &Layout,
    experiment: &Experiment,
    index: usize,
    confidence: f64,
) -> Estimate {
    let family = wanted(layout, experiment);
    let (mut told, seen, interval, tail) = parts(layout, experiment, index, family, confidence);
    if told.n >= 2 {
        let far = tail.bounded(interval, told.mean, seen.count);
        (told.low, told.high) = (far.low, far.high);
    }
    told
}

fn one(
    layout: &Layout,
    experiment: &Experiment,
    index: usize,
    family: u64,
    confidence: f64,
) -> Estimate {
    parts(layout, experiment, index, family, confidence).0
}

/// An estimate, and the moments, interval and tail it is made of.
fn parts(
    layout: &Layout,
    experiment: &Experiment,
    index: usize,
    family: u64,
    confidence: f64,
) -> (Estimate, Moments, Interval, Tail) {
    let seen = moments(layout, experiment, index);
    let figure = &experiment.figures[index];
    let interval = match layout.kind(index) {
        Kind::Mean => seen.interval(confidence),
        Kind::Share => share_interval(&seen, orders(figure), confidence),
        Kind::Point(spans, p) => {
            let ticks = experiment.pooled[spans].interval(p, confidence);
            Interval {
                low: minutes(ticks.low),
                high: minutes(ticks.high),
            }
        }
    };
    let tail = match layout.queues(index) && seen.sd > 0.0 {
        true => Tail {
            wanted: alarm(layout, experiment, index, &seen).max(family),
            // A bad month makes lead times and costs longer, and fewer orders on time.
            up: layout.kind(index) != Kind::Share && !layout.earns(index),
        },
        // Of few replications the skewness of what nothing piles up in is a matter of luck.
        false if seen.count < u64::from(LEAST) => Tail {
            wanted: 0,
            up: true,
        },
        false => Tail::of(&seen),
    };
    let (beyond, n) = match layout.kind(index) {
        // Orders that were never done lie above all others: a point that lies among them has no value.
        Kind::Point(..) if seen.mean.is_infinite() => (experiment.done, 0),
        // A point has a value where there are orders, and the mean before it knows in how many replications.
        Kind::Point(..) => {
            let mean = layout.mean_of(index);
            let filled = experiment.figures[mean].filled() as u32;
            (0, filled + experiment.beyond[mean])
        }
        _ => (experiment.beyond[index], figure.filled() as u32),
    };
    let start = Estimate {
        mean: if seen.mean.is_finite() {
            seen.mean
        } else {
            f64::NAN
        },
        n,
        beyond,
        ..Estimate::NONE
    };
    let told = start.claimed(&seen, interval, tail);
    (told, seen, interval, tail)
}

fn orders(figure: &Ratio) -> f64 {
    figure.weight() * figure.count() as f64
}
