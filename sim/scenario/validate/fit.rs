//! Can it be made? Every product at every station of its route needs one machine that can.
//!
//! In: products with routes, stations. Out: errors that name the product, the machine, the widths
//! and the shortfall; warnings for machines that are idle by construction.

use crate::plant::{Machine, Process, Product, Station, Work};
use crate::trade::lanes::{WebTrims, knives_for_lanes};

use super::super::file::{PouchFormat, ScenarioFile};
use super::super::problem::Problem;
use super::product::{Draft, mm};
use super::{At, Checker, Names, product};

/// Why a machine cannot make a product: the key of the product it hangs on, and the reason.
type Misfit = (&'static str, String);

pub(super) fn products_on_machines(check: &mut Checker, file: &ScenarioFile, names: &Names, stations: &[Station], drafts: &[Draft]) {
    let mut used: Vec<Vec<bool>> = stations.iter().map(|station| vec![false; station.machines.len()]).collect();
    for ((name, written), draft) in file.products.iter().zip(drafts) {
        let Some(product) = &draft.product else { continue };
        let at = At::block("products").key(name);
        let mut done: Vec<usize> = Vec::new();
        for index in &product.route {
            let Some(station) = stations.get(*index) else { continue };
            if done.contains(index) {
                continue;
            }
            done.push(*index);
            let mut misfits: Vec<(&Machine, Misfit)> = Vec::new();
            let mut able = false;
            for (number, machine) in station.machines.iter().enumerate() {
                let job = Job { product, draft, file, names, stations, format: written.format, laminate: written.laminate.as_deref() };
                match job.misfit(machine) {
                    None => {
                        able = true;
                        if let Some(slot) = used.get_mut(*index).and_then(|row| row.get_mut(number)) {
                            *slot = true;
                        }
                    }
                    Some(misfit) => misfits.push((machine, misfit)),
                }
            }
            if let (false, Some((_, (key, _)))) = (able, misfits.first()) {
                check.push(cannot(&at, name, station, &misfits, key));
            }
            second_web(check, file, draft, product, station, &at);
        }
    }
    idle(check, file, stations, &used);
}

/// The error for a product that no machine of a station can make.
fn cannot(at: &At, name: &str, station: &Station, misfits: &[(&Machine, Misfit)], key: &str) -> Problem {
    let mut reasons: Vec<String> = misfits.iter().map(|(machine, (_, why))| format!("{}: {why}", machine.name)).collect();
    reasons.truncate(6);
    let message = match reasons.as_slice() {
        [one] => format!("`{name}` cannot be made at `{}`: {one}", station.name),
        _ => format!("no machine at `{}` can make `{name}`", station.name),
    };
    let place = if key.is_empty() { at.name() } else { at.key(key).value() };
    let mut problem = Problem::error(place, message)
        .expected(format!("a product that a machine of `{}` can make", station.name))
        .see(At::block("stations").key(&station.name).name(), "this station");
    if reasons.len() > 1 {
        problem = problem.note(reasons.join("; "));
    }
    problem.help = Some(match key {
        "web" => "narrow the web, or give a machine its true `web_max`".to_string(),
        "lanes" => "fewer lanes, or the true number of knives or lanes of the machine".to_string(),
        "format" => "add the format to the `speeds` of a machine that makes it, or send the product elsewhere with `route`".to_string(),
        "zipper" => "write `zipper: true` at a machine that has the module".to_string(),
        "features" => "add the module to `modules` of one machine that has all of them".to_string(),
        "laminate" => "add the process to `processes` of a machine that runs it, with its speed".to_string(),
        _ => "add the product to `times`, or leave the station out of its `route`".to_string(),
    });
    problem
}

struct Job<'a> {
    product: &'a Product,
    draft: &'a Draft,
    file: &'a ScenarioFile,
    names: &'a Names,
    stations: &'a [Station],
    format: Option<PouchFormat>,
    laminate: Option<&'a str>,
}

impl Job<'_> {
    /// Why `machine` cannot make the product, if it cannot.
    fn misfit(&self, machine: &Machine) -> Option<Misfit> {
        let product = self.product;
        match &machine.process {
            Process::Press(spec) => too_wide(product.web_mm, spec.web_max_mm),
            Process::Lamination(spec) => {
                let adhesive = self.laminate.and_then(|name| self.file.laminates.get(name)).map(|laminate| &laminate.adhesive);
                if let Some(written) = adhesive.and_then(|name| self.file.adhesives.get(name)) {
                    let process = super::material::process(written.process);
                    if !spec.processes.iter().any(|(known, _)| *known == process) {
                        let word = serde_json::to_value(written.process).ok().and_then(|v| v.as_str().map(str::to_string)).unwrap_or_default();
                        return Some(("laminate", format!("it does not run the process `{word}`")));
                    }
                }
                if product.web_mm < spec.web_min_mm {
                    return Some(("web", format!("its narrowest web is {} mm, the web has {} mm", mm(spec.web_min_mm), mm(product.web_mm))));
                }
                too_wide(product.web_mm, spec.web_max_mm)
            }
            Process::Slitting(spec) => too_wide(product.web_mm, spec.web_max_mm).or_else(|| knives(product.lanes, &self.draft.trims, spec.knives)),
            Process::Pouching(spec) => self.pouching(spec),
            Process::Bench(time) => {
                let index = self.names.products.iter().position(|name| *name == product.name)?;
                let missing = time.times.get(index).is_none_or(Option::is_none);
                missing.then(|| ("", "it has no time for this product".to_string()))
            }
            Process::Spouting(_) | Process::Packing(_) => None,
        }
    }

    fn pouching(&self, spec: &crate::plant::PouchingSpec) -> Option<Misfit> {
        let product = self.product;
        let format = product.format?;
        if !spec.formats.iter().any(|(known, _)| *known == format) {
            return Some(("format", format!("it has no speed for the format `{}`", self.format.map(product::word).unwrap_or_default())));
        }
        if format.joins_two_webs() && spec.webs < 2 {
            return Some(("format", "it joins one web, the format needs 2 (`webs`)".to_string()));
        }
        if product.zipper && !spec.zipper {
            return Some(("zipper", "it has no zipper module".to_string()));
        }
        if let Some(missing) = product.features.iter().find(|feature| !spec.modules.contains(feature)) {
            let name = self.names.modules.get(usize::from(*missing)).map_or("", String::as_str);
            return Some(("features", format!("it has no module `{name}`")));
        }
        let slit = self.parted();
        if slit || product.lanes == 1 {
            return too_wide_lane(product.developed_mm, spec.web_max_mm);
        }
        if product.lanes > spec.lanes_max {
            return Some(("lanes", format!("the web comes unslit with {} lanes, it takes {}", product.lanes, spec.lanes_max)));
        }
        too_wide(product.web_mm, spec.web_max_mm)
    }

    /// Whether the lanes are parted before the pouch machine.
    fn parted(&self) -> bool {
        self.product.route.iter().filter_map(|index| self.stations.get(*index)).any(|station| {
            station.work == Work::Slitting
                || station.machines.iter().any(|machine| match &machine.process {
                    Process::Lamination(spec) => spec.inline_lanes >= self.product.lanes,
                    _ => false,
                })
        })
    }
}

fn too_wide(web_mm: f64, web_max_mm: f64) -> Option<Misfit> {
    (web_mm > web_max_mm + 1e-4).then(|| {
        ("web", format!("the web of {} mm is {} mm too wide for its {} mm", mm(web_mm), mm(web_mm - web_max_mm), mm(web_max_mm)))
    })
}

fn too_wide_lane(lane_mm: f64, web_max_mm: f64) -> Option<Misfit> {
    (lane_mm > web_max_mm + 1e-4).then(|| {
        ("height", format!("one lane of {} mm developed width is {} mm too wide for its {} mm", mm(lane_mm), mm(lane_mm - web_max_mm), mm(web_max_mm)))
    })
}

fn knives(lanes: u32, trims: &WebTrims, knives: u32) -> Option<Misfit> {
    let needed = knives_for_lanes(lanes, trims);
    let lanes_text = if lanes == 1 { "1 lane needs".to_string() } else { format!("{lanes} lanes need") };
    (needed > knives).then(|| ("lanes", format!("{lanes_text} {needed} knives, it has {knives}")))
}

/// A second web made here must find a laminator and a slitter too.
fn second_web(check: &mut Checker, file: &ScenarioFile, draft: &Draft, product: &Product, station: &Station, at: &At) {
    let Some(second) = product.second.as_ref().filter(|second| second.made_here) else { return };
    let adhesive = file.laminates.get_index(second.laminate).and_then(|(_, laminate)| file.adhesives.get(&laminate.adhesive));
    let fits = |machine: &Machine| match &machine.process {
        Process::Lamination(spec) => {
            let process = adhesive.map(|adhesive| super::material::process(adhesive.process));
            (spec.web_min_mm..=spec.web_max_mm + 1e-4).contains(&second.web_mm)
                && process.is_none_or(|process| spec.processes.iter().any(|(known, _)| *known == process))
        }
        Process::Slitting(spec) => {
            second.web_mm <= spec.web_max_mm + 1e-4 && knives_for_lanes(second.lanes, &draft.second_trims) <= spec.knives
        }
        _ => true,
    };
    if !station.machines.is_empty() && !station.machines.iter().any(fits) {
        check.push(
            Problem::error(
                at.key("second_web").name(),
                format!("the second web of `{}` cannot be made at `{}`: {} mm wide, {} lanes of {} mm", product.name, station.name, mm(second.web_mm), second.lanes, mm(second.width_mm)),
            )
            .expected("a machine that takes the web, its lanes and its process")
            .help("narrow its `web`, or write `bought_in: true` if it is not laminated here"),
        );
    }
}

/// Warns about machines that no product can reach.
fn idle(check: &mut Checker, file: &ScenarioFile, stations: &[Station], used: &[Vec<bool>]) {
    for (station, row) in stations.iter().zip(used) {
        let at = At::block("stations").key(&station.name);
        if !row.is_empty() && row.iter().all(|used| !used) {
            let reached = file.products.iter().any(|(_, product)| product.route.as_ref().is_some_and(|route| route.contains(&station.name)));
            // A station that products cannot pass has its errors already.
            if !reached && !check.problems.iter().any(|problem| problem.see.as_ref().is_some_and(|(place, _)| *place == at.name())) {
                check.push(Problem::warning(at.name(), format!("no product goes through `{}`", station.name)).help("name it in the `route` of a product, or take it out"));
            }
            continue;
        }
        for (machine, used) in station.machines.iter().zip(row) {
            if !used {
                let name = machine.name.rsplit_once('_').map_or(machine.name.as_str(), |(front, _)| front);
                let machine_at = at.key("machines");
                let written = if view_has(file, &station.name, &machine.name) { machine.name.as_str() } else { name };
                check.push(
                    Problem::warning(machine_at.key(written).name(), format!("`{}` is idle by construction: no product can go there", machine.name))
                        .help("check its processes, formats, widths and modules against the products"),
                );
            }
        }
    }
}

fn view_has(file: &ScenarioFile, station: &str, machine: &str) -> bool {
    file.stations.get(station).is_some_and(|station| station.view().machines.iter().any(|(name, _)| *name == machine))
}
