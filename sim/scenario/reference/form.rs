//! The form of a value in words, for the table of keys.
//!
//! In: the schema of a key. Out: a phrase such as `whole number from 1`, with a link where it is a block.

use serde_json::Value;

use super::super::wording::{types, words};
use super::{Page, reference_name, spaced};

impl Page<'_> {
    /// The form of a value, in words, with a link to its block.
    pub(super) fn form(&self, schema: &Value) -> String {
        if let Some(name) = reference_name(schema) {
            return format!(
                "[{}](#{})",
                spaced(name).to_lowercase(),
                spaced(name).to_lowercase().replace(' ', "-")
            );
        }
        if let Some(words) = words(schema) {
            return words
                .iter()
                .map(|(word, _)| format!("`{word}`"))
                .collect::<Vec<_>>()
                .join(", ");
        }
        let range = match (schema.get("minimum"), schema.get("maximum")) {
            (Some(least), Some(most)) if least == most => format!(" {least}"),
            (Some(least), Some(most)) => format!(" from {least} to {most}"),
            (Some(least), None) if least != &Value::from(0) => format!(" from {least}"),
            _ => String::new(),
        };
        // A number, or a list of blocks.
        if types(schema) == ["integer", "array"] {
            let items = schema.get("items").map(|items| self.form(items));
            let items = items.unwrap_or_default();
            return format!("whole number{range}, or list of {items}");
        }
        // A default is an example already.
        let example = schema
            .pointer("/examples/0")
            .and_then(Value::as_str)
            .filter(|_| schema.get("default").is_none());
        let example = example
            .map(|text| format!(", `{text}`"))
            .unwrap_or_default();
        match (
            schema.get("format").and_then(Value::as_str),
            schema.get("type").and_then(Value::as_str),
        ) {
            (Some(form), _) => format!("{form}{example}"),
            (None, Some("integer")) => format!("whole number{range}"),
            (None, Some("number")) => format!("number{range}"),
            (None, Some("boolean")) => "`true` or `false`".to_string(),
            (None, Some("array")) => format!(
                "list of {}",
                schema
                    .get("items")
                    .map(|items| self.form(items))
                    .unwrap_or_default()
            ),
            (None, Some("object")) => self.form_of_map(schema),
            _ => "text".to_string(),
        }
    }

    pub(super) fn form_of_map(&self, schema: &Value) -> String {
        if let Some(other) = schema
            .get("additionalProperties")
            .filter(|other| other.is_object())
        {
            let names = schema.get("propertyNames").and_then(reference_name);
            return format!(
                "by {}: {}",
                names.map_or("name".to_string(), |name| spaced(name).to_lowercase()),
                self.form(other)
            );
        }
        // One form under each of several words.
        let properties = schema.get("properties").and_then(Value::as_object);
        let words: Vec<String> = properties
            .into_iter()
            .flatten()
            .map(|(word, _)| format!("`{word}`"))
            .collect();
        let form = properties
            .and_then(|all| all.values().next())
            .map(|first| self.form(first))
            .unwrap_or_default();
        format!("{form} under each of {}", words.join(", "))
    }
}
