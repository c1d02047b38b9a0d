//! Reading the number at the front of a quantity.
//!
//! In: text. Out: the number and what follows it. Digits may be grouped in threes by a space, a
//! narrow space or an underscore (`12 000`). A comma is never accepted: `1,200` is twelve hundred
//! to one reader and one point two to the next, and money hangs on the difference.

/// Why no number could be read.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum NumberProblem {
    /// The text does not begin with a number.
    None,
    /// A comma stands between digits; both readings, where both exist.
    Comma {
        /// The number if the comma parts thousands, when the groups allow it.
        thousands: Option<String>,
        /// The number if the comma is a decimal comma.
        decimal: String,
    },
    /// The number is written as infinity or not-a-number, or is too large to hold.
    NotFinite,
}

/// Characters that may group digits in threes.
fn is_grouping(c: char) -> bool {
    matches!(c, ' ' | '_' | '\u{a0}' | '\u{2009}' | '\u{202f}')
}

/// Splits the number off the front of `text`, which must already be trimmed.
pub(super) fn leading_number(text: &str) -> Result<(f64, &str), NumberProblem> {
    let lower = text.to_ascii_lowercase();
    let unsigned = lower.trim_start_matches(['-', '+']);
    let word: String = unsigned.chars().take_while(|c| c.is_alphabetic()).collect();
    if matches!(word.as_str(), "nan" | "inf" | "infinity") || unsigned.starts_with('∞') {
        return Err(NumberProblem::NotFinite);
    }
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    let at = |i: usize| chars.get(i).map(|(_, c)| *c);
    let digit = |i: usize| at(i).is_some_and(|c| c.is_ascii_digit());
    let mut plain = String::new();
    let mut i = 0;
    if let Some(sign) = at(0).filter(|c| matches!(c, '-' | '+' | '−')) {
        plain.push(if sign == '+' { '+' } else { '-' });
        i = 1;
        while at(i) == Some(' ') {
            i += 1;
        }
    }
    let first_digit = i;
    while digit(i) {
        plain.extend(at(i));
        i += 1;
    }
    let whole = i - first_digit;
    // The first group has one to three digits, every later one exactly three.
    let is_group =
        |i: usize| at(i).is_some_and(is_grouping) && (1..=3).all(|k| digit(i + k)) && !digit(i + 4);
    while (1..=3).contains(&whole) && is_group(i) {
        plain.extend((1..=3).filter_map(|k| at(i + k)));
        i += 4;
    }
    if at(i) == Some(',') && digit(i + 1) && whole > 0 {
        return Err(comma(
            text,
            &plain,
            chars.get(i).map_or(text.len(), |(b, _)| *b),
        ));
    }
    let mut places = 0;
    if at(i) == Some('.') && digit(i + 1) {
        plain.push('.');
        i += 1;
        while digit(i) {
            plain.extend(at(i));
            i += 1;
            places += 1;
        }
        if at(i) == Some(',') && digit(i + 1) {
            return Err(comma(
                text,
                &plain,
                chars.get(i).map_or(text.len(), |(b, _)| *b),
            ));
        }
    }
    if whole == 0 && places == 0 {
        return Err(NumberProblem::None);
    }
    // An exponent needs its digits, else the letter belongs to the unit.
    if at(i).is_some_and(|c| c == 'e' || c == 'E') {
        let signed = usize::from(at(i + 1).is_some_and(|c| c == '-' || c == '+'));
        if digit(i + 1 + signed) {
            plain.push('e');
            i += 1;
            if signed == 1 {
                plain.extend(at(i));
                i += 1;
            }
            while digit(i) {
                plain.extend(at(i));
                i += 1;
            }
        }
    }
    let value: f64 = plain.parse().map_err(|_| NumberProblem::None)?;
    if !value.is_finite() {
        return Err(NumberProblem::NotFinite);
    }
    let rest = chars.get(i).map_or("", |(byte, _)| &text[*byte..]);
    Ok((value, rest))
}

/// Both readings of a number with a comma at byte `comma_at`; `before` holds the digits before it.
fn comma(text: &str, before: &str, comma_at: usize) -> NumberProblem {
    let tail: String = text[comma_at..]
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, ',' | '.'))
        .collect();
    let groups: Vec<&str> = tail.trim_start_matches(',').split(',').collect();
    let (last, firsts) = groups
        .split_last()
        .map_or(("", &groups[..]), |(l, f)| (*l, f));
    let last_whole = last.split('.').next().unwrap_or("");
    let good =
        !before.contains('.') && firsts.iter().all(|g| g.len() == 3) && last_whole.len() == 3;
    NumberProblem::Comma {
        thousands: good.then(|| format!("{before}{}", tail.replace(',', ""))),
        decimal: if firsts.is_empty() && !last.contains('.') && !before.contains('.') {
            format!("{before}.{last}")
        } else {
            format!("{before}{}", tail.replace(',', ""))
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_signed_grouped_and_scientific_numbers() {
        assert_eq!(leading_number("30 m"), Ok((30.0, " m")));
        assert_eq!(leading_number(".5mm"), Ok((0.5, "mm")));
        assert_eq!(leading_number("12 000 m"), Ok((12_000.0, " m")));
        assert_eq!(
            leading_number("1\u{202f}234\u{202f}567.5"),
            Ok((1_234_567.5, ""))
        );
        assert_eq!(leading_number("1_200"), Ok((1200.0, "")));
        assert_eq!(leading_number("−4 C"), Ok((-4.0, " C")));
        assert_eq!(leading_number("1e3 m"), Ok((1000.0, " m")));
        assert_eq!(leading_number("3 em"), Ok((3.0, " em")));
        assert_eq!(leading_number("3em"), Ok((3.0, "em")));
        // Five digits before a space are not a group.
        assert_eq!(leading_number("12345 678"), Ok((12345.0, " 678")));
    }

    #[test]
    fn commas_are_refused_with_both_readings() {
        let both = leading_number("1,200 m");
        assert_eq!(
            both,
            Err(NumberProblem::Comma {
                thousands: Some("1200".into()),
                decimal: "1.200".into()
            })
        );
        let decimal = leading_number("2,5 h");
        assert_eq!(
            decimal,
            Err(NumberProblem::Comma {
                thousands: None,
                decimal: "2.5".into()
            })
        );
    }

    #[test]
    fn what_is_no_number_is_said_so() {
        assert_eq!(leading_number("fast"), Err(NumberProblem::None));
        assert_eq!(leading_number(""), Err(NumberProblem::None));
        assert_eq!(leading_number("NaN min"), Err(NumberProblem::NotFinite));
        assert_eq!(leading_number("-inf"), Err(NumberProblem::NotFinite));
        assert_eq!(leading_number("1e999 m"), Err(NumberProblem::NotFinite));
        // Words that only begin like one are ordinary words.
        assert_eq!(leading_number("information"), Err(NumberProblem::None));
    }
}
