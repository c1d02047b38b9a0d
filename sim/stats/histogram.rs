//! Histograms with fixed edges, which can be added up over replications.
//!
//! In: observations. Out: counts per bin, and below and above all bins.

/// Counts of observations between fixed edges. A bin holds its lower edge, not its upper one.
#[derive(Debug, Clone, PartialEq)]
pub struct Histogram {
    edges: Vec<f64>,
    counts: Vec<u64>,
    below: u64,
    above: u64,
}

impl Histogram {
    /// Bins between rising finite edges. `None` if there are fewer than two or they do not rise.
    pub fn with_edges(edges: Vec<f64>) -> Option<Histogram> {
        let rising = edges.len() >= 2
            && edges.iter().all(|e| e.is_finite())
            && edges.windows(2).all(|w| w[0] < w[1]);
        let counts = vec![0; edges.len().saturating_sub(1)];
        rising.then_some(Histogram {
            edges,
            counts,
            below: 0,
            above: 0,
        })
    }

    /// `bins` bins of one width from `from` to `to`.
    pub fn linear(from: f64, to: f64, bins: usize) -> Option<Histogram> {
        let edge = |i: usize| from + (to - from) * (i as f64 / bins as f64);
        Histogram::with_edges((0..=bins).map(edge).collect())
    }

    /// `bins` bins of one ratio from `from` to `to`; both must be above 0.
    pub fn log(from: f64, to: f64, bins: usize) -> Option<Histogram> {
        if from <= 0.0 {
            return None;
        }
        let mut edges: Vec<f64> = (0..=bins)
            .map(|i| from * (to / from).powf(i as f64 / bins as f64))
            .collect();
        // The last power may miss the end by a rounding.
        if let Some(last) = edges.last_mut() {
            *last = to;
        }
        Histogram::with_edges(edges)
    }

    /// Counts one observation; NaN is not counted, plus infinity lies above.
    pub fn push(&mut self, x: f64) {
        if x.is_nan() {
            return;
        }
        let passed = self.edges.partition_point(|edge| *edge <= x);
        if passed == 0 {
            self.below += 1;
        } else if let Some(count) = self.counts.get_mut(passed - 1) {
            *count += 1;
        } else {
            self.above += 1;
        }
    }

    /// Adds the counts of another histogram. False, and nothing added, if its edges differ.
    pub fn merge(&mut self, other: &Histogram) -> bool {
        if self.edges != other.edges {
            return false;
        }
        for (count, more) in self.counts.iter_mut().zip(&other.counts) {
            *count += more;
        }
        self.below += other.below;
        self.above += other.above;
        true
    }

    /// The edges, one more than there are bins.
    pub fn edges(&self) -> &[f64] {
        &self.edges
    }

    /// Counts per bin.
    pub fn counts(&self) -> &[u64] {
        &self.counts
    }

    /// Observations below the first edge.
    pub fn below(&self) -> u64 {
        self.below
    }

    /// Observations at or above the last edge.
    pub fn above(&self) -> u64 {
        self.above
    }

    /// All observations.
    pub fn total(&self) -> u64 {
        self.below + self.above + self.counts.iter().sum::<u64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn observations_land_in_their_bins() {
        let mut h = Histogram::linear(0.0, 10.0, 5).unwrap();
        for x in [-1.0, 0.0, 1.9, 2.0, 9.99, 10.0, f64::INFINITY, f64::NAN] {
            h.push(x);
        }
        assert_eq!(h.counts(), [2, 1, 0, 0, 1]);
        assert_eq!((h.below(), h.above(), h.total()), (1, 2, 7));
    }

    #[test]
    fn log_edges_keep_one_ratio() {
        let h = Histogram::log(1.0, 1000.0, 3).unwrap();
        let want = [1.0, 10.0, 100.0, 1000.0];
        assert!(
            h.edges()
                .iter()
                .zip(want)
                .all(|(a, b)| (a / b - 1.0).abs() < 1e-14)
        );
        assert!(Histogram::log(0.0, 10.0, 3).is_none());
        assert!(
            Histogram::linear(1.0, 1.0, 3).is_none() && Histogram::linear(0.0, 1.0, 0).is_none()
        );
    }

    #[test]
    fn merging_is_counting_together() {
        let mut all = Histogram::linear(0.0, 1.0, 4).unwrap();
        let (mut a, mut b) = (all.clone(), all.clone());
        for i in 0..100 {
            let x = f64::from(i * 37 % 101) / 90.0 - 0.05;
            all.push(x);
            if i % 3 == 0 { a.push(x) } else { b.push(x) }
        }
        assert!(a.merge(&b));
        assert_eq!(a, all);
        assert!(!a.merge(&Histogram::linear(0.0, 2.0, 4).unwrap()));
        assert_eq!(a, all);
    }
}
