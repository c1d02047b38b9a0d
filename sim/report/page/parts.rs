//! Pieces of the page: paragraphs, lists, tables, drawings.
//!
//! In: plain text and tables. Out: HTML, escaped.

use crate::report::charts::Chart;
use crate::report::figure::Figure;
use crate::report::table::Table;
use crate::report::words::{clean, escape, joined};

/// Words of a sentence, escaped; a number keeps its unit beside it.
fn words(text: &str) -> String {
    escape(&joined(text))
}

/// A paragraph.
pub fn paragraph(text: &str) -> String {
    format!("<p>{}</p>\n", words(text))
}

/// The attribute that says where a number or a sentence stands in the results for other programs: a JSON pointer.
pub fn from(pointer: &str) -> String {
    match pointer {
        "" => String::new(),
        pointer => format!(" data-from=\"{}\"", escape(pointer)),
    }
}

/// A paragraph that stands in the results for other programs.
pub fn sentence(text: &str, class: &str, pointer: &str) -> String {
    let class = match class {
        "" => String::new(),
        class => format!(" class=\"{class}\""),
    };
    format!("<p{class}{}>{}</p>\n", from(pointer), words(text))
}

/// A list whose points stand in the results for other programs, at `pointer` and their place.
pub fn sentences(points: &[String], class: &str, pointer: &str, field: &str) -> String {
    if points.is_empty() {
        return String::new();
    }
    let items: String = points
        .iter()
        .enumerate()
        .map(|(i, p)| {
            format!(
                "<li{}>{}</li>\n",
                from(&format!("{pointer}/{i}{field}")),
                words(p)
            )
        })
        .collect();
    format!("<ul class=\"{class}\">\n{items}</ul>\n")
}

/// A value with its interval below it.
pub fn value(figure: &Figure) -> String {
    match figure.interval.as_str() {
        "" => words(&figure.value),
        interval => format!(
            "{}<span class=\"interval\">{}</span>",
            words(&figure.value),
            words(interval)
        ),
    }
}

/// A list; nothing for no points.
pub fn list(points: &[String], class: &str) -> String {
    if points.is_empty() {
        return String::new();
    }
    let items: String = points
        .iter()
        .map(|p| format!("<li>{}</li>\n", words(p)))
        .collect();
    format!("<ul class=\"{class}\">\n{items}</ul>\n")
}

/// Most columns of figures with intervals that fit beside each other on paper and in a narrow window.
const ABREAST: usize = 7;

/// Most columns of a part of a table that is wider than that.
const PART: usize = 5;

/// Most columns of a table of which only one or two have intervals.
const NARROW: usize = 9;

/// Most rows of a table that is kept on one page of paper.
const ONE_PAGE: usize = 14;

/// A table, in several parts where it is wide, that scrolls by itself where the page is narrow; nothing without rows.
pub fn table_html(t: &Table) -> String {
    // The first column holds names, and no other one words, unless all of its cells do.
    let words = |column: usize| {
        let mut cells = t.rows.iter().filter_map(|row| row.1.get(column));
        cells.all(Figure::is_word)
    };
    let head: Vec<(String, bool)> = t
        .head
        .iter()
        .skip(1)
        .enumerate()
        .map(|(column, head)| (escape(head), words(column)))
        .collect();
    let rows: Vec<(String, Vec<String>)> = t
        .rows
        .iter()
        .map(|(name, cells)| {
            let cells = cells.iter().map(|cell| {
                let word = if cell.is_word() {
                    " class=\"word\""
                } else {
                    ""
                };
                format!("<td{word}{}>{}</td>", from(&cell.from), value(cell))
            });
            (escape(name), cells.collect())
        })
        .collect();
    let has_interval = |column: &usize| {
        (t.rows.iter()).any(|row| row.1.get(*column).is_some_and(|c| !c.interval.is_empty()))
    };
    let most = match (0..head.len()).filter(has_interval).count() {
        0 => usize::MAX,
        1 | 2 => NARROW,
        _ => ABREAST,
    };
    if head.len() <= most {
        return frame(&t.title, &t.note, "", &head, &rows);
    }
    let width = head.len().div_ceil(head.len().div_ceil(PART));
    head.chunks(width)
        .enumerate()
        .map(|(part, head)| {
            let first = part * width;
            // A row of fewer cells says in the first part why it has no more.
            let rows: Vec<(String, Vec<String>)> = rows
                .iter()
                .filter(|(_, cells)| first < cells.len())
                .map(|(name, cells)| {
                    let cells = cells.iter().skip(first).take(width).cloned();
                    (name.clone(), cells.collect())
                })
                .collect();
            match part {
                0 => frame(&t.title, &t.note, "", head, &rows),
                _ => frame(&format!("{}, continued", t.title), "", "", head, &rows),
            }
        })
        .collect()
}

/// A table of finished cells: heads with whether they stand over words, rows with their names.
pub fn frame(
    title: &str,
    note: &str,
    class: &str,
    head: &[(String, bool)],
    rows: &[(String, Vec<String>)],
) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let title = escape(title);
    let note = match note {
        "" => String::new(),
        note => format!(" <span class=\"note\">{}</span>", escape(note)),
    };
    let whole = if rows.len() <= ONE_PAGE { " whole" } else { "" };
    let mut out = format!(
        "<div class=\"scroll{whole}\" tabindex=\"0\" role=\"region\" aria-label=\"{title}\"><table class=\"{class}\">\
         <caption><span class=\"cap\">{title}{note}</span></caption>\n<thead><tr><td></td>"
    );
    for (head, is_word) in head {
        let class = if *is_word { " class=\"word\"" } else { "" };
        out += &format!("<th scope=\"col\"{class}>{head}</th>");
    }
    out += "</tr></thead>\n<tbody>\n";
    for (name, cells) in rows {
        out += &format!("<tr><th scope=\"row\">{name}</th>{}</tr>\n", cells.concat());
    }
    out + "</tbody></table></div>\n"
}

/// A drawing by its key; nothing where it was not drawn.
pub fn figure_html(charts: &[Chart], key: &str, label: &str) -> String {
    match charts.iter().find(|c| c.key == key) {
        Some(chart) => format!(
            "<figure class=\"chart\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">\n{}</figure>\n",
            escape(label),
            chart.svg
        ),
        None => String::new(),
    }
}

/// Text of several lines, each made safe.
pub fn escape_lines(text: &str) -> String {
    text.lines()
        .map(|line| escape(&clean(line)) + "\n")
        .collect()
}
