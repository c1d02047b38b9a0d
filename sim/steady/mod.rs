//! How long to warm up, and when there are replications enough.
//!
//! In: a plant whose scenario leaves the warm-up open, or asks for a precision. Out: a warm-up chosen from
//! replications of their own; the number of replications after which a figure is known well enough. Both
//! follow from scenario and seed alone, whatever the number of threads.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::model;
use crate::observe::Layout;
use crate::plant::{Plant, Precision, WarmUp};
use crate::replicate::{self, Experiment, Growth};
use crate::summary;

/// Replications from which a warm-up is chosen.
pub const PILOTS: u32 = 20;

/// The pilots have numbers from here on, which no measured replication reaches.
const FIRST_PILOT: u32 = 4_000_000_000;

/// Fewest replications before a precision is looked at: an interval of fewer is itself a matter of luck.
pub const PRECISION_LEAST: u32 = 20;

/// Replications that are added at a time until the precision is reached.
pub const PRECISION_STEP: u32 = 20;

const DAY_MIN: f64 = 1_440.0;
const WEEK_MIN: f64 = 7.0 * DAY_MIN;

/// Chooses the warm-up where the scenario leaves it open; `false` if `stop` came first.
///
/// [`PILOTS`] replications start empty, run for the measured time unseen and for as long again seen. The warm-up is
/// the mean time from release to done, in which a cell fills, and twice the time in which its slowest queue forgets
/// where it began (heavy traffic), up to a round number of days or weeks. Where that is more than a quarter of the time
/// seen, they run twice and four times as long. It is not settled where it is more than the measured time.
pub fn settle(plant: &mut Plant, stop: &AtomicBool) -> bool {
    if plant.run.warm_up != WarmUp::Auto {
        return true;
    }
    let measured = plant.run.measure_min;
    let mut span = measured;
    let wanted = loop {
        let Some(wanted) = look(plant, span, stop) else {
            return false;
        };
        // What a run shows before the cell has come to its level is too little, and a short one shows it badly.
        if !wanted.is_finite() || wanted * SEEN <= span || span >= LONGEST * measured {
            break wanted;
        }
        span *= 2.0;
    };
    let run = &mut plant.run;
    run.warm_up_min = round_up(wanted.min(measured), measured);
    run.warm_up = WarmUp::Chosen {
        pilots: PILOTS,
        settled: wanted <= measured,
    };
    true
}

/// Minutes of warm-up that pilots ask for which run for a span unseen and for as long again seen; infinite where a
/// station is never free.
fn look(plant: &Plant, span_min: f64, stop: &AtomicBool) -> Option<f64> {
    let mut pilot = plant.clone();
    (pilot.run.warm_up_min, pilot.run.measure_min) = (span_min, span_min);
    let model = model::compile(pilot);
    let layout = Layout::new(&model);
    let outcomes: Vec<_> = (FIRST_PILOT..FIRST_PILOT + PILOTS)
        .into_par_iter()
        .map(|number| {
            (!stop.load(Ordering::Relaxed)).then(|| replicate::one(&model, &layout, number))
        })
        .collect();
    let outcomes = outcomes.into_iter().collect::<Option<Vec<_>>>()?;
    let mut seen = Experiment::new(&model, &layout, PILOTS);
    for (outcome, counts) in &outcomes {
        seen.fold(outcome, counts);
    }
    let filled = mean(&layout, &seen, "lead_done/all/mean");
    Some(filled + 2.0 * forgets(&model, &layout, &seen))
}

/// Warm-ups that fit into the time in which pilots are seen.
const SEEN: f64 = 4.0;

/// Most times the measured time that they are seen.
const LONGEST: f64 = 4.0;

/// Share of its open time below which a station counts as never free.
const NEVER_FREE: f64 = 0.002;

/// Mean of a figure; nothing where it has none.
fn mean(layout: &Layout, seen: &Experiment, key: &str) -> f64 {
    let figure = layout.find(key).and_then(|place| seen.figures.get(place));
    figure.map_or(0.0, |f| if f.count() > 0 { f.mean() } else { 0.0 })
}

/// Minutes in which the slowest queue of a cell forgets where it began.
///
/// In heavy traffic the work before a station moves as Brownian motion with a floor (Kingman 1961; Harrison, Brownian
/// Motion and Stochastic Flow Systems, 1985, from memory): with a variance s2 of the work that comes in a unit of
/// time and a share 1 - rho of it free, its mean is s2 / 2(1 - rho), and what it remembers fades with a time of
/// 2 s2 / (1 - rho)^2 - four times its mean over the free share, both of which a run shows. For M/M/1 at 95 % that is
/// 1 520 mean times of service, and 1 560 exactly. Waiting for people and for release are waiting for the station.
fn forgets(model: &model::Model, layout: &Layout, seen: &Experiment) -> f64 {
    let outside =
        mean(layout, seen, "time/all/wait_people") + mean(layout, seen, "time/all/release");
    let plant = &model.plant;
    plant
        .stations
        .iter()
        .map(|station| {
            let of = |key: &str| mean(layout, seen, &key.replace('*', &station.name));
            let waits = of("time/all/queue:*") + outside;
            let free = 1.0 - of("station/*/utilisation");
            let open = station
                .machines
                .iter()
                .map(|m| plant.calendars[m.calendar].weekly_open_min())
                .max();
            let open = open.unwrap_or(0) as f64 / WEEK_MIN;
            match waits > 0.0 {
                true if free < NEVER_FREE => f64::INFINITY,
                true => 4.0 * waits / free / open.max(1e-9),
                false => 0.0,
            }
        })
        .fold(0.0, f64::max)
}

/// Chooses one warm-up for line-ups that are compared: the longest that any of them needs. `false` if `stop`
/// came first.
pub fn settle_together(plants: &mut [Plant], stop: &AtomicBool) -> bool {
    // Side by side, so that no core waits for the last pilot of a line-up.
    let settled: Vec<bool> = plants
        .par_iter_mut()
        .with_max_len(1)
        .map(|plant| settle(plant, stop))
        .collect();
    if settled.contains(&false) {
        return false;
    }
    let longest = plants
        .iter()
        .map(|plant| plant.run.warm_up_min)
        .fold(0.0, f64::max);
    for plant in plants {
        if matches!(plant.run.warm_up, WarmUp::Chosen { .. }) {
            plant.run.warm_up_min = longest;
        }
    }
    true
}

/// Whole numbers far enough apart that the luck of the pilots seldom decides between two of them.
const ROUND: [f64; 12] = [
    1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 64.0,
];

/// Up to a round number of days, from one week on of weeks; as it is where less than two days are measured.
fn round_up(minutes: f64, measure_min: f64) -> f64 {
    if measure_min < 2.0 * DAY_MIN || minutes <= 0.0 {
        return minutes;
    }
    let unit = if minutes > WEEK_MIN {
        WEEK_MIN
    } else {
        DAY_MIN
    };
    let round = ROUND.iter().map(|n| n * unit);
    let days = if minutes > WEEK_MIN {
        f64::INFINITY
    } else {
        WEEK_MIN
    };
    let found = round
        .map(|span| span.min(days))
        .find(|&span| span >= minutes - 1e-9);
    found.unwrap_or_else(|| (minutes / unit).ceil() * unit)
}

/// Most replications that are run where a file says how many and they are too few for how skewed they are.
pub const SKEWED_MOST: u32 = 2_000;

/// Replications until no interval of what is promised or paid is left open: those that are asked for first, then
/// half as many again as there are, up to `most`. Steps do not depend on threads.
pub fn until_claimed(
    model: &model::Model,
    layout: &Layout,
    most: u32,
    stop: &AtomicBool,
    progress: &(dyn Fn(u32) + Sync),
) -> Experiment {
    let confidence = model.plant.run.confidence;
    let mut experiment = Experiment::new(model, layout, model.plant.run.replications.min(most));
    loop {
        replicate::more(model, layout, &mut experiment, stop, progress);
        let done = experiment.done;
        // One replication was asked for to look at it, not for its intervals.
        if done < experiment.asked
            || done >= most
            || done < 2
            || summary::is_claimed(layout, &experiment, confidence)
        {
            return experiment;
        }
        experiment.asked = Growth::Half.after(done, most);
    }
}

/// Half the width of the interval of the figure that must be precise, relative to its value; infinite where it
/// is not known, or no interval is claimed.
pub fn relative_half_width(
    layout: &Layout,
    experiment: &Experiment,
    precision: &Precision,
    confidence: f64,
) -> f64 {
    let Some(place) = layout.find(precision.key) else {
        return f64::INFINITY;
    };
    let figure = summary::estimate_of(layout, experiment, place, confidence);
    match figure.is_known() {
        true => figure.relative_half_width(),
        false => f64::INFINITY,
    }
}

/// Whether the figure is known as well as asked. The half-width is held to p / (1 + p) of the mean seen, so
/// that the promise is about the true one (Law, Simulation Modeling and Analysis, 9.4.1).
pub fn precise(
    layout: &Layout,
    experiment: &Experiment,
    precision: &Precision,
    confidence: f64,
) -> bool {
    let allowed = precision.within / (1.0 + precision.within);
    relative_half_width(layout, experiment, precision, confidence) <= allowed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn warm_ups_are_round_numbers_of_days_and_weeks() {
        let long = 26.0 * WEEK_MIN;
        for (minutes, wanted) in [
            (0.0, 0.0),
            (1.0, DAY_MIN),
            (DAY_MIN, DAY_MIN),
            (4.5 * DAY_MIN, 6.0 * DAY_MIN),
            (6.5 * DAY_MIN, WEEK_MIN),
            (8.0 * DAY_MIN, 2.0 * WEEK_MIN),
            (WEEK_MIN, WEEK_MIN),
            (4.1 * WEEK_MIN, 6.0 * WEEK_MIN),
            (70.0 * WEEK_MIN, 70.0 * WEEK_MIN),
        ] {
            assert_eq!(round_up(minutes, long), wanted, "{minutes}");
        }
        assert_eq!(round_up(17.0, 1_000.0), 17.0);
    }
}
