//! Changeovers: elements with the defaults of the work, or a table by product.

use crate::plant::{
    Changeover, ChangeoverTable, Element, ElementKind, LaminationProcess, Process, Work,
};
use crate::random::Dist;
use crate::units::Dimension;

use super::super::file::{ChangeoverView, Duration, TableLine};
use super::super::problem::Problem;
use super::machine::waste;
use super::{At, Checker, Names};

/// Default times by key. Pouching, slitting and lamination: common practice, no source; the press
/// and the process change: assumed. They stand in the texts of the keys in `file::machine` too,
/// and a test holds the two together.
pub(super) fn default_time(work: Work, reactive: bool, key: &str) -> &'static str {
    match (work, key) {
        (Work::Press, "job" | "width") => "5 min",
        (Work::Press, "film") => "10 min",
        (Work::Lamination, "job") => {
            if reactive {
                "8 min"
            } else {
                "5 min"
            }
        }
        (Work::Lamination, "film" | "finish") => {
            if reactive {
                "15 min"
            } else {
                "12 min"
            }
        }
        (Work::Lamination, "width") => {
            if reactive {
                "12 min"
            } else {
                "8 min"
            }
        }
        (Work::Lamination, "adhesive") => {
            if reactive {
                "45 min"
            } else {
                "15 min"
            }
        }
        (Work::Lamination, "process") => {
            if reactive {
                "45 min"
            } else {
                "30 min"
            }
        }
        (Work::Lamination, "treater") => "5 min",
        (Work::Slitting, "job") => "6 min",
        (Work::Slitting, "knives") => "2 min",
        (Work::Pouching, "job") => "8 min",
        (Work::Pouching, "film") => "20 min",
        (Work::Pouching, "width" | "gusset") => "35 min",
        (Work::Pouching, "height") => "45 min",
        (Work::Pouching, "zipper") => "25 min",
        (Work::Pouching, "format") => "90 min",
        (Work::Pouching, "flat_bottom") => "120 min",
        (Work::Pouching, "punch") => "10 min",
        (Work::Pouching, "seal_bars") => "20 min",
        _ => "0 min",
    }
}

fn kind(key: &str) -> ElementKind {
    match key {
        "film" => ElementKind::Film,
        "finish" => ElementKind::Finish,
        "width" => ElementKind::Width,
        "adhesive" => ElementKind::Adhesive,
        "process" => ElementKind::Process,
        "knives" => ElementKind::Knives,
        "format" => ElementKind::Format,
        "flat_bottom" => ElementKind::FlatBottom,
        "height" => ElementKind::Height,
        "gusset" => ElementKind::Gusset,
        "zipper" => ElementKind::Zipper,
        "punch" => ElementKind::Punch,
        "seal_bars" => ElementKind::SealBars,
        "treater" => ElementKind::Treater,
        _ => ElementKind::Job,
    }
}

pub(super) fn changeover(
    check: &mut Checker,
    names: &Names,
    at: &At,
    view: &ChangeoverView,
    (work, closes): (Work, bool),
    process: &Process,
) -> Changeover {
    let reactive = match process {
        Process::Lamination(spec) => spec.processes.iter().any(|(process, _)| {
            !matches!(
                process,
                LaminationProcess::Thermal | LaminationProcess::ElectronBeam
            )
        }),
        _ => false,
    };
    let mut elements = Vec::new();
    for (nth, (key, written)) in view.elements.iter().enumerate() {
        let text = written.map_or(default_time(work, reactive, key), |text| &text.0);
        let time = check.random(&at.key(key), text, Dimension::Duration);
        if written.is_some() && !view.table.is_empty() {
            check.push(
                Problem::warning(
                    at.key(key).name(),
                    format!("`{key}` has no effect: the table replaces the elements"),
                )
                .see(at.key("table").name(), "this table"),
            );
        }
        elements.push(Element {
            kind: kind(key),
            time,
            waste_m: view
                .waste
                .as_ref()
                .and_then(|lost| lost.get(nth).copied().flatten())
                .map_or(0.0, |text| waste(check, &at.key("waste").key(key), text)),
        });
    }
    if view.waste.is_some() && matches!(process, Process::Spouting(_) | Process::Packing(_)) {
        check.push(
            Problem::warning(
                at.key("waste").name(),
                "`waste` has no effect: the machine handles pouches, not web",
            )
            .expected("`rejects` for what is lost there"),
        );
    }
    if view.waste.is_some() && !view.table.is_empty() {
        check.push(
            Problem::warning(
                at.key("waste").name(),
                "`waste` has no effect: the table replaces the elements",
            )
            .expected("`waste` in the lines of the table")
            .see(at.key("table").name(), "this table"),
        );
    }
    let rest_share = match view.rest_share {
        Some(text) => check.at_most(
            &at.key("rest_share"),
            &text.0,
            Dimension::Share,
            1.0,
            "100 %",
        ),
        None if work == Work::Pouching => 0.5,
        None => 1.0,
    };
    let mut minutes = |key: &str, text: Option<&Duration>| {
        text.map_or(0.0, |text| {
            check.at_most(&at.key(key), &text.0, Dimension::Duration, 480.0, "8 h")
        })
    };
    let locked_min = minutes("locked", view.locked);
    let prepare_min = minutes("prepare", view.prepare);
    if view.prepare.is_some() && view.locked.is_none() {
        check.push(
            Problem::error(
                at.key("prepare").name(),
                "what is laid ready shortens a changeover, and nothing says how far",
            )
            .expected("`locked` beside it: standstill, lock-out, cool-down and guard checks, such as `5 min`"),
        );
    }
    let heats = match work {
        Work::Lamination if reactive => Some(45.0),
        Work::Lamination => Some(30.0),
        Work::Pouching => Some(20.0),
        _ => None,
    };
    let cold_start = match view.cold_start {
        Some(text) => Some(check.random(&at.key("cold_start"), &text.0, Dimension::Duration)),
        None => heats.filter(|_| closes).map(Dist::Constant),
    };
    let cold_after_min = view
        .cold_after
        .map_or(240.0, |text| check.duration(&at.key("cold_after"), &text.0));
    if view.cold_after.is_some() && cold_start.is_none() {
        check.push(
            Problem::warning(
                at.key("cold_after").name(),
                "`cold_after` has no effect without `cold_start`",
            )
            .expected("`cold_start`: the extra time, such as `30 min`"),
        );
    }
    let table = (!view.table.is_empty()).then(|| table(check, names, &at.key("table"), view.table));
    Changeover {
        elements,
        rest_share,
        locked_min,
        prepare_min,
        loses_by_element: view.waste.is_some() && table.is_none(),
        table,
        cold_start,
        cold_after_min,
    }
}

fn table(check: &mut Checker, names: &Names, at: &At, lines: &[TableLine]) -> ChangeoverTable {
    let products = names.products.len();
    // Time 0 is for two jobs of one product, where no line matches.
    let mut times = vec![Dist::Constant(0.0)];
    let mut wastes_m = vec![None];
    let mut index = vec![vec![None; products]; products];
    for (number, line) in lines.iter().enumerate() {
        let at = at.item(number);
        let mut side = |key: &str, name: &str| match name {
            "any" => Some((0..products).collect::<Vec<_>>()),
            _ => check
                .find(at.key(key).value(), name, &names.products, "a product")
                .map(|index| vec![index]),
        };
        let (from, to) = (side("from", &line.from), side("to", &line.to));
        let time = check.random(&at.key("time"), &line.time.0, Dimension::Duration);
        times.push(time);
        let lost = line.waste.as_ref();
        wastes_m.push(lost.map(|text| waste(check, &at.key("waste"), text)));
        let slot = u32::try_from(times.len() - 1).unwrap_or(u32::MAX);
        let mut matched = false;
        for from in from.iter().flatten() {
            for to in to.iter().flatten() {
                if let Some(cell) = index.get_mut(*from).and_then(|row| row.get_mut(*to))
                    && cell.is_none()
                {
                    *cell = Some(slot);
                    matched = true;
                }
            }
        }
        if !matched && from.is_some() && to.is_some() {
            check.push(
                Problem::warning(
                    at.value(),
                    "this line never counts: the lines before it match all that it matches",
                )
                .help("the first line that matches counts; put special lines before general ones"),
            );
        }
    }
    let missing = (0..products).find_map(|from| {
        let row = index.get(from)?;
        let to = row
            .iter()
            .enumerate()
            .find(|(to, cell)| cell.is_none() && *to != from)?
            .0;
        Some((names.products.get(from)?, names.products.get(to)?))
    });
    if let Some((from, to)) = missing {
        check.push(
            Problem::error(
                at.name(),
                format!("no line of the table matches from `{from}` to `{to}`"),
            )
            .expected("a time for every pair of products")
            .help("add a last line for the rest: `{ from: any, to: any, time: 30 min }`"),
        );
    }
    let index = index
        .into_iter()
        .map(|row| row.into_iter().map(Option::unwrap_or_default).collect())
        .collect();
    ChangeoverTable {
        index,
        times,
        wastes_m,
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::schema::schema;
    use super::*;

    /// What the key's text calls the default is the default.
    #[test]
    fn told_and_used_defaults_are_the_same() {
        let schema = schema();
        let kinds = [
            (Work::Press, "PressChangeover", 3),
            (Work::Lamination, "LaminationChangeover", 7),
            (Work::Slitting, "SlittingChangeover", 3),
            (Work::Pouching, "PouchingChangeover", 9),
            (Work::Packing, "PlainChangeover", 1),
        ];
        for (work, name, elements) in kinds {
            let keys = schema["$defs"][name]["properties"].as_object().unwrap();
            let keys: Vec<_> = keys.iter().take(elements).collect();
            assert_eq!(keys.len(), elements);
            for (key, property) in keys {
                let text = property["description"].as_str().unwrap();
                let told = text
                    .split("Default: ")
                    .nth(1)
                    .unwrap()
                    .trim_end_matches('.');
                let told = told.split(" (").next().unwrap();
                let (calm, reactive) = told.split_once(" / ").unwrap_or((told, told));
                assert_eq!(default_time(work, false, key), calm, "{name} {key}");
                assert_eq!(default_time(work, true, key), reactive, "{name} {key}");
            }
        }
    }
}
