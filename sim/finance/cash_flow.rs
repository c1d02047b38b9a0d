//! A row of cash flows, year by year: present value, internal rate, paybacks.
//!
//! In: flows at t = 0 and at the end of each year, and a rate a year. Out: money, a rate, or years.

/// Present value of the flows: the first one counts in full, the n-th after it divided by (1 + rate)^n.
pub fn net_present_value(rate: f64, flows: &[f64]) -> f64 {
    // Horner's rule from the last year back: one division for each year.
    flows
        .iter()
        .rev()
        .fold(0.0, |later, flow| later / (1.0 + rate) + flow)
}

/// The rate at which the present value is nothing.
///
/// `None` where the flows do not change their sign exactly once (the root would not be unique, or there
/// is none), or where it lies outside -99.99 % to 10000 % a year.
pub fn internal_rate(flows: &[f64]) -> Option<f64> {
    let signs: Vec<bool> = flows
        .iter()
        .filter(|flow| **flow != 0.0)
        .map(|flow| *flow > 0.0)
        .collect();
    // One change of sign: exactly one root (Descartes' rule).
    if signs.windows(2).filter(|pair| pair[0] != pair[1]).count() != 1 {
        return None;
    }
    super::zero_between(-0.9999, 100.0, |rate| net_present_value(rate, flows))
}

/// Years until the flows added up are no longer below nothing, evenly within a year; `None` if never.
pub fn simple_payback(flows: &[f64]) -> Option<f64> {
    discounted_payback(0.0, flows)
}

/// As [`simple_payback`], each flow discounted first.
pub fn discounted_payback(rate: f64, flows: &[f64]) -> Option<f64> {
    let mut before = 0.0;
    for (year, flow) in flows.iter().enumerate() {
        let flow = flow * super::present_worth(rate, year as f64);
        let after = before + flow;
        if after >= 0.0 {
            return Some(match year {
                0 => 0.0,
                _ => year as f64 - 1.0 + if flow > 0.0 { -before / flow } else { 0.0 },
            });
        }
        before = after;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "{got} is not {want}");
    }

    /// Worked examples, recomputed independently: flows, rate, present value, internal rate, simple and
    /// discounted payback.
    #[test]
    fn worked_examples() {
        type Row = (&'static [f64], f64, f64, f64, f64, f64);
        let rows: [Row; 3] = [
            (
                &[-10_000.0, 3000.0, 4200.0, 6800.0],
                0.10,
                1307.287754,
                0.163406,
                2.411765,
                2.744118,
            ),
            (
                &[-1000.0, 500.0, 400.0, 300.0, 100.0],
                0.10,
                78.819753,
                0.144888,
                2.333333,
                2.953333,
            ),
            (
                &[-100_000.0, 30e3, 30e3, 30e3, 30e3, 30e3],
                0.12,
                8143.286070,
                0.152382,
                3.333333,
                4.521625,
            ),
        ];
        for (flows, rate, value, internal, simple, discounted) in rows {
            near(net_present_value(rate, flows), value, 1e-6);
            near(internal_rate(flows).unwrap(), internal, 1e-6);
            near(simple_payback(flows).unwrap(), simple, 1e-6);
            near(discounted_payback(rate, flows).unwrap(), discounted, 1e-6);
        }
    }

    /// Examples of spreadsheet documentation (from memory), which discount the first value too: theirs is
    /// ours divided by 1 + rate. The one of 11529.60863329007 is printed in a public manual of a form
    /// designer's NPV function.
    #[test]
    fn spreadsheets_discount_the_first_value_too() {
        let theirs = |rate: f64, flows: &[f64]| net_present_value(rate, flows) / (1.0 + rate);
        near(
            theirs(0.10, &[-10_000.0, 3000.0, 4200.0, 6800.0]),
            1188.44,
            0.005,
        );
        near(
            theirs(0.08, &[8000.0, 9200.0, 10_000.0, 12_000.0, 14_500.0]) - 40_000.0,
            1922.06,
            0.005,
        );
        near(
            theirs(0.10, &[500.0, 1500.0, 4000.0, 10_000.0]),
            11529.60863329007,
            1e-8,
        );
        near(theirs(0.065, &[5000.0]), 4694.83568075117, 1e-10);
        let monthly = theirs(0.0275 / 12.0, &[50.0, 60.0, 40.0, 100.0, 25.0]);
        near(monthly, 273.14193838457, 1e-10);
        let four = [-70_000.0, 12_000.0, 15_000.0, 18_000.0, 21_000.0];
        near(internal_rate(&four).unwrap(), -0.0212448, 1e-7);
        near(internal_rate(&four[..3]).unwrap(), -0.4435, 5e-5);
        let five: Vec<f64> = four.into_iter().chain([26_000.0]).collect();
        near(internal_rate(&five).unwrap(), 0.0866309, 1e-7);
    }

    #[test]
    fn what_has_no_answer_says_so() {
        assert_eq!(
            internal_rate(&[100.0, 50.0]),
            None,
            "nothing is spent: there is no rate"
        );
        assert_eq!(
            internal_rate(&[-100.0, 230.0, -132.0]),
            None,
            "10 % and 20 % both solve it"
        );
        assert_eq!(simple_payback(&[-100.0, 40.0, 40.0]), None);
        assert_eq!(
            simple_payback(&[-18_000.0, 3000.0, 3000.0, 3000.0, 3000.0, 3000.0, 3000.0]),
            Some(6.0)
        );
        assert_eq!(simple_payback(&[5.0, 1.0]), Some(0.0));
    }
}
