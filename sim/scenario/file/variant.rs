//! Variants: named changes to a cell, and the files that hold nothing but such changes.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde_json::Value;

use super::{Named, Number};

/// Form of a new value in the JSON Schema: anything goes here, what it stands for is checked in its place.
pub(crate) const NEW_VALUE: &str = "new value";

/// A new value: whatever may stand in the place that is changed, or a word on what to do with it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(transparent)]
pub struct NewValue(pub Value);

impl JsonSchema for NewValue {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "NewValue".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": ["string", "number", "boolean", "array", "object"],
            "format": NEW_VALUE,
            "examples": ["x 1.2", "remove"]
        })
    }
}

/// A variant of the cell: what is changed, by the path to it.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Variant {
    /// What it stands for, shown with the results.
    #[serde(default)]
    pub note: Option<String>,
    /// New values by path: keys joined by dots, `stations.pouching.machines.pouch_machine.calendar`; `*` for every entry of a block or a list; streams of orders by their name. A value replaces the old one. `x 1.2` multiplies the old one; on a whole block it multiplies every time in it that may vary. `remove` takes it out. A block with `like: NAME` is a copy of its neighbour of that name in which the other keys are new (`remove` takes one out); with `before: NAME` it stands before that neighbour. The path `demand` with `x 1.2` multiplies the orders of every stream. Changes are made in the order of the file.
    pub change: Named<NewValue>,
}

/// A file of variants of a cell that stands in another file.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Variants")]
pub struct VariantsFile {
    /// Version of this file format: `2`. Files of format 1 are rewritten by `pouchcast renew`.
    #[schemars(range(min = 2, max = 2))]
    pub format: u32,
    /// File name of the scenario that is changed, in the same folder.
    pub base: String,
    /// Title, shown on the comparison. Default: that of the base.
    #[serde(default)]
    pub name: Option<String>,
    /// Free text of the author, shown with the results.
    #[serde(default)]
    pub note: Option<String>,
    /// Demand cases: every variant is compared with the orders of all streams multiplied by each of these. Default: those of the base.
    #[serde(default)]
    pub demands: Vec<Number>,
    /// Changes to the base, by name of the variant. The base itself is called `today`.
    pub variants: Named<Variant>,
}
