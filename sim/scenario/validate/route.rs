//! Routes: as written, or every station whose work applies; and whether they can be walked.

use crate::plant::{Product, Station, Work};
use crate::trade::Format;

use super::super::file::ScenarioFile;
use super::super::problem::Problem;
use super::product::Draft;
use super::{At, Checker, Names};

pub(super) fn routes(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    stations: &[Station],
    drafts: &mut [Draft],
) {
    for ((name, written), draft) in file.products.iter().zip(drafts) {
        let Some(product) = &mut draft.product else {
            continue;
        };
        let at = At::block("products").key(name);
        let passes = match written
            .laminate
            .as_ref()
            .and_then(|laminate| file.laminates.get(laminate))
        {
            Some(laminate) => laminate.passes.count(),
            None => 1,
        };
        match &written.route {
            Some(route) => {
                let at = at.key("route");
                let mut steps = Vec::new();
                for (index, station) in route.iter().enumerate() {
                    steps.extend(check.find(
                        at.item(index).value(),
                        station,
                        &names.stations,
                        "a station",
                    ));
                }
                // Problems of a route with unknown stations would be about the gaps.
                if steps.len() == route.len() {
                    product.route = with_passes(check, &at, name, &steps, stations, passes);
                    walkable(check, &at, product, stations);
                }
            }
            None => {
                product.route = usual(product, stations, passes);
                if product.route.is_empty() {
                    let what = if product.format.is_some() {
                        ""
                    } else {
                        " (it has no `format`, so it only visits bench stations)"
                    };
                    check.push(
                        Problem::error(
                            at.name(),
                            format!("no station has work for `{name}`{what}"),
                        )
                        .expected("stations whose work applies, or a `route`"),
                    );
                } else {
                    walkable(check, &at, product, stations);
                }
            }
        }
    }
}

/// Every station in file order whose work applies, the first of each work.
fn usual(product: &Product, stations: &[Station], passes: usize) -> Vec<usize> {
    let mut route = Vec::new();
    let mut seen: Vec<Work> = Vec::new();
    for (index, station) in stations.iter().enumerate() {
        let applies = match (station.work, product.format) {
            (Work::Bench, format) => format.is_none(),
            (_, None) => false,
            (Work::Pouching, Some(format)) => format.needs_pouching(),
            (Work::Spouting, Some(format)) => format == Format::Spouted,
            (
                Work::Press | Work::Lamination | Work::Slitting | Work::Inspection | Work::Packing,
                Some(_),
            ) => true,
        };
        if !applies || (station.work != Work::Bench && seen.contains(&station.work)) {
            continue;
        }
        seen.push(station.work);
        let times = if station.work == Work::Lamination {
            passes
        } else {
            1
        };
        route.extend(std::iter::repeat_n(index, times));
    }
    route
}

/// A lamination station named once stands for every pass.
fn with_passes(
    check: &mut Checker,
    at: &At,
    name: &str,
    steps: &[usize],
    stations: &[Station],
    passes: usize,
) -> Vec<usize> {
    let is_lamination = |index: &usize| {
        stations
            .get(*index)
            .is_some_and(|station| station.work == Work::Lamination)
    };
    let named = steps.iter().filter(|index| is_lamination(index)).count();
    if named == 1 {
        return steps
            .iter()
            .flat_map(|index| {
                std::iter::repeat_n(*index, if is_lamination(index) { passes } else { 1 })
            })
            .collect();
    }
    if named != 0 && named != passes {
        let passes = if passes == 1 {
            "one pass".to_string()
        } else {
            format!("{passes} passes")
        };
        check.push(
            Problem::error(
                at.name(),
                format!(
                    "the route of `{name}` names {named} laminations, its laminate needs {passes}"
                ),
            )
            .expected("lamination once, or once per pass"),
        );
    }
    steps.to_vec()
}

/// Where a kind of work stands in the order of the floor; `None` where it may stand anywhere.
fn rank(work: Work) -> Option<(u8, &'static str)> {
    match work {
        Work::Press => Some((0, "printing")),
        Work::Lamination => Some((1, "lamination")),
        Work::Slitting => Some((2, "slitting")),
        Work::Pouching => Some((3, "pouch making")),
        Work::Spouting => Some((4, "spouting")),
        Work::Packing => Some((5, "packing")),
        Work::Inspection | Work::Bench => None,
    }
}

fn walkable(check: &mut Checker, at: &At, product: &Product, stations: &[Station]) {
    let name = &product.name;
    let steps: Vec<(usize, &Station)> = product
        .route
        .iter()
        .filter_map(|index| Some((*index, stations.get(*index)?)))
        .collect();
    let mut furthest: Option<(u8, &str)> = None;
    for (number, (index, station)) in steps.iter().enumerate() {
        let before = steps.get(..number).unwrap_or_default();
        if product.format.is_none() && station.work != Work::Bench {
            check.push(
                Problem::error(
                    at.name(),
                    format!(
                        "`{name}` has no `format` and cannot go through `{}`",
                        station.name
                    ),
                )
                .expected("bench stations only, or a product with a format"),
            );
            return;
        }
        let again = before.iter().any(|(earlier, _)| earlier == index);
        if again && !matches!(station.work, Work::Lamination | Work::Bench) {
            check.push(
                Problem::error(
                    at.name(),
                    format!("the route of `{name}` visits `{}` twice", station.name),
                )
                .expected("each station once; only laminations and benches repeat"),
            );
        }
        if let Some((rank, what)) = rank(station.work) {
            match furthest {
                Some((other_rank, other)) if other_rank > rank => check.push(
                    Problem::error(at.name(), format!("the route of `{name}` is impossible: {what} (`{}`) after {other}", station.name))
                        .expected("press, lamination, slitting, pouching, spouting, packing, in this order; inspection and benches anywhere"),
                ),
                _ => furthest = Some((rank, what)),
            }
        }
    }
    let has = |work: Work| steps.iter().any(|(_, station)| station.work == work);
    match product.format {
        Some(Format::RollStock) if has(Work::Pouching) => check.push(
            Problem::error(
                at.name(),
                format!("`{name}` is roll-stock and cannot go through pouch making"),
            )
            .expected("a route without pouching, or a pouch format"),
        ),
        Some(format) if format.needs_pouching() && !has(Work::Pouching) => {
            let message = format!("`{name}` is a pouch and its route has no pouch making");
            let expected =
                "a station with `work: pouching`, or `format: roll_stock` for reels that are sold";
            let later = has(Work::Packing) || has(Work::Spouting);
            check.push(if later {
                Problem::error(at.name(), message).expected(expected)
            } else {
                Problem::warning(at.name(), message).expected(expected)
            });
        }
        Some(Format::Spouted) if !has(Work::Spouting) => check.push(
            Problem::error(
                at.name(),
                format!("`{name}` is spouted and its route has no spouting"),
            )
            .expected("a station with `work: spouting`"),
        ),
        Some(format) if format != Format::Spouted && has(Work::Spouting) => check.push(
            Problem::error(
                at.name(),
                format!("`{name}` has no spout and its route goes through spouting"),
            )
            .expected("`format: spouted`, or a route without spouting"),
        ),
        _ => {}
    }
}
