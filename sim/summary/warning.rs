//! What a reader must know before he trusts a figure. Warnings are data; the report words them once.

use std::fmt;

use crate::model::Model;
use crate::plant::WarmUp;

use super::limiting::{FULL, is_full};
use super::{Estimate, StationBound, Summary, held};

/// A caution that goes with the results.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// Interrupted: (replications done, asked).
    Partial(u32, u32),
    /// Work came to stand still for good, machines waiting for each other: (their stations, share of replications).
    StandsStill(Vec<String>, f64),
    /// Too few replications for intervals to mean much.
    FewReplications(u32),
    /// More work comes than the station can do, by arithmetic alone: (station name, load).
    OverCapacity(String, f64),
    /// Orders in the cell keep growing: (orders a week).
    Growing(f64),
    /// It does not keep up though arithmetic finds room at every station: (highest load there, what holds it back).
    HeldBack(f64, String),
    /// More orders at the end than at the start, but that does not say that it cannot keep up: (orders a week, why).
    Filling(f64, &'static str),
    /// A machine is used nearly all of its open time and growth is not ruled out: (machine, taken up, lowest and
    /// highest growth in orders a week).
    OnEdge(String, f64, [f64; 2]),
    /// Measured orders not done at the end of the run: share of all.
    Unfinished(f64),
    /// Web that the laboratory does not release or that has waited too long: share of what is handed over.
    PrintedAgain(f64),
    /// The replications are too few for how skewed they are, so that ends of intervals are not claimed:
    /// (replications, how many would do).
    Skewed(u32, u32),
    /// The 95 % point is known only roughly: relative half-width.
    Wide(f64),
    /// No warm-up: the figures include a cell that starts empty.
    NoWarmUp,
    /// A warm-up was looked for and the cell had not settled.
    Unsettled,
    /// A figure is not known as well as asked: (words, half-width reached, asked, replications).
    NotPrecise(&'static str, f64, f64, u32),
}

impl Warning {
    /// Stable key for files.
    pub fn key(&self) -> &'static str {
        match self {
            Warning::Partial(..) => "partial",
            Warning::StandsStill(..) => "stands_still",
            Warning::FewReplications(_) => "few_replications",
            Warning::OverCapacity(..) => "over_capacity",
            Warning::Growing(_) => "growing",
            Warning::HeldBack(..) => "held_back",
            Warning::Filling(..) => "filling",
            Warning::OnEdge(..) => "on_edge",
            Warning::Unfinished(_) => "unfinished",
            Warning::PrintedAgain(_) => "printed_again",
            Warning::Skewed(..) => "skewed",
            Warning::Wide(_) => "wide_interval",
            Warning::NoWarmUp => "no_warm_up",
            Warning::Unsettled => "unsettled",
            Warning::NotPrecise(..) => "not_precise",
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Warning::Partial(done, asked) => {
                write!(
                    f,
                    "Interrupted: only {done} of {asked} replications are in these figures."
                )
            }
            Warning::StandsStill(stations, share) => write!(
                f,
                "Work came to stand still for good in {} of the replications, before the run ended: what {} had done \
                 found no room, and what took the room waited for them. The longer one looks, the more often; more \
                 hours or machines elsewhere do not help. More places make it rarer; `check` names the circle.",
                crate::units::percent(*share),
                stations.join(", ")
            ),
            Warning::FewReplications(n) => write!(
                f,
                "Only {n} replication{}: the intervals are rough or missing. Ask for at least 20.",
                if *n == 1 { "" } else { "s" }
            ),
            Warning::OverCapacity(station, load) => write!(
                f,
                "More work comes than {station} can do: at least {:.0} % of its open time is needed. \
                 The queue grows without end, and no lead time printed here will hold.",
                load * 100.0
            ),
            Warning::Growing(orders) => write!(
                f,
                "The cell does not keep up: {orders:.1} more orders are in it with every week. \
                 Lead times have no steady value; they depend on how long one looks."
            ),
            Warning::HeldBack(load, what) => write!(
                f,
                "By arithmetic the work takes {:.0} % of the open time of the fullest station at least, so the machines \
                 alone do not explain it: what holds the cell back is {what}.",
                load * 100.0
            ),
            Warning::Filling(orders, why) => write!(
                f,
                "More orders are in the cell at the end of the measured time than at its start, {orders:.1} for every \
                 week, but {why}. The figures are those of a cell that fills."
            ),
            Warning::OnEdge(machine, taken, range) => write!(
                f,
                "The cell is on the edge: {machine} is taken up {} of its open time, and it is not settled whether \
                 orders in the cell grow{}. A little more work, and it does not keep up.",
                crate::units::percent(*taken),
                a_week(*range)
            ),
            Warning::Unfinished(share) => write!(
                f,
                "{:.1} % of the measured orders were not done when the run ended. They are counted as late.",
                share * 100.0
            ),
            Warning::PrintedAgain(share) => write!(
                f,
                "{} of the web handed over is not released by the laboratory or waits too long for its lamination, and is \
                 printed again.",
                crate::units::percent(*share)
            ),
            Warning::Skewed(done, wanted) => write!(
                f,
                "A few bad stretches decide the lead times, lateness and costs here, and {done} replications hold too few of \
                 them: where it says \"at least\" or \"at most\" the other end of the interval is not claimed. By \
                 what they show at least some {} are wanted.",
                crate::units::grouped(rounded_up(*wanted), 0)
            ),
            Warning::Wide(width) => write!(
                f,
                "The 95 % lead time is known only to ±{:.0} %. More replications or a longer measured time sharpen it.",
                width * 100.0
            ),
            Warning::NoWarmUp => write!(
                f,
                "No warm-up: the figures include the first days of a cell that starts empty."
            ),
            Warning::Unsettled => write!(
                f,
                "Started empty, the cell comes to its usual level too late for a measured time of this length: the warm-up \
                 that was chosen is as long as that, and wants to be longer. Either more work comes than it can do, or \
                 it needs a longer `measure`."
            ),
            Warning::NotPrecise(words, reached, asked, replications) if !reached.is_finite() => {
                write!(
                    f,
                    "After {replications} replications, the most allowed, no interval of the {words} is claimed, so that it \
                 is not known to ±{:.1} % as asked.",
                    asked * 100.0
                )
            }
            Warning::NotPrecise(words, reached, asked, replications) => write!(
                f,
                "After {replications} replications, the most allowed, the {words} is known to ±{:.1} %, not to \
                 ±{:.1} % as asked.",
                reached * 100.0,
                asked * 100.0
            ),
        }
    }
}

/// How orders in the cell may grow, in brackets; empty where neither end is claimed.
fn a_week(range: [f64; 2]) -> String {
    let [low, high] = range.map(|end| crate::units::grouped(end, 2));
    match crate::units::ends(range, [&low, &low, &high]) {
        none if none.is_empty() => none,
        ends => format!(" ({ends} a week)"),
    }
}

/// A number of replications as people say it: two digits, upwards.
pub fn rounded_up(wanted: u32) -> f64 {
    let unit = 10f64.powi((f64::from(wanted.max(10)).log10().floor() - 1.0) as i32);
    (f64::from(wanted) / unit).ceil() * unit
}

/// Share of the web that is printed again from which on it is told first.
const AGAIN: f64 = 0.01;

pub(super) fn warnings(model: &Model, summary: &Summary) -> Vec<Warning> {
    let mut out = Vec::new();
    if summary.done < summary.asked {
        out.push(Warning::Partial(summary.done, summary.asked));
    }
    let stands_still = standstill(model, summary);
    let stands = stands_still.is_some();
    out.extend(stands_still);
    if summary.done < 10 {
        out.push(Warning::FewReplications(summary.done));
    }
    let over: Vec<_> = summary
        .bounds
        .iter()
        .enumerate()
        .filter(|(_, b)| b.lasting > 1.0)
        .collect();
    for (index, bound) in &over {
        out.push(Warning::OverCapacity(
            model.plant.stations[*index].name.clone(),
            bound.lasting,
        ));
    }
    let weeks = model.plant.run.measure_min / (7.0 * 1440.0);
    // What stands still piles up orders, and says nothing about capacity.
    if !stands
        && let (Some(growth), Some(wip)) = (summary.get("cell/wip_growth"), summary.get("cell/wip"))
    {
        out.extend(growth_of(
            model,
            summary,
            growth,
            wip.mean,
            weeks,
            !over.is_empty(),
        ));
    }
    if over.is_empty() && out.iter().any(|w| matches!(w, Warning::Growing(_))) {
        let load = summary
            .bounds
            .iter()
            .map(StationBound::load)
            .fold(0.0, f64::max);
        if let Some(what) = held::back(model, summary) {
            out.push(Warning::HeldBack(load, what));
        }
    }
    if let (Some(open), Some(all)) = (summary.get("unfinished/all"), summary.get("released/all"))
        && open.mean > 0.0
        && open.mean / all.mean >= 0.0005
    {
        out.push(Warning::Unfinished(open.mean / all.mean));
    }
    if let (Some(again), Some(web)) = (summary.get("web/all/again_m2"), summary.get("cell/web_m2"))
        && again.mean / web.mean >= AGAIN
    {
        out.push(Warning::PrintedAgain(again.mean / web.mean));
    }
    if summary.done > 1 && summary.is_skewed() && summary.done < summary.wanted {
        out.push(Warning::Skewed(summary.done, summary.wanted));
    }
    if let Some(p95) = summary.get("lead_done/all/p95")
        && p95.is_known()
        && p95.n > 1
        && p95.relative_half_width().is_finite()
        && p95.relative_half_width() > 0.1
    {
        out.push(Warning::Wide(p95.relative_half_width()));
    }
    let run = &model.plant.run;
    if model.warm_up == 0 && run.warm_up == WarmUp::Given {
        out.push(Warning::NoWarmUp);
    }
    if matches!(run.warm_up, WarmUp::Chosen { settled: false, .. }) {
        out.push(Warning::Unsettled);
    }
    if let Some(precision) = &run.precision
        && let Some(figure) = summary.get(precision.key)
        && summary.done == summary.asked
        && summary.done >= precision.at_most
        // Not `>`: a figure that is not known is not precise either.
        && !(figure.is_known() && figure.relative_half_width() <= precision.within)
    {
        out.push(Warning::NotPrecise(
            precision.words,
            figure.relative_half_width(),
            precision.within,
            summary.done,
        ));
    }
    out
}

/// Whether machines waited for each other for ever, and which.
fn standstill(model: &Model, summary: &Summary) -> Option<Warning> {
    let stood = |key: &str| {
        let share = summary.get(key)?.mean;
        (share > 0.0).then_some(share)
    };
    let share = stood("stuck/all")?;
    let names = model.plant.stations.iter().map(|station| &station.name);
    let names = names.filter(|name| stood(&format!("stuck/station:{name}")).is_some());
    Some(Warning::StandsStill(names.cloned().collect(), share))
}

/// Why growth is no sign that a cell cannot keep up.
const EMPTY: &str = "nothing is full: the run is too short or the warm-up is missing";
/// The same for a run that does not hold a whole week.
const SHORT: &str = "less than a week was measured, and orders come and go with the hours of the days: whether it \
     keeps up cannot be told";
/// The same for growth that does not go on.
const STILL: &str = "it does not surely go on in the second half of it: the cell is still filling and has not settled \
     within the run. A longer `warm_up` and a `measure` twice as long would tell";
/// The same for an order book alone.
const BOOK: &str =
    "an order book alone is worked off: whether the cell keeps up is no question of it";

/// Some machine is not open around the clock.
fn has_hours(model: &Model) -> bool {
    let plant = &model.plant;
    plant
        .stations
        .iter()
        .flat_map(|station| &station.machines)
        .filter_map(|machine| plant.calendars.get(machine.calendar))
        .any(|calendar| (calendar.weekly_open_min() as f64) < 7.0 * 1440.0)
}

/// What growth of the orders in the cell means.
///
/// "Does not keep up" needs growth that is certain and matters (a fifth of what is in the cell over the measured
/// time), and something that is full; an order book alone is worked off, so it has no such verdict. "On the edge":
/// the busiest machine is full and growth of a tenth is not ruled out.
fn growth_of(
    model: &Model,
    summary: &Summary,
    growth: &Estimate,
    wip: f64,
    weeks: f64,
    over: bool,
) -> Option<Warning> {
    let stream = !model.plant.arrivals.is_empty();
    let late = summary
        .get("cell/wip_growth_late")
        .copied()
        .unwrap_or(Estimate::NONE);
    // A cell that is still filling grows less and less; one that cannot keep up grows on. Where arithmetic finds room
    // at every station, what grows must go on growing in the second half, at a level at which one of 200 cells that
    // keep up is named, and by as much as matters.
    let on = over
        || late.surely_above(model.plant.run.confidence, 0.99) && late.mean * weeks > 0.1 * wip;
    if stream && !over && growth.low > 0.0 && growth.mean * weeks > 0.2 * wip && !on {
        let short = weeks < 1.0 && has_hours(model);
        let full = is_full(model, &summary.machines, &summary.levels, summary.done);
        let why = match (short, full) {
            (true, _) => SHORT,
            (_, true) => STILL,
            _ => EMPTY,
        };
        return Some(Warning::Filling(growth.mean, why));
    }
    if growth.low > 0.0 && growth.mean * weeks > 0.2 * wip && (!over || growth.n > 1) {
        let full = || is_full(model, &summary.machines, &summary.levels, summary.done);
        let why = if over {
            None
        } else if !stream {
            Some(BOOK)
        } else if weeks < 1.0 && has_hours(model) {
            Some(SHORT)
        } else if full() {
            None
        } else {
            Some(EMPTY)
        };
        return Some(match why {
            None => Warning::Growing(growth.mean),
            Some(why) => Warning::Filling(growth.mean, why),
        });
    }
    let busiest = summary
        .machines
        .iter()
        .max_by(|a, b| a.taken().total_cmp(&b.taken()))?;
    let doubtful = growth.n > 1 && growth.high * weeks > 0.1 * wip;
    let full = busiest.used >= FULL || busiest.waits() && busiest.taken() >= FULL;
    (stream && !over && doubtful && full).then(|| {
        Warning::OnEdge(
            busiest.name.clone(),
            busiest.taken(),
            [growth.low, growth.high],
        )
    })
}
