//! One figure of two cases that met the same luck.
//!
//! In: the figure in each replication of both. Out: [`Difference`]: the mean of the paired differences
//! with an interval, what it allows to be said, what pairing gained, and how many replications would
//! settle what is open. Or the reason why the two cannot be compared.

use crate::stats::{Tail, Welford, replications_for_absolute};

use super::headline::Better;

/// Fewest pairs that allow a claim: below, an interval hangs on luck alone.
pub const PAIRS_MIN: usize = 5;

/// What may be said of a difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Call {
    /// The whole interval lies on the better side.
    Better,
    /// The whole interval lies on the worse side.
    Worse,
    /// The whole interval lies above nothing, and neither way is better.
    Higher,
    /// The whole interval lies below nothing, and neither way is better.
    Lower,
    /// There was no difference in any replication.
    Same,
    /// The interval holds both sides, and lies within what counts as equal.
    Equal,
    /// The interval holds both sides: nothing is settled.
    Open,
}

impl Call {
    /// Key used in files.
    pub fn key(self) -> &'static str {
        match self {
            Call::Better => "better",
            Call::Worse => "worse",
            Call::Higher => "higher",
            Call::Lower => "lower",
            Call::Same => "same",
            Call::Equal => "equal",
            Call::Open => "open",
        }
    }
}

/// Why two cases cannot be compared by a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// One of them does not keep up, so its figure depends on how long one looks.
    NotSteady,
    /// The orders that decide the figure were not done in some replication.
    BeyondRun,
    /// There are no such orders, or there is no such figure.
    None,
}

impl Unknown {
    /// Two words for a table.
    pub fn words(self) -> &'static str {
        match self {
            Unknown::NotSteady => "not steady",
            Unknown::BeyondRun => "beyond run",
            Unknown::None => "–",
        }
    }
}

/// A paired difference, this one minus the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Mean.
    pub mean: f64,
    /// Lower end of its interval, which holds together with those of all other comparisons of the figure.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Standard deviation of the differences.
    pub sd: f64,
    /// Pairs.
    pub n: usize,
    /// Variance that independent replications would have had over the variance of the pairs; infinite where
    /// the pairs do not vary, NaN where nothing varies.
    pub gain: f64,
    /// Replications at which the interval would no longer hold nothing, or lie within what counts as equal, if mean and
    /// spread stay as they are; `None` where it is settled, where there is no difference, or beyond a million.
    pub needed: Option<u64>,
    /// Pairs from which on both ends may be claimed; of fewer, the one on the side of the tail is infinite.
    pub wanted: u64,
    /// What may be said.
    pub call: Call,
}

/// Most replications that are told as a number.
const NEEDED_MAX: u64 = 1_000_000;

/// The difference `mine` minus `other`, replication by replication.
///
/// `tail`: what else is known of a tail that the pairs may not have shown yet (see [`super::alarm`]).
/// `orders`: whether there are such orders, by replication: where there are none, a missing value is no
/// gap. `confidence`: level of this one interval. `equal`: so much of a difference counts as none, in the figure's
/// unit.
///
/// # Errors
/// The reason why there is none.
pub fn difference(
    mine: &[f64],
    other: &[f64],
    orders: impl Fn(usize) -> bool,
    tail: impl Fn(&[f64]) -> Option<Tail>,
    (confidence, better): (f64, Better),
    equal: f64,
) -> Result<Difference, Unknown> {
    let mut pairs: (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    for (index, (&a, &b)) in mine.iter().zip(other).enumerate() {
        if a.is_finite() && b.is_finite() {
            pairs.0.push(a);
            pairs.1.push(b);
        } else if orders(index) {
            return Err(Unknown::BeyondRun);
        }
    }
    let n = pairs.0.len();
    if n == 0 {
        return Err(Unknown::None);
    }
    let each: Vec<f64> = pairs.0.iter().zip(&pairs.1).map(|(a, b)| a - b).collect();
    let gaps: Welford = each.iter().copied().collect();
    let same = pairs.0 == pairs.1;
    let (a, b): (Welford, Welford) = (
        pairs.0.iter().copied().collect(),
        pairs.1.iter().copied().collect(),
    );
    let seen = gaps.moments();
    let own = Tail::of(&seen);
    let tail = tail(&each).filter(|_| seen.sd > 0.0).unwrap_or(own);
    let told = tail.judged(seen.interval(confidence), seen.mean, seen.count);
    let (low, high) = (told.low, told.high);
    let enough = n >= PAIRS_MIN;
    let call = match better {
        _ if same && enough => Call::Same,
        _ if enough && low <= 0.0 && high >= 0.0 && low >= -equal && high <= equal => Call::Equal,
        _ if !enough || (low <= 0.0 && high >= 0.0) => Call::Open,
        Better::Less if high < 0.0 => Call::Better,
        Better::More if low > 0.0 => Call::Better,
        Better::Neither if low > 0.0 => Call::Higher,
        Better::Neither => Call::Lower,
        _ => Call::Worse,
    };
    // How far the interval has to shrink: to one side of nothing, or into what counts as equal.
    let half = gaps.mean().abs().max(equal - gaps.mean().abs());
    let needed = (call == Call::Open && half > 0.0)
        .then(|| replications_for_absolute(&gaps, half, confidence))
        .flatten()
        .map(|needed| match seen.count < tail.wanted {
            true => needed.max(tail.wanted),
            false => needed,
        })
        .filter(|&needed| needed <= NEEDED_MAX);
    Ok(Difference {
        mean: gaps.mean(),
        low,
        high,
        sd: if n > 1 { gaps.sd() } else { f64::NAN },
        n,
        gain: (a.variance() + b.variance()) / gaps.variance(),
        needed,
        wanted: tail.wanted,
        call,
    })
}

impl Difference {
    /// The difference of two shares: no end of its interval is farther than the share of the other case, as far as that
    /// is known, leaves room for. An end that is not claimed stays open: that a share cannot fall below nothing is no
    /// finding.
    pub fn of_shares(mut self, other: &[f64], confidence: f64) -> Self {
        let seen: Welford = other.iter().copied().filter(|x| x.is_finite()).collect();
        let known = seen.moments().interval(confidence);
        if self.low.is_finite() && known.high.is_finite() {
            self.low = self.low.max(-known.high.clamp(0.0, 1.0)).min(self.mean);
        }
        if self.high.is_finite() && known.low.is_finite() {
            let room = 1.0 - known.low.clamp(0.0, 1.0);
            self.high = self.high.min(room).max(self.mean);
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(mine: &[f64], other: &[f64], better: Better) -> Result<Difference, Unknown> {
        difference(mine, other, |_| true, |_| None, (0.95, better), 0.0)
    }

    #[test]
    fn identical_cases_differ_by_exactly_nothing() {
        let x = [0.1, 0.2, 0.7, 0.3, 0.30000000000000004];
        let d = of(&x, &x, Better::Less).unwrap();
        assert_eq!((d.mean, d.low, d.high, d.call), (0.0, 0.0, 0.0, Call::Same));
        assert_eq!(d.needed, None);
    }

    /// By hand: gaps 1, 2, 3, 2, 2 have mean 2 and sd sqrt(0.5); t(0.975, 4) = 2.776445 (any table), so
    /// the half-width is 2.776445 * sqrt(0.1) = 0.877989.
    #[test]
    fn the_interval_and_its_side() {
        let other = [10.0, 20.0, 5.0, 8.0, 9.0];
        let mine = [11.0, 22.0, 8.0, 10.0, 11.0];
        let d = of(&mine, &other, Better::More).unwrap();
        assert!((d.mean - 2.0).abs() < 1e-12 && (d.high - 2.877989).abs() < 1e-5);
        assert_eq!(d.call, Call::Better);
        assert_eq!(of(&mine, &other, Better::Less).unwrap().call, Call::Worse);
        assert_eq!(
            of(&mine, &other, Better::Neither).unwrap().call,
            Call::Higher
        );
        // Two variances of about 30 against one of 0.5.
        assert!(d.gain > 50.0, "{}", d.gain);
    }

    /// On time was 0.968 with sd 0.0083666: t(0.975, 4) = 2.776445 gives 0.9576 to 0.9784 (a little else with its
    /// skewness of 0.5). No difference is above 0.0424 or below -0.9784, however far an unseen tail might reach.
    #[test]
    fn shares_leave_room_for_so_much() {
        let other = [0.96, 0.97, 0.96, 0.97, 0.98];
        let told = Difference {
            low: -1.3,
            high: 0.646,
            ..of(&[0.98; 5], &other, Better::More).unwrap()
        };
        let room = told.of_shares(&other, 0.95);
        assert!((room.high - 0.0424).abs() < 0.004, "{room:?}");
        assert!((room.low + 0.9784).abs() < 0.004, "{room:?}");
        // What lies within is as it was.
        let near = Difference {
            low: -0.01,
            high: 0.03,
            ..told
        };
        assert_eq!(near.of_shares(&other, 0.95), near);
        let open = Difference {
            low: f64::NEG_INFINITY,
            ..told
        };
        assert_eq!(open.of_shares(&other, 0.95).low, f64::NEG_INFINITY);
    }

    /// The gaps -1, 1, 0, 1, -1 have mean 0 and sd 1; t(0.975, 4) = 2.776445, so the interval is 1.2417 to both sides. It is
    /// equal within 1.25 and open within 1.24, and then n with t(0.975, n - 1) / sqrt n <= 1.24 settles it.
    #[test]
    fn as_good_as_equal() {
        let (mine, other) = ([9.0, 11.0, 10.0, 11.0, 9.0], [10.0; 5]);
        let of = |equal| {
            difference(
                &mine,
                &other,
                |_| true,
                |_| None,
                (0.95, Better::More),
                equal,
            )
            .unwrap()
        };
        assert_eq!(of(1.25).call, Call::Equal);
        assert_eq!((of(1.24).call, of(1.24).needed), (Call::Open, Some(6)));
        assert_eq!((of(0.0).call, of(0.0).needed), (Call::Open, None));
        // A side that is known is said, however little it is.
        let up = [10.5, 10.4, 10.6, 10.5, 10.4];
        let told = difference(&up, &other, |_| true, |_| None, (0.95, Better::More), 5.0);
        assert_eq!(told.unwrap().call, Call::Better);
    }

    #[test]
    fn few_pairs_and_missing_values_claim_nothing() {
        let d = of(&[1.0, 1.0], &[0.0, 0.0], Better::More).unwrap();
        assert_eq!(d.call, Call::Open);
        let gap = of(&[1.0, f64::INFINITY], &[0.0, 0.0], Better::More);
        assert_eq!(gap, Err(Unknown::BeyondRun));
        let none = difference(
            &[f64::NAN],
            &[f64::NAN],
            |_| false,
            |_| None,
            (0.95, Better::More),
            0.0,
        );
        assert_eq!(none.unwrap_err(), Unknown::None);
    }
}
