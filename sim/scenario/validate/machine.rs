//! Machines: what all of them share.
//!
//! In: the keys every machine has, and the part that depends on its work (made by
//! [`super::specs`]). Out: the plant's machines, one for each of its `count`.

use crate::plant::{
    Breakdown, Clock, Crew, Machine, MicroStops, Process, ShiftEnd, ShortCrew, Work,
};
use crate::units::Dimension;

use super::super::file::{self, ClockOf, Common, Named, RepairBy, ScenarioFile};
use super::super::problem::Problem;
use super::{At, Checker, Names, changeover, first_off, policy};

/// The machine of that name, without the numbers of its copies.
pub(super) fn machine(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    common: &Common,
    work: Work,
    process: Process,
) -> Machine {
    let overtime_min = check.at_most(
        &at.key("overtime"),
        &common.overtime.0,
        Dimension::Duration,
        1440.0,
        "1 d",
    );
    let shift_end = match common.shift_end {
        file::ShiftEnd::Pause => ShiftEnd::Pause,
        file::ShiftEnd::FinishLot => ShiftEnd::FinishLot(overtime_min),
        file::ShiftEnd::FinishOrder => ShiftEnd::FinishOrder(overtime_min),
        file::ShiftEnd::NoLateStart => ShiftEnd::NoLateStart,
    };
    let calendar = check.find(
        at.key("calendar").value(),
        common.calendar,
        &names.calendars,
        "a calendar",
    );
    let maintenance = common.maintenance.and_then(|name| {
        let place = at.key("maintenance").value();
        if name == "always" || name == common.calendar {
            check.push(
                Problem::error(place.clone(), "the machine would always be in maintenance")
                    .expected("a calendar that is open only while the machine is maintained"),
            );
        }
        check.find(place, name, &names.calendars, "a calendar")
    });
    let dressed_for = common.dressed_for.and_then(|name| {
        check.find(
            at.key("dressed_for").value(),
            name,
            &names.products,
            "a product",
        )
    });
    let crew = Crew {
        changeover: people(
            check,
            file,
            names,
            &at.key("crew").key("changeover"),
            &common.crew.changeover,
        ),
        run: people(
            check,
            file,
            names,
            &at.key("crew").key("run"),
            &common.crew.run,
        ),
        short: None,
    };
    let short = common.crew.short.as_ref();
    let short = short.and_then(|short| {
        short_crew(
            check,
            file,
            names,
            &at.key("crew").key("short"),
            short,
            &crew.run,
        )
    });
    let crew = Crew { short, ..crew };
    let mut machine = Machine {
        name: String::new(),
        calendar: calendar.unwrap_or_default(),
        shift_end,
        crew,
        changeover: changeover::changeover(
            check,
            names,
            &at.key("changeover"),
            &common.changeover,
            (work, common.calendar != "always"),
            &process,
        ),
        breakdowns: common
            .breakdowns
            .iter()
            .enumerate()
            .map(|(index, written)| {
                breakdown(
                    check,
                    file,
                    names,
                    &at.key("breakdowns").item(index),
                    written,
                )
            })
            .collect(),
        micro_stops: common.micro_stops.map(|written| MicroStops {
            every: check.span(
                &at.key("micro_stops").key("every"),
                &written.every.0,
                Dimension::Duration,
            ),
            lasting: check.random(
                &at.key("micro_stops").key("lasting"),
                &written.lasting.0,
                Dimension::Duration,
            ),
            waste_m: check.at_most(
                &at.key("micro_stops").key("waste"),
                &written.waste.0,
                Dimension::Length,
                1000.0,
                "1000 m",
            ),
        }),
        first_off: None,
        maintenance,
        dressed_for,
        wash_up: None,
        reserved: common
            .kept_for
            .and_then(|written| policy::kept_for(check, names, &at.key("kept_for"), written)),
        film_reel_m: None,
        speed_for: Vec::new(),
        film_change_min: 0.0,
        process,
    };
    if let Some(written) = common.first_off {
        let at = at.key("first_off");
        machine.first_off = Some(first_off::first_off(
            check,
            file,
            names,
            &at,
            written,
            &machine.crew,
        ));
    }
    machine
}

/// `m` alone, or `m_1`, `m_2`, ...
pub(super) fn copies(machine: Machine, name: &str, count: u32) -> Vec<Machine> {
    match count {
        1 => vec![Machine {
            name: name.to_string(),
            ..machine
        }],
        _ => (1..=count)
            .map(|number| Machine {
                name: format!("{name}_{number}"),
                ..machine.clone()
            })
            .collect(),
    }
}

/// People in thousandths.
pub(super) fn people(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    written: &Named<f64>,
) -> Vec<(usize, u32)> {
    let mut people = Vec::new();
    for (pool, count) in written {
        let at = at.key(pool);
        let Some(index) = check.find(at.name(), pool, &names.pools, "a pool") else {
            continue;
        };
        let there: u32 = file.people.get(pool).map_or(0, |pool| {
            pool.shifts
                .values()
                .fold(0, |sum, n| sum.saturating_add(*n))
        });
        if !(0.001..=1000.0).contains(count) {
            check.push(
                Problem::error(at.value(), format!("a machine cannot need {count} people"))
                    .expected("a number such as 1 or 0.5"),
            );
        } else if *count > f64::from(there) {
            check.push(
                Problem::error(at.value(), format!("the machine needs {count} of the pool `{pool}`, which never has more than {there}"))
                    .expected(format!("at most {there}"))
                    .see(At::block("people").key(pool).key("shifts").name(), "the people there are"),
            );
        }
        // In range as checked; the cast saturates otherwise.
        people.push((index, (count * 1000.0).round() as u32));
    }
    people.sort_unstable();
    people
}

/// A smaller run crew than `whole`; nothing where it is none.
fn short_crew(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    written: &file::ShortCrew,
    whole: &[(usize, u32)],
) -> Option<ShortCrew> {
    let few = people(check, file, names, &at.key("people"), &written.people);
    let pace = check.share(&at.key("speed"), &written.speed.0);
    let of = |pool: usize| few.iter().find(|need| need.0 == pool).map_or(0, |n| n.1);
    let missing: Vec<(usize, u32)> = whole
        .iter()
        .map(|&(pool, need)| (pool, need.saturating_sub(of(pool))))
        .filter(|need| need.1 > 0)
        .collect();
    let asked = |pool: usize| whole.iter().find(|need| need.0 == pool).map_or(0, |n| n.1);
    let leaving: Vec<(usize, u32)> = few
        .iter()
        .map(|&(pool, need)| (pool, need.saturating_sub(asked(pool))))
        .filter(|need| need.1 > 0)
        .collect();
    let sum = |crew: &[(usize, u32)]| crew.iter().map(|need| need.1).sum::<u32>();
    if missing.is_empty() || sum(&few) > sum(whole) {
        check.push(
            Problem::error(
                at.key("people").name(),
                "this is no crew that could do for `run`",
            )
            .expected("of one pool of `run` fewer, and no more people in all; those of other pools stand in"),
        );
        return None;
    }
    if pace <= 0.0 {
        check.push(
            Problem::error(at.key("speed").value(), "a machine that runs has a speed").expected(
                "a share above 0 %; without `short` it stands until the whole crew is there",
            ),
        );
        return None;
    }
    Some(ShortCrew {
        people: few,
        missing,
        leaving,
        pace,
    })
}

fn breakdown(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    written: &file::Breakdown,
) -> Breakdown {
    let (every, clock) = match (&written.every, &written.every_metres) {
        (Some(text), None) => {
            let clock = match written.of {
                ClockOf::Running => Clock::Running,
                ClockOf::Calendar => Clock::Calendar,
            };
            (
                check.span(&at.key("every"), &text.0, Dimension::Duration),
                clock,
            )
        }
        (None, Some(text)) => (
            check.span(&at.key("every_metres"), &text.0, Dimension::Length),
            Clock::Metres,
        ),
        _ => {
            check.push(
                Problem::error(
                    at.value(),
                    "a breakdown needs either `every` or `every_metres`",
                )
                .expected("one of the two"),
            );
            (crate::random::Dist::Constant(1e9), Clock::Running)
        }
    };
    let hours = written.hours.as_ref().and_then(|hours| {
        check.find(
            at.key("hours").value(),
            hours,
            &names.calendars,
            "a calendar",
        )
    });
    let service = written.by == RepairBy::Service;
    if service && !written.crew.is_empty() {
        check.push(
            Problem::error(at.key("by").value(), "a service needs nobody of the cell")
                .expected("either `by: service` or the people under `crew`"),
        );
    }
    if !service && written.hours.is_some() {
        check.push(
            Problem::error(at.key("hours").name(), "`hours` are those of a service")
                .expected("`by: service` beside them"),
        );
    }
    Breakdown {
        every,
        clock,
        by_service: service.then_some(hours),
        crew: people(check, file, names, &at.key("crew"), &written.crew),
        repair: check.random(&at.key("repair"), &written.repair.0, Dimension::Duration),
        rethread_min: check.duration(&at.key("rethread"), &written.rethread.0),
        waste_m: waste(check, &at.key("waste"), &written.waste),
    }
}

pub(super) fn waste(check: &mut Checker, at: &At, text: &file::Length) -> f64 {
    check.at_most(at, &text.0, Dimension::Length, 10_000.0, "10 km")
}
