//! Machines that could wait for each other for ever: circles of room that each is waiting for at the next.
//!
//! In: a plant. Out: a circle, where one is possible. A lot holds a machine, a place before a station or a place in a
//! room until the next of these is free (docs/concepts/mechanism.md). Draw an arrow from what is held to what is waited
//! for, wherever room is limited: with no circle of arrows, the last of every chain empties by itself, and a deadlock is
//! impossible by construction (Coffman, Elphick and Shoshani 1971: circular wait is necessary). What goes on to the same
//! station or to one before it waits on the floor and frees its machine: no arrow. People are given back before a
//! machine hands on, and a crew is taken whole or not at all: they are in no circle.

use std::collections::{BTreeMap, BTreeSet};

use super::way::way;
use super::{FreeAt, Plant, Work};

/// What a lot holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Held {
    /// A machine of a station.
    Machine(usize),
    /// A place before a station.
    Before(usize),
    /// A place in a room.
    Room(usize),
}

type Arrows = BTreeMap<Held, BTreeSet<Held>>;

/// A circle of what each is left only when there is room at the next, if one is possible.
pub fn circle(plant: &Plant) -> Option<Vec<Held>> {
    find(&arrows(plant))
}

/// Where a lot waits for what while it holds what.
fn arrows(plant: &Plant) -> Arrows {
    let mut arrows = Arrows::new();
    for product in &plant.products {
        let further = product.made_here().map(|(web, _)| web);
        for web in std::iter::once(0).chain(further) {
            let way = way(plant, product, web);
            let laminate = product.laminate_of(web);
            let mut passes = 0;
            for (at, &from) in way.iter().enumerate() {
                for &to in following(plant, &way[at + 1..]) {
                    machine_to_place(plant, &mut arrows, from, to);
                }
                if plant.stations[from].work == Work::Lamination {
                    passes += 1;
                    let rooms = Rooms::of(plant, laminate, passes);
                    rooms.arrows(plant, &mut arrows, from, &way[at + 1..]);
                }
            }
        }
    }
    arrows
}

/// Where a lot can go next: to the next station, or past a slitter that its rolls were slit before.
fn following<'a>(plant: &Plant, rest: &'a [usize]) -> &'a [usize] {
    let skips = rest
        .first()
        .is_some_and(|&s| plant.stations[s].work == Work::Slitting);
    &rest[..rest.len().min(1 + usize::from(skips))]
}

fn add(arrows: &mut Arrows, from: Held, to: Held) {
    arrows.entry(from).or_default().insert(to);
}

fn is_limited(plant: &Plant, station: usize) -> bool {
    plant.stations[station].staging.is_some()
}

/// A machine that is done keeps its lot where the places before a later station are taken.
fn machine_to_place(plant: &Plant, arrows: &mut Arrows, from: usize, to: usize) {
    if is_limited(plant, to) {
        add(arrows, Held::Before(to), Held::Machine(to));
        if to > from {
            add(arrows, Held::Machine(from), Held::Before(to));
        }
    }
}

/// Rooms in which rolls of a laminate cure.
#[derive(Default)]
struct Rooms {
    /// Where a roll must find a place before it leaves its laminator: that of whichever pass holds it longest.
    racks: Vec<usize>,
    /// All that are limited.
    all: Vec<usize>,
}

impl Rooms {
    /// After so many passes.
    fn of(plant: &Plant, laminate: usize, passes: usize) -> Self {
        let mut rooms = Self::default();
        let made = plant.laminates.get(laminate).into_iter();
        for pass in made.flat_map(|laminate| laminate.passes.iter().take(passes)) {
            let Some(adhesive) = plant.adhesives.get(pass.adhesive) else {
                continue;
            };
            let limited = |&room: &usize| plant.rooms[room].places.is_some();
            let racks = adhesive.racks.filter(limited);
            let hot = adhesive.hot.as_ref().map(|hot| hot.room).filter(limited);
            rooms.racks.extend(racks);
            rooms.all.extend(racks.into_iter().chain(hot));
        }
        rooms
    }

    /// From the laminator to the racks, and from the rooms to wherever a roll in them can go.
    fn arrows(&self, plant: &Plant, arrows: &mut Arrows, from: usize, rest: &[usize]) {
        for &racks in &self.racks {
            add(arrows, Held::Machine(from), Held::Room(racks));
        }
        for &room in &self.all {
            for &to in rest {
                if plant.rooms[room].free_at == FreeAt::TakenOut {
                    add(arrows, Held::Room(room), Held::Machine(to));
                }
                if is_limited(plant, to) {
                    add(arrows, Held::Room(room), Held::Before(to));
                    add(arrows, Held::Before(to), Held::Machine(to));
                }
            }
        }
    }
}

/// A circle of arrows, if there is one.
fn find(arrows: &Arrows) -> Option<Vec<Held>> {
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
