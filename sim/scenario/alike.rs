//! One mistake in many places is told once.
//!
//! In: problems. Out: the same, those alike gathered behind the first of them. Alike are problems that say the same,
//! the names of their own places aside: a unit misspelt in 200 machines is one mistake.

use std::collections::BTreeMap;

use super::problem::{Place, Problem, Severity, Step};

/// So many of a kind are told one by one, each with its line drawn.
const EACH: usize = 3;

/// A problem and the other places it stands for.
pub(super) struct Once {
    /// The first of them.
    pub problem: Problem,
    /// The places of the others.
    pub again: Vec<Place>,
}

impl Once {
    /// Places with this mistake.
    pub(super) fn places(&self) -> usize {
        1 + self.again.len()
    }
}

/// What makes problems alike.
type Kind = (Severity, [Option<String>; 4]);

/// Gathers problems that are alike behind the first of them, where there are more than a few.
pub(super) fn once(problems: Vec<Problem>) -> Vec<Once> {
    let mut counts: BTreeMap<Kind, usize> = BTreeMap::new();
    let kinds: Vec<Kind> = problems.iter().map(kind).collect();
    for kind in &kinds {
        *counts.entry(kind.clone()).or_default() += 1;
    }
    let mut first: BTreeMap<Kind, usize> = BTreeMap::new();
    let mut told: Vec<Once> = Vec::new();
    for (problem, kind) in problems.into_iter().zip(kinds) {
        let many = counts.get(&kind).is_some_and(|&count| count > EACH);
        match first.get(&kind).and_then(|&at| told.get_mut(at)) {
            Some(one) if many => one.again.push(problem.place),
            _ => {
                first.insert(kind, told.len());
                told.push(Once {
                    problem,
                    again: Vec::new(),
                });
            }
        }
    }
    told
}

fn kind(problem: &Problem) -> Kind {
    let names: Vec<String> = match &problem.place {
        Place::Value(path) | Place::Key(path) | Place::SecondKey(path) => path
            .iter()
            .filter_map(|step| match step {
                Step::Key(key) => Some(format!("`{key}`")),
                Step::Item(_) => None,
            })
            .collect(),
        _ => Vec::new(),
    };
    // The last name is the key itself, which the mistake is about; those above it are only where it stands.
    let above = names.len().saturating_sub(1);
    let masked = |text: &String| {
        let above = names.iter().take(above);
        above.fold(text.clone(), |text, name| {
            text.replace(name.as_str(), "`*`")
        })
    };
    let owned = matches!(problem.place, Place::Key(_));
    let message = match names.last() {
        // Said of a block by its own name: `pm_7` lacks the key `web_max`.
        Some(own) if owned && problem.message.starts_with(own.as_str()) => {
            masked(&problem.message.replacen(own.as_str(), "`*`", 1))
        }
        _ => masked(&problem.message),
    };
    let texts = [&problem.expected, &problem.help, &problem.note];
    let [expected, help, note] = texts.map(|text| text.as_ref().map(masked));
    (problem.severity, [Some(message), expected, help, note])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(names: &[&str]) -> Place {
        Place::Value(names.iter().map(|n| Step::Key((*n).to_string())).collect())
    }

    #[test]
    fn one_mistake_in_many_places_is_told_once() {
        let mut problems: Vec<Problem> = (0..200)
            .map(|i| Problem::error(place(&["m", &format!("m{i}"), "speed"]), "`30` has no unit"))
            .collect();
        problems.push(Problem::error(
            place(&["m", "m9", "width"]),
            "`40` has no unit",
        ));
        let told = once(problems);
        let places: Vec<usize> = told.iter().map(Once::places).collect();
        assert_eq!(places, [200, 1]);
    }

    #[test]
    fn names_of_their_own_places_do_not_part_them_and_few_are_told_each() {
        let lacks = |count: usize| -> Vec<Problem> {
            (0..count)
                .map(|i| {
                    let name = format!("m{i}");
                    let path = vec![Step::Key("m".into()), Step::Key(name.clone())];
                    Problem::error(Place::Key(path), format!("`{name}` lacks the key `web`"))
                })
                .collect()
        };
        assert_eq!(once(lacks(200)).len(), 1);
        assert_eq!(once(lacks(3)).len(), 3);
        let names: Vec<Problem> = (0..9)
            .map(|i| Problem::error(place(&["m", "a"]), format!("no calendar `c{i}`")))
            .collect();
        assert_eq!(once(names).len(), 9, "nine names are nine mistakes");
    }
}
