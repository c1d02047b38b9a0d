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
use crate::replicate::{self, Experiment};
use crate::stats::{average_across, mser5};
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
/// The orders in the cell and the lots in cure, from an empty cell on, are averaged over [`PILOTS`]
/// replications; MSER-5 says for each how much of its start to leave out (White, Cobb and Spratt 2000). The
/// longer of the two counts, up to whole days, and to whole weeks from one week on, because a cell that lives
/// by the week has a level for each of its days.
pub fn settle(plant: &mut Plant, stop: &AtomicBool) -> bool {
    if plant.run.warm_up != WarmUp::Auto {
        return true;
    }
    let mut pilot = plant.clone();
    pilot.run.warm_up_min = 0.0;
    pilot.run.run_out_min = 0.0;
    let model = model::compile(pilot);
    let layout = Layout::new(&model);
    let levels: Vec<Option<Vec<f32>>> = (FIRST_PILOT..FIRST_PILOT + PILOTS)
        .into_par_iter()
        .map(|number| {
            (!stop.load(Ordering::Relaxed))
                .then(|| replicate::one(&model, &layout, number).0.levels)
        })
        .collect();
    let Some(levels) = levels.into_iter().collect::<Option<Vec<_>>>() else {
        return false;
    };
    let every_min = crate::units::minutes_from_ticks(model.sample_every);
    let width = 2 + model.stations.len();
    let (mut looks, mut settled) = (0, true);
    for level in 0..2 {
        let series: Vec<Vec<f64>> = levels
            .iter()
            .map(|rows| {
                rows.chunks_exact(width)
                    .map(|row| f64::from(row[level]))
                    .collect()
            })
            .collect();
        if let Some(found) = mser5(&average_across(&series)) {
            looks = looks.max(found.deleted);
            settled &= found.settled;
        }
    }
    let run = &mut plant.run;
    run.warm_up_min = whole(looks as f64 * every_min, run.measure_min);
    run.warm_up = WarmUp::Chosen {
        pilots: PILOTS,
        settled,
    };
    true
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

/// Up to whole days, from one week on to whole weeks; as it is where less than two days are measured.
fn whole(minutes: f64, measure_min: f64) -> f64 {
    let unit = if measure_min < 2.0 * DAY_MIN {
        return minutes;
    } else if minutes > WEEK_MIN {
        WEEK_MIN
    } else {
        DAY_MIN
    };
    (minutes / unit - 1e-9).ceil() * unit
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
        experiment.asked = done.saturating_add(done.div_ceil(2)).min(most);
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
    fn warm_ups_are_whole_days_and_weeks() {
        let long = 26.0 * WEEK_MIN;
        for (minutes, wanted) in [
            (0.0, 0.0),
            (1.0, DAY_MIN),
            (DAY_MIN, DAY_MIN),
            (6.5 * DAY_MIN, WEEK_MIN),
            (8.0 * DAY_MIN, 2.0 * WEEK_MIN),
            (WEEK_MIN, WEEK_MIN),
        ] {
            assert_eq!(whole(minutes, long), wanted, "{minutes}");
        }
        assert_eq!(whole(17.0, 1_000.0), 17.0);
    }
}
