//! What rush orders cost, in words.
//!
//! In: a [`View`]. Out: sentences, lines for a terminal and tables. A premium "clearly pays" only where the
//! whole interval of what rush brings a year lies above nothing.

use crate::compare::difference::PAIRS_MIN;
use crate::compare::headline::CHANGING;
use crate::compare::rush::{PerOrder, Policy};
use crate::compare::{Call, Unknown};
use crate::report::figure::Figure;
use crate::report::table::Table;
use crate::report::words::{clean, fit, left, right};
use crate::summary::money::Spread;
use crate::units::{grouped, money};

use super::View;
use super::money::{range, signed};
use super::page::place;
use super::words::{change, change_interval, change_interval_within, demand, mark, value};

/// Width of a name and of the rest in a terminal.
const NAME: usize = 23;
/// Classes side by side in a terminal.
const ABREAST: usize = 3;
/// Width of what a policy adds.
const EXTRA: usize = 28;

/// What one rush order costs with its range: `12.30 (11.00 to 13.60)`.
fn per_order(told: &PerOrder) -> String {
    format!("{} ({})", money(told.at), ends(told))
}

fn ends(told: &PerOrder) -> String {
    match (told.low, told.high) {
        (Some(low), Some(high)) => format!("{} to {}", money(low), money(high)),
        _ => "open".to_owned(),
    }
}

/// Whether the premium pays, as far as the interval tells.
pub fn call(pays: &Spread) -> &'static str {
    let (low, high) = (pays.interval.low, pays.interval.high);
    if pays.n < PAIRS_MIN {
        "not settled whether it pays"
    } else if low > 0.0 {
        "clearly pays"
    } else if high < 0.0 {
        "clearly does not pay"
    } else {
        "not settled whether it pays"
    }
}

/// Names of the classes that are rush.
fn classes(view: &View<'_>) -> Vec<String> {
    let Some(rush) = &view.comparison.rush else {
        return Vec::new();
    };
    let layout = &view.comparison.cases[0][0].summary.layout;
    let name = |class: &usize| layout.groups.get(1 + class).map(|group| clean(&group.1));
    rush.question.classes.iter().filter_map(name).collect()
}

fn policies<'a>(view: &'a View<'_>, demand: usize) -> Vec<(usize, &'a Policy)> {
    let rush = view.comparison.rush.as_ref();
    rush.and_then(|rush| rush.policies.get(demand))
        .into_iter()
        .flatten()
        .enumerate()
        .filter_map(|(v, policy)| Some((v, policy.as_ref()?)))
        .collect()
}

/// What may be said of rush at a demand case; nothing where it is not known.
pub fn sentences(view: &View<'_>, demand: usize) -> Vec<String> {
    let all = policies(view, demand);
    let Some((_, today)) = all.iter().find(|(v, _)| *v == 0) else {
        return Vec::new();
    };
    let currency = &view.currency;
    let mut out = format!(
        "A rush order ({}) costs {} {currency} more today than the same order taken as a standard one.",
        classes(view).join(", "),
        per_order(&today.cost)
    );
    if !matches!((today.cost.low, today.cost.high), (Some(low), Some(high)) if low > 0.0 || high < 0.0)
    {
        out += " Whether it costs more at all is not settled.";
    }
    if today.premium > 0.0 {
        out += &format!(
            " Today's premium is {} {currency} an order on average.",
            money(today.premium)
        );
        for (words, wanted) in [
            ("The premium clearly pays for that", "clearly pays"),
            (
                "The premium clearly does not pay for that",
                "clearly does not pay",
            ),
            ("Not settled whether it pays", "not settled whether it pays"),
        ] {
            let names: Vec<&str> = all
                .iter()
                .filter(|(_, policy)| call(&policy.pays) == wanted)
                .map(|(v, _)| view.name(*v))
                .collect();
            if !names.is_empty() {
                out += &format!(" {words}: {}.", names.join(", "));
            }
        }
    }
    vec![out]
}

/// The classes that have figures, with the places of their lead time and share on time among the headlines.
fn sides(view: &View<'_>) -> Vec<(String, usize, usize)> {
    let c = view.comparison;
    let find = |key: &str| c.headlines.iter().position(|h| h.key == key);
    let layout = &c.cases[0][0].summary.layout;
    layout.groups[1..]
        .iter()
        .filter_map(|(key, name)| {
            let lead = find(&format!("lead_done/{key}/p90"))?;
            let on_time = find(&format!("on_time/{key}"))?;
            Some((clean(name), lead, on_time))
        })
        .collect()
}

/// The figures that say what a policy adds: hours of changeovers, web lost.
fn extras(view: &View<'_>) -> Vec<(&'static str, usize)> {
    let find = |key: &str| view.comparison.headlines.iter().position(|h| h.key == key);
    [("changing over", CHANGING), ("web lost", "cell/waste_m")]
        .into_iter()
        .filter_map(|(words, key)| Some((words, find(key)?)))
        .collect()
}

fn extra(view: &View<'_>, variant: usize, demand: usize, h: usize) -> String {
    let c = view.comparison;
    let headline = &c.headlines[h];
    match c.cases[variant][demand].against_today.get(h) {
        Some(Ok(told)) => format!(
            "{} {}",
            change_interval_within(told, headline, view.reader, EXTRA - 3),
            mark(told.call)
        ),
        Some(Err(unknown)) => format!("{}  ", unknown.words()),
        None => format!(
            "{}  ",
            value(&c.cases[variant][demand].figures[h], headline, view.reader)
        ),
    }
}

/// Variants that stand side by side: today and those that differ from it in rules alone; nobody where there is no
/// other one.
fn beside(view: &View<'_>) -> Vec<usize> {
    let Some(rush) = &view.comparison.rush else {
        return Vec::new();
    };
    let all: Vec<usize> = (0..view.variants.len())
        .filter(|&v| rush.by_rules.get(v) == Some(&true))
        .collect();
    match all.len() {
        0 | 1 => Vec::new(),
        _ => all,
    }
}

/// Who is left out and why; nothing where nobody is.
fn left_out(view: &View<'_>) -> Option<String> {
    let rush = view.comparison.rush.as_ref()?;
    let out: Vec<usize> = (1..view.variants.len())
        .filter(|&v| rush.by_rules.get(v) == Some(&false))
        .collect();
    let names = super::verdict::names(view, &out);
    match (out.is_empty(), beside(view).is_empty()) {
        (true, _) => None,
        (false, true) => Some(
            "No variant differs from today in rules alone (what is next, interruption, limits, hours kept), so no rush \
             policies stand side by side."
                .to_owned(),
        ),
        (false, false) => Some(format!(
            "Left out among the rush policies, because they differ from today in more than rules: {names}."
        )),
    }
}

/// For a terminal, at most 80 columns; nothing where there is no such question.
pub fn lines(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    if c.rush.is_none() {
        return Vec::new();
    }
    let mut out = Vec::new();
    for (d, &at) in c.demands.iter().enumerate() {
        let shown = beside(view);
        if !shown.is_empty() {
            out.push(String::new());
            out.push(format!(
                "RUSH POLICIES SIDE BY SIDE, {}",
                demand(at).to_uppercase()
            ));
        }
        for some in sides(view).chunks(ABREAST).filter(|_| !shown.is_empty()) {
            let heads = some.iter().map(|side| right(&fit(&side.0, 18), 19));
            out.push(left("", NAME) + &heads.collect::<String>());
            let heads = some
                .iter()
                .map(|_| right("9 of 10", 10) + &right("on time", 9));
            out.push(left("", NAME) + &heads.collect::<String>());
            for &v in &shown {
                let figure = |h: usize, width: usize| {
                    let words = value(&c.cases[v][d].figures[h], &c.headlines[h], view.reader);
                    right(&words, width)
                };
                let cells = some.iter().map(|side| {
                    // Said once for both figures: the columns are too narrow for it twice.
                    match &c.cases[v][d].figures[side.1] {
                        Err(unknown @ Unknown::NotSteady) => right(unknown.words(), 19),
                        _ => figure(side.1, 10) + &figure(side.2, 9),
                    }
                });
                out.push(left(view.name(v), NAME) + &cells.collect::<String>());
            }
        }
        let extras = extras(view);
        let heads = extras
            .iter()
            .map(|(words, _)| right(&format!("{words}, a week"), EXTRA));
        if !shown.is_empty() {
            out.push(left("against today", NAME) + &heads.collect::<String>());
        }
        for &v in &shown {
            let cells = extras
                .iter()
                .map(|&(_, h)| right(&extra(view, v, d, h), EXTRA));
            out.push(left(view.name(v), NAME) + &cells.collect::<String>());
        }
        let told = policies(view, d);
        if told.is_empty() {
            continue;
        }
        out.push(String::new());
        out.push(fit(
            &format!(
                "WHAT A RUSH ORDER COSTS, {} ({})",
                demand(at).to_uppercase(),
                view.currency
            ),
            80,
        ));
        let line = |name: &str, cells: [&str; 4]| {
            let widths = [22, 17, 9, 9];
            let cells: String = cells.iter().zip(widths).map(|(c, w)| right(c, w)).collect();
            left(name, NAME - 1) + " " + &cells
        };
        out.push(line(
            "",
            ["more than standard", "10 to 90 %", "premium", "as today"],
        ));
        for (v, policy) in told {
            let spread = format!("{} to {}", money(policy.cost.p10), money(policy.cost.p90));
            let equal = policy
                .against_today
                .as_ref()
                .map_or_else(String::new, |told| signed(told.at));
            out.push(line(
                view.name(v),
                [
                    &per_order(&policy.cost),
                    &spread,
                    &money(policy.premium),
                    &equal,
                ],
            ));
        }
    }
    out
}

/// What the columns of the terminal and the tables mean.
pub fn explanation(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    if (0..c.demands.len()).all(|d| policies(view, d).is_empty()) {
        return left_out(view).into_iter().collect();
    }
    let mut out = vec![
        "More than standard: yearly result of the same cell with all orders taken as standard ones (no class first, \
         standard promise and price of lateness, nothing interrupted or kept) less that of the policy, premiums left \
         out, for each rush order, with its interval. It is the premium an order must pay for rush. 10 to 90 %: over \
         replications. As today: premium on top of what is told at which the policy is worth as much as today's; \
         below nothing, what could be given away."
            .to_owned(),
    ];
    out.extend(left_out(view));
    out
}

/// Both classes side by side, with what a policy adds.
pub fn side_by_side(view: &View<'_>, d: usize) -> Table {
    let c = view.comparison;
    let mut head = vec![String::new()];
    for (name, ..) in sides(view) {
        head.push(format!("{name}, 9 of 10"));
        head.push(format!("{name}, on time"));
    }
    head.extend(extras(view).iter().map(|(words, _)| (*words).to_owned()));
    let rows = beside(view)
        .into_iter()
        .map(|v| {
            let figure = |h: usize| {
                let told = &c.cases[v][d].figures[h];
                Figure::told(
                    value(told, &c.headlines[h], view.reader),
                    super::words::interval(told, &c.headlines[h], view.reader),
                )
                .at(place(view, v, d, h, "value"))
            };
            let added = |h: usize| match c.cases[v][d].against_today.get(h) {
                Some(Ok(told)) => Figure::told(
                    change(told, &c.headlines[h], view.reader),
                    match told.call {
                        Call::Same => String::new(),
                        _ => change_interval(told, &c.headlines[h], view.reader),
                    },
                )
                .at(place(view, v, d, h, "against_today")),
                Some(Err(unknown)) => Figure::missing(unknown.words()),
                None => figure(h),
            };
            let mut cells: Vec<Figure> = sides(view)
                .iter()
                .flat_map(|side| [figure(side.1), figure(side.2)])
                .collect();
            cells.extend(extras(view).iter().map(|&(_, h)| added(h)));
            (view.name(v).to_owned(), cells)
        })
        .collect();
    Table {
        title: format!("Rush policies side by side, {}", demand(c.demands[d])),
        note: "Changeovers and web lost a week: today's, then differences from it.".to_owned(),
        head,
        rows,
    }
}

/// What a rush order costs and of what that is made.
pub fn costs(view: &View<'_>, d: usize) -> Table {
    let c = view.comparison;
    let before: usize = (0..d).map(|d| policies(view, d).len()).sum();
    let rows = policies(view, d)
        .into_iter()
        .zip(before..)
        .map(|((v, policy), place)| {
            let at = |key: &str| format!("/rush/policies/{place}/{key}");
            let order = |told: &PerOrder, key: &str| {
                [
                    Figure::told(signed(told.at), ends(told)).at(at(key)),
                    Figure::told(
                        signed(told.p50),
                        format!("{} to {}", money(told.p10), money(told.p90)),
                    )
                    .at(at(&format!("{key}/over_replications"))),
                ]
            };
            let [late, hours, material] = policy.parts.map(signed);
            let mut cells =
                vec![Figure::plain(grouped(policy.orders_a_year, 0)).at(at("orders_a_year"))];
            cells.extend(order(&policy.cost, "cost"));
            cells.extend([
                Figure::plain(late).at(at("of_lateness")),
                Figure::plain(hours).at(at("of_labour_and_machines")),
                Figure::plain(material).at(at("of_material")),
                Figure::plain(money(policy.premium)).at(at("premium")),
                Figure::told(
                    format!("{}, {}", signed(policy.pays.mean), call(&policy.pays)),
                    range(&policy.pays),
                )
                .at(at("brings_a_year")),
            ]);
            match &policy.against_today {
                Some(told) => cells.extend(order(told, "premium_as_today")),
                None => cells.extend([Figure::plain(""), Figure::plain("")]),
            }
            (view.name(v).to_owned(), cells)
        })
        .collect();
    Table {
        title: format!("What a rush order costs, {}", demand(c.demands[d])),
        note: format!(
            "{} for one order of {}.",
            view.currency,
            classes(view).join(", ")
        ),
        head: [
            "",
            "orders a year",
            "more than standard",
            "middle replication, 10 to 90 %",
            "lateness",
            "labour, machines",
            "material",
            "premium told",
            "brings a year",
            "premium as today",
            "middle replication, 10 to 90 %",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows,
    }
}
