//! What chances are keyed by: numbers made of the names of machines, stations, streams and pools.
//!
//! In: a plant. Out: [`Keys`]. A name says which luck a thing meets, not its place in the file: an added laminator
//! does not pass its neighbours' breakdowns on, and two cells compared meet the same chances in all that both have.

use sha2::{Digest, Sha256};

use crate::plant::{Plant, Supply, Used};

/// Numbers by name, at the place of each.
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
    /// Of what each product waits for, at its place in that; 0 for its kit.
    pub supplies: Vec<Vec<u64>>,
}

impl Keys {
    /// Those of a plant.
    pub(super) fn of(plant: &Plant) -> Self {
        let machines = plant.stations.iter().flat_map(|station| {
            let names: Vec<&str> = station.machines.iter().map(|m| m.name.as_str()).collect();
            numbers(&["machine", &station.name], &names)
        });
        let stations: Vec<&str> = plant.stations.iter().map(|s| s.name.as_str()).collect();
        let streams: Vec<&str> = plant.arrivals.iter().map(|a| a.name.as_str()).collect();
        let pools: Vec<&str> = plant.pools.iter().map(|p| p.name.as_str()).collect();
        let supplies = plant.products.iter().map(|product| {
            let of = |supply: &Supply| match supply.used {
                Used::Pouching => 0,
                Used::At(_) => number(&["supply"], &supply.name),
            };
            product.supplies.iter().map(of).collect()
        });
        Self {
            supplies: supplies.collect(),
            machines: machines.collect(),
            stations: numbers(&["station"], &stations),
            streams: numbers(&["stream"], &streams),
            pools: numbers(&["people"], &pools),
        }
    }
}

/// The numbers of names of one kind in one place. `machine_1` has that of `machine` where there is no `machine`: it is
/// the same one before and after it was given brothers.
fn numbers(kind: &[&str], names: &[&str]) -> Vec<u64> {
    names
        .iter()
        .map(|name| {
            let alone = name
                .strip_suffix("_1")
                .filter(|front| !names.contains(front));
            number(kind, alone.unwrap_or(name))
        })
        .collect()
}

/// The first 64 bits of a hash of the words.
fn number(kind: &[&str], name: &str) -> u64 {
    let mut hash = Sha256::new();
    for word in kind.iter().chain([&name]) {
        hash.update(word.as_bytes());
        // No name has this in it, so words cannot run into one another.
        hash.update([0]);
    }
    let digest = hash.finalize();
    digest
        .iter()
        .take(8)
        .fold(0, |number, &byte| number << 8 | u64::from(byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_the_same_name_has_the_same_number() {
        let of = |names: &[&str]| numbers(&["machine", "pouching"], names);
        let base = of(&["laminator", "slitter", "pouch_machine"]);
        // Elsewhere in the file, and with neighbours.
        let moved = of(&["slitter", "new", "pouch_machine", "laminator"]);
        assert_eq!([base[1], base[2], base[0]], [moved[0], moved[2], moved[3]]);
        assert!(!base.contains(&moved[1]));
        // Two of what was one: the first is the old one.
        let twins = of(&["pouch_machine_1", "pouch_machine_2"]);
        assert_eq!(twins[0], base[2]);
        assert!(!base.contains(&twins[1]));
        // Where both names stand they are two machines.
        let both = of(&["pouch_machine", "pouch_machine_1"]);
        assert_eq!(both[0], base[2]);
        assert_ne!(both[1], both[0]);
        // Two stations may have machines of one name.
        assert_ne!(numbers(&["machine", "packing"], &["slitter"])[0], base[1]);
    }

    /// The first words of SHA-256 of "abc" are published (FIPS 180-4, example 1): ba7816bf 8f01cfea.
    #[test]
    fn a_number_is_the_beginning_of_the_hash() {
        let digest = Sha256::digest(b"abc");
        assert_eq!(
            digest[..8],
            [0xba, 0x78, 0x16, 0xbf, 0x8f, 0x01, 0xcf, 0xea]
        );
        let first = Sha256::digest(b"people\0packers\0");
        let told = u64::from_be_bytes(first[..8].try_into().unwrap());
        assert_eq!(number(&["people"], "packers"), told);
    }
}
