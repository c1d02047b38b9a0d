//! The summary for a terminal.
//!
//! In: a [`Context`]. Out: at most 80 columns, without colour; answers first, provenance last.

use super::answers::{self, Line};
use super::context::Context;
use super::table::{self, Table};
use super::words::{clean, fit, left, right, unbroken, width, wrap};

/// Widest line.
pub const COLUMNS: usize = 80;
const LABEL: usize = 14;

/// The whole summary.
pub fn render(c: &Context<'_>) -> String {
    let mut out = String::new();
    push(&mut out, &fit(&c.title, COLUMNS));
    out.push('\n');
    for line in wrap(&answers::verdict(c), COLUMNS) {
        push(&mut out, &line);
    }
    out.push('\n');
    sentences(&mut out, "Bottleneck", &answers::bottleneck(c));
    lines(&mut out, "Throughput", &answers::throughput(c));
    lines(&mut out, "Lead time", &answers::lead_time(c));
    lines(&mut out, "", &answers::other_leads(c));
    let on_time = answers::on_time(c);
    if on_time.is_empty() {
        sentences(&mut out, "On time", &[answers::no_promise(c).to_owned()]);
    } else {
        lines(&mut out, "On time", &on_time);
        lines(&mut out, "", &answers::not_taken(c));
    }
    lines(&mut out, "Short", &answers::short(c));
    lines(&mut out, "Money", &super::money::lines(c));
    sentences(&mut out, "", &super::money::notes(c));
    let level = if c.summary.done > 1 {
        format!(
            "In brackets: {} intervals over {} replications.",
            c.confidence(),
            c.summary.done
        )
    } else {
        "One replication: no intervals.".to_owned()
    };
    sentences(&mut out, "", &[level]);
    cautions(&mut out, c);
    machine_bars(&mut out, c);
    split_bars(&mut out, c);
    if c.summary.layout.classes > 1 {
        table(&mut out, &table::groups(c, "By class", c.class_groups()));
    }
    if c.product_groups().len() > 1 {
        table(
            &mut out,
            &table::groups(c, "By product", c.product_groups()),
        );
    }
    out.push('\n');
    for line in super::method::origin(c) {
        for piece in wrap(&line, COLUMNS) {
            push(&mut out, &piece);
        }
    }
    out
}

fn push(out: &mut String, line: &str) {
    out.push_str(line.trim_end());
    out.push('\n');
}

fn block(out: &mut String, label: &str, text: &str) {
    for (i, line) in wrap(text, COLUMNS - LABEL).into_iter().enumerate() {
        let label = if i == 0 { label } else { "" };
        push(out, &(left(label, LABEL) + &line));
    }
}

fn sentences(out: &mut String, label: &str, list: &[String]) {
    for (i, text) in list.iter().enumerate() {
        block(out, if i == 0 { label } else { "" }, text);
    }
}

/// A figure's interval in brackets, only here so that it does not wrap inside.
fn shown(line: &Line) -> String {
    if line.figure.interval.is_empty() {
        line.figure.value.clone()
    } else {
        format!(
            "{} {}",
            unbroken(&line.figure.value),
            unbroken(&format!("({})", line.figure.interval))
        )
    }
}

fn lines(out: &mut String, label: &str, list: &[Line]) {
    const WORDS: usize = 26;
    for (i, line) in list.iter().enumerate() {
        let words = left(&line.label, WORDS - 1) + " ";
        for (j, piece) in wrap(&shown(line), COLUMNS - LABEL - WORDS)
            .into_iter()
            .enumerate()
        {
            let label = if i == 0 && j == 0 { label } else { "" };
            let words = if j == 0 {
                words.clone()
            } else {
                " ".repeat(WORDS)
            };
            push(out, &(left(label, LABEL) + &words + &piece));
        }
    }
}

fn cautions(out: &mut String, c: &Context<'_>) {
    let mut all = answers::warnings(c);
    let note = answers::missing_note(c);
    if !note.is_empty() {
        all.push(note);
    }
    if all.is_empty() {
        return;
    }
    out.push_str("\nCAUTIONS\n");
    for text in all {
        for (i, line) in wrap(&text, COLUMNS - 2).into_iter().enumerate() {
            push(out, &format!("{}{line}", if i == 0 { "! " } else { "  " }));
        }
    }
}

/// Marks of a bar: parts of `columns` by largest remainder, so that the bar has exactly its length.
pub fn bar(parts: &[(char, f64)], columns: usize) -> String {
    let all: f64 = parts.iter().map(|p| p.1).sum();
    if all.is_nan() || all <= 0.0 {
        return String::new();
    }
    let exact: Vec<f64> = parts.iter().map(|p| p.1 / all * columns as f64).collect();
    let mut cells: Vec<usize> = exact.iter().map(|e| e.floor() as usize).collect();
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|&a, &b| exact[b].fract().total_cmp(&exact[a].fract()));
    let missing = columns.saturating_sub(cells.iter().sum());
    for &i in order.iter().take(missing) {
        cells[i] += 1;
    }
    parts
        .iter()
        .zip(cells)
        .map(|(p, n)| p.0.to_string().repeat(n))
        .collect()
}

fn machine_bars(out: &mut String, c: &Context<'_>) {
    const BAR: usize = 40;
    let open = "open h";
    out.push_str("\nMACHINE TIME (hours a week, and how the open hours are spent)\n");
    push(
        out,
        &format!("{}{} {}", left("", 22), right(open, 7), right("used", 8)),
    );
    for (m, (name, row)) in table::machines(c).rows.iter().enumerate() {
        let parts: Vec<(char, f64)> = table::STATE_COLUMNS
            .iter()
            .map(|s| (s.1, table::share(c, m, s.2)))
            .collect();
        let bar = bar(&parts, BAR);
        push(
            out,
            &format!(
                "{} {} {} {bar}",
                left(name, 21),
                right(&row[0].value, 7),
                right(&row[1].value, 8)
            ),
        );
    }
    for line in [
        "R running  C changing over  S roll, reel or doff  D down or micro-stop",
        "W waiting for people or material, or blocked  . no work",
    ] {
        push(out, &format!("  {line}"));
    }
}

fn split_bars(out: &mut String, c: &Context<'_>) {
    let table = table::split(c);
    if table.rows.is_empty() {
        return;
    }
    let parts = c.split(0);
    let most = parts.iter().copied().fold(0.0, f64::max);
    out.push_str("\nWHERE THE TIME WENT (mean of all orders done, print to shippable)\n");
    for (part, minutes) in parts.iter().enumerate() {
        let label = c.split_label(part);
        // The table has left out what takes nothing.
        if let Some((_, row)) = table.rows.iter().find(|r| r.0 == label) {
            let length = (minutes / most * 24.0).round() as usize;
            let (time, share) = (&row[0].value, &row[1].value);
            push(
                out,
                &format!(
                    "{} {} {} {}",
                    left(&label, 34),
                    right(time, 10),
                    right(share, 8),
                    "#".repeat(length)
                ),
            );
        }
    }
}

fn table(out: &mut String, t: &Table) {
    let columns: Vec<usize> = (0..t.head.len().saturating_sub(1))
        .map(|i| {
            let cells = t.rows.iter().map(|r| width(&r.1[i].value));
            cells.chain([width(&t.head[i + 1])]).max().unwrap_or(0) + 2
        })
        .collect();
    let first = COLUMNS
        .saturating_sub(columns.iter().sum::<usize>())
        .min(30);
    push(out, "");
    let title = t.title.to_uppercase();
    for (i, line) in wrap(
        &format!("{title} ({})", t.note.trim_end_matches('.')),
        COLUMNS,
    )
    .into_iter()
    .enumerate()
    {
        push(
            out,
            &if i == 0 {
                line
            } else {
                fit(&format!("  {line}"), COLUMNS)
            },
        );
    }
    let row = |name: &str, cells: Vec<&str>| {
        let cells: String = cells
            .iter()
            .zip(&columns)
            .map(|(cell, &w)| right(cell, w))
            .collect();
        left(name, first) + &cells
    };
    push(
        out,
        &row("", t.head.iter().skip(1).map(String::as_str).collect()),
    );
    for (name, cells) in &t.rows {
        push(
            out,
            &row(
                &clean(name),
                cells.iter().map(|f| f.value.as_str()).collect(),
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_has_its_whole_length() {
        let bar = bar(&[('R', 1.0), ('C', 1.0), ('.', 1.0)], 40);
        assert_eq!(bar.len(), 40);
        assert_eq!(bar.matches('R').count(), 14);
    }
}
