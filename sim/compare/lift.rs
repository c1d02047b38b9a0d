//! What limits next: the cell with its bottleneck doubled.
//!
//! In: a plant and the station to double. Out: the same plant with a twin of every machine there. It is a
//! thought, not a purchase: twins ask for people, floor and money like any machine.

use crate::plant::Plant;

/// The plant with every machine of `station` there twice. The twins stand behind the machines they copy.
pub fn lifted(plant: &Plant, station: usize) -> Plant {
    let mut plant = plant.clone();
    if let Some(station) = plant.stations.get_mut(station) {
        let twins: Vec<_> = station
            .machines
            .iter()
            .map(|machine| {
                let mut twin = machine.clone();
                twin.name = format!("{} (twin)", machine.name);
                twin
            })
            .collect();
        station.machines.extend(twins);
    }
    plant
}
