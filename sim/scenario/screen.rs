//! A look at the text before it is read as YAML: what the reader of YAML would choke on, or place wrongly.
//!
//! In: the text of a file. Out: where brackets or dashes are nested too deep (the reader's effort grows with the
//! square of the depth), where control characters stand, where a second document begins, where a quote runs on over
//! the keys that follow. All by one walk over the characters that knows quotes, comments and block texts.

use super::problem::{Place, Problem};

/// Deepest nesting that is read; a scenario needs eight levels.
const DEPTH_MAX: usize = 64;

/// Problems that keep the text from being read at all.
pub(super) fn screen(text: &str) -> Vec<Problem> {
    let mut problems: Vec<Problem> = control(text).into_iter().collect();
    problems.extend(nested(text));
    problems.extend(documents(text));
    problems
}

/// Characters that YAML forbids; most editors do not show them.
fn control(text: &str) -> Option<Problem> {
    let forbidden = |c: char| match c {
        '\t' | '\n' | '\r' | '\u{85}' => false,
        '\u{fffe}' | '\u{ffff}' => true,
        _ => c.is_control(),
    };
    let (first, found) = text.char_indices().find(|(_, c)| forbidden(*c))?;
    let count = text.chars().filter(|c| forbidden(*c)).count();
    let mut lines: Vec<usize> = Vec::new();
    for (number, line) in text.split('\n').enumerate() {
        if line.chars().any(forbidden) {
            lines.push(number + 1);
        }
    }
    let (line, column) = point(text, first);
    let code = found as u32;
    let problem = Problem::error(
        Place::Point(line, column),
        format!("a control character (U+{code:04X}) stands here"),
    )
    .expected("text")
    .help("take it out; it may be invisible in your editor");
    Some(match count {
        1 => problem,
        _ => problem.note(format!("there are {count} of them, {}", on_lines(&lines))),
    })
}

/// `on line 3`, or `on lines 3, 5, 9`, the first dozen.
pub(super) fn on_lines(lines: &[usize]) -> String {
    const SHOWN: usize = 12;
    let words: Vec<String> = lines.iter().take(SHOWN).map(usize::to_string).collect();
    let more = match lines.len().saturating_sub(SHOWN) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let word = if lines.len() == 1 { "line" } else { "lines" };
    format!("on {word} {}{more}", words.join(", "))
}

/// Line and column, both from 1, of a byte.
fn point(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..at];
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let line = before.matches('\n').count() + 1;
    (line, before[start..].chars().count() + 1)
}

/// Where brackets or dashes are nested too deep.
fn nested(text: &str) -> Option<Problem> {
    let mut at = None;
    walk(text, |seen| {
        if let Seen::Depth(byte, depth) = seen
            && depth > DEPTH_MAX
        {
            at = Some(byte);
        }
        at.is_none()
    });
    let (line, column) = point(text, at?);
    Some(
        Problem::error(
            Place::Point(line, column),
            format!("blocks are nested more than {DEPTH_MAX} deep here"),
        )
        .expected("eight levels at most")
        .help("look for brackets that are not closed"),
    )
}

/// Where a second document begins.
fn documents(text: &str) -> Option<Problem> {
    let (mut started, mut ended) = (false, false);
    for (number, line) in text.lines().enumerate() {
        let marks = |mark: &str| {
            let rest = line.strip_prefix(mark);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t']))
        };
        let silent = line.trim().is_empty() || line.trim_start().starts_with('#');
        if marks("---") && !started {
            started = !line[3..].trim().is_empty() && !line[3..].trim().starts_with('#');
        } else if marks("---") || ended && !silent {
            return Some(
                Problem::error(
                    Place::Point(number + 1, 1),
                    "a second YAML document begins here",
                )
                .expected("one document; one file is one scenario")
                .help("take this line out, or put what follows into a file of its own"),
            );
        } else if marks("...") {
            ended = started;
        } else if !silent && !line.starts_with('%') {
            started = true;
        }
    }
    None
}

/// Where a quote opens that runs on over lines which look like keys or items, at or before `line`.
pub(super) fn runaway_quote(text: &str, line: usize) -> Option<(usize, usize)> {
    let mut found = None;
    walk(text, |seen| {
        if let Seen::Quote(from, to) = seen {
            let (first, column) = point(text, from);
            let inner = &text[from..to];
            let looks_like_keys = inner.lines().skip(1).any(|line| {
                let line = line.trim_start();
                line.starts_with("- ")
                    || line.split_once(':').is_some_and(|(key, rest)| {
                        let name = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.');
                        !key.is_empty()
                            && key.chars().all(name)
                            && (rest.is_empty() || rest.starts_with(' '))
                    })
            });
            if looks_like_keys && first <= line && found.is_none() {
                found = Some((first, column));
            }
        }
        found.is_none()
    });
    found
}

/// What the walk meets.
enum Seen {
    /// A bracket or dash opens at this byte; how deep it is then.
    Depth(usize, usize),
    /// A quoted text from its quote to behind its closing one, or to the end of the text.
    Quote(usize, usize),
}

/// Walks over the text and tells what it meets until `tell` says no.
fn walk(text: &str, mut tell: impl FnMut(Seen) -> bool) {
    let bytes = text.as_bytes();
    let (mut at, mut brackets) = (0, 0_usize);
    // Lines indented deeper than this belong to a block text.
    let mut block: Option<usize> = None;
    while at < bytes.len() {
        let end = text[at..].find('\n').map_or(bytes.len(), |n| at + n);
        let line = &text[at..end];
        let indent = line.len() - line.trim_start_matches(' ').len();
        let blank = line.trim().is_empty();
        if let Some(outer) = block {
            if blank || indent > outer {
                at = end + 1;
                continue;
            }
            block = None;
        }
        let mut byte = at + indent;
        let mut dashes = 0;
        let mut fresh = true;
        let mut stop = end;
        while byte < stop {
            let c = bytes[byte];
            match c {
                b'#' if byte == at || matches!(bytes[byte - 1], b' ' | b'\t') => break,
                b'-' | b'?'
                    if fresh
                        && brackets == 0
                        && matches!(bytes.get(byte + 1), Some(b' ' | b'\n') | None) =>
                {
                    dashes += 1;
                    if !tell(Seen::Depth(byte, dashes)) {
                        return;
                    }
                }
                b'[' | b'{' if fresh || brackets > 0 => {
                    brackets += 1;
                    if !tell(Seen::Depth(byte, brackets)) {
                        return;
                    }
                    fresh = true;
                    byte += 1;
                    continue;
                }
                b']' | b'}' => brackets = brackets.saturating_sub(1),
                b'"' | b'\'' if fresh => {
                    let close = closing(bytes, byte);
                    if !tell(Seen::Quote(byte, close)) {
                        return;
                    }
                    byte = close;
                    // It may have ended on a later line.
                    stop = text[close.min(text.len())..]
                        .find('\n')
                        .map_or(bytes.len(), |n| close + n);
                    fresh = false;
                    continue;
                }
                _ => {}
            }
            fresh = match c {
                b' ' | b'\t' => fresh,
                b':' | b',' | b'-' | b'?' => {
                    matches!(bytes.get(byte + 1), Some(b' ' | b'\n' | b'\t') | None)
                }
                _ => false,
            };
            byte += 1;
        }
        let line_end = stop.max(end);
        let said = text[at..line_end].trim_end();
        let head = said.rsplit([' ', ':']).next().unwrap_or("");
        if brackets == 0 && head.starts_with(['|', '>']) && head.len() <= 3 {
            block = Some(indent);
        }
        at = line_end + 1;
    }
}

/// Behind the quote that closes the one at `from`; the end of the text where none does.
fn closing(bytes: &[u8], from: usize) -> usize {
    let quote = bytes[from];
    let mut at = from + 1;
    while at < bytes.len() {
        if bytes[at] == b'\\' && quote == b'"' {
            at += 2;
            continue;
        }
        if bytes[at] == quote {
            if quote == b'\'' && bytes.get(at + 1) == Some(&b'\'') {
                at += 2;
                continue;
            }
            return at + 1;
        }
        at += 1;
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Vec<(usize, usize)> {
        screen(text)
            .into_iter()
            .map(|problem| match problem.place {
                Place::Point(line, column) => (line, column),
                place => panic!("{place:?}"),
            })
            .collect()
    }

    #[test]
    fn ordinary_texts_pass() {
        for text in [
            crate::scenario::starter(),
            "---\na: 1\n...\n# end\n",
            "note: |\n  [[[[ {{{{ \"\n  --- no\nb: [1, {c: \"x]]]\"}] # [[[[\n",
            "- - - a\n",
        ] {
            assert_eq!(at(text), [], "{text}");
        }
        let deep = "note: it's a [[[ text\n".repeat(200);
        assert_eq!(at(&deep), []);
        let block = format!("note: |\n  {}\n", "[".repeat(500));
        assert_eq!(at(&block), []);
    }

    #[test]
    fn what_stands_in_the_way_is_told_where_it_stands() {
        assert_eq!(at("a: 1\nb: x\u{7}y\u{1b}\n"), [(2, 5)]);
        assert_eq!(at("a: 1\n---\nb: 2\n"), [(2, 1)]);
        assert_eq!(at("# one\n---\na: 1\n...\nb: 2\n"), [(5, 1)]);
        assert_eq!(
            at(&format!("a: 1\nb: {}\n", "[".repeat(100_000))),
            [(2, 68)]
        );
        assert_eq!(
            at(&format!("a: 1\nb: {}\n", "{x: ".repeat(100))),
            [(2, 4 + 64 * 4)]
        );
        assert_eq!(at(&"- ".repeat(100)), [(1, 129)]);
    }

    #[test]
    fn a_quote_that_runs_over_keys_is_found_where_it_opens() {
        let text = "a: 'x'\nname: \"Cell\nnote: none\nrun: \"y\"\n";
        assert_eq!(runaway_quote(text, 4), Some((2, 7)));
        assert_eq!(runaway_quote("a: \"two\n  lines\"\nb: 1\n", 9), None);
        assert_eq!(runaway_quote("a: don't\nb: it's\n", 9), None);
    }
}
