//! The orders of an order book, and the work that is in the cell at the start.
//!
//! In: the table of the book, names and the plant without it. Out: its orders by release, or every bad
//! cell with its line. No row is dropped in silence.

mod dates;
mod standing;

use indexmap::IndexMap;

use crate::plant::{BookLine, BookOrder, Plant};
use crate::units::Dimension;

use super::super::book::{Column, Row, Table};
use super::super::file::by_name;
use super::super::form;
use super::super::problem::{Place, Problem};
use super::super::time;
use super::{Checker, Names};

use standing::{Taken, hold_is_over, on_machine, standing};

const DAY_MIN: f64 = 1440.0;

/// Most SKUs of one order.
const SKUS_MAX: usize = 1000;

/// What a date without a time of day stands for.
#[derive(Clone, Copy)]
enum Whole {
    Start,
    End,
}

/// An order and the rows that make it.
struct Draft<'a> {
    order: BookOrder,
    rows: Vec<&'a Row>,
    /// Cells of the whole order, and the row each was first given in.
    given: Vec<(Column, String, &'a Row)>,
}

pub(super) fn orders(
    check: &mut Checker,
    names: &Names,
    plant: &Plant,
    table: &Table,
) -> Vec<BookOrder> {
    let mut drafts: IndexMap<String, Draft> = IndexMap::new();
    let mut taken = Taken::default();
    for row in &table.rows {
        let name = check.needed(table, row, Column::Order).unwrap_or_default();
        let line = line(check, names, plant, table, row, &mut taken);
        let mut given = Vec::new();
        for column in [Column::Class, Column::Release, Column::Due] {
            if let Some(cell) = table.cell(row, column) {
                given.push((column, cell.text.clone(), row));
            }
        }
        match drafts.get_mut(&name) {
            None => {
                let mut order = BookOrder {
                    name: name.clone(),
                    number: 0,
                    class: 0,
                    release_min: 0.0,
                    due_min: None,
                    lines: line.into_iter().collect(),
                };
                for (column, ..) in &given {
                    whole_order(check, names, plant, table, row, *column, &mut order);
                }
                drafts.insert(
                    name,
                    Draft {
                        order,
                        rows: vec![row],
                        given,
                    },
                );
            }
            Some(draft) => {
                draft.order.lines.extend(line);
                draft.rows.push(row);
                for entry in given {
                    match draft.given.iter().find(|first| first.0 == entry.0) {
                        Some(first) if first.1 == entry.1 => {}
                        Some(first) => check.push(
                            Problem::error(
                                table.place(row, entry.0),
                                format!("the order `{name}` has another `{}` here", entry.0.name()),
                            )
                            .expected(format!("`{}`, or nothing", first.1))
                            .see(table.place(first.2, entry.0), "the first row of the order"),
                        ),
                        None => {
                            let order = &mut draft.order;
                            whole_order(check, names, plant, table, row, entry.0, order);
                            draft.given.push(entry);
                        }
                    }
                }
            }
        }
    }
    if table.rows.is_empty() && !table.lost {
        check.push(
            Problem::error(
                Place::Book(table.head.clone()),
                "the order book has no orders",
            )
            .expected("at least one row below the first line"),
        );
    }
    if plant.classes.len() > 1 && !table.has(Column::Class) && !table.rows.is_empty() && !table.lost
    {
        let first = plant
            .classes
            .first()
            .map_or("", |class| class.name.as_str());
        check.push(
            Problem::warning(
                Place::Book(table.head.clone()),
                format!("there is no column `class`: all orders are taken as `{first}`, the first class of the scenario"),
            )
            .help("add a column `class`, or put the class that is meant first under `classes`"),
        );
    }
    for draft in drafts.values() {
        in_order(check, table, draft);
    }
    dates::doubled(check, table);
    dates::doubtful(check, plant, table, drafts.values());
    timely(check, plant, table, drafts.values());
    let mut orders: Vec<BookOrder> = drafts
        .into_values()
        .map(|draft| draft.order)
        .filter(|order| !order.lines.is_empty())
        .collect();
    in_one_order(&mut orders);
    for (number, order) in (0..).zip(&mut orders) {
        order.number = number;
    }
    orders
}

/// Rows may stand in any order: orders go by release, due date (none comes last), name and content, the SKUs of one
/// by product and content.
fn in_one_order(orders: &mut [BookOrder]) {
    let standing = |line: &BookLine| {
        line.at.map(|at| {
            let on = at.on.map(|(within, left_min)| (within, left_min.to_bits()));
            (at.step, at.bonded_for_min.map(f64::to_bits), on)
        })
    };
    let lines = |a: &BookLine, b: &BookLine| {
        (a.product.cmp(&b.product))
            .then_with(|| a.quantity.total_cmp(&b.quantity))
            .then_with(|| standing(a).cmp(&standing(b)))
    };
    for order in &mut *orders {
        order.lines.sort_by(lines);
    }
    let due = |order: &BookOrder| order.due_min.unwrap_or(f64::INFINITY);
    // Names are unique here: rows of one name are one order.
    orders.sort_by(|a, b| {
        (a.release_min.total_cmp(&b.release_min))
            .then_with(|| due(a).total_cmp(&due(b)))
            .then_with(|| by_name(&a.name, &b.name))
    });
}

impl Checker {
    /// The text of a cell that must not be empty.
    fn needed(&mut self, table: &Table, row: &Row, column: Column) -> Option<String> {
        let cell = table.cell(row, column);
        // A column that is not there has had its error said.
        if cell.is_none() && table.has(column) {
            self.push(
                Problem::error(
                    table.place(row, column),
                    format!("this row has no `{}`", column.name()),
                )
                .expected("a value in that column"),
            );
        }
        cell.map(|cell| cell.text.clone())
    }
}

/// Reads a cell that speaks of the whole order.
fn whole_order(
    check: &mut Checker,
    names: &Names,
    plant: &Plant,
    table: &Table,
    row: &Row,
    column: Column,
    order: &mut BookOrder,
) {
    match column {
        Column::Class => {
            if let Some(cell) = table.cell(row, column) {
                let place = table.place(row, column);
                order.class = check
                    .find(place, &cell.text, &names.classes, "a class")
                    .unwrap_or_default();
            }
        }
        Column::Release => {
            order.release_min =
                instant(check, plant, table, row, column, Whole::Start).unwrap_or_default();
        }
        _ => order.due_min = instant(check, plant, table, row, column, Whole::End),
    }
}

/// Minutes from the start of the clock to the date (and time) in a cell.
fn instant(
    check: &mut Checker,
    plant: &Plant,
    table: &Table,
    row: &Row,
    column: Column,
    whole: Whole,
) -> Option<f64> {
    let cell = table.cell(row, column)?;
    match time::instant(&cell.text) {
        Ok((day, minute)) => {
            let whole_min = match whole {
                Whole::Start => 0.0,
                Whole::End => DAY_MIN,
            };
            let days = f64::from(day) - f64::from(plant.run.start_day);
            Some(days * DAY_MIN + minute.unwrap_or(whole_min))
        }
        Err(complaint) => {
            check.push(complaint.at(table.place(row, column)));
            None
        }
    }
}

/// One SKU.
fn line<'a>(
    check: &mut Checker,
    names: &Names,
    plant: &Plant,
    table: &Table,
    row: &'a Row,
    taken: &mut Taken<'a>,
) -> Option<BookLine> {
    let quantity = quantity(check, table, row);
    let product = check
        .needed(table, row, Column::Product)
        .and_then(|product| {
            let place = table.place(row, Column::Product);
            check.find(place, &product, &names.products, "a product")
        });
    let bonded = instant(check, plant, table, row, Column::Bonded, Whole::End);
    let at = table.cell(row, Column::At).and_then(|cell| {
        let place = table.place(row, Column::At);
        check.find(place, &cell.text, &names.stations, "a station")
    });
    let has = |column| table.cell(row, column).is_some();
    if has(Column::Bonded) && !has(Column::At) {
        check.push(
            Problem::error(
                table.place(row, Column::Bonded),
                "`bonded` stands without `at`",
            )
            .expected("the station its roll waits for at the start, under `at`"),
        );
    }
    for (column, other) in [(Column::On, Column::Left), (Column::Left, Column::On)] {
        if has(column) && !(has(other) && has(Column::At)) {
            check.push(
                Problem::error(
                    table.place(row, column),
                    format!("`{}` stands alone", column.name()),
                )
                .expected("work on a machine at the start has `at`, `on` and `left` together"),
            );
            return None;
        }
    }
    let (product, quantity) = (product?, quantity?);
    let described = plant.products.get(product)?;
    let at = match at {
        Some(station) => {
            let mut stands = standing(check, plant, table, row, described, station, bonded)?;
            if has(Column::On) {
                stands.on = Some(on_machine(check, plant, table, row, product, station)?);
                taken.note(check, plant, table, row, station, stands);
            }
            hold_is_over(check, plant, table, row, described, stands);
            Some(stands)
        }
        None if has(Column::At) => return None,
        None => None,
    };
    Some(BookLine {
        product,
        quantity,
        at,
    })
}

fn quantity(check: &mut Checker, table: &Table, row: &Row) -> Option<f64> {
    let text = check.needed(table, row, Column::Quantity)?;
    let place = table.place(row, Column::Quantity);
    if text.contains('.') && text.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        let mut groups = text.split('.');
        let first = groups.next().unwrap_or_default();
        let thousands = (1..=3).contains(&first.len()) && groups.all(|group| group.len() == 3);
        let mut problem = Problem::error(place, format!("`{text}` has a decimal point"))
            .expected("a whole number from 1 to 100000000");
        if thousands {
            problem = problem.help(format!(
                "if it parts the thousands, write `{}`",
                text.replace('.', "")
            ));
        }
        check.push(problem);
        return None;
    }
    match form::quantity(&text, Dimension::Count) {
        Ok(value) if (1.0..=1e8).contains(&value) && value.fract() == 0.0 => Some(value),
        Ok(_) => {
            check.push(
                Problem::error(place, format!("`{text}` is not a quantity"))
                    .expected("a whole number from 1 to 100000000"),
            );
            None
        }
        Err(complaint) => {
            check.push(complaint.at(place));
            None
        }
    }
}

/// Begun work is there at the start.
fn in_order(check: &mut Checker, table: &Table, draft: &Draft) {
    let order = &draft.order;
    let row_of = |column: Column| draft.given.iter().find(|g| g.0 == column).map(|g| g.2);
    if let (Some(row), true) = (
        row_of(Column::Release),
        order.release_min > 0.0 && order.lines.iter().any(|line| line.at.is_some()),
    ) {
        check.push(
            Problem::error(
                table.place(row, Column::Release),
                format!(
                    "`{}` has begun and is released after the start of the clock",
                    order.name
                ),
            )
            .expected("no `release`, or one at or before the start"),
        );
    }
    if let (Some(row), true) = (draft.rows.get(SKUS_MAX), draft.rows.len() > SKUS_MAX) {
        check.push(
            Problem::error(
                Place::Book(row.span.clone()),
                format!("`{}` has {} SKUs", order.name, draft.rows.len()),
            )
            .expected(format!("at most {SKUS_MAX} rows of one order")),
        );
    }
}

/// Warns about orders that the figures do not know: released in the warm-up, or after the measured time.
fn timely<'a>(
    check: &mut Checker,
    plant: &Plant,
    table: &Table,
    drafts: impl Iterator<Item = &'a Draft<'a>>,
) {
    let run = &plant.run;
    let measured_end = run.warm_up_min + run.measure_min;
    let (mut early, mut late): (Vec<&Row>, Vec<&Row>) = (Vec::new(), Vec::new());
    for draft in drafts {
        let released = draft.order.release_min.max(0.0);
        let Some(row) = draft.rows.first() else {
            continue;
        };
        if released < run.warm_up_min {
            early.push(row);
        } else if released >= measured_end {
            late.push(row);
        }
    }
    let count = |rows: &[&Row]| match rows.len() {
        1 => "1 order of the book is".to_string(),
        many => format!("{many} orders of the book are"),
    };
    if let Some(first) = early.first() {
        check.push(
            Problem::warning(
                table.place(first, Column::Order),
                format!("{} released in the warm-up and not measured", count(&early)),
            )
            .note("`promise` gives the dates of all orders of the book all the same")
            .help("write `warm_up: 0 min` under `run` where the book describes the start"),
        );
    }
    if let Some(first) = late.first() {
        check.push(
            Problem::warning(
                table.place(first, Column::Release),
                format!("{} released after the measured time", count(&late)),
            )
            .help("a longer `measure` under `run`, or an earlier `release`"),
        );
    }
}
