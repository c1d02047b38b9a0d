//! Tables: rows of words shared by terminal, Markdown and page.
//!
//! In: a [`Context`]. Out: [`Table`]s whose cells are finished text.

use crate::observe::layout::place;
use crate::record::{ALL_STATES, State};

use super::answers::POINTS;
use super::context::{Context, Standing};
use super::figure::{Figure, Form, pointer};

/// A table; the first column holds names, the others figures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Heading.
    pub title: String,
    /// What the figures mean, with units.
    pub note: String,
    /// Column heads.
    pub head: Vec<String>,
    /// Rows: a name and figures.
    pub rows: Vec<(String, Vec<Figure>)>,
}

fn head(words: &[&str]) -> Vec<String> {
    words.iter().map(|w| (*w).to_owned()).collect()
}

/// Order groups (classes or products): orders, pouches, on time, lead time.
pub fn groups(c: &Context<'_>, title: &str, groups: std::ops::Range<usize>) -> Table {
    let mut heads = head(&["", "orders"]);
    if c.has_pouches {
        heads.push("pouches".into());
    }
    heads.push("on time".into());
    heads.extend(POINTS.iter().map(|p| p.2.to_owned()));
    let rows = groups
        .map(|g| {
            let mut row = vec![c.figure(c.group_index(g, 0))];
            if c.has_pouches {
                row.push(c.figure(c.group_index(g, 1)));
            }
            row.push(c.figure(c.group_index(g, place::ON_TIME)));
            row.extend(POINTS.iter().map(|p| c.figure(c.lead_index(g, 0, p.0))));
            (c.groups[g].clone(), row)
        })
        .collect();
    let made = if c.has_pouches {
        "Orders and good pouches"
    } else {
        "Orders"
    };
    Table {
        title: title.to_owned(),
        note: format!(
            "{made} a week; lead time from print to shippable: half, 9 of 10, 19 of 20 orders within."
        ),
        head: heads,
        rows,
    }
}

/// States told together in one column of the machine table.
pub const STATE_COLUMNS: [(&str, char, &[State]); 6] = [
    ("running", 'R', &[State::Running, State::RunningShort]),
    ("changing", 'C', &[State::Changeover, State::FirstOff]),
    ("reels", 'S', &[State::PlannedStop]),
    ("down", 'D', &[State::Down, State::MicroStop]),
    (
        "waiting",
        'W',
        &[State::WaitPeople, State::WaitMaterial, State::Blocked],
    ),
    ("no work", '.', &[State::NoWork]),
];

/// Mean share of the clock of some states of a machine.
pub fn share(c: &Context<'_>, machine: usize, states: &[State]) -> f64 {
    states
        .iter()
        .map(|&s| {
            c.estimate(c.summary.layout.machine(machine) + s as usize)
                .mean
        })
        .sum()
}

/// Name of a machine as the scenario has it, in the order of all machines.
pub fn machine_name<'a>(c: &Context<'a>, machine: usize) -> &'a str {
    let mut all = c.model.plant.stations.iter().flat_map(|s| &s.machines);
    all.nth(machine).map_or("", |m| &m.name)
}

/// Key of a part of the lead time, without its group.
pub fn part_key<'a>(c: &Context<'a>, group: usize, part: usize) -> &'a str {
    let layout = &c.summary.layout;
    let key = layout.measures.get(layout.split(group) + part);
    let front = "time/".len() + layout.groups.get(group).map_or(0, |g| g.0.len()) + 1;
    key.and_then(|m| m.key.get(front..)).unwrap_or("")
}

/// Machine hours a week by state, and used share of open time.
pub fn machines(c: &Context<'_>) -> Table {
    let mut heads = head(&["", "open h", "used"]);
    heads.extend(STATE_COLUMNS.iter().map(|s| s.0.to_owned()));
    let hours = |m: usize, key: &str, value: f64| {
        Figure::plain(Form::HoursAWeek.text(value, c.reader)).at(pointer(&[
            "machine_hours",
            machine_name(c, m),
            &key.replace(' ', "_"),
        ]))
    };
    let rows = (0..c.machines.len())
        .map(|m| {
            let open = 1.0 - share(c, m, &[State::OffShift, State::Maintenance]);
            let mut row = vec![
                hours(m, "open", open),
                c.figure(c.summary.layout.machine(m) + ALL_STATES.len()),
            ];
            row.extend(
                STATE_COLUMNS
                    .iter()
                    .map(|column| hours(m, column.0, share(c, m, column.2))),
            );
            (c.machines[m].clone(), row)
        })
        .collect();
    Table {
        title: "Machine hours a week".to_owned(),
        note: "Used: changing over, running, roll or reel stops and repair, of open time. \
               Reels: roll, reel and zipper changes and doffs. Down: repair and micro-stops. \
               Waiting: for people or material, or blocked."
            .to_owned(),
        head: heads,
        rows,
    }
}

/// Where the mean lead time went: a row by cause, a pair of columns (time, share) by group.
/// Causes that take nothing in any group are left out.
pub fn split(c: &Context<'_>) -> Table {
    let groups: Vec<usize> = c
        .split_groups()
        .filter(|&g| !c.split(g).is_empty())
        .collect();
    let splits: Vec<Vec<f64>> = groups.iter().map(|&g| c.split(g)).collect();
    let sums: Vec<f64> = splits.iter().map(|s| s.iter().sum()).collect();
    let mut heads = vec![String::new()];
    for &g in &groups {
        heads.push(c.groups[g].clone());
        heads.push("share".to_owned());
    }
    let parts = splits.first().map_or(0, Vec::len);
    let rows = (0..parts)
        .filter(|&part| {
            splits
                .iter()
                .zip(&sums)
                .any(|(s, sum)| s[part] >= 0.0005 * sum && s[part] > 0.0)
        })
        .map(|part| {
            let mut row = Vec::new();
            for ((s, &sum), &g) in splits.iter().zip(&sums).zip(&groups) {
                // Means of a growing queue are not told; how it divides is a picture all the same.
                row.push(match c.standing {
                    Standing::Overloaded => Figure::missing("not steady"),
                    _ => c.figure(c.summary.layout.split(g) + part),
                });
                let share = Figure::plain(Form::Share.text(s[part] / sum, c.reader));
                row.push(share.at(pointer(&[
                    "lead_split",
                    &c.summary.layout.groups[g].0,
                    part_key(c, g, part),
                    "share",
                ])));
            }
            (c.split_label(part), row)
        })
        .collect();
    Table {
        title: "Mean lead time by cause".to_owned(),
        note: "Print to shippable, of the orders that were done, split by what they waited for."
            .to_owned(),
        head: heads,
        rows,
    }
}

/// The three lead times of all orders: mean and every reported point.
pub fn leads(c: &Context<'_>) -> Table {
    let mut heads = head(&["", "mean"]);
    heads.extend(
        crate::observe::QUANTILES
            .iter()
            .map(|q| format!("{} %", q.0 * 100.0)),
    );
    let shown = if c.has_pouches { 3 } else { 2 };
    let rows = crate::observe::layout::LEADS[..shown]
        .iter()
        .enumerate()
        .map(|(lead, words)| {
            (
                words.1.to_owned(),
                (0..heads.len() - 1)
                    .map(|p| c.figure(c.lead_index(0, lead, p)))
                    .collect(),
            )
        })
        .collect();
    Table {
        title: "Lead time of all orders".to_owned(),
        note: "The share of orders in the head is done within the time below it.".to_owned(),
        head: heads,
        rows,
    }
}

/// How late orders are: all orders, then the classes where there are several.
pub fn lateness(c: &Context<'_>) -> Table {
    let rows = c
        .split_groups()
        .map(|g| {
            let figures = [
                place::ON_TIME,
                place::TARDINESS,
                place::RELEASED,
                place::UNFINISHED,
            ]
            .map(|figure| c.figure(c.group_index(g, figure)));
            (c.groups[g].clone(), figures.into())
        })
        .collect();
    Table {
        title: "On time and late".to_owned(),
        note: "Late orders, by: mean time they are late. Released: orders of the measured time in a replication. An order \
               that was not done when the run ended counts as late."
            .to_owned(),
        head: head(&["", "on time", "late orders, by", "released", "not done"]),
        rows,
    }
}
