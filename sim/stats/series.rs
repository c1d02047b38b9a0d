//! Series in order: dependence and trend.
//!
//! In: observations in order. Out: lag-one autocorrelation, the Mann-Kendall trend test, straight
//! lines with their t test.

use super::tables::{normal_cdf, t_cdf};

/// Lag-one autocorrelation: the sum of neighbouring products about the mean over the sum of
/// squares. `None` below two observations or without spread.
pub fn lag1_autocorrelation(series: &[f64]) -> Option<f64> {
    let n = series.len();
    if n < 2 {
        return None;
    }
    // Shifted by the first value, so that a large common part does not eat the digits.
    let first = series[0];
    let mean = series.iter().map(|x| x - first).sum::<f64>() / n as f64;
    let about = |x: f64| (x - first) - mean;
    let squares: f64 = series.iter().map(|x| about(*x).powi(2)).sum();
    let products: f64 = series.windows(2).map(|w| about(w[0]) * about(w[1])).sum();
    (squares > 0.0).then(|| products / squares)
}

/// Result of the Mann-Kendall trend test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// Rising pairs less falling pairs.
    pub s: i64,
    /// S, one nearer to zero, over its standard deviation.
    pub z: f64,
    /// Two-sided probability of so strong a trend where there is none.
    pub p_value: f64,
}

/// Mann-Kendall test for a trend of any shape, corrected for ties and for continuity (Mann 1945;
/// Kendall 1975). Takes time with the square of the length: use it on batch means. `None` below
/// three observations or when all are equal.
pub fn mann_kendall(series: &[f64]) -> Option<Trend> {
    let n = series.len();
    if n < 3 {
        return None;
    }
    let mut s = 0i64;
    for (i, early) in series.iter().enumerate() {
        for late in &series[i + 1..] {
            s += i64::from(late > early) - i64::from(late < early);
        }
    }
    let part = |count: f64| count * (count - 1.0) * (2.0 * count + 5.0);
    let mut sorted = series.to_vec();
    sorted.sort_by(f64::total_cmp);
    let ties: f64 = sorted
        .chunk_by(|a, b| a == b)
        .map(|run| part(run.len() as f64))
        .sum();
    let variance = (part(n as f64) - ties) / 18.0;
    if variance <= 0.0 {
        return None;
    }
    let z = (s - s.signum()) as f64 / variance.sqrt();
    Some(Trend {
        s,
        z,
        p_value: 2.0 * normal_cdf(-z.abs()),
    })
}

/// A straight line by least squares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regression {
    /// Slope.
    pub slope: f64,
    /// Value at x = 0.
    pub intercept: f64,
    /// Standard error of the slope.
    pub slope_error: f64,
    /// Slope over its standard error.
    pub t: f64,
    /// Two-sided probability of so steep a slope where there is none.
    pub p_value: f64,
}

/// Straight line through points. `None` if the lengths differ, below three points, or if all `x`
/// are equal.
pub fn regression(x: &[f64], y: &[f64]) -> Option<Regression> {
    if x.len() != y.len() || x.len() < 3 {
        return None;
    }
    let n = x.len() as f64;
    let (mean_x, mean_y) = (x.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n);
    let xx: f64 = x.iter().map(|x| (x - mean_x).powi(2)).sum();
    if xx <= 0.0 {
        return None;
    }
    let pairs = || x.iter().zip(y);
    let slope = pairs()
        .map(|(x, y)| (x - mean_x) * (y - mean_y))
        .sum::<f64>()
        / xx;
    let left: f64 = pairs()
        .map(|(x, y)| (y - mean_y - slope * (x - mean_x)).powi(2))
        .sum();
    let slope_error = (left / (n - 2.0) / xx).sqrt();
    let (t, p_value) = if slope_error > 0.0 {
        let t = slope / slope_error;
        (t, 2.0 * t_cdf(-t.abs(), n - 2.0))
    } else if slope == 0.0 {
        (0.0, 1.0)
    } else {
        (slope * f64::INFINITY, 0.0)
    };
    Some(Regression {
        slope,
        intercept: mean_y - slope * mean_x,
        slope_error,
        t,
        p_value,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::Welford;

    /// NIST Statistical Reference Datasets, univariate: certified lag-one autocorrelation.
    #[test]
    fn nist_numacc_autocorrelation() {
        let numacc = |first: f64, low: f64, high: f64| -> Vec<f64> {
            std::iter::once(first)
                .chain((0..500).flat_map(|_| [low, high]))
                .collect()
        };
        let small = [10000001.0, 10000003.0, 10000002.0];
        assert_eq!(lag1_autocorrelation(&small), Some(-0.5));
        for (set, tolerance) in [
            (numacc(1.2, 1.1, 1.3), 1e-12),
            (numacc(1000000.2, 1000000.1, 1000000.3), 1e-8),
            (numacc(10000000.2, 10000000.1, 10000000.3), 1e-7),
        ] {
            let r = lag1_autocorrelation(&set).unwrap();
            assert!((r + 0.999).abs() < tolerance, "{r}");
        }
    }

    /// Digits of pi by the spigot of Rabinowitz and Wagon (1995), with nines held back.
    fn pi_digits(count: usize) -> Vec<f64> {
        let mut cells = vec![2u64; count * 10 / 3 + 20];
        let (mut digits, mut held, mut nines) = (Vec::new(), None, 0);
        while digits.len() < count {
            let mut carry = 0;
            for i in (0..cells.len()).rev() {
                let value = cells[i] * 10 + carry;
                let base = if i == 0 { 10 } else { 2 * i as u64 + 1 };
                cells[i] = value % base;
                carry = value / base * if i == 0 { 1 } else { i as u64 };
            }
            if carry == 9 {
                nines += 1;
                continue;
            }
            digits.extend(held.map(|h: u64| h + carry / 10));
            digits.extend(std::iter::repeat_n(if carry >= 10 { 0 } else { 9 }, nines));
            (held, nines) = (Some(carry % 10), 0);
        }
        digits.truncate(count);
        digits.into_iter().map(|d| d as f64).collect()
    }

    /// NIST StRD PiDigits: mean 4.5348, sd 2.86733906028871, r(1) -0.00355099287237972. The data
    /// file differs from pi in one digit, the 957th (3 for 8); the digits of pi themselves give
    /// the second set of values (independent exact computation).
    #[test]
    fn nist_pi_digits() {
        let mut digits = pi_digits(5000);
        assert_eq!(digits[..8], [3.0, 1.0, 4.0, 1.0, 5.0, 9.0, 2.0, 6.0]);
        assert_eq!(digits[956], 8.0);
        let check = |digits: &[f64], mean: f64, sd: f64, r: f64| {
            let seen: Welford = digits.iter().copied().collect();
            assert!((seen.mean() / mean - 1.0).abs() < 1e-13);
            assert!((seen.sd() / sd - 1.0).abs() < 1e-13, "{}", seen.sd());
            let got = lag1_autocorrelation(digits).unwrap();
            assert!((got / r - 1.0).abs() < 1e-11, "{got}");
        };
        check(&digits, 4.5358, 2.8676755521876114, -0.0038020976321151);
        digits[956] = 3.0;
        check(&digits, 4.5348, 2.86733906028871, -0.00355099287237972);
    }

    /// Closed forms: a rising series of n has S = n(n-1)/2 and variance n(n-1)(2n+5)/18; two tied
    /// pairs among five take 36/18 off.
    #[test]
    fn mann_kendall_by_hand() {
        let rising: Vec<f64> = (0..10).map(f64::from).collect();
        let trend = mann_kendall(&rising).unwrap();
        assert_eq!(trend.s, 45);
        assert!((trend.z - 44.0 / 125f64.sqrt()).abs() < 1e-12);
        let tied = mann_kendall(&[3.0, 2.0, 2.0, 1.0, 1.0]).unwrap();
        assert_eq!(tied.s, -8);
        assert!((tied.z + 7.0 / (264.0f64 / 18.0).sqrt()).abs() < 1e-12);
        assert_eq!(mann_kendall(&[1.0; 5]), None);
        let level = mann_kendall(&[1.0, 3.0, 2.0, 3.0, 1.0]).unwrap();
        assert!(level.s == 0 && level.z == 0.0 && (level.p_value - 1.0).abs() < 1e-12);
    }

    /// NIST StRD linear regression, set Norris: certified slope, intercept and standard deviation
    /// of the slope (data and values from memory).
    #[test]
    fn nist_norris() {
        #[rustfmt::skip]
        let points = [
            (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5),
            (668.5, 666.3), (998.5, 996.3), (449.1, 448.6), (778.9, 777.0), (559.2, 558.2),
            (0.3, 0.4), (0.1, 0.6), (778.1, 775.5), (668.8, 666.9), (339.3, 338.0), (448.9, 447.5),
            (10.8, 11.6), (557.7, 556.0), (228.3, 228.1), (998.0, 995.8), (888.8, 887.6),
            (119.6, 120.2), (0.3, 0.3), (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888.0, 887.2),
            (998.5, 999.0), (778.9, 779.0), (10.2, 11.1), (117.6, 118.3), (228.9, 229.2),
            (668.4, 669.1), (449.2, 448.9), (0.2, 0.5),
        ];
        let (y, x): (Vec<f64>, Vec<f64>) = points.into_iter().unzip();
        let line = regression(&x, &y).unwrap();
        assert!(
            (line.slope / 1.00211681802045 - 1.0).abs() < 1e-12,
            "{}",
            line.slope
        );
        assert!((line.intercept / -0.262323073774029 - 1.0).abs() < 1e-10);
        assert!((line.slope_error / 0.429796848199937e-3 - 1.0).abs() < 1e-11);
        assert!(line.p_value < 1e-50);
    }

    #[test]
    fn lines_without_spread() {
        assert_eq!(regression(&[1.0, 1.0, 1.0], &[1.0, 2.0, 3.0]), None);
        let flat = regression(&[1.0, 2.0, 3.0], &[4.0, 4.0, 4.0]).unwrap();
        assert_eq!((flat.slope, flat.p_value), (0.0, 1.0));
        assert_eq!(lag1_autocorrelation(&[2.0, 2.0]), None);
    }
}
