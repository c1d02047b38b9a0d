//! Machines that could wait for each other for ever: circles of room that each is waiting for at the next.
//!
//! In: a plant. Out: a warning that names the circle, where one is possible. A lot holds a machine, a place before a
//! station or a place in a room until the next of these is free (mechanism.md). Draw an arrow from what is held to what
//! is waited for, wherever room is limited: with no circle of arrows, the last of every chain empties by itself, and a
//! deadlock is impossible by construction (Coffman, Elphick and Shoshani 1971: circular wait is necessary). Work that is
//! sent back frees its machine first, and is no arrow.

use std::collections::{BTreeMap, BTreeSet};

use crate::plant::{Plant, Work};

use super::super::problem::Problem;
use super::{At, Checker};

/// What a lot holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Held {
    /// A machine of a station.
    Machine(usize),
    /// A place before a station.
    Before(usize),
    /// A place in a room.
    Room(usize),
}

type Arrows = BTreeMap<Held, BTreeSet<Held>>;

/// Warns about each product's way into a circle, once for each circle.
pub(super) fn circles(check: &mut Checker, plant: &Plant) {
    let Some(circle) = circle(&arrows(plant)) else {
        return;
    };
    let name = |held: &Held| match *held {
        Held::Machine(station) => plant
            .stations
            .get(station)
            .map(|station| format!("the machines of `{}`", station.name)),
        Held::Before(station) => plant
            .stations
            .get(station)
            .map(|station| format!("the places before `{}`", station.name)),
        Held::Room(room) => plant
            .rooms
            .get(room)
            .map(|room| format!("the places of `{}`", room.name)),
    };
    let names: Vec<String> = circle.iter().filter_map(name).collect();
    let at = circle.iter().find_map(|held| match *held {
        Held::Before(station) => {
            let station = plant.stations.get(station)?;
            Some(At::block("stations").key(&station.name).key("staging"))
        }
        Held::Room(room) => Some(At::block("rooms").key(&plant.rooms.get(room)?.name)),
        Held::Machine(_) => None,
    });
    let Some(at) = at else {
        return;
    };
    check.push(
        Problem::warning(
            at.value(),
            format!(
                "work can stand still for ever: when all are full, {} wait for each other in a circle",
                names.join(", ")
            ),
        )
        .note("each is left only when the next one has room, and the last waits for the first")
        .help("take one of the limits out, or let every product pass these stations in the same order"),
    );
}

/// Where a lot waits for what while it holds what.
fn arrows(plant: &Plant) -> Arrows {
    let mut arrows = Arrows::new();
    let mut add = |from: Held, to: Held| {
        arrows.entry(from).or_default().insert(to);
    };
    for product in &plant.products {
        for pair in product.route.windows(2) {
            let &[from, to] = pair else {
                continue;
            };
            let limited = |station: usize| {
                let station = plant.stations.get(station);
                station.is_some_and(|station| station.staging.is_some())
            };
            if limited(to) {
                add(Held::Before(to), Held::Machine(to));
                add(Held::Machine(from), Held::Before(to));
            }
            let bonds =
                plant.stations.get(from).map(|station| station.work) == Some(Work::Lamination);
            if !bonds {
                continue;
            }
            for room in rooms(plant, product.laminate) {
                add(Held::Machine(from), Held::Room(room));
                // Without a limit before the next station the lot waits there, and not in the room.
                if limited(to) {
                    add(Held::Room(room), Held::Before(to));
                }
            }
        }
    }
    arrows
}

/// Limited rooms in which a laminate is held.
fn rooms(plant: &Plant, laminate: usize) -> Vec<usize> {
    let adhesive = plant
        .laminates
        .get(laminate)
        .map(|laminate| laminate.adhesive);
    let adhesive = adhesive.and_then(|adhesive| plant.adhesives.get(adhesive));
    let rooms = adhesive.map(|a| [a.racks, a.hot.as_ref().map(|hot| hot.room)]);
    let rooms = rooms.into_iter().flatten().flatten();
    rooms
        .filter(|&room| {
            plant
                .rooms
                .get(room)
                .is_some_and(|room| room.places.is_some())
        })
        .collect()
}

/// A circle of arrows, if there is one.
fn circle(arrows: &Arrows) -> Option<Vec<Held>> {
    let mut done: BTreeSet<Held> = BTreeSet::new();
    for &start in arrows.keys() {
        // The way from the start, and at each step what is left to look at.
        let mut way: Vec<Held> = Vec::new();
        let mut left: Vec<Vec<Held>> = vec![vec![start]];
        while let Some(next) = left.last_mut() {
            let Some(held) = next.pop() else {
                left.pop();
                done.extend(way.pop());
                continue;
            };
            if let Some(at) = way.iter().position(|&seen| seen == held) {
                return Some(way.split_off(at));
            }
            if done.contains(&held) {
                continue;
            }
            way.push(held);
            let further = arrows.get(&held).into_iter().flatten().copied();
            left.push(further.collect());
        }
    }
    None
}

#[cfg(test)]
mod tests {
    fn said(routes: [&str; 2], staging: [&str; 2]) -> String {
        let text = format!(
            "format: 1\nname: circle\nrun: {{ seed: 1, warm_up: 0 min, measure: 2 weeks, run_out: 0 min }}\n\
             products: {{ a: {{ route: [{}] }}, b: {{ route: [{}] }} }}\nstations:\n  \
             s: {{ work: bench, time: 1 min{}, machines: {{ m: {{}} }} }}\n  \
             t: {{ work: bench, time: 1 min{}, machines: {{ n: {{}} }} }}\n\
             orders: [{{ name: x, every: 1 h, products: {{ a: 50 %, b: 50 % }} }}]\n",
            routes[0], routes[1], staging[0], staging[1]
        );
        match crate::scenario::read("circle.yaml", text.as_bytes()) {
            Ok(loaded) => loaded.warnings.render(false, 200),
            Err(report) => panic!("{}", report.render(false, 200)),
        }
    }

    const ONE: &str = ", staging: 1";

    #[test]
    fn ways_against_each_other_with_room_for_one_are_a_circle() {
        let told = said(["s, t", "t, s"], [ONE, ONE]);
        assert!(told.contains("wait for each other in a circle"), "{told}");
        assert!(
            told.contains("the machines of `s`") && told.contains("the places before `t`"),
            "{told}"
        );
    }

    #[test]
    fn one_way_or_room_without_limit_is_none() {
        for (routes, staging) in [
            (["s, t", "s, t"], [ONE, ONE]),
            (["s, t", "t, s"], ["", ONE]),
            (["s, t", "t, s"], ["", ""]),
        ] {
            assert_eq!(said(routes, staging), "", "{routes:?} {staging:?}");
        }
    }
}
