//! The part of the reference that speaks of one word: a block, or every key of that name.
//!
//! In: a word. Out: the sections headed so, or the rows of the keys called so with the head of their table; or, where
//! there are none, the nearest word that is known.

use super::super::nearest::nearest;
use super::reference;

/// A section of the page: its heading and its lines.
struct Section<'a> {
    heading: &'a str,
    lines: Vec<&'a str>,
}

/// The key that a row of a table speaks of: what stands in its first code span.
fn key_of(line: &str) -> Option<&str> {
    let rest = line.strip_prefix("| `")?;
    rest.split('`').next()
}

fn sections(page: &str) -> Vec<Section<'_>> {
    let mut all: Vec<Section<'_>> = Vec::new();
    for line in page.lines() {
        match (line.strip_prefix("## "), all.last_mut()) {
            (Some(heading), _) => all.push(Section {
                heading,
                lines: Vec::new(),
            }),
            (None, Some(section)) => section.lines.push(line),
            (None, None) => {}
        }
    }
    all
}

/// What the reference says of `word`, Markdown.
///
/// # Errors
/// The nearest heading or key, if one is near, where it says nothing.
pub fn about(word: &str) -> Result<String, Option<String>> {
    let page = reference();
    let all = sections(&page);
    let same = |other: &str| {
        let plain = |text: &str| text.to_lowercase().replace(['_', '-'], " ");
        plain(other) == plain(word)
    };
    let mut out = String::new();
    let mut tell = |heading: &str, lines: &[&str]| {
        if !out.is_empty() {
            out.push('\n');
        }
        out += &format!("## {heading}\n\n");
        for line in lines {
            out += line;
            out.push('\n');
        }
    };
    for section in &all {
        let rows = || section.lines.iter().copied().enumerate();
        if same(section.heading) {
            let text = section.lines.join("\n");
            tell(section.heading, &text.trim().lines().collect::<Vec<_>>());
            continue;
        }
        let mut shown: Vec<&str> = Vec::new();
        for (place, row) in rows().filter(|(_, line)| key_of(line).is_some_and(same)) {
            // The table's head is the nearest line above that is followed by its rule.
            let head = (0..place).rev().find(|at| {
                let below = section.lines.get(at + 1);
                below.is_some_and(|line| line.starts_with("|---"))
            });
            if shown.is_empty()
                && let Some(at) = head
            {
                shown.extend([section.lines[at], section.lines[at + 1]]);
            }
            shown.push(row);
        }
        if !shown.is_empty() {
            tell(section.heading, &shown);
        }
    }
    if !out.is_empty() {
        return Ok(out);
    }
    let keys = all.iter().flat_map(|section| &section.lines);
    let known: Vec<&str> = all
        .iter()
        .map(|section| section.heading)
        .chain(keys.filter_map(|line| key_of(line)))
        .collect();
    Err(nearest(word, known).map(str::to_owned))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_comes_whole_and_a_key_with_the_head_of_its_table() {
        let money = about("money").unwrap();
        assert!(money.contains("## Money\n\n") && money.contains("| `overs` |"));
        assert!(money.contains("## The file\n\n| key | form"), "{money}");
        let overs = about("start_waste").unwrap();
        assert!(overs.contains("## Laminator\n\n| key | form | default | meaning |\n|---"));
        assert!(!overs.contains("`ramp`"));
        assert_eq!(about("hot-room"), about("hot_room"));
        let pert = about("pert").unwrap();
        assert!(
            pert.contains("## Distribution") && pert.contains("3.5 min"),
            "{pert}"
        );
        assert!(!pert.contains("`erlang`"));
        assert!(about("distribution").unwrap().contains("`erlang`"));
        assert_eq!(about("start_wast"), Err(Some("start_waste".to_owned())));
        assert_eq!(about("qqqqqqqqq"), Err(None));
    }
}
