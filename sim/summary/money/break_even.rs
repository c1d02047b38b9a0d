//! Where a change breaks even: the demand, or the premium, at which it is worth nothing either way.
//!
//! In: paired yearly differences by demand case, or differences before a premium and the pouches that
//! would pay it. Out: the point, with the range of points that the replications do not rule out
//! (Fieller's construction: those at which the interval of the mean difference holds nothing).

use crate::finance::{crossing, zero_between};
use crate::stats::{Welford, skewed_interval};

/// A demand at which both line-ups were run.
#[derive(Debug, Clone, PartialEq)]
pub struct DemandCase {
    /// Demand, in any unit that rises with it (1 is today's).
    pub demand: f64,
    /// Change less today a year, after capital, one by replication.
    pub differences: Vec<f64>,
}

/// A break-even point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreakEven {
    /// Where the mean difference crosses nothing from below; `None`: nowhere in the range looked at.
    pub at: Option<f64>,
    /// Lowest point not ruled out; `None`: below the range looked at, or nothing is known.
    pub low: Option<f64>,
    /// Highest point not ruled out; `None`: above the range looked at, or nothing is known.
    pub high: Option<f64>,
    /// The mean difference at the lowest and at the highest demand (premium: without one, and NaN).
    pub ends: [f64; 2],
}

/// Demand at which a change begins to pay, straight between the cases, which share their replications.
///
/// `None` below two cases, or where they do not have the same number of replications, at least two, all
/// of them numbers. Cases in rising order of demand.
pub fn break_even_demand(cases: &[DemandCase], confidence: f64) -> Option<BreakEven> {
    let replications = cases.first()?.differences.len();
    let whole = |case: &DemandCase| {
        case.differences.len() == replications && case.differences.iter().all(|d| d.is_finite())
    };
    let rising = cases.windows(2).all(|pair| pair[0].demand < pair[1].demand);
    if cases.len() < 2 || replications < 2 || !rising || !cases.iter().all(whole) {
        return None;
    }
    // Between two cases every replication's difference is taken straight, and so are mean and interval.
    const STEPS: usize = 32;
    let mut curves: [Vec<(f64, f64)>; 3] = Default::default();
    for (index, pair) in cases.windows(2).enumerate() {
        for step in usize::from(index > 0)..=STEPS {
            let part = step as f64 / STEPS as f64;
            let between: Welford = pair[0]
                .differences
                .iter()
                .zip(&pair[1].differences)
                .map(|(a, b)| a + part * (b - a))
                .collect();
            let interval = skewed_interval(&between, confidence);
            let demand = pair[0].demand + part * (pair[1].demand - pair[0].demand);
            for (curve, value) in
                curves
                    .iter_mut()
                    .zip([between.mean(), interval.low, interval.high])
            {
                curve.push((demand, value));
            }
        }
    }
    let [mean, lower, upper] = &curves;
    let ends = [mean.first()?.1, mean.last()?.1];
    Some(BreakEven {
        at: crossing(mean),
        // The upper end of the interval reaches nothing first: from there on the point may lie.
        low: crossing(upper),
        high: crossing(lower),
        ends,
    })
}

/// Premium (money for 1,000 pouches) at which a change is worth nothing either way.
///
/// `differences`: change less today a year after capital and before the premium; `thousands`: pouches a
/// year that would pay it, in thousands; both by replication. `None` where they do not pair, are fewer
/// than two, or no pouches would pay it. A negative premium is what could be given away.
pub fn break_even_premium(
    differences: &[f64],
    thousands: &[f64],
    confidence: f64,
) -> Option<BreakEven> {
    if differences.len() != thousands.len() || differences.len() < 2 {
        return None;
    }
    let all = |premium: f64| -> Welford {
        differences
            .iter()
            .zip(thousands)
            .map(|(d, t)| d + premium * t)
            .collect()
    };
    let paid: Welford = thousands.iter().copied().collect();
    let without = all(0.0);
    let at = -without.mean() / paid.mean();
    if !at.is_finite() || paid.mean() <= 0.0 {
        return None;
    }
    // The interval's ends as the premium moves; a bracket wide enough for any ratio that means something.
    let reach = 1e3 * (at.abs() + without.sd() / paid.mean() + 1.0);
    let low = zero_between(at - reach, at, |premium| {
        skewed_interval(&all(premium), confidence).high
    });
    let high = zero_between(at, at + reach, |premium| {
        skewed_interval(&all(premium), confidence).low
    });
    Some(BreakEven {
        at: Some(at),
        low,
        high,
        ends: [without.mean(), f64::NAN],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case(demand: f64, differences: &[f64]) -> DemandCase {
        DemandCase {
            demand,
            differences: differences.to_vec(),
        }
    }

    /// Straight lines by hand: -30 at 1.0 and 10 at 1.2 cross at 1.15.
    #[test]
    fn demand_by_hand() {
        let cases = [case(1.0, &[-30.0, -30.0]), case(1.2, &[10.0, 10.0])];
        let found = break_even_demand(&cases, 0.95).unwrap();
        for point in [found.at, found.low, found.high] {
            assert!((point.unwrap() - 1.15).abs() < 1e-9, "{found:?}");
        }
        assert_eq!(found.ends, [-30.0, 10.0]);
        let never = [case(1.0, &[-30.0, -31.0]), case(1.2, &[-10.0, -11.0])];
        let never = break_even_demand(&never, 0.95).unwrap();
        assert_eq!((never.at, never.high), (None, None));
        assert_eq!(break_even_demand(&cases[..1], 0.95), None);
        let unpaired = [case(1.0, &[-30.0, -30.0]), case(1.2, &[10.0])];
        assert_eq!(break_even_demand(&unpaired, 0.95), None);
    }

    /// With differences that all move together the range follows from the t interval by hand: means -10
    /// and 10, standard error 1 in both, t(0.975, 3) = 3.18245 (tables): 0.5 -+ 3.18245 / 20.
    #[test]
    fn the_range_of_demand_is_that_of_the_interval() {
        // Sum of squares 12 over 3 and 4: standard error 1.
        let noise = [
            -3.0_f64.sqrt(),
            3.0_f64.sqrt(),
            -3.0_f64.sqrt(),
            3.0_f64.sqrt(),
        ];
        let cases = [
            case(0.0, &noise.map(|e| e - 10.0)),
            case(1.0, &noise.map(|e| e + 10.0)),
        ];
        let found = break_even_demand(&cases, 0.95).unwrap();
        assert!((found.at.unwrap() - 0.5).abs() < 1e-9);
        assert!((found.low.unwrap() - (0.5 - 3.18245 / 20.0)).abs() < 1e-5);
        assert!((found.high.unwrap() - (0.5 + 3.18245 / 20.0)).abs() < 1e-5);
    }

    /// 600 a year lost on 50 thousand pouches: 12 for 1,000.
    #[test]
    fn premium_by_hand() {
        let found = break_even_premium(&[-600.0, -600.0], &[50.0, 50.0], 0.95).unwrap();
        for point in [found.at, found.low, found.high] {
            assert!((point.unwrap() - 12.0).abs() < 1e-9, "{found:?}");
        }
        let spread = break_even_premium(&[-500.0, -700.0, -600.0], &[50.0, 49.0, 51.0], 0.95);
        let spread = spread.unwrap();
        assert!(spread.low.unwrap() < 12.0 && spread.high.unwrap() > 12.0);
        assert_eq!(break_even_premium(&[-1.0, -1.0], &[0.0, 0.0], 0.95), None);
    }
}
