//! The verdict in a few sentences, each of which names the figures it speaks of.
//!
//! In: a [`View`]. Out: one paragraph: the deciding figures over all demand cases, the other figures of the
//! tables at one demand case, money. Every claim is a call of an interval ([`Call`]).

use crate::compare::headline::CHANGING;
use crate::compare::{Better, Call, Headline, home};
use crate::summary::Standing;

use super::super::View;
use super::super::text::told;
use super::super::words::demand_words;
use super::names;

/// The verdict in one text.
pub fn short(view: &View<'_>) -> String {
    lines(view).join(" ")
}

/// The verdict kind of figure by kind of figure.
pub fn lines(view: &View<'_>) -> Vec<String> {
    if view.variants.len() < 2 {
        return vec!["There is nothing to compare today with.".to_owned()];
    }
    let all = [
        deciding(view),
        others(view),
        super::super::money::short(view),
    ];
    all.into_iter().flatten().collect()
}

/// What kind of figure it is, and of which orders where there are several classes.
fn kind(headline: &Headline) -> (String, Option<String>) {
    let class = headline.key.contains("/class:");
    let group = || headline.label.rsplit(", ").next().map(str::to_owned);
    let of_orders = |words: &str| (words.to_owned(), if class { group() } else { None });
    let key = headline.key.as_str();
    let plain = |words: &str| (words.to_owned(), None);
    match key {
        CHANGING => plain("hours of changeovers"),
        "cell/waste_share" => plain("share of web lost"),
        "money/per_thousand" => plain("cost of 1,000 pouches"),
        "money/result" => plain("yearly result"),
        _ if key.starts_with("on_time/") => of_orders("orders on time"),
        _ if key.starts_with("lead_done/") && key.ends_with("/p90") => {
            of_orders("9 of 10 lead time")
        }
        _ => plain(&headline.label),
    }
}

/// Figures in a row, those of one kind together: `orders on time (quick, standard) and share of web lost`.
fn figures(view: &View<'_>, places: &[usize]) -> String {
    let mut kinds: Vec<(String, Vec<String>)> = Vec::new();
    for &h in places {
        let (words, group) = kind(&view.comparison.headlines[h]);
        match kinds.iter_mut().find(|(known, groups)| {
            // A figure of all orders stays by itself.
            *known == words && !groups.is_empty() && group.is_some()
        }) {
            Some((_, groups)) => groups.extend(group),
            None => kinds.push((words, group.into_iter().collect())),
        }
    }
    let all: Vec<String> = kinds
        .into_iter()
        .map(|(words, groups)| match groups.is_empty() {
            true => words,
            false => format!("{words} ({})", groups.join(", ")),
        })
        .collect();
    match all.as_slice() {
        [some @ .., last] if !some.is_empty() => format!("{} and {last}", some.join(", ")),
        _ => all.concat(),
    }
}

/// The deciding figures over all demand cases.
fn deciding(view: &View<'_>) -> Option<String> {
    let c = view.comparison;
    let by: Vec<usize> = c.deciding().collect();
    if by.is_empty() {
        return None;
    }
    let mut groups: [Vec<usize>; 7] = Default::default();
    let mut standing_counts = false;
    for variant in 1..view.variants.len() {
        let calls: Vec<Call> = (0..c.demands.len())
            .flat_map(|d| by.iter().map(move |&h| (d, h)))
            .filter_map(|(d, h)| c.cases[variant][d].against_today[h].ok().map(|t| t.call))
            .collect();
        let any = |call: Call| calls.contains(&call);
        // A variant that keeps up where today does not helps, though no figure can be compared there.
        let stands = |v: usize, d: usize| c.cases[v][d].standing != Standing::Overloaded;
        let rescues = (0..c.demands.len()).any(|d| stands(variant, d) && !stands(0, d));
        let fails = (0..c.demands.len()).any(|d| !stands(variant, d) && stands(0, d));
        standing_counts |= rescues || fails;
        let good = any(Call::Better) || rescues;
        let bad = any(Call::Worse) || fails;
        let group = match (good, bad) {
            (true, false) => 0,
            (true, true) => 1,
            (false, true) => 2,
            (false, false) if calls.is_empty() => 5,
            (false, false) if any(Call::Open) => 3,
            (false, false) if any(Call::Equal) => 6,
            (false, false) => 4,
        };
        groups[group].push(variant);
    }
    let one = by.len() * c.demands.len() == 1;
    let words = match one {
        true => [
            "clearly better",
            "clearly better and clearly worse",
            "clearly worse",
            "neither clearly better nor clearly worse",
            "no difference in any replication",
            "not comparable",
            "as good as equal",
        ],
        false => [
            "clearly better in some and clearly worse in none",
            "clearly better in some and clearly worse in others",
            "clearly worse in some and clearly better in none",
            "neither clearly better nor clearly worse in any",
            "no difference in any replication",
            "not comparable",
            "as good as equal",
        ],
    };
    let told: Vec<String> = words
        .iter()
        .zip(&groups)
        .filter(|(_, group)| !group.is_empty())
        .map(|(words, group)| format!("{words}: {}", names(view, group)))
        .collect();
    let cases = match c.demands.len() {
        1 => "",
        _ => ", over all demand cases",
    };
    let mut out = format!("By {}{cases}: {}.", figures(view, &by), told.join("; "));
    if standing_counts {
        out += " Keeping up where today does not counts as better, the reverse as worse.";
    }
    Some(out)
}

/// The other figures of the tables that have a better side, at today's demand, or at the first demand case in
/// which any of them can be compared.
fn others(view: &View<'_>) -> Option<String> {
    let c = view.comparison;
    let money = view.has_money && super::super::money::short(view).is_some();
    let shown: Vec<usize> = told(view)
        .filter(|(_, headline)| !headline.decides && headline.better != Better::Neither)
        // What a year brings is the matter of the sentence about money.
        .filter(|(_, headline)| !(money && headline.key == "money/result"))
        .map(|(h, _)| h)
        .collect();
    let call = |v: usize, d: usize, h: usize| c.cases[v][d].against_today[h].ok().map(|t| t.call);
    let can =
        |d: usize| (1..view.variants.len()).any(|v| shown.iter().any(|&h| call(v, d, h).is_some()));
    let home = home(&c.demands);
    let d = std::iter::once(home)
        .chain(0..c.demands.len())
        .find(|&d| can(d))?;
    let mut clauses = Vec::new();
    let mut unclear = Vec::new();
    for v in 1..view.variants.len() {
        let those = |wanted: Call| -> Vec<usize> {
            let all = shown.iter().copied();
            all.filter(|&h| call(v, d, h) == Some(wanted)).collect()
        };
        let parts: Vec<String> = [(Call::Better, "better"), (Call::Worse, "worse")]
            .into_iter()
            .map(|(wanted, words)| (words, those(wanted)))
            .filter(|(_, places)| !places.is_empty())
            .map(|(words, places)| format!("clearly {words} in {}", figures(view, &places)))
            .collect();
        if !parts.is_empty() {
            clauses.push(format!("{} {}", view.name(v), parts.join(", ")));
        } else if shown.iter().any(|&h| call(v, d, h).is_some()) {
            unclear.push(v);
        }
    }
    if !unclear.is_empty() {
        clauses.push(format!("no clear difference: {}", names(view, &unclear)));
    }
    Some(format!(
        "In the other figures {}: {}.",
        super::lower(&demand_words(c.demands[d])),
        clauses.join("; ")
    ))
}
