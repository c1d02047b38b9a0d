//! The order book beside a scenario: a table of text, as spreadsheets write it.
//!
//! In: the bytes of a CSV file. Out: a [`Table`] whose cells know where they stand, and what is wrong
//! with its form: not UTF-8, an unknown or doubled column, a quote that never closes, rows of another
//! length. What the cells mean is read by [`super::validate`].
//!
//! The delimiter is a comma, a semicolon or a tab: the one that the first line has most of.

use std::ops::Range;

use csv::{ReaderBuilder, Trim};

use super::nearest::{list, nearest};
use super::problem::{Place, Problem, Severity};

/// Largest book that is read, bytes.
const SIZE_MAX: usize = 20_000_000;

/// Most rows of a book.
const ROWS_MAX: usize = 100_000;

/// A column that counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Column {
    /// Name of the order; rows that repeat it are further SKUs of it.
    Order,
    /// Class; the first class of the scenario where it is empty.
    Class,
    /// Product.
    Product,
    /// Good pouches still to make.
    Quantity,
    /// Release; at the start where it is empty.
    Release,
    /// Due; by the promise of the class where it is empty.
    Due,
    /// Station it waits for at the start.
    At,
    /// When its roll left the laminator.
    Bonded,
    /// Machine it is on at the start.
    On,
    /// What is left of its run there.
    Left,
}

/// Names of the columns, in the order of [`Column`].
const NAMES: [&str; 10] = [
    "order", "class", "product", "quantity", "release", "due", "at", "bonded", "on", "left",
];

/// Columns that must be there.
const REQUIRED: [Column; 3] = [Column::Order, Column::Product, Column::Quantity];

impl Column {
    /// All of them.
    pub(super) const ALL: [Column; NAMES.len()] = [
        Column::Order,
        Column::Class,
        Column::Product,
        Column::Quantity,
        Column::Release,
        Column::Due,
        Column::At,
        Column::Bonded,
        Column::On,
        Column::Left,
    ];

    /// Its name in the first line.
    pub(super) fn name(self) -> &'static str {
        NAMES.get(self as usize).copied().unwrap_or_default()
    }
}

/// A cell and the bytes of the book it stands in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell {
    /// Text without the blanks around it.
    pub text: String,
    /// Bytes of the book.
    pub span: Range<usize>,
}

/// A row below the first line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    cells: Vec<Cell>,
    /// Bytes of the book.
    pub span: Range<usize>,
}

/// An order book as read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Table {
    /// Name of its file.
    pub name: String,
    /// Place of each column, by [`Column`].
    columns: [Option<usize>; NAMES.len()],
    /// Rows.
    pub rows: Vec<Row>,
    /// The first line.
    pub head: Range<usize>,
    /// Some row could not be read, which has been said.
    pub lost: bool,
}

impl Table {
    /// A cell that is not empty.
    pub(super) fn cell<'a>(&self, row: &'a Row, column: Column) -> Option<&'a Cell> {
        let index = self.columns.get(column as usize).copied().flatten()?;
        row.cells.get(index).filter(|cell| !cell.text.is_empty())
    }

    /// Whether the first line names the column.
    pub(super) fn has(&self, column: Column) -> bool {
        self.columns
            .get(column as usize)
            .is_some_and(Option::is_some)
    }

    /// Where a complaint about a cell goes, even an empty one.
    pub(super) fn place(&self, row: &Row, column: Column) -> Place {
        let index = self.columns.get(column as usize).copied().flatten();
        match index.and_then(|index| row.cells.get(index)) {
            Some(cell) if !cell.span.is_empty() => Place::Book(cell.span.clone()),
            _ => Place::Book(row.span.clone()),
        }
    }
}

/// The text of a book, a byte order mark taken off; or the text as far as it can be shown, and why not.
pub(super) fn text(bytes: &[u8]) -> Result<String, Box<(String, Problem)>> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.len() > SIZE_MAX {
        let problem = Problem::error(
            Place::Book(0..0),
            format!("the order book has {} bytes", bytes.len()),
        )
        .expected(format!("at most {SIZE_MAX} bytes"));
        return Err(Box::new((String::new(), problem)));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_string()),
        Err(error) => {
            let good = error.valid_up_to();
            let text = String::from_utf8_lossy(bytes).into_owned();
            let place = Place::Book(good..good + char::REPLACEMENT_CHARACTER.len_utf8());
            let problem = Problem::error(place, "the order book is not UTF-8 text")
                .expected("UTF-8 text from here on")
                .help("save it from the spreadsheet as `CSV UTF-8`");
            Err(Box::new((text, problem)))
        }
    }
}

/// The table in a text, with all that is wrong with its form.
pub(super) fn table(name: &str, text: &str) -> (Table, Vec<Problem>) {
    let mut problems = Vec::new();
    let mut table = Table {
        name: name.to_string(),
        columns: [None; NAMES.len()],
        rows: Vec::new(),
        head: 0..0,
        lost: false,
    };
    let delimiter = delimiter(text);
    let mut rows = rows(text, delimiter, &mut problems).into_iter();
    let Some(head) = rows.next() else {
        problems.push(
            Problem::error(Place::Book(0..0), "the order book is empty")
                .expected(first_line())
                .note(format!("columns that count: {}", list(NAMES.into_iter()))),
        );
        table.lost = true;
        return (table, problems);
    };
    table.head = head.span.clone();
    columns(&mut table, &head, &mut problems);
    let mut empty = Vec::new();
    for row in rows {
        if row.cells.iter().all(|cell| cell.text.is_empty()) {
            empty.push(row);
        } else if row.cells.len() == head.cells.len() {
            table.rows.push(row);
        } else {
            problems.push(
                Problem::error(
                    Place::Book(row.span),
                    format!(
                        "this row has {} cells, the first line has {}",
                        row.cells.len(),
                        head.cells.len()
                    ),
                )
                .expected("a cell for every column, empty ones too")
                .help("put a text that holds the delimiter in quotes"),
            );
        }
    }
    table.lost = problems
        .iter()
        .any(|problem| problem.severity == Severity::Error);
    if let Some(first) = empty.first() {
        let message = match empty.len() {
            1 => "this row is empty and left out".to_string(),
            many => format!("{many} rows are empty and left out, this one first"),
        };
        problems.push(Problem::warning(Place::Book(first.span.clone()), message));
    }
    if table.rows.len() > ROWS_MAX {
        problems.push(
            Problem::error(
                Place::Book(table.head.clone()),
                format!("the order book has {} rows", table.rows.len()),
            )
            .expected(format!("at most {ROWS_MAX} rows")),
        );
        table.rows.clear();
        table.lost = true;
    }
    (table, problems)
}

/// What the first line must hold.
fn first_line() -> String {
    "a first line with at least the columns `order`, `product` and `quantity`".to_string()
}

/// The delimiter the first line has most of.
fn delimiter(text: &str) -> u8 {
    let mut counts = [(b',', 0), (b';', 0), (b'\t', 0)];
    let mut quoted = false;
    for byte in text.trim_start().lines().next().unwrap_or("").bytes() {
        quoted ^= byte == b'"';
        for (delimiter, count) in &mut counts {
            *count += usize::from(byte == *delimiter && !quoted);
        }
    }
    let mut best = counts[0];
    for found in counts {
        if found.1 > best.1 {
            best = found;
        }
    }
    best.0
}

fn rows(text: &str, delimiter: u8, problems: &mut Vec<Problem>) -> Vec<Row> {
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut records: Vec<(usize, Vec<String>)> = Vec::new();
    for record in reader.records() {
        match record {
            Ok(record) => {
                let start = record.position().map_or(0, |at| at.byte() as usize);
                records.push((start, record.iter().map(str::to_string).collect()));
            }
            // A text that is UTF-8 and of any length of row has no other errors; say what is known.
            Err(error) => problems.push(Problem::error(
                Place::Book(0..0),
                format!("the order book cannot be read: {error}"),
            )),
        }
    }
    let ends: Vec<usize> = records
        .iter()
        .skip(1)
        .map(|(start, _)| *start)
        .chain([text.len()])
        .collect();
    for ((start, cells), end) in records.into_iter().zip(ends) {
        let raw = text.get(start..end).unwrap_or_default();
        let blank = raw.len() - raw.trim_start_matches(['\r', '\n']).len();
        let (spans, open) = spans(raw.trim_end_matches(['\r', '\n']), blank, delimiter);
        let first = spans.first().map_or(0, |span| span.start);
        let last = spans.last().map_or(0, |span| span.end);
        let span = start + first..start + last;
        if open {
            let line = raw.trim_start_matches(['\r', '\n']);
            let length = line.find(['\r', '\n']).unwrap_or(line.len());
            let at = start + blank;
            problems.push(
                Problem::error(
                    Place::Book(at..at + length),
                    "a quote opens in this row and never closes",
                )
                .expected("a second quote at the end of the cell")
                .help("a quote within a quoted cell is written twice"),
            );
            continue;
        }
        let cells = cells
            .into_iter()
            .enumerate()
            .map(|(index, text)| Cell {
                text,
                span: spans.get(index).map_or(span.clone(), |within| {
                    start + within.start..start + within.end
                }),
            })
            .collect();
        rows.push(Row { cells, span });
    }
    rows
}

/// Where the cells of a row stand in it, blanks around them left out; true where a quote stays open.
fn spans(raw: &str, from: usize, delimiter: u8) -> (Vec<Range<usize>>, bool) {
    let mut spans = Vec::new();
    let (mut start, mut quoted) = (from, false);
    let bytes = raw.as_bytes();
    for (at, &byte) in bytes.iter().enumerate().skip(from) {
        // A quote opens a cell only as its first sign.
        let opens = raw
            .get(start..at)
            .is_some_and(|before| before.trim_matches(' ').is_empty());
        if byte == b'"' && (quoted || opens) {
            quoted = !quoted;
        } else if byte == b'"' && raw.get(start..at).is_some_and(|b| b.ends_with('"')) {
            // The second of a doubled quote opens the cell again.
            quoted = true;
        } else if byte == delimiter && !quoted {
            spans.push(start..at);
            start = at + 1;
        }
    }
    spans.push(start..raw.len().max(start));
    let trimmed = spans
        .into_iter()
        .map(|span| {
            let cell = raw.get(span.clone()).unwrap_or_default();
            let lead = cell.len() - cell.trim_start().len();
            let start = span.start + lead;
            start..start + cell.trim().len()
        })
        .collect();
    (trimmed, quoted)
}

/// Finds the columns by their names in the first line.
fn columns(table: &mut Table, head: &Row, problems: &mut Vec<Problem>) {
    let mut extra: Vec<&Cell> = Vec::new();
    for (index, cell) in head.cells.iter().enumerate() {
        let name = cell.text.to_lowercase();
        match NAMES.iter().position(|known| *known == name) {
            Some(found) => match table.columns.get_mut(found) {
                Some(slot) if slot.is_none() => *slot = Some(index),
                _ => problems.push(
                    Problem::error(
                        Place::Book(cell.span.clone()),
                        format!("there are two columns called `{name}`"),
                    )
                    .expected("each column once"),
                ),
            },
            None => extra.push(cell),
        }
    }
    let lacking: Vec<String> = REQUIRED
        .into_iter()
        .filter(|&column| !table.has(column))
        .map(|column| format!("`{}`", column.name()))
        .collect();
    if !lacking.is_empty() {
        let word = match lacking.len() {
            1 => "column",
            _ => "columns",
        };
        problems.push(
            Problem::error(
                Place::Book(head.span.clone()),
                format!("the order book lacks the {word} {}", lacking.join(", ")),
            )
            .expected(first_line()),
        );
    }
    if let Some(first) = extra.first() {
        let names: Vec<String> = extra
            .iter()
            .map(|cell| format!("`{}`", cell.text))
            .collect();
        let (word, verb) = match extra.len() {
            1 => ("column", "is"),
            _ => ("columns", "are"),
        };
        let mut problem = Problem::warning(
            Place::Book(first.span.clone()),
            format!("the {word} {} {verb} not read", names.join(", ")),
        )
        .note(format!("columns that count: {}", list(NAMES.into_iter())));
        problem.help = extra.iter().find_map(|cell| {
            let near = nearest(&cell.text.to_lowercase(), NAMES)?;
            Some(format!("is `{}` meant to be `{near}`?", cell.text))
        });
        problems.push(problem);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<Vec<String>> {
        let (table, problems) = table("t.csv", text);
        assert_eq!(problems, [], "{text}");
        table
            .rows
            .iter()
            .map(|row| row.cells.iter().map(|cell| cell.text.clone()).collect())
            .collect()
    }

    #[test]
    fn delimiters_quotes_and_line_ends_are_read() {
        let wanted = [["A 1", "nuts", "100"], ["A,2", "say \"x\"", "5"]];
        for text in [
            "order,product,quantity\nA 1,nuts,100\n\"A,2\",\"say \"\"x\"\"\",5\n",
            "order;product;quantity\r\nA 1;nuts;100\r\n\r\nA,2;\"say \"\"x\"\"\"; 5\r\n",
            "Order\tproduct\tQuantity\nA 1\tnuts\t100\nA,2\t\"say \"\"x\"\"\"\t5",
        ] {
            assert_eq!(words(text), wanted, "{text}");
        }
    }

    #[test]
    fn a_cell_knows_where_it_stands() {
        let text = "order;product;quantity\n\nA;\"n;uts\"; 12x \n";
        let (table, _) = table("t.csv", text);
        let spans: Vec<&str> = table.rows[0]
            .cells
            .iter()
            .map(|cell| &text[cell.span.clone()])
            .collect();
        assert_eq!(spans, ["A", "\"n;uts\"", "12x"]);
        let Place::Book(span) = table.place(&table.rows[0], Column::Quantity) else {
            panic!("not in the book")
        };
        assert_eq!(&text[span], "12x");
    }

    #[test]
    fn no_row_is_dropped_in_silence() {
        let (table, problems) = table(
            "t.csv",
            "order,product,quantity\nA,nuts\nB,nuts,1,2\n,,\nC,\"nuts,1\nD,nuts,2\n",
        );
        assert!(table.rows.is_empty());
        assert_eq!(problems.len(), 4, "{problems:?}");
    }
}
