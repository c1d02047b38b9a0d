//! Stations: rules, lots, and the machines of each.

use crate::plant::{BenchPer, BenchTime, LotSize, Process, Rule, Station, Work};
use crate::random::Dist;
use crate::units::Dimension;

use super::super::file::{self, Next, Per, ScenarioFile, by_name};
use super::super::form::{self, LotText};
use super::super::problem::{Place, Problem};
use super::{At, Checker, Names, machine, policy, specs};

pub(super) fn work(station: &file::Station) -> Work {
    match station {
        file::Station::Press(_) => Work::Press,
        file::Station::Lamination(_) => Work::Lamination,
        file::Station::Slitting(_) => Work::Slitting,
        file::Station::Pouching(_) => Work::Pouching,
        file::Station::Inspection(_) => Work::Inspection,
        file::Station::Spouting(_) => Work::Spouting,
        file::Station::Packing(_) => Work::Packing,
        file::Station::Bench(_) => Work::Bench,
    }
}

fn rule(next: Next) -> Rule {
    match next {
        Next::FirstCome => Rule::FirstCome,
        Next::EarliestDue => Rule::EarliestDue,
        Next::LeastSlack => Rule::LeastSlack,
        Next::ShortestWork => Rule::ShortestWork,
        Next::CriticalRatio => Rule::CriticalRatio,
        Next::SameFamily => Rule::SameFamily,
        Next::ShortestChangeover => Rule::ShortestChangeover,
        Next::ClassFirst => Rule::ClassFirst,
    }
}

pub(super) fn stations(check: &mut Checker, file: &ScenarioFile, names: &Names) -> Vec<Station> {
    if file.stations.is_empty() {
        check.push(
            Problem::error(At::block("stations").name(), "there are no stations")
                .expected("at least one station"),
        );
    }
    // Machine names with the place of the first of each.
    let mut taken: Vec<(String, Place)> = Vec::new();
    let mut stations = Vec::new();
    for (name, written) in &file.stations {
        let at = At::block("stations").key(name);
        let view = written.view();
        let work = work(written);
        let lot = lot(check, &at, view.lot, work);
        let family_wait_min = view
            .family_wait
            .map(|text| check.duration(&at.key("family_wait"), &text.0));
        let family_slack_min = view
            .family_slack
            .map(|text| check.duration(&at.key("family_slack"), &text.0));
        if family_wait_min.is_some()
            && !view
                .next
                .iter()
                .any(|next| matches!(next, Next::SameFamily | Next::ShortestChangeover))
        {
            check.push(
                Problem::warning(
                    at.key("family_wait").name(),
                    "`family_wait` has no effect here",
                )
                .expected("`same_family` or `shortest_changeover` among the criteria of `next`"),
            );
        }
        if view.staging == Some(0) {
            check.push(
                Problem::error(
                    at.key("staging").value(),
                    "a station with no place before it never gets a lot",
                )
                .expected("at least 1, or no `staging` for no limit"),
            );
        }
        if view.machines.is_empty() {
            check.push(
                Problem::error(
                    at.key("machines").name(),
                    format!("the station `{name}` has no machine"),
                )
                .expected("at least one machine"),
            );
        }
        let mut machines = Vec::new();
        for (machine_name, process) in processes(check, file, names, &at, written) {
            let machine_at = at.key("machines").key(machine_name);
            let Some((_, common)) = view.machines.iter().find(|(name, _)| *name == machine_name)
            else {
                continue;
            };
            let mut one = machine::machine(check, file, names, &machine_at, common, work, process);
            one.speed_for =
                super::kinds::speed_for(check, names, &machine_at, written, machine_name);
            if let file::Station::Lamination(station) = written
                && let Some(laminator) = station.machines.get(machine_name)
            {
                specs::laminator_extras(check, file, &machine_at, laminator, &mut one);
            }
            for copy in machine::copies(one, machine_name, common.count) {
                if let Some((_, first)) = taken.iter().find(|(known, _)| *known == copy.name) {
                    check.push(
                        Problem::error(
                            machine_at.name(),
                            format!("there are two machines called `{}`", copy.name),
                        )
                        .expected("a name of its own for each machine in the file")
                        .see(first.clone(), "the first of them"),
                    );
                } else {
                    taken.push((copy.name.clone(), machine_at.name()));
                }
                machines.push(copy);
            }
        }
        // Copies of a machine that has brothers stand among them by their own names.
        machines.sort_by(|a, b| by_name(&a.name, &b.name));
        let plan_on = view.plan_on.and_then(|told| {
            let here: Vec<String> = machines.iter().map(|m| m.name.clone()).collect();
            check.find(
                at.key("plan_on").value(),
                told,
                &here,
                "a machine of this station",
            )
        });
        stations.push(Station {
            plan_on,
            name: name.clone(),
            work,
            next: view.next.iter().map(|next| rule(*next)).collect(),
            family_wait_min,
            family_slack_min,
            family_most: view.family_most,
            lot,
            staging: view.staging,
            policy: policy::policy(check, file, names, &at, &view, work),
            machines,
        });
    }
    stations
}

fn lot(check: &mut Checker, at: &At, written: Option<&file::Lot>, work: Work) -> LotSize {
    let by_order = matches!(
        work,
        Work::Bench | Work::Inspection | Work::Spouting | Work::Packing
    );
    let Some(text) = written else {
        return if by_order {
            LotSize::Order
        } else {
            LotSize::Roll
        };
    };
    let at = at.key("lot");
    match form::lot(&text.0) {
        Ok(LotText::Roll) => LotSize::Roll,
        Ok(LotText::Order) => LotSize::Order,
        Ok(LotText::Metres(metres)) => {
            check.in_range(&at, &text.0, metres, 1.0, 1e6, "from 1 m to 1000 km");
            LotSize::Metres(metres)
        }
        Ok(LotText::Pouches(pouches)) => {
            check.in_range(
                &at,
                &text.0,
                pouches,
                1.0,
                1e8,
                "from 1 to 100000000 pouches",
            );
            LotSize::Pouches(pouches)
        }
        Err(complaint) => {
            check.push(complaint.at(at.value()));
            LotSize::Roll
        }
    }
}

/// Each machine of a station by name, with the part that depends on its work.
fn processes<'a>(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    station: &'a file::Station,
) -> Vec<(&'a str, Process)> {
    let machines_at = at.key("machines");
    let mut all: Vec<(&str, Process)> = Vec::new();
    match station {
        file::Station::Press(station) => {
            for (name, written) in &station.machines {
                all.push((name, specs::press(check, &machines_at.key(name), written)));
            }
        }
        file::Station::Lamination(station) => {
            for (name, written) in &station.machines {
                all.push((
                    name,
                    specs::laminator(check, &machines_at.key(name), written),
                ));
            }
        }
        file::Station::Slitting(station) => {
            for (name, written) in &station.machines {
                all.push((name, specs::slitter(check, &machines_at.key(name), written)));
            }
        }
        file::Station::Pouching(station) => {
            for (name, written) in &station.machines {
                all.push((
                    name,
                    specs::pouch_machine(check, names, &machines_at.key(name), written),
                ));
            }
        }
        file::Station::Inspection(station) | file::Station::Spouting(station) => {
            for (name, written) in &station.machines {
                all.push((
                    name,
                    specs::piece_machine(check, &machines_at.key(name), written),
                ));
            }
        }
        file::Station::Packing(station) => {
            for (name, written) in &station.machines {
                all.push((name, specs::packer(check, &machines_at.key(name), written)));
            }
        }
        file::Station::Bench(station) => {
            let time = bench_time(check, file, names, at, station);
            for name in station.machines.keys() {
                all.push((name, Process::Bench(time.clone())));
            }
        }
    }
    all
}

fn bench_time(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    station: &file::BenchStation,
) -> BenchTime {
    let mut times: Vec<Option<Dist>> = vec![None; file.products.len()];
    match (&station.time, &station.times) {
        (Some(text), None) => {
            let time = check.random(&at.key("time"), &text.0, Dimension::Duration);
            times.fill(Some(time));
        }
        (None, Some(by_product)) => {
            for (product, text) in by_product {
                let at = at.key("times").key(product);
                let time = check.random(&at, &text.0, Dimension::Duration);
                if let Some(index) = check.find(at.name(), product, &names.products, "a product")
                    && let Some(slot) = times.get_mut(index)
                {
                    *slot = Some(time);
                }
            }
        }
        _ => check.push(
            Problem::error(at.name(), "a bench needs either `time` or `times`")
                .expected("`time` for every product, or `times` by product"),
        ),
    }
    let per = match station.per {
        Per::Lot => BenchPer::Lot,
        Per::Metre => BenchPer::Metre,
        Per::Pouch => BenchPer::Pouch,
    };
    BenchTime { per, times }
}
