//! Which variant is best in one figure, and how sure that is.
//!
//! In: the figure of every variant, replication by replication. Out: the chance that each is best, by the
//! bootstrap: replications are drawn again with replacement, the same ones for all variants, and the best
//! mean is noted (Efron and Tibshirani, "An Introduction to the Bootstrap"). It says how often another
//! sample like this one would name the same winner. It is no proof; [`not_told_apart`] is the one that
//! keeps a level: all pairs of variants are compared, Bonferroni's correction included.

use crate::random::{Source, Streams};
use crate::stats::bonferroni;

use super::difference::{Call, difference};
use super::headline::Better;

/// Samples drawn.
pub const SAMPLES: usize = 2_000;

/// A variant's figure by replication; `None` where it has no value to compare.
pub type Values<'a> = Option<&'a [f64]>;

/// The chance that each is best; variants without values have none. Ties share.
///
/// `seed` and `number` name the stream, so that a figure's chances are the same in every report.
pub fn chances(values: &[Values<'_>], better: Better, seed: u64, number: u64) -> Vec<Option<f64>> {
    let n = values.iter().flatten().map(|v| v.len()).min().unwrap_or(0);
    let sign = match better {
        Better::Less => 1.0,
        Better::More => -1.0,
        Better::Neither => return vec![None; values.len()],
    };
    if n == 0 {
        return vec![None; values.len()];
    }
    let mut wins = vec![0.0; values.len()];
    let mut draw = Streams::new(seed, u64::MAX).of(Source::Resample, number, 0);
    let mut sums = vec![0.0; values.len()];
    let mut picked = vec![0_u32; n];
    for _ in 0..SAMPLES {
        picked.fill(0);
        for _ in 0..n {
            picked[((draw.unit() * n as f64) as usize).min(n - 1)] += 1;
        }
        for (sum, values) in sums.iter_mut().zip(values) {
            *sum = values.map_or(f64::INFINITY, |values| {
                let all = values.iter().zip(&picked);
                sign * all
                    .map(|(value, &times)| value * f64::from(times))
                    .sum::<f64>()
            });
        }
        let best = sums.iter().copied().fold(f64::INFINITY, f64::min);
        let share = 1.0 / sums.iter().filter(|&&sum| sum == best).count().max(1) as f64;
        for (win, _) in wins.iter_mut().zip(&sums).filter(|(_, sum)| **sum == best) {
            *win += share;
        }
    }
    values
        .iter()
        .zip(wins)
        .map(|(values, wins)| values.map(|_| wins / SAMPLES as f64))
        .collect()
}

/// The variants that cannot be told from the best one: every other variant is certainly worse than at least
/// one of them. One left: it is certainly best. `others`: further sets of pairs that are judged at the
/// same time (demand cases).
///
/// A variant is out when it is worse than some other one at Bonferroni's level over all pairs, so that all
/// statements hold together with the `confidence`.
pub fn not_told_apart(
    values: &[Values<'_>],
    better: Better,
    confidence: f64,
    others: usize,
) -> Vec<usize> {
    let there: Vec<usize> = (0..values.len()).filter(|&v| values[v].is_some()).collect();
    let pairs = there.len() * there.len().saturating_sub(1) / 2;
    let level = bonferroni(confidence, pairs.max(1) * others.max(1));
    let worse = |a: usize, b: usize| match (values[a], values[b]) {
        (Some(mine), Some(other)) => {
            difference(mine, other, |_| true, |_| None, (level, better), 0.0)
                .is_ok_and(|d| d.call == Call::Worse)
        }
        _ => false,
    };
    there
        .iter()
        .copied()
        .filter(|&a| !there.iter().any(|&b| b != a && worse(a, b)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A clear winner wins always; twins share; one without values has no chance to tell.
    #[test]
    fn winners_and_ties() {
        let low: Vec<f64> = (0..50).map(|i| f64::from(i % 7)).collect();
        let high: Vec<f64> = low.iter().map(|x| x + 3.0 + x % 2.0).collect();
        let all = [Some(&low[..]), Some(&low[..]), Some(&high[..]), None];
        let told = chances(&all, Better::Less, 1, 1);
        assert_eq!(told, [Some(0.5), Some(0.5), Some(0.0), None]);
        assert_eq!(not_told_apart(&all, Better::Less, 0.95, 1), [0, 1]);
        assert_eq!(not_told_apart(&all, Better::More, 0.95, 1), [2]);
        assert_eq!(
            told,
            chances(&all, Better::Less, 1, 1),
            "the same every time"
        );
    }

    /// Two means one standard error of the difference apart: by the normal law the better one is named
    /// best in about Phi(1) = 84 % of the samples (any table). The bootstrap of 2,000 has a standard error
    /// of 0.8 points; five of them are allowed.
    #[test]
    fn chances_follow_the_normal_law() {
        let n = 400;
        let noise: Vec<f64> = (0..n)
            .map(|i| if i % 2 == 0 { 1.0 } else { -1.0 })
            .collect();
        let none = vec![0.0; n];
        // Standard error of the mean of the noise: 1 / 20.
        let shifted: Vec<f64> = noise.iter().map(|x| x + 1.0 / 20.0).collect();
        let told = chances(&[Some(&none), Some(&shifted)], Better::Less, 7, 3);
        assert!((told[0].unwrap() - 0.8413).abs() < 0.04, "{told:?}");
    }
}
