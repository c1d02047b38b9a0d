//! First-off approval of machines.
//!
//! In: the key as written. Out: the plant's approval; errors where it can fall below the quality plan, or where crews
//! could wait for each other for ever.

use std::collections::BTreeMap;

use crate::plant::{AskedAt, Crew, FirstOff};
use crate::units::Dimension;

use super::super::file::{self, ScenarioFile};
use super::super::problem::Problem;
use super::machine::people;
use super::{At, Checker, Names};

/// The approval of one machine with the crew `of`.
pub(super) fn first_off(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    at: &At,
    written: &file::FirstOff,
    of: &Crew,
) -> FirstOff {
    let time = check.random(&at.key("time"), &written.time.0, Dimension::Duration);
    let least = check.duration(&at.key("at_least"), &written.at_least.0);
    if time.support().0 + 1e-6 < least {
        let least = written.at_least.0.trim();
        check.push(
            Problem::error(
                at.key("time").value(),
                "the approval can be shorter than the quality plan allows",
            )
            .expected(format!("never less than {least}"))
            .help(format!(
                "end a time that varies with `at least {least}`; an approval is a gate, like a hold"
            ))
            .see(at.key("at_least").name(), "the least time"),
        );
    }
    let crew = people(check, file, names, &at.key("crew"), &written.crew);
    let mut all = of.run.clone();
    all.extend(&crew);
    all.sort_unstable();
    let mut few = (of.short.as_ref()).map_or_else(|| of.run.clone(), |short| short.people.clone());
    few.extend(&crew);
    few.sort_unstable();
    FirstOff {
        time,
        crew,
        all,
        few,
        at: match written.at {
            file::AskedAt::Start => AskedAt::Start,
            file::AskedAt::Artwork => AskedAt::Artwork,
            file::AskedAt::Size => AskedAt::Size,
        },
    }
}

/// Crews that stay on their machines while they wait for those who look must not themselves be waited for: two
/// machines whose people look at each other's work would stand for ever.
pub(super) fn pools(check: &mut Checker, file: &ScenarioFile) {
    let views: Vec<_> = (file.stations.iter())
        .map(|(name, station)| (name, station.view()))
        .collect();
    let asking = || {
        views.iter().flat_map(|(station, view)| {
            view.machines.iter().filter_map(move |(machine, common)| {
                let first_off = common.first_off?;
                Some((*station, machine, common, first_off))
            })
        })
    };
    let mut runs: BTreeMap<&str, (&str, &str)> = BTreeMap::new();
    for (station, machine, common, first_off) in asking() {
        if !first_off.crew.is_empty() {
            for (pool, _) in &common.crew.run {
                runs.entry(pool).or_insert((station, machine));
            }
        }
    }
    for (station, machine, _, first_off) in asking() {
        let at = At::block("stations").key(station).key("machines");
        for (pool, _) in &first_off.crew {
            if let Some((other, runs_there)) = runs.get(pool.as_str()) {
                let there = At::block("stations").key(other).key("machines");
                check.push(
                    Problem::error(
                        at.key(machine).key("first_off").key("crew").key(pool).name(),
                        format!("the pool `{pool}` looks at first goods and runs machines that wait for such a look"),
                    )
                    .expected("a pool of its own for those who look, or no `crew`: the crew of the machine looks itself")
                    .note("crews stay on their machines while they wait, so all of the pool could wait for each other for ever")
                    .see(there.key(runs_there).key("crew").key("run").key(pool).name(), "runs with it"),
                );
            }
        }
    }
}
