//! What is legal in an order book and probably a slip: rows written twice, dates that contradict each other, dates long
//! past or far ahead.
//!
//! In: the rows and orders of a book. Out: one warning for each kind of slip, at its first row, with the number of the
//! others: they are told before anything runs, and none is mended in silence.

use std::collections::BTreeMap;

use super::super::super::book::{Column, Row, Table};
use super::super::super::problem::{Place, Problem};
use super::super::super::time;
use super::super::Checker;
use super::{DAY_MIN, Draft};
use crate::plant::Plant;

/// A due date so long before the start of the clock is doubtful, days: open orders are rarely later than a month.
const DUE_PAST: f64 = 31.0;

/// The same of a release, days.
const RELEASE_PAST: f64 = 366.0;

/// A date so long after the start of the clock is doubtful, days: books hold some months.
const AHEAD: f64 = 3.0 * 366.0;

/// Warns about rows that say the same as an earlier one.
pub(super) fn doubled(check: &mut Checker, table: &Table) {
    let mut first: BTreeMap<Vec<&str>, &Row> = BTreeMap::new();
    let mut twice: Vec<(&Row, &Row)> = Vec::new();
    for row in &table.rows {
        let cells = Column::ALL.map(|column| table.cell(row, column).map_or("", |c| &c.text));
        match first.get(cells.as_slice()) {
            Some(earlier) => twice.push((row, earlier)),
            None => {
                first.insert(cells.to_vec(), row);
            }
        }
    }
    let Some((row, earlier)) = twice.first() else {
        return;
    };
    let message = match twice.len() {
        1 => "this row says the same as an earlier one".to_string(),
        many => format!("{many} rows say the same as an earlier one, this is the first of them"),
    };
    check.push(
        Problem::warning(Place::Book(row.span.clone()), message)
            .see(Place::Book(earlier.span.clone()), "the earlier one")
            .note("each row is made: two rows are twice the quantity")
            .help("take it out, or leave it if two alike are ordered"),
    );
}

/// Warns about dates that cannot be meant.
pub(super) fn doubtful<'a>(
    check: &mut Checker,
    plant: &Plant,
    table: &Table,
    drafts: impl Iterator<Item = &'a Draft<'a>>,
) {
    let mut found: [Vec<(&Row, &str)>; 5] = Default::default();
    let [before, due, release, due_ahead, release_ahead] = &mut found;
    for draft in drafts {
        let order = &draft.order;
        let row_of = |column: Column| draft.given.iter().find(|g| g.0 == column).map(|g| g.2);
        let name = order.name.as_str();
        let released = order.release_min / DAY_MIN;
        if let Some(row) = row_of(Column::Release) {
            if released < -RELEASE_PAST {
                release.push((row, name));
            } else if released > AHEAD {
                release_ahead.push((row, name));
            }
        }
        if let (Some(row), Some(due_min)) = (row_of(Column::Due), order.due_min) {
            let at = due_min / DAY_MIN;
            let told = row_of(Column::Release).is_some();
            if told && due_min < order.release_min {
                before.push((row, name));
            } else if at < -DUE_PAST {
                due.push((row, name));
            } else if at > AHEAD {
                due_ahead.push((row, name));
            }
        }
    }
    let start = time::date_text(plant.run.start_day);
    let start = format!("the clock of the scenario starts on {start} (`start` under `run`)");
    let kinds: [(Column, &str, &str, Option<&str>); 5] = [
        (
            Column::Due,
            "is due before it is released",
            "are due before they are released",
            None,
        ),
        (
            Column::Due,
            "was due more than a month before the start of the clock",
            "were due more than a month before the start of the clock",
            Some(&start),
        ),
        (
            Column::Release,
            "was released more than a year before the start of the clock",
            "were released more than a year before the start of the clock",
            Some(&start),
        ),
        (
            Column::Due,
            "is due more than three years after the start of the clock",
            "are due more than three years after the start of the clock",
            Some(&start),
        ),
        (
            Column::Release,
            "is released more than three years after the start of the clock",
            "are released more than three years after the start of the clock",
            Some(&start),
        ),
    ];
    for ((column, one, many, note), orders) in kinds.into_iter().zip(&found) {
        let Some((row, name)) = orders.first() else {
            continue;
        };
        let message = match orders.len() {
            1 => format!("`{name}` {one}"),
            count => format!("{count} orders {many}, `{name}` is the first of them"),
        };
        let problem = Problem::warning(table.place(row, column), message).help("check the dates");
        check.push(match note {
            Some(note) => problem.note(note),
            None => problem,
        });
    }
}
