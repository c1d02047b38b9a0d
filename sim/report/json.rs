//! `summary.json`: every figure of a run for other programs. Documented in `docs/reference/results.md`.
//!
//! In: a [`Context`]. Out: text, the same bytes for the same results. Names stand as the scenario has
//! them; a number that is not known is `null`.

use serde_json::{Map, Value, json};

use crate::observe::histogram::upper_min;
use crate::plant::WarmUp;
use crate::record::State;

use super::answers::{self, Line};
use super::clock::iso_date;
use crate::summary::Busy;

use super::context::{Context, Standing};
use super::crew;
use super::table;

/// Version of the format; it rises when a key changes its meaning or goes.
pub const FORMAT: u32 = 1;

/// The whole file, indented, ends with a line break.
pub fn render(c: &Context<'_>) -> String {
    let run = &c.model.plant.run;
    let value = json!({
        "format": FORMAT,
        "program": "pouchcast",
        "version": c.provenance.version,
        "scenario": {
            "name": c.model.plant.name,
            "file": c.provenance.file_name,
            "sha256": c.provenance.sha256,
        },
        "run": {
            "seed": run.seed,
            "replications_asked": c.summary.asked,
            "replications_done": c.summary.done,
            "partial": c.summary.done < c.summary.asked,
            "start_date": iso_date(run.start_day),
            "warm_up_min": run.warm_up_min,
            "warm_up": match run.warm_up {
                WarmUp::Chosen { settled: true, .. } => "chosen",
                WarmUp::Chosen { .. } => "chosen, not settled",
                WarmUp::Booked => "none, order book",
                WarmUp::Given | WarmUp::Auto => "given",
            },
            "measured_min": run.measure_min,
            "run_out_min": run.run_out_min,
            "confidence": c.summary.confidence,
            "events": c.summary.events,
            "orders": c.summary.orders,
            "audit_checks": c.summary.checks,
        },
        "answers": answers(c),
        "bottleneck": bottleneck(c),
        "bounds": bounds(c),
        "warnings": c.warnings()
            .map(|w| json!({ "key": w.key(), "text": w.to_string() })).collect::<Vec<_>>(),
        "figures": figures(c),
        "machine_hours": machine_hours(c),
        "crew_hours": crew_hours(c),
        "lead_split": lead_split(c),
        "levels": levels(c),
        "lead_times": lead_times(c),
    });
    // A tree of strings and numbers always has a text.
    let mut text = serde_json::to_string_pretty(&value).unwrap_or_default();
    text.push('\n');
    text
}

fn lines(list: &[Line]) -> Value {
    list.iter()
        .map(
            |l| json!({ "label": l.label, "value": l.figure.value, "interval": l.figure.interval }),
        )
        .collect()
}

fn answers(c: &Context<'_>) -> Value {
    let mut value = json!({
        "standing": c.standing.key(),
        "keeps_up": c.standing != Standing::Overloaded,
        "verdict": answers::verdict(c),
        "bottleneck": answers::bottleneck(c),
        "throughput": lines(&answers::throughput(c)),
        "lead_time": lines(&answers::lead_time(c)),
        "other_lead_times": lines(&answers::other_leads(c)),
        "on_time": lines(&answers::on_time(c)),
        "not_taken": lines(&answers::not_taken(c)),
        "short": lines(&answers::short(c)),
    });
    let note = answers::missing_note(c);
    if !note.is_empty() {
        value["missing"] = json!(note);
    }
    if let (Some(told), Some(map)) = (&c.model.plant.money, value.as_object_mut()) {
        map.insert("money".to_owned(), lines(&super::money::lines(c)));
        map.insert("money_not_told".to_owned(), json!(told.gaps));
        map.insert("money_notes".to_owned(), json!(super::money::notes(c)));
    }
    value
}

fn station_name(c: &Context<'_>, station: usize) -> Option<String> {
    c.model.plant.stations.get(station).map(|s| s.name.clone())
}

fn bottleneck(c: &Context<'_>) -> Value {
    let b = &c.summary.bottleneck;
    json!({
        "station": station_name(c, b.station),
        "machine": b.machine.as_ref().map(machine),
        "share_of_replications": b.share,
        "next": b.next.and_then(|n| station_name(c, n)),
    })
}

/// A machine that is named with its station.
pub(super) fn machine(busy: &Busy) -> Value {
    json!({
        "name": busy.name,
        "used": busy.used,
        "waits_for_people": busy.waits_people,
        "people": busy.people,
    })
}

fn bounds(c: &Context<'_>) -> Value {
    c.summary
        .bounds
        .iter()
        .enumerate()
        .map(|(s, b)| {
            json!({
                "station": station_name(c, s),
                "least_work_min_per_week": b.work_min_per_week,
                "open_min_per_week": b.open_min_per_week,
                "load": b.load(),
            })
        })
        .collect()
}

fn figures(c: &Context<'_>) -> Value {
    let mut map = Map::new();
    for (index, measure) in c.summary.layout.measures.iter().enumerate() {
        let e = c.estimate(index);
        let beyond = c.beyond(index);
        // The mean over the replications that happen to have a value would be too good.
        let known = |x: f64| if beyond == 0 { json!(x) } else { Value::Null };
        map.insert(
            measure.key.clone(),
            json!({
                "label": measure.label,
                "unit": measure.unit,
                "mean": known(e.mean),
                "low": known(e.low),
                "high": known(e.high),
                "sd": known(e.sd),
                "n": e.n,
                "beyond": beyond,
            }),
        );
    }
    Value::Object(map)
}

/// Hours a week of each machine in the states that are told together.
fn machine_hours(c: &Context<'_>) -> Value {
    let hours = |machine: usize, states: &[State]| table::share(c, machine, states) * 168.0;
    let machines = (0..c.machines.len()).map(|m| {
        let closed = hours(m, &[State::OffShift, State::Maintenance]);
        let mut told = Map::new();
        told.insert("open".to_owned(), json!(168.0 - closed));
        for (words, _, states) in table::STATE_COLUMNS {
            told.insert(words.replace(' ', "_"), json!(hours(m, states)));
        }
        (table::machine_name(c, m).to_owned(), Value::Object(told))
    });
    Value::Object(machines.collect())
}

/// Hours a week of each pool of people, and the share of them at machines.
fn crew_hours(c: &Context<'_>) -> Value {
    let pools = crew::rows(c).into_iter().map(|row| {
        let mut told: Map<String, Value> = crew::keys()
            .zip(row.hours)
            .map(|(key, hours)| (key.to_owned(), json!(hours)))
            .collect();
        told.insert("at_machines".to_owned(), json!(row.at_machines));
        (row.name, Value::Object(told))
    });
    Value::Object(pools.collect())
}

/// Shares of the mean lead time by cause, for all orders and the classes.
fn lead_split(c: &Context<'_>) -> Value {
    let groups = c.split_groups().map(|g| {
        let parts = c.split(g);
        let sum: f64 = parts.iter().sum();
        let told = parts.iter().enumerate().map(|(part, minutes)| {
            let key = table::part_key(c, g, part).to_owned();
            (key, json!({ "minutes": minutes, "share": minutes / sum }))
        });
        let key = c.summary.layout.groups[g].0.clone();
        (key, Value::Object(told.collect()))
    });
    Value::Object(groups.collect())
}

fn levels(c: &Context<'_>) -> Value {
    let mut names = vec![("orders".to_owned(), "orders in the cell".to_owned())];
    names.push(("curing".to_owned(), "lots held for cure".to_owned()));
    names.extend(c.model.plant.stations.iter().map(|s| {
        (
            format!("queue:{}", s.name),
            format!("lots waiting at {}", s.name),
        )
    }));
    let rows = &c.summary.levels;
    let series: Vec<Value> = names
        .iter()
        .enumerate()
        .map(|(level, (key, label))| {
            json!({
                "key": key,
                "label": label,
                "mean": rows.iter().map(|r| r.mean.get(level).copied()).collect::<Vec<_>>(),
                "sd": rows.iter().map(|r| r.sd.get(level).copied()).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({ "at_min": rows.iter().map(|r| r.at_min).collect::<Vec<_>>(), "series": series })
}

fn lead_times(c: &Context<'_>) -> Value {
    c.summary
        .spans
        .iter()
        .zip(&c.summary.layout.groups)
        .map(|(spans, (group, _))| {
            let used: Vec<usize> = (0..spans.counts.len())
                .filter(|&b| spans.counts[b] > 0)
                .collect();
            let range = used
                .first()
                .map_or(0..0, |&first| first..used.last().map_or(first, |&l| l) + 1);
            json!({
                "group": group,
                "upper_min": range.clone().map(upper_min).collect::<Vec<_>>(),
                "orders": &spans.counts[range],
                "not_done": spans.open,
            })
        })
        .collect()
}
