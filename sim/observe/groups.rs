//! Figures of groups of orders: all of them, those of a class, those of a product.
//!
//! In: one row per measured order. Out: counts, shares and lead times of each group, and what each is the mean of.

use crate::kernel::NEVER;
use crate::units::{TICKS_PER_MINUTE, Tick, minutes_from_ticks};

use super::fate::Fate;
use super::layout::{GROUP_FIGURES, LEAD_FIGURES, LEADS, QUANTILES};
use super::spans::Spans;

/// A measured order, finished or not.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub class: u16,
    pub product: u16,
    pub done: Tick,
    pub packed: Tick,
    pub first_pouch: Tick,
    /// Done minus promised; `NEVER` for an order without promise.
    pub late: Tick,
}

/// What a replication has told so far.
pub(super) struct Figures {
    pub figures: Vec<f64>,
    pub weights: Vec<f64>,
    pub spans: Vec<Spans>,
}

impl Figures {
    /// Figures of a group: what became of its orders, and the orders measured.
    pub fn group(&mut self, fate: &Fate, rows: &[Row], weeks: f64) {
        let start = self.figures.len();
        let promised = rows.iter().filter(|r| r.late != NEVER);
        let (mut kept, mut given, mut late_ticks, mut late) = (0_u64, 0_u64, 0.0, 0_u64);
        for row in promised {
            given += 1;
            if row.late <= 0 {
                kept += 1;
            } else {
                late += 1;
                late_ticks += row.late as f64;
            }
        }
        // Of all that were asked for: what is turned away is not kept, what is sent out only by its own date.
        let asked = given + fate.turned_away + fate.sent_out;
        self.figures.extend([
            fate.done as f64 / weeks,
            fate.pouches as f64 / weeks,
            (kept + fate.out_in_time) as f64 / asked as f64,
            late_ticks / TICKS_PER_MINUTE as f64 / late as f64,
            rows.len() as f64,
            rows.iter().filter(|r| r.done == NEVER).count() as f64,
            kept as f64 / given as f64,
            fate.turned_away as f64 / weeks,
            fate.sent_out as f64 / weeks,
            fate.short as f64 / fate.ended as f64,
            fate.missing as f64 / fate.ordered as f64,
        ]);
        self.weights
            .extend([1.0, 1.0, asked as f64, late as f64, 1.0, 1.0, given as f64]);
        self.weights
            .extend([1.0, 1.0, fate.ended as f64, fate.ordered as f64]);
        debug_assert_eq!(self.figures.len() - start, GROUP_FIGURES);
        let mut spans: Vec<Tick> = Vec::with_capacity(rows.len());
        for lead in 0..LEADS.len() {
            // Pieces are packed when they are done: the same numbers need no second selection.
            if lead == 1 && rows.iter().all(|r| r.done == r.packed) {
                let from = self.figures.len() - LEAD_FIGURES;
                self.figures.extend_from_within(from..);
                self.weights.extend_from_within(from..);
                self.spans.extend_from_within(self.spans.len() - 1..);
                continue;
            }
            spans.clear();
            spans.extend(
                rows.iter()
                    .map(|r| [r.done, r.packed, r.first_pouch][lead])
                    .filter(|&t| lead < 2 || t != NEVER),
            );
            self.spans.push(Spans::of(&spans));
            lead_figures(&mut spans, &mut self.figures);
            self.weights.resize(self.figures.len(), spans.len() as f64);
        }
    }

    /// The figures of the first group once more.
    pub fn again(&mut self) {
        let whole = GROUP_FIGURES + LEADS.len() * LEAD_FIGURES;
        self.figures.extend_from_within(..whole);
        self.weights.extend_from_within(..whole);
        self.spans.extend_from_within(..LEADS.len());
    }
}

/// Minutes late added up over the orders of each class.
pub(super) fn late_min(rows: &[Row], classes: usize) -> Vec<f64> {
    let mut sums = vec![0.0; classes];
    for row in rows.iter().filter(|r| r.late != NEVER && r.late > 0) {
        sums[usize::from(row.class)] += minutes_from_ticks(row.late);
    }
    sums
}

/// Mean and quantiles of spans, minutes. Spans that never ended are infinite: a quantile that falls
/// among them is infinite, and so is the mean.
fn lead_figures(spans: &mut [Tick], figures: &mut Vec<f64>) {
    let minutes = |t: Tick| {
        if t == NEVER {
            f64::INFINITY
        } else {
            minutes_from_ticks(t)
        }
    };
    figures.push(spans.iter().map(|&t| minutes(t)).sum::<f64>() / spans.len() as f64);
    let mut from = 0;
    for (p, _) in QUANTILES {
        if spans.is_empty() {
            figures.push(f64::NAN);
            continue;
        }
        // Type 7, linear between order statistics; everything below `from` is already known to be smaller.
        let place = (spans.len() - 1) as f64 * p;
        let (low, part) = (place.floor() as usize, place.fract());
        let (_, &mut below, above) = spans[from..].select_nth_unstable(low - from);
        let next = above.iter().copied().min().unwrap_or(below);
        let (below, next) = (minutes(below), minutes(next));
        figures.push(if part == 0.0 || next == below {
            below
        } else {
            below + part * (next - below)
        });
        from = low;
    }
    debug_assert_eq!(1 + QUANTILES.len(), LEAD_FIGURES);
}

/// The rows group after group, those of one group in the order they came in.
pub(super) fn grouped(rows: &[Row], groups: usize, key: impl Fn(&Row) -> u16) -> Vec<Row> {
    let mut places = vec![0; groups + 1];
    for row in rows {
        places[usize::from(key(row)) + 1] += 1;
    }
    for group in 1..=groups {
        places[group] += places[group - 1];
    }
    let mut out = rows.to_vec();
    for row in rows {
        let place: &mut usize = &mut places[usize::from(key(row))];
        out[*place] = *row;
        *place += 1;
    }
    out
}

pub(super) fn slice_of(rows: &[Row], index: usize, key: impl Fn(&Row) -> u16) -> &[Row] {
    let from = rows.partition_point(|r| usize::from(key(r)) < index);
    let to = rows.partition_point(|r| usize::from(key(r)) <= index);
    &rows[from..to]
}
