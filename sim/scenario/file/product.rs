//! Products: format, sizes, web, lanes, features, route.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use super::{Named, RandomTime, Share, Width};

/// A pouch format.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum PouchFormat {
    /// Stand-up pouch from one web, bottom gusset folded in by plows.
    StandUp,
    /// Stand-up pouch whose gusset is a web of its own.
    StandUpInserted,
    /// Stand-up pouch whose front and back come from separate rolls.
    StandUpTwoWeb,
    /// Sealed on three sides.
    ThreeSide,
    /// Flat bottom, five panels from two webs.
    FlatBottom,
    /// Side gussets and four sealed edges, made lengthways with a back seam.
    QuadSeal,
    /// No pouch: slit reels for the customer's own machine. Quantities are metres.
    RollStock,
    /// Pouch with a spout.
    Spouted,
}

/// Something sold.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Product {
    /// Pouch format. Leave it out for a piece that only visits bench stations.
    #[serde(default)]
    pub format: Option<PouchFormat>,
    /// Finished outside width, side seals included. Required with a format.
    #[serde(default)]
    pub width: Option<Width>,
    /// Finished height with the gusset folded in; the cut-off length of roll-stock. Required with a format.
    #[serde(default)]
    pub height: Option<Width>,
    /// Depth of the bottom gusset, one fold leg (a "130x210+40" pouch opens to 80: write 40 mm); the opened depth of flat_bottom and quad_seal. Required for formats with a gusset.
    #[serde(default)]
    pub gusset: Option<Width>,
    /// What the back seam of quad_seal and roll_stock adds to the web: a lap once, a fin seal both its legs (20 mm for one of 10 mm). Common practice, no source.
    #[serde(default = "overlap")]
    pub overlap: Width,
    /// Corner fin of quad_seal, one leg: eight legs add to the web. 0 mm: width and gusset include the fins.
    #[serde(default = "no_trim")]
    pub fin: Width,
    /// Film structure of the body web. Required with a format.
    #[serde(default)]
    pub laminate: Option<String>,
    /// Width of the printed web. Required with a format where the scenario has no `web_widths`; with them the default is the one that takes least web for a pouch.
    #[serde(default)]
    pub web: Option<Width>,
    /// Lanes side by side on the printed web. Default: as many as fit between the trims.
    #[serde(default)]
    #[schemars(range(min = 1, max = 100))]
    pub lanes: Option<u32>,
    /// Lanes on one reel as it goes on the pouch machine. 1: the slitter parts every lane, and each lane needs an unwind of its own. Lanes are a multiple of it.
    #[serde(default = "one_lane")]
    #[schemars(range(min = 1, max = 100))]
    pub reel_lanes: u32,
    /// Trim at each edge of the printed web. Common practice, no source.
    #[serde(default = "edge_trim")]
    pub edge_trim: Width,
    /// Trim between two lanes. Common practice, no source.
    #[serde(default = "no_trim")]
    pub centre_trim: Width,
    /// Whether it has a zipper, or its kind: a word of your own, such as press_to_close or slider. Another kind is a `zipper` changeover.
    #[serde(default)]
    pub zipper: Zipper,
    /// Form of its bottom seal: a word of your own, such as round or square. Another one is a changeover of `seal_bars`. Default: it does not matter.
    #[serde(default)]
    pub bottom: Option<String>,
    /// What its pouch machine must have besides: words of your own, each among the `modules` of a pouch machine.
    #[serde(default)]
    pub features: Vec<String>,
    /// The web that meets the body web at the pouch machine. Required for stand_up_inserted, stand_up_two_web and flat_bottom, refused otherwise.
    #[serde(default)]
    pub second_web: Option<SecondWeb>,
    /// Webs that meet the body web besides the one that follows from the format: side gussets, a label web. At most three webs besides the body in all.
    #[serde(default)]
    pub more_webs: Vec<MoreWeb>,
    /// Time from the release until zipper, spouts and dies are there; pouch making waits for it. Default: they are there.
    #[serde(default)]
    pub kit: Option<RandomTime>,
    /// Materials besides the printed web that may come late, by name: film, zipper. Each station that uses one waits for it. Default: all are there.
    #[serde(default)]
    pub supplies: Named<Supply>,
    /// Pouches in one carton. Common practice, no source.
    #[serde(default = "per_carton")]
    #[schemars(range(min = 1))]
    pub per_carton: u32,
    /// Good quantity planned over the ordered one.
    #[serde(default = "no_overs")]
    pub overs: Share,
    /// Stations in the order of the visit. Default: every station of the file whose work applies, the first one of each kind, lamination once per pass; for a product without a format all bench stations.
    #[serde(default)]
    #[schemars(length(min = 1))]
    pub route: Option<Vec<String>>,
}

/// Whether a product has a zipper, and of which kind.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(untagged)]
pub enum Zipper {
    /// One without a name, or none.
    Has(bool),
    /// One of a kind.
    Kind(String),
}

impl Default for Zipper {
    fn default() -> Self {
        Self::Has(false)
    }
}

impl JsonSchema for Zipper {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Zipper".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": ["boolean", "string"], "default": false })
    }
}

impl Zipper {
    /// Whether there is one.
    pub fn is_there(&self) -> bool {
        !matches!(self, Self::Has(false))
    }
}

/// A material that may come late.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Stations that use it.
    #[schemars(length(min = 1))]
    pub at: Vec<String>,
    /// Time from the release of the order until it is there; drawn once for each SKU.
    pub after: RandomTime,
}

/// A second web; its own width and length follow from the format.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SecondWeb {
    /// Film structure.
    pub laminate: String,
    /// Width of the roll it is laminated on. Default: that of the body web.
    #[serde(default)]
    pub web: Option<Width>,
    /// Bought in, always there; otherwise it is laminated here and cures.
    #[serde(default)]
    pub bought_in: bool,
}

/// A further web, whose width and length do not follow from the format.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MoreWeb {
    /// Film structure.
    pub laminate: String,
    /// Width of one lane of it as it goes on the pouch machine.
    pub width: Width,
    /// Length of this web in one pouch. Default: as long as the body web.
    #[serde(default)]
    pub per_pouch: Option<Width>,
    /// Width of the roll it is laminated on. Default: that of the body web.
    #[serde(default)]
    pub web: Option<Width>,
    /// Bought in, always there; otherwise it is laminated here and cures.
    #[serde(default)]
    pub bought_in: bool,
}

fn one_lane() -> u32 {
    1
}

fn overlap() -> Width {
    "20 mm".into()
}

fn edge_trim() -> Width {
    "10 mm".into()
}

fn no_trim() -> Width {
    "0 mm".into()
}

fn per_carton() -> u32 {
    500
}

fn no_overs() -> Share {
    "0 %".into()
}
