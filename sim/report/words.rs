//! Text from a scenario made safe to show, and text fitted to columns.
//!
//! In: names and notes as an author wrote them, which may hold anything. Out: text of known width
//! without control characters; escaping for HTML, SVG and Markdown.

/// Takes out what could steer a terminal or the direction of text; line breaks become spaces.
pub fn clean(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            '\n' | '\t' | '\r' => Some(' '),
            '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{feff}' => None,
            // Not characters of XML: an SVG that holds one cannot be read.
            '\u{fffe}' | '\u{ffff}' => None,
            c if c.is_control() => None,
            c => Some(c),
        })
        .collect()
}

/// Columns a character takes; wide East Asian letters and pictures take two (Unicode UAX 11, in outline).
fn columns_of(c: char) -> usize {
    match u32::from(c) {
        0x0300..=0x036f | 0xfe00..=0xfe0f => 0,
        0x1100..=0x115f | 0x2e80..=0xa4cf | 0xac00..=0xd7a3 | 0xf900..=0xfaff | 0xfe30..=0xfe6f => {
            2
        }
        0xff00..=0xff60 | 0xffe0..=0xffe6 | 0x1f300..=0x1faff | 0x20000..=0x3fffd => 2,
        _ => 1,
    }
}

/// Columns a text takes on a terminal.
pub fn width(text: &str) -> usize {
    text.chars().map(columns_of).sum()
}

/// Cuts to `columns`, with an ellipsis where something is cut.
pub fn fit(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut used = 1;
    for c in text.chars() {
        used += columns_of(c);
        if used > columns {
            break;
        }
        out.push(c);
    }
    out.push('…');
    out
}

/// Fits and fills with spaces on the right.
pub fn left(text: &str, columns: usize) -> String {
    let text = fit(text, columns);
    let fill = columns.saturating_sub(width(&text));
    text + &" ".repeat(fill)
}

/// Fits and fills with spaces on the left.
pub fn right(text: &str, columns: usize) -> String {
    let text = fit(text, columns);
    " ".repeat(columns.saturating_sub(width(&text))) + &text
}

/// Breaks at spaces so that no line is wider than `columns`; longer words are cut into pieces.
pub fn wrap(text: &str, columns: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    // A plain space breaks; the narrow and the no-break space inside figures do not.
    let text = text.replace(" %", "\u{a0}%");
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        if !line.is_empty() && width(&line) + 1 + width(word) > columns {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        for c in word.chars() {
            if width(&line) + columns_of(c) > columns {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    // The no-break spaces have done their work; a plain one is easier to search for.
    lines
        .into_iter()
        .map(|l| l.replace('\u{a0}', " "))
        .collect()
}

/// With a capital first letter, as a heading or a sentence begins.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// Escaped for the text and the quoted attributes of HTML and SVG.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// Escaped for a line or a table cell of Markdown.
pub fn escape_markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '!' | '~' | '>' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}

/// What follows a number and belongs to it.
const UNITS: [&str; 16] = [
    "%", "d", "h", "min", "s", "pt", "m", "m²", "ft", "ft²", "kg", "lb", "mm", "µm", "years",
    "weeks",
];

/// Sentences whose numbers stay on the line of their unit, `7 d 17 h`, and ranges on that of their second word,
/// `70 to 86 %`: the spaces between them become no-break spaces.
pub fn joined(text: &str) -> String {
    let ends = |c: char| ",.;:()".contains(c);
    let is_number = |word: &str| {
        let bare = word.trim_matches(ends).trim_start_matches(['+', '-']);
        bare.starts_with(|c: char| c.is_ascii_digit())
    };
    let is_unit = |word: &str| UNITS.contains(&word.trim_end_matches(ends));
    let mut out = String::with_capacity(text.len());
    let mut before = "";
    for (i, word) in text.split(' ').enumerate() {
        let holds = is_number(before) && !before.ends_with(ends) && is_unit(word)
            || before == "d" && is_number(word)
            || before == "to" && is_number(word)
            || before == "x" && is_number(word);
        if i > 0 {
            out.push(if holds { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
        before = word;
    }
    out
}

/// Keeps the words of a figure together when text is wrapped: its spaces become no-break spaces.
pub fn unbroken(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_steers_a_terminal_is_left() {
        assert_eq!(clean("a\u{1b}[31mb\nc\u{202e}d\u{7}"), "a[31mb cd");
    }

    #[test]
    fn a_number_and_its_unit_stay_together() {
        let told = joined("within 7 d 17 h (70 to 86 %), at x 1.2 in 3 weeks; orders 4, h 5");
        assert_eq!(
            told.replace('\u{a0}', "_"),
            "within 7_d_17_h (70 to_86_%), at x_1.2 in 3_weeks; orders 4, h 5"
        );
    }

    #[test]
    fn lines_stay_within_their_columns() {
        let text = "a sentence with averyveryverylongwordthatmustbecut and 宽宽宽宽宽宽 letters";
        for columns in [8, 13, 40] {
            let lines = wrap(text, columns);
            assert!(lines.iter().all(|l| width(l) <= columns), "{lines:?}");
            let joined: String = lines.concat().replace(' ', "");
            assert_eq!(joined, text.replace(' ', ""), "nothing is lost");
        }
        assert_eq!(fit("pouching machine", 8), "pouchin…");
        assert_eq!(right("7", 3), "  7");
    }
}
