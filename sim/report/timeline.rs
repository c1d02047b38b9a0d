//! The timeline of one replication, prepared for drawing.
//!
//! In: the machine states of a [`Trace`]. Out: a window of them, an axis on which the hours that nobody
//! works are folded away, and stretches of one order on one machine.

use crate::model::Model;
use crate::observe::{StateRow, Trace};
use crate::record::State;
use crate::units::{TICKS_PER_MINUTE, Tick};

const HOUR: Tick = 60 * TICKS_PER_MINUTE;
const DAY: Tick = 24 * HOUR;

/// Time on which something is open, joined; what lies between is folded.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Folded {
    /// (from, to, open ticks before it), sorted and disjoint.
    pub pieces: Vec<(Tick, Tick, Tick)>,
}

impl Folded {
    /// Folds away every time in `[from, to)` at which each machine is off shift or in maintenance.
    pub fn new(rows: &[StateRow], from: Tick, to: Tick) -> Self {
        let mut open: Vec<(Tick, Tick)> = rows
            .iter()
            .filter(|r| !matches!(r.state, State::OffShift | State::Maintenance))
            .map(|r| (r.from.max(from), r.to.min(to)))
            .filter(|r| r.0 < r.1)
            .collect();
        open.sort_unstable();
        let mut pieces: Vec<(Tick, Tick, Tick)> = Vec::new();
        for (a, b) in open {
            match pieces.last_mut() {
                // Breaks of an hour are not worth a fold.
                Some(last) if a <= last.1 + HOUR => last.1 = last.1.max(b),
                _ => pieces.push((a, b, 0)),
            }
        }
        let mut before = 0;
        for piece in &mut pieces {
            piece.2 = before;
            before += piece.1 - piece.0;
        }
        Self { pieces }
    }

    /// Open ticks in all.
    pub fn length(&self) -> Tick {
        self.pieces.last().map_or(0, |p| p.2 + p.1 - p.0)
    }

    /// Open ticks before a moment.
    pub fn at(&self, moment: Tick) -> Tick {
        let next = self.pieces.partition_point(|p| p.0 <= moment);
        match next.checked_sub(1).and_then(|i| self.pieces.get(i)) {
            Some(piece) => piece.2 + moment.min(piece.1) - piece.0,
            None => 0,
        }
    }
}

/// The window that is drawn: from the start of the measured time, at most two weeks and at most
/// `open_hours` hours in which something is open.
pub fn window(model: &Model, trace: &Trace, open_hours: i64) -> (Tick, Tick) {
    let from = model.warm_up;
    let last = (from + 14 * DAY).min(model.end);
    let folded = Folded::new(&trace.states, from, last);
    let to = folded
        .pieces
        .iter()
        .find(|p| p.2 + p.1 - p.0 > open_hours * HOUR)
        .map_or(last, |p| p.0 + open_hours * HOUR - p.2);
    // Whole days read better, where there is at least one.
    let whole = to.div_euclid(DAY) * DAY;
    (from, if whole > from { whole } else { to })
}

/// States within a window, cut to it, by machine and time.
pub fn within(trace: &Trace, from: Tick, to: Tick) -> Vec<StateRow> {
    let mut rows: Vec<StateRow> = trace
        .states
        .iter()
        .filter(|r| r.to > from && r.from < to)
        .map(|r| StateRow {
            from: r.from.max(from),
            to: r.to.min(to),
            ..*r
        })
        .collect();
    rows.sort_by_key(|r| (r.machine, r.from));
    rows
}

/// An order on a machine without another one between.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Machine index.
    pub machine: usize,
    /// Order number.
    pub order: u32,
    /// Ticks.
    pub from: Tick,
    /// Ticks.
    pub to: Tick,
}

/// Stretches of sorted rows.
pub fn stretches(rows: &[StateRow]) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    for row in rows {
        let Some(lot) = row.lot else { continue };
        match out.last_mut() {
            Some(last) if last.machine == row.machine && last.order == lot.order => {
                last.to = row.to
            }
            _ => out.push(Stretch {
                machine: row.machine,
                order: lot.order,
                from: row.from,
                to: row.to,
            }),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(state: State, from: Tick, to: Tick) -> StateRow {
        StateRow {
            machine: 0,
            state,
            from: from * HOUR,
            to: to * HOUR,
            lot: None,
        }
    }

    #[test]
    fn nights_are_folded_and_breaks_are_not() {
        let rows = [
            row(State::Running, 6, 10),
            row(State::OffShift, 10, 11),
            row(State::NoWork, 11, 14),
            row(State::OffShift, 14, 30),
            row(State::Running, 30, 38),
        ];
        let folded = Folded::new(&rows, 0, 48 * HOUR);
        assert_eq!(
            folded.pieces,
            [(6 * HOUR, 14 * HOUR, 0), (30 * HOUR, 38 * HOUR, 8 * HOUR)]
        );
        assert_eq!(folded.at(5 * HOUR), 0);
        assert_eq!(folded.at(20 * HOUR), 8 * HOUR);
        assert_eq!(folded.at(31 * HOUR), 9 * HOUR);
        assert_eq!(folded.length(), 16 * HOUR);
    }
}
