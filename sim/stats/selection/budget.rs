//! Optimal computing budget allocation: a fixed effort, spent where it tells the best from the rest.
//!
//! In: means and standard deviations so far, larger or smaller best, replications so far. Out: how many
//! replications each design should have, and a lower bound of the chance that the best so far is best.
//!
//! Chen, Lin, Yücesan and Chick, Discrete Event Dynamic Systems 10 (2000): N_i / N_j = ((σ_i/δ_i) / (σ_j/δ_j))²
//! for designs other than the best one b, N_b = σ_b √(Σ N_i²/σ_i²), δ_i the distance to the best (from
//! memory). It assumes normal, independent replications and guarantees nothing: it is a rule for
//! spending, and the chance it reports is an estimate.

use crate::stats::normal_cdf;

use super::Best;

/// What is known of a design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Mean so far.
    pub mean: f64,
    /// Standard deviation of a replication.
    pub sd: f64,
    /// Replications so far.
    pub count: u64,
}

/// The design with the best mean, the first of equal ones; `None` of none.
pub fn leader(seen: &[Seen], best: Best) -> Option<usize> {
    (0..seen.len()).reduce(|held, i| {
        if best.signed(seen[i].mean) > best.signed(seen[held].mean) {
            i
        } else {
            held
        }
    })
}

/// Shares of the effort by design; they sum to 1. Designs that have shown no spread, or stand exactly
/// level with the best, get as much as the rule gives the closest that can be told apart.
pub fn shares(seen: &[Seen], best: Best) -> Vec<f64> {
    let Some(leader) = leader(seen, best) else {
        return Vec::new();
    };
    let gap = |i: usize| (seen[leader].mean - seen[i].mean).abs();
    let others = || (0..seen.len()).filter(|&i| i != leader);
    let least_gap = others()
        .map(gap)
        .filter(|g| *g > 0.0)
        .fold(f64::INFINITY, f64::min);
    let floor = seen.iter().map(|s| s.sd).fold(0.0, f64::max) * 1e-3;
    if floor == 0.0 || !least_gap.is_finite() {
        return vec![1.0 / seen.len() as f64; seen.len()];
    }
    let sd = |i: usize| seen[i].sd.max(floor);
    let mut weights = vec![0.0; seen.len()];
    for i in others() {
        weights[i] = (sd(i) / gap(i).max(least_gap)).powi(2);
    }
    let squares: f64 = others().map(|i| (weights[i] / sd(i)).powi(2)).sum();
    weights[leader] = sd(leader) * squares.sqrt();
    let whole: f64 = weights.iter().sum();
    weights.iter().map(|weight| weight / whole).collect()
}

/// How `add` further replications are spread so that the counts come nearest to the rule: designs that
/// have more than their share already get none.
pub fn next(seen: &[Seen], best: Best, add: u64) -> Vec<u64> {
    let shares = shares(seen, best);
    let whole = seen.iter().map(|s| s.count).sum::<u64>() + add;
    let lack: Vec<f64> = seen
        .iter()
        .zip(&shares)
        .map(|(s, share)| (share * whole as f64 - s.count as f64).max(0.0))
        .collect();
    let all: f64 = lack.iter().sum();
    if all <= 0.0 {
        return vec![0; seen.len()];
    }
    // Whole numbers by largest remainder, the first of equal ones.
    let exact: Vec<f64> = lack.iter().map(|l| l / all * add as f64).collect();
    let mut given: Vec<u64> = exact.iter().map(|e| e.floor() as u64).collect();
    let mut order: Vec<usize> = (0..seen.len()).collect();
    order.sort_by(|&a, &b| exact[b].fract().total_cmp(&exact[a].fract()));
    let left = add.saturating_sub(given.iter().sum()) as usize;
    for &i in order.iter().take(left) {
        given[i] += 1;
    }
    given
}

/// Estimated lower bound (Bonferroni) of the chance that the leader is best, from normal posteriors.
pub fn chance_best(seen: &[Seen], best: Best) -> f64 {
    let Some(leader) = leader(seen, best) else {
        return f64::NAN;
    };
    let variance = |s: &Seen| s.sd * s.sd / s.count as f64;
    let wrong: f64 = seen
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != leader)
        .map(|(_, other)| {
            let gap = (seen[leader].mean - other.mean).abs();
            let error = (variance(&seen[leader]) + variance(other)).sqrt();
            if error > 0.0 {
                normal_cdf(-gap / error)
            } else if gap > 0.0 {
                0.0
            } else {
                0.5
            }
        })
        .sum();
    (1.0 - wrong).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(means: &[f64], sds: &[f64]) -> Vec<Seen> {
        let pair = means.iter().zip(sds);
        pair.map(|(&mean, &sd)| Seen {
            mean,
            sd,
            count: 10,
        })
        .collect()
    }

    /// Allocations by independent recomputation from the formulas of the paper.
    #[test]
    fn allocations_follow_the_rule() {
        // Means, deviations, total, allocations.
        type Row = (&'static [f64], &'static [f64], f64, &'static [f64]);
        let cases: [Row; 3] = [
            (
                &[1.0, 2.0, 3.0, 4.0, 5.0],
                &[6.0; 5],
                1000.0,
                &[421.8230, 406.1341, 101.5335, 45.12601, 25.38338],
            ),
            (
                &[0.0, 1.0, 2.0, 3.0],
                &[1.0, 1.0, 2.0, 2.0],
                100.0,
                &[31.80228, 27.89907, 27.89907, 12.39959],
            ),
            (
                &[10.0, 12.0, 12.5, 15.0],
                &[3.0, 4.0, 2.0, 5.0],
                200.0,
                &[72.49185, 90.43131, 14.46901, 22.60783],
            ),
        ];
        for (means, sds, total, wanted) in cases {
            let shares = shares(&seen(means, sds), Best::Smallest);
            for (share, want) in shares.iter().zip(wanted) {
                assert!((share * total / want - 1.0).abs() < 1e-6, "{share} {want}");
            }
        }
    }

    #[test]
    fn further_replications_add_up_and_go_where_they_lack() {
        let seen = seen(&[1.0, 2.0, 3.0, 4.0, 5.0], &[6.0; 5]);
        let more = next(&seen, Best::Smallest, 50);
        assert_eq!(more.iter().sum::<u64>(), 50);
        assert!(
            more[0] >= more[1] && more[1] > more[2] && more[4] == 0,
            "{more:?}"
        );
        assert_eq!(leader(&seen, Best::Largest), Some(4));
    }

    /// Two designs, gap 1, both with sd 1 and 8 replications: Φ(1 / ½) = 0.97725 (normal table).
    #[test]
    fn the_chance_of_two_is_that_of_the_normal() {
        let two = [
            Seen {
                mean: 1.0,
                sd: 1.0,
                count: 8,
            },
            Seen {
                mean: 0.0,
                sd: 1.0,
                count: 8,
            },
        ];
        assert!((chance_best(&two, Best::Largest) - 0.97725).abs() < 1e-5);
    }

    #[test]
    fn level_designs_and_designs_without_spread_get_their_share() {
        let level = seen(&[1.0, 1.0, 3.0], &[1.0; 3]);
        let shares_level = shares(&level, Best::Largest);
        assert!(shares_level.iter().all(|s| s.is_finite() && *s > 0.0));
        let still = seen(&[1.0, 1.0], &[0.0; 2]);
        assert_eq!(shares(&still, Best::Largest), [0.5, 0.5]);
        assert_eq!(chance_best(&still, Best::Largest), 0.5);
        assert!(next(&level, Best::Largest, 0).iter().all(|n| *n == 0));
    }
}
