//! Pieces of the page: paragraphs, lists, tables, drawings.
//!
//! In: plain text and tables. Out: HTML, escaped.

use crate::report::charts::Chart;
use crate::report::table::Table;
use crate::report::words::{clean, escape};

/// A paragraph.
pub fn paragraph(text: &str) -> String {
    format!("<p>{}</p>\n", escape(text))
}

/// A list; nothing for no points.
pub fn list(points: &[String], class: &str) -> String {
    if points.is_empty() {
        return String::new();
    }
    let items: String = points
        .iter()
        .map(|p| format!("<li>{}</li>\n", escape(p)))
        .collect();
    format!("<ul class=\"{class}\">\n{items}</ul>\n")
}

/// A table that scrolls by itself where the page is narrow; nothing without rows.
pub fn table_html(t: &Table) -> String {
    if t.rows.is_empty() {
        return String::new();
    }
    let title = escape(&t.title);
    let mut out = format!(
        "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"{title}\"><table>\
         <caption><span class=\"cap\">{title} <span class=\"note\">{}</span></span></caption>\n<thead><tr>",
        escape(&t.note)
    );
    for (i, head) in t.head.iter().enumerate() {
        out += &if i == 0 {
            "<td></td>".to_owned()
        } else {
            format!("<th scope=\"col\">{}</th>", escape(head))
        };
    }
    out += "</tr></thead>\n<tbody>\n";
    for (name, cells) in &t.rows {
        out += &format!("<tr><th scope=\"row\">{}</th>", escape(name));
        for cell in cells {
            let interval = if cell.interval.is_empty() {
                String::new()
            } else {
                format!("<span class=\"interval\">{}</span>", escape(&cell.interval))
            };
            out += &format!("<td>{}{interval}</td>", escape(&cell.value));
        }
        out += "</tr>\n";
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
