//! The structural walk: does the tree have the shape the JSON Schema asks for?
//!
//! In: the tree of a file and the schema. Out: every problem of shape at once: unknown and missing
//! keys, wrong types, unknown words, texts that do not have their form. Only the part of JSON
//! Schema is known that [`super::schema`] produces.

mod leaf;

use serde_json::{Map, Value};

use super::file::NEW_VALUE;
use super::form::Form;
use super::nearest::{list, nearest};
use super::problem::{Path, Place, Problem, Step};
use super::wording::{found, meaning, tag, types, wanted, words};

/// Every problem of shape in `tree`.
pub(super) fn check(tree: &Value, schema: &Value) -> Vec<Problem> {
    let mut walk = Walk {
        root: schema,
        path: Vec::new(),
        problems: Vec::new(),
    };
    walk.value(tree, schema);
    walk.problems
}

struct Walk<'a> {
    root: &'a Value,
    path: Path,
    problems: Vec<Problem>,
}

impl<'a> Walk<'a> {
    fn here(&self) -> Place {
        Place::Value(self.path.clone())
    }

    /// The key of the block we are in.
    fn here_key(&self) -> Place {
        match self.path.last() {
            Some(Step::Key(_)) => Place::Key(self.path.clone()),
            _ => self.here(),
        }
    }

    fn within(&mut self, step: Step, f: impl FnOnce(&mut Self)) {
        self.path.push(step);
        f(self);
        self.path.pop();
    }

    fn push(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// The schema itself behind a `$ref`.
    fn resolve(&self, schema: &'a Value) -> &'a Value {
        let name = schema
            .get("$ref")
            .and_then(Value::as_str)
            .and_then(|name| name.strip_prefix("#/$defs/"));
        match name.and_then(|name| self.root.get("$defs")?.get(name)) {
            Some(definition) => definition,
            None => schema,
        }
    }

    fn value(&mut self, value: &Value, schema: &'a Value) {
        let schema = self.resolve(schema);
        if value.is_null() {
            let what = wanted(schema);
            let problem = Problem::error(self.here_key(), format!("{} is empty", self.name()))
                .expected(what)
                .help("write the value, or take the key out");
            return self.push(problem);
        }
        // A new value of a variant is looked at in the place it is put.
        if schema.get("format").and_then(Value::as_str) == Some(NEW_VALUE) {
            return;
        }
        if let Some(words) = words(schema) {
            return self.word(value, &words);
        }
        if let Some(Value::Array(options)) = schema.get("oneOf") {
            return self.tagged(value, options);
        }
        let types = types(schema);
        let fits = match value {
            Value::Object(_) => types.contains(&"object"),
            Value::Array(_) => types.contains(&"array"),
            Value::Bool(_) => types.contains(&"boolean"),
            // A number where a text of some form is wanted is read as that text.
            Value::Number(_) => {
                types.contains(&"number")
                    || types.contains(&"integer")
                    || schema.get("format").is_some()
            }
            Value::String(_) => types.contains(&"string"),
            Value::Null => false,
        };
        if !fits {
            return self.wrong_type(value, schema);
        }
        match value {
            Value::Object(object) => self.object(object, schema),
            Value::Array(items) => self.array(items, schema),
            Value::String(text) => self.text(text, schema),
            Value::Number(number) => self.number(number, schema),
            Value::Bool(_) | Value::Null => {}
        }
    }

    fn wrong_type(&mut self, value: &Value, schema: &'a Value) {
        let wanted = wanted(schema);
        let mut problem =
            Problem::error(self.here(), format!("{} is {}", self.name(), found(value)))
                .expected(wanted);
        let types = types(schema);
        if types == ["string"] && schema.get("format").is_none() {
            problem = problem.help("put it in quotes to make it a text");
        } else if types.contains(&"array") && !value.is_object() {
            problem = problem.help("write a list in square brackets: `[...]`");
        } else if let Some(text) = value.as_str().filter(|_| types.contains(&"integer")) {
            let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
            if !digits.is_empty() {
                problem = problem.help(format!("write `{digits}` alone"));
            }
        } else if let Some(text) = value.as_str().filter(|_| types == ["boolean"]) {
            match text.to_lowercase().as_str() {
                "yes" | "y" | "on" => problem = problem.help("write `true`"),
                "no" | "n" | "off" => problem = problem.help("write `false`"),
                _ => {}
            }
        }
        self.push(problem);
    }

    fn object(&mut self, object: &Map<String, Value>, schema: &'a Value) {
        let none = Map::new();
        let properties = schema.get("properties").and_then(Value::as_object);
        let others = schema.get("additionalProperties");
        for (key, value) in object {
            let step = Step::Key(key.clone());
            if let Some(property) = properties.and_then(|properties| properties.get(key)) {
                self.within(step, |walk| walk.value(value, property));
            } else if let Some(other) = others.filter(|other| other.is_object()) {
                self.within(step, |walk| {
                    walk.name_of_entry(key, schema);
                    walk.value(value, other);
                });
            } else {
                self.within(step, |walk| {
                    walk.unknown_key(key, value, properties.unwrap_or(&none), object)
                });
            }
        }
        let required = schema.get("required").and_then(Value::as_array);
        for key in required.into_iter().flatten().filter_map(Value::as_str) {
            if object.contains_key(key) {
                continue;
            }
            let property = properties.and_then(|properties| properties.get(key));
            // A misspelt key is reported as that alone.
            let misspelt = object.keys().any(|found| {
                properties.is_some_and(|known| !known.contains_key(found))
                    && nearest(found, [key]).is_some()
            });
            if misspelt {
                continue;
            }
            let place = if self.path.is_empty() {
                Place::File
            } else {
                self.here_key()
            };
            let mut problem =
                Problem::error(place, format!("{} lacks the key `{key}`", self.name()));
            if let Some(property) = property {
                problem = problem.expected(format!("`{key}`: {}", wanted(self.resolve(property))));
                if let Some(meaning) = meaning(property) {
                    problem = problem.note(format!("{key}: {meaning}"));
                }
            }
            self.push(problem);
        }
    }

    /// The name of an entry in a block of named entries.
    fn name_of_entry(&mut self, key: &str, schema: &'a Value) {
        if let Some(words) = schema
            .get("propertyNames")
            .and_then(|names| words(self.resolve(names)))
        {
            let names = || words.iter().map(|(word, _)| word.as_str());
            if !names().any(|word| word == key) {
                let place = Place::Key(self.path.clone());
                let mut problem = Problem::error(place, format!("`{key}` is not a name here"))
                    .expected(list(names()));
                problem.help = nearest(key, names()).map(|near| format!("did you mean `{near}`?"));
                self.push(problem);
            }
            return;
        }
        let form = schema
            .pointer("/propertyNames/format")
            .and_then(Value::as_str)
            .and_then(Form::named);
        if let Some(form) = form {
            if let Err(complaint) = form.check(key) {
                self.push(complaint.at(Place::Key(self.path.clone())));
            }
        } else if key.trim().is_empty()
            || key.chars().count() > 60
            || key.chars().any(char::is_control)
        {
            self.push(
                Problem::error(Place::Key(self.path.clone()), "this name cannot be used")
                    .expected("a name of 1 to 60 visible characters"),
            );
        }
    }

    fn unknown_key(
        &mut self,
        key: &str,
        value: &Value,
        known: &Map<String, Value>,
        siblings: &Map<String, Value>,
    ) {
        let place = Place::Key(self.path.clone());
        let open = known
            .keys()
            .map(String::as_str)
            .filter(|name| !siblings.contains_key(*name));
        let mut problem = Problem::error(place, format!("`{key}` is not a key here"))
            .expected(format!("one of {}", list(known.keys().map(String::as_str))));
        problem.help = if value.is_null() && key.contains(' ') {
            // `{ every: exponential, mean 40 h }` is read as two keys.
            Some("inside { } a comma ends the value: put a text with commas in quotes".to_string())
        } else if value.is_null() && key.len() == 3 && key.bytes().all(|b| b.is_ascii_digit()) {
            // `{ price: 240,000 }` is read as two keys.
            Some(
                "inside { } a comma ends the value: write the number without it, `240000`"
                    .to_string(),
            )
        } else if let Some(near) =
            nearest(key, open).or_else(|| nearest(key, known.keys().map(String::as_str)))
        {
            Some(format!("did you mean `{near}`?"))
        } else {
            self.homes_of(key)
        };
        self.push(problem);
    }

    /// Which other blocks have a key of that name.
    fn homes_of(&self, key: &str) -> Option<String> {
        let definitions = self.root.get("$defs")?.as_object()?;
        let homes: Vec<String> = definitions
            .values()
            .filter(|block| block.pointer(&format!("/properties/{key}")).is_some())
            .filter_map(|block| {
                let text = block.get("description")?.as_str()?;
                Some(text.split(['.', '\n']).next()?.to_lowercase())
            })
            .collect();
        (1..=3)
            .contains(&homes.len())
            .then(|| format!("`{key}` belongs elsewhere: {}", homes.join("; ")))
    }

    fn array(&mut self, items: &[Value], schema: &'a Value) {
        let least = schema.get("minItems").and_then(Value::as_u64).unwrap_or(0);
        if (items.len() as u64) < least {
            let item = schema.get("items").map(|items| wanted(self.resolve(items)));
            let problem = Problem::error(self.here(), format!("{} is an empty list", self.name()))
                .expected(format!("at least one item: {}", item.unwrap_or_default()));
            self.push(problem);
        }
        let most = schema.get("maxItems").and_then(Value::as_u64);
        if let Some(most) = most.filter(|&most| items.len() as u64 > most) {
            let message = format!("{} has {} items", self.name(), items.len());
            self.push(Problem::error(self.here(), message).expected(format!("at most {most}")));
        }
        if let Some(item_schema) = schema.get("items") {
            for (index, item) in items.iter().enumerate() {
                self.within(Step::Item(index), |walk| walk.value(item, item_schema));
            }
        }
    }

    /// A block whose `work` says which of several shapes it has.
    fn tagged(&mut self, value: &Value, options: &'a [Value]) {
        let Value::Object(object) = value else {
            let problem =
                Problem::error(self.here(), format!("{} is {}", self.name(), found(value)))
                    .expected("a block of keys, `work` among them");
            return self.push(problem);
        };
        let words: Vec<(String, Option<String>)> = options
            .iter()
            .filter_map(|o| Some((tag(o)?.to_string(), None)))
            .collect();
        let names = || words.iter().map(|(word, _)| word.as_str());
        match object.get("work") {
            None => {
                let problem = Problem::error(
                    self.here_key(),
                    format!("{} lacks the key `work`", self.name()),
                )
                .expected(format!("`work`: {}", list(names())));
                self.push(problem);
            }
            Some(work) => match options
                .iter()
                .find(|option| tag(option).is_some() && tag(option) == work.as_str())
            {
                Some(option) => self.object(object, option),
                None => self.within(Step::Key("work".to_string()), |walk| {
                    walk.word(work, &words)
                }),
            },
        }
    }

    /// The last key of the path, for messages; list items by their number, from 1.
    fn name(&self) -> String {
        match self.path.as_slice() {
            [.., Step::Key(key)] => format!("`{key}`"),
            [.., Step::Key(key), Step::Item(index)] => format!("item {} of `{key}`", index + 1),
            _ => "the scenario".to_string(),
        }
    }
}
