//! How much of the start of a run to leave out.
//!
//! In: a series of observations in order. Out: how many to delete (MSER), or the smoothed series
//! to look at (Welch).

/// What MSER says about a series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Truncation {
    /// Observations to delete from the start.
    pub deleted: usize,
    /// The least value of the statistic.
    pub statistic: f64,
    /// Mean of the batches that stay.
    pub mean: f64,
    /// False if the least value lies at the last place searched: the run is too short to tell.
    pub settled: bool,
}

/// MSER on batches of five (White, Cobb and Spratt, "A comparison of five steady-state truncation
/// heuristics for simulation", 2000).
pub fn mser5(series: &[f64]) -> Option<Truncation> {
    mser(series, 5)
}

/// The truncation d among the first half of the batches that makes the squared standard error of
/// the rest, (1/(n - d)^2) times the sum of squares about its mean, smallest. Observations
/// that do not fill the last batch are left out. `None` below four batches or for batch size 0.
pub fn mser(series: &[f64], batch: usize) -> Option<Truncation> {
    if batch == 0 {
        return None;
    }
    let means: Vec<f64> = series
        .chunks_exact(batch)
        .map(|b| b.iter().sum::<f64>() / batch as f64)
        .collect();
    let n = means.len();
    if n < 4 {
        return None;
    }
    // The second half is never searched: near the end few batches agree by luck. A minimum at the
    // last place searched is such luck, or a run still on its way.
    let places = n.div_ceil(2);
    let mut best: Option<Truncation> = None;
    // From the back, so that each place adds one batch to mean and sum of squares.
    let (mut count, mut mean, mut squares) = (0.0, 0.0, 0.0);
    for (d, z) in means.iter().enumerate().rev() {
        count += 1.0;
        let from_old = z - mean;
        mean += from_old / count;
        squares += from_old * (z - mean);
        let statistic = squares / (count * count);
        if d < places && best.is_none_or(|b| statistic <= b.statistic) {
            let settled = d + 1 < places;
            best = Some(Truncation {
                deleted: d * batch,
                statistic,
                mean,
                settled,
            });
        }
    }
    best
}

/// Mean over replications, observation by observation, as far as the shortest reaches.
pub fn average_across(replications: &[Vec<f64>]) -> Vec<f64> {
    let length = replications.iter().map(Vec::len).min().unwrap_or(0);
    let count = replications.len() as f64;
    (0..length)
        .map(|i| replications.iter().filter_map(|r| r.get(i)).sum::<f64>() / count)
        .collect()
}

/// Welch's moving average: the mean of `window` observations on either side, fewer near the start
/// so that it stays centred. The result is shorter by `window`; empty if nothing is left.
pub fn welch_average(series: &[f64], window: usize) -> Vec<f64> {
    (0..series.len().saturating_sub(window))
        .map(|i| {
            let reach = window.min(i);
            let part = series.get(i - reach..=i + reach).unwrap_or(&[]);
            part.iter().sum::<f64>() / part.len() as f64
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Made for this test and worked in exact fractions; batch means 2 6 10 9 11 9 11 9 11 9 11 10.
    const Y: [f64; 60] = [
        0., 1., 2., 3., 4., 4., 5., 6., 7., 8., 8., 10., 9., 11., 12., 9., 8., 10., 9., 9., 11.,
        10., 12., 10., 12., 9., 10., 9., 8., 9., 10., 11., 12., 11., 11., 9., 9., 10., 8., 9., 10.,
        12., 11., 11., 11., 8., 9., 10., 9., 9., 11., 10., 11., 12., 11., 10., 9., 10., 10., 11.,
    ];

    #[test]
    fn mser_by_hand() {
        let five = mser5(&Y).unwrap();
        assert_eq!((five.deleted, five.settled), (10, true));
        assert!((five.statistic - 2.0 / 25.0).abs() < 1e-14);
        assert!((five.mean - 10.0).abs() < 1e-14);
        let one = mser(&Y, 1).unwrap();
        assert_eq!(one.deleted, 11);
        assert!((one.statistic - 0.02745455).abs() < 1e-8);
        assert!((one.mean - 10.04082).abs() < 1e-5);
    }

    #[test]
    fn a_run_still_climbing_is_not_settled() {
        let climbing: Vec<f64> = (0..100).map(f64::from).collect();
        assert!(!mser5(&climbing).unwrap().settled);
        assert_eq!(mser5(&Y[..19]), None);
        let flat = mser5(&[3.0; 40]).unwrap();
        assert_eq!((flat.deleted, flat.settled), (0, true));
    }

    /// Law, "Simulation Modeling and Analysis", 9.5.1, the formula worked by hand.
    #[test]
    fn welch_by_hand() {
        let series = [1.0, 3.0, 2.0, 5.0, 6.0, 5.0, 8.0, 7.0, 9.0, 8.0, 10.0, 9.0];
        let want = [1.0, 2.0, 3.4, 4.2, 5.2, 6.2, 7.0, 7.4, 8.4, 8.6];
        let got = welch_average(&series, 2);
        assert_eq!(got.len(), want.len());
        assert!(
            got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-12),
            "{got:?}"
        );
        assert!(welch_average(&series, 12).is_empty());
        assert_eq!(
            average_across(&[vec![1.0, 3.0], vec![3.0, 5.0, 9.0]]),
            [2.0, 4.0]
        );
    }
}
