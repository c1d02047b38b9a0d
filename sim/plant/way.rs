//! The stations that a web passes.

use super::{Plant, Product, Work};

/// Stations that web `web` of a product passes, in order; lamination appears once per pass.
///
/// A further web is laminated and slit by its own laminate's passes and ends where it joins.
pub fn way(plant: &Plant, product: &Product, web: u8) -> Vec<usize> {
    let mut route = product.route.clone();
    if web == 0 {
        return route;
    }
    let work = |station: usize| plant.stations[station].work;
    let passes = plant.laminates[product.laminate_of(web)].passes.len();
    let pouching = route.iter().position(|&s| work(s) == Work::Pouching);
    route.truncate(pouching.unwrap_or(0));
    let mut seen = 0;
    route.retain(|&s| match work(s) {
        Work::Lamination => {
            seen += 1;
            seen <= passes
        }
        Work::Press | Work::Slitting => true,
        _ => false,
    });
    let first = route.iter().position(|&s| work(s) == Work::Lamination);
    if let Some(first) = first {
        let station = route[first];
        for _ in seen..passes {
            route.insert(first, station);
        }
    }
    route
}

/// Passes that web `web` of a product makes at a station, from 0; one that says nothing at stations of other work, none
/// where it never comes to a laminator of the station.
pub fn passes_at(plant: &Plant, product: &Product, web: u8, station: usize) -> Vec<u8> {
    if plant.stations[station].work != Work::Lamination {
        return vec![0];
    }
    let laminations = way(plant, product, web)
        .into_iter()
        .filter(|&stop| plant.stations[stop].work == Work::Lamination);
    (0..)
        .zip(laminations)
        .filter(|(_, stop)| *stop == station)
        .map(|(pass, _)| pass)
        .collect()
}
