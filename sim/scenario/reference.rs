//! The reference of all scenario keys, written from the JSON Schema.
//!
//! In: the schema. Out: a Markdown page with one section per block: key, form, default, meaning.
//! Keys that all machines (or all stations) share are told once.

mod about;
mod form;

use std::fmt::Write as _;

use serde_json::{Map, Value};

use super::schema::schema;
use super::wording::{tag, words};

pub use about::about;

/// The reference page, Markdown.
pub fn reference() -> String {
    let schema = schema();
    let mut page = Page {
        root: schema,
        text: String::new(),
        done: Vec::new(),
        queue: Vec::new(),
    };
    page.text.push_str(HEAD);
    page.table(schema.get("properties"), &required(schema), &[]);
    page.queue_blocks(schema);
    let variants = super::schema::variants_schema();
    let names = |key: &str| {
        let property = variants.pointer(&format!("/properties/{key}"));
        let text = property
            .and_then(|p| p.get("description"))
            .and_then(Value::as_str);
        format!("| `{key}` | {} |", cell(text.unwrap_or("")))
    };
    page.line("\n## A file of variants\n\nVariants of a cell may also stand in a file of their own, which `compare`, `sweep` and `limit` read; it has these keys and no others.\n\n| key | meaning |\n|---|---|");
    for key in ["format", "base", "name", "note", "demands", "variants"] {
        page.line(&names(key));
    }
    while !page.queue.is_empty() {
        let name = page.queue.remove(0);
        page.section(&name);
    }
    page.text.push_str(&crate::random::section());
    page.text
}

const HEAD: &str = "# Scenario file: every key\n\n\
    This page is made from the program; a test keeps it true. Quantities carry their unit. A text with \
    a comma in it stands in quotes inside `{ }` and `[ ]`. \"Common practice, no source\" and \"assumed\" \
    mark defaults that every shop should replace with figures of its own.\n\n\
    ## The file\n\n";

struct Page<'a> {
    root: &'a Value,
    text: String,
    done: Vec<String>,
    queue: Vec<String>,
}

impl<'a> Page<'a> {
    fn definition(&self, name: &str) -> Option<&'a Value> {
        self.root.get("$defs")?.get(name)
    }

    fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    fn section(&mut self, name: &str) {
        let Some(block) = self.definition(name) else {
            return;
        };
        if let Some(words) = words(block) {
            self.heading(name, block);
            self.line("| word | meaning |\n|---|---|");
            for (word, meaning) in words {
                self.line(&format!(
                    "| `{word}` | {} |",
                    cell(meaning.as_deref().unwrap_or(""))
                ));
            }
        } else if let Some(Value::Array(options)) = block.get("oneOf") {
            self.heading(name, block);
            self.line("`work` says what the station does, and with it which other keys there are. Required.\n");
            self.line("| `work` | meaning | `machines` (required), by name |\n|---|---|---|");
            for option in options {
                let meaning = option
                    .get("description")
                    .and_then(Value::as_str)
                    .unwrap_or("");
                let machine = option
                    .pointer("/properties/machines/additionalProperties")
                    .map(|machine| self.form(machine));
                self.line(&format!(
                    "| `{}` | {} | {} |",
                    tag(option).unwrap_or(""),
                    cell(meaning),
                    machine.unwrap_or_default()
                ));
            }
            self.line("\nNames of machines are unique in the whole file.");
            self.shared(
                "Keys of every station",
                options
                    .iter()
                    .filter_map(|option| option.get("properties"))
                    .collect(),
                &["work", "machines"],
            );
            let mut told: Vec<&Value> = Vec::new();
            for option in options {
                let Some(machines) = option.pointer("/properties/machines/additionalProperties")
                else {
                    continue;
                };
                let Some(machine) = reference_name(machines) else {
                    continue;
                };
                if !told.contains(&machines) {
                    told.push(machines);
                    self.enqueue(machine);
                }
            }
            if let Some(bench) = options.iter().find(|option| tag(option) == Some("bench")) {
                self.line("\n### Keys of a bench station\n");
                let own: Vec<&str> = ["time", "times", "per"].to_vec();
                self.table_of(bench.get("properties"), &[], |key| own.contains(&key));
                self.queue_blocks(bench);
            }
            let machines: Vec<&Value> = told
                .iter()
                .filter_map(|machine| self.definition(reference_name(machine)?)?.get("properties"))
                .collect();
            self.shared("Keys of every machine", machines, &["changeover"]);
        } else if block.get("properties").is_some() {
            self.heading(name, block);
            let shared = self.shared_machine_keys(name);
            self.table(block.get("properties"), &required(block), &shared);
            if !shared.is_empty() {
                self.line("\nBesides the keys of every machine.");
            }
            self.queue_blocks(block);
        }
    }

    fn heading(&mut self, name: &str, block: &Value) {
        let _ = write!(self.text, "\n## {}\n\n", spaced(name));
        if let Some(text) = block.get("description").and_then(Value::as_str) {
            self.line(&format!("{}\n", text.trim()));
        }
    }

    /// The keys that all of `blocks` have, told once.
    fn shared(&mut self, title: &str, blocks: Vec<&'a Value>, but: &[&str]) {
        let Some(first) = blocks.first() else { return };
        let common = common_keys(&blocks, but);
        let _ = write!(self.text, "\n### {title}\n\n");
        self.table_of(Some(first), &[], |key| {
            common.iter().any(|known| known == key)
        });
        for key in &common {
            if let Some(property) = first.get(key) {
                self.queue_blocks(property);
            }
        }
    }

    /// The keys a kind of machine shares with all others; none for other blocks.
    fn shared_machine_keys(&self, name: &str) -> Vec<String> {
        let machines: Vec<&Value> = [
            "Press",
            "Laminator",
            "Slitter",
            "PouchMachine",
            "PieceMachine",
            "Packer",
            "Bench",
        ]
        .iter()
        .filter_map(|name| self.definition(name)?.get("properties"))
        .collect();
        let is_machine = self
            .definition(name)
            .and_then(|block| block.get("properties"))
            .is_some_and(|own| machines.contains(&own));
        if is_machine {
            common_keys(&machines, &["changeover"])
        } else {
            Vec::new()
        }
    }

    fn table(&mut self, properties: Option<&Value>, required: &[&str], leave_out: &[String]) {
        self.table_of(properties, required, |key| {
            !leave_out.iter().any(|name| name == key)
        });
    }

    fn table_of(
        &mut self,
        properties: Option<&Value>,
        required: &[&str],
        shown: impl Fn(&str) -> bool,
    ) {
        self.line("| key | form | default | meaning |\n|---|---|---|---|");
        for (key, property) in properties
            .and_then(Value::as_object)
            .into_iter()
            .flatten()
            .filter(|(key, _)| shown(key))
        {
            let default = match property.get("default") {
                _ if required.contains(&key.as_str()) => "required".to_string(),
                Some(Value::String(text)) => format!("`{text}`"),
                Some(Value::Object(_)) | None => String::new(),
                Some(Value::Array(items)) if items.is_empty() => String::new(),
                Some(Value::Array(items)) => format!(
                    "`[{}]`",
                    items
                        .iter()
                        .filter_map(Value::as_str)
                        .collect::<Vec<_>>()
                        .join(", ")
                ),
                Some(other) => format!("`{other}`"),
            };
            let meaning = property
                .get("description")
                .and_then(Value::as_str)
                .unwrap_or("");
            let row = format!(
                "| `{key}` | {} | {default} | {} |",
                cell(&self.form(property)),
                cell(meaning)
            );
            self.line(&row);
        }
    }

    fn enqueue(&mut self, name: &str) {
        if !self.done.iter().any(|known| known == name) {
            self.done.push(name.to_string());
            self.queue.push(name.to_string());
        }
    }

    /// Queues every block that `schema` speaks of, in order.
    fn queue_blocks(&mut self, schema: &Value) {
        match schema {
            Value::Object(object) => {
                for (key, value) in object {
                    match (key.as_str(), value) {
                        ("$ref", Value::String(_)) => {
                            if let Some(name) = reference_name(schema) {
                                self.enqueue(name);
                            }
                        }
                        ("$defs", _) => {}
                        _ => self.queue_blocks(value),
                    }
                }
            }
            Value::Array(items) => items.iter().for_each(|item| self.queue_blocks(item)),
            _ => {}
        }
    }
}

/// Keys that every one of `blocks` has, in the order of the first.
fn common_keys(blocks: &[&Value], but: &[&str]) -> Vec<String> {
    let objects: Vec<&Map<String, Value>> = blocks
        .iter()
        .filter_map(|block| block.as_object())
        .collect();
    let Some(first) = objects.first() else {
        return Vec::new();
    };
    first
        .keys()
        .filter(|key| {
            !but.contains(&key.as_str()) && objects.iter().all(|other| other.contains_key(*key))
        })
        .cloned()
        .collect()
}

fn required(schema: &Value) -> Vec<&str> {
    schema
        .get("required")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect()
}

fn reference_name(schema: &Value) -> Option<&str> {
    schema.get("$ref")?.as_str()?.strip_prefix("#/$defs/")
}

/// `PouchMachine` as `Pouch machine`.
fn spaced(name: &str) -> String {
    let mut text = String::new();
    for (index, c) in name.chars().enumerate() {
        if index > 0 && c.is_uppercase() {
            text.push(' ');
            text.extend(c.to_lowercase());
        } else {
            text.push(c);
        }
    }
    text
}

/// A text that may stand in a cell of a table.
fn cell(text: &str) -> String {
    text.replace('\n', " ").replace('|', "\\|")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every property name that the schema knows stands on the page.
    #[test]
    fn no_key_is_left_out() {
        fn keys(value: &Value, all: &mut Vec<String>) {
            if let Some(properties) = value.get("properties").and_then(Value::as_object) {
                all.extend(properties.keys().cloned());
            }
            match value {
                Value::Object(object) => object.values().for_each(|value| keys(value, all)),
                Value::Array(items) => items.iter().for_each(|value| keys(value, all)),
                _ => {}
            }
        }
        let mut all = Vec::new();
        keys(schema(), &mut all);
        let page = reference();
        assert!(all.len() > 150, "{}", all.len());
        for key in all {
            assert!(page.contains(&format!("`{key}`")), "{key} is not told");
        }
    }

    #[test]
    fn the_safety_text_stands_near_the_cure() {
        let page = reference();
        assert!(
            page.matches("must never be used to justify a cure shorter")
                .count()
                >= 3
        );
        assert!(!page.contains("null"));
    }
}
