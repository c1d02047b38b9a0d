//! Classes with their promises, streams with their shares.

use crate::plant::{Arrivals, Calendar, Class, Outside, Plant, Promise, Shortage, WhenFull};
use crate::random::Dist;
use crate::units::Dimension;

use super::super::file::{self, Named, ScenarioFile, Share};
use super::super::form::{self, PromiseText};
use super::super::problem::{Place, Problem};
use super::{At, Checker, Names};

/// How far shares may be from adding up to 1.
const SHARE_TOLERANCE: f64 = 1e-4;

pub(super) fn classes(check: &mut Checker, file: &ScenarioFile, names: &Names) -> Vec<Class> {
    if file.classes.is_empty() {
        return vec![Class {
            name: "standard".to_string(),
            rank: 1,
            promise: Promise::None,
            limit: None,
            shortage: Shortage::ShipShort,
            when_full: None,
        }];
    }
    let mut classes = Vec::new();
    for (name, written) in &file.classes {
        let at = At::block("classes").key(name).key("promise");
        let promise = match form::promise(&written.promise.0) {
            Ok(PromiseText::None) => Promise::None,
            Ok(PromiseText::After(dist)) => Promise::After(dist),
            Ok(PromiseText::WorkingDays(days, calendar)) => {
                match check.find(at.value(), &calendar, &names.calendars, "a calendar") {
                    Some(calendar) => Promise::WorkingDays { days, calendar },
                    None => Promise::None,
                }
            }
            Err(complaint) => {
                check.push(complaint.at(at.value()));
                Promise::None
            }
        };
        let rank = written.rank.unwrap_or(u8::from(name != "rush"));
        let when_full = when_full(check, &At::block("classes").key(name), written, &promise);
        classes.push(Class {
            name: name.clone(),
            rank,
            promise,
            limit: written.limit,
            shortage: shortage(check, &At::block("classes").key(name), written),
            when_full,
        });
    }
    classes
}

fn shortage(check: &mut Checker, at: &At, written: &file::Class) -> Shortage {
    let at = at.key("tolerance");
    let tolerance = written
        .tolerance
        .as_ref()
        .map(|text| check.share(&at, &text.0));
    match written.shortage {
        file::Shortage::Remake => Shortage::Remake {
            tolerance: tolerance.unwrap_or(0.0),
        },
        file::Shortage::ShipShort => {
            if tolerance.is_some() {
                check.push(
                    Problem::error(
                        at.name(),
                        "`tolerance` has no effect: what is missing is shipped short",
                    )
                    .expected("`shortage: remake` with it, or no `tolerance`"),
                );
            }
            Shortage::ShipShort
        }
    }
}

/// What happens to an order of a class that cannot be promised.
fn when_full(
    check: &mut Checker,
    at: &At,
    written: &file::Class,
    promise: &Promise,
) -> Option<WhenFull> {
    let rule = written.when_full;
    let taken = rule == file::WhenFull::TakeAll;
    let mut idle = |key: &str, told: bool, expected: &str| {
        if told {
            check.push(
                Problem::error(
                    at.key(key).name(),
                    format!("`{key}` has no effect with this `when_full`"),
                )
                .expected(expected),
            );
        }
    };
    idle(
        "quote_margin",
        taken && written.quote_margin.is_some(),
        "`when_full: turn_away` or `send_out` with it, or no `quote_margin`",
    );
    idle(
        "outside",
        rule != file::WhenFull::SendOut && written.outside.is_some(),
        "`when_full: send_out` with it, or no `outside`",
    );
    if taken {
        return None;
    }
    if *promise == Promise::None {
        check.push(
            Problem::error(
                at.key("when_full").name(),
                "`when_full` needs a promise: an order without one can always be taken",
            )
            .expected("a `promise` of the class, or `when_full: take_all`"),
        );
    }
    let margin = written.quote_margin.as_ref();
    let margin_min = margin.map_or(0.0, |text| check.duration(&at.key("quote_margin"), &text.0));
    let outside = match (rule, &written.outside) {
        (file::WhenFull::SendOut, None) => {
            check.push(
                Problem::error(
                    at.key("when_full").name(),
                    "`when_full: send_out` needs to know how long the other shop takes",
                )
                .expected("`outside: { takes: 10 d }` in the class"),
            );
            None
        }
        (file::WhenFull::SendOut, Some(told)) => {
            let at = at.key("outside");
            Some(Outside {
                takes_min: check.duration(&at.key("takes"), &told.takes.0),
                least: told.least.as_ref().map_or(0.0, |text| {
                    check.quantity(&at.key("least"), &text.0, Dimension::Count)
                }),
            })
        }
        _ => None,
    };
    Some(WhenFull {
        margin_min,
        outside,
    })
}

pub(super) fn arrivals(
    check: &mut Checker,
    file: &ScenarioFile,
    names: &Names,
    calendars: &[Calendar],
) -> Vec<Arrivals> {
    if file.orders.is_empty() && file.book.is_none() {
        check.push(
            Problem::error(At::block("orders").name(), "there are no orders")
                .expected("`orders` with at least one stream, or a `book`"),
        );
    }
    let mut streams: Vec<Arrivals> = Vec::new();
    for (index, written) in file.orders.iter().enumerate() {
        let at = At::block("orders").item(index);
        if streams.iter().any(|stream| stream.name == written.name) {
            check.push(
                Problem::error(
                    at.key("name").value(),
                    format!("there are two streams called `{}`", written.name),
                )
                .expected("a name of its own for each stream"),
            );
        }
        let calendar = check
            .find(
                at.key("calendar").value(),
                &written.calendar,
                &names.calendars,
                "a calendar",
            )
            .unwrap_or_default();
        let gap = gap(check, &at, written, calendars.get(calendar));
        let classes = match &written.classes {
            Some(shares) => {
                self::shares(check, &at.key("classes"), shares, &names.classes, "a class")
            }
            None => vec![(0, 1.0)],
        };
        let products = shares(
            check,
            &at.key("products"),
            &written.products,
            &names.products,
            "a product",
        );
        let skus = count(check, &at.key("skus"), &written.skus.0, 1000.0);
        let quantity = count(check, &at.key("quantity"), &written.quantity.0, 1e8);
        let press = press(check, &at, names, written);
        if press.is_some() {
            let dated = classes.iter().any(|(class, _)| is_dated(file, *class));
            if dated {
                check.push(
                    Problem::error(
                        at.key("press").name(),
                        "dates are worked out for these orders (`when_full`), and not when they are printed",
                    )
                    .expected("no `press`, or classes without `when_full`"),
                );
            }
        }
        streams.push(Arrivals {
            press,
            gang: written.gang,
            one_product: written.one_product,
            name: written.name.clone(),
            gap,
            // The first calendar is the one that never closes.
            calendar: (calendar > 0).then_some(calendar),
            classes,
            products,
            skus,
            quantity,
        });
    }
    streams
}

/// Time between orders, minutes on the stream's clock.
fn gap(check: &mut Checker, at: &At, written: &file::Stream, calendar: Option<&Calendar>) -> Dist {
    match (&written.per_week, &written.every) {
        (Some(text), None) => {
            let at = at.key("per_week");
            let per_week = check.above_zero(&at, &text.0, Dimension::Count, 1e6, "1000000");
            // Exact for a week below 2^53 minutes.
            let open_min = calendar.map_or(10_080.0, |calendar| calendar.weekly_open_min() as f64);
            Dist::exponential(open_min / per_week).unwrap_or(Dist::Constant(1e9))
        }
        (None, Some(text)) => check.span(&at.key("every"), &text.0, Dimension::Duration),
        _ => {
            check.push(
                Problem::error(
                    at.key("name").value(),
                    format!(
                        "the stream `{}` needs either `per_week` or `every`",
                        written.name
                    ),
                )
                .expected("one of the two"),
            );
            Dist::Constant(1e9)
        }
    }
}

/// Shares by name; they add up to 100 %.
fn shares(
    check: &mut Checker,
    at: &At,
    written: &Named<Share>,
    known: &[String],
    what: &str,
) -> Vec<(usize, f64)> {
    let mut shares = Vec::new();
    let mut sum = 0.0;
    for (name, text) in written {
        let at = at.key(name);
        let share = check.at_most(&at, &text.0, Dimension::Share, 1.0, "100 %");
        sum += share;
        if let Some(index) = check.find(at.name(), name, known, what)
            && share > 0.0
        {
            shares.push((index, share));
        }
    }
    if (sum - 1.0).abs() > SHARE_TOLERANCE {
        let difference = 100.0 * (1.0 - sum);
        let word = if difference > 0.0 {
            "missing"
        } else {
            "too much"
        };
        check.push(
            Problem::error(
                at.name(),
                format!("the shares add up to {} %", percent(100.0 * sum)),
            )
            .expected("shares that add up to 100 %")
            .help(format!("{} % {word}", percent(difference.abs()))),
        );
    }
    // The order in which shares are drawn from follows the names.
    shares.sort_by_key(|share| share.0);
    shares
}

/// A percentage without needless decimals.
fn percent(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// A whole number of at least 1 that may vary.
fn count(check: &mut Checker, at: &At, text: &str, most: f64) -> Dist {
    let dist = check.random(at, text, Dimension::Count);
    let mean = dist.mean();
    if !(0.5..=most).contains(&mean) {
        let place = at.value();
        let text = text.trim();
        let problem = if mean < 0.5 {
            Problem::error(place, format!("`{text}` is less than one")).expected("at least 1")
        } else {
            Problem::error(place, format!("`{text}` is beyond any real order"))
                .expected(format!("at most {most} on average"))
                .help("check the number")
        };
        check.push(problem);
    }
    dist
}

/// Warns where days of the calendar are promised and the cell is closed on some of them.
pub(super) fn calendar_days(check: &mut Checker, file: &ScenarioFile, plant: &Plant) {
    const DAY_MIN: f64 = 1440.0;
    // A weekday that touches none of the openings of any machine.
    let machines = || plant.stations.iter().flat_map(|station| &station.machines);
    let calendars = || machines().filter_map(|m| plant.calendars.get(m.calendar));
    let shut: Vec<&str> = (0..)
        .zip([
            "Mondays",
            "Tuesdays",
            "Wednesdays",
            "Thursdays",
            "Fridays",
            "Saturdays",
            "Sundays",
        ])
        .filter(|&(day, _): &(u32, &str)| {
            let (from, to) = (day * 1440, (day + 1) * 1440);
            !calendars().any(|c| c.open.iter().any(|&(a, b)| a < to && b > from))
        })
        .map(|(_, name)| name)
        .collect();
    if shut.is_empty() || machines().next().is_none() {
        return;
    }
    for (name, class) in file.classes.keys().zip(&plant.classes) {
        let long = match &class.promise {
            Promise::After(dist) => dist.mean() > DAY_MIN,
            _ => false,
        };
        if long {
            check.push(
                Problem::warning(
                    At::block("classes").key(name).key("promise").value(),
                    format!(
                        "this promise counts every day, and the cell is closed on {}: orders released just before have \
                         less time than others",
                        shut.join(" and ")
                    ),
                )
                .help("count working days if that is meant: `5 working days of CALENDAR`"),
            );
        }
    }
}

/// The calendar of the press that prints a stream.
fn press(check: &mut Checker, at: &At, names: &Names, written: &file::Stream) -> Option<usize> {
    let name = written.press.as_ref()?;
    let place = at.key("press").value();
    check.find(place, name, &names.calendars, "a calendar")
}

/// Orders of a class, by its place, are dated when they come in.
fn is_dated(file: &ScenarioFile, class: usize) -> bool {
    let class = file.classes.values().nth(class);
    class.is_some_and(|class| class.when_full != file::WhenFull::default())
}

/// Warns about what is described and never used.
pub(super) fn unused(check: &mut Checker, file: &ScenarioFile) {
    let mut warn = |place: Place, message: String| {
        check.push(Problem::warning(place, message).help("use it or take it out"))
    };
    for name in file.products.keys() {
        let streamed = file
            .orders
            .iter()
            .any(|stream| stream.products.contains_key(name));
        // What today's book does not hold may well be in that of tomorrow.
        if !streamed && file.book.is_none() {
            warn(
                At::block("products").key(name).name(),
                format!("the product `{name}` is never ordered"),
            );
        }
    }
    let crews = || {
        file.stations
            .values()
            .flat_map(|station| station.view().machines)
    };
    for name in file.people.keys() {
        if !crews().any(|(_, machine)| {
            let looks = machine.first_off.as_ref().map(|first_off| &first_off.crew);
            machine.crew.run.contains_key(name)
                || machine.crew.changeover.contains_key(name)
                || looks.is_some_and(|crew| crew.contains_key(name))
                || machine
                    .breakdowns
                    .iter()
                    .any(|cause| cause.crew.contains_key(name))
        }) {
            warn(
                At::block("people").key(name).name(),
                format!("no machine needs the pool `{name}`"),
            );
        }
    }
    for name in file.rooms.keys() {
        let used = |adhesive: &file::Adhesive| {
            adhesive.racks.as_ref() == Some(name)
                || adhesive
                    .hot_room
                    .as_ref()
                    .is_some_and(|hot| hot.room == *name)
        };
        if !file.adhesives.values().any(used) {
            warn(
                At::block("rooms").key(name).name(),
                format!("no adhesive uses the room `{name}`"),
            );
        }
    }
}
