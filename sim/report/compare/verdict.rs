//! What a comparison allows to be said, in plain sentences.
//!
//! In: a [`View`]. Out: paragraphs. Every claim is a call of an interval ([`Call`]): nothing is called
//! better, worse or best unless the whole interval that holds together with all others says so; what is
//! open is named as open, with the replications that would settle it.

use crate::compare::{Call, Difference, home};
use crate::summary::Standing;

use super::View;
use super::words::{change_interval, demand_words, needed, value};

mod short;

pub use short::{lines, short};

/// Paragraphs under a heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paragraphs {
    /// Heading: the demand case.
    pub heading: String,
    /// Sentences.
    pub points: Vec<String>,
}

/// Words with a small first letter, to stand within a sentence.
fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

/// Names of variants in a row: `a, b and c`.
pub(super) fn names(view: &View<'_>, variants: &[usize]) -> String {
    let names: Vec<&str> = variants.iter().map(|&v| view.name(v)).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [some @ .., last] => format!("{} and {last}", some.join(", ")),
    }
}

/// Variants that can and that cannot keep up at a demand case.
fn standings(view: &View<'_>, demand: usize) -> (Vec<usize>, Vec<usize>) {
    (0..view.variants.len())
        .partition(|&v| view.comparison.cases[v][demand].standing != Standing::Overloaded)
}

/// Which cells cannot keep up, a sentence for each demand case in which there are any.
pub fn overloaded(view: &View<'_>) -> Vec<String> {
    let demands = view.comparison.demands.iter().enumerate();
    demands
        .filter_map(|(d, &demand)| {
            let over = standings(view, d).1;
            (!over.is_empty()).then(|| {
                format!(
                    "{} these cannot keep up: {}.",
                    demand_words(demand),
                    paces(view, d, &over)
                )
            })
        })
        .collect()
}

/// Cells that cannot keep up, with what is full and how fast their queues grow.
fn paces(view: &View<'_>, demand: usize, over: &[usize]) -> String {
    let paces: Vec<String> = over
        .iter()
        .map(|&v| {
            let case = &view.comparison.cases[v][demand];
            let reason = crate::report::limiting::reason_of(&case.summary, &case.bottleneck);
            let growth = case.summary.get("cell/wip_growth");
            let growth = growth
                .filter(|g| g.mean > 0.0)
                .map_or_else(String::new, |g| {
                    format!(
                        "; {} more orders in it every week",
                        crate::units::grouped(g.mean, 1)
                    )
                });
            format!("{} ({reason}{growth})", view.name(v))
        })
        .collect();
    paces.join(", ")
}

/// The verdict for each demand case.
pub fn by_demand(view: &View<'_>) -> Vec<Paragraphs> {
    (0..view.comparison.demands.len())
        .map(|demand| Paragraphs {
            heading: demand_words(view.comparison.demands[demand]),
            points: points(view, demand),
        })
        .collect()
}

fn points(view: &View<'_>, demand: usize) -> Vec<String> {
    let c = view.comparison;
    let mut points = Vec::new();
    let (steady, over) = standings(view, demand);
    if !over.is_empty() {
        points.push(format!(
            "Cannot keep up: {}. No lead time and no share on time of these is compared.",
            paces(view, demand, &over)
        ));
    }
    let those = |wanted: Standing| -> Vec<usize> {
        let all = steady.iter().copied();
        all.filter(|&v| c.cases[v][demand].standing == wanted)
            .collect()
    };
    for (standing, words) in [
        (
            Standing::OnEdge,
            "On the edge, with a machine taken up nearly all of its open time and growth not ruled out",
        ),
        (
            Standing::Untold,
            "One replication, which does not tell whether it keeps up",
        ),
        (
            Standing::Filling,
            "More orders in the cell at the end than at the start, but nothing full, or too little measured to tell \
             whether it keeps up",
        ),
    ] {
        let all = those(standing);
        if !all.is_empty() {
            points.push(format!("{words}: {}.", names(view, &all)));
        }
    }
    for h in c.deciding() {
        points.push(of_figure(view, demand, h, &steady));
    }
    let money = super::money::sentences(view, demand).into_iter();
    points.extend(money.map(|told| format!("Money against today, {told}")));
    points.extend(super::rush::sentences(view, demand));
    points
}

/// One figure at one demand case.
fn of_figure(view: &View<'_>, demand: usize, h: usize, steady: &[usize]) -> String {
    let c = view.comparison;
    let headline = &c.headlines[h];
    let label = super::super::words::capital(&headline.label);
    let today = value(&c.cases[0][demand].figures[h], headline, view.reader);
    let mut out = format!("{label}: today {today}.");
    let told = |call: Call, with: &dyn Fn(&Difference) -> String| -> Vec<String> {
        (1..view.variants.len())
            .filter_map(|v| {
                let told = c.cases[v][demand].against_today[h].ok()?;
                (told.call == call).then(|| format!("{} ({})", view.name(v), with(&told)))
            })
            .collect()
    };
    let range = |d: &Difference| change_interval(d, headline, view.reader);
    let open = |d: &Difference| {
        let many = needed(d);
        match d.needed {
            Some(_) => format!("{}; some {many} replications might settle it", range(d)),
            None => range(d),
        }
    };
    let mut say = |words: &str, list: Vec<String>| {
        if !list.is_empty() {
            out.push_str(&format!(" {words}: {}.", list.join(", ")));
        }
    };
    say("Clearly better", told(Call::Better, &range));
    say("Clearly worse", told(Call::Worse, &range));
    say("As good as equal", told(Call::Equal, &range));
    say("Not settled", told(Call::Open, &open));
    say("No difference in any replication", {
        (1..view.variants.len())
            .filter(|&v| c.cases[v][demand].against_today[h].is_ok_and(|t| t.call == Call::Same))
            .map(|v| view.name(v).to_owned())
            .collect()
    });
    // Where today has no value to compare with, the others are told by themselves.
    if c.cases[0][demand].figures[h].is_err() {
        let others: Vec<String> = steady
            .iter()
            .filter(|&&v| c.cases[v][demand].figures[h].is_ok())
            .map(|&v| {
                format!(
                    "{} {}",
                    view.name(v),
                    value(&c.cases[v][demand].figures[h], headline, view.reader)
                )
            })
            .collect();
        say("With the variants", others);
    }
    if let Some(best) = best(view, demand, h) {
        out.push_str(&best);
    }
    out
}

/// Which is best, if that can be said; nothing where there are not two to choose from.
fn best(view: &View<'_>, demand: usize, h: usize) -> Option<String> {
    let c = view.comparison;
    let row = |v: usize| &c.cases[v][demand];
    let compared = (0..view.variants.len())
        .filter(|&v| row(v).chance_best[h].is_some())
        .count();
    let left: Vec<usize> = (0..view.variants.len())
        .filter(|&v| row(v).may_be_best[h])
        .collect();
    if compared < 3 || left.len() == compared {
        return None;
    }
    Some(match left.as_slice() {
        [] => return None,
        [one] => format!(
            " Best in this figure of all that keep up: {}.",
            view.name(*one)
        ),
        some => format!(
            " Which is best in this figure is not settled between {}.",
            names(view, some)
        ),
    })
}

/// What limits the cell today and what comes next.
pub fn limits(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    let mut out = Vec::new();
    for (v, variant) in view.variants.iter().enumerate() {
        let case = &c.cases[v][home(&c.demands)];
        let used = case
            .summary
            .estimates
            .get(case.summary.layout.station(case.summary.bottleneck.station));
        let used = used.map_or_else(String::new, |u| crate::units::percent(u.mean));
        let next = match &case.next {
            Some(next) => format!("; then {}", super::super::words::clean(next)),
            None => String::new(),
        };
        out.push(format!(
            "{}: {}{next}.",
            variant.name,
            crate::report::limiting::of(
                &super::super::words::clean(&case.bottleneck),
                &used,
                case.summary.bottleneck.machine.as_ref()
            )
        ));
    }
    if let Some(lifted) = &c.lifted {
        let station = super::super::words::clean(&lifted.name);
        let case = &lifted.result;
        let told: Vec<String> = c
            .deciding()
            .filter_map(|h| {
                let headline = &c.headlines[h];
                let t = case.against_today[h].ok()?;
                let words = match t.call {
                    Call::Same => "no difference".to_owned(),
                    Call::Equal => format!(
                        "as good as equal, {}",
                        change_interval(&t, headline, view.reader)
                    ),
                    Call::Open => format!(
                        "not settled, {}",
                        change_interval(&t, headline, view.reader)
                    ),
                    _ => change_interval(&t, headline, view.reader),
                };
                Some(format!("{}: {words}", headline.label))
            })
            .collect();
        let gains = match told.is_empty() {
            true => String::new(),
            false => format!(" Against today, {}.", told.join("; ")),
        };
        out.push(format!(
            "With every machine of {station} there twice (a thought: no money, same people) {} would be used most, \
             {} of its open time.{gains} Relief of {station} alone can hardly bring more.",
            super::super::words::clean(&case.bottleneck),
            case.summary
                .estimates
                .get(case.summary.layout.station(case.summary.bottleneck.station))
                .map_or_else(String::new, |u| crate::units::percent(u.mean)),
        ));
    }
    out
}

#[cfg(test)]
mod tests;
