//! Floor policies: families, interruption, splitting, frozen turns, rework, machines kept for classes.
//!
//! In: the keys that say them. Out: the plant's policies, or errors where they cannot be kept: work
//! that would go back to where it never was, pouches that would become web, orders nobody may make.

use std::collections::BTreeSet;

use crate::plant::fit::fits;
use crate::plant::way::passes_at;
use crate::plant::{ElementKind, Interrupt, Machine, Plant, Policy, Reserved, Work};
use crate::units::Dimension;

use super::super::file::{self, KeptFor, Next, ScenarioFile, Setting, StationView};
use super::super::nearest::list;
use super::super::problem::Problem;
use super::fit::resolved;
use super::{At, Checker, Names};

/// The policies of a station; the target of its rework is checked later, when the routes are known.
pub(super) fn policy(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    view: &StationView,
    work: Work,
) -> Policy {
    let interrupt = match view.interrupt {
        file::Interrupt::Never => Interrupt::Never,
        file::Interrupt::RollEnd => Interrupt::RollEnd,
        file::Interrupt::AtOnce => Interrupt::AtOnce,
    };
    let ranks: BTreeSet<u8> = file
        .classes
        .iter()
        .map(|(name, class)| class.rank.unwrap_or(u8::from(name != "rush")))
        .collect();
    if interrupt != Interrupt::Never && ranks.len() < 2 {
        check.push(
            Problem::warning(
                at.key("interrupt").name(),
                "`interrupt` has no effect: all classes have the same rank",
            )
            .expected("classes with different ranks under `classes`"),
        );
    }
    let split_factor = view.split_from.map(|text| {
        check.at_most(
            &at.key("split_from"),
            &text.0,
            Dimension::Count,
            1000.0,
            "1000",
        )
    });
    let freeze_min = view
        .freeze
        .map_or(0.0, |text| check.duration(&at.key("freeze"), &text.0));
    Policy {
        family: family(check, at, view, work),
        interrupt,
        split_factor,
        freeze_min,
        rework: rework(check, names, at, view),
    }
}

/// The settings that machines of a kind of work are dressed for.
fn settings(work: Work) -> &'static [(Setting, ElementKind, &'static str)] {
    const WEB: &[(Setting, ElementKind, &str)] = &[(Setting::Width, ElementKind::Width, "width")];
    match work {
        Work::Press | Work::Slitting => WEB,
        Work::Lamination => &[
            (Setting::Film, ElementKind::Film, "film"),
            (Setting::Finish, ElementKind::Finish, "finish"),
            (Setting::Width, ElementKind::Width, "width"),
            (Setting::Adhesive, ElementKind::Adhesive, "adhesive"),
            (Setting::Process, ElementKind::Process, "process"),
        ],
        Work::Pouching => &[
            (Setting::Film, ElementKind::Film, "film"),
            (Setting::Width, ElementKind::Width, "width"),
            (Setting::Format, ElementKind::Format, "format"),
            (Setting::Height, ElementKind::Height, "height"),
            (Setting::Gusset, ElementKind::Gusset, "gusset"),
            (Setting::Zipper, ElementKind::Zipper, "zipper"),
            (Setting::Bottom, ElementKind::SealBars, "bottom"),
            (Setting::Punch, ElementKind::Punch, "punch"),
        ],
        Work::Inspection | Work::Spouting | Work::Packing | Work::Bench => &[],
    }
}

fn family(check: &mut Checker, at: &At, view: &StationView, work: Work) -> Vec<ElementKind> {
    let at = at.key("family");
    if !view.family.is_empty() && !view.next.contains(&Next::SameFamily) {
        check.push(
            Problem::warning(at.name(), "`family` has no effect here")
                .expected("`same_family` among the criteria of `next`"),
        );
    }
    let known = settings(work);
    let mut family = Vec::new();
    for (index, setting) in view.family.iter().enumerate() {
        match known.iter().find(|(word, ..)| word == setting) {
            Some((_, kind, _)) => family.push(*kind),
            None => {
                let expected = match known {
                    [] => "no `family`: nothing of such a machine differs between jobs".to_string(),
                    _ => list(known.iter().map(|(.., word)| *word)),
                };
                check.push(
                    Problem::error(
                        at.item(index).value(),
                        "machines of this station are not dressed for that",
                    )
                    .expected(expected),
                );
            }
        }
    }
    family
}

fn rework(check: &mut Checker, names: &Names, at: &At, view: &StationView) -> Option<(f64, usize)> {
    match (view.rework, view.rework_to) {
        (None, None) => None,
        (Some(share), Some(to)) => {
            let share = check.share(&at.key("rework"), &share.0);
            let place = at.key("rework_to").value();
            let to = check.find(place, to, &names.stations, "a station")?;
            Some((share, to))
        }
        (share, _) => {
            let (there, missing) = match share {
                Some(_) => ("rework", "rework_to"),
                None => ("rework_to", "rework"),
            };
            check.push(
                Problem::error(
                    at.key(there).name(),
                    format!("`{there}` stands without `{missing}`"),
                )
                .expected("both: the share that goes back, and the station it goes back to"),
            );
            None
        }
    }
}

/// Work that goes back must have been there, and pouches cannot become web again.
pub(super) fn rework_targets(check: &mut Checker, file: &ScenarioFile, plant: &Plant) {
    for (index, station) in plant.stations.iter().enumerate() {
        let Some((_, target)) = station.policy.rework else {
            continue;
        };
        let Some(to) = plant.stations.get(target) else {
            continue;
        };
        let at = At::block("stations").key(&station.name).key("rework_to");
        for product in &plant.products {
            let Some(here) = product.route.iter().rposition(|&stop| stop == index) else {
                continue;
            };
            let way = product.route.get(..=here).unwrap_or_default();
            let Some(there) = way.iter().rposition(|&stop| stop == target) else {
                let see = At::block("products").key(&product.name);
                let written = file.products.get(&product.name);
                let see = match written.and_then(|written| written.route.as_ref()) {
                    Some(_) => see.key("route"),
                    None => see,
                };
                check.push(
                    Problem::error(
                        at.value(),
                        format!(
                            "`{}` comes to `{}` without having been at `{}`",
                            product.name, station.name, to.name
                        ),
                    )
                    .expected("a station at or before this one on every route")
                    .see(see.name(), "the product"),
                );
                break;
            };
            let crossed = way.iter().skip(there).any(|&stop| {
                plant
                    .stations
                    .get(stop)
                    .is_some_and(|passed| passed.work == Work::Pouching)
            });
            if crossed {
                check.push(
                    Problem::error(
                        at.value(),
                        format!(
                            "pouches cannot become web again: `{}` stands at or before pouch making",
                            to.name
                        ),
                    )
                    .expected("a station after pouch making")
                    .help("pouches that are lost are `rejects`; what is then missing can be made again with `shortage: remake`"),
                );
                break;
            }
        }
    }
}

/// Classes (and hours) a machine is kept for.
pub(super) fn kept_for(
    check: &mut Checker,
    names: &Names,
    at: &At,
    written: &KeptFor,
) -> Option<Reserved> {
    let mut classes = Vec::new();
    for (index, class) in written.classes.iter().enumerate() {
        let place = at.key("classes").item(index).value();
        classes.extend(check.find(place, class, &names.classes, "a class"));
    }
    classes.sort_unstable();
    classes.dedup();
    if classes.len() == names.classes.len() {
        check.push(
            Problem::warning(
                at.key("classes").value(),
                "`kept_for` has no effect: it names every class",
            )
            .expected("some of the classes"),
        );
    }
    let calendar = written.hours.as_ref().and_then(|hours| {
        let place = at.key("hours").value();
        check.find(place, hours, &names.calendars, "a calendar")
    });
    (!classes.is_empty()).then_some(Reserved {
        classes,
        // The first calendar is the one that never closes.
        calendar: calendar.filter(|&calendar| calendar > 0),
    })
}

/// Orders that no machine may ever make, since all that could are kept for others at all times.
pub(super) fn kept_too_much(check: &mut Checker, file: &ScenarioFile, plant: &Plant) {
    let ordered = ordered(plant);
    for (station_index, station) in plant.stations.iter().enumerate() {
        if station.machines.iter().all(|m| m.reserved.is_none()) {
            continue;
        }
        for &(product, class) in &ordered {
            let Some(description) = plant.products.get(product) else {
                continue;
            };
            if !description.route.contains(&station_index) || !resolved(plant, description) {
                continue;
            }
            let able: Vec<&Machine> = station
                .machines
                .iter()
                .filter(|machine| {
                    let passes = passes_at(plant, description, 0, station_index);
                    let takes = |&pass: &u8| fits(plant, product, 0, pass, machine).is_ok();
                    passes.iter().any(takes)
                })
                .collect();
            let closed = |machine: &&Machine| {
                machine.reserved.as_ref().is_some_and(|reserved| {
                    let always = reserved
                        .calendar
                        .is_none_or(|hours| hours == machine.calendar);
                    always && !reserved.classes.contains(&class)
                })
            };
            if let Some(first) = able.first()
                && able.iter().all(closed)
            {
                let name = written_name(file, &station.name, &first.name);
                let class_name = plant.classes.get(class).map_or("", |c| c.name.as_str());
                check.push(
                    Problem::error(
                        At::block("stations")
                            .key(&station.name)
                            .key("machines")
                            .key(&name)
                            .key("kept_for")
                            .name(),
                        format!(
                            "nothing is left for orders of the class `{class_name}`: every machine of `{}` that could make `{}` is kept for others",
                            station.name, description.name
                        ),
                    )
                    .expected("a machine, or hours, that the class may use too"),
                );
                break;
            }
        }
    }
}

/// Every product with every class in which it is ordered.
fn ordered(plant: &Plant) -> BTreeSet<(usize, usize)> {
    let mut ordered = BTreeSet::new();
    for stream in &plant.arrivals {
        for &(product, _) in &stream.products {
            ordered.extend(stream.classes.iter().map(|&(class, _)| (product, class)));
        }
    }
    for order in &plant.book {
        ordered.extend(order.lines.iter().map(|line| (line.product, order.class)));
    }
    ordered
}

/// The name under which a machine stands in the file: `m_2` may be `m` with a count.
fn written_name(file: &ScenarioFile, station: &str, machine: &str) -> String {
    let front = machine.rsplit_once('_').map_or("", |(front, _)| front);
    let view = file.stations.get(station).map(|station| station.view());
    let names = || {
        view.iter()
            .flat_map(|view| view.machines.iter().map(|(name, _)| *name))
    };
    names()
        .find(|name| *name == machine)
        .or_else(|| names().find(|name| *name == front))
        .unwrap_or(machine)
        .to_string()
}
