//! What a comparison leaves out or mixes in: money that is not told, and orders that are others than today's.
//!
//! In: the cells that are compared, today first, at one demand. Out: [`Cautions`] for each.

use crate::plant::{Machine, Plant};
use crate::summary::money::Needs as Bought;

/// Orders of a variant that are others than today's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherOrders {
    /// Orders a week today.
    pub today: f64,
    /// Orders a week in the variant.
    pub variant: f64,
    /// The shares of products differ.
    pub products: bool,
    /// The sizes of orders differ.
    pub sizes: bool,
}

/// What goes with the figures of a variant.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cautions {
    /// What is not told about money, in words; of a variant only what goes beyond today.
    pub untold: Vec<String>,
    /// Machines that today has not and that have no price.
    pub unpriced: Vec<String>,
    /// Orders that are others than today's.
    pub orders: Option<OtherOrders>,
}

/// The cautions of all variants.
pub fn cautions(plants: &[&Plant]) -> Vec<Cautions> {
    let Some(today) = plants.first() else {
        return Vec::new();
    };
    plants
        .iter()
        .enumerate()
        .map(|(v, plant)| Cautions {
            untold: untold(v, today, plant),
            unpriced: unpriced(today, plant),
            orders: other_orders(today, plant),
        })
        .collect()
}

fn untold(variant: usize, today: &Plant, plant: &Plant) -> Vec<String> {
    let gaps = |plant: &Plant| {
        plant
            .money
            .as_ref()
            .map_or_else(Vec::new, |money| money.gaps.clone())
    };
    let known = gaps(today);
    let mut own = gaps(plant);
    own.retain(|gap| variant == 0 || !known.contains(gap));
    own
}

fn unpriced(today: &Plant, plant: &Plant) -> Vec<String> {
    let (Some(before), Some(money)) = (&today.money, &plant.money) else {
        return Vec::new();
    };
    let all: Vec<&str> = plant
        .stations
        .iter()
        .flat_map(|station| &station.machines)
        .map(|machine| machine.name.as_str())
        .collect();
    // A purchase under a name of its own can stand for any machine.
    let needs = Bought::between(Some(before), Some(money));
    let own = money.purchases.iter().any(|bought| {
        bought.capital > 0.0
            && !before.purchases.contains(bought)
            && !all.iter().any(|machine| stands_for(&bought.name, machine))
    });
    if own && needs.capital() > 0.0 {
        return Vec::new();
    }
    let priced = |name: &str| {
        let bought = money.purchases.iter();
        bought
            .filter(|bought| bought.capital > 0.0)
            .any(|bought| stands_for(&bought.name, name))
    };
    added(today, plant)
        .into_iter()
        .filter(|name| !priced(name))
        .collect()
}

/// Whether the price under a name is that of a machine: of the same name, or one of several that it stands for.
fn stands_for(priced: &str, machine: &str) -> bool {
    let number = |rest: &str| {
        rest.strip_prefix('_').is_some_and(|digits| {
            !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
        })
    };
    let rest = machine.strip_prefix(priced);
    rest.is_some_and(|rest| rest.is_empty() || number(rest))
}

/// Machines that today has not; one of today's under another name, such as one of several that is kept, is none.
fn added(today: &Plant, plant: &Plant) -> Vec<String> {
    let mut out = Vec::new();
    for station in &plant.stations {
        let before = today
            .stations
            .iter()
            .find(|other| other.name == station.name);
        let before = before.map_or(&[][..], |other| &other.machines);
        let mut gone: Vec<&Machine> = before
            .iter()
            .filter(|other| station.machines.iter().all(|mine| mine.name != other.name))
            .collect();
        for mine in &station.machines {
            if before.iter().any(|other| other.name == mine.name) {
                continue;
            }
            let same = |other: &&Machine| {
                let mut named = mine.clone();
                named.name.clone_from(&other.name);
                named.reserved.clone_from(&other.reserved);
                named == **other
            };
            match gone.iter().position(same) {
                Some(place) => drop(gone.remove(place)),
                None => out.push(mine.name.clone()),
            }
        }
    }
    out
}

fn other_orders(today: &Plant, plant: &Plant) -> Option<OtherOrders> {
    let rate = |plant: &Plant| -> f64 {
        let all = plant.arrivals.iter();
        all.map(|stream| stream.orders_per_week(&plant.calendars))
            .sum()
    };
    // Shares of products over all orders, by name.
    let shares = |plant: &Plant| -> Vec<(String, f64)> {
        let mut all: Vec<(String, f64)> = Vec::new();
        for stream in &plant.arrivals {
            for &(product, share) in stream.products.iter().filter(|(_, share)| *share > 0.0) {
                let name = &plant.products[product].name;
                let orders = share * stream.orders_per_week(&plant.calendars) / rate(plant);
                match all.iter_mut().find(|(known, _)| known == name) {
                    Some((_, sum)) => *sum += orders,
                    None => all.push((name.clone(), orders)),
                }
            }
        }
        all.sort_by(|a, b| a.0.cmp(&b.0));
        all
    };
    let sizes = |plant: &Plant| -> Vec<f64> {
        let all = plant.arrivals.iter();
        all.flat_map(|stream| [stream.quantity.mean(), stream.skus.mean()])
            .collect()
    };
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
    let (before, after) = (rate(today), rate(plant));
    let (mine, other) = (shares(plant), shares(today));
    let products = mine.len() != other.len()
        || mine
            .iter()
            .zip(&other)
            .any(|(a, b)| a.0 != b.0 || !near(a.1, b.1));
    let (a, b) = (sizes(plant), sizes(today));
    let sizes = a.len() == b.len() && a.iter().zip(&b).any(|(a, b)| !near(*a, *b));
    (products || sizes || !near(before, after)).then_some(OtherOrders {
        today: before,
        variant: after,
        products,
        sizes,
    })
}

#[cfg(test)]
mod tests {
    use super::super::starter;
    use super::*;

    #[test]
    fn the_same_cell_has_no_cautions_of_its_own() {
        let today = starter();
        let told = cautions(&[&today, &today]);
        assert_eq!(told[1], Cautions::default());
    }

    #[test]
    fn added_machines_are_told_from_renamed_ones() {
        let today = starter();
        let mut other = today.clone();
        other.stations[0].machines[0].name = "kept".to_owned();
        assert_eq!(added(&today, &other), Vec::<String>::new());
        let twin = today.stations[0].machines[0].clone();
        other.stations[0].machines.push(twin);
        assert_eq!(added(&today, &other), ["kept"]);
    }

    #[test]
    fn a_price_stands_for_its_machine_and_for_each_of_several() {
        assert!(stands_for("pm", "pm") && stands_for("pm", "pm_2"));
        assert!(!stands_for("pm", "pm2") && !stands_for("pm", "pm_second"));
    }

    #[test]
    fn other_orders_are_seen() {
        let today = starter();
        let mut fewer = today.clone();
        fewer.arrivals[0].products[0].1 /= 2.0;
        let told = cautions(&[&today, &fewer]);
        assert!(told[1].orders.unwrap().products);
    }
}
