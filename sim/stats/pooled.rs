//! Quantiles of everything that many replications saw, with intervals that know who came together.
//!
//! In: replication by replication, observations counted into cells. Out: the quantile of all of them; its
//! interval; what each replication adds to it.
//!
//! The mean of the replications' own quantiles is another figure: it is short by 17 % for the 95 % point of
//! a queue at load 0.95 looked at for half a year, and does not come right with more replications. The
//! interval is that of the share of observations within x, turned on its side (Woodruff, Journal of the
//! American Statistical Association 47, 1952): every x belongs to it at which the share is not surely other
//! than p. Replications are the clusters, so the share is that of their totals, and its interval holds under
//! skewness ([`super::skewed`]); no interval is narrower than that of so many independent observations.

use super::interval::{Interval, upper_point};
use super::share::wilson;
use super::skewed::Moments;
use super::tables::t_quantile;

/// Observations of one replication in one bin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// The bin; bins rise with what is observed.
    pub bin: u16,
    /// Observations.
    pub count: u32,
    /// The least of them.
    pub least: f64,
    /// The greatest of them.
    pub most: f64,
}

/// Sums over replications of C, C^2, C^3, C N, C^2 N and C N^2, where C is how many observations of a
/// replication lie within a bin's upper end and N how many it has.
type Sums = [f64; 6];

/// All observations of many replications.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pooled {
    /// Bin of the first of the vectors below.
    first: usize,
    counts: Vec<u64>,
    ends: Vec<[f64; 2]>,
    sums: Vec<Sums>,
    /// The same where C are all observations that have a value.
    ended: Sums,
    /// Sums of N, N^2 and N^3.
    all: [f64; 3],
    clusters: u64,
    open: u64,
}

fn add(sums: &mut Sums, c: f64, n: f64) {
    let (cc, cn) = (c * c, c * n);
    for (sum, more) in sums.iter_mut().zip([c, cc, cc * c, cn, cc * n, cn * n]) {
        *sum += more;
    }
}

impl Pooled {
    /// Adds a replication: its cells in rising order, and observations without a value, above all others.
    pub fn push(&mut self, cells: &[Cell], open: u64) {
        if let (Some(first), Some(last)) = (cells.first(), cells.last()) {
            self.reach(usize::from(first.bin), usize::from(last.bin));
        }
        let total: u64 = cells.iter().map(|cell| u64::from(cell.count)).sum();
        let n = (total + open) as f64;
        let mut within = 0;
        let mut next = cells.iter().peekable();
        for (place, sums) in self.sums.iter_mut().enumerate() {
            if let Some(cell) = next.next_if(|c| usize::from(c.bin) == self.first + place) {
                within += u64::from(cell.count);
                self.counts[place] += u64::from(cell.count);
                let [least, most] = &mut self.ends[place];
                *least = least.min(cell.least);
                *most = most.max(cell.most);
            }
            if within > 0 {
                add(sums, within as f64, n);
            }
        }
        add(&mut self.ended, total as f64, n);
        for (sum, more) in self.all.iter_mut().zip([n, n * n, n * n * n]) {
            *sum += more;
        }
        self.clusters += 1;
        self.open += open;
    }

    /// Makes room from one bin to another.
    fn reach(&mut self, first: usize, last: usize) {
        const NOTHING: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];
        if self.sums.is_empty() {
            self.first = first;
        }
        if first < self.first {
            let more = self.first - first;
            self.counts.splice(0..0, vec![0; more]);
            self.ends.splice(0..0, vec![NOTHING; more]);
            self.sums.splice(0..0, vec![[0.0; 6]; more]);
            self.first = first;
        }
        let length = (last + 1 - self.first).max(self.sums.len());
        self.counts.resize(length, 0);
        self.ends.resize(length, NOTHING);
        self.sums.resize(length, self.ended);
    }

    /// Observations, those without a value too.
    pub fn total(&self) -> u64 {
        self.counts.iter().sum::<u64>() + self.open
    }

    /// Replications.
    pub fn clusters(&self) -> u64 {
        self.clusters
    }

    /// The observation of a rank from 0; infinite where it has no value.
    fn ranked(&self, rank: u64) -> f64 {
        let mut before = 0;
        for (&count, &[least, most]) in self.counts.iter().zip(&self.ends) {
            if rank < before + count {
                let place = (rank - before) as f64;
                // The ends of a bin are known, what lies between them is taken as even.
                return if count > 1 {
                    least + (most - least) * place / (count - 1) as f64
                } else {
                    least
                };
            }
            before += count;
        }
        f64::INFINITY
    }

    /// The quantile `p`, linear between order statistics (type 7 of Hyndman and Fan); NaN of nothing,
    /// infinite where it lies among observations without a value.
    pub fn quantile(&self, p: f64) -> f64 {
        let total = self.total();
        if total == 0 {
            return f64::NAN;
        }
        let place = (total - 1) as f64 * p.clamp(0.0, 1.0);
        let (below, next) = (
            self.ranked(place as u64),
            self.ranked((place as u64 + 1).min(total - 1)),
        );
        let part = place.fract();
        if part == 0.0 || next == below {
            below
        } else {
            below + part * (next - below)
        }
    }

    /// Moments of C - p N over replications.
    fn apart(&self, [c, cc, ccc, cn, ccn, cnn]: Sums, p: f64) -> Moments {
        let [n, nn, nnn] = self.all;
        let k = self.clusters as f64;
        let mean = (c - p * n) / k;
        let squares = cc - p * (2.0 * cn - p * nn);
        let cubes = ccc - p * (3.0 * ccn - p * (3.0 * cnn - p * nnn));
        let about = squares - k * mean * mean;
        // Differences of large sums: below their last digits there is nothing.
        let about = if about <= 1e-12 * (cc + p * p * nn) {
            0.0
        } else {
            about
        };
        let third = cubes - 3.0 * mean * squares + 2.0 * k * mean * mean * mean;
        Moments::from_sums(self.clusters, mean, about, third)
    }

    /// The interval of the share within a bin's end, given the sums there and Student's t of the level.
    fn share(&self, sums: Sums, p: f64, t: f64) -> [f64; 2] {
        let n = self.all[0];
        let each = n / self.clusters as f64;
        let interval = self.apart(sums, p).within(t);
        let score = wilson(sums[0] / n, n, t);
        [
            score.low.min(p + interval.low / each),
            score.high.max(p + interval.high / each),
        ]
    }

    /// Interval of the quantile `p`; [`Interval::UNKNOWN`] below two replications or of nothing.
    pub fn interval(&self, p: f64, confidence: f64) -> Interval {
        if self.clusters < 2 || self.total() == 0 {
            return Interval::UNKNOWN;
        }
        let filled = || (0..self.sums.len()).filter(|&place| self.counts[place] > 0);
        let t = t_quantile(upper_point(confidence), (self.clusters - 1) as f64);
        let mut shares = vec![self.share([0.0; 6], p, t)];
        shares.extend(filled().map(|place| self.share(self.sums[place], p, t)));
        let bins: Vec<[f64; 2]> = filled().map(|place| self.ends[place]).collect();
        // Where an end of the share's interval passes p within a bin.
        let crossing = |bin: usize, end: usize| -> f64 {
            let [least, most] = bins[bin];
            let (before, after) = (shares[bin][end], shares[bin + 1][end]);
            let part = (p - before) / (after - before);
            least
                + (most - least)
                    * if part.is_finite() {
                        part.clamp(0.0, 1.0)
                    } else {
                        0.5
                    }
        };
        let low = (0..bins.len())
            .find(|&bin| shares[bin + 1][1] >= p)
            .map_or(f64::INFINITY, |bin| crossing(bin, 1));
        let high = (0..shares.len())
            .rev()
            .find(|&bin| shares[bin][0] <= p)
            .map_or(f64::NEG_INFINITY, |bin| match bin < bins.len() {
                true => crossing(bin, 0),
                false => f64::INFINITY,
            });
        // The estimate itself is never outside.
        let at = self.quantile(p);
        Interval {
            low: low.min(at),
            high: high.max(at),
        }
    }

    /// Moments over replications of what each has within the quantile `p` beyond its part: what an alarm
    /// looks at. With the quantile as mean and its standard error times the root of the count as spread.
    pub fn moments(&self, p: f64) -> Moments {
        let at = self.quantile(p);
        let place =
            (0..self.sums.len()).find(|&place| self.counts[place] > 0 && self.ends[place][1] >= at);
        let Some(place) = place else {
            return Moments::from_sums(0, at, 0.0, 0.0);
        };
        // At a bin's end the share is other than p: each is compared with the share there.
        let share = self.sums[place][0] / self.all[0];
        let seen = self.apart(self.sums[place], share);
        let slope = self.slope(p, seen.sd / (self.all[0] / seen.count as f64));
        Moments {
            mean: at,
            sd: seen.sd / (self.all[0] / seen.count as f64) / slope,
            // More within x is a lower quantile.
            skewness: -seen.skewness,
            ..seen
        }
    }

    /// Observations per unit at the quantile `p`, as a share: over two standard errors of the share to
    /// either side, and eight observations at least.
    fn slope(&self, p: f64, sd: f64) -> f64 {
        let reach = (2.0 * sd / (self.clusters as f64).sqrt()).max(8.0 / self.total() as f64);
        let (from, to) = ((p - reach).max(0.0), (p + reach).min(1.0));
        let (low, high) = (self.quantile(from), self.quantile(to));
        let high = if high.is_finite() {
            high
        } else {
            self.quantile(p)
        };
        ((to - from) / (high - low)).max(1e-300)
    }

    /// Values, one for each of the replications added (given once more in their order), whose mean is the
    /// quantile `p` and whose spread is its own: its linear part. Infinite where the quantile is.
    pub fn linear<'a>(
        &self,
        p: f64,
        replications: impl Iterator<Item = (&'a [Cell], u64)>,
    ) -> Vec<f64> {
        let at = self.quantile(p);
        let each = self.all[0] / self.clusters.max(1) as f64;
        let over: Vec<f64> = replications
            .map(|(cells, open)| {
                let total: u64 = cells.iter().map(|cell| u64::from(cell.count)).sum();
                let within: f64 = cells.iter().map(|cell| cell.within(at)).sum();
                (within - p * (total + open) as f64) / each
            })
            .collect();
        let n = over.len().max(1) as f64;
        let mean = over.iter().sum::<f64>() / n;
        let sd = (over.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt();
        let slope = self.slope(p, sd);
        over.iter().map(|x| at - (x - mean) / slope).collect()
    }
}

impl Cell {
    /// How many of its observations lie within `x`, evenly between its ends.
    fn within(&self, x: f64) -> f64 {
        let count = f64::from(self.count);
        if x >= self.most {
            count
        } else if x < self.least {
            0.0
        } else {
            count * (x - self.least) / (self.most - self.least)
        }
    }
}
