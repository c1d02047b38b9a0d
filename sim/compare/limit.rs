//! How far a promise is kept: the largest setting (demand, rush share, ...) at which a share holds.
//!
//! In: a function that runs the cell at a setting and gives the estimate of the share that keeps the promise.
//! Out: [`Limit`]: where the share falls to the promised one, with an interval.
//!
//! Every setting meets the same replications (common random numbers), so the mean share is one falling curve
//! and not a cloud. A root is first looked for with few replications, then with all of them near it
//! (retrospective approximation; Chen and Schmeiser, IIE Transactions 33, 2001). The interval holds every
//! setting at which the interval of the mean share holds the promised one: the confidence interval turned on
//! its side, as in Fieller's construction, and no less sure for the curve being steep or flat. Where a setting has
//! fewer replications than a few bad stretches ask for, the lower end of its share is not claimed, and so neither is
//! the setting up to which the promise is clearly kept.

use crate::summary::{Estimate, LEAST};

/// A setting that was run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// The setting.
    pub at: f64,
    /// Replications.
    pub n: u32,
    /// Mean share that keeps the promise.
    pub mean: f64,
    /// Lower end by which is decided; infinite where nothing bounds it.
    pub low: f64,
    /// Upper end; infinite where it is not claimed.
    pub high: f64,
    /// Replications from which on both ends may be claimed.
    pub wanted: u32,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Share that is promised.
    pub share: f64,
    /// Smallest and largest setting looked at.
    pub range: (f64, f64),
    /// The setting at which the mean falls to the share; `None` where it does not within the range.
    pub at: Option<f64>,
    /// Lowest setting that is not ruled out; `None`: below the range.
    pub low: Option<f64>,
    /// Highest setting that is not ruled out; `None`: above the range.
    pub high: Option<f64>,
    /// Replications at a setting from which on the lower end would be told; `None` where it is.
    pub wanted: Option<u32>,
    /// True where the promise is kept at the upper end of the range, as far as the mean tells.
    pub kept_at_end: bool,
    /// Settings that were run with all replications, in rising order.
    pub points: Vec<Point>,
}

/// How a limit is looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Search {
    /// Share that is promised.
    pub share: f64,
    /// Smallest and largest setting.
    pub range: (f64, f64),
    /// Replications at each setting.
    pub replications: u32,
    /// Settings closer than this part of themselves are not told apart.
    pub tolerance: f64,
}

/// Part by which a bracket is widened.
const STEP: f64 = 1.05;

/// Part of a step in the first, rough look.
const LEAP: f64 = 1.15;

/// How closely a setting is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// With so many replications.
    Rough(u32),
    /// With all of them, and as many more as its interval asks for.
    Full,
}

/// Looks for the limit. `run(setting, look)` gives the estimate of the share; `None` where it was stopped, which ends
/// the search without a result.
pub fn limit(search: &Search, mut run: impl FnMut(f64, Look) -> Option<Estimate>) -> Option<Limit> {
    let (from, to) = search.range;
    let few = (search.replications / 8)
        .clamp(10, 40)
        .min(search.replications);
    let mut roughly =
        |at: f64| -> Option<bool> { Some(run(at, Look::Rough(few))?.mean >= search.share) };
    // Few replications: where, roughly?
    let (mut low, mut high);
    // Outward from one, because a cell far beyond what it can do takes long to run.
    let start = 1f64.clamp(from, to);
    if roughly(start)? {
        low = start;
        high = start;
        while high < to {
            high = (high * LEAP).min(to);
            if !roughly(high)? {
                break;
            }
            low = high;
        }
    } else {
        low = start;
        high = start;
        while low > from {
            low = (low / LEAP).max(from);
            if roughly(low)? {
                break;
            }
            high = low;
        }
    }
    while low < high && high / low > STEP {
        let middle = (low * high).sqrt();
        if roughly(middle)? {
            low = middle;
        } else {
            high = middle;
        }
    }
    // All replications, near it.
    let mut curve = Curve {
        search: *search,
        points: Vec::new(),
    };
    curve.add(low, &mut run)?;
    curve.add(high, &mut run)?;
    let at = curve.crossing(1, &mut run)?;
    let mut high = None;
    if curve.points.iter().any(|point| point.high.is_finite()) {
        high = curve.crossing(2, &mut run)?;
    }
    let mut low = None;
    if curve.wanted().is_none() {
        low = curve.crossing(0, &mut run)?;
        low = curve.first_doubt(low);
    }
    let wanted = curve.wanted();
    let low = low.filter(|_| wanted.is_none());
    let kept_at_end = curve.points.last().is_some_and(|p| p.mean >= search.share);
    Some(Limit {
        share: search.share,
        range: search.range,
        at,
        low,
        high,
        wanted,
        kept_at_end,
        points: curve.points,
    })
}

/// The mean share by setting, with its interval.
struct Curve {
    search: Search,
    points: Vec<Point>,
}

impl Point {
    /// The lower end as far as its interval is claimed: with fewer replications than it wants there is none, and
    /// [`Point::low`] is as far out as unseen bad stretches may move the share.
    pub fn claimed_low(&self) -> f64 {
        match self.n < self.wanted {
            true => f64::NEG_INFINITY,
            false => self.low,
        }
    }
}

impl Curve {
    /// Most replications that a setting wants for a lower end, where one has none.
    fn wanted(&self) -> Option<u32> {
        let open = self.points.iter().filter(|p| p.low == f64::NEG_INFINITY);
        open.map(|point| point.wanted).max()
    }

    fn add(&mut self, at: f64, run: &mut impl FnMut(f64, Look) -> Option<Estimate>) -> Option<()> {
        if self.points.iter().any(|point| point.at == at) {
            return Some(());
        }
        let seen = run(at, Look::Full)?;
        self.points.push(Point {
            at,
            n: seen.n,
            mean: seen.mean,
            // A single replication has no interval at all.
            low: seen.low.max(f64::NEG_INFINITY),
            high: seen.high.min(f64::INFINITY),
            wanted: match seen.low.is_finite() {
                true => seen.wanted,
                false => seen.wanted.max(LEAST),
            },
        });
        self.points.sort_by(|a, b| a.at.total_cmp(&b.at));
        Some(())
    }

    /// How far a point lies above the promised share on one of the curves: 0 the lower ends, 1 the means, 2 the
    /// upper ends.
    fn above(&self, point: &Point, which: usize) -> f64 {
        [point.low, point.mean, point.high][which.min(2)] - self.search.share
    }

    /// The lowest setting at which the promise is not clearly kept. On a flat curve the lower end of the interval can
    /// touch the promised share more than once: the first time counts.
    fn first_doubt(&self, last: Option<f64>) -> Option<f64> {
        let last = last?;
        let first = self.points.iter().position(|p| self.above(p, 0) < 0.0);
        Some(match first {
            Some(0) => last.min(self.points[0].at),
            Some(i) => {
                let (a, b) = (&self.points[i - 1], &self.points[i]);
                let (fa, fb) = (self.above(a, 0), self.above(b, 0));
                let part = if fa.is_finite() && fb.is_finite() && fa > fb {
                    fa / (fa - fb)
                } else {
                    0.0
                };
                last.min(a.at + part * (b.at - a.at))
            }
            None => last,
        })
    }

    /// Where a curve falls below the promised share; `None` within where it does not within the range.
    fn crossing(
        &mut self,
        which: usize,
        run: &mut impl FnMut(f64, Look) -> Option<Estimate>,
    ) -> Option<Option<f64>> {
        let (from, to) = self.search.range;
        loop {
            // The last point above the share and the first one below it after that.
            let above = self
                .points
                .iter()
                .rposition(|p| self.above(p, which) >= 0.0);
            let bracket = match above {
                None => {
                    let first = self.points.first()?.at;
                    if first <= from {
                        return Some(None);
                    }
                    self.add((first / STEP).max(from), run)?;
                    continue;
                }
                Some(last) if last + 1 == self.points.len() => {
                    let end = self.points.last()?.at;
                    if end >= to {
                        return Some(None);
                    }
                    self.add((end * STEP).min(to), run)?;
                    continue;
                }
                Some(last) => (self.points[last], self.points[last + 1]),
            };
            let (a, b) = bracket;
            let (fa, fb) = (self.above(&a, which), self.above(&b, which));
            // Straight between the two; both ends are measured.
            let part = if fa.is_finite() && fb.is_finite() && fa > fb {
                fa / (fa - fb)
            } else {
                0.5
            };
            let root = a.at + part * (b.at - a.at);
            if b.at / a.at <= 1.0 + self.search.tolerance {
                return Some(Some(root));
            }
            // Not too near an end, so that the bracket shrinks from both sides.
            let middle = root.clamp(a.at + 0.15 * (b.at - a.at), b.at - 0.15 * (b.at - a.at));
            self.add(middle, run)?;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::{Source, Streams};
    use crate::stats::Welford;

    const REPLICATIONS: u32 = 50;

    /// Shares 1 - (x / 2)^2 / 2 plus noise that is the same at every setting: 0.9 is met at
    /// x = 2 sqrt(0.2) = 0.894427.
    fn share(seed: u64, spread: f64) -> impl FnMut(f64, Look) -> Option<Estimate> {
        move |x, look| {
            let n = match look {
                Look::Rough(n) => n,
                Look::Full => REPLICATIONS,
            };
            let values = (0..n).map(|i| {
                let noise = Streams::new(seed, u64::from(i))
                    .of(Source::Other, 0, 0)
                    .unit()
                    - 0.5;
                1.0 - x * x / 8.0 + spread * noise
            });
            let values: Welford = values.collect();
            Some(Estimate::new(&values, 0, 0.95))
        }
    }

    fn search() -> Search {
        Search {
            share: 0.9,
            range: (0.25, 4.0),
            replications: REPLICATIONS,
            tolerance: 0.01,
        }
    }

    #[test]
    fn a_known_limit_is_found() {
        let found = limit(&search(), share(1, 0.0)).unwrap();
        assert!((found.at.unwrap() - 0.894427).abs() < 1e-4, "{found:?}");
        assert!(found.points.len() <= 12, "{}", found.points.len());
    }

    /// The interval holds the true limit in about 95 of 100 seeds; 200 seeds, binomial, five standard errors
    /// below 95 % are 87.3 %; all 200 would be a chance of 4 in 100,000.
    #[test]
    fn the_interval_holds_the_true_limit_as_often_as_it_says() {
        let held = (0..200)
            .filter(|&seed| {
                let found = limit(&search(), share(seed, 0.2)).unwrap();
                found.low.unwrap() <= 0.894427 && 0.894427 <= found.high.unwrap()
            })
            .count();
        assert!((175..200).contains(&held), "{held} of 200");
    }

    #[test]
    fn ends_of_the_range_are_told() {
        let kept = limit(
            &Search {
                range: (0.25, 0.5),
                ..search()
            },
            share(1, 0.01),
        )
        .unwrap();
        assert_eq!((kept.at, kept.high, kept.kept_at_end), (None, None, true));
        let never = limit(
            &Search {
                range: (2.0, 4.0),
                ..search()
            },
            share(1, 0.01),
        )
        .unwrap();
        assert_eq!(
            (never.at, never.low, never.kept_at_end),
            (None, None, false)
        );
        assert_eq!(limit(&search(), |_, _| None), None);
    }

    /// One replication in fifty in which nothing is kept: fifty of them show that there is such a tail and not how long
    /// it is, so no setting is one up to which the promise is clearly kept.
    #[test]
    fn no_lower_end_where_one_bad_stretch_decides() {
        let found = limit(&search(), |x, look| {
            let n = match look {
                Look::Rough(n) => n,
                Look::Full => REPLICATIONS,
            };
            let values = (0..n).map(|i| 1.0 - x * x / 8.0 - f64::from(u8::from(i == 7)) * 0.5);
            let values: Welford = values.collect();
            Some(Estimate::new(&values, 0, 0.95))
        });
        let found = found.unwrap();
        assert!(found.low.is_none() && found.at.is_some() && found.high.is_some());
        assert!(found.wanted.is_some_and(|n| n > REPLICATIONS), "{found:?}");
    }

    /// One replication: where its share falls to the promised one, and that nothing is sure.
    #[test]
    fn one_replication_says_nothing_for_sure() {
        let mut settings = 0;
        let found = limit(&search(), |x, _| {
            settings += 1;
            let values: Welford = std::iter::once(1.0 - x * x / 8.0).collect();
            Some(Estimate::new(&values, 0, 0.95))
        });
        let found = found.unwrap();
        assert!((found.at.unwrap() - 0.894427).abs() < 1e-2, "{found:?}");
        assert_eq!(
            (found.low, found.high, found.wanted),
            (None, None, Some(LEAST))
        );
        assert!(settings < 30, "{settings}");
    }
}
