//! Problems drawn for people: the line, the stretch underlined, what was expected, what to write.
//!
//! In: a [`Report`]. Out: text, without colour unless asked. Control characters of the file and
//! very long lines are made harmless.

use std::borrow::Cow;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};

use super::locate::Spot;
use super::problem::{Located, Problem, Report, Severity};
use super::screen::on_lines;

/// Longest line that is drawn, in characters; the rest of a longer one is cut off around the spot.
const LINE_MAX: usize = 160;

/// Longest text of a message, in characters.
const MESSAGE_MAX: usize = 400;

pub(super) fn render(report: &Report, colour: bool, width: usize) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let renderer = renderer
        .term_width(width.max(40))
        .decor_style(DecorStyle::Ascii);
    let mut text = String::new();
    for found in &report.problems {
        text.push_str(&renderer.render(&[group(report, found)]));
        text.push_str("\n\n");
    }
    text.push_str(&sum(report));
    text
}

/// One problem as a group of elements.
fn group<'a>(report: &'a Report, found: &'a Located) -> Group<'a> {
    let problem = &found.problem;
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let mut group = level
        .primary_title(clean(&problem.message))
        .elements(None::<Element>);
    let (name, text) = report.source(&problem.place);
    let file = clean(name);
    match &found.spot {
        None => group = group.element(Origin::path(file)),
        Some(spot) => {
            let expected = short_expected(problem).map(|text| format!("expected {}", clean(text)));
            let (source, span) = line_of(text, spot);
            let annotation = AnnotationKind::Primary
                .span(span)
                .label(expected.map(Cow::Owned));
            group = group.element(
                Snippet::source(source)
                    .line_start(spot.line)
                    .path(file)
                    .annotation(annotation),
            );
        }
    }
    if let (Some((place, word)), Some(spot)) = (&problem.see, &found.see) {
        let (name, text) = report.source(place);
        let (source, span) = line_of(text, spot);
        let annotation = AnnotationKind::Context.span(span).label(Some(clean(word)));
        group = group.element(
            Snippet::source(source)
                .line_start(spot.line)
                .path(clean(name))
                .annotation(annotation),
        );
    }
    if let Some(path) = problem.place.path_text() {
        group = group.element(Level::NOTE.with_name(Some("in")).message(clean(&path)));
    }
    let beside = found.spot.is_some() && short_expected(problem).is_some();
    if let (Some(text), false) = (&problem.expected, beside) {
        group = group.element(Level::NOTE.with_name(Some("expected")).message(clean(text)));
    }
    if let Some(text) = &problem.help {
        group = group.element(Level::HELP.message(clean(text)));
    }
    if let Some(text) = &problem.note {
        group = group.element(Level::NOTE.message(clean(text)));
    }
    if found.again > 0 {
        let places = match found.again {
            1 => "1 other place".to_string(),
            many => format!("{many} other places"),
        };
        let lines = match found.again_lines.as_slice() {
            [] => String::new(),
            lines => format!(", {}", on_lines(lines)),
        };
        group = group.element(Level::NOTE.message(format!("the same in {places}{lines}")));
    }
    group
}

/// What was expected, if it is short enough to stand beside the line.
fn short_expected(problem: &Problem) -> Option<&String> {
    problem
        .expected
        .as_ref()
        .filter(|text| text.chars().count() <= 64)
}

/// The last line: how much was found.
fn sum(report: &Report) -> String {
    let errors = report.errors();
    let warnings = report.count() - errors;
    let count = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let parts: Vec<String> = [(errors, "error"), (warnings, "warning")]
        .iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, word)| count(*n, word))
        .collect();
    let shown = if report.left_out > 0 {
        format!(", the first {} shown", report.count() - report.left_out)
    } else {
        String::new()
    };
    match parts.is_empty() {
        true => String::new(),
        false => format!(
            "{}: {}{shown}\n",
            clean(&report.file_name),
            parts.join(", ")
        ),
    }
}

/// The line of a spot, cut if very long, and the span within it.
fn line_of(text: &str, spot: &Spot) -> (String, std::ops::Range<usize>) {
    let at = spot.span.start.min(text.len());
    let line_start = text[..at].rfind('\n').map_or(0, |newline| newline + 1);
    let before: Vec<char> = text[line_start..at].chars().collect();
    let line_end = text[at..]
        .find('\n')
        .map_or(text.len(), |newline| at + newline);
    let token = &text[at..spot.span.end.clamp(at, line_end)];
    let after = text[at + token.len()..line_end].trim_end_matches('\r');

    let keep_before = before.len().min(LINE_MAX / 2);
    let mut source: String = before[before.len() - keep_before..]
        .iter()
        .map(|c| harmless(*c))
        .collect();
    let start = source.len();
    source.extend(token.chars().take(LINE_MAX / 2).map(harmless));
    let end = source.len().max(start);
    source.extend(after.chars().take(LINE_MAX / 2).map(harmless));
    if source.is_empty() {
        source.push(' ');
    }
    (source, start..end)
}

/// A character that cannot steer a terminal.
fn harmless(c: char) -> char {
    let steering = c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}');
    match c {
        '\t' => ' ',
        _ if steering => '\u{fffd}',
        _ => c,
    }
}

/// A text of the message, harmless and not endless.
fn clean(text: &str) -> String {
    let mut out: String = text.chars().take(MESSAGE_MAX).map(harmless).collect();
    if out.len() < text.len() && text.chars().count() > MESSAGE_MAX {
        out.push_str("...");
    }
    out
}
