//! The answers in sentences: verdict, bottleneck, throughput, lead time, promises.
//!
//! In: a [`Context`]. Out: plain sentences and labelled figures, the same for terminal and page.

use crate::observe::layout::place;
use crate::plant::Promise;
use crate::summary::Warning;
use crate::units::percent;

use super::context::{Context, Standing};
use super::figure::Figure;

/// A figure with the words that go before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What it is.
    pub label: String,
    /// The figure.
    pub figure: Figure,
}

fn line(label: &str, figure: Figure) -> Line {
    Line {
        label: label.to_owned(),
        figure,
    }
}

/// The points of a lead time that are told, as people say them: (index after the mean, words, short).
pub const POINTS: [(usize, &str, &str); 3] = [
    (1, "half of the orders within", "half"),
    (3, "9 of 10 within", "9 of 10"),
    (4, "19 of 20 within", "19 of 20"),
];

/// One plain sentence (two where the cell does not keep up).
pub fn verdict(c: &Context<'_>) -> String {
    let station = c
        .stations
        .get(c.summary.bottleneck.station)
        .map_or("", String::as_str);
    let used = c
        .figure(c.summary.layout.station(c.summary.bottleneck.station))
        .value;
    let p90 = c.figure(c.lead_index(0, 0, 3));
    let on_time = c.figure(c.group_index(0, place::ON_TIME));
    match c.standing {
        Standing::Overloaded if let Some((stations, share)) = stands_still(c) => format!(
            "Work comes to stand still for good in {} of the replications: machines of {stations} wait for each other. \
             No lead time can be promised.",
            percent(share)
        ),
        Standing::Overloaded => {
            let over = c.summary.warnings.iter().find_map(|w| match w {
                Warning::OverCapacity(name, load) => Some((super::words::clean(name), *load)),
                _ => None,
            });
            let why = match over {
                Some((name, load)) => format!(
                    "{name} would need at least {} of its open time",
                    percent(load)
                ),
                None => {
                    super::limiting::reason(station, &used, c.summary.bottleneck.machine.as_ref())
                }
            };
            let growth = c.by_key("cell/wip_growth");
            let pace = if c
                .estimate(c.summary.layout.find("cell/wip_growth").unwrap_or(0))
                .mean
                > 0.0
            {
                format!(
                    "; {} more orders are in the cell with every week",
                    growth.value
                )
            } else {
                String::new()
            };
            format!(
                "The cell cannot keep up with its orders: {why}{pace}. No lead time can be promised."
            )
        }
        standing => {
            if let Some(nothing) = nothing(c) {
                return nothing;
            }
            let growth = c.by_key("cell/wip_growth").value;
            let busiest = c
                .summary
                .machines
                .iter()
                .max_by(|a, b| a.taken().total_cmp(&b.taken()));
            let taken = busiest.map_or_else(String::new, |m| {
                let words = if m.waits() { "taken up" } else { "used" };
                let share = percent(if m.waits() { m.taken() } else { m.used });
                format!(
                    "{} is {words} {share} of its open time",
                    super::words::clean(&m.name)
                )
            });
            let opening = match standing {
                Standing::Strained => {
                    "The cell keeps up on average, but not every order was done when the run ended"
                        .to_owned()
                }
                Standing::OnEdge => format!(
                    "The cell is on the edge: {taken}, and whether orders in it grow is not settled. In the measured time"
                ),
                Standing::Filling => {
                    let why = c.summary.warnings.iter().find_map(|w| match w {
                        Warning::Filling(_, why) => Some(*why),
                        _ => None,
                    });
                    format!(
                        "More orders are in the cell at the end than at the start ({growth} for every week), but {}; \
                         {taken} at most. In the measured time",
                        why.unwrap_or_default()
                    )
                }
                Standing::Untold => {
                    "One replication does not tell whether the cell keeps up with its orders. In this one".to_owned()
                }
                Standing::Steady | Standing::Overloaded => {
                    "The cell keeps up with its orders".to_owned()
                }
            };
            let lead = if p90.known {
                format!("9 of 10 orders are shippable within {}", p90.value)
            } else if c.summary.done == 1 {
                "more than 1 order in 10 took longer than the run".to_owned()
            } else {
                "in some replications more than 1 order in 10 took longer than the run".to_owned()
            };
            let kept = if on_time.known {
                let of = match not_taken(c).is_empty() {
                    true => "are",
                    false => "of all that are asked for are",
                };
                format!(", and {} {of} done by the promised date", on_time.value)
            } else {
                String::new()
            };
            let joint = match standing {
                Standing::OnEdge | Standing::Filling | Standing::Untold => ",",
                _ => ":",
            };
            format!("{opening}{joint} {lead}{kept}.")
        }
    }
}

/// Why there is nothing to tell of the orders; `None` where there is something.
pub fn nothing(c: &Context<'_>) -> Option<String> {
    let mean = |key: &str| {
        let index = c.summary.layout.find(key);
        index.map_or(0.0, |index| c.estimate(index).mean)
    };
    if mean("released/all") > 0.0 {
        let done = c.estimate(c.lead_index(0, 0, 0)).n > 0 || mean("orders/all") > 0.0;
        return (!done).then(|| {
            "No order that was released in the measured time was done before the run ended: there is no lead time to \
             tell. A longer `run_out`, or a longer `measure`, may show one."
                .to_owned()
        });
    }
    Some(
        "No order was released in the measured time: there is nothing to tell of lead times or dates. Look at the \
         times of the orders, and at `warm_up` and `measure` under `run`."
            .to_owned(),
    )
}

/// What limits the cell, how sure that is, and what comes next.
pub fn bottleneck(c: &Context<'_>) -> Vec<String> {
    let b = &c.summary.bottleneck;
    let Some(station) = c.stations.get(b.station) else {
        return Vec::new();
    };
    let used = c.figure(c.summary.layout.station(b.station));
    let mut out = vec![format!(
        "{}.",
        super::limiting::of(station, &used.with_interval(), b.machine.as_ref())
    )];
    let times = (b.share * f64::from(c.summary.done)).round();
    let next = b.next.and_then(|n| {
        c.stations
            .get(n)
            .map(|name| (name, c.figure(c.summary.layout.station(n))))
    });
    if let Some((name, figure)) = next {
        let by = match b.machine {
            Some(_) => "By all its machines together it was",
            None => "It was",
        };
        out.push(format!(
            "{by} the busiest station in {times} of {} replications.",
            c.summary.done
        ));
        out.push(format!(
            "Next to limit, if it is relieved: {name}, used {}.",
            figure.value
        ));
    }
    let mean_used = c.estimate(c.summary.layout.station(b.station)).mean;
    if mean_used < 0.6 && b.machine.is_none() && c.standing == Standing::Steady {
        out.push(
            "No station is short of time: holds, shifts and the mix of orders set the lead time."
                .to_owned(),
        );
    }
    out.extend(waited_for(c));
    if let Some((part, share)) = main_cause(c).filter(|_| c.standing != Standing::Overloaded) {
        out.push(format!(
            "Largest part of the lead time: {} ({}).",
            c.split_label(part),
            percent(share)
        ));
    }
    out
}

/// The largest part of the mean lead time of all orders, and its share.
fn main_cause(c: &Context<'_>) -> Option<(usize, f64)> {
    let parts = c.split(0);
    let all: f64 = parts.iter().sum();
    let (part, most) = parts.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
    (all > 0.0).then_some((part, most / all))
}

/// What leaves the cell in a week, and what is in it.
pub fn throughput(c: &Context<'_>) -> Vec<Line> {
    let mut out = output(c);
    out.extend(waste(c));
    out.push(line("orders in the cell", c.by_key("cell/wip")));
    out
}

/// What is done in a week.
pub fn output(c: &Context<'_>) -> Vec<Line> {
    let mut out = vec![line("orders done a week", c.figure(c.group_index(0, 0)))];
    if c.has_pouches {
        out.push(line("good pouches a week", c.figure(c.group_index(0, 1))));
    }
    out
}

/// What is handed over and lost in a week; nothing where there is no web.
pub fn waste(c: &Context<'_>) -> Vec<Line> {
    let mut out = Vec::new();
    if c.has_web {
        out.push(line("web handed over a week", c.by_key("cell/web_m2")));
        out.push(line("of it trims", c.by_key("web/all/trims_m2")));
        out.push(line("of it not used", c.by_key("web/all/unused_m2")));
        let again = "web/all/again_m2";
        if c.summary.get(again).is_some_and(|told| told.mean > 0.0) {
            out.push(line("of it printed again", c.by_key(again)));
        }
        out.push(line(
            "lost, cut off, not used",
            c.by_key("cell/waste_share"),
        ));
        out.push(line("web lost a week", c.by_key("cell/waste_m")));
        out.push(line("its weight", c.by_key("cell/waste_kg")));
        if c.has_prices {
            let words = format!("its material, {}", c.currency);
            out.push(line(&words, c.by_key("cell/waste_money")));
        }
    }
    out
}

/// Where the lost web was lost, station by station; nothing where none is.
pub fn waste_places(c: &Context<'_>) -> Vec<Line> {
    (0..c.stations.len())
        .map(|s| (s, c.summary.layout.station(s) + 2))
        .filter(|&(_, index)| c.has_web && c.estimate(index).mean > 0.0)
        .map(|(s, index)| line(&format!("at {}", c.stations[s]), c.figure(index)))
        .collect()
}

/// Print to shippable: the three points.
pub fn lead_time(c: &Context<'_>) -> Vec<Line> {
    POINTS
        .iter()
        .map(|&(point, words, _)| line(words, c.figure(c.lead_index(0, 0, point))))
        .collect()
}

/// The shorter lead times, one sentence each; nothing where there are no pouches to speak of.
pub fn other_leads(c: &Context<'_>) -> Vec<Line> {
    if !c.has_web {
        return Vec::new();
    }
    let mut leads = vec![(1, "print to packed")];
    if c.has_pouches && c.all_pouches {
        leads.push((2, "print to first pouch"));
    }
    let mut out = Vec::new();
    for (lead, words) in leads {
        let told: Vec<Figure> = POINTS
            .iter()
            .map(|p| c.figure(c.lead_index(0, lead, p.0)))
            .collect();
        let figure = if told.iter().any(|f| f.known) {
            let parts: Vec<String> = POINTS
                .iter()
                .zip(&told)
                .map(|(p, f)| format!("{} {}", p.2, f.value))
                .collect();
            Figure::plain(parts.join(", "))
        } else {
            told.into_iter().next().unwrap_or_default()
        };
        out.push(line(words, figure));
    }
    out
}

/// Why no share on time is told.
pub fn no_promise(c: &Context<'_>) -> &'static str {
    let plant = &c.model.plant;
    let promised = plant
        .classes
        .iter()
        .any(|class| class.promise != Promise::None)
        || plant.book.iter().any(|order| order.due_min.is_some());
    match promised {
        true => "no order with a promised date was measured",
        false => "nothing is promised in this scenario",
    }
}

/// Share done by the promised date: all orders, then by class; empty where nothing is promised.
pub fn on_time(c: &Context<'_>) -> Vec<Line> {
    let groups = if c.summary.layout.classes > 1 {
        0..1 + c.summary.layout.classes
    } else {
        0..1
    };
    groups
        .filter(|&g| c.estimate(c.group_index(g, place::ON_TIME)).n > 0)
        .map(|g| line(&c.groups[g], c.figure(c.group_index(g, place::ON_TIME))))
        .collect()
}

/// What became of orders that could not be promised; empty where all are taken.
pub fn not_taken(c: &Context<'_>) -> Vec<Line> {
    let rules = || c.model.plant.classes.iter().filter_map(|k| k.when_full);
    let mut out = Vec::new();
    let mut add = |words: &str, place: usize| {
        out.push(line(words, c.figure(c.group_index(0, place))));
    };
    if rules().next().is_some() {
        add("on time, of those taken", place::ON_TIME_TAKEN);
        add("turned away a week", place::TURNED_AWAY);
    }
    if rules().any(|rule| rule.outside.is_some()) {
        add("sent out a week", place::SENT_OUT);
    }
    out
}

/// Orders that come out with fewer pouches than ordered; empty where none does.
pub fn short(c: &Context<'_>) -> Vec<Line> {
    let told = |place: usize| c.group_index(0, place);
    if c.estimate(told(place::SHORT)).mean > 0.0 {
        vec![
            line("orders shipped short", c.figure(told(place::SHORT))),
            line("pouches missing", c.figure(told(place::MISSING))),
        ]
    } else {
        Vec::new()
    }
}

/// For which people machines stood waiting, longest first; nothing where they never did.
fn waited_for(c: &Context<'_>) -> Option<String> {
    let mut pools: Vec<(f64, String)> = (c.model.plant.pools.iter())
        .filter_map(|pool| {
            let index = c.summary.layout.find(&waited_key(&pool.name))?;
            let hours = c.estimate(index).mean;
            (hours >= 0.05).then(|| {
                let name = super::words::clean(&pool.name);
                (hours, format!("{name} {}", c.figure(index).value))
            })
        })
        .collect();
    pools.sort_by(|a, b| b.0.total_cmp(&a.0));
    let told: Vec<String> = pools.into_iter().map(|pool| pool.1).collect();
    (!told.is_empty()).then(|| {
        let told = told.join(", ");
        format!("Machines stood waiting for people, hours a week: {told}.")
    })
}

/// Key of the hours that machines waited for a pool.
pub fn waited_key(pool: &str) -> String {
    format!("pool/{pool}/waited_for")
}

/// Stations whose machines wait for each other for ever, and in which share of the replications.
fn stands_still(c: &Context<'_>) -> Option<(String, f64)> {
    c.summary.warnings.iter().find_map(|w| match w {
        Warning::StandsStill(stations, share) => {
            let names: Vec<String> = stations
                .iter()
                .map(|name| super::words::clean(name))
                .collect();
            Some((names.join(", "), *share))
        }
        _ => None,
    })
}

/// Why figures can have no value, in one sentence; empty where none lacks one.
pub fn missing_note(c: &Context<'_>) -> String {
    let first = c.lead_index(0, 0, 0);
    let beyond = (first..first + 6).any(|i| c.beyond(i) > 0);
    match c.standing {
        Standing::Overloaded if stands_still(c).is_some() => "not steady: the figure depends on how long one looks, \
             because work comes to stand still for good."
            .to_owned(),
        Standing::Overloaded => "not steady: the figure depends on how long one looks, because the queue grows. \
             Give the cell more hours or machines, or fewer orders, before reading lead times."
            .to_owned(),
        _ if beyond => "beyond run: in at least one replication the orders that decide this figure were not done \
             when the run ended. A longer run-out can give it a value."
            .to_owned(),
        _ => String::new(),
    }
}

/// Cautions of the trade that go with every result.
pub const SAFETY: [&str; 3] = [
    "A simulated \"done\" is not release for food contact. Hold times defer to the adhesive supplier's \
     technical data sheet and to your own migration and bond tests.",
    "Changeover times include lock-out, cool-down and guard checks: in-running nips, razor and shear knives, \
     punches, hot jaws and hot rolls. No saving may come from skipping them.",
    "The figures describe the scenario, not the shop: check its inputs against your own records first.",
];

/// Warnings in words, safe to show.
pub fn warnings(c: &Context<'_>) -> Vec<String> {
    c.warnings()
        .map(|w| super::words::clean(&w.to_string()))
        .collect()
}
