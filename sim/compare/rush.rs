//! What rush orders cost, policy by policy.
//!
//! In: the runs of all variants, and those of a reference: the same orders on today's cell, all taken as
//! standard ones ([`unhurried`]). Out: [`Rush`]: for every variant and demand case what a rush order costs more
//! than as a standard one, of what that is made, whether the premium pays for it, and the premium at which the
//! policy is worth as much as today's. Differences are paired replication by replication; money for one order
//! is a ratio of two means with the range that the replications do not rule out (Fieller's construction).

use crate::plant::{Interrupt, Plant, Rule};
use crate::stats::{Definition, bonferroni, quantile};
use crate::summary::money::{Needs as Bought, Spread, break_even_premium};
use crate::summary::{Standing, Summary};

use super::rules::rules_only;
use super::run::{Case, CaseRun};
use super::{Comparison, Runs, home};

const WEEK_MIN: f64 = 7.0 * 1440.0;

/// Which orders are rush, and what they would be otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Classes that go first, by place.
    pub classes: Vec<usize>,
    /// The class that waits.
    pub standard: usize,
}

/// Money for one rush order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PerOrder {
    /// Difference of the means over mean orders.
    pub at: f64,
    /// Lowest value not ruled out; `None`: nothing is known.
    pub low: Option<f64>,
    /// Highest value not ruled out; `None`: nothing is known.
    pub high: Option<f64>,
    /// A tenth of the replications lie below.
    pub p10: f64,
    /// The middle one.
    pub p50: f64,
    /// Nine tenths lie below.
    pub p90: f64,
}

impl PerOrder {
    /// Money `spent` for `orders`, by replication.
    pub fn new(spent: &[f64], orders: &[f64], confidence: f64) -> Option<Self> {
        if spent.iter().chain(orders).any(|value| !value.is_finite()) {
            return None;
        }
        let saved: Vec<f64> = spent.iter().map(|spent| -spent).collect();
        let found = break_even_premium(&saved, orders, confidence)?;
        let mut each: Vec<f64> = spent
            .iter()
            .zip(orders)
            .filter(|(_, orders)| **orders > 0.0)
            .map(|(spent, orders)| spent / orders)
            .collect();
        each.sort_by(f64::total_cmp);
        let point = |p| quantile(&each, p, Definition::Linear);
        Some(Self {
            at: found.at?,
            low: found.low,
            high: found.high,
            p10: point(0.1),
            p50: point(0.5),
            p90: point(0.9),
        })
    }
}

/// What rush costs under one policy, at one demand case.
#[derive(Debug, Clone, PartialEq)]
pub struct Policy {
    /// Rush orders a year, mean.
    pub orders_a_year: f64,
    /// What a rush order costs more than the same order taken as a standard one, premiums left out. It is the
    /// premium that would pay for it.
    pub cost: PerOrder,
    /// Of that cost, by the means: lateness, labour and machine-hours, material and disposal.
    pub parts: [f64; 3],
    /// Premium told in the scenario, for one rush order, mean.
    pub premium: f64,
    /// What rush brings a year: premium less cost.
    pub pays: Spread,
    /// Premium for one rush order, on top of what is told, at which the policy is worth as much as today's;
    /// `None` for today's own.
    pub against_today: Option<PerOrder>,
}

/// What rush orders cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Rush {
    /// Which orders are rush.
    pub question: Question,
    /// By variant: it is today, or differs from it in rules alone, so that its money is that of its rush orders.
    pub by_rules: Vec<bool>,
    /// By demand case, by variant; `None` where one of the two does not keep up, money is not told, or the variant
    /// differs in more than rules.
    pub policies: Vec<Vec<Option<Policy>>>,
}

/// Which classes are rush, if any of the plants lets some orders go first; `None` otherwise.
pub fn question(plants: &[&Plant]) -> Option<Question> {
    let base = plants.first()?;
    let ordered = |class: usize| {
        let streams = base.arrivals.iter().flat_map(|stream| &stream.classes);
        streams.clone().any(|&(c, share)| c == class && share > 0.0)
            || base.book.iter().any(|order| order.class == class)
    };
    let used: Vec<usize> = (0..base.classes.len()).filter(|&c| ordered(c)).collect();
    let rank = |plant: &Plant, class: usize| plant.classes.get(class).map_or(0, |c| c.rank);
    let differ = |plant: &Plant| used.iter().any(|&c| rank(plant, c) != rank(plant, used[0]));
    let ranked = plants.iter().find(|plant| differ(plant))?;
    let last = used.iter().map(|&c| rank(ranked, c)).max()?;
    let standard = used.iter().copied().find(|&c| rank(ranked, c) == last)?;
    let classes: Vec<usize> = used
        .iter()
        .copied()
        .filter(|&c| rank(ranked, c) < last)
        .collect();
    let first = |plant: &Plant| {
        let by_rank = plant.stations.iter().any(|station| {
            station.next.contains(&Rule::ClassFirst) || station.policy.interrupt != Interrupt::Never
        });
        (by_rank && differ(plant))
            || plant
                .stations
                .iter()
                .flat_map(|station| &station.machines)
                .any(|machine| machine.reserved.is_some())
    };
    plants
        .iter()
        .any(|plant| first(plant))
        .then_some(Question { classes, standard })
}

/// The cell with all orders taken as standard ones: the same orders, products and quantities, but rank,
/// promise, price of lateness and premium of the standard class, no limit, nothing interrupted, nothing kept.
/// Holds stay as they are.
pub fn unhurried(plant: &Plant, question: &Question) -> Plant {
    let mut plant = plant.clone();
    let Some(standard) = plant.classes.get(question.standard).cloned() else {
        return plant;
    };
    for &class in &question.classes {
        if let Some(class) = plant.classes.get_mut(class) {
            class.rank = standard.rank;
            class.promise = standard.promise.clone();
            class.limit = standard.limit;
            class.when_full = standard.when_full;
        }
        if let Some(money) = &mut plant.money {
            for prices in [&mut money.late_per_day, &mut money.premium_per_thousand] {
                if let Some(&price) = prices.get(question.standard)
                    && let Some(mine) = prices.get_mut(class)
                {
                    *mine = price;
                }
            }
        }
    }
    for order in &mut plant.book {
        if question.classes.contains(&order.class) {
            order.due_min = None;
        }
    }
    for station in &mut plant.stations {
        station.policy.interrupt = Interrupt::Never;
        for machine in &mut station.machines {
            machine.reserved = None;
        }
    }
    plant
}

impl Comparison {
    /// Adds what rush orders cost. `reference`: [`unhurried`] cases with their runs, by demand case.
    pub fn with_rush(
        &mut self,
        question: &Question,
        runs: &Runs<'_>,
        reference: (&[Case], &[CaseRun]),
    ) {
        let demands = self.demands.len();
        let level = bonferroni(self.confidence, self.cases.len() * demands);
        let plant = |variant: usize| {
            let case = runs.cases.get(variant * demands + home(&self.demands));
            case.map(|case| &case.model.plant)
        };
        let by_rules: Vec<bool> = (0..self.cases.len())
            .map(|v| match (plant(0), plant(v)) {
                (Some(today), Some(mine)) => v == 0 || rules_only(today, mine),
                _ => false,
            })
            .collect();
        let policies = (0..demands)
            .map(|demand| {
                let calm = (reference.0.get(demand), reference.1.get(demand));
                (0..self.cases.len())
                    .map(|variant| {
                        let (Some(case), Some(run)) = calm else {
                            return None;
                        };
                        if !by_rules[variant] {
                            return None;
                        }
                        self.policy(question, runs, (case, run), (variant, demand), level)
                    })
                    .collect()
            })
            .collect();
        self.rush = Some(Rush {
            question: question.clone(),
            by_rules,
            policies,
        });
    }

    fn policy(
        &self,
        question: &Question,
        runs: &Runs<'_>,
        (calm, calm_run): (&Case, &CaseRun),
        (variant, demand): (usize, usize),
        level: f64,
    ) -> Option<Policy> {
        let demands = self.demands.len();
        let index = variant * demands + demand;
        let (case, run) = (runs.cases.get(index)?, runs.runs.get(index)?);
        let told = case.model.plant.money.as_ref()?;
        let calm_summary = Summary::new(&calm.model, &calm.layout, &calm_run.experiment);
        let mine = &self.cases[variant][demand];
        let standings = [mine.standing, Standing::of(&calm_summary)];
        if standings.contains(&Standing::Overloaded) {
            return None;
        }
        let plan = &case.model.plant.run;
        let years = plan.measure_min / WEEK_MIN / told.weeks;
        let orders: Vec<f64> = (0..run.yearly.len())
            .map(|n| {
                let of = |class: &usize| run.released.get(1 + class).and_then(|r| r.get(n));
                question.classes.iter().filter_map(of).sum::<f64>() / years
            })
            .collect();
        let bought = |other: usize| -> Option<f64> {
            let other = runs.cases.get(other)?.model.plant.money.as_ref();
            Bought::between(other, Some(told)).annual_cost()
        };
        let capital = bought(demand)?;
        let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
        let gains: Vec<f64> = run
            .yearly
            .iter()
            .zip(&calm_run.yearly)
            .map(|(mine, calm)| mine - calm - capital)
            .collect();
        let extra = run.premium.iter().zip(&calm_run.premium);
        let spent: Vec<f64> = gains
            .iter()
            .zip(extra)
            .map(|(gain, (mine, calm))| mine - calm - gain)
            .collect();
        let orders_a_year = mean(&orders);
        let part = |keys: &[&str]| {
            let of = |key: &&str| {
                let difference = mine.summary.get(key)?.mean - calm_summary.get(key)?.mean;
                difference.is_finite().then_some(difference)
            };
            keys.iter().filter_map(of).sum::<f64>() / orders_a_year
        };
        let against_today = (variant > 0)
            .then(|| {
                let today = runs.runs.get(demand)?;
                if self.cases[0][demand].standing == Standing::Overloaded {
                    return None;
                }
                let lost: Vec<f64> = run
                    .yearly
                    .iter()
                    .zip(&today.yearly)
                    .map(|(mine, today)| today - mine + capital)
                    .collect();
                PerOrder::new(&lost, &orders, level)
            })
            .flatten();
        Some(Policy {
            orders_a_year,
            cost: PerOrder::new(&spent, &orders, level)?,
            parts: [
                part(&["money/late"]),
                part(&["money/labour", "money/machine_hours"]),
                part(&["money/material", "money/disposal"]),
            ],
            premium: mean(&run.premium) / orders_a_year,
            pays: Spread::new(&gains, level)?,
            against_today,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::starter;
    use super::*;

    /// By hand: 5,200, 6,000 and 6,800 a year on 400 rush orders: 13, 15 and 17 an order, mean 15; the t interval
    /// of the mean 6,000 with standard error 800 / sqrt 3 and t(0.975, 2) = 4.302653 (any table) over 400:
    /// 15 -+ 4.968276.
    #[test]
    fn money_for_an_order_by_hand() {
        let told = PerOrder::new(&[5200.0, 6000.0, 6800.0], &[400.0; 3], 0.95).unwrap();
        assert!((told.at - 15.0).abs() < 1e-9);
        assert!((told.low.unwrap() - (15.0 - 4.968276)).abs() < 1e-5);
        assert!((told.high.unwrap() - (15.0 + 4.968276)).abs() < 1e-5);
        // A tenth of the way from the lowest of three to the highest, straight between them.
        assert!((told.p10 - 13.4).abs() < 1e-9 && (told.p90 - 16.6).abs() < 1e-9);
        assert_eq!(PerOrder::new(&[f64::NAN, 1.0], &[4.0, 4.0], 0.95), None);
        assert_eq!(PerOrder::new(&[1.0, 1.0], &[0.0, 0.0], 0.95), None);
    }

    #[test]
    fn the_reference_differs_in_haste_and_in_nothing_else() {
        let mut plant = starter();
        if plant.classes.len() < 2 {
            plant.classes.push(plant.classes[0].clone());
        }
        plant.classes[0].rank = 3;
        plant.classes[1].rank = 1;
        plant.classes[1].limit = Some(2);
        plant.arrivals[0].classes = vec![(0, 0.5), (1, 0.5)];
        plant.stations[0].next = vec![Rule::ClassFirst];
        let found = question(&[&plant]).unwrap();
        assert_eq!((found.classes.as_slice(), found.standard), (&[1][..], 0));
        plant.stations[0].policy.interrupt = Interrupt::AtOnce;
        let calm = unhurried(&plant, &found);
        assert_eq!((calm.classes[1].rank, calm.classes[1].limit), (3, None));
        assert_eq!(calm.classes[1].promise, plant.classes[0].promise);
        assert_eq!(calm.stations[0].policy.interrupt, Interrupt::Never);
        // Holds, machines and orders are those of the cell.
        assert_eq!(calm.adhesives, plant.adhesives);
        assert_eq!(calm.arrivals, plant.arrivals);
        assert_eq!(unhurried(&calm, &found), calm);
        // Nobody goes first: there is no question.
        for station in &mut plant.stations {
            station.policy.interrupt = Interrupt::Never;
            station.next.retain(|rule| *rule != Rule::ClassFirst);
        }
        assert_eq!(question(&[&plant]), None);
    }
}
