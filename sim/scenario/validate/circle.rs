//! Warns of machines that could wait for each other for ever.
//!
//! In: a plant. Out: a warning that names the circle, where one is possible ([`crate::plant::circle`]).

use crate::plant::Plant;
use crate::plant::circle::{Held, circle};

use super::super::problem::Problem;
use super::{At, Checker};

/// Warns about a circle, where there is one.
pub(super) fn circles(check: &mut Checker, plant: &Plant) {
    let Some(circle) = circle(plant) else {
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
        Held::Room(room) => Some(
            At::block("rooms")
                .key(&plant.rooms.get(room)?.name)
                .key("places"),
        ),
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
        .help("take one of the limits out, or clear the places when the hold is over: `free_at: hold_end`"),
    );
}

#[cfg(test)]
mod tests {
    fn said(text: &str) -> String {
        match crate::scenario::read("circle.yaml", text.as_bytes()) {
            Ok(loaded) => loaded.warnings.render(false, 200),
            Err(report) => panic!("{}", report.render(false, 200)),
        }
    }

    /// Two benches that two products pass in opposite orders.
    fn benches(staging: [&str; 2]) -> String {
        said(&format!(
            "format: 2\nname: circle\nrun: {{ seed: 1, warm_up: 0 min, measure: 2 weeks, run_out: 0 min }}\n\
             products: {{ a: {{ route: [s, t] }}, b: {{ route: [t, s] }} }}\nstations:\n  \
             s: {{ work: bench, time: 1 min{}, machines: {{ m: {{}} }} }}\n  \
             t: {{ work: bench, time: 1 min{}, machines: {{ n: {{}} }} }}\n\
             orders: [{{ name: x, every: 1 h, products: {{ a: 50 %, b: 50 % }} }}]\n",
            staging[0], staging[1]
        ))
    }

    /// What goes back to an earlier station waits on the floor.
    #[test]
    fn ways_against_each_other_are_no_circle() {
        for staging in [
            ["", ""],
            [", staging: 1", ""],
            [", staging: 1", ", staging: 1"],
        ] {
            assert_eq!(benches(staging), "", "{staging:?}");
        }
    }

    /// The starter's cell with limited racks; `passes` of the laminate, keys of the racks.
    fn racks(passes: u8, keys: &str) -> String {
        let films = ["a, b", "a, b, c"][usize::from(passes) - 1];
        said(&format!(
            "format: 2\nname: racks\nrun: {{ seed: 1, warm_up: 0 min, measure: 2 weeks, run_out: 0 min }}\n\
             rooms: {{ rack: {{ {keys} }} }}\n\
             adhesives:\n  glue: {{ process: solventless, racks: rack, second_pass_after: 24 h, slit_after: 24 h, \
             pouch_after: 48 h, ship_after: 72 h, data_sheet: {{ slit_after: 24 h, \
             pouch_after: 48 h, ship_after: 72 h }} }}\n\
             films: {{ a: {{ caliper: 20 um, density: 0.9 g/cm3 }}, b: {{ caliper: 12 um, density: 1.4 g/cm3 }}, \
             c: {{ caliper: 50 um, density: 0.9 g/cm3 }} }}\n\
             laminates: {{ film: {{ films: [{films}], adhesive: glue, passes: {passes} }} }}\n\
             products: {{ p: {{ format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 640 mm }} }}\n\
             stations:\n  \
             lam: {{ work: lamination, machines: {{ lam: {{ processes: {{ solventless: 10 m/min }} }} }} }}\n  \
             slit: {{ work: slitting, machines: {{ slit: {{ speed: 10 m/min }} }} }}\n  \
             pouch: {{ work: pouching, machines: {{ pouch: {{ speeds: {{ three_side: 100 /min }} }} }} }}\n\
             orders: [{{ name: x, every: 8 h, products: {{ p: 100 % }}, quantity: 2000 }}]\n"
        ))
    }

    #[test]
    fn racks_of_rolls_that_come_back_to_their_laminator_are_a_circle() {
        let told = racks(2, "places: 1");
        assert!(told.contains("wait for each other in a circle"), "{told}");
        assert!(
            told.contains("the machines of `lam`") && told.contains("the places of `rack`"),
            "{told}"
        );
    }

    #[test]
    fn one_pass_or_places_without_limit_or_cleared_are_none() {
        for (passes, keys) in [
            (1, "places: 1"),
            (2, ""),
            (2, "places: 1, free_at: hold_end"),
        ] {
            assert_eq!(racks(passes, keys), "", "{passes} {keys}");
        }
    }
}
