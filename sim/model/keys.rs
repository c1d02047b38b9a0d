//! What chances are keyed by: numbers that name machines, stations, streams and pools.
//!
//! In: a model by itself, or one that is to be compared with another. Out: [`Keys`]. By itself a model
//! numbers everything by its place in the file. Compared with another, what has the same name keeps the
//! other's number, wherever it now stands, and what is new gets numbers of its own: so an added laminator
//! does not pass its neighbours' breakdowns on.

use crate::plant::Plant;

use super::Model;

/// Numbers by place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Keys {
    /// Of machines.
    pub machines: Vec<u64>,
    /// Of stations.
    pub stations: Vec<u64>,
    /// Of streams of orders.
    pub streams: Vec<u64>,
    /// Of pools of people.
    pub pools: Vec<u64>,
}

/// Names in the order of their places: machines, stations, streams, pools.
fn names(plant: &Plant) -> [Vec<&str>; 4] {
    [
        plant
            .stations
            .iter()
            .flat_map(|station| &station.machines)
            .map(|machine| machine.name.as_str())
            .collect(),
        plant.stations.iter().map(|s| s.name.as_str()).collect(),
        plant.arrivals.iter().map(|a| a.name.as_str()).collect(),
        plant.pools.iter().map(|p| p.name.as_str()).collect(),
    ]
}

impl Keys {
    /// Everything by its place.
    pub(super) fn by_place(plant: &Plant) -> Self {
        let [machines, stations, streams, pools] =
            names(plant).map(|names| (0..names.len() as u64).collect());
        Self {
            machines,
            stations,
            streams,
            pools,
        }
    }
}

/// The numbers of `names` after those of `known`: the same name has the same number, `machine_1` that of
/// `machine` where a machine was given brothers, and new names follow on.
fn after(names: &[&str], known: &[&str]) -> Vec<u64> {
    let place = |name: &str| known.iter().position(|other| *other == name);
    let mut next = known.len() as u64;
    names
        .iter()
        .map(|name| {
            let alone = name
                .strip_suffix("_1")
                .filter(|front| !names.contains(front))
                .and_then(place);
            // The other way round: one of several is left and has lost its number.
            let first = || place(&format!("{name}_1")).filter(|_| !known.contains(name));
            match place(name).or(alone).or_else(first) {
                Some(place) => place as u64,
                None => {
                    next += 1;
                    next - 1
                }
            }
        })
        .collect()
}

impl Model {
    /// Gives everything that `base` has, too, the numbers it has there. Both then meet the same chances
    /// in what they share.
    pub fn share_chances_with(&mut self, base: &Model) {
        let (mine, theirs) = (names(&self.plant), names(&base.plant));
        let [machines, stations, streams, pools] =
            std::array::from_fn(|kind| after(&mine[kind], &theirs[kind]));
        self.keys = Keys {
            machines,
            stations,
            streams,
            pools,
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_the_same_name_keeps_its_number() {
        let base = ["laminator", "slitter", "pouch_machine", "table"];
        assert_eq!(after(&base, &base), [0, 1, 2, 3]);
        // A second pouch machine, by count and by name; a laminator in front.
        let twins = [
            "laminator",
            "slitter",
            "pouch_machine_1",
            "pouch_machine_2",
            "table",
        ];
        assert_eq!(after(&twins, &base), [0, 1, 2, 4, 3]);
        assert_eq!(
            after(&["new", "slitter", "pouch_machine", "second"], &base),
            [4, 1, 2, 5]
        );
        assert_eq!(after(&base, &twins), [0, 1, 2, 4]);
    }
}
