//! How people spend their time: hours of a pool in its shifts, and at machines by what these do.
//!
//! In: a [`Context`]. Out: [`rows`] for other programs and a [`Table`], from the same numbers.
//!
//! A crew belongs to a phase of a machine and is held while it lasts, so hours at machines are the machine's hours
//! in a state times its crew there. Repairs are not told: a machine that waits for its fitter is down, too.

use crate::record::State;
use crate::units::{Tick, minutes_from_ticks, percent};

use super::context::Context;
use super::figure::{Figure, Form, pointer};
use super::table::{Table, share};
use super::words::clean;

/// Columns in hours: key, head.
const HOURS: [(&str, &str); 5] = [
    ("in_shifts", "in shifts h"),
    ("running", "running"),
    ("changing", "changing"),
    ("stops", "reels, stops"),
    ("else", "else"),
];

/// A pool of people, hours a week.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Name as the scenario has it.
    pub name: String,
    /// In the order of [`keys`].
    pub hours: [f64; 5],
    /// Share of the hours in shifts that is spent at machines; overtime can bring it above one.
    pub at_machines: f64,
}

/// Keys of the hours of a row.
pub fn keys() -> impl Iterator<Item = &'static str> {
    HOURS.iter().map(|h| h.0)
}

/// All pools that have shifts.
pub fn rows(c: &Context<'_>) -> Vec<Row> {
    let model = c.model;
    let weeks = minutes_from_ticks(model.measured_end - model.warm_up) / 10_080.0;
    let within = |&(from, to): &(Tick, Tick)| -> f64 {
        minutes_from_ticks((to.min(model.measured_end) - from.max(model.warm_up)).max(0)) / 60.0
    };
    let machines = || model.plant.stations.iter().flat_map(|s| &s.machines);
    let pools = model.plant.pools.iter().enumerate();
    pools
        .map(|(p, pool)| {
            let hours = |&(calendar, people): &(usize, u32)| {
                let open: f64 = model.calendars[calendar].iter().map(within).sum();
                f64::from(people) * open
            };
            let present = pool.shifts.iter().map(hours).sum::<f64>() / weeks;
            let people = |crew: &[(usize, u32)]| -> f64 {
                let of_pool = crew.iter().filter(|need| need.0 == p);
                of_pool.map(|need| f64::from(need.1) / 1000.0).sum()
            };
            // Who runs a machine that is short of somebody.
            let short = || -> f64 {
                machines()
                    .enumerate()
                    .filter_map(|(m, machine)| Some((m, machine.crew.short.as_ref()?)))
                    .map(|(m, few)| {
                        people(&few.people) * share(c, m, &[State::RunningShort]) * 168.0
                    })
                    .sum::<f64>()
                    .max(0.0)
            };
            let at = |states: &[State], changing: bool| -> f64 {
                machines()
                    .enumerate()
                    .map(|(m, machine)| {
                        let crew = match changing {
                            true => people(&machine.crew.changeover),
                            false => people(&machine.crew.run),
                        };
                        crew * share(c, m, states) * 168.0
                    })
                    .sum::<f64>()
                    // The sum of nothing is minus nothing.
                    .max(0.0)
            };
            let running = at(&[State::Running], false) + short();
            let changing = at(&[State::Changeover], true);
            let stops = at(
                &[State::PlannedStop, State::MicroStop, State::FirstOff],
                false,
            );
            let busy = running + changing + stops;
            Row {
                name: pool.name.clone(),
                hours: [present, running, changing, stops, (present - busy).max(0.0)],
                at_machines: busy / present,
            }
        })
        .filter(|row| row.hours[0] > 0.0)
        .collect()
}

/// The table; without rows where nobody is told of.
pub fn table(c: &Context<'_>) -> Table {
    let rows = rows(c)
        .into_iter()
        .map(|row| {
            let at = |key: &str| pointer(&["crew_hours", &row.name, key]);
            let mut cells: Vec<Figure> = HOURS
                .iter()
                .zip(row.hours)
                .map(|(h, hours)| {
                    Figure::plain(Form::HoursAWeek.text(hours / 168.0, c.reader)).at(at(h.0))
                })
                .collect();
            cells.insert(
                1,
                Figure::plain(percent(row.at_machines)).at(at("at_machines")),
            );
            (clean(&row.name), cells)
        })
        .collect();
    let mut head: Vec<String> = HOURS.iter().map(|h| h.1.to_owned()).collect();
    head.insert(1, "at machines".to_owned());
    head.insert(0, String::new());
    Table {
        title: "People's hours a week".to_owned(),
        note: "In shifts: hours of all people of the pool together, absent ones included. Running, changing, reels and \
               stops: what the machine does that they are at. Else: repairs, absence, no work."
            .to_owned(),
        head,
        rows,
    }
}
