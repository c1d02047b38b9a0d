//! Products: sizes, geometry, features.
//!
//! In: products as written. Out: drafts without routes, which are laid by [`super::route`].

use crate::plant::Product;
use crate::trade::Format;
use crate::units::Dimension;

use super::super::file::{self, PouchFormat, ScenarioFile, Station};
use super::super::problem::Problem;
use super::pouch::pouch;
use super::{At, Checker, Names, supply};

/// A product on its way; `None` if something it cannot do without is missing.
pub(super) struct Draft {
    pub product: Option<Product>,
}

impl Draft {
    /// The product, or one without size, format and route that holds its index.
    pub(super) fn product_or_blank(&self, name: &str) -> Product {
        self.product.clone().unwrap_or_else(|| blank(name))
    }
}

/// A piece: no format, no web.
fn blank(name: &str) -> Product {
    Product {
        supplies: Vec::new(),
        name: name.to_string(),
        format: None,
        width_mm: 0.0,
        height_mm: 0.0,
        gusset_mm: 0.0,
        fin_mm: 0.0,
        developed_mm: 0.0,
        pitch_mm: 1.0,
        laminate: 0,
        web_mm: 0.0,
        trim_mm: 0.0,
        edge_trim_mm: 0.0,
        centre_trim_mm: 0.0,
        lanes: 1,
        reel_lanes: 1,
        zipper: false,
        zipper_kind: 0,
        bottom: 0,
        features: Vec::new(),
        more_webs: Vec::new(),
        per_carton: 1,
        route: Vec::new(),
        overs: 0.0,
    }
}

/// The widest web that is believed, mm.
pub(super) const WEB_MAX_MM: f64 = 5000.0;

pub(super) fn format(written: PouchFormat) -> Format {
    match written {
        PouchFormat::StandUp => Format::StandUp,
        PouchFormat::StandUpInserted => Format::StandUpInserted,
        PouchFormat::StandUpTwoWeb => Format::StandUpTwoWeb,
        PouchFormat::ThreeSide => Format::ThreeSide,
        PouchFormat::FlatBottom => Format::FlatBottom,
        PouchFormat::QuadSeal => Format::QuadSeal,
        PouchFormat::RollStock => Format::RollStock,
        PouchFormat::Spouted => Format::Spouted,
    }
}

/// Kinds of zippers, each once.
pub(super) fn zippers(file: &ScenarioFile) -> Vec<String> {
    each_once(
        file.products
            .values()
            .filter_map(|product| match &product.zipper {
                file::Zipper::Kind(kind) => Some(kind),
                file::Zipper::Has(_) => None,
            }),
    )
}

/// Forms of bottom seals, each once.
pub(super) fn bottoms(file: &ScenarioFile) -> Vec<String> {
    each_once(
        file.products
            .values()
            .filter_map(|product| product.bottom.as_ref()),
    )
}

/// Words, each once, in order of first mention.
pub(super) fn each_once<'a>(words: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut each: Vec<String> = Vec::new();
    for word in words {
        if !each.contains(word) {
            each.push(word.clone());
        }
    }
    each
}

impl Names {
    /// Number of a kind of zipper; 0 for one without a name.
    pub fn zipper_kind(&self, zipper: &file::Zipper) -> u16 {
        match zipper {
            file::Zipper::Kind(kind) => number_of(&self.zippers, kind),
            file::Zipper::Has(_) => 0,
        }
    }

    /// Number of a form of bottom seal; 0 where it does not matter.
    pub fn bottom(&self, bottom: Option<&str>) -> u16 {
        bottom.map_or(0, |bottom| number_of(&self.bottoms, bottom))
    }
}

/// Place of a word from 1 on; 0 where it is not among them.
fn number_of(words: &[String], word: &str) -> u16 {
    let place = words.iter().position(|known| known == word);
    place.map_or(0, |place| u16::try_from(place + 1).unwrap_or(u16::MAX))
}

/// Every pouch machine that makes stand-up pouches with an inserted gusset runs an even number of lanes.
pub(super) fn even_gusset(file: &ScenarioFile) -> bool {
    file.stations
        .values()
        .filter_map(|station| match station {
            Station::Pouching(station) => Some(station.machines.values()),
            _ => None,
        })
        .flatten()
        .filter(|machine| machine.speeds.contains_key(&PouchFormat::StandUpInserted))
        .all(|machine| machine.lanes.is_multiple_of(2))
}

/// What pouch machines have besides, in order of first mention.
pub(super) fn modules(file: &ScenarioFile) -> Vec<String> {
    let mut modules: Vec<String> = Vec::new();
    for station in file.stations.values() {
        if let Station::Pouching(station) = station {
            for module in station
                .machines
                .values()
                .flat_map(|machine| &machine.modules)
            {
                if !modules.contains(module) {
                    modules.push(module.clone());
                }
            }
        }
    }
    modules
}

pub(super) fn products(check: &mut Checker, file: &ScenarioFile, names: &Names) -> Vec<Draft> {
    if file.products.is_empty() {
        check.push(
            Problem::error(At::block("products").name(), "there are no products")
                .expected("at least one product"),
        );
    }
    file.products
        .iter()
        .map(|(name, written)| {
            let at = At::block("products").key(name);
            if name == "any" {
                check.push(
                    Problem::error(at.name(), "a product cannot be called `any`")
                        .expected("another name; `any` means every product in changeover tables"),
                );
            }
            match written.format {
                Some(kind) => pouch(check, names, &at, name, written, format(kind)),
                None => piece(check, names, &at, name, written),
            }
        })
        .collect()
}

/// A piece that only visits bench stations.
fn piece(
    check: &mut Checker,
    names: &Names,
    at: &At,
    name: &str,
    written: &file::Product,
) -> Draft {
    let pouch_keys = [
        ("width", written.width.is_some()),
        ("height", written.height.is_some()),
        ("gusset", written.gusset.is_some()),
        ("laminate", written.laminate.is_some()),
        ("web", written.web.is_some()),
        ("lanes", written.lanes.is_some()),
        ("zipper", written.zipper.is_there()),
        ("bottom", written.bottom.is_some()),
        ("features", !written.features.is_empty()),
        ("second_web", written.second_web.is_some()),
        ("more_webs", !written.more_webs.is_empty()),
        ("kit", written.kit.is_some()),
    ];
    let stray = pouch_keys.iter().find(|(_, given)| *given);
    if let Some((key, _)) = stray {
        check.push(
            Problem::error(
                at.key(key).name(),
                format!("`{name}` has `{key}` but no `format`"),
            )
            .expected("a `format` such as `format: stand_up`, or none of a pouch's keys")
            .note("a product without a format is a piece that only visits bench stations"),
        );
    }
    let overs = overs(check, at, written);
    let product = Product {
        supplies: supply::supplies(check, names, at, written),
        per_carton: written.per_carton,
        overs,
        ..blank(name)
    };
    Draft {
        product: stray.is_none().then_some(product),
    }
}

pub(super) fn overs(check: &mut Checker, at: &At, written: &file::Product) -> f64 {
    check.at_most(
        &at.key("overs"),
        &written.overs.0,
        Dimension::Share,
        1.0,
        "100 %",
    )
}

/// The word of the file for a format.
pub(super) fn word(format: PouchFormat) -> String {
    serde_json::to_value(format)
        .ok()
        .and_then(|value| value.as_str().map(str::to_string))
        .unwrap_or_default()
}
