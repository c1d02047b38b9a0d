//! What never changes on a machine: settings that all the work that comes to it asks alike.
//!
//! In: the plant, and the webs and machines compiled so far. Out: such settings forgotten, so that a machine whose
//! dressing nobody has told pays no changeover for what cannot have been different.

use crate::plant::{ELEMENT_KINDS, Plant};

use super::{MachineModel, PartModel};

/// Products that some order can ask for.
pub(super) fn ordered(plant: &Plant) -> Vec<bool> {
    let mut ordered = vec![false; plant.products.len()];
    let streams = plant.arrivals.iter().flat_map(|stream| &stream.products);
    let drawn = streams.filter(|share| share.1 > 0.0).map(|share| share.0);
    let booked = plant.book.iter().flat_map(|order| &order.lines);
    for product in drawn.chain(booked.map(|line| line.product)) {
        ordered[product] = true;
    }
    ordered
}

/// Forgets, kind by kind, the setting that all ordered products ask of a machine alike, and that it starts with.
pub(super) fn forget_what_never_changes(
    ordered: &[bool],
    parts: &mut [PartModel],
    machine: &mut MachineModel,
) {
    for kind in 0..ELEMENT_KINDS {
        let mut asked = parts
            .iter()
            .filter(|part| ordered[part.product])
            .flat_map(|part| &part.steps)
            .filter(|step| step.station == machine.station)
            .map(|step| &step.jobs[machine.within])
            .filter(|job| job.able)
            .map(|job| job.dressing.setting[kind])
            .chain(machine.dressed.map(|dressing| dressing.setting[kind]));
        let Some(first) = asked.next() else { continue };
        if asked.any(|setting| setting != first) {
            continue;
        }
        // A product that nobody orders keeps what it asks besides.
        let jobs = parts
            .iter_mut()
            .flat_map(|part| &mut part.steps)
            .filter(|step| step.station == machine.station)
            .map(|step| &mut step.jobs[machine.within].dressing);
        for dressing in jobs.chain(&mut machine.dressed) {
            if dressing.setting[kind] == first {
                dressing.setting[kind] = 0;
            }
        }
    }
}
