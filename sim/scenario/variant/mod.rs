//! Variants: a scenario changed at named places.
//!
//! In: the tree of a scenario and a list of [`Change`]s (a dotted path, a new value, where both are
//! written). Out: the changed tree with a record of what was changed, or problems that stand at the
//! variant's own lines. What is wrong with the changed tree is found by the same checks as for any
//! scenario; [`Applied::moved`] brings their problems back to the variant's lines.
//!
//! * `path`: dotted paths to places of the tree.
//! * `scale`: `x 1.2`.

mod path;
mod scale;

use serde_json::{Map, Value};

use super::form::Complaint;
use super::nearest::{list, nearest};
use super::problem::{Path, Place, Problem, Step};

use path::{Shape, places};

/// One change as it is written.
pub(super) struct Change<'a> {
    /// Dotted path.
    pub path: &'a str,
    /// New value.
    pub value: &'a Value,
    /// Where the new value is written.
    pub at: Path,
}

/// One place before and after, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Path to it.
    pub path: String,
    /// What stood there.
    pub was: String,
    /// What stands there now.
    pub becomes: String,
}

/// What the changes did.
#[derive(Debug, Clone, Default)]
pub(super) struct Applied {
    /// Places in words.
    pub differences: Vec<Difference>,
    /// Every place with where its new value is written.
    touched: Vec<(Path, Path)>,
}

/// Makes the changes in their order.
///
/// # Errors
/// Every change that cannot be made, at its own line.
pub(super) fn apply(
    tree: &mut Value,
    schema: &Value,
    changes: &[Change<'_>],
) -> Result<Applied, Vec<Problem>> {
    let mut applied = Applied::default();
    let mut problems = Vec::new();
    for change in changes {
        if let Err(told) = one(tree, schema, change, &mut applied) {
            let (complaint, at_key) = *told;
            let place = match at_key {
                true => Place::Key(change.at.clone()),
                false => Place::Value(change.at.clone()),
            };
            problems.push(complaint.at(place));
        }
    }
    if problems.is_empty() {
        Ok(applied)
    } else {
        Err(problems)
    }
}

/// A complaint and whether it is about the path.
type Told = Box<(Complaint, bool)>;

fn about_path(complaint: Complaint) -> Told {
    Box::new((complaint, true))
}

fn about_value(complaint: Complaint) -> Told {
    Box::new((complaint, false))
}

fn one(
    tree: &mut Value,
    schema: &Value,
    change: &Change<'_>,
    applied: &mut Applied,
) -> Result<(), Told> {
    let first = change.path.split('.').next().unwrap_or_default();
    if matches!(first, "variants" | "demands" | "book") && change.value != "remove" {
        return Err(about_path(Complaint::new(
            format!("a variant cannot change `{first}`"),
            "a path to something in the cell, its orders or its run",
        )));
    }
    if change.path == "demand" {
        return demand(tree, schema, change, applied);
    }
    let found = places(tree, schema, change.path).map_err(about_path)?;
    // From the last to the first, so that taking out an item does not move those still to come.
    for place in found.iter().rev() {
        set(tree, schema, place, change.value, change, applied)?;
    }
    Ok(())
}

/// `demand: x 1.2`: more orders in every stream, by their number a week or the time between them.
fn demand(
    tree: &mut Value,
    schema: &Value,
    change: &Change<'_>,
    applied: &mut Applied,
) -> Result<(), Told> {
    const EXPECTED: &str = "`demand: x 1.2`";
    let factor = match change.value.as_str().and_then(scale::factor) {
        Some(factor) => factor.map_err(about_value)?,
        None => {
            let told = format!(
                "{} does not say how the demand changes",
                quoted(change.value)
            );
            return Err(about_value(Complaint::new(told, EXPECTED)));
        }
    };
    let streams = tree
        .get("orders")
        .and_then(Value::as_array)
        .map_or(0, Vec::len);
    if streams == 0 {
        let told = "there are no streams of orders to multiply";
        return Err(about_path(Complaint::new(told, "streams under `orders`")));
    }
    for index in 0..streams {
        for (key, factor) in [("per_week", factor), ("every", 1.0 / factor)] {
            let place = [
                Step::Key("orders".to_string()),
                Step::Item(index),
                Step::Key(key.to_string()),
            ];
            if get(tree, &place).is_some() {
                let value = Value::from(format!("x {factor}"));
                set(tree, schema, &place, &value, change, applied)?;
            }
        }
    }
    Ok(())
}

/// What stands at a place.
fn get<'a>(tree: &'a Value, place: &[Step]) -> Option<&'a Value> {
    place.iter().try_fold(tree, |here, step| match step {
        Step::Key(key) => here.get(key),
        Step::Item(index) => here.get(index),
    })
}

/// The block or list at a place; blocks that are not written yet are made.
fn get_or_make<'a>(tree: &'a mut Value, place: &[Step]) -> Option<&'a mut Value> {
    place.iter().try_fold(tree, |here, step| match step {
        Step::Key(key) => Some(
            here.as_object_mut()?
                .entry(key.clone())
                .or_insert_with(|| Value::Object(Map::new())),
        ),
        Step::Item(index) => here.get_mut(index),
    })
}

fn set(
    tree: &mut Value,
    schema: &Value,
    place: &[Step],
    value: &Value,
    change: &Change<'_>,
    applied: &mut Applied,
) -> Result<(), Told> {
    let Some((last, parents)) = place.split_last() else {
        return Ok(());
    };
    let old = get(tree, place).cloned();
    let new = match value.as_str() {
        Some("remove") if old.is_none() => return Err(about_path(not_there("take out", place))),
        Some("remove") => None,
        Some(text) => match (scale::factor(text), &old) {
            (None, _) => Some(value.clone()),
            (Some(_), None) => return Err(about_path(not_there("multiply", place))),
            (Some(factor), Some(old)) => {
                let factor = factor.map_err(about_value)?;
                let shape = shape_at(tree, schema, place);
                Some(scale::scaled(old, shape, factor).map_err(about_value)?)
            }
        },
        None => Some(written(tree, parents, value).map_err(about_value)?),
    };
    let (new, before) = match new {
        Some(Value::Object(mut block)) => {
            let before = match value.get("before").is_some() {
                true => block.shift_remove("before"),
                false => None,
            };
            (Some(Value::Object(block)), before)
        }
        new => (new, None),
    };
    applied.differences.push(Difference {
        path: path_text(place),
        was: old
            .as_ref()
            .map_or_else(|| "not written".to_string(), shown),
        becomes: told(value, new.as_ref(), old.as_ref()),
    });
    applied.touched.push((place.to_vec(), change.at.clone()));
    let nowhere = || about_path(not_there("change", place));
    let parent = get_or_make(tree, parents).ok_or_else(nowhere)?;
    match (parent, last) {
        (Value::Object(block), Step::Key(key)) => match new {
            None => {
                block.shift_remove(key);
            }
            Some(new) => match before {
                None => {
                    block.insert(key.clone(), new);
                }
                Some(before) => {
                    *block = put_before(block, key, new, &before).map_err(about_value)?;
                }
            },
        },
        (Value::Array(items), Step::Item(index)) => match new {
            None => {
                items.remove(*index);
            }
            Some(new) => items[*index] = new,
        },
        _ => return Err(nowhere()),
    }
    Ok(())
}

fn not_there(what: &str, place: &[Step]) -> Complaint {
    Complaint::new(
        format!(
            "there is nothing to {what}: `{}` is not written",
            path_text(place)
        ),
        "the path to something that stands in the scenario",
    )
}

/// A new block; with `like` the copy of a neighbour in which the other keys are new.
fn written(tree: &Value, parents: &[Step], value: &Value) -> Result<Value, Complaint> {
    let Some(model) = value.get("like") else {
        return Ok(value.clone());
    };
    let neighbours = get(tree, parents).and_then(Value::as_object);
    let names = || {
        neighbours
            .into_iter()
            .flat_map(Map::keys)
            .map(String::as_str)
    };
    let name = model.as_str().unwrap_or_default();
    let Some(copied) = neighbours.and_then(|all| all.get(name)) else {
        let told = format!("there is no {} beside this one to be like", quoted(model));
        let mut complaint = Complaint::new(told, list(names()));
        if let Some(near) = nearest(name, names()) {
            complaint = complaint.help(format!("did you mean `{near}`?"));
        }
        return Err(complaint);
    };
    let mut copy = copied.clone();
    merge(&mut copy, value);
    if let Value::Object(block) = &mut copy {
        block.shift_remove("like");
    }
    Ok(copy)
}

/// Lays the keys of one block over those of another, block by block; `remove` takes a key out.
fn merge(under: &mut Value, over: &Value) {
    match (under, over) {
        (Value::Object(under), Value::Object(over)) => {
            for (key, value) in over {
                if value == "remove" {
                    under.shift_remove(key);
                    continue;
                }
                merge(under.entry(key.clone()).or_insert(Value::Null), value);
            }
        }
        (under, over) => *under = over.clone(),
    }
}

/// A block with a new entry before another one.
fn put_before(
    block: &Map<String, Value>,
    key: &str,
    new: Value,
    before: &Value,
) -> Result<Map<String, Value>, Complaint> {
    let name = before.as_str().unwrap_or_default();
    if !block.contains_key(name) || name == key {
        let names = || block.keys().map(String::as_str).filter(|name| *name != key);
        let told = format!(
            "there is no {} beside this one to stand before",
            quoted(before)
        );
        let mut complaint = Complaint::new(told, list(names()));
        if let Some(near) = nearest(name, names()) {
            complaint = complaint.help(format!("did you mean `{near}`?"));
        }
        return Err(complaint);
    }
    let mut ordered = Map::new();
    for (other, value) in block {
        if other == name {
            ordered.insert(key.to_string(), new.clone());
        }
        if other != key {
            ordered.insert(other.clone(), value.clone());
        }
    }
    Ok(ordered)
}

fn shape_at<'a>(tree: &Value, schema: &'a Value, place: &[Step]) -> Shape<'a> {
    let mut shape = Shape::of(schema);
    for (index, step) in place.iter().enumerate() {
        shape = shape.below(step, get(tree, &place[..index]));
    }
    shape
}

/// A path as text: `stations.slitting.machines`, `orders[0].per_week`.
fn path_text(path: &[Step]) -> String {
    Place::Value(path.to_vec()).path_text().unwrap_or_default()
}

/// A value in a few words.
fn shown(value: &Value) -> String {
    const MOST: usize = 60;
    match value {
        Value::Object(block)
            if block.len() <= 4 && block.values().all(|v| !v.is_object() && !v.is_array()) =>
        {
            let entries: Vec<String> = block
                .iter()
                .map(|(key, v)| format!("{key}: {}", shown(v)))
                .collect();
            match entries.is_empty() {
                true => "an empty block".to_string(),
                false => format!("{{ {} }}", entries.join(", ")),
            }
        }
        Value::Object(block) => {
            let keys: Vec<&str> = block.keys().map(String::as_str).collect();
            match keys.len() {
                n if n <= 4 => format!("a block of {}", keys.join(", ")),
                n => format!("a block of {n} keys"),
            }
        }
        Value::Array(items) if items.iter().all(|item| !item.is_object()) => {
            let texts: Vec<String> = items.iter().map(shown).collect();
            cut(&format!("[{}]", texts.join(", ")), MOST)
        }
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::String(text) => cut(text, MOST),
        other => other.to_string(),
    }
}

/// A value in a few words; text as it is written stands in its marks.
fn quoted(value: &Value) -> String {
    match value {
        Value::String(_) | Value::Number(_) | Value::Bool(_) => format!("`{}`", shown(value)),
        _ => shown(value),
    }
}

/// The new value in words, with the word that made it.
fn told(value: &Value, new: Option<&Value>, old: Option<&Value>) -> String {
    match (value, new) {
        (_, None) => "taken out".to_string(),
        (Value::String(text), Some(new)) if new != value => match new {
            Value::Object(_) => format!("{text} (all times in it)"),
            new => format!("{} ({text})", shown(new)),
        },
        (Value::Object(block), Some(_)) if block.contains_key("like") => {
            let model = block.get("like").map(shown).unwrap_or_default();
            let but: Vec<String> = block
                .iter()
                .filter(|(key, _)| !matches!(key.as_str(), "like" | "before"))
                .map(|(key, value)| format!("{key}: {}", shown(value)))
                .collect();
            match but.is_empty() {
                true => format!("like {model}"),
                false => format!("like {model}, but {}", but.join(", ")),
            }
        }
        (_, Some(new)) if old == Some(new) => format!("{} (as before)", shown(new)),
        (_, Some(new)) => shown(new),
    }
}

fn cut(text: &str, most: usize) -> String {
    let mut out: String = text.chars().take(most).collect();
    if out.len() < text.len() {
        out.push_str("...");
    }
    out
}

impl Applied {
    /// A problem of the changed tree, brought to the line of the change it comes from; where no single
    /// change is to blame, to the name of the variant. `same_file`: the base stands in the same text, so
    /// that its lines may be shown too.
    pub(super) fn moved(&self, problem: Problem, variant: &Path, same_file: bool) -> Problem {
        let found = match &problem.place {
            Place::Value(path) | Place::Key(path) | Place::SecondKey(path) => {
                self.origin(path).map(|(at, within)| match &problem.place {
                    Place::Key(_) if within => Place::Key(at),
                    _ => Place::Value(at),
                })
            }
            Place::Book(_) => return problem,
            _ => None,
        };
        let mut moved = problem.clone();
        moved.see = None;
        let path = problem.place.path_text();
        match found {
            Some(place) => moved.place = place,
            None if variant.is_empty() => moved.place = Place::File,
            None => {
                moved.place = Place::Key(variant.clone());
                if same_file && !matches!(problem.place, Place::File) {
                    moved.see = Some((
                        problem.place,
                        "here, with the changes of the variant".into(),
                    ));
                }
            }
        }
        if let Some(path) = path {
            let whole = format!("with this variant, in `{path}`");
            moved.note = Some(match moved.note {
                Some(note) => format!("{whole}; {note}"),
                None => whole,
            });
        }
        moved
    }

    /// Where the value at a path was written; true where it is the changed place or something within it.
    fn origin(&self, path: &Path) -> Option<(Path, bool)> {
        let within = self
            .touched
            .iter()
            .rev()
            .filter(|(place, _)| path.starts_with(place))
            .max_by_key(|(place, _)| place.len());
        if let Some((place, at)) = within {
            let rest = &path[place.len()..];
            let mut at = at.clone();
            at.extend_from_slice(rest);
            return Some((at, true));
        }
        // A block that holds a changed place, if only one change touches it.
        let mut above = self
            .touched
            .iter()
            .filter(|(place, _)| place.starts_with(path) && !path.is_empty());
        match (above.next(), above.next()) {
            (Some((_, at)), None) => Some((at.clone(), false)),
            _ => None,
        }
    }
}
