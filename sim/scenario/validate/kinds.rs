//! Kinds of web: words of laminates, and machines that run such webs slower.
//!
//! In: laminates and machines as written. Out: a number for each word, shares of speed by number.

use crate::units::Dimension;

use super::super::file::{Named, ScenarioFile, Share, Station};
use super::super::problem::Problem;
use super::product::each_once;
use super::{At, Checker, Names};

/// All words, each once.
pub(super) fn kinds(file: &ScenarioFile) -> Vec<String> {
    each_once(file.laminates.values().flat_map(|laminate| {
        let passes = laminate.passes.list().unwrap_or_default().iter();
        let of_passes = passes.flat_map(|pass| pass.kinds.iter().flatten());
        laminate.kinds.iter().chain(of_passes)
    }))
}

/// Numbers of the words of one web.
pub(super) fn numbers(names: &Names, written: &[String]) -> Vec<u16> {
    let found = written
        .iter()
        .filter_map(|kind| names.kinds.iter().position(|known| known == kind));
    found
        .filter_map(|number| u16::try_from(number).ok())
        .collect()
}

/// Shares of speed of a machine of a station, by kind.
pub(super) fn speed_for(
    check: &mut Checker,
    names: &Names,
    at: &At,
    station: &Station,
    machine: &str,
) -> Vec<(u16, f64)> {
    let told: Option<&Named<Share>> = match station {
        Station::Lamination(station) => station.machines.get(machine).map(|m| &m.speed_for),
        Station::Slitting(station) => station.machines.get(machine).map(|m| &m.speed_for),
        Station::Pouching(station) => station.machines.get(machine).map(|m| &m.speed_for),
        _ => None,
    };
    let mut shares = Vec::new();
    for (kind, text) in told.into_iter().flatten() {
        let at = at.key("speed_for").key(kind);
        let share = check.at_most(&at, &text.0, Dimension::Share, 1.0, "100 %");
        if share < 0.01 {
            check.push(
                Problem::error(at.value(), format!("it would hardly run `{kind}` at all"))
                    .expected("a share of its speed from 1 % to 100 %"),
            );
        }
        let found = check.find(at.name(), kind, &names.kinds, "a kind of web");
        if let Some(number) = found.and_then(|number| u16::try_from(number).ok()) {
            shares.push((number, share.max(0.01)));
        }
    }
    shares
}
