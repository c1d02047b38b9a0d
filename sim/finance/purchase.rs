//! Something bought for some years: what it costs a year, and what a yearly gain makes of it.
//!
//! In: the amount paid at t = 0, its life, what is left of it at the end. Out: money a year, present
//! values, years.

use super::{capital_recovery, present_worth, series_present_worth, sinking_fund};

/// Money spent once that serves for some years.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Purchase {
    /// Paid at t = 0.
    pub capital: f64,
    /// Years of use, above zero.
    pub life_years: f64,
    /// Received for it at the end of its life.
    pub residual: f64,
}

impl Purchase {
    /// Equivalent annual cost: the equal amount at the end of each year of its life that has the present
    /// value of buying it and selling it at the end.
    pub fn equivalent_annual_cost(&self, rate: f64) -> f64 {
        self.capital * capital_recovery(rate, self.life_years)
            - self.residual * sinking_fund(rate, self.life_years)
    }

    /// Present value of buying it for an equal gain at the end of each year of its life.
    pub fn net_present_value(&self, rate: f64, gain_a_year: f64) -> f64 {
        gain_a_year * series_present_worth(rate, self.life_years)
            + self.residual * present_worth(rate, self.life_years)
            - self.capital
    }

    /// The rate at which an equal yearly gain makes the present value nothing; `None` where no rate from
    /// -99.99 % to 10000 % does.
    pub fn internal_rate(&self, gain_a_year: f64) -> Option<f64> {
        if self.capital <= 0.0 {
            return None;
        }
        super::zero_between(-0.9999, 100.0, |rate| {
            self.net_present_value(rate, gain_a_year)
        })
    }
}

/// Simple payback: years of an equal gain that make up the capital; `None` if there is no gain. What is
/// left at the end of the life does not count. Nothing spent is paid back at once.
pub fn payback_years(capital: f64, gain_a_year: f64) -> Option<f64> {
    if capital <= 0.0 {
        Some(0.0)
    } else {
        (gain_a_year > 0.0).then(|| capital / gain_a_year)
    }
}

/// As [`payback_years`] with interest on what is still owed, gains at the end of each year and evenly
/// within it; `None` if the gain does not even pay the interest.
pub fn discounted_payback_years(capital: f64, rate: f64, gain_a_year: f64) -> Option<f64> {
    let simple = payback_years(capital, gain_a_year)?;
    if simple == 0.0 || rate == 0.0 {
        return Some(simple);
    }
    // Whole years first: gain * (P/A, rate, n) = capital.
    let owed = 1.0 - simple * rate;
    if owed <= 0.0 {
        return None;
    }
    let whole = (-owed.ln() / rate.ln_1p() + 1e-12).floor();
    let paid = if whole > 0.0 {
        gain_a_year * series_present_worth(rate, whole)
    } else {
        0.0
    };
    Some(whole + (capital - paid).max(0.0) / (gain_a_year * present_worth(rate, whole + 1.0)))
}

#[cfg(test)]
mod tests {
    use super::super::{discounted_payback, internal_rate, net_present_value};
    use super::*;

    /// 80,000 with 10,000 left after 7 years: without interest 10,000 a year, the straight line; at 10 %
    /// by the table's factors 80,000 x 0.205405 - 10,000 x 0.105405 = 15,378.4 (recomputed by hand).
    #[test]
    fn equivalent_annual_cost_by_the_tables() {
        let machine = Purchase {
            capital: 80_000.0,
            life_years: 7.0,
            residual: 10_000.0,
        };
        assert!((machine.equivalent_annual_cost(0.0) - 10_000.0).abs() < 1e-9);
        assert!((machine.equivalent_annual_cost(0.10) - 15_378.35).abs() < 0.1);
        // A gain of just that much is worth nothing.
        let even = machine.equivalent_annual_cost(0.10);
        assert!(machine.net_present_value(0.10, even).abs() < 1e-8);
        assert!((machine.internal_rate(even).unwrap() - 0.10).abs() < 1e-10);
    }

    /// The row of equal gains is the same thing as cash flows written out one by one; 100,000 for 30,000 a
    /// year over 5 years at 12 %: 8,143.29, 15.2382 %, 3.33 and 4.52 years (worked example above).
    #[test]
    fn equal_gains_agree_with_flows_written_out() {
        let plain = Purchase {
            capital: 100_000.0,
            life_years: 5.0,
            residual: 0.0,
        };
        let flows = [-100_000.0, 30e3, 30e3, 30e3, 30e3, 30e3];
        let value = plain.net_present_value(0.12, 30_000.0);
        assert!((value - 8143.286070).abs() < 1e-6);
        assert!((value - net_present_value(0.12, &flows)).abs() < 1e-8);
        let rate = plain.internal_rate(30_000.0).unwrap();
        assert!((rate - internal_rate(&flows).unwrap()).abs() < 1e-9);
        assert_eq!(payback_years(100_000.0, 30_000.0), Some(10.0 / 3.0));
        let years = discounted_payback_years(100_000.0, 0.12, 30_000.0).unwrap();
        assert!((years - discounted_payback(0.12, &flows).unwrap()).abs() < 1e-9);
        assert!((years - 4.521625).abs() < 1e-6);
    }

    #[test]
    fn what_never_pays_says_so() {
        assert_eq!(payback_years(1.0, 0.0), None);
        assert_eq!(payback_years(1.0, -5.0), None);
        assert_eq!(payback_years(0.0, -5.0), Some(0.0));
        // A gain of 9 does not pay the interest of 10.
        assert_eq!(discounted_payback_years(100.0, 0.10, 9.0), None);
        // Paid in the first year.
        assert_eq!(discounted_payback_years(100.0, 0.10, 220.0), Some(0.5));
    }
}
