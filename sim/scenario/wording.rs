//! Schemas and values in words.
//!
//! In: a part of the JSON Schema, or a value of the file. Out: what is wanted and what was found,
//! as they stand in messages.

use serde_json::Value;

use super::nearest::list;

/// What the schema wants, in words.
pub(super) fn wanted(schema: &Value) -> String {
    if let Some(words) = words(schema) {
        return list(words.iter().map(|(word, _)| word.as_str()));
    }
    if let Some(format) = schema.get("format").and_then(Value::as_str) {
        let example = schema
            .pointer("/examples/0")
            .and_then(Value::as_str)
            .unwrap_or("");
        return format!("{} {format} such as `{example}`", article(format));
    }
    if schema.get("oneOf").is_some() {
        return "a block of keys, `work` among them".to_string();
    }
    if types(schema) == ["integer", "array"] {
        return "a whole number or a list".to_string();
    }
    match types(schema).first() {
        Some(&"object") => match schema.get("properties").and_then(Value::as_object) {
            Some(keys) if !keys.is_empty() => {
                format!(
                    "a block with keys of {}",
                    list(keys.keys().map(String::as_str))
                )
            }
            _ => "a block of names, each with its value".to_string(),
        },
        Some(&"array") => "a list".to_string(),
        Some(&"integer") => "a whole number".to_string(),
        Some(&"number") => "a number".to_string(),
        Some(&"boolean") => "`true` or `false`".to_string(),
        _ => "a text".to_string(),
    }
}

fn article(word: &str) -> &'static str {
    match word.chars().next() {
        Some('a' | 'e' | 'i' | 'o') => "an",
        Some('h') if word.starts_with("hours") => "some",
        Some('w') if word.starts_with("weekly") => "some",
        _ => "a",
    }
}

/// What stands in the file, in words.
pub(super) fn found(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_string(),
        Value::Bool(value) => format!("`{value}`"),
        Value::Number(number) => format!("the number {number}"),
        Value::String(text) => format!("`{text}`"),
        Value::Array(_) => "a list".to_string(),
        Value::Object(_) => "a block of keys".to_string(),
    }
}

/// The types a schema admits.
pub(super) fn types(schema: &Value) -> Vec<&str> {
    match schema.get("type") {
        Some(Value::String(one)) => vec![one],
        Some(Value::Array(several)) => several.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    }
}

/// The words of an enumeration with their meanings, if the schema is one.
pub(super) fn words(schema: &Value) -> Option<Vec<(String, Option<String>)>> {
    if let Some(Value::Array(words)) = schema.get("enum") {
        return words
            .iter()
            .map(|word| Some((word.as_str()?.to_string(), None)))
            .collect();
    }
    let Some(Value::Array(options)) = schema.get("oneOf") else {
        return None;
    };
    options
        .iter()
        .map(|option| {
            let word = option.get("const")?.as_str()?.to_string();
            Some((
                word,
                option
                    .get("description")
                    .and_then(Value::as_str)
                    .map(str::to_string),
            ))
        })
        .collect()
}

/// The value of `work` that selects an option.
pub(super) fn tag(option: &Value) -> Option<&str> {
    option.pointer("/properties/work/const")?.as_str()
}

/// The first sentence of a key's description.
pub(super) fn meaning(property: &Value) -> Option<String> {
    let text = property.get("description")?.as_str()?;
    Some(text.split(". ").next()?.trim_end_matches('.').to_string())
}
