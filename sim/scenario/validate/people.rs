//! Run plan, reader, calendars, pools, rooms.

use crate::plant::{Calendar, FreeAt, Pool, PoolRule, Precision, Reader, Room, RunPlan, WarmUp};
use crate::units::Dimension;

use super::super::file::{self, PoolNext, PreciseFigure, ScenarioFile, UnitSystem};
use super::super::problem::Problem;
use super::super::time;
use super::{At, Checker, Names, present};

/// A week, in minutes.
const WEEK_MIN: f64 = 10_080.0;

/// Simulated weeks, all replications together, from which a warning is due.
const MANY_WEEKS: f64 = 1_000_000.0;

pub(super) fn run(check: &mut Checker, file: &ScenarioFile) -> RunPlan {
    let at = At::block("run");
    let run = file.run.clone().unwrap_or_default();
    let start_day = match time::date(&run.start.0) {
        Ok(day) => day,
        Err(complaint) => {
            check.push(complaint.at(at.key("start").value()));
            0
        }
    };
    let (warm_up, warm_up_min) = match run.warm_up.0.trim() {
        "auto" if file.book.is_some() => (WarmUp::Booked, 0.0),
        // Until it is chosen, a cell of the trade is taken to need four weeks.
        "auto" => (WarmUp::Auto, 4.0 * WEEK_MIN),
        text => (WarmUp::Given, check.duration(&at.key("warm_up"), text)),
    };
    let precision = run.precision.as_ref().map(|wanted| {
        let at = at.key("precision").key("within");
        let within = check.quantity(&at, &wanted.within.0, Dimension::Share);
        check.in_range(
            &at,
            &wanted.within.0,
            within,
            0.001,
            0.5,
            "from 0.1 % to 50 %",
        );
        let (key, words) = match wanted.of {
            PreciseFigure::P50LeadTime => ("lead_done/all/p50", "50 % lead time"),
            PreciseFigure::P90LeadTime => ("lead_done/all/p90", "90 % lead time"),
            PreciseFigure::P95LeadTime => ("lead_done/all/p95", "95 % lead time"),
            PreciseFigure::MeanLeadTime => ("lead_done/all/mean", "mean lead time"),
            PreciseFigure::Throughput => ("orders/all", "orders done a week"),
            PreciseFigure::OnTime => ("on_time/all", "share done by the promised date"),
        };
        Precision {
            key,
            words,
            within,
            at_most: wanted.at_most.max(run.replications),
        }
    });
    let measure_min = check.above_zero(
        &at.key("measure"),
        &run.measure.0,
        Dimension::Duration,
        520.0 * WEEK_MIN,
        "520 weeks",
    );
    if measure_min < WEEK_MIN && file.book.is_none() {
        check.push(
            Problem::warning(
                at.key("measure").value(),
                format!("`measure` is short: {}", run.measure.0.trim()),
            )
            .help("measure some weeks, such as `26 weeks`: shifts, weekends and breakdowns need their turn"),
        );
    }
    let run_out_min = check.duration(&at.key("run_out"), &run.run_out.0);
    let confidence_at = at.key("confidence");
    let confidence = check.quantity(&confidence_at, &run.confidence.0, Dimension::Share);
    check.in_range(
        &confidence_at,
        &run.confidence.0,
        confidence,
        0.5,
        0.999,
        "from 50 % to 99.9 %",
    );
    let equal_at = at.key("equal_within");
    let equal_within = check.share(&equal_at, &run.equal_within.0);
    check.in_range(
        &equal_at,
        &run.equal_within.0,
        equal_within,
        0.0,
        0.2,
        "from 0 to 20 %",
    );
    let weeks = f64::from(run.replications) * (warm_up_min + measure_min + run_out_min) / WEEK_MIN;
    if weeks > MANY_WEEKS {
        check.push(
            Problem::warning(at.key("replications").value(), format!("{} replications make {weeks:.0} simulated weeks", run.replications))
                .help("100 to 1000 replications are enough for most questions; look at the intervals of a short run first")
                .note("this may take hours"),
        );
    }
    RunPlan {
        floor_limit: run.floor_limit,
        seed: run.seed,
        replications: run.replications,
        start_day,
        warm_up_min,
        warm_up,
        measure_min,
        run_out_min,
        confidence,
        equal_within,
        precision,
    }
}

pub(super) fn reader(check: &mut Checker, file: &ScenarioFile) -> Reader {
    let Some(reader) = &file.reader else {
        return Reader {
            inch: false,
            currency: "EUR".to_string(),
        };
    };
    if reader.currency.len() != 3 || !reader.currency.bytes().all(|b| b.is_ascii_uppercase()) {
        let place = At::block("reader").key("currency").value();
        check.push(
            Problem::error(
                place,
                format!("`{}` is not a currency code", reader.currency),
            )
            .expected("three capital letters, such as EUR or USD"),
        );
    }
    Reader {
        inch: reader.units == UnitSystem::Inch,
        currency: reader.currency.clone(),
    }
}

/// The calendars, `always` first.
pub(super) fn calendars(check: &mut Checker, file: &ScenarioFile, run: &RunPlan) -> Vec<Calendar> {
    let mut calendars = vec![Calendar::always()];
    for (name, written) in &file.calendars {
        let at = At::block("calendars").key(name);
        if name == "always" {
            check.push(
                Problem::error(
                    at.name(),
                    "`always` is the calendar that never closes; it is there already",
                )
                .expected("another name"),
            );
            continue;
        }
        let mut windows = |key: &str, texts: &[super::super::file::Weekly]| {
            let mut all = Vec::new();
            for (index, text) in texts.iter().enumerate() {
                match time::weekly(&text.0) {
                    Ok(windows) => all.extend(windows),
                    Err(complaint) => check.push(complaint.at(at.key(key).item(index).value())),
                }
            }
            all.sort_unstable();
            all
        };
        let mut open = windows("open", &written.open);
        let breaks = windows("breaks", &written.breaks);
        if open.len() == 7
            && open
                .iter()
                .zip(0..)
                .all(|(window, day)| *window == (day * 1440, (day + 1) * 1440))
        {
            open = vec![(0, 7 * 1440)];
        }
        let mut closed = Vec::new();
        for (index, text) in written.closed.iter().enumerate() {
            match time::dates(&text.0) {
                Ok(days) => closed.push(days),
                Err(complaint) => check.push(complaint.at(at.key("closed").item(index).value())),
            }
        }
        let mut also_open = Vec::new();
        for (index, text) in written.also_open.iter().enumerate() {
            match time::on_date(&text.0) {
                Ok(window) => also_open.push(window),
                Err(complaint) => check.push(complaint.at(at.key("also_open").item(index).value())),
            }
        }
        let calendar = Calendar {
            name: name.clone(),
            open,
            breaks,
            closed,
            also_open,
        };
        if calendar.weekly_open_min() <= 0 {
            check.push(
                Problem::error(
                    at.name(),
                    format!(
                        "the calendar `{name}` never opens: its breaks cover its opening times"
                    ),
                )
                .expected("opening times longer than their breaks"),
            );
        } else {
            let length = present::length_min(run);
            let opens = |calendar: &Calendar| !calendar.intervals(run.start_day, length).is_empty();
            let without = Calendar {
                closed: Vec::new(),
                ..calendar.clone()
            };
            // Hours that simply do not come up in a short run are no mistake.
            if !opens(&calendar) && opens(&without) {
                check.push(
                    Problem::error(
                        at.key("closed").name(),
                        format!(
                            "the calendar `{name}` never opens within the run: its `closed` days cover it"
                        ),
                    )
                    .expected("days on which it opens, between `start` of `run` and its end"),
                );
            }
        }
        calendars.push(calendar);
    }
    calendars
}

pub(super) fn pools(check: &mut Checker, file: &ScenarioFile, names: &Names) -> Vec<Pool> {
    let mut pools = Vec::new();
    for (name, written) in &file.people {
        let at = At::block("people").key(name);
        let mut shifts = Vec::new();
        for (calendar, people) in &written.shifts {
            let place = at.key("shifts").key(calendar).name();
            if let Some(index) = check.find(place, calendar, &names.calendars, "a calendar") {
                shifts.push((index, *people));
            }
        }
        if written.shifts.values().all(|people| *people == 0) {
            check.push(
                Problem::error(
                    at.key("shifts").name(),
                    format!("nobody is ever there in the pool `{name}`"),
                )
                .expected("a calendar with people, such as `shifts: { day: 4 }`"),
            );
        }
        let absence = check.share(&at.key("absence"), &written.absence.0);
        let crew_wait_min = check.duration(&at.key("crew_wait"), &written.crew_wait.0);
        let mut first = Vec::new();
        for (index, station) in written.first.iter().enumerate() {
            let place = at.key("first").item(index).value();
            first.extend(check.find(place, station, &names.stations, "a station"));
        }
        let rule = match written.next {
            _ if !first.is_empty() => PoolRule::Stations(first),
            PoolNext::Urgent => PoolRule::Urgent,
            PoolNext::MostWork => PoolRule::MostWork,
            PoolNext::Downstream => PoolRule::Downstream,
        };
        pools.push(Pool {
            name: name.clone(),
            shifts,
            absence,
            rule,
            crew_wait_min,
        });
    }
    pools
}

pub(super) fn rooms(file: &ScenarioFile) -> Vec<Room> {
    let room = |(name, written): (&String, &super::super::file::Room)| Room {
        name: name.clone(),
        places: written.places,
        heated: written.heated,
        free_at: match written.free_at {
            file::FreeAt::TakenOut => FreeAt::TakenOut,
            file::FreeAt::HoldEnd => FreeAt::HoldEnd,
        },
    };
    file.rooms.iter().map(room).collect()
}
