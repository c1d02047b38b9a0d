//! The JSON Schema of a scenario file, made from the types of [`super::file`].
//!
//! In: the types. Out: a draft 2020-12 schema without `null`s: an optional key is left out, never
//! left empty. The structural walk and the reference page are driven by the same schema.

use std::sync::LazyLock;

use schemars::generate::SchemaSettings;
use serde_json::{Map, Value};

use super::file::{ScenarioFile, VariantsFile};

/// The JSON Schema, for editors (`# yaml-language-server: $schema=...`) and for the reader itself.
/// Made once, at the first use: it is a third of the work of reading a file.
pub fn schema() -> &'static Value {
    static SCHEMA: LazyLock<Value> = LazyLock::new(schema_of::<ScenarioFile>);
    &SCHEMA
}

/// The JSON Schema of files that hold variants of a cell in another file.
pub fn variants_schema() -> Value {
    schema_of::<VariantsFile>()
}

fn schema_of<T: schemars::JsonSchema>() -> Value {
    let schema = SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<T>();
    let mut schema = schema.to_value();
    tidy(&mut schema);
    schema
}

/// Takes `null` out of what may be written, and Rust's number formats out of what is shown.
fn tidy(value: &mut Value) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(tidy),
        Value::Object(object) => {
            drop_null(object);
            object.values_mut().for_each(tidy);
        }
        _ => {}
    }
}

fn drop_null(object: &mut Map<String, Value>) {
    let format = object.get("format").and_then(Value::as_str).unwrap_or("");
    if ["uint", "uint8", "uint32", "uint64", "double"].contains(&format) {
        object.remove("format");
    }
    if object.get("default") == Some(&Value::Null) {
        object.remove("default");
    }
    if let Some(Value::Array(types)) = object.get_mut("type") {
        types.retain(|name| name != "null");
        if let [one] = types.as_slice() {
            let one = one.clone();
            object.insert("type".to_string(), one);
        }
    }
    if let Some(Value::Array(options)) = object.get_mut("anyOf") {
        options.retain(|option| option.get("type") != Some(&Value::from("null")));
        if let [Value::Object(only)] = options.as_slice() {
            let only = only.clone();
            object.remove("anyOf");
            for (key, value) in only {
                object.entry(key).or_insert(value);
            }
        }
    }
}
