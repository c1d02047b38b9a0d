//! What a replication costs and brings a year, where the scenario speaks of money.
//!
//! In: what the tally has counted over the measured time. Out: one number for each of [`FIGURES`], NaN
//! where nothing of its kind is told. A year is as many measured weeks as the scenario says.
//!
//! Labour is presence: people are paid for the opening hours of their shifts, and the crew of a machine
//! for the time it works beyond its own. What another shop makes is sold and paid as it says. Material is everything handed over, good or lost. Lateness
//! counts the measured orders; one that was not done when the clock ended counts as late until then.

use crate::finance::Purchase;
use crate::model::{Model, Presence};
use crate::plant::Money;
use crate::record::{STATES, State};
use crate::units::{TICKS_PER_MINUTE, Tick};

/// Key, label and unit of each figure, in order.
pub const FIGURES: [(&str, &str, &str); 14] = [
    ("money/labour", "labour", "money/year"),
    ("money/machine_hours", "machine-hours", "money/year"),
    ("money/material", "material, bought-in parts", "money/year"),
    ("money/lost_material", "of it lost", "money/year"),
    ("money/disposal", "disposal of lost web", "money/year"),
    ("money/late", "lateness", "money/year"),
    ("money/outside", "made by another shop", "money/year"),
    ("money/capital", "capital and yearly charges", "money/year"),
    ("money/cost", "all costs together", "money/year"),
    ("money/per_thousand", "cost of 1,000 pouches", "money"),
    ("money/margin", "margin earned", "money/year"),
    ("money/premium", "premiums earned", "money/year"),
    ("money/result", "result: earned less cost", "money/year"),
    (
        "money/turned_away",
        "margin of orders turned away",
        "money/year",
    ),
];

/// Place of the cost of 1,000 pouches among [`FIGURES`]: a ratio, whose weight is the pouches.
pub const PER_THOUSAND: usize = 9;

/// What the tally has counted within the measured time.
#[derive(Debug)]
pub struct Counted<'a> {
    /// Ticks by state of each machine.
    pub states: &'a [[Tick; STATES]],
    /// Price of the web handed over.
    pub web_money: f64,
    /// Price of the web lost.
    pub waste_money: f64,
    /// Web lost, kg.
    pub waste_kg: f64,
    /// Good pouches done, by class.
    pub pouches_by_class: &'a [i64],
    /// Of these, beyond the ordered quantity of their SKU, by class.
    pub unpaid_by_class: &'a [i64],
    /// Pouches made by another shop, by class.
    pub out_by_class: &'a [i64],
    /// Pouches of orders turned away, by class.
    pub away_by_class: &'a [i64],
    /// Good pouches done, by product.
    pub pouches_by_product: &'a [i64],
    /// Minutes late added up over orders, by class.
    pub late_min_by_class: &'a [f64],
}

/// The figures, in the order of [`FIGURES`].
pub fn figures(model: &Model, money: &Money, counted: &Counted<'_>) -> Vec<f64> {
    let window = (model.measured_end - model.warm_up).max(1);
    let weeks = window as f64 / (7 * 1440 * TICKS_PER_MINUTE) as f64;
    let yearly = |amount: f64| amount / weeks * money.weeks;
    let labour = labour(model, money, counted.states).map(yearly);
    let machine_hours = told_sum(&money.machine_hour, |index| {
        hours(used(&counted.states[index]))
    })
    .map(yearly);
    let extras = told_sum(&money.extras_per_thousand, |index| {
        counted.pouches_by_product[index] as f64 / 1000.0
    });
    let material = (money.has_material || extras.is_some())
        .then(|| yearly(counted.web_money + extras.unwrap_or(0.0)));
    let lost = money.has_material.then(|| yearly(counted.waste_money));
    let disposal = money
        .disposal_per_kg
        .map(|price| yearly(price * counted.waste_kg));
    let late = told_sum(&money.late_per_day, |class| {
        counted.late_min_by_class[class] / 1440.0
    })
    .map(yearly);
    let outside = told_sum(&money.outside_per_thousand, |class| {
        counted.out_by_class[class] as f64 / 1000.0
    })
    .map(yearly);
    let capital = capital(money);
    let costs = [
        labour,
        machine_hours,
        material,
        disposal,
        late,
        outside,
        capital,
    ];
    let cost = costs
        .iter()
        .any(Option::is_some)
        .then(|| costs.iter().flatten().sum::<f64>());
    let made = counted.pouches_by_class.iter();
    let pouches: i64 = made.chain(counted.out_by_class).sum();
    let per_thousand = cost
        .filter(|_| pouches > 0)
        .map(|cost| cost / yearly(pouches as f64 / 1000.0));
    let thousands = |class: usize| {
        let unpaid = counted.unpaid_by_class[class];
        let sold = counted.pouches_by_class[class] + counted.out_by_class[class];
        (sold - unpaid) as f64 / 1000.0
    };
    let margin = told_sum(&money.margin_per_thousand, thousands).map(yearly);
    let premium = told_sum(&money.premium_per_thousand, thousands).map(yearly);
    let margin_lost = |class: usize| counted.away_by_class[class] as f64 / 1000.0;
    let rule = model.plant.classes.iter().any(|c| c.when_full.is_some());
    let away = told_sum(&money.margin_per_thousand, margin_lost)
        .filter(|_| rule)
        .map(yearly);
    let result = (margin.is_some() || premium.is_some())
        .then(|| margin.unwrap_or(0.0) + premium.unwrap_or(0.0) - cost.unwrap_or(0.0));
    [
        labour,
        machine_hours,
        material,
        lost,
        disposal,
        late,
        outside,
        capital,
        cost,
        per_thousand,
        margin,
        premium,
        result,
        away,
    ]
    .into_iter()
    .map(|figure| figure.unwrap_or(f64::NAN))
    .collect()
}

/// Rates that are told, each times its amount; `None` if none is told.
fn told_sum(rates: &[Option<f64>], amount: impl Fn(usize) -> f64) -> Option<f64> {
    rates.iter().any(Option::is_some).then(|| {
        rates
            .iter()
            .enumerate()
            .filter_map(|(index, rate)| rate.map(|rate| rate * amount(index)))
            .sum()
    })
}

fn hours(ticks: Tick) -> f64 {
    ticks as f64 / (60 * TICKS_PER_MINUTE) as f64
}

/// Ticks a machine was used: changing over, running, stopped, under repair.
fn used(states: &[Tick; STATES]) -> Tick {
    [
        State::Changeover,
        State::Running,
        State::PlannedStop,
        State::Down,
        State::MicroStop,
        State::FirstOff,
        State::RunningShort,
    ]
    .iter()
    .map(|&state| states[state as usize])
    .sum()
}

/// Ticks of an opening within the measured time.
fn within(model: &Model, from: Tick, to: Tick) -> Tick {
    (to.min(model.measured_end) - from.max(model.warm_up)).max(0)
}

/// Presence of all people in their shifts, and overtime of the crews of machines.
fn labour(model: &Model, money: &Money, states: &[[Tick; STATES]]) -> Option<f64> {
    let present = told_sum(&money.labour_hour, |pool| {
        model.plant.pools[pool]
            .shifts
            .iter()
            .map(|&(calendar, people)| {
                let open: Tick = model.calendars[calendar]
                    .iter()
                    .map(|&(from, to)| within(model, from, to))
                    .sum();
                f64::from(people) * hours(open)
            })
            .sum()
    })?;
    let machines = model.plant.stations.iter().flat_map(|s| &s.machines);
    let overtime: f64 = machines
        .zip(&model.machines)
        .zip(states)
        .map(|((machine, timeline), states)| {
            let closed = states[State::OffShift as usize] + states[State::Maintenance as usize];
            let worked = states.iter().sum::<Tick>() - closed;
            let beyond = (worked - open(model, &timeline.timeline)).max(0);
            let crew: f64 = machine
                .crew
                .run
                .iter()
                .filter_map(|&(pool, thousandths)| {
                    Some(money.labour_hour[pool]? * f64::from(thousandths) / 1000.0)
                })
                .sum();
            hours(beyond) * crew * (1.0 + money.overtime)
        })
        .sum();
    Some(present + overtime)
}

/// Ticks within the measured time in which a machine's own calendar is open.
fn open(model: &Model, timeline: &[(Tick, Presence)]) -> Tick {
    let ends = timeline
        .iter()
        .skip(1)
        .map(|change| change.0)
        .chain([model.end]);
    timeline
        .iter()
        .zip(ends)
        .filter(|((_, presence), _)| *presence == Presence::Open)
        .map(|(&(from, _), to)| within(model, from, to))
        .sum()
}

/// Equivalent annual cost of what is bought, and yearly charges. `None` where nothing is bought, or where
/// no rate is told and capital would need one.
pub fn capital(money: &Money) -> Option<f64> {
    if money.purchases.is_empty() {
        return None;
    }
    money
        .purchases
        .iter()
        .map(|bought| {
            let purchase = Purchase {
                capital: bought.capital,
                life_years: bought.life_years,
                residual: bought.residual,
            };
            let share = if bought.capital == 0.0 {
                Some(0.0)
            } else {
                money.rate.map(|rate| purchase.equivalent_annual_cost(rate))
            };
            share.map(|share| share + bought.yearly)
        })
        .sum()
}
