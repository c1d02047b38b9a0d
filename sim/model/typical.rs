//! The changeover that dates are worked out with.
//!
//! In: the compiled webs and machines. Out: for each step, the mean changeover to it on the machine that plans reckon
//! with, over what the streams of orders bring before it, by their shares. Nobody knows, when an order is asked for,
//! behind which one it will run.

use crate::plant::Plant;

use super::{MachineModel, PartModel, StationModel};

/// Fills [`super::StepModel::typical_change_min`] where some class has its dates worked out.
pub(super) fn typical_changes(
    plant: &Plant,
    machines: &[MachineModel],
    stations: &[StationModel],
    parts: &mut [PartModel],
) {
    if plant.classes.iter().all(|class| class.when_full.is_none()) {
        return;
    }
    let rates = plant.skus_per_week();
    for index in 0..parts.len() {
        for step in 0..parts[index].steps.len() {
            let here = &parts[index].steps[step];
            let to = &here.jobs[here.plan_job];
            let machine = &machines[stations[here.station].machines.start + here.plan_job];
            let spec = &plant.stations[here.station].machines[here.plan_job];
            // Whether it will be asked nobody knows; dates are on the safe side.
            let first_off = spec.first_off.as_ref().map_or(0.0, |f| f.time.mean());
            let spec = &spec.changeover;
            let (mut minutes, mut weight) = (0.0, 0.0);
            for part in parts.iter().filter(|part| rates[part.product] > 0.0) {
                for other in part.steps.iter().filter(|s| s.station == here.station) {
                    let from = &other.jobs[here.plan_job];
                    if from.able {
                        minutes += rates[part.product] * machine.mean_change(spec, from, to);
                        weight += rates[part.product];
                    }
                }
            }
            parts[index].steps[step].typical_change_min = match weight > 0.0 {
                true => minutes / weight + first_off,
                false => first_off,
            };
        }
    }
}
