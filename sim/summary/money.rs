//! What a change is worth: yearly figures of two line-ups, replication by replication, to money.
//!
//! In: yearly results (margin and premiums less running cost) of today and of a change, one number for
//! each replication, paired by its number; what the change needs to be bought. Out: yearly difference,
//! paybacks, present value and equivalent annual cost, each with its spread over replications and the
//! interval of its mean; the demand and the premium at which the change breaks even.
//!
//! A replication is one year as the measured time shows it, scaled up. Its spread is that of a stretch
//! as long as the measured time, so wider than that of whole years; the interval of the mean is not.
//! What cannot be told is `None`, never nothing: without a rate there is no present value.

use crate::finance::{Purchase, discounted_payback_years, payback_years};
use crate::observe::{Layout, money};
use crate::plant::Money;
use crate::stats::{Definition, Interval, Tail, Welford, quantile};

mod break_even;

pub use break_even::{BreakEven, DemandCase, break_even_demand, break_even_premium};

/// A figure over replications.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Mean over replications.
    pub mean: f64,
    /// Interval of the mean.
    pub interval: Interval,
    /// Points below which a tenth, half and nine tenths of the replications lie.
    pub p10: f64,
    /// The middle one.
    pub p50: f64,
    /// Nine tenths lie below.
    pub p90: f64,
    /// Replications.
    pub n: usize,
}

impl Spread {
    /// Spread of values; `None` below two, or where one of them is not a number.
    pub fn new(values: &[f64], confidence: f64) -> Option<Self> {
        Self::with_tail(values, confidence, None)
    }

    /// The same, where more is known of their tail than they show: the end of the interval on its side is
    /// infinite where they are too few for it.
    pub fn with_tail(values: &[f64], confidence: f64, tail: Option<Tail>) -> Option<Self> {
        if values.len() < 2 || values.iter().any(|value| !value.is_finite()) {
            return None;
        }
        let seen: Welford = values.iter().copied().collect();
        let moments = seen.moments();
        let tail = tail.unwrap_or_else(|| Tail::of(&moments));
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        let point = |p| quantile(&sorted, p, Definition::Linear);
        Some(Self {
            mean: seen.mean(),
            interval: match seen.sd() > 0.0 {
                true => tail.judged(moments.interval(confidence), moments.mean, moments.count),
                false => moments.interval(confidence),
            },
            p10: point(0.1),
            p50: point(0.5),
            p90: point(0.9),
            n: values.len(),
        })
    }
}

/// Years until the money is back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Payback {
    /// Of the mean yearly gain; `None`: never.
    pub years: Option<f64>,
    /// Of the upper end of the gain's interval; `None`: never.
    pub soonest: Option<f64>,
    /// Of the lower end of the gain's interval; `None`: it may never be.
    pub latest: Option<f64>,
    /// Share of replications in which it is back within the life of what is bought.
    pub share_within_life: f64,
}

/// What a change needs: everything bought, as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Needs {
    /// Each thing bought; sold things are negative.
    pub purchases: Vec<Purchase>,
    /// Interest a year; `None` where it is not told.
    pub rate: Option<f64>,
    /// Yearly differences within this count as none, money.
    pub equal: f64,
}

impl Needs {
    /// What `change` has to buy that `today` has not: purchases by name. Something that today has and the
    /// change has not is not sold for anything: it is left out. Yearly charges are in the yearly results.
    pub fn between(today: Option<&Money>, change: Option<&Money>) -> Self {
        let none = Vec::new();
        let before = today.map_or(&none, |money| &money.purchases);
        let purchases = change
            .map_or(&none, |money| &money.purchases)
            .iter()
            .filter(|bought| bought.capital > 0.0 && !before.contains(bought))
            .map(|bought| {
                let same = before.iter().find(|other| other.name == bought.name);
                Purchase {
                    // The same thing at another price: the difference.
                    capital: bought.capital - same.map_or(0.0, |other| other.capital),
                    residual: bought.residual - same.map_or(0.0, |other| other.residual),
                    life_years: bought.life_years,
                }
            })
            .collect();
        Self {
            purchases,
            rate: change.or(today).and_then(|money| money.rate),
            equal: today.map_or(0.0, |money| money.equal_within),
        }
    }

    /// Paid at the start.
    pub fn capital(&self) -> f64 {
        // An empty sum of floating-point numbers is minus nothing.
        0.0 + self
            .purchases
            .iter()
            .map(|bought| bought.capital)
            .sum::<f64>()
    }

    /// Life of the things bought, weighted by capital: the life over which gains are counted. `None` where
    /// nothing is bought.
    pub fn life_years(&self) -> Option<f64> {
        let capital = self.capital();
        (capital > 0.0).then(|| {
            let weighted = |bought: &Purchase| bought.capital * bought.life_years;
            self.purchases.iter().map(weighted).sum::<f64>() / capital
        })
    }

    /// Equivalent annual cost of all of it; each thing is bought anew at the end of its own life.
    pub fn annual_cost(&self) -> Option<f64> {
        if self.purchases.is_empty() {
            return Some(0.0);
        }
        let rate = self.rate?;
        let each = |bought: &Purchase| bought.equivalent_annual_cost(rate);
        Some(self.purchases.iter().map(each).sum())
    }
}

/// What a change is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// Yearly differences within this count as none.
    pub equal: f64,
    /// Change less today a year, before capital.
    pub yearly: Spread,
    /// Capital at the start.
    pub capital: f64,
    /// Life of what is bought, years, weighted by capital; `None` where nothing is bought.
    pub life_years: Option<f64>,
    /// Equivalent annual cost of that capital; `None` without a rate.
    pub annual_cost: Option<f64>,
    /// Yearly difference less that cost; `None` without a rate.
    pub yearly_after_capital: Option<Spread>,
    /// Simple payback; `None` where nothing is bought.
    pub payback: Option<Payback>,
    /// With interest; `None` where nothing is bought or no rate is told.
    pub discounted_payback: Option<Payback>,
    /// Present value over the life; `None` where nothing is bought or no rate is told.
    pub net_present_value: Option<Spread>,
    /// Share of replications in which the change is worth it: with its capital where there is a rate,
    /// otherwise before it.
    pub share_worth_it: f64,
    /// Internal rate at the mean gain and at both ends of its interval; `None`: there is none.
    pub internal_rate: [Option<f64>; 3],
}

/// What a change is worth against today.
///
/// `today` and `change`: yearly results before capital ([`before_capital`]), one by replication, paired.
/// `tail`: what is known of the tail of the difference. `None` where they differ in length, are fewer than two,
/// or are not all numbers.
pub fn worth(
    today: &[f64],
    change: &[f64],
    needs: &Needs,
    confidence: f64,
    tail: Option<Tail>,
) -> Option<Worth> {
    if today.len() != change.len() {
        return None;
    }
    let gains: Vec<f64> = change.iter().zip(today).map(|(c, t)| c - t).collect();
    let spread = |values: &[f64]| Spread::with_tail(values, confidence, tail);
    let yearly = spread(&gains)?;
    let ends = [yearly.mean, yearly.interval.low, yearly.interval.high];
    let (capital, life) = (needs.capital(), needs.life_years());
    let annual_cost = needs.annual_cost();
    let after = |cost: f64| gains.iter().map(|gain| gain - cost).collect::<Vec<f64>>();
    // With the present value of its equivalent annual cost as capital, things of different lives agree:
    // the value is that of the yearly difference after capital over the common life.
    let value = |rate: f64, gain: f64, life: f64, cost: f64| {
        (gain - cost) * crate::finance::series_present_worth(rate, life)
    };
    let net_present_value = match (needs.rate, life, annual_cost) {
        (Some(rate), Some(life), Some(cost)) => {
            let values: Vec<f64> = gains
                .iter()
                .map(|&gain| value(rate, gain, life, cost))
                .collect();
            spread(&values)
        }
        _ => None,
    };
    let payback = |years: &dyn Fn(f64) -> Option<f64>| {
        life.map(|life| Payback {
            years: years(ends[0]),
            latest: years(ends[1]),
            soonest: years(ends[2]).filter(|_| ends[2].is_finite()),
            share_within_life: share(&gains, |gain| years(gain).is_some_and(|y| y <= life)),
        })
    };
    let whole = life.map(|life_years| Purchase {
        capital,
        life_years,
        residual: needs.purchases.iter().map(|bought| bought.residual).sum(),
    });
    Some(Worth {
        equal: needs.equal,
        yearly,
        capital,
        life_years: life,
        annual_cost,
        yearly_after_capital: annual_cost.and_then(|cost| spread(&after(cost))),
        payback: payback(&|gain| payback_years(capital, gain)),
        discounted_payback: needs
            .rate
            .and_then(|rate| payback(&|gain| discounted_payback_years(capital, rate, gain))),
        net_present_value,
        share_worth_it: share(&gains, |gain| gain > annual_cost.unwrap_or(0.0)),
        internal_rate: ends.map(|gain| {
            let whole = whole.filter(|_| gain.is_finite());
            whole.and_then(|whole| whole.internal_rate(gain))
        }),
    })
}

fn share(values: &[f64], holds: impl Fn(f64) -> bool) -> f64 {
    let count = values.iter().filter(|value| holds(**value)).count();
    count as f64 / values.len() as f64
}

/// Yearly result before capital of one replication, for [`worth`]: margin and premiums less cost, minus the
/// cost alone where neither is told, the equivalent annual cost of what is bought not taken off, yearly
/// charges taken off. NaN where the scenario tells neither, or does not speak of money.
pub fn before_capital(layout: &Layout, figures: &[f64], told: &Money) -> f64 {
    let get = |key: &str| {
        let index = layout.find(key);
        index.and_then(|index| figures.get(index)).copied()
    };
    let (Some(result), Some(cost)) = (get("money/result"), get("money/cost")) else {
        return f64::NAN;
    };
    let charges: f64 = told.purchases.iter().map(|bought| bought.yearly).sum();
    // What the figures hold of capital and charges: nothing where capital would need a rate that is not told.
    let held = money::capital(told).unwrap_or(0.0);
    let base = if result.is_nan() { -cost } else { result };
    base + held - charges
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needs(capital: f64, life_years: f64, residual: f64, rate: Option<f64>) -> Needs {
        Needs {
            purchases: vec![Purchase {
                capital,
                life_years,
                residual,
            }],
            rate,
            equal: 0.0,
        }
    }

    /// 100,000 for 30,000 a year over 5 years at 12 %: 8,143.29, 15.2382 %, 3.33 and 4.52 years (a
    /// textbook-like worked example, recomputed independently).
    #[test]
    fn sure_gains_give_the_worked_example() {
        let today = [50_000.0, 70_000.0, 90_000.0];
        let change = today.map(|t| t + 30_000.0);
        let worth = worth(
            &today,
            &change,
            &needs(100_000.0, 5.0, 0.0, Some(0.12)),
            0.95,
            None,
        )
        .unwrap();
        assert_eq!((worth.yearly.mean, worth.yearly.p10), (30_000.0, 30_000.0));
        let value = worth.net_present_value.unwrap();
        assert!((value.mean - 8143.286070).abs() < 1e-5);
        assert!((value.interval.low - value.interval.high).abs() < 1e-6);
        let payback = worth.payback.unwrap();
        assert_eq!(payback.years, Some(10.0 / 3.0));
        assert_eq!(payback.share_within_life, 1.0);
        let discounted = worth.discounted_payback.unwrap().years.unwrap();
        assert!((discounted - 4.521625).abs() < 1e-6);
        assert!((worth.internal_rate[0].unwrap() - 0.152382).abs() < 1e-6);
        assert_eq!(worth.share_worth_it, 1.0);
    }

    /// Identical line-ups differ by exactly nothing, and nothing is never paid back.
    #[test]
    fn the_same_is_worth_exactly_nothing() {
        let same = [1.0e6, 1.1e6, 0.9e6];
        let worth = worth(&same, &same, &needs(10_000.0, 5.0, 0.0, None), 0.95, None).unwrap();
        assert_eq!((worth.yearly.mean, worth.yearly.interval.high), (0.0, 0.0));
        assert_eq!(worth.payback.unwrap().years, None);
        assert_eq!(worth.net_present_value, None, "no rate is told");
        assert_eq!(worth.discounted_payback, None);
        assert_eq!(worth.annual_cost, None);
    }

    #[test]
    fn an_interval_across_nothing_may_never_pay() {
        let today = [0.0, 0.0, 0.0, 0.0];
        let change = [-20.0, 60.0, 10.0, 30.0];
        let worth = worth(
            &today,
            &change,
            &needs(100.0, 8.0, 0.0, Some(0.0)),
            0.95,
            None,
        )
        .unwrap();
        let payback = worth.payback.unwrap();
        assert_eq!(payback.years, Some(5.0));
        assert_eq!(payback.latest, None);
        assert!(payback.soonest.unwrap() < 5.0);
        assert_eq!(payback.share_within_life, 0.5);
        // 100 over 8 years without interest is 12.5 a year.
        assert_eq!(worth.share_worth_it, 0.5);
        assert!((worth.net_present_value.unwrap().mean - (8.0 * 20.0 - 100.0)).abs() < 1e-9);
    }

    #[test]
    fn what_does_not_pair_has_no_answer() {
        let none = needs(1.0, 1.0, 0.0, None);
        assert_eq!(worth(&[1.0], &[1.0], &none, 0.9, None), None);
        assert_eq!(worth(&[1.0, 2.0], &[1.0], &none, 0.9, None), None);
        assert_eq!(worth(&[1.0, f64::NAN], &[1.0, 2.0], &none, 0.9, None), None);
    }
}
