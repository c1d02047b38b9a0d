//! The name that was probably meant.
//!
//! In: a name and those that are known. Out: the nearest one, if it is near enough.

/// The nearest of `known` to `name`, letter case aside; `None` if none is near.
pub fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Hostile names are long; no name that is meant is.
    if name.chars().count() > 60 {
        return None;
    }
    let wanted = plain(name);
    known
        .into_iter()
        .map(|candidate| (strsim::osa_distance(&wanted, &plain(candidate)), candidate))
        .filter(|(distance, candidate)| {
            // One slip in a short word, up to a third of a long one.
            let length = candidate.chars().count().max(wanted.chars().count());
            *distance <= (length / 3).max(1) && *distance < length
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

fn plain(name: &str) -> String {
    name.to_lowercase().replace([' ', '-'], "_")
}

/// Names for a sentence: "`a`, `b` or `c`"; long lists are cut.
pub(super) fn list<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    const SHOWN: usize = 24;
    let names: Vec<String> = names.into_iter().map(|name| format!("`{name}`")).collect();
    match names.as_slice() {
        [] => "nothing".to_string(),
        [one] => one.clone(),
        [some @ .., last] if names.len() <= SHOWN => format!("{} or {last}", some.join(", ")),
        _ => format!(
            "{} and {} more",
            names[..SHOWN].join(", "),
            names.len() - SHOWN
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_find_their_word_and_strangers_do_not() {
        let known = ["width", "height", "gusset", "web", "stand_up"];
        assert_eq!(nearest("widht", known), Some("width"));
        assert_eq!(nearest("Stand-Up", known), Some("stand_up"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("x", known), None);
    }

    #[test]
    fn lists_read_as_a_sentence() {
        assert_eq!(list(["a"]), "`a`");
        assert_eq!(list(["a", "b", "c"]), "`a`, `b` or `c`");
    }
}
