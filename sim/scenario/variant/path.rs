//! From a dotted path to the places of a tree it stands for.
//!
//! In: the tree of a scenario, its JSON Schema and a path such as `orders.*.per_week`. Out: the concrete
//! [`Path`]s, those of keys that are not written yet included, or a [`Complaint`] with the nearest name.
//! Names with dots in them are found: at every block the longest name that fits is taken.

use serde_json::{Map, Value};

use super::super::form::Complaint;
use super::super::nearest::{list, nearest};
use super::super::problem::{Path, Step};
use super::super::wording::tag;

/// A part of the schema, references followed, and the root they lead into.
#[derive(Clone, Copy)]
pub(super) struct Shape<'a> {
    root: &'a Value,
    here: Option<&'a Value>,
}

impl<'a> Shape<'a> {
    /// The shape of the whole scenario.
    pub(super) fn of(root: &'a Value) -> Self {
        Self {
            root,
            here: Some(root),
        }
    }

    fn at(self, schema: Option<&'a Value>) -> Self {
        let here = schema.map(|schema| {
            schema
                .get("$ref")
                .and_then(Value::as_str)
                .and_then(|name| name.strip_prefix("#/$defs/"))
                .and_then(|name| self.root.get("$defs")?.get(name))
                .unwrap_or(schema)
        });
        Self { here, ..self }
    }

    /// The keys the shape knows by name; `tree` tells which of several shapes is meant.
    fn known(self, tree: Option<&Value>) -> Option<&'a Map<String, Value>> {
        let here = self.here?;
        let block = match here.get("oneOf").and_then(Value::as_array) {
            Some(options) => {
                let work = tree?.get("work")?.as_str();
                options
                    .iter()
                    .find(|option| tag(option).is_some() && tag(option) == work)?
            }
            None => here,
        };
        block.get("properties")?.as_object()
    }

    /// Any name may be a key here.
    fn is_named(self) -> bool {
        self.here
            .and_then(|here| here.get("additionalProperties"))
            .is_some_and(Value::is_object)
    }

    /// The shape below a step; `tree` is what stands here.
    pub(super) fn below(self, step: &Step, tree: Option<&Value>) -> Self {
        let next = match step {
            Step::Item(_) => self.here.and_then(|here| here.get("items")),
            Step::Key(key) => self
                .known(tree)
                .and_then(|known| known.get(key))
                .or_else(|| self.here.and_then(|here| here.get("additionalProperties"))),
        };
        self.at(next)
    }

    /// The form of the text that stands here.
    pub(super) fn form(self) -> Option<&'a str> {
        self.here?.get("format")?.as_str()
    }
}

/// The places a path stands for; at least one.
pub(super) fn places(tree: &Value, schema: &Value, path: &str) -> Result<Vec<Path>, Complaint> {
    let mut walk = Walk {
        path: Vec::new(),
        places: Vec::new(),
        first_complaint: None,
    };
    walk.down(Some(tree), Shape::of(schema), path);
    match walk.first_complaint {
        Some(complaint) if walk.places.is_empty() => Err(complaint),
        _ if walk.places.is_empty() => Err(Complaint::new(
            format!("`{path}` stands for nothing"),
            "a path to something in the scenario",
        )),
        _ => Ok(walk.places),
    }
}

struct Walk {
    path: Path,
    places: Vec<Path>,
    first_complaint: Option<Complaint>,
}

impl Walk {
    fn step(&mut self, step: Step, tree: Option<&Value>, shape: Shape<'_>, rest: &str) {
        self.path.push(step);
        match rest {
            "" => self.places.push(self.path.clone()),
            rest => self.down(tree, shape, rest),
        }
        self.path.pop();
    }

    fn complain(&mut self, complaint: Complaint) {
        self.first_complaint.get_or_insert(complaint);
    }

    fn down(&mut self, tree: Option<&Value>, shape: Shape<'_>, rest: &str) {
        match tree {
            Some(Value::Object(block)) => self.block(tree, block, shape, rest),
            Some(Value::Array(items)) => self.list(items, shape, rest),
            None => self.block(tree, &Map::new(), shape, rest),
            Some(_) => {
                let here = super::path_text(&self.path);
                self.complain(Complaint::new(
                    format!("`{here}` is a single value: there is nothing called `{rest}` in it"),
                    format!("the path `{here}`"),
                ));
            }
        }
    }

    fn block(
        &mut self,
        tree: Option<&Value>,
        block: &Map<String, Value>,
        shape: Shape<'_>,
        rest: &str,
    ) {
        if let Some(after) = rest_after(rest, "*") {
            for (key, value) in block {
                let step = Step::Key(key.clone());
                let below = shape.below(&step, tree);
                self.step(step, Some(value), below, after);
            }
            return;
        }
        let written = block
            .keys()
            .filter(|key| rest_after(rest, key).is_some())
            .max_by_key(|key| key.len());
        if let Some(key) = written {
            let step = Step::Key(key.clone());
            let below = shape.below(&step, tree);
            return self.step(
                step,
                block.get(key),
                below,
                rest_after(rest, key).unwrap_or(""),
            );
        }
        let (key, after) = rest.split_once('.').unwrap_or((rest, ""));
        let known = shape.known(tree);
        let is_known = known.is_some_and(|known| known.contains_key(key));
        // A key that has a default may be said; a new entry may be made where entries have names.
        if is_known || (shape.is_named() && after.is_empty()) {
            let step = Step::Key(key.to_string());
            let below = shape.below(&step, tree);
            return self.step(step, None, below, after);
        }
        let mut names: Vec<&str> = block.keys().map(String::as_str).collect();
        names.extend(
            known
                .into_iter()
                .flat_map(Map::keys)
                .map(String::as_str)
                .filter(|name| {
                    !block.contains_key(*name) && !matches!(*name, "variants" | "demands")
                }),
        );
        self.unknown(key, names);
    }

    fn list(&mut self, items: &[Value], shape: Shape<'_>, rest: &str) {
        let all = rest_after(rest, "*");
        let names: Vec<String> = items
            .iter()
            .enumerate()
            .map(|(index, item)| {
                let name = item.get("name").and_then(Value::as_str);
                name.map_or_else(|| (index + 1).to_string(), str::to_string)
            })
            .collect();
        let mut found = false;
        for (index, (item, name)) in items.iter().zip(&names).enumerate() {
            let number = (index + 1).to_string();
            let after = all
                .or_else(|| rest_after(rest, name))
                .or_else(|| rest_after(rest, &number));
            if let Some(after) = after {
                found = true;
                let step = Step::Item(index);
                self.step(step.clone(), Some(item), shape.below(&step, None), after);
            }
        }
        if !found {
            let key = rest.split('.').next().unwrap_or(rest);
            self.unknown(key, names.iter().map(String::as_str).collect());
        }
    }

    fn unknown(&mut self, key: &str, names: Vec<&str>) {
        let here = match self.path.is_empty() {
            true => "the scenario".to_string(),
            false => format!("`{}`", super::path_text(&self.path)),
        };
        let mut complaint = Complaint::new(
            format!("there is no `{key}` in {here}"),
            list(names.iter().copied()),
        );
        if let Some(near) = nearest(key, names.iter().copied()) {
            complaint = complaint.help(format!("did you mean `{near}`?"));
        }
        self.complain(complaint);
    }
}

/// What is left of a path after its first name.
fn rest_after<'a>(rest: &'a str, name: &str) -> Option<&'a str> {
    let after = rest.strip_prefix(name)?;
    match after.strip_prefix('.') {
        Some(after) if !after.is_empty() => Some(after),
        None if after.is_empty() => Some(after),
        _ => None,
    }
}
