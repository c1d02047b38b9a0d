//! The verdicts as a page of the documentation, Markdown.
//!
//! In: judged checks (with their twins) and references. Out: text, the same bytes for the same verdicts.

use super::judge::{COMPARISONS, Judged, Line};
use super::reference::Reference;

/// A number with so many significant digits, without zeros at the end of its fraction.
pub(super) fn number(x: f64, digits: usize) -> String {
    if !x.is_finite() {
        return "none".to_string();
    }
    if x == 0.0 {
        return "0".to_string();
    }
    let size = x.abs().log10().floor() as i64;
    if size < -5 {
        return format!("{x:.*e}", digits.saturating_sub(1));
    }
    let places = usize::try_from(digits as i64 - 1 - size).unwrap_or(0);
    let text = format!("{x:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

/// The whole page.
pub fn page(judged: &[Judged], references: &[Reference]) -> String {
    let values: usize = judged.iter().map(|j| j.lines.len()).sum();
    let holding: usize = judged
        .iter()
        .flat_map(|j| &j.lines)
        .filter(|l| l.verdict == super::Verdict::Holds)
        .count();
    let right = references.iter().filter(|r| r.holds()).count();
    let mut out = format!(
        "# Verification\n\n\
         This page is written by the checks themselves; a test compares every figure of it with fresh results\n\
         (`REWRITE_DOCS=1 cargo test --release --test theory` writes it anew). `pouchcast verify` runs a part of\n\
         them on your own machine, `pouchcast verify --all` all of them, and prints the same figures.\n\n\
         **{holding} of {values} published values are reproduced by simulation, in {} scenarios, and {right} of {}\n\
         published values by the statistics, the distributions and the arithmetic of the trade.**\n\n\
         How a simulated value is judged:\n\n\
         * Each scenario is a file as a user writes it, and goes the whole way: reader, model, engine, estimate.\n\
         * *Interval* is Student's t over the replications. All intervals of this page hold together with 99.9 %:\n\
         \x20 the 0.1 % is shared out over {COMPARISONS} comparisons (Bonferroni). The published value has to lie in it.\n\
         * An interval that is wide says nothing. *Error* is the standard error in percent of the published value,\n\
         \x20 and the largest that is allowed.\n\
         * *Twin* is what the same scenario gives with one number at most 10 % off. It has to miss the published\n\
         \x20 value, or the check could not fail. A dash stands where the wrong number leaves a figure alone.\n\
         * \"Exact\" values have no chance in them and are equal to the microsecond.\n\n\
         Values without simulation are compared to the last digit printed, or to the share that double precision\n\
         leaves; beside each stands what comes out of a number that is a little wrong.\n\n\
         \"From memory\" means that the source was not at hand when the number was written down; all such numbers\n\
         were computed again from the formula. \"Common practice, no source\" marks arithmetic of the trade.\n",
        judged.len(),
        references.len(),
    );
    let mut group = "";
    for check in judged {
        if check.check.group != group {
            group = check.check.group;
            out += &format!("\n## {group}\n");
        }
        out += &one(check);
    }
    let mut group = "";
    for reference in references {
        if reference.group != group {
            group = reference.group;
            out += &format!(
                "\n## {group}\n\n| value | source | published | computed | from a wrong number | verdict |\n|---|---|---|---|---|---|\n"
            );
        }
        out += &row(reference);
    }
    out
}

fn one(judged: &Judged) -> String {
    let check = &judged.check;
    let times = if check.replications == 1 {
        String::new()
    } else {
        format!(" {} replications.", check.replications)
    };
    let mut out = format!(
        "\n**{}** ({}): {}.{times} Twin: `{}` for `{}`.\n\n| value | published | simulated | interval | error | twin | verdict |\n|---|---|---|---|---|---|---|\n",
        capital(&check.name),
        check.source,
        check.formula,
        check.twin.1,
        check.twin.0,
    );
    for line in &judged.lines {
        out += &cells(line);
    }
    out
}

fn cells(line: &Line) -> String {
    let (interval, error) = match line.error {
        Some((error, allowed)) => (
            format!(
                "{} to {}",
                number(line.mean - line.half, 4),
                number(line.mean + line.half, 4)
            ),
            format!("{:.2} of {} %", 100.0 * error, number(100.0 * allowed, 3)),
        ),
        None => ("exact".to_string(), "-".to_string()),
    };
    let twin = line.twin.map_or("-".to_string(), |twin| number(twin, 5));
    format!(
        "| {} | {} | {} | {interval} | {error} | {twin} | {} |\n",
        line.what,
        number(line.expected, 7),
        number(line.mean, 5),
        line.verdict.word()
    )
}

fn row(reference: &Reference) -> String {
    let verdict = if reference.holds() {
        "holds"
    } else if reference.reproduced() {
        "BLIND"
    } else {
        "MISSES"
    };
    // As many digits as the tolerance leaves.
    let digits = (reference.expected.abs().max(1e-300) / reference.tolerance.max(1e-300))
        .log10()
        .ceil()
        .clamp(2.0, 15.0) as usize;
    format!(
        "| {} | {} | {} | {} | {} | {verdict} |\n",
        reference.what,
        reference.source,
        number(reference.expected, digits),
        number(reference.computed, digits),
        number(reference.wrong, digits)
    )
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_by_digits() {
        for (x, digits, text) in [
            (2.333_333, 5, "2.3333"),
            (0.7, 5, "0.7"),
            (10_080.0, 5, "10080"),
            (123_456.0, 4, "123456"),
            (0.000_012_34, 3, "0.0000123"),
            (1.5e-9, 3, "1.50e-9"),
            (-0.5, 3, "-0.5"),
            (0.0, 3, "0"),
            (f64::NAN, 3, "none"),
        ] {
            assert_eq!(number(x, digits), text);
        }
    }
}
