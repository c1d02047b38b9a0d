//! The tables at the back of the book: t, normal, chi-square and binomial.
//!
//! In: probabilities and degrees of freedom. Out: quantiles and probabilities, computed by statrs
//! behind guards, because statrs panics outside its domain; here that gives NaN.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal, StudentsT};
use statrs::function::beta;

/// Quantile of Student's t with `df` degrees of freedom (need not be whole).
pub fn t_quantile(p: f64, df: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    // The middle is exact, whatever the degrees of freedom.
    if p == 0.5 {
        return 0.0;
    }
    // Far out the inverse of the incomplete beta function may not come to an end; the expansion
    // in powers of 1/df (Abramowitz and Stegun 26.7.5) is then exact to the last digits.
    if df > 1000.0 {
        let z = normal_quantile(p);
        if z.is_infinite() {
            return z;
        }
        let (z3, z5, z7) = (z.powi(3), z.powi(5), z.powi(7));
        return z
            + (z3 + z) / (4.0 * df)
            + (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * df * df)
            + (3.0 * z7 + 19.0 * z5 + 17.0 * z3 - 15.0 * z) / (384.0 * df * df * df);
    }
    StudentsT::new(0.0, 1.0, df).map_or(f64::NAN, |t| t.inverse_cdf(p))
}

/// Distribution function of Student's t.
pub fn t_cdf(t: f64, df: f64) -> f64 {
    if t.is_nan() {
        return f64::NAN;
    }
    StudentsT::new(0.0, 1.0, df).map_or(f64::NAN, |d| d.cdf(t))
}

/// Quantile of the standard normal.
pub fn normal_quantile(p: f64) -> f64 {
    if (0.0..=1.0).contains(&p) {
        Normal::standard().inverse_cdf(p)
    } else {
        f64::NAN
    }
}

/// Distribution function of the standard normal.
pub fn normal_cdf(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// Quantile of chi-square with `df` degrees of freedom.
pub fn chi2_quantile(p: f64, df: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    ChiSquared::new(df).map_or(f64::NAN, |d| d.inverse_cdf(p))
}

/// Probability of at most `k` successes in `n` trials of probability `p`; `k` may be -1.
pub fn binomial_cdf(k: i64, n: u64, p: f64) -> f64 {
    let n_signed = i64::try_from(n).unwrap_or(i64::MAX);
    if k < 0 {
        return 0.0;
    }
    if k >= n_signed {
        return 1.0;
    }
    // Through the incomplete beta function: P(B <= k) = I(1 - p; n - k, k + 1).
    beta::checked_beta_reg((n_signed - k) as f64, k as f64 + 1.0, 1.0 - p).unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// scipy 1.17, in agreement with the tables of the NIST/SEMATECH e-Handbook.
    #[rustfmt::skip]
    const T: [(f64, [f64; 6]); 27] = [
        (1.0, [3.07768, 6.31375, 12.70620, 31.82052, 63.65674, 636.61925]),
        (2.0, [1.88562, 2.91999, 4.30265, 6.96456, 9.92484, 31.59905]),
        (3.0, [1.63774, 2.35336, 3.18245, 4.54070, 5.84091, 12.92398]),
        (4.0, [1.53321, 2.13185, 2.77645, 3.74695, 4.60409, 8.61030]),
        (5.0, [1.47588, 2.01505, 2.57058, 3.36493, 4.03214, 6.86883]),
        (6.0, [1.43976, 1.94318, 2.44691, 3.14267, 3.70743, 5.95882]),
        (7.0, [1.41492, 1.89458, 2.36462, 2.99795, 3.49948, 5.40788]),
        (8.0, [1.39682, 1.85955, 2.30600, 2.89646, 3.35539, 5.04131]),
        (9.0, [1.38303, 1.83311, 2.26216, 2.82144, 3.24984, 4.78091]),
        (10.0, [1.37218, 1.81246, 2.22814, 2.76377, 3.16927, 4.58689]),
        (11.0, [1.36343, 1.79588, 2.20099, 2.71808, 3.10581, 4.43698]),
        (12.0, [1.35622, 1.78229, 2.17881, 2.68100, 3.05454, 4.31779]),
        (14.0, [1.34503, 1.76131, 2.14479, 2.62449, 2.97684, 4.14045]),
        (15.0, [1.34061, 1.75305, 2.13145, 2.60248, 2.94671, 4.07277]),
        (19.0, [1.32773, 1.72913, 2.09302, 2.53948, 2.86093, 3.88341]),
        (20.0, [1.32534, 1.72472, 2.08596, 2.52798, 2.84534, 3.84952]),
        (24.0, [1.31784, 1.71088, 2.06390, 2.49216, 2.79694, 3.74540]),
        (25.0, [1.31635, 1.70814, 2.05954, 2.48511, 2.78744, 3.72514]),
        (29.0, [1.31143, 1.69913, 2.04523, 2.46202, 2.75639, 3.65941]),
        (30.0, [1.31042, 1.69726, 2.04227, 2.45726, 2.75000, 3.64596]),
        (39.0, [1.30364, 1.68488, 2.02269, 2.42584, 2.70791, 3.55812]),
        (40.0, [1.30308, 1.68385, 2.02108, 2.42326, 2.70446, 3.55097]),
        (49.0, [1.29907, 1.67655, 2.00958, 2.40489, 2.67995, 3.50044]),
        (60.0, [1.29582, 1.67065, 2.00030, 2.39012, 2.66028, 3.46020]),
        (99.0, [1.29016, 1.66039, 1.98422, 2.36461, 2.62641, 3.39153]),
        (120.0, [1.28865, 1.65765, 1.97993, 2.35782, 2.61742, 3.37345]),
        (f64::INFINITY, [1.28155, 1.64485, 1.95996, 2.32635, 2.57583, 3.29053]),
    ];

    #[test]
    fn t_matches_the_tables() {
        for (df, row) in T {
            for (p, want) in [0.90, 0.95, 0.975, 0.99, 0.995, 0.9995].iter().zip(row) {
                let got = t_quantile(*p, df);
                assert!(
                    (got - want).abs() < 6e-6,
                    "t({p}, {df}) is {got}, not {want}"
                );
                assert!((t_quantile(1.0 - p, df) + got).abs() < 1e-8 * got);
                assert!((t_cdf(got, df) - p).abs() < 1e-9);
            }
        }
        // Fractional degrees of freedom, scipy 1.17.
        assert!((t_quantile(0.95, 7.9923859) - 1.8597777).abs() < 1e-7);
    }

    /// The expansion for many degrees of freedom meets the exact inverse where one takes over, and
    /// every number of replications up to there gives an answer between its neighbours.
    #[test]
    fn t_falls_smoothly_to_the_normal() {
        for p in [0.9, 0.95, 0.975, 0.995, 0.9995] {
            let mut before = f64::INFINITY;
            for df in (1..2000)
                .chain((2000..10_000).step_by(97))
                .chain([10_000, 10_001, 1 << 30])
            {
                let t = t_quantile(p, f64::from(df));
                assert!(
                    t < before && t > normal_quantile(p),
                    "t({p}, {df}) is {t} after {before}"
                );
                before = t;
            }
        }
    }

    /// Fractional degrees of freedom (Welch) and unusual levels (Bonferroni): the quantile undoes
    /// the distribution function everywhere.
    #[test]
    fn t_quantile_and_cdf_undo_each_other() {
        for i in 1..600 {
            let df = 0.7 + f64::from(i) * 1.7391;
            for j in 1..60 {
                let p = 1.0 - 0.5f64.powf(1.0 + f64::from(j) * 0.31);
                let back = t_cdf(t_quantile(p, df), df);
                let error = (back - p).abs() / (1.0 - p);
                assert!(error < 1e-5, "t({p}, {df}) leads back to {back}");
            }
        }
    }

    #[test]
    fn normal_matches_the_tables() {
        // scipy 1.17 and every table of the normal.
        for (p, want) in [
            (0.80, 0.8416212),
            (0.90, 1.2815516),
            (0.95, 1.6448536),
            (0.975, 1.9599640),
            (0.98, 2.0537489),
            (0.99, 2.3263479),
            (0.995, 2.5758293),
            (0.999, 3.0902323),
            (0.9995, 3.2905267),
        ] {
            assert!((normal_quantile(p) - want).abs() < 6e-8, "{p}");
            assert!((normal_cdf(want) - p).abs() < 1e-7);
        }
    }

    /// scipy 1.17, in agreement with the tables of the NIST/SEMATECH e-Handbook.
    #[rustfmt::skip]
    const CHI2: [(f64, [f64; 5]); 11] = [
        (1.0, [0.0010, 0.0039, 3.8415, 5.0239, 6.6349]),
        (2.0, [0.0506, 0.1026, 5.9915, 7.3778, 9.2103]),
        (5.0, [0.8312, 1.1455, 11.0705, 12.8325, 15.0863]),
        (9.0, [2.7004, 3.3251, 16.9190, 19.0228, 21.6660]),
        (10.0, [3.2470, 3.9403, 18.3070, 20.4832, 23.2093]),
        (19.0, [8.9065, 10.1170, 30.1435, 32.8523, 36.1909]),
        (20.0, [9.5908, 10.8508, 31.4104, 34.1696, 37.5662]),
        (29.0, [16.0471, 17.7084, 42.5570, 45.7223, 49.5879]),
        (30.0, [16.7908, 18.4927, 43.7730, 46.9792, 50.8922]),
        (50.0, [32.3574, 34.7643, 67.5048, 71.4202, 76.1539]),
        (100.0, [74.2219, 77.9295, 124.3421, 129.5612, 135.8067]),
    ];

    #[test]
    fn chi_square_matches_the_tables() {
        for (df, row) in CHI2 {
            for (p, want) in [0.025, 0.05, 0.95, 0.975, 0.99].iter().zip(row) {
                let got = chi2_quantile(*p, df);
                assert!(
                    (got - want).abs() < 6e-5,
                    "chi2({p}, {df}) is {got}, not {want}"
                );
            }
        }
    }

    #[test]
    fn binomial_by_hand_and_nonsense_gives_nan() {
        assert!((binomial_cdf(1, 3, 0.5) - 0.5).abs() < 1e-14);
        assert!((binomial_cdf(0, 20, 0.9) - 0.1f64.powi(20)).abs() < 1e-30);
        assert_eq!(binomial_cdf(-1, 3, 0.5), 0.0);
        assert_eq!(binomial_cdf(3, 3, 0.5), 1.0);
        assert!(t_quantile(1.5, 3.0).is_nan() && t_quantile(0.9, 0.0).is_nan());
        assert!(chi2_quantile(-0.1, 3.0).is_nan() && normal_quantile(f64::NAN).is_nan());
    }
}
