//! A ratio of two totals over independent replications: all minutes of all orders over all orders.
//!
//! In: amount and weight of each replication. Out: their ratio and, by its linear part, the moments that an
//! interval needs (Cochran, "Sampling Techniques", 1977, chapter 6). The mean of the replications' own ratios
//! would weigh an order of a quiet year more than one of a busy year.

use super::skewed::Moments;

/// Running sums about the means of amounts `a` and weights `w`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ratio {
    count: u64,
    filled: u64,
    a: f64,
    w: f64,
    aa: f64,
    aw: f64,
    ww: f64,
    aaa: f64,
    aaw: f64,
    aww: f64,
    www: f64,
}

impl Ratio {
    /// Adds a replication. Where it has none of what is counted, both are 0.
    pub fn push(&mut self, amount: f64, weight: f64) {
        self.count += 1;
        self.filled += u64::from(weight != 0.0);
        let n = self.count as f64;
        let (da, dw) = (amount - self.a, weight - self.w);
        let (sa, sw) = (da / n, dw / n);
        let more = (n - 1.0) * (n - 2.0);
        self.aaa += sa * (da * sa * more - 3.0 * self.aa);
        self.www += sw * (dw * sw * more - 3.0 * self.ww);
        self.aaw += da * sa * sw * more - 2.0 * sa * self.aw - sw * self.aa;
        self.aww += dw * sw * sa * more - 2.0 * sw * self.aw - sa * self.ww;
        self.a += sa;
        self.w += sw;
        let (ra, rw) = (amount - self.a, weight - self.w);
        self.aa += da * ra;
        self.aw += da * rw;
        self.ww += dw * rw;
    }

    /// Replications added, those without anything counted too.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Replications that had something to count.
    pub fn filled(&self) -> u64 {
        self.filled
    }

    /// Amount over weight of all; NaN where there is no weight.
    pub fn mean(&self) -> f64 {
        if self.filled == 0 {
            f64::NAN
        } else {
            self.a / self.w
        }
    }

    /// Mean weight of a replication.
    pub fn weight(&self) -> f64 {
        self.w
    }

    /// The ratio with spread and skewness of what a replication adds to it.
    pub fn moments(&self) -> Moments {
        let r = self.mean();
        if r.is_nan() {
            return Moments::from_sums(0, r, 0.0, 0.0);
        }
        let w = self.w;
        let squares = self.aa - r * (2.0 * self.aw - r * self.ww);
        let cubes = self.aaa - r * (3.0 * self.aaw - r * (3.0 * self.aww - r * self.www));
        // Residuals of equal ratios cancel to a rounding error, which is no spread.
        let scale = self.aa.abs() + r * r * self.ww + (self.a * self.a) * 1e-3;
        let squares = if squares <= 1e-13 * scale {
            0.0
        } else {
            squares
        };
        Moments::from_sums(self.count, r, squares / (w * w), cubes / (w * w * w))
    }

    /// Standard deviation of what a replication adds; NaN below two.
    pub fn sd(&self) -> f64 {
        self.moments().sd
    }

    /// The ratios of single replications made values whose mean is the ratio of all: its linear part. Where
    /// there is nothing to count in any, NaN.
    pub fn linear(amounts: &[f64], weights: &[f64]) -> Vec<f64> {
        let n = amounts.len().max(1) as f64;
        let (a, w): (f64, f64) = (amounts.iter().sum(), weights.iter().sum());
        let (r, w) = (a / w, w / n);
        let each = amounts.iter().zip(weights);
        each.map(|(a, weight)| r + (a - r * weight) / w).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: amounts 2, 3, 7 of weights 1, 2, 3: ratio 2; residuals 0, -1, 1 over the mean weight 2:
    /// 0, -1/2, 1/2, sd 1/2, no skewness.
    #[test]
    fn a_ratio_by_hand() {
        let mut ratio = Ratio::default();
        for (a, w) in [(2.0, 1.0), (3.0, 2.0), (7.0, 3.0)] {
            ratio.push(a, w);
        }
        let seen = ratio.moments();
        assert!((seen.mean - 2.0).abs() < 1e-14 && (seen.sd - 0.5).abs() < 1e-12);
        assert!(seen.skewness.abs() < 1e-12);
        let linear = Ratio::linear(&[2.0, 3.0, 7.0], &[1.0, 2.0, 3.0]);
        assert_eq!(linear, [2.0, 1.5, 2.5]);
    }

    /// The moments are those of the linear values, computed from their definition, for any weights.
    #[test]
    fn moments_are_those_of_the_linear_values() {
        let amounts: Vec<f64> = (0..37)
            .map(|i| f64::from(i * i % 23) + 0.1 * f64::from(i))
            .collect();
        for step in [0, 5] {
            let weights: Vec<f64> = (0..37).map(|i| 3.0 + f64::from(i * step % 7)).collect();
            let mut ratio = Ratio::default();
            amounts
                .iter()
                .zip(&weights)
                .for_each(|(a, w)| ratio.push(*a, *w));
            let linear = Ratio::linear(&amounts, &weights);
            let n = linear.len() as f64;
            let mean = linear.iter().sum::<f64>() / n;
            let power = |k| linear.iter().map(|x| (x - mean).powi(k)).sum::<f64>();
            let seen = ratio.moments();
            assert!((seen.mean - mean).abs() < 1e-12);
            assert!((seen.sd - (power(2) / (n - 1.0)).sqrt()).abs() < 1e-12);
            let skewness = n.sqrt() * power(3) / power(2).powf(1.5);
            assert!((seen.skewness - skewness).abs() < 1e-10);
        }
    }

    /// All orders late by the same: nothing varies, though the numbers of orders do.
    #[test]
    fn equal_ratios_have_no_spread_and_no_weight_has_no_ratio() {
        let mut ratio = Ratio::default();
        for w in [1.0, 7.0, 3.0, 11.0] {
            ratio.push(0.3 * w, w);
        }
        assert_eq!(ratio.moments().sd, 0.0);
        let mut none = Ratio::default();
        none.push(0.0, 0.0);
        assert!(none.mean().is_nan() && (none.count(), none.filled()) == (1, 0));
    }
}
