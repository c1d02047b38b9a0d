//! Rewrites a scenario file of format 1 as one of format 2, its comments and its order kept.
//!
//! In: the text of the file. Out: the new text, and each value that was changed, before and after, with the reason.
//!
//! Format 2 counts `family_wait` in the open hours of its station, where format 1 counted round the clock, and asks a
//! pouch machine for an unwind for every reel that runs. What else became more true between the two keeps its keys: it is
//! told, and nothing of the file is changed for it.

use serde_json::Value;

use crate::plant::{Plant, Process, Product, fit};

use super::file::{ScenarioFile, Station};
use super::problem::{Path, Place, Problem, Report, Step};
use super::{Spot, document, form, locate, schema, structure, validate};

/// One value that is changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Line of the file, from 1.
    pub line: usize,
    /// Its keys joined by dots.
    pub path: String,
    /// As it was written.
    pub before: String,
    /// As it is now.
    pub after: String,
    /// Why.
    pub why: &'static str,
}

/// A file of the present format.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Renewed {
    /// The new text; that of the file where nothing had to be changed.
    pub text: String,
    /// What was changed, in the order of the file.
    pub changes: Vec<Change>,
    /// What moves figures though no key of the file is changed for it, where the file has such a thing.
    pub moves: Vec<&'static str>,
}

const OPEN_HOURS: &str = "counted in the hours in which the station is open; in format 1 round the clock, nights and weekends with it";
const UNWINDS: &str = "one unwind for each reel that runs; in format 1 one for each further web, however many lanes it has";
const BONDS: &str =
    "more bonds than passes: in format 1 they took no pass, as what is bought in ready; look at it";
const FORMAT: &str = "the format of the file";

/// Rewrites a file of format 1; one of the present format is given back as it is.
///
/// # Errors
/// A [`Report`] where the file cannot be read, or is of another format.
pub fn renew(file_name: &str, bytes: &[u8]) -> Result<Renewed, Box<Report>> {
    let refuse =
        |text: &str, problems: Vec<Problem>| Box::new(Report::new(file_name, text, None, problems));
    let text = document::text(bytes).map_err(|error| refuse(&error.0, vec![error.1]))?;
    let mut tree = document::tree(text).map_err(|problems| refuse(text, problems))?;
    match tree.get("format").and_then(Value::as_u64) {
        Some(super::FORMAT) => {
            return Ok(Renewed {
                text: text.to_string(),
                changes: Vec::new(),
                moves: Vec::new(),
            });
        }
        Some(1) => {}
        _ => {
            let place = Place::Value(path(&["format"]));
            let problem = Problem::error(place, "this is no format that can be renewed");
            return Err(refuse(text, vec![problem.expected("`format: 1`")]));
        }
    }
    if let Some(top) = tree.as_object_mut() {
        top.insert("format".to_string(), Value::from(super::FORMAT));
    }
    let mut edits = vec![(path(&["format"]), super::FORMAT.to_string(), FORMAT)];
    let mut moves = Vec::new();
    // A file of variants has no cell of its own.
    if tree.get("base").is_none() {
        let problems = structure::check(&tree, schema());
        if !problems.is_empty() {
            return Err(refuse(text, problems));
        }
        let file: ScenarioFile = serde_json::from_value(tree.clone())
            .map_err(|error| refuse(text, vec![Problem::error(Place::File, error.to_string())]))?;
        family_waits(&file, &tree, &mut edits);
        bonds(&file, &mut edits);
        unwinds(&file, &mut edits);
        moves = moved(&file);
        if edits.iter().any(|edit| edit.2 == OPEN_HOURS) {
            moves.push("`family_wait` is taken as the first version meant it: where it was written later it counted open hours already, so keep your own");
        }
    } else if text.contains("family_wait") {
        moves.push(
            "`family_wait` counts the hours in which its station is open: look at it by hand",
        );
    }
    let (text, changes) = written(text, edits);
    Ok(Renewed {
        text,
        changes,
        moves,
    })
}

type Edit = (Path, String, &'static str);

fn path(keys: &[&str]) -> Path {
    keys.iter()
        .map(|key| Step::Key((*key).to_string()))
        .collect()
}

/// Keys joined by dots; entries of lists by their place.
fn dotted(path: &Path) -> String {
    let parts: Vec<String> = path
        .iter()
        .map(|step| match step {
            Step::Key(key) => key.clone(),
            Step::Item(place) => (place + 1).to_string(),
        })
        .collect();
    parts.join(".")
}

/// What is said of a file of format 1.
pub(super) fn outdated(tree: &Value) -> Option<Problem> {
    if tree.get("format").and_then(Value::as_u64) != Some(1) {
        return None;
    }
    let place = Place::Value(path(&["format"]));
    Some(
        Problem::error(place, "this file is of format 1, in which two keys mean something else")
            .expected("`format: 2`")
            .note("`family_wait` now counts the open hours of its station, `webs` of a pouch machine every reel that runs")
            .help("`pouchcast renew FILE --out NEW` rewrites it, comments kept, and lists each value that moves"),
    )
}

/// The values put in, the last ones first so that places before them stay.
fn written(text: &str, edits: Vec<Edit>) -> (String, Vec<Change>) {
    let tree = document::tree(text).unwrap_or_default();
    let mut found: Vec<_> = edits
        .into_iter()
        .filter_map(|(path, after, why)| {
            let (place, new) = placed(text, &tree, &path, &after)?;
            Some((place, new, path, after, why))
        })
        .collect();
    found.sort_by_key(|edit| edit.0.span.start);
    let mut new = text.to_string();
    for (spot, put, ..) in found.iter().rev() {
        new.replace_range(spot.span.clone(), put);
    }
    let changes = found.into_iter().map(|(spot, _, path, after, why)| Change {
        line: spot.line,
        path: dotted(&path),
        before: match &text[spot.span] {
            "" => "not told".to_string(),
            before => before.to_string(),
        },
        after,
        why,
    });
    (new, changes.collect())
}

/// Where a value is put, and the text that is put there: over the one that is written, or with its key at the beginning of the
/// block that lacks it.
fn placed(text: &str, tree: &Value, path: &Path, after: &str) -> Option<(Spot, String)> {
    if at_path(tree, path).is_some() {
        return Some((
            locate::spot(text, &Place::Value(path.clone()))?,
            after.to_string(),
        ));
    }
    let (Step::Key(key), block) = path.split_last()? else {
        return None;
    };
    let inside = at_path(tree, block)?.as_object()?;
    let mut spot = locate::spot(text, &Place::Value(block.to_vec()))?;
    let start = spot.span.start;
    if text[start..].starts_with('{') {
        spot.span = start + 1..start + 1;
        let comma = if inside.is_empty() { "" } else { "," };
        return Some((spot, format!(" {key}: {after}{comma}")));
    }
    spot.span = start..start;
    let indent = " ".repeat(spot.column.saturating_sub(1));
    Some((spot, format!("{key}: {after}\n{indent}")))
}

/// What is written at a path.
fn at_path<'a>(tree: &'a Value, path: &[Step]) -> Option<&'a Value> {
    path.iter().try_fold(tree, |tree, step| match step {
        Step::Key(key) => tree.get(key),
        Step::Item(place) => tree.get(place),
    })
}

/// Bonds for which the passes of a laminate leave none.
fn bonds(file: &ScenarioFile, edits: &mut Vec<Edit>) {
    for (name, written) in &file.laminates {
        let beyond = validate::laminate::bonds_beyond(file, written);
        if beyond > 0 {
            let told = beyond + usize::from(written.bought_bonds);
            edits.push((
                path(&["laminates", name, "bought_bonds"]),
                told.to_string(),
                BONDS,
            ));
        }
    }
}

/// Hours round the clock as hours in which the station is open, to a tenth of an hour.
fn family_waits(file: &ScenarioFile, tree: &Value, edits: &mut Vec<Edit>) {
    let shares = validate::open_shares(file);
    let share_of = |station: &Station| {
        let machines = station.view().machines;
        let of = |calendar: &str| {
            shares
                .iter()
                .find(|known| known.0 == calendar)
                .map(|known| known.1)
        };
        let shares = machines.iter().filter_map(|machine| of(machine.1.calendar));
        shares.fold(0.0, f64::max)
    };
    for (name, station) in &file.stations {
        let share = share_of(station);
        if share <= 0.0 || share >= 1.0 {
            continue;
        }
        let mut at = |path: Path, value: Option<&Value>| {
            let told = value
                .and_then(Value::as_str)
                .map(|text| form::quantity(text, crate::units::Dimension::Duration));
            if let Some(Ok(minutes)) = told {
                let hours = (minutes * share / 6.0).round() / 10.0;
                edits.push((path, format!("{} h", hours.max(0.1)), OPEN_HOURS));
            }
        };
        let keys = ["stations", name, "family_wait"];
        at(
            path(&keys),
            keys.iter().try_fold(tree, |tree, key| tree.get(key)),
        );
        for (variant, _) in &file.variants {
            let changed = keys.join(".");
            let keys = ["variants", variant, "change", &changed];
            at(
                path(&keys),
                keys.iter().try_fold(tree, |tree, key| tree.get(key)),
            );
        }
    }
}

/// Unwinds of pouch machines, as many as what they made in format 1 needs.
fn unwinds(file: &ScenarioFile, edits: &mut Vec<Edit>) {
    let mut roomy = file.clone();
    for station in roomy.stations.values_mut() {
        if let Station::Pouching(station) = station {
            station
                .machines
                .values_mut()
                .for_each(|machine| machine.webs = 16);
        }
    }
    for laminate in roomy.laminates.values_mut() {
        let beyond = validate::laminate::bonds_beyond(file, laminate);
        laminate.bought_bonds += u8::try_from(beyond).unwrap_or_default();
    }
    roomy.put_in_order();
    let (Some(plant), _) = validate::plant(&roomy, None) else {
        return;
    };
    for (name, station) in &file.stations {
        let Station::Pouching(pouching) = station else {
            continue;
        };
        for (machine, written) in &pouching.machines {
            let needed = needed(&plant, name, machine, written.webs);
            if needed > written.webs {
                let keys = ["stations", name, "machines", machine, "webs"];
                edits.push((path(&keys), needed.to_string(), UNWINDS));
            }
        }
    }
}

/// Unwinds that a machine needs for all that it made when it had so many of them.
fn needed(plant: &Plant, station: &str, machine: &str, had: u32) -> u32 {
    let stations = plant.stations.iter().filter(|known| known.name == station);
    let machines = stations
        .flat_map(|station| &station.machines)
        .filter(|known| {
            let counted = known
                .name
                .strip_prefix(machine)
                .and_then(|rest| rest.strip_prefix('_'));
            known.name == machine || counted.is_some_and(|number| number.parse::<u32>().is_ok())
        });
    let mut most = 0;
    for known in machines {
        let Process::Pouching(spec) = &known.process else {
            continue;
        };
        for (index, product) in plant.products.iter().enumerate() {
            let made = |product: &Product| {
                let reels = fit::reels_at_once(plant, product, spec);
                let webs = 1 + product.more_webs.len() as u32;
                (webs <= had).then(|| reels + fit::more_unwinds(product, spec))
            };
            if fit::fits(plant, index, 0, 0, known).is_ok() {
                most = most.max(made(product).unwrap_or(0));
            }
        }
    }
    most
}

/// What moves figures of the file without a change of it.
fn moved(file: &ScenarioFile) -> Vec<&'static str> {
    let machines = || {
        file.stations
            .values()
            .flat_map(|station| station.view().machines)
    };
    let two_processes = file.stations.values().any(|station| match station {
        Station::Lamination(station) => station.machines.values().any(|m| m.processes.len() > 1),
        _ => false,
    });
    let slits = file
        .stations
        .values()
        .any(|s| matches!(s, Station::Slitting(_)));
    let pouches = file
        .stations
        .values()
        .any(|s| matches!(s, Station::Pouching(_)));
    let repairs = machines().any(|(_, m)| m.breakdowns.iter().any(|cause| cause.crew.is_empty()));
    let ganged = file.orders.iter().any(|stream| stream.gang);
    let told = [
        (
            file.money.is_some(),
            "material is that of the whole web, from edge to edge; it was that of the pouches",
        ),
        (
            slits && pouches,
            "reels are counted where the slitter makes them, and changed at the pouch machine (`roll_change`, `splice_waste`)",
        ),
        (
            two_processes,
            "another lamination process pays `process` instead of `adhesive`; it paid both",
        ),
        (
            repairs,
            "a repair stands still while the people of its machine are away, unless it is `by: service`",
        ),
        (
            ganged,
            "every start of a ganged artwork has its metres printed",
        ),
    ];
    told.into_iter()
        .filter(|told| told.0)
        .map(|told| told.1)
        .collect()
}
