//! What variants are worth, in words.
//!
//! In: a [`View`]. Out: sentences and a table. A variant "clearly pays" only where the whole interval of its
//! yearly difference after capital lies above nothing, from as many replications on as any difference needs.

use crate::compare::CaseResult;
use crate::compare::difference::PAIRS_MIN;
use crate::report::figure::{Figure, ends};
use crate::report::table::Table;
use crate::summary::money::{Payback, Spread, Worth};
use crate::units::{grouped, money};

use super::View;
use super::words::demand;

pub(super) fn signed(amount: f64) -> String {
    let text = money(amount.abs());
    if amount == 0.0 {
        text
    } else if amount < 0.0 {
        format!("-{text}")
    } else {
        format!("+{text}")
    }
}

pub(super) fn range(spread: &Spread) -> String {
    let (low, high) = (spread.interval.low, spread.interval.high);
    if low == high {
        return signed(low);
    }
    let [low, high] = [low, high].map(|end| match end.is_finite() {
        true => signed(end),
        false => String::new(),
    });
    let told = ends(
        [spread.interval.low, spread.interval.high],
        [&low, &low, &high],
    );
    match told.is_empty() {
        true => "unknown".to_owned(),
        false => told,
    }
}

/// The yearly difference that decides: after capital, where that is told.
fn decides(worth: &Worth) -> &Spread {
    worth.yearly_after_capital.as_ref().unwrap_or(&worth.yearly)
}

/// Whether it pays, as far as the interval tells: the same evidence is asked for either answer. Where capital is
/// told without a rate it is not in the yearly difference, and the payback must lie within its life, or beyond.
pub fn call(worth: &Worth) -> &'static str {
    let spread = decides(worth);
    let (low, high) = (spread.interval.low, spread.interval.high);
    let (mut pays, mut not) = (low > 0.0, high < 0.0);
    if let (None, Some(back), Some(life)) = (worth.annual_cost, worth.payback, worth.life_years) {
        pays = back.latest.is_some_and(|years| years <= life);
        not = high.is_finite() && back.soonest.is_none_or(|years| years > life);
    }
    // As few replications claim nothing of any other figure either.
    if spread.n < PAIRS_MIN {
        "not settled whether it pays"
    } else if low == 0.0 && high == 0.0 {
        "no difference"
    } else if pays {
        "clearly pays"
    } else if not {
        "clearly does not pay"
    } else if low >= -worth.equal && high <= worth.equal {
        "as good as even"
    } else {
        "not settled whether it pays"
    }
}

/// [`call`], but nothing is judged where something that is added has no price.
pub fn judged(view: &View<'_>, variant: usize, worth: &Worth) -> &'static str {
    match super::cautions::unpriced(view, variant).is_empty() {
        true => call(worth),
        false => "not judged, no price told for what it adds",
    }
}

fn years(years: Option<f64>) -> String {
    years.map_or_else(|| "never".to_owned(), |years| format!("{years:.1}"))
}

/// Payback as `[value, range]`; the value says so where it is beyond the life of what is bought.
fn parts(payback: &Payback, life: Option<f64>) -> [String; 2] {
    let ends = match (payback.soonest, payback.latest) {
        (None, Some(latest)) => format!("{} at the latest", years(Some(latest))),
        (None, None) => String::new(),
        (soonest, None) => format!("{} at best, or never", years(soonest)),
        (soonest, latest) => format!("{} to {}", years(soonest), years(latest)),
    };
    let value = match (payback.years, life) {
        (Some(y), Some(life)) if y > life => {
            format!("{} years, not within its life", grouped(y, 1))
        }
        (Some(y), _) => format!("{} years", grouped(y, 1)),
        (None, _) => "never by the mean".to_owned(),
    };
    [value, ends]
}

/// Payback with its range, against the life of what is bought: `4.2 years (3.9 to 4.6)`, or
/// `not within its life of 6 years (by the mean 8.1 years, 7.2 to 9.3)`.
pub fn payback(payback: &Payback, life: Option<f64>) -> String {
    let [value, ends] = parts(payback, life);
    let late = payback.years.zip(life).filter(|(y, life)| y > life);
    match (late, ends.as_str()) {
        (Some((y, life)), ends) => {
            let ends = match ends {
                "" => String::new(),
                ends => format!(", {ends}"),
            };
            format!(
                "not within its life of {} years (by the mean {} years{ends})",
                grouped(life, 1),
                grouped(y, 1)
            )
        }
        (None, "") => value,
        (None, ends) => format!("{value} ({ends})"),
    }
}

/// In how many replications it is paid back within its life; the number of replications stands behind it.
fn within_life(payback: &Payback, done: u32) -> String {
    format!(
        "pays back within its life in {} of {done} replications",
        grouped(payback.share_within_life * f64::from(done), 0)
    )
}

/// Worth of a variant in a sentence.
fn sentence(view: &View<'_>, variant: usize, worth: &Worth) -> String {
    let currency = &view.currency;
    let mut out = format!("{}: {}", view.name(variant), judged(view, variant, worth));
    let unpriced = super::cautions::unpriced(view, variant);
    match (&worth.yearly_after_capital, worth.capital > 0.0) {
        (Some(after), true) => {
            out += &format!(
                ". {} {currency} a year before capital, {} after it; {} {currency} to be paid",
                range(&worth.yearly),
                range(after),
                money(worth.capital)
            );
        }
        (_, true) => {
            out += &format!(
                ". {} {currency} a year before capital; {} {currency} to be paid",
                range(&worth.yearly),
                money(worth.capital)
            );
        }
        _ if !unpriced.is_empty() => {
            out += &format!(
                ": {} {currency} a year before any price of {unpriced}",
                range(&worth.yearly)
            );
        }
        _ => {
            out += &format!(
                ". {} {currency} a year, nothing bought",
                range(&worth.yearly)
            )
        }
    }
    if let Some(value) = &worth.net_present_value {
        out += &format!(
            ", net present value over {} years {}",
            grouped(worth.life_years.unwrap_or(f64::NAN), 1),
            range(value)
        );
    }
    if let Some(back) = &worth.payback {
        out += &format!(
            "; paid back: {}, {}",
            payback(back, worth.life_years),
            within_life(back, view.comparison.done)
        );
    }
    if let Some(back) = &worth.discounted_payback {
        out += &format!("; with interest: {}", payback(back, worth.life_years));
    }
    out + "."
}

/// Whether each variant pays, in one sentence: at today's demand, or the first case in which any can be told.
pub fn short(view: &View<'_>) -> Option<String> {
    let c = view.comparison;
    let told = |d: usize| {
        (1..view.variants.len()).filter_map(move |v| Some((v, c.cases[v][d].worth.as_ref()?)))
    };
    let today = c.demands.iter().position(|&demand| demand == 1.0);
    let case = today
        .into_iter()
        .chain(0..c.demands.len())
        .find(|&d| told(d).next().is_some())?;
    let mut groups: Vec<(&str, Vec<usize>)> = Vec::new();
    for (variant, worth) in told(case) {
        let words = judged(view, variant, worth);
        match groups.iter_mut().find(|(known, _)| *known == words) {
            Some((_, group)) => group.push(variant),
            None => groups.push((words, vec![variant])),
        }
    }
    let told: Vec<String> = groups
        .iter()
        .map(|(words, group)| format!("{words}: {}", super::verdict::names(view, group)))
        .collect();
    Some(format!(
        "Money a year after capital, {}: {}.",
        super::words::demand_words(c.demands[case]).to_lowercase(),
        told.join("; ")
    ))
}

/// What each variant is worth at a demand case; nothing where the scenario does not speak of money.
pub fn sentences(view: &View<'_>, demand: usize) -> Vec<String> {
    let c = view.comparison;
    (1..view.variants.len())
        .filter_map(|v| Some(sentence(view, v, c.cases[v][demand].worth.as_ref()?)))
        .collect()
}

/// From which demand on variants pay, and what stands behind the figures.
pub fn notes(view: &View<'_>) -> Vec<String> {
    let c = view.comparison;
    if !view.has_money {
        return Vec::new();
    }
    let mut out = Vec::new();
    for (v, found) in c.break_even.iter().enumerate() {
        let Some(found) = found else { continue };
        // Nothing is judged where something that is added has no price.
        if !super::cautions::unpriced(view, v).is_empty() {
            continue;
        }
        let at = |x: Option<f64>, none: &str| x.map_or_else(|| none.to_owned(), |x| grouped(x, 3));
        out.push(match found.at {
            Some(x) => format!(
                "{} begins to pay at {} times today's demand (interval {} to {}).",
                view.name(v),
                grouped(x, 3),
                at(found.low, "below the cases in which both keep up"),
                at(found.high, "above the cases in which both keep up")
            ),
            None if found.ends[0] > 0.0 => format!(
                "{} pays by its mean at every demand case in which both keep up.",
                view.name(v)
            ),
            None => format!(
                "{} does not pay by its mean at any demand case in which both keep up.",
                view.name(v)
            ),
        });
    }
    out.push(
        "Where today cannot keep up there is no yearly difference: its queue grows, and orders that wait without end \
         are not sold. Compare what the variants earn there by themselves."
            .to_owned(),
    );
    out
}

/// All of it as a table, a demand case at a time.
pub fn table(view: &View<'_>, demand_case: usize) -> Table {
    let c = view.comparison;
    let cell = |value: String, interval: String| Figure::told(value, interval);
    let paid = |p: &Payback, life: Option<f64>| {
        let [value, ends] = parts(p, life);
        // Cells do not wrap: the long words stand below, in small letters.
        match value.split_once(", ") {
            Some((value, late)) if ends.is_empty() => cell(value.to_owned(), late.to_owned()),
            Some((value, late)) => cell(value.to_owned(), format!("{late}, {ends}")),
            None => cell(value, ends),
        }
    };
    let short = |words: &str| match words.split_once(", ") {
        Some((word, why)) => cell(word.to_owned(), why.replace(" for what it adds", "")),
        None => cell(words.replace(" whether it pays", ""), String::new()),
    };
    let none = || cell("–".to_owned(), String::new());
    let spread = |told: Option<&Spread>| told.map_or_else(none, |s| cell(signed(s.mean), range(s)));
    let row = |v: usize, case: &CaseResult| -> Vec<Figure> {
        let at = |key: &str| {
            let place = v * c.demands.len() + demand_case;
            format!("/cases/{place}/worth/{key}")
        };
        let Some(w) = &case.worth else {
            let mut row = vec![cell("not comparable".to_owned(), String::new())];
            row.extend((0..7).map(|_| none()));
            return row;
        };
        vec![
            short(judged(view, v, w)),
            spread(Some(&w.yearly)).at(at("yearly")),
            match w.capital == 0.0 {
                true => cell("none".to_owned(), String::new()),
                false => cell(money(w.capital), String::new()).at(at("capital")),
            },
            spread(w.yearly_after_capital.as_ref()).at(at("yearly_after_capital")),
            w.payback
                .as_ref()
                .map_or_else(none, |p| paid(p, w.life_years))
                .at(at("payback")),
            w.discounted_payback
                .as_ref()
                .map_or_else(none, |p| paid(p, w.life_years))
                .at(at("discounted_payback")),
            spread(w.net_present_value.as_ref()).at(at("net_present_value")),
            cell(crate::units::percent(w.share_worth_it), String::new()).at(at("share_worth_it")),
        ]
    };
    let rows = (1..view.variants.len())
        // Where nothing can be compared the notes say why.
        .filter(|_| {
            view.has_money
                && (1..view.variants.len()).any(|v| c.cases[v][demand_case].worth.is_some())
        })
        .map(|v| (view.name(v).to_owned(), row(v, &c.cases[v][demand_case])))
        .collect();
    Table {
        title: format!(
            "Worth against today, demand {}",
            demand(c.demands[demand_case])
        ),
        note: format!(
            "{} a year, capital at the start. After capital: less the equivalent annual cost of what is bought. Payback: \
             without and with interest. Last column: share of replications in which a year after capital is above nothing. \
             A gain in the mean that fewer than half of the replications bear out is not settled.",
            view.currency
        ),
        head: [
            "",
            "does it pay?",
            "a year",
            "capital",
            "after capital",
            "payback",
            "with interest",
            "net present value",
            "pays in",
        ]
        .map(str::to_owned)
        .to_vec(),
        rows,
    }
}
