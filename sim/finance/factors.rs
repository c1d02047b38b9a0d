//! The compound interest factors of engineering economics.
//!
//! In: the rate a year as a fraction (above -1), the number of years. Out: the factor by which an amount
//! is multiplied. Formulas: any textbook of engineering economics; the names in brackets are those of its
//! tables, P an amount now, F one at the end of year n, A an equal amount at the end of each year.

/// (1 + i)^n - 1, exact also where the rate is small.
fn growth(rate: f64, years: f64) -> f64 {
    (years * rate.ln_1p()).exp_m1()
}

/// (F/P): what an amount now has grown to.
pub fn compound_amount(rate: f64, years: f64) -> f64 {
    growth(rate, years) + 1.0
}

/// (P/F): what an amount at the end of the last year is worth now.
pub fn present_worth(rate: f64, years: f64) -> f64 {
    compound_amount(rate, -years)
}

/// (A/P): the equal yearly amount that pays back an amount now; without interest its share by year.
pub fn capital_recovery(rate: f64, years: f64) -> f64 {
    if rate == 0.0 {
        1.0 / years
    } else {
        -rate / growth(rate, -years)
    }
}

/// (P/A): what an equal yearly amount is worth now.
pub fn series_present_worth(rate: f64, years: f64) -> f64 {
    1.0 / capital_recovery(rate, years)
}

/// (A/F): the equal yearly amount that adds up to an amount at the end of the last year.
pub fn sinking_fund(rate: f64, years: f64) -> f64 {
    if rate == 0.0 {
        1.0 / years
    } else {
        rate / growth(rate, years)
    }
}

/// (F/A): what an equal yearly amount adds up to at the end of the last year.
pub fn series_compound_amount(rate: f64, years: f64) -> f64 {
    1.0 / sinking_fund(rate, years)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Interest tables as textbooks of engineering economics print them (from memory: (A/P, 10 %, 5) =
    /// 0.2638, (P/A, 10 %, 5) = 3.7908); six digits by independent recomputation.
    /// Rate, years, F/P, P/F, A/F, F/A, A/P, P/A.
    #[rustfmt::skip]
    const TABLE: [[f64; 8]; 14] = [
        [0.05, 1.0, 1.050000, 0.952381, 1.000000, 1.000000, 1.050000, 0.952381],
        [0.05, 5.0, 1.276282, 0.783526, 0.180975, 5.525631, 0.230975, 4.329477],
        [0.05, 20.0, 2.653298, 0.376889, 0.030243, 33.065954, 0.080243, 12.462210],
        [0.08, 3.0, 1.259712, 0.793832, 0.308034, 3.246400, 0.388034, 2.577097],
        [0.08, 10.0, 2.158925, 0.463193, 0.069029, 14.486562, 0.149029, 6.710081],
        [0.10, 1.0, 1.100000, 0.909091, 1.000000, 1.000000, 1.100000, 0.909091],
        [0.10, 5.0, 1.610510, 0.620921, 0.163797, 6.105100, 0.263797, 3.790787],
        [0.10, 7.0, 1.948717, 0.513158, 0.105405, 9.487171, 0.205405, 4.868419],
        [0.10, 20.0, 6.727500, 0.148644, 0.017460, 57.274999, 0.117460, 8.513564],
        [0.12, 10.0, 3.105848, 0.321973, 0.056984, 17.548735, 0.176984, 5.650223],
        [0.12, 15.0, 5.473566, 0.182696, 0.026824, 37.279715, 0.146824, 6.810864],
        [0.15, 7.0, 2.660020, 0.375937, 0.090360, 11.066799, 0.240360, 4.160420],
        [0.20, 3.0, 1.728000, 0.578704, 0.274725, 3.640000, 0.474725, 2.106481],
        [0.20, 20.0, 38.337600, 0.026084, 0.005357, 186.688000, 0.205357, 4.869580],
    ];

    #[test]
    fn factors_match_the_tables() {
        for [i, n, fp, pf, af, fa, ap, pa] in TABLE {
            for (got, want) in [
                (compound_amount(i, n), fp),
                (present_worth(i, n), pf),
                (sinking_fund(i, n), af),
                (series_compound_amount(i, n), fa),
                (capital_recovery(i, n), ap),
                (series_present_worth(i, n), pa),
            ] {
                assert!((got - want).abs() < 0.51e-6, "{i} {n}: {got} is not {want}");
            }
        }
    }

    #[test]
    fn a_vanishing_rate_meets_no_rate_at_all() {
        for years in [1.0, 7.0, 12.5] {
            for (none, little) in [
                (capital_recovery(0.0, years), capital_recovery(1e-9, years)),
                (sinking_fund(0.0, years), sinking_fund(1e-9, years)),
            ] {
                assert!((none / little - 1.0).abs() < 1e-7);
            }
            assert_eq!(compound_amount(0.0, years), 1.0);
        }
        // Recovering capital is the sinking fund and the interest on it: A/P = A/F + i.
        assert!((capital_recovery(0.07, 9.0) - sinking_fund(0.07, 9.0) - 0.07).abs() < 1e-14);
    }
}
