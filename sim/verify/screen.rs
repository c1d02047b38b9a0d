//! The verdicts as text for a terminal, 80 columns wide.
//!
//! In: judged checks and references. Out: text. Numbers are those of the page of the documentation.

use super::judge::Judged;
use super::page::number;
use super::reference::Reference;

/// Columns of the words before the numbers.
const WORDS: usize = 29;

/// The head of the columns, each judged check, and a line for each group of references.
pub fn screen(judged: &[Judged], references: &[Reference]) -> String {
    let mut out = format!(
        "{:31} {:>9} {:>19} {:>9}\n",
        "", "simulated", "interval", "published"
    );
    let mut group = "";
    for check in judged {
        if check.check.group != group {
            group = check.check.group;
            out += &format!("\n{}\n", group.to_uppercase());
        }
        out += &one(check);
    }
    out + &tables(references)
}

/// A check and its lines.
fn one(judged: &Judged) -> String {
    let mut out = wrapped(&judged.check.name, 0);
    out += &wrapped(judged.check.source, 2);
    for line in &judged.lines {
        let interval = if line.error.is_some() {
            format!(
                "{} to {}",
                number(line.mean - line.half, 4),
                number(line.mean + line.half, 4)
            )
        } else {
            "exact".to_string()
        };
        let what = if line.what.chars().count() > WORDS {
            out += &wrapped(&line.what, 2);
            ""
        } else {
            &line.what
        };
        out += &format!(
            "  {what:<WORDS$} {:>9} {interval:>19} {:>9} {}\n",
            number(line.mean, 5),
            number(line.expected, 5),
            line.verdict.word()
        );
    }
    out
}

/// Groups of references: how many hold, and each that does not.
fn tables(references: &[Reference]) -> String {
    let mut groups: Vec<&str> = Vec::new();
    for reference in references {
        if !groups.contains(&reference.group) {
            groups.push(reference.group);
        }
    }
    let mut out = String::from("\nVALUES WITHOUT SIMULATION\n");
    for group in groups {
        let of: Vec<&Reference> = references.iter().filter(|r| r.group == group).collect();
        let hold = of.iter().filter(|r| r.holds()).count();
        out += &format!("  {group:<40} {hold:>4} of {} hold\n", of.len());
        for bad in of.iter().filter(|r| !r.holds()) {
            out += &wrapped(
                &format!(
                    "{}: {} is not {} ({}), from a wrong number {}",
                    bad.what,
                    number(bad.computed, 10),
                    number(bad.expected, 10),
                    bad.source,
                    number(bad.wrong, 10)
                ),
                4,
            );
        }
    }
    out
}

/// Text in lines of at most 80 columns, after so many blanks.
fn wrapped(text: &str, indent: usize) -> String {
    let mut out = String::new();
    let mut line = " ".repeat(indent);
    for word in text.split(' ') {
        let used = line.chars().count();
        if used > indent && used + 1 + word.chars().count() > 80 {
            out += line.trim_end();
            out.push('\n');
            line = " ".repeat(indent + 2);
        } else if used > indent {
            line.push(' ');
        }
        line += word;
    }
    out + line.trim_end() + "\n"
}
