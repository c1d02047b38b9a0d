//! What a variant cannot lower: the data sheets of the cell's adhesives, its laboratory and its first-off approvals.
//!
//! In: the trees of a cell and of a variant of it. Out: problems at the places that were lowered.
//!
//! A gate is what a supplier or the quality plan asks for. A cell says what holds there; a comparison that is won by
//! asking for less of it is none. An adhesive or a machine of its own, under a name of its own, may have others.

use serde_json::{Map, Value};

use crate::units::Dimension;

use super::form;
use super::problem::{Path, Place, Problem, Step};

/// Every gate of `cell` that `variant` has lower, weaker or not at all, where the adhesive or machine is still there.
pub(super) fn lowered(cell: &Value, variant: &Value) -> Vec<Problem> {
    let mut found = Vec::new();
    blocks(cell, variant, &mut Vec::new(), &mut found);
    found
}

fn blocks(cell: &Value, variant: &Value, path: &mut Path, found: &mut Vec<Problem>) {
    let (Some(cell), Some(variant)) = (cell.as_object(), variant.as_object()) else {
        return;
    };
    for (key, was) in cell {
        path.push(Step::Key(key.clone()));
        let is = variant.get(key);
        match (key.as_str(), was.as_object()) {
            ("data_sheet", Some(was)) => {
                for hold in was.keys() {
                    let less = shortest(was, hold).zip(is.map(|is| least(is, hold)));
                    if less.is_some_and(|(was, is)| is < was) {
                        found.push(problem(path, hold, was, "an adhesive"));
                    }
                }
            }
            ("first_off", Some(was)) => approval(was, is, (path, "a machine"), found),
            ("lab", Some(was)) => approval(was, is, (path, "an adhesive"), found),
            _ => {
                if let Some(is) = is {
                    blocks(was, is, path, found);
                }
            }
        }
        path.pop();
    }
}

/// An approval, of a first good or by the laboratory, that is left out, quicker, less of a minimum, or asked for more seldom.
fn approval(
    was: &Map<String, Value>,
    is: Option<&Value>,
    (path, owner): (&Path, &str),
    found: &mut Vec<Problem>,
) {
    let Some(is) = is.and_then(Value::as_object) else {
        found.push(
            Problem::error(
                Place::Key(path.clone()),
                "a variant cannot leave out an approval",
            )
            .expected(format!(
                "the approval as the cell has it, or {owner} with a name of its own"
            )),
        );
        return;
    };
    for key in ["time", "at_least"] {
        if let Some(before) = shortest(was, key)
            && least(&Value::Object(is.clone()), key) < before
        {
            found.push(problem(path, key, was, owner));
        }
    }
    let mean = |block: &Map<String, Value>| Some(dist(block, "time")?.mean());
    if mean(was).zip(mean(is)).is_some_and(|(was, is)| is < was)
        && shortest(was, "time") <= shortest(is, "time")
    {
        found.push(problem(path, "time", was, owner));
    }
    // How often it is asked for, the most often first.
    let seldom = |block: &Map<String, Value>| match block.get("at").and_then(Value::as_str) {
        Some("size") => 2,
        Some("artwork") => 1,
        _ => 0,
    };
    if seldom(is) > seldom(was) {
        found.push(problem(path, "at", was, owner));
    }
}

fn dist(block: &Map<String, Value>, key: &str) -> Option<crate::random::Dist> {
    form::random(block.get(key)?.as_str()?, Dimension::Duration).ok()
}

/// Shortest value of a duration that may vary, minutes.
fn shortest(block: &Map<String, Value>, key: &str) -> Option<f64> {
    Some(dist(block, key)?.support().0)
}

/// The same of a block that need not have it: nothing is asked for then.
fn least(block: &Value, key: &str) -> f64 {
    block
        .as_object()
        .and_then(|block| shortest(block, key))
        .unwrap_or(0.0)
}

fn problem(path: &Path, key: &str, was: &Map<String, Value>, owner: &str) -> Problem {
    let mut at = path.clone();
    at.push(Step::Key(key.to_string()));
    let before = was
        .get(key)
        .and_then(Value::as_str)
        .unwrap_or("every start");
    let before = before.trim();
    Problem::error(
        Place::Value(at),
        format!("a variant asks for less than the cell in `{key}`, which has `{before}`"),
    )
    .expected(format!("`{before}` or more"))
    .help(format!("a gate is no setting to compare: {owner} that has another one is another, with a name of its own"))
}
