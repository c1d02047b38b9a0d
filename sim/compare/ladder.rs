//! What more speed costs: line-ups that are not beaten in money and in a promise, from the cheapest on.
//!
//! In: the runs of all cases. Out: [`Ladder`]s: for each demand case the line-ups that no other one beats by
//! its means in both figures, and between each two neighbours the money a year that one unit of the better
//! figure costs more: difference in money over difference in the figure, paired, with the range that the
//! replications do not rule out (Fieller's construction). This is the incremental cost-effectiveness ratio of
//! economic evaluation (Drummond and others, Methods for the Economic Evaluation of Health Care Programmes).

use crate::stats::bonferroni;
use crate::summary::Standing;
use crate::summary::money::break_even_premium;

use super::headline::Better;
use super::trade_off::{Frontier, of};
use super::{Rank, Runs, values};

/// Figures that may be bought with money, in the order in which they are shown: the 90 % lead time of the first
/// class that has orders (of all orders where there is one class), and the share on time.
fn bought(runs: &Runs<'_>) -> Vec<usize> {
    let told = |h: &usize| {
        let all = runs.runs.iter().map(|run| &run.values[*h]);
        all.flatten().any(|value| value.is_finite())
    };
    let find = |wanted: &dyn Fn(&str) -> bool| {
        (0..runs.headlines.len()).find(|h| wanted(&runs.headlines[*h].key) && told(h))
    };
    let first = find(&|key| key.starts_with("lead_done/class:") && key.ends_with("/p90"))
        .or_else(|| find(&|key| key == "lead_done/all/p90"));
    first
        .into_iter()
        .chain(find(&|key| key == "on_time/all"))
        .collect()
}

/// Money a year for one unit of a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Price {
    /// Difference of the means in money over that in the figure.
    pub at: f64,
    /// Lowest price not ruled out; `None`: nothing is known.
    pub low: Option<f64>,
    /// Highest price not ruled out; `None`: nothing is known.
    pub high: Option<f64>,
}

/// A line-up of a ladder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The variant.
    pub variant: usize,
    /// What a unit of the figure costs more than at the step before; `None` for the first one.
    pub price: Option<Price>,
}

/// Money against one figure.
#[derive(Debug, Clone)]
pub struct Ladder {
    /// Money first, then what it buys; places among the headlines.
    pub frontier: Frontier,
    /// By demand case: line-ups on the frontier, the cheapest first.
    pub steps: Vec<Vec<Step>>,
}

/// The ladders of a comparison; none where it does not speak of money or has fewer than three variants.
pub(super) fn ladders(runs: &Runs<'_>, standings: &[Standing], confidence: f64) -> Vec<Ladder> {
    let find = |key: &str| runs.headlines.iter().position(|h| h.key == key);
    let told = |h: &usize| {
        let all = runs.runs.iter().map(|run| &run.values[*h]);
        all.flatten().any(|value| value.is_finite())
    };
    // What is earned counts where it is told: a line-up that sells less also costs less.
    let money = ["money/result", "money/cost"]
        .iter()
        .filter_map(|key| find(key))
        .find(told);
    let Some(money) = money else {
        return Vec::new();
    };
    bought(runs)
        .into_iter()
        .filter_map(|figure| {
            let frontier = of(runs, standings, confidence, [money, figure])?;
            let steps = (0..runs.demands.len())
                .map(|d| steps(runs, standings, confidence, &frontier, d))
                .collect();
            Some(Ladder { frontier, steps })
        })
        .collect()
}

fn steps(
    runs: &Runs<'_>,
    standings: &[Standing],
    confidence: f64,
    frontier: &Frontier,
    demand: usize,
) -> Vec<Step> {
    let demands = runs.demands.len();
    // Turned so that more money is spent and more of the figure is better.
    let series = |variant: usize, h: usize, sign: f64| -> Option<Vec<f64>> {
        let index = variant * demands + demand;
        let all = values(&runs.runs[index], standings[index], &runs.headlines, h)?;
        let turn = match runs.headlines[h].better {
            Better::More => sign,
            Better::Less | Better::Neither => -sign,
        };
        Some(all.iter().map(|value| value * turn).collect())
    };
    let [money, figure] = frontier.figures;
    let mut on: Vec<(usize, Vec<f64>, Vec<f64>)> = frontier.ranks[demand]
        .iter()
        .enumerate()
        .filter(|(_, rank)| **rank == Some(Rank::Efficient))
        .filter_map(|(v, _)| Some((v, series(v, money, -1.0)?, series(v, figure, 1.0)?)))
        .collect();
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
    on.sort_by(|a, b| mean(&a.1).total_cmp(&mean(&b.1)));
    let level = bonferroni(confidence, on.len().saturating_sub(1) * demands);
    on.iter()
        .enumerate()
        .map(|(place, (variant, spent, gained))| Step {
            variant: *variant,
            price: place.checked_sub(1).and_then(|before| {
                let (_, less, worse) = &on[before];
                price(&gaps(spent, less), &gaps(gained, worse), level)
            }),
        })
        .collect()
}

fn gaps(mine: &[f64], other: &[f64]) -> Vec<f64> {
    mine.iter().zip(other).map(|(a, b)| a - b).collect()
}

/// Money spent more over what is gained more, both replication by replication; `None` where nothing is gained.
pub fn price(spent: &[f64], gained: &[f64], confidence: f64) -> Option<Price> {
    let saved: Vec<f64> = spent.iter().map(|spent| -spent).collect();
    let found = break_even_premium(&saved, gained, confidence)?;
    Some(Price {
        at: found.at?,
        low: found.low,
        high: found.high,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 30,000 a year more for 2 days less, in every replication: 15,000 a day.
    #[test]
    fn a_price_by_hand() {
        let sure = price(&[30_000.0; 3], &[2.0; 3], 0.95).unwrap();
        for end in [Some(sure.at), sure.low, sure.high] {
            assert!((end.unwrap() - 15_000.0).abs() < 1e-6, "{sure:?}");
        }
        assert_eq!(price(&[1.0, 2.0], &[0.0, 0.0], 0.95), None);
    }

    /// Fieller's interval of a ratio, by its quadratic: spent y, gained x, means 10 and 2, variances 4 and 0.25,
    /// covariance 0.5 of n = 4 pairs, t(0.975, 3) = 3.182446 (any table), h = t^2 / 4 = 2.531991. The ends r
    /// solve (10 - 2 r)^2 = h (4 - r + 0.25 r^2): 3.367002 r^2 - 37.468009 r + 89.872037 = 0, so r = 3.498546
    /// and 7.629456. An interval of the gain that holds nothing leaves the price open.
    #[test]
    fn the_range_is_that_of_fieller() {
        // Two contrasts of four pairs that do not correlate: variance 4/3 of each.
        let (a, b) = ([1.0, -1.0, 1.0, -1.0], [1.0, 1.0, -1.0, -1.0]);
        let unit = 0.75_f64.sqrt();
        // x = 2 + 0.5 u, y = 10 + u + sqrt(3) v: variances 0.25 and 4, covariance 0.5.
        let x: Vec<f64> = a.iter().map(|u| 2.0 + 0.5 * unit * u).collect();
        let y: Vec<f64> = a
            .iter()
            .zip(&b)
            .map(|(u, v)| 10.0 + unit * u + 3.0_f64.sqrt() * unit * v)
            .collect();
        let told = price(&y, &x, 0.95).unwrap();
        assert!((told.at - 5.0).abs() < 1e-9);
        assert!((told.low.unwrap() - 3.498546).abs() < 1e-4, "{told:?}");
        assert!((told.high.unwrap() - 7.629456).abs() < 1e-4, "{told:?}");
        let open = price(&y, &[5.0, -4.0, 6.0, -3.0], 0.95).unwrap();
        assert!(open.low.is_none() || open.high.is_none(), "{open:?}");
    }
}
