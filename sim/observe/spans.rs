//! Spans of time of one replication, fine enough to find their quantiles again.
//!
//! In: spans of orders. Out: by bin of 1.6 % of its octave at most, how many fell into it, the shortest and
//! the longest of them: what lies alone in its bin is kept exactly. Bins are the same for every scenario, so
//! that replications and runs can be added.

use crate::kernel::NEVER;
use crate::stats::Cell;
use crate::units::Tick;

use super::histogram::SpanCounts;

/// Power of two of the shortest span that has a bin of its own, microseconds: about a second.
const FIRST: u32 = 20;
/// Power of two of the bins of an octave.
const PARTS: u32 = 6;
/// Octaves: the last ends beyond four years.
const OCTAVES: u32 = 28;
/// Number of bins.
pub const FINE: usize = 1 + (OCTAVES << PARTS) as usize;

/// Spans of one group of orders in one replication.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spans {
    /// Bins that hold something, rising.
    pub cells: Vec<Cell>,
    /// Spans that had not ended when the clock did.
    pub open: u64,
}

/// The bin of a span.
#[inline]
fn bin(span: Tick) -> usize {
    let span = span.max(0) as u64;
    let octave = 63 - (span | 1).leading_zeros();
    if octave < FIRST {
        return 0;
    }
    let part = (span >> (octave - PARTS)) & ((1 << PARTS) - 1);
    (1 + (((octave - FIRST) << PARTS) as usize + part as usize)).min(FINE - 1)
}

impl Spans {
    /// Counts spans; those that are `NEVER` are open.
    pub fn of(spans: &[Tick]) -> Self {
        let mut ended: Vec<(u16, Tick)> = spans
            .iter()
            .filter(|&&span| span != NEVER)
            .map(|&span| (bin(span) as u16, span))
            .collect();
        let open = (spans.len() - ended.len()) as u64;
        ended.sort_unstable();
        let mut cells: Vec<Cell> = Vec::new();
        for (bin, span) in ended {
            let span = span as f64;
            match cells.last_mut() {
                Some(cell) if cell.bin == bin => {
                    cell.count += 1;
                    cell.most = span;
                }
                _ => cells.push(Cell {
                    bin,
                    count: 1,
                    least: span,
                    most: span,
                }),
            }
        }
        Self { cells, open }
    }

    /// Adds the counts to those that are shown.
    pub fn shown(&self, counts: &mut SpanCounts) {
        for cell in &self.cells {
            let middle = 0.5 * (cell.least + cell.most);
            counts.counts[super::histogram::bin(middle as Tick)] += u64::from(cell.count);
        }
        counts.open += self.open;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bins rise with the span, and those of one bin differ by 1.6 % at most.
    #[test]
    fn bins_are_narrow_and_in_order() {
        let mut spans: Vec<Tick> = (0..4000)
            .map(|i| (1e6 * 1.006f64.powi(i)) as Tick)
            .collect();
        spans.retain(|&span| span < 1 << 47);
        assert!(spans.windows(2).all(|pair| bin(pair[0]) <= bin(pair[1])));
        let counted = Spans::of(&spans);
        for cell in counted.cells.iter().filter(|cell| cell.bin > 0) {
            assert!(cell.most <= cell.least * (1.0 + 1.0 / 64.0), "{cell:?}");
        }
        assert_eq!(bin(0), 0);
        assert_eq!(bin(Tick::MAX), FINE - 1);
        let mut shown = SpanCounts::default();
        counted.shown(&mut shown);
        assert_eq!(shown.total(), spans.len() as u64);
    }

    #[test]
    fn open_spans_are_told_apart() {
        let counted = Spans::of(&[NEVER, 60_000_000, NEVER]);
        assert_eq!((counted.open, counted.cells.len()), (2, 1));
        assert_eq!(counted.cells[0].least, 60_000_000.0);
    }
}
