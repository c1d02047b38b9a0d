//! Who and what is there at one time: crews that can never be complete, calendars that never open.
//!
//! In: the plant, with the opening times of its calendars over the run. Out: problems. Shifts that never overlap do
//! not add up to a crew, however many people they hold together.

use crate::plant::{Plant, RunPlan};

use super::super::file::{Named, ScenarioFile};
use super::super::problem::Problem;
use super::{At, Checker};

/// Open intervals, minutes from the start of the clock.
type Open = Vec<(i64, i64)>;

/// Whole minutes from the start of the clock to the end of the run.
pub(super) fn length_min(run: &RunPlan) -> i64 {
    // Bounded by the checks of its parts, so the cast is exact enough; at least a day after an error.
    ((run.warm_up_min + run.measure_min + run.run_out_min).ceil() as i64).max(1440)
}

/// Complains about crews that are never complete while their machine is open.
pub(super) fn crews(check: &mut Checker, file: &ScenarioFile, plant: &Plant) {
    let length = length_min(&plant.run);
    let open: Vec<Open> = plant
        .calendars
        .iter()
        .map(|calendar| calendar.intervals(plant.run.start_day, length))
        .collect();
    let cell = Cell {
        plant,
        open,
        length,
    };
    for (station, written) in &file.stations {
        let Some(built) = plant.stations.iter().find(|s| s.name == *station) else {
            continue;
        };
        for (name, machine) in written.view().machines {
            let first = format!("{name}_1");
            let of = |m: &&crate::plant::Machine| m.name == *name || m.name == first;
            let Some(built) = built.machines.iter().find(of) else {
                continue;
            };
            let at = At::block("stations").key(station).key("machines").key(name);
            let hours = Some((name, cell.hours(built.calendar)));
            let crew = at.key("crew");
            cell.complete(
                check,
                &crew.key("changeover"),
                &machine.crew.changeover,
                hours,
            );
            cell.complete(check, &crew.key("run"), &machine.crew.run, hours);
            if let Some(first_off) = machine.first_off {
                // The run crew is on the machine while somebody looks.
                let mut all = machine.crew.run.clone();
                for (pool, count) in &first_off.crew {
                    *all.entry(pool.clone()).or_default() += count;
                }
                let at = at.key("first_off").key("crew");
                cell.complete(check, &at, &all, hours);
            }
            for (index, breakdown) in machine.breakdowns.iter().enumerate() {
                let at = at.key("breakdowns").item(index).key("crew");
                cell.complete(check, &at, &breakdown.crew, None);
            }
        }
    }
}

/// Name, people needed, and shifts of a pool.
type Need<'a> = (&'a String, f64, &'a [(usize, u32)]);

/// The plant and its opening times.
struct Cell<'a> {
    plant: &'a Plant,
    open: Vec<Open>,
    length: i64,
}

impl Cell<'_> {
    fn hours(&self, calendar: usize) -> &[(i64, i64)] {
        self.open.get(calendar).map_or(&[], Vec::as_slice)
    }

    /// Complains about one crew: an error where it is never complete, a warning where it is not while its machine
    /// (name and opening times) is open.
    fn complete(
        &self,
        check: &mut Checker,
        at: &At,
        crew: &Named<f64>,
        machine: Option<(&str, &[(i64, i64)])>,
    ) {
        let mut needs: Vec<Need> = Vec::new();
        for (name, &needed) in crew {
            let Some(pool) = self.plant.pools.iter().find(|pool| pool.name == *name) else {
                return;
            };
            let all: u32 = pool.shifts.iter().fold(0, |sum, s| sum.saturating_add(s.1));
            // More than the whole pool is said where the crew is read, a shift that never opens with its calendar.
            let shut = |shift: &(usize, u32)| self.hours(shift.0).is_empty();
            if needed > f64::from(all) || pool.shifts.iter().any(shut) {
                return;
            }
            needs.push((name, needed, &pool.shifts));
        }
        if needs.is_empty() || self.lacking(check, at, &needs, &[(0, self.length)], None) {
            return;
        }
        if let Some((name, hours)) = machine.filter(|(_, hours)| !hours.is_empty()) {
            self.lacking(check, at, &needs, hours, Some(name));
        }
    }

    /// Complains where the crew is never there within `hours`; whether it did.
    fn lacking(
        &self,
        check: &mut Checker,
        at: &At,
        needs: &[Need],
        hours: &[(i64, i64)],
        machine: Option<&str>,
    ) -> bool {
        let (most, together) = self.there(needs, hours);
        let whose = machine.map_or_else(String::new, |name| format!(" while `{name}` is open"));
        let problem = |place, message: String| match machine {
            None => Problem::error(place, message),
            Some(_) => Problem::warning(place, message).note("the machine never runs so"),
        };
        let mut said = false;
        for ((name, needed, _), &most) in needs.iter().zip(&most) {
            if *needed > most as f64 {
                said = true;
                let message = format!(
                    "the machine needs {needed} of the pool `{name}`, of which never more than {most} are there at one \
                     time{whose}"
                );
                check.push(
                    problem(at.key(name).value(), message)
                        .expected(format!("at most {most}"))
                        .help("shifts add up only where they overlap: more people in one shift, or other hours")
                        .see(
                            At::block("people").key(name).key("shifts").name(),
                            "the people there are",
                        ),
                );
            }
        }
        if !together && !said {
            said = true;
            let names: Vec<String> = needs.iter().map(|need| format!("`{}`", need.0)).collect();
            let message = format!(
                "this crew is never complete: {} are never there together{whose}",
                names.join(" and ")
            );
            check.push(problem(at.name(), message).expected("pools with shifts at the same time"));
        }
        said
    }

    /// Most people of each pool at one time within `hours`, and whether the crew is ever complete in them.
    fn there(&self, needs: &[Need], hours: &[(i64, i64)]) -> (Vec<i64>, bool) {
        // Openings and closings; the first part is the hours, then the pools.
        let mut moments: Vec<(i64, usize, i64)> = Vec::new();
        moments.extend(
            hours
                .iter()
                .flat_map(|&(from, to)| [(from, 0, 1), (to, 0, -1)]),
        );
        for (part, (_, _, shifts)) in (1..).zip(needs) {
            for &(calendar, people) in shifts.iter() {
                let people = i64::from(people);
                let shift = self.hours(calendar).iter();
                moments.extend(shift.flat_map(|&(a, b)| [(a, part, people), (b, part, -people)]));
            }
        }
        moments.sort_unstable();
        let mut there = vec![0i64; needs.len() + 1];
        let mut most = vec![0i64; needs.len()];
        let mut together = false;
        for (index, &(time, part, change)) in moments.iter().enumerate() {
            there[part] += change;
            let last = moments.get(index + 1).is_none_or(|next| next.0 > time);
            if !last || there[0] <= 0 {
                continue;
            }
            for (most, there) in most.iter_mut().zip(&there[1..]) {
                *most = (*most).max(*there);
            }
            let enough = |(need, there): (&Need, &i64)| need.1 <= *there as f64;
            together |= needs.iter().zip(&there[1..]).all(enough);
        }
        (most, together)
    }
}
