//! Adhesives with their holds.
//!
//! In: adhesives as written. Out: the plant's, never with a hold below the data sheet: that rule
//! stands here.

use crate::plant::{Adhesive, Gates, HotRoom, Lab, LabBefore, LaminationProcess, Treated};
use crate::random::Dist;
use crate::units::{Dimension, duration};

use super::super::file::{self, Process, RandomTime, ScenarioFile};
use super::super::problem::Problem;
use super::{At, Checker, Names};

/// Largest share of prints that may fail in the laboratory.
const MOST_FAILS: f64 = 0.2;

/// A thermal film with a longer hold than this is doubtful, minutes.
const LONG_COOL_DOWN_MIN: f64 = 12.0 * 60.0;

const SAFETY: &str = "this model must never be used to justify a cure shorter than the adhesive supplier's technical data sheet and your own migration and bond tests; simulated \"done\" is not release for food contact";

pub(super) fn process(written: Process) -> LaminationProcess {
    match written {
        Process::Thermal => LaminationProcess::Thermal,
        Process::Solventless => LaminationProcess::Solventless,
        Process::SolventBased => LaminationProcess::SolventBased,
        Process::WaterBased => LaminationProcess::WaterBased,
        Process::ElectronBeam => LaminationProcess::ElectronBeam,
    }
}

pub(super) fn treated(written: file::Treating) -> Treated {
    match written {
        file::Treating::None => Treated::default(),
        file::Treating::Print => Treated {
            print: true,
            film: false,
        },
        file::Treating::Film => Treated {
            print: false,
            film: true,
        },
        file::Treating::Both => Treated {
            print: true,
            film: true,
        },
    }
}

pub(super) fn adhesives(check: &mut Checker, file: &ScenarioFile, names: &Names) -> Vec<Adhesive> {
    file.adhesives
        .iter()
        .map(|(name, written)| adhesive(check, file, names, name, written))
        .collect()
}

fn adhesive(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    name: &str,
    written: &file::Adhesive,
) -> Adhesive {
    let at = At::block("adhesives").key(name);
    let process = process(written.process);
    // Common practice, no source: cool-down of thermal film 1 h; electron beam is ready at once.
    let (usual_hold, usual_second_pass) = match process {
        LaminationProcess::Thermal => (Some("1 h"), "0 min"),
        LaminationProcess::ElectronBeam => (Some("0 min"), "0 min"),
        _ => (None, "4 h"),
    };
    let reactive = usual_hold.is_none();
    let second_pass = written
        .second_pass_after
        .as_ref()
        .map_or(usual_second_pass, |text| &text.0);
    let second_pass = check.random(
        &at.key("second_pass_after"),
        second_pass,
        Dimension::Duration,
    );
    let mut hold = |key: &str, text: &Option<RandomTime>| match (text, usual_hold) {
        (Some(text), _) => check.random(&at.key(key), &text.0, Dimension::Duration),
        (None, Some(usual)) => check.random(&at.key(key), usual, Dimension::Duration),
        (None, None) => {
            check.push(
                Problem::error(
                    at.name(),
                    format!("`{name}` cures and lacks the key `{key}`"),
                )
                .expected(format!(
                    "`{key}`: a hold such as `24 h`, not below the data sheet"
                ))
                .note(SAFETY),
            );
            Dist::Constant(0.0)
        }
    };
    let ambient = Gates {
        slit: hold("slit_after", &written.slit_after),
        pouch: hold("pouch_after", &written.pouch_after),
        ship: hold("ship_after", &written.ship_after),
        second_pass,
    };
    match &written.data_sheet {
        Some(sheet) => {
            let given = [written.slit_after.is_some(), written.pouch_after.is_some(), written.ship_after.is_some()];
            data_sheet(check, &at, &ambient, given, sheet);
        }
        None if reactive => check.push(
            Problem::error(at.name(), format!("`{name}` cures and lacks the key `data_sheet`"))
                .expected("`data_sheet: { slit_after: .., pouch_after: .., ship_after: .. }`, copied from the supplier's technical data sheet")
                .note(SAFETY),
        ),
        None => {}
    }
    in_order(check, &at, &ambient);
    if process == LaminationProcess::Thermal
        && ambient.ship.mean().max(ambient.pouch.mean()) > LONG_COOL_DOWN_MIN
    {
        let key =
            ["pouch_after", "ship_after"][usize::from(ambient.pouch.mean() <= LONG_COOL_DOWN_MIN)];
        check.push(
            Problem::warning(
                at.key(key).value(),
                format!(
                    "`{name}` is a thermal film with a hold of {}",
                    duration(ambient.ship.mean())
                ),
            )
            .note("thermal film cools down, it does not cure; 15 min to 4 h are usual")
            .help("is the process right?"),
        );
    }
    let racks = written.racks.as_ref().and_then(|room| {
        let place = at.key("racks").value();
        let index = check.find(place.clone(), room, &names.rooms, "a room")?;
        if file.rooms.get(room).is_some_and(|room| room.heated) {
            check.push(
                Problem::error(place, format!("`{room}` is a hot room"))
                    .expected("a room that is not heated; name hot rooms under `hot_room`"),
            );
        }
        Some(index)
    });
    let hot = written
        .hot_room
        .as_ref()
        .and_then(|hot| hot_room(check, file, names, &at, hot, &ambient));
    let lab = (written.lab.as_ref()).map(|lab| self::lab(check, names, &at.key("lab"), lab));
    let pot_life_min = written.pot_life.as_ref().map(|text| {
        check.above_zero(
            &at.key("pot_life"),
            &text.0,
            Dimension::Duration,
            10_080.0,
            "1 week",
        )
    });
    let days = written.days.as_ref().and_then(|calendar| {
        check.find(
            at.key("days").value(),
            calendar,
            &names.calendars,
            "a calendar",
        )
    });
    Adhesive {
        name: name.to_string(),
        process,
        ambient,
        racks,
        hot,
        // The first calendar is the one that never closes.
        days: days.filter(|&calendar| calendar > 0),
        pot_life_min,
        lab,
    }
}

fn lab(check: &mut Checker, names: &Names, at: &At, written: &file::Lab) -> Lab {
    let fails = check.share(&at.key("fails"), &written.fails.0);
    if fails > MOST_FAILS {
        check.push(
            Problem::error(
                at.key("fails").value(),
                "a laboratory that fails so much leaves orders that do not end",
            )
            .expected("at most 20 %"),
        );
    }
    let hours = (written.hours.as_ref()).and_then(|calendar| {
        check.find(
            at.key("hours").value(),
            calendar,
            &names.calendars,
            "a calendar",
        )
    });
    Lab {
        time: check.random(&at.key("time"), &written.time.0, Dimension::Duration),
        hours,
        fails,
        before: match written.before {
            file::LabBefore::Slit => LabBefore::Slit,
            file::LabBefore::Pouch => LabBefore::Pouch,
        },
    }
}

fn hot_room(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    hot: &file::HotRoom,
    ambient: &Gates,
) -> Option<HotRoom> {
    let at = at.key("hot_room");
    let gates = Gates {
        second_pass: match &hot.second_pass_after {
            Some(text) => check.random(&at.key("second_pass_after"), &text.0, Dimension::Duration),
            None => ambient.second_pass.clone(),
        },
        slit: check.random(
            &at.key("slit_after"),
            &hot.slit_after.0,
            Dimension::Duration,
        ),
        pouch: check.random(
            &at.key("pouch_after"),
            &hot.pouch_after.0,
            Dimension::Duration,
        ),
        ship: check.random(
            &at.key("ship_after"),
            &hot.ship_after.0,
            Dimension::Duration,
        ),
    };
    data_sheet(check, &at, &gates, [true; 3], &hot.data_sheet);
    in_order(check, &at, &gates);
    let place = at.key("room").value();
    let room = check.find(place.clone(), &hot.room, &names.rooms, "a room")?;
    if !file.rooms.get(&hot.room).is_some_and(|room| room.heated) {
        check.push(
            Problem::error(place, format!("`{}` is not heated", hot.room))
                .expected("a hot room")
                .help(format!(
                    "write `{}: {{ heated: true }}` under `rooms` if it is one",
                    hot.room
                )),
        );
    }
    Some(HotRoom { room, gates })
}

/// Refuses every hold whose shortest possible value is below the data sheet.
fn data_sheet(
    check: &mut Checker,
    at: &At,
    gates: &Gates,
    given: [bool; 3],
    sheet: &file::DataSheet,
) {
    let holds = [
        ("slit_after", &gates.slit, &sheet.slit_after),
        ("pouch_after", &gates.pouch, &sheet.pouch_after),
        ("ship_after", &gates.ship, &sheet.ship_after),
    ];
    for ((key, hold, least), given) in holds.into_iter().zip(given) {
        let least_at = at.key("data_sheet").key(key);
        let least_min = check.duration(&least_at, &least.0);
        let shortest_min = hold.support().0;
        if shortest_min + 1e-6 < least_min {
            let hold_at = at.key(key);
            let least_text = least.0.trim();
            let varies = hold.support().1 > shortest_min;
            let (message, help) = if varies {
                (
                    format!(
                        "`{key}` can fall below the data sheet: its shortest value is {}",
                        duration(shortest_min)
                    ),
                    format!(
                        "end the text with `at least {least_text}`, so that no hold is shorter than the data sheet"
                    ),
                )
            } else {
                (
                    format!("`{key}` is below the data sheet by {}", duration(least_min - shortest_min)),
                    "hold at least as long as the data sheet says; a faster adhesive is another adhesive, with a data sheet of its own".to_string(),
                )
            };
            check.push(
                Problem::error(if given { hold_at.value() } else { at.name() }, message)
                    .expected(format!("at least {least_text}"))
                    .see(least_at.value(), "the data sheet asks for this")
                    .help(help)
                    .note(SAFETY),
            );
        }
    }
}

/// A roll may not ship before it may be made into pouches, nor be that before it may be slit.
fn in_order(check: &mut Checker, at: &At, gates: &Gates) {
    let steps = [
        ("slit_after", &gates.slit, "pouch_after", &gates.pouch),
        ("pouch_after", &gates.pouch, "ship_after", &gates.ship),
    ];
    for (first_key, first, then_key, then) in steps {
        if then.mean() + 1e-6 < first.mean() {
            check.push(
                Problem::error(
                    at.key(then_key).value(),
                    format!(
                        "`{then_key}` is shorter than `{first_key}`: {} against {}",
                        duration(then.mean()),
                        duration(first.mean())
                    ),
                )
                .expected("slit_after <= pouch_after <= ship_after, all counted from the laminator")
                .see(at.key(first_key).value(), "the hold before it"),
            );
        }
    }
}
