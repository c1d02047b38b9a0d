//! The comparison for a terminal.
//!
//! In: a [`View`]. Out: at most 80 columns, without colour; the verdict first, provenance last.

use crate::compare::headline::{BUSIEST, CHANGING};
use crate::compare::{Headline, Rank};
use crate::report::words::{fit, left, right, width, wrap};

use super::words::{
    MARKS, chance, change_interval, change_interval_within, demand, demand_words, mark, needed,
    value,
};
use super::{View, verdict};

const COLUMNS: usize = 80;
const NAME: usize = 23;
/// Demand cases side by side.
const ABREAST: usize = 3;
const CELL: usize = (COLUMNS - NAME) / ABREAST;

/// The whole text.
pub fn render(view: &View<'_>) -> String {
    let c = view.comparison;
    let mut out = String::new();
    push(&mut out, &fit(&view.title, COLUMNS));
    let (variants, demands) = (view.variants.len(), c.demands.len());
    let count = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let head = format!(
        "{} and today at {}, {} of {} replications each, all under the same luck.",
        count(variants - 1, "variant"),
        count(demands, "demand case"),
        c.done,
        c.asked
    );
    wrapped(&mut out, "", &head);
    out.push('\n');
    wrapped(&mut out, "", &verdict::short(view));
    for part in verdict::by_demand(view) {
        out.push('\n');
        push(&mut out, &part.heading.to_uppercase());
        part.points
            .iter()
            .for_each(|point| wrapped(&mut out, "- ", point));
    }
    let cautions = super::cautions::sentences(view);
    if !cautions.is_empty() {
        push(&mut out, "\nCAUTIONS");
        cautions.iter().for_each(|c| wrapped(&mut out, "- ", c));
    }
    if let Some(limit) = limit_sentence(view) {
        out.push('\n');
        wrapped(&mut out, "", &limit);
    }
    out.push('\n');
    wrapped(&mut out, "", &explanation(view));
    for (h, headline) in told(view) {
        table(&mut out, view, h, headline);
    }
    frontier(&mut out, view);
    for line in super::rush::lines(view) {
        push(&mut out, &line);
    }
    for words in super::rush::explanation(view) {
        wrapped(&mut out, "", &words);
    }
    let mut notes = super::money::notes(view);
    notes.extend(super::ladder::points(view));
    if !notes.is_empty() {
        push(&mut out, "\nMONEY");
        notes.iter().for_each(|n| wrapped(&mut out, "- ", n));
    }
    push(&mut out, "\nWHAT LIMITS");
    for line in verdict::limits(view) {
        wrapped(&mut out, "- ", &line);
    }
    push(&mut out, "\nWHAT DIFFERS FROM TODAY");
    for variant in view.variants.iter().skip(1) {
        let note = match variant.note.as_str() {
            "" => String::new(),
            note => format!(": {note}"),
        };
        wrapped(&mut out, "- ", &format!("{}{note}", variant.name));
        for [path, was, becomes] in &variant.differences {
            wrapped(&mut out, "    ", &format!("{path}: {was} -> {becomes}"));
        }
    }
    out.push('\n');
    for line in origin(view) {
        wrapped(&mut out, "", &line);
    }
    out
}

/// What intervals and words mean, in a few sentences.
pub fn explanation(view: &View<'_>) -> String {
    let c = view.comparison;
    let gap = if c.done < 20 {
        format!(" Only {} replications: the intervals are rough.", c.done)
    } else {
        String::new()
    };
    format!(
        "Clearly: the whole interval of the difference lies on that side. Differences are taken replication by \
         replication; the {} intervals of one figure hold together for {} with today.{gap}{}",
        view.confidence(),
        match c.together {
            1 => "the one comparison".to_owned(),
            all => format!("all {all} comparisons"),
        },
        precision(view)
    )
}

/// How well the differences are known, where that was asked for.
fn precision(view: &View<'_>) -> String {
    let Some(told) = &view.precision else {
        return String::new();
    };
    let reached = match told.widest <= told.within {
        true => "reached",
        false => "not reached",
    };
    format!(
        " Precision {reached}: differences in the {} were asked for within {} of today's value to either side, the \
         widest one is known within {}.",
        told.words,
        crate::units::percent(told.within),
        crate::units::percent(told.widest)
    )
}

/// How far today keeps its promise, where that was looked for.
pub fn limit_sentence(view: &View<'_>) -> Option<String> {
    let (limit, about) = (view.comparison.limit.as_ref()?, view.limit_of.as_ref()?);
    let found = super::limit::sentence(limit, about);
    let count = limit.points.iter().map(|point| point.n).min();
    Some(match count {
        Some(n) => format!(
            "{found} Found with {n} replications at each setting; `pouchcast limit`, which takes all of them, gives the \
             better figure."
        ),
        None => found,
    })
}

/// Seed, replications, version.
pub fn origin(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    let partial = if c.done < c.asked {
        " (interrupted)"
    } else {
        ""
    };
    vec![
        format!(
            "Seed {}, {} of {} replications{partial} of each case, from {}.",
            view.plant.run.seed,
            c.done,
            c.asked,
            crate::report::clock::iso_date(view.plant.run.start_day)
        ),
        format!(
            "pouchcast {}, scenario {}",
            view.provenance.version,
            crate::report::words::clean(&view.provenance.file_name)
        ),
        format!("sha256 {}", view.provenance.sha256),
    ]
}

/// The figures the terminal shows; the files have all.
pub(super) fn told<'a>(view: &'a View<'_>) -> impl Iterator<Item = (usize, &'a Headline)> {
    let several = view
        .comparison
        .headlines
        .iter()
        .any(|h| h.key.contains("/class:"));
    view.comparison
        .headlines
        .iter()
        .enumerate()
        .filter(move |(_, h)| {
            let all = h.key.contains("/all");
            h.decides
                || h.key.ends_with("/p90") && !(several && all)
                || matches!(h.key.as_str(), "money/result" | "money/per_thousand")
                || matches!(
                    h.key.as_str(),
                    "on_time/all" | "cell/waste_share" | BUSIEST | CHANGING
                )
        })
}

fn push(out: &mut String, line: &str) {
    out.push_str(line.trim_end());
    out.push('\n');
}

fn wrapped(out: &mut String, lead: &str, text: &str) {
    for (i, line) in wrap(text, COLUMNS - lead.len()).into_iter().enumerate() {
        let lead = if i == 0 {
            lead.to_owned()
        } else {
            " ".repeat(lead.len())
        };
        push(out, &(lead + &line));
    }
}

fn table(out: &mut String, view: &View<'_>, h: usize, headline: &Headline) {
    push(out, "");
    push(out, &fit(&headline.label.to_uppercase(), COLUMNS));
    if view.comparison.demands.len() == 1 {
        return single(out, view, h, headline);
    }
    let all: Vec<usize> = (0..view.comparison.demands.len()).collect();
    // Fewer beside each other where an interval is too long: columns never touch.
    let widest = view
        .comparison
        .cases
        .iter()
        .flatten()
        .filter_map(|case| case.against_today.get(h)?.as_ref().ok())
        .map(|t| width(&change_interval_within(t, headline, view.reader, CELL - 1)))
        .max()
        .unwrap_or(0);
    let abreast = (1..=ABREAST)
        .rev()
        .find(|n| widest < (COLUMNS - NAME) / n)
        .unwrap_or(1);
    let cell_width = (COLUMNS - NAME) / abreast;
    for some in all.chunks(abreast) {
        let heads = some
            .iter()
            .map(|&d| right(&demand(view.comparison.demands[d]), cell_width));
        push(out, &(left("", NAME) + &heads.collect::<String>()));
        for (v, variant) in view.variants.iter().enumerate() {
            let row = |cell: &dyn Fn(usize) -> String| -> String {
                some.iter().map(|&d| right(&cell(d), cell_width)).collect()
            };
            let case = |d: usize| &view.comparison.cases[v][d];
            let told = |d: usize| case(d).against_today.get(h).and_then(|t| t.as_ref().ok());
            let values = row(&|d| {
                let mark = told(d).map_or(" ", |t| mark(t.call));
                format!(
                    "{} {mark}",
                    value(&case(d).figures[h], headline, view.reader)
                )
            });
            push(out, &(left(&variant.name, NAME) + &values));
            if some.iter().any(|&d| told(d).is_some()) {
                let changes = row(&|d| {
                    told(d).map_or_else(String::new, |t| {
                        change_interval_within(t, headline, view.reader, CELL - 1)
                    })
                });
                push(out, &(" ".repeat(NAME) + &changes));
            }
        }
    }
}

/// One demand case: more about each variant in one line.
fn single(out: &mut String, view: &View<'_>, h: usize, headline: &Headline) {
    // The name gives way to a long interval.
    let widest = view
        .comparison
        .cases
        .iter()
        .filter_map(|row| row[0].against_today.get(h)?.as_ref().ok())
        .map(|t| width(&change_interval(t, headline, view.reader)))
        .max()
        .unwrap_or(0);
    let widths = [14, (widest + 2).clamp(24, 36), 8, 10];
    let line = |name: &str, cells: [&str; 4]| {
        let cells: String = cells.iter().zip(widths).map(|(c, w)| right(c, w)).collect();
        left(name, COLUMNS - widths.iter().sum::<usize>()) + &cells
    };
    push(out, &line("", ["", "against today", "best?", "settles"]));
    for (v, variant) in view.variants.iter().enumerate() {
        let case = &view.comparison.cases[v][0];
        let told = case.against_today.get(h).and_then(|t| t.as_ref().ok());
        let mark = told.map_or(" ", |t| mark(t.call));
        let value = format!("{} {mark}", value(&case.figures[h], headline, view.reader));
        let change = told.map_or_else(String::new, |t| change_interval(t, headline, view.reader));
        let needed = told.map_or_else(String::new, needed);
        let best = chance(case.chance_best[h]);
        push(out, &line(&variant.name, [&value, &change, &best, &needed]));
    }
}

fn frontier(out: &mut String, view: &View<'_>) {
    let c = view.comparison;
    push(out, "");
    wrapped(out, "", &format!("Marks: {MARKS}."));
    if c.demands.len() == 1 {
        wrapped(
            out,
            "",
            "best?: how often a sample like this one would name it best. settles: replications that might \
             settle what is open.",
        );
    }
    // One variant that beats all others is no trade-off; the tables say so already.
    let several = c.frontier.as_ref().is_some_and(|f| {
        let efficient = |r: &&Option<Rank>| **r == Some(Rank::Efficient);
        f.ranks
            .iter()
            .any(|ranks| ranks.iter().filter(efficient).count() > 1)
    });
    if several {
        for point in frontier_points(view) {
            wrapped(out, "", &point);
        }
    }
}

/// The efficient frontier in sentences; nothing where there is none.
pub fn frontier_points(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    let Some(frontier) = &c.frontier else {
        return Vec::new();
    };
    let labels = frontier.figures.map(|h| c.headlines[h].label.as_str());
    let opening = format!("Trade-off between {} and {}.", labels[0], labels[1]);
    let told = c.demands.iter().zip(&frontier.ranks).map(|(&d, ranks)| {
        let those = |wanted: &dyn Fn(&Rank) -> bool| -> Vec<String> {
            ranks
                .iter()
                .enumerate()
                .filter(|(_, rank)| rank.as_ref().is_some_and(wanted))
                .map(|(v, rank)| match rank.and_then(Rank::by) {
                    Some(by) => format!("{} (by {})", view.name(v), view.name(by)),
                    None => view.name(v).to_owned(),
                })
                .collect()
        };
        let mut text = format!(
            "{}, on the frontier by their means: {}.",
            demand_words(d),
            those(&|r| matches!(r, Rank::Efficient)).join(", ")
        );
        let doubtful = those(&|r| matches!(r, Rank::Doubtful(_)));
        if !doubtful.is_empty() {
            text += &format!(
                " Beaten in both by their means, but not clearly: {}.",
                doubtful.join(", ")
            );
        }
        let beaten = those(&|r| matches!(r, Rank::Dominated(_)));
        if !beaten.is_empty() {
            text += &format!(" Clearly beaten: {}.", beaten.join(", "));
        }
        text
    });
    std::iter::once(opening).chain(told).collect()
}
