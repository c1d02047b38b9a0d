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
    let passes = usize::from(plant.laminates[product.laminate_of(web)].passes);
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
