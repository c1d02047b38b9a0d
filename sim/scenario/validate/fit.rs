//! Can it be made? Every product at every station of its route needs one machine that can.
//!
//! In: products with routes, stations. Out: errors that name the product, the machine, the widths
//! and the shortfall; which machines are used at all; warnings for machines that are idle by construction.

use crate::plant::fit::{Misfit, fits, pouch_lanes};
use crate::plant::way::passes_at;
use crate::plant::{Machine, Plant, Process, Product, Station, Work};

use super::super::file::ScenarioFile;
use super::super::problem::Problem;
use super::product::{Draft, word};
use super::webs::mm;
use super::{At, Checker, Names};

/// Why a machine cannot make a product: the key of the product it hangs on, and the reason.
type Reason = (&'static str, String);

pub(super) fn products_on_machines(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    plant: &Plant,
    drafts: &[Draft],
) -> Vec<Vec<bool>> {
    let mut used: Vec<Vec<bool>> = plant
        .stations
        .iter()
        .map(|station| vec![false; station.machines.len()])
        .collect();
    for (index, (product, draft)) in plant.products.iter().zip(drafts).enumerate() {
        if draft.product.is_none() || !resolved(plant, product) {
            continue;
        }
        let at = At::block("products").key(&product.name);
        let mut stops = product.route.clone();
        stops.sort_unstable();
        stops.dedup();
        for stop in stops {
            let Some(station) = plant.stations.get(stop) else {
                continue;
            };
            let webs = if goes_alone(product, station) {
                1 + product.more_webs.len() as u8
            } else {
                1
            };
            let visits = (0..webs).flat_map(|web| {
                let passes = passes_at(plant, product, web, stop);
                passes.into_iter().map(move |pass| (web, pass))
            });
            for (web, pass) in visits {
                let mut reasons: Vec<(&Machine, Reason)> = Vec::new();
                for (number, machine) in station.machines.iter().enumerate() {
                    match misfit(plant, names, file, index, (web, pass), machine) {
                        None => {
                            if let Some(slot) =
                                used.get_mut(stop).and_then(|row| row.get_mut(number))
                            {
                                *slot = true;
                            }
                        }
                        Some(reason) => reasons.push((machine, reason)),
                    }
                }
                if !reasons.is_empty() && reasons.len() == station.machines.len() {
                    let written = file.products.get(&product.name);
                    let of_format =
                        usize::from(written.is_some_and(|written| written.second_web.is_some()));
                    check.push(cannot(&at, product, web, of_format, station, &reasons));
                }
            }
        }
    }
    used
}

/// Whether everything the fit looks up is there; what is not has had its error said.
pub(super) fn resolved(plant: &Plant, product: &Product) -> bool {
    let laminate = |index: usize| {
        plant
            .laminates
            .get(index)
            .is_some_and(|laminate| laminate.is_resolved(plant.adhesives.len()))
    };
    product.format.is_none()
        || (laminate(product.laminate)
            && product.more_webs.iter().all(|web| laminate(web.laminate)))
}

/// Whether the second web passes this station by itself.
fn goes_alone(product: &Product, station: &Station) -> bool {
    product.made_here().next().is_some()
        && matches!(station.work, Work::Lamination | Work::Slitting)
}

/// The error for a web (`of_format`: webs that follow from the format) of a product that no machine of a station can make.
fn cannot(
    at: &At,
    product: &Product,
    web: u8,
    of_format: usize,
    station: &Station,
    reasons: &[(&Machine, Reason)],
) -> Problem {
    let what = match web {
        0 => format!("`{}`", product.name),
        1 => format!("the second web of `{}`", product.name),
        2 => format!("the third web of `{}`", product.name),
        _ => format!("the fourth web of `{}`", product.name),
    };
    let key = reasons.first().map_or("", |(_, (key, _))| *key);
    let mut texts: Vec<String> = reasons
        .iter()
        .map(|(machine, (_, why))| format!("{}: {why}", machine.name))
        .collect();
    let more = texts.len().saturating_sub(6);
    texts.truncate(6);
    let message = match texts.as_slice() {
        [one] => format!("{what} cannot be made at `{}`: {one}", station.name),
        _ => format!(
            "{what} cannot be made at `{}` on any of its machines",
            station.name
        ),
    };
    let place = match (web, key) {
        (0, "") => at.name(),
        (0, key) => at.key(key).value(),
        (web, key) => match usize::from(web).checked_sub(1 + of_format) {
            Some(index) => at.key("more_webs").item(index).key(key).value(),
            None => at.key("second_web").key(key).value(),
        },
    };
    let mut problem = Problem::error(place, message).see(
        At::block("stations").key(&station.name).name(),
        "this station",
    );
    problem.help = Some(match key {
        "web" => "narrow the web, or give the machine its true width".to_string(),
        "height" => "a smaller pouch, or the true width of the machine".to_string(),
        "lanes" => "fewer lanes, the true number of knives, lanes or unwinds (`webs`) of the machine, or `reel_lanes` where a reel carries several lanes".to_string(),
        "format" => "add the format to the `speeds` of a machine that makes it (and `webs: 2` if it joins two), or give the product a `route`".to_string(),
        "zipper" => "write `zipper: true` at a machine that has the module".to_string(),
        "features" => "add the module to the `modules` of a machine that has all of them".to_string(),
        "laminate" => "add the process with its speed to the `processes` of a machine that runs it, or its `treaters`".to_string(),
        _ => "add the product to `times`, or leave the station out of its `route`".to_string(),
    });
    if texts.len() > 1 {
        let rest = if more > 0 {
            format!("; and {more} more machines")
        } else {
            String::new()
        };
        problem.note = Some(texts.join("; ") + &rest);
    }
    problem
}

/// Which pass is meant, where they are not all alike.
fn of_pass(plant: &Plant, product: &Product, web: u8, pass: u8) -> String {
    let laminate = plant.laminates.get(product.laminate_of(web));
    let passes = laminate.map_or(&[][..], |laminate| &laminate.passes);
    match passes.iter().any(|other| *other != passes[0]) {
        true => format!(" of pass {}", pass + 1),
        false => String::new(),
    }
}

/// Why `machine` cannot make the web, in words.
fn misfit(
    plant: &Plant,
    names: &Names,
    file: &ScenarioFile,
    index: usize,
    (web, pass): (u8, u8),
    machine: &Machine,
) -> Option<Reason> {
    let product = plant.products.get(index)?;
    let Err(misfit) = fits(plant, index, web, pass, machine) else {
        return unslit(plant, product, machine);
    };
    Some(match misfit {
        Misfit::TooWide(web, most) => (
            "web",
            format!(
                "the web of {} mm is {} mm too wide for its {} mm",
                mm(web),
                mm(web - most),
                mm(most)
            ),
        ),
        Misfit::TooNarrow(web, least) => (
            "web",
            format!(
                "the web of {} mm is {} mm too narrow for its {} mm",
                mm(web),
                mm(least - web),
                mm(least)
            ),
        ),
        Misfit::Process(_) => {
            let laminate = Some(product.laminate_of(web));
            let adhesive = laminate
                .and_then(|laminate| plant.laminates.get(laminate))
                .map(|laminate| laminate.pass(pass).adhesive);
            let word = adhesive
                .and_then(|adhesive| file.adhesives.get_index(adhesive))
                .and_then(|(_, written)| serde_json::to_value(written.process).ok())
                .and_then(|word| word.as_str().map(str::to_string));
            (
                "laminate",
                format!(
                    "it does not run the process `{}`{}",
                    word.unwrap_or_default(),
                    of_pass(plant, product, web, pass)
                ),
            )
        }
        Misfit::Treaters(needed, there) => (
            "laminate",
            format!(
                "it must treat {} and treats {} (`treaters`){}",
                needed.words(),
                there.words(),
                of_pass(plant, product, web, pass)
            ),
        ),
        Misfit::Knives(needed, there) => (
            "lanes",
            format!(
                "{} lanes need {needed} knives, it has {there}",
                needed.saturating_sub(1)
            ),
        ),
        Misfit::Format(_) => {
            let written = file
                .products
                .get(&product.name)
                .and_then(|written| written.format);
            (
                "format",
                format!(
                    "it has no speed for the format `{}`",
                    written.map(word).unwrap_or_default()
                ),
            )
        }
        Misfit::Webs(needed, there) => (
            "format",
            format!("the format joins {needed} webs, the machine {there} (`webs`)"),
        ),
        Misfit::Unwinds(body, 0, there) => (
            "lanes",
            format!("{body} reels side by side need {body} unwinds, it has {there} (`webs`)"),
        ),
        Misfit::Unwinds(body, more, there) => (
            "lanes",
            format!(
                "reels side by side, {body} of the body and {more} of further webs, need {} unwinds, it has {there} (`webs`)",
                body + more
            ),
        ),
        Misfit::Zipper => ("zipper", "it has no zipper module".to_string()),
        Misfit::Module(module) => (
            "features",
            format!(
                "it has no module `{}`",
                names
                    .modules
                    .get(usize::from(module))
                    .map_or("", String::as_str)
            ),
        ),
        Misfit::Lane(lane, most) => (
            "height",
            format!(
                "one lane of {} mm developed width is {} mm too wide for its {} mm",
                mm(lane),
                mm(lane - most),
                mm(most)
            ),
        ),
        Misfit::NoTime => ("", "it has no time for this product".to_string()),
        Misfit::NoFormat => ("", "the product has no format".to_string()),
    })
}

/// A web that nobody parts must pass the pouch machine with all of its lanes.
fn unslit(plant: &Plant, product: &Product, machine: &Machine) -> Option<Reason> {
    let Process::Pouching(spec) = &machine.process else {
        return None;
    };
    let parted = product
        .route
        .iter()
        .filter_map(|index| plant.stations.get(*index))
        .any(|station| {
            station.work == Work::Slitting
                || station
                    .machines
                    .iter()
                    .any(|machine| match &machine.process {
                        Process::Lamination(spec) => spec.inline_lanes >= product.lanes,
                        _ => false,
                    })
        });
    let takes = pouch_lanes(product, spec);
    (!parted && product.lanes > takes).then(|| {
        (
            "lanes",
            format!(
                "the web arrives unslit with {} lanes, the machine takes {takes}",
                product.lanes
            ),
        )
    })
}

/// Warns about stations and machines that no product can reach.
pub(super) fn idle(check: &mut Checker, file: &ScenarioFile, plant: &Plant, used: &[Vec<bool>]) {
    for (station, row) in plant.stations.iter().zip(used) {
        let at = At::block("stations").key(&station.name);
        if row.iter().all(|used| !used) {
            check.push(
                Problem::warning(
                    at.name(),
                    format!("no product goes through `{}`", station.name),
                )
                .help("name it in the `route` of a product, or take it out"),
            );
            continue;
        }
        let Some(written) = file.stations.get(&station.name) else {
            continue;
        };
        for (machine, used) in station.machines.iter().zip(row) {
            if !used {
                let view = written.view();
                let names = view.machines.iter().map(|(name, _)| *name);
                // `m_2` may stand in the file as `m` with a count.
                let front = machine.name.rsplit_once('_').map_or("", |(front, _)| front);
                let name = names
                    .clone()
                    .find(|name| *name == machine.name)
                    .or_else(|| names.clone().find(|name| *name == front));
                check.push(
                    Problem::warning(
                        at.key("machines").key(name.unwrap_or_default()).name(),
                        format!(
                            "`{}` is idle by construction: no product can go there",
                            machine.name
                        ),
                    )
                    .help("compare its widths, formats, processes and modules with the products"),
                );
            }
        }
    }
}
