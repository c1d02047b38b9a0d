//! Machines by work: capabilities, speeds, wastes in base units.
//!
//! In: a machine as written. Out: its [`Process`].

use crate::plant::{
    LaminationSpec, Machine, PackingSpec, PouchingSpec, PressSpec, Process, SlittingSpec,
    SpoutingSpec, WashUp,
};
use crate::units::Dimension;

use super::super::file;
use super::super::nearest::list;
use super::super::problem::Problem;
use super::machine::waste;
use super::product::WEB_MAX_MM;
use super::webs::mm;
use super::{At, Checker, Names, material, product};

fn speed(check: &mut Checker, at: &At, text: &file::Speed) -> f64 {
    check.above_zero(at, &text.0, Dimension::Speed, 1000.0, "1000 m/min")
}

fn ramp(check: &mut Checker, at: &At, text: &file::Acceleration) -> f64 {
    check.above_zero(
        &at.key("ramp"),
        &text.0,
        Dimension::Acceleration,
        1000.0,
        "1000 m/min/s",
    )
}

fn rate(check: &mut Checker, at: &At, text: &file::Rate) -> f64 {
    check.above_zero(at, &text.0, Dimension::Rate, 5000.0, "5000 /min")
}

fn web_max(check: &mut Checker, at: &At, text: &file::Width) -> f64 {
    check.above_zero(
        &at.key("web_max"),
        &text.0,
        Dimension::SmallLength,
        WEB_MAX_MM,
        "5000 mm",
    )
}

/// Core and the rolls on it; a roll is larger than its core.
fn rolls(
    check: &mut Checker,
    at: &At,
    core: &file::Width,
    rolls: &[(&str, &file::Width)],
) -> (f64, Vec<f64>) {
    let core_mm = check.above_zero(
        &at.key("core"),
        &core.0,
        Dimension::SmallLength,
        1000.0,
        "1000 mm",
    );
    let rolls = rolls
        .iter()
        .map(|(key, text)| {
            let at = at.key(key);
            let roll_mm = check.above_zero(&at, &text.0, Dimension::SmallLength, 3000.0, "3000 mm");
            if roll_mm <= core_mm {
                check.push(
                    Problem::error(
                        at.value(),
                        format!(
                            "the largest roll is no larger than its core of {} mm",
                            mm(core_mm)
                        ),
                    )
                    .expected("the outside diameter of a full roll"),
                );
            }
            roll_mm
        })
        .collect();
    (core_mm, rolls)
}

pub(super) fn press(check: &mut Checker, at: &At, written: &file::Press) -> Process {
    Process::Press(PressSpec {
        speed_m_per_min: speed(check, &at.key("speed"), &written.speed),
        ramp_m_per_min_s: ramp(check, at, &written.ramp),
        web_max_mm: web_max(check, at, &written.web_max),
        start_waste_m: waste(check, &at.key("start_waste"), &written.start_waste),
        running_waste: check.random_share(&at.key("running_waste"), &written.running_waste.0),
    })
}

pub(super) fn laminator(check: &mut Checker, at: &At, written: &file::Laminator) -> Process {
    if written.processes.is_empty() {
        check.push(
            Problem::error(at.key("processes").name(), "the machine has no process")
                .expected("at least one process with its speed, such as `{ thermal: 30 m/min }`"),
        );
    }
    let mut processes = Vec::new();
    for (process, text) in &written.processes {
        let word = serde_json::to_value(process)
            .ok()
            .and_then(|word| word.as_str().map(str::to_string))
            .unwrap_or_default();
        processes.push((
            material::process(*process),
            speed(check, &at.key("processes").key(&word), text),
        ));
    }
    let (core_mm, diameters) = rolls(
        check,
        at,
        &written.core,
        &[
            ("unwind_max", &written.unwind_max),
            ("rewind_max", &written.rewind_max),
        ],
    );
    let web_max_mm = web_max(check, at, &written.web_max);
    let web_min_mm = check.at_most(
        &at.key("web_min"),
        &written.web_min.0,
        Dimension::SmallLength,
        WEB_MAX_MM,
        "5000 mm",
    );
    if web_min_mm > web_max_mm {
        check.push(
            Problem::error(
                at.key("web_min").value(),
                format!(
                    "the narrowest web is wider than the widest: {} mm against {} mm",
                    mm(web_min_mm),
                    mm(web_max_mm)
                ),
            )
            .expected("web_min <= web_max"),
        );
    }
    Process::Lamination(LaminationSpec {
        processes,
        ramp_m_per_min_s: ramp(check, at, &written.ramp),
        web_min_mm,
        web_max_mm,
        unwind_max_mm: diameters.first().copied().unwrap_or_default(),
        rewind_max_mm: diameters.get(1).copied().unwrap_or_default(),
        core_mm,
        lift_kg: lift(check, at, written.lift.as_ref()),
        start_waste_m: waste(check, &at.key("start_waste"), &written.start_waste),
        running_waste: check.random_share(&at.key("running_waste"), &written.running_waste.0),
        roll_change_min: splice(check, at, written),
        inline_lanes: written.inline_lanes,
        treaters: material::treated(written.treaters),
    })
}

/// Heaviest roll or reel that a machine takes, kg; infinite for no limit.
fn lift(check: &mut Checker, at: &At, written: Option<&file::Mass>) -> f64 {
    let at = at.key("lift");
    written.map_or(f64::INFINITY, |text| {
        check.above_zero(&at, &text.0, Dimension::Mass, 10_000.0, "10 000 kg")
    })
}

/// Stop at a further roll: none with a flying splice. The default stands in the text of the key too.
fn splice(check: &mut Checker, at: &At, written: &file::Laminator) -> f64 {
    let at = at.key("roll_change");
    match &written.roll_change {
        Some(text) if written.flying_splice => {
            check.push(
                Problem::error(
                    at.name(),
                    format!(
                        "a flying splice does not stop, but `roll_change` is {}",
                        text.0.trim()
                    ),
                )
                .expected("either `flying_splice: true` or `roll_change`"),
            );
            0.0
        }
        Some(text) => check.duration(&at, &text.0),
        None if written.flying_splice => 0.0,
        None => check.duration(&at, "6 min"),
    }
}

/// What a laminator has besides its process: a film reel on the second unwind, a wash-up.
pub(super) fn laminator_extras(
    check: &mut Checker,
    file: &file::ScenarioFile,
    at: &At,
    written: &file::Laminator,
    machine: &mut Machine,
) {
    machine.film_reel_m = written.film_reel.as_ref().map(|text| {
        check.above_zero(
            &at.key("film_reel"),
            &text.0,
            Dimension::Length,
            100_000.0,
            "100 km",
        )
    });
    machine.film_change_min = check.duration(&at.key("film_change"), &written.film_change.0);
    machine.wash_up = written.wash_up.as_ref().map(|wash| {
        let wash_at = at.key("wash_up");
        if !file.adhesives.values().any(|adhesive| {
            adhesive.pot_life.is_some() && written.processes.contains_key(&adhesive.process)
        }) {
            check.push(
                Problem::warning(
                    wash_at.name(),
                    "`wash_up` has no effect: no adhesive that the machine runs has a `pot_life`",
                )
                .expected("`pot_life` at the adhesives that set on the machine"),
            );
        }
        let mut minutes = |key: &str, text: &file::Duration| {
            check.at_most(
                &wash_at.key(key),
                &text.0,
                Dimension::Duration,
                480.0,
                "8 h",
            )
        };
        WashUp {
            end_of_shift_min: minutes("end_of_shift", &wash.end_of_shift),
            unplanned_min: minutes("unplanned", &wash.unplanned),
            pot_life_share: check.at_most(
                &wash_at.key("pot_life_share"),
                &wash.pot_life_share.0,
                Dimension::Share,
                1.0,
                "100 %",
            ),
            waste_m: waste(check, &wash_at.key("waste"), &wash.waste),
        }
    });
}

pub(super) fn slitter(check: &mut Checker, at: &At, written: &file::Slitter) -> Process {
    let (core_mm, diameters) = rolls(
        check,
        at,
        &written.core,
        &[("rewind_max", &written.rewind_max)],
    );
    Process::Slitting(SlittingSpec {
        speed_m_per_min: speed(check, &at.key("speed"), &written.speed),
        ramp_m_per_min_s: ramp(check, at, &written.ramp),
        web_max_mm: web_max(check, at, &written.web_max),
        knives: written.knives,
        rewind_max_mm: diameters.first().copied().unwrap_or_default(),
        core_mm,
        lift_kg: lift(check, at, written.lift.as_ref()),
        doff_min: check.duration(&at.key("doff"), &written.doff.0),
        core_load_min: check.duration(&at.key("core_load"), &written.core_load.0),
        roll_change_min: check.duration(&at.key("roll_change"), &written.roll_change.0),
        start_waste_m: waste(check, &at.key("start_waste"), &written.start_waste),
        running_waste: check.random_share(&at.key("running_waste"), &written.running_waste.0),
    })
}

pub(super) fn pouch_machine(
    check: &mut Checker,
    names: &Names,
    at: &At,
    written: &file::PouchMachine,
) -> Process {
    if written.speeds.is_empty() {
        check.push(
            Problem::error(at.key("speeds").name(), "the machine makes no format")
                .expected("at least one format with its cycles, such as `{ stand_up: 100 /min }`"),
        );
    }
    let mut formats = Vec::new();
    for (format, text) in &written.speeds {
        let word_at = at.key("speeds").key(&product::word(*format));
        if *format == file::PouchFormat::RollStock {
            check.push(
                Problem::error(word_at.name(), "roll-stock is not made on a pouch machine")
                    .expected("a pouch format"),
            );
        }
        formats.push((product::format(*format), rate(check, &word_at, text)));
    }
    let mut zipper_formats = Vec::new();
    for (format, text) in &written.zipper_speeds {
        let word_at = at.key("zipper_speeds").key(&product::word(*format));
        if !written.speeds.contains_key(format) {
            check.push(
                Problem::error(
                    word_at.name(),
                    format!(
                        "`{}` has a speed with a zipper and none under `speeds`",
                        product::word(*format)
                    ),
                )
                .expected(list(
                    written
                        .speeds
                        .keys()
                        .map(|format| product::word(*format))
                        .collect::<Vec<_>>()
                        .iter()
                        .map(String::as_str),
                )),
            );
        }
        zipper_formats.push((product::format(*format), rate(check, &word_at, text)));
    }
    if !written.zipper && !written.zipper_speeds.is_empty() {
        check.push(
            Problem::warning(
                at.key("zipper_speeds").name(),
                "the machine has speeds with a zipper but no zipper module",
            )
            .expected("`zipper: true`"),
        );
    }
    let mut dwell = Vec::new();
    for (caliper, text) in &written.dwell {
        let dwell_at = at.key("dwell").key(&caliper.0);
        let caliper_um = check.quantity(&At(dwell_at.0.clone()), &caliper.0, Dimension::Caliper);
        let dwell_min = check.above_zero(&dwell_at, &text.0, Dimension::Duration, 1.0, "60 s");
        dwell.push((caliper_um, dwell_min * 60.0));
    }
    dwell.sort_by(|a, b| a.0.total_cmp(&b.0));
    let seconds = |check: &mut Checker, key: &str, text: &file::Duration| {
        60.0 * check.at_most(&at.key(key), &text.0, Dimension::Duration, 1.0, "60 s")
    };
    let zipper_dwell_s = seconds(check, "zipper_dwell", &written.zipper_dwell);
    if zipper_dwell_s > 0.0 && (written.dwell.is_empty() || !written.zipper) {
        check.push(
            Problem::warning(
                at.key("zipper_dwell").name(),
                "`zipper_dwell` has no effect",
            )
            .expected("a machine with `zipper: true` and a `dwell`"),
        );
    }
    let mut modules: Vec<u16> = written
        .modules
        .iter()
        .filter_map(|module| names.modules.iter().position(|known| known == module))
        .filter_map(|index| u16::try_from(index).ok())
        .collect();
    modules.sort_unstable();
    modules.dedup();
    let start_waste_m = waste(check, &at.key("start_waste"), &written.start_waste);
    let splice_waste_m = match &written.splice_waste {
        Some(text) => waste(check, &at.key("splice_waste"), text),
        None => 0.05 * start_waste_m,
    };
    Process::Pouching(PouchingSpec {
        formats,
        zipper_formats,
        web_speed_m_per_min: speed(check, &at.key("web_speed"), &written.web_speed),
        dwell,
        zipper_dwell_s,
        index_s: seconds(check, "index", &written.index),
        index_s_per_mm: seconds(check, "index_per_mm", &written.index_per_mm),
        web_max_mm: web_max(check, at, &written.web_max),
        unwind_max_mm: written.unwind_max.as_ref().map_or(f64::INFINITY, |text| {
            check.above_zero(
                &at.key("unwind_max"),
                &text.0,
                Dimension::SmallLength,
                2000.0,
                "2000 mm",
            )
        }),
        lift_kg: lift(check, at, written.lift.as_ref()),
        lanes_max: written.lanes,
        webs: written.webs,
        zipper: written.zipper,
        modules,
        roll_change_min: check.duration(&at.key("roll_change"), &written.roll_change.0),
        splice_waste_m,
        zipper_reel_m: written.zipper.then(|| {
            check.above_zero(
                &at.key("zipper_reel"),
                &written.zipper_reel.0,
                Dimension::Length,
                100_000.0,
                "100 km",
            )
        }),
        zipper_change_min: check.duration(&at.key("zipper_change"), &written.zipper_change.0),
        start_waste_m,
        rejects: check.random_share(&at.key("rejects"), &written.rejects.0),
        packers_per_min: written
            .packers
            .as_ref()
            .map(|text| rate(check, &at.key("packers"), text)),
    })
}

pub(super) fn piece_machine(check: &mut Checker, at: &At, written: &file::PieceMachine) -> Process {
    Process::Spouting(SpoutingSpec {
        rate_per_min: rate(check, &at.key("rate"), &written.rate),
        rejects: check.random_share(&at.key("rejects"), &written.rejects.0),
        per_lot_min: check.duration(&at.key("per_lot"), &written.per_lot.0),
    })
}

pub(super) fn packer(check: &mut Checker, at: &At, written: &file::Packer) -> Process {
    Process::Packing(PackingSpec {
        rate_per_min: rate(check, &at.key("rate"), &written.rate),
        carton_min: check.duration(&at.key("carton"), &written.carton.0),
        alongside: written.alongside,
    })
}
