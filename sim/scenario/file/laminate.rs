//! Film structures: as a whole, or pass by pass.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;

use super::{Caliper, Duration, Price, Speed, Treating, Weight};

/// A film structure.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Laminate {
    /// Films from the outside in; caliper and weight are added up from them, with ink (2 g/m2) and the adhesive between them (1.8 g/m2 a line; none beside a `coating`, and none for the pass of a thermal film). With a list of `passes` those of the printed web alone. Give this, or `caliper` and `weight`.
    #[serde(default)]
    #[schemars(length(min = 1))]
    pub films: Option<Vec<String>>,
    /// Total caliper, instead of `films`; with a list of `passes` that of the printed web.
    #[serde(default)]
    pub caliper: Option<Caliper>,
    /// Total mass per area, instead of `films`; with a list of `passes` that of the printed web.
    #[serde(default)]
    pub weight: Option<Weight>,
    /// A word of your own, such as matt or gloss; another finish is another changeover.
    #[serde(default = "plain")]
    pub finish: String,
    /// Adhesive or thermal coating. Required, unless every pass of a list of `passes` names its own.
    #[serde(default)]
    pub adhesive: Option<String>,
    /// Bonds between its `films` that are bought in ready, as in a web of metallised film on sealant; each other one needs a pass.
    #[serde(default)]
    #[schemars(range(max = 4))]
    pub bought_bonds: u8,
    /// Lamination passes: their number, where all are alike (2 for three plies bonded one after the other), or a list of them in order, each with what it adds. Of a list the web of each pass is paid and lost where it is joined; with a number all of the laminate is reckoned from print on.
    #[serde(default)]
    pub passes: Passes,
    /// Kinds of web that it is: words of your own, such as mono_pe or soft_touch, for machines that run such webs slower (`speed_for`).
    #[serde(default)]
    pub kinds: Vec<String>,
    /// Corona treatment that its webs need at lamination; only a laminator with such treaters takes it.
    #[serde(default)]
    pub treat: Treating,
    /// Time from print, or from the press where one is in the cell, until ink or toner is dry enough for the first pass, round the clock. Take it from their makers. Default: none.
    #[serde(default)]
    pub dry: Option<Duration>,
    /// Longest waits before its laminations. Default: none.
    #[serde(default)]
    pub longest: Option<Longest>,
    /// Material cost, in the currency of the reader; with a list of `passes` that of the printed web. Default: not told.
    #[serde(default)]
    pub price: Option<Price>,
}

/// Longest waits of a web before its laminations: what is older is lost when a machine would take it, and printed again. Take them from what ink, film and adhesive suppliers say.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Longest {
    /// From print to the first pass, where print may not be touched or a treatment decays. Default: no limit.
    #[serde(default)]
    pub to_lamination: Option<Duration>,
    /// From each pass to the next. Default: no limit.
    #[serde(default)]
    pub between_passes: Option<Duration>,
}

/// Lamination passes of a laminate.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Passes {
    /// So many, all alike.
    Number(u8),
    /// One after the other.
    List(Vec<Pass>),
}

impl Passes {
    /// How many there are.
    pub fn count(&self) -> usize {
        match self {
            Self::Number(count) => usize::from(*count),
            Self::List(list) => list.len(),
        }
    }

    /// Those that are told one by one.
    pub fn list(&self) -> Option<&[Pass]> {
        match self {
            Self::Number(_) => None,
            Self::List(list) => Some(list),
        }
    }
}

impl Default for Passes {
    fn default() -> Self {
        Self::Number(1)
    }
}

impl JsonSchema for Passes {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Passes".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let pass = generator.subschema_for::<Pass>();
        json_schema!({
            "type": ["integer", "array"],
            "default": 1,
            "minimum": 1,
            "maximum": 4,
            "minItems": 1,
            "maxItems": 4,
            "items": pass,
        })
    }
}

/// A lamination pass: a web is joined to what is there.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pass {
    /// Films that it joins, from the outside in; on which side they come makes no difference to time or material. Give this, or `caliper` and `weight`.
    #[serde(default)]
    #[schemars(length(min = 1))]
    pub films: Option<Vec<String>>,
    /// Caliper of what it adds, adhesive included, instead of `films`.
    #[serde(default)]
    pub caliper: Option<Caliper>,
    /// Mass per area of what it adds, adhesive included, instead of `films`.
    #[serde(default)]
    pub weight: Option<Weight>,
    /// Adhesive or thermal coating; it says the process, and the holds after this pass. Default: that of the laminate.
    #[serde(default)]
    pub adhesive: Option<String>,
    /// Finish that the laminator is set up for. Default: that of the laminate.
    #[serde(default)]
    pub finish: Option<String>,
    /// Corona treatment it needs. Default: that of the laminate.
    #[serde(default)]
    pub treat: Option<Treating>,
    /// Kinds of web that it runs as. Default: those of the laminate.
    #[serde(default)]
    pub kinds: Option<Vec<String>>,
    /// Fastest web speed of this pass; a slower laminator runs at its own. Default: no limit.
    #[serde(default)]
    pub speed: Option<Speed>,
    /// Bonds between its `films` that are bought in ready.
    #[serde(default)]
    #[schemars(range(max = 4))]
    pub bought_bonds: u8,
    /// Material cost of what it adds. Default: from its films and adhesive, where those have prices.
    #[serde(default)]
    pub price: Option<Price>,
}

fn plain() -> String {
    "plain".to_string()
}
