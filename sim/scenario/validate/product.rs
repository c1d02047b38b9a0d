//! Products: sizes, geometry, features.
//!
//! In: products as written. Out: drafts without routes, which are laid by [`super::route`].

use crate::plant::Product;
use crate::trade::Format;
use crate::trade::geometry::{PouchSize, developed_width_mm, pitch_mm};
use crate::trade::lanes::WebTrims;
use crate::units::Dimension;

use super::super::file::{self, PouchFormat, ScenarioFile, Station};
use super::super::nearest::{list, nearest};
use super::super::problem::Problem;
use super::webs::{self, Body};
use super::{At, Checker, Names};

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
        kit: None,
        name: name.to_string(),
        format: None,
        width_mm: 0.0,
        height_mm: 0.0,
        gusset_mm: 0.0,
        developed_mm: 0.0,
        pitch_mm: 1.0,
        laminate: 0,
        web_mm: 0.0,
        lanes: 1,
        zipper: false,
        features: Vec::new(),
        more_webs: Vec::new(),
        per_carton: 1,
        route: Vec::new(),
        overs: 0.0,
    }
}

/// The largest pouch that is believed, mm.
const POUCH_MAX_MM: f64 = 1000.0;
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
                None => piece(check, &at, name, written),
            }
        })
        .collect()
}

/// A piece that only visits bench stations.
fn piece(check: &mut Checker, at: &At, name: &str, written: &file::Product) -> Draft {
    let pouch_keys = [
        ("width", written.width.is_some()),
        ("height", written.height.is_some()),
        ("gusset", written.gusset.is_some()),
        ("laminate", written.laminate.is_some()),
        ("web", written.web.is_some()),
        ("lanes", written.lanes.is_some()),
        ("zipper", written.zipper),
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
        per_carton: written.per_carton,
        overs,
        ..blank(name)
    };
    Draft {
        product: stray.is_none().then_some(product),
    }
}

fn overs(check: &mut Checker, at: &At, written: &file::Product) -> f64 {
    check.at_most(
        &at.key("overs"),
        &written.overs.0,
        Dimension::Share,
        1.0,
        "100 %",
    )
}

fn pouch(
    check: &mut Checker,
    names: &Names,
    at: &At,
    name: &str,
    written: &file::Product,
    format: Format,
) -> Draft {
    let word = written.format.map(word).unwrap_or_default();
    let lacks = |check: &mut Checker, key: &str, expected: &str| {
        check.push(
            Problem::error(
                at.name(),
                format!("`{name}` has the format `{word}` and lacks the key `{key}`"),
            )
            .expected(expected.to_string()),
        );
    };
    let mut size =
        |key: &str, text: &Option<file::Width>, most: f64, most_text: &str, expected: &str| {
            match text {
                Some(text) => Some(check.above_zero(
                    &at.key(key),
                    &text.0,
                    Dimension::SmallLength,
                    most,
                    most_text,
                )),
                None => {
                    lacks(check, key, expected);
                    None
                }
            }
        };
    let width = size(
        "width",
        &written.width,
        POUCH_MAX_MM,
        "1000 mm",
        "`width`: the finished outside width, such as `130 mm`",
    );
    let height = size(
        "height",
        &written.height,
        POUCH_MAX_MM,
        "1000 mm",
        "`height`: the finished height, such as `210 mm`",
    );
    let web = size(
        "web",
        &written.web,
        WEB_MAX_MM,
        "5000 mm",
        "`web`: the width of the printed web, such as `760 mm`",
    );
    let with_gusset = matches!(
        format,
        Format::StandUp
            | Format::StandUpInserted
            | Format::StandUpTwoWeb
            | Format::FlatBottom
            | Format::QuadSeal
    );
    let gusset = match (&written.gusset, format) {
        (Some(text), Format::ThreeSide | Format::RollStock) => {
            check.push(
                Problem::error(
                    at.key("gusset").name(),
                    format!(
                        "the format `{word}` has no gusset, but `{name}` has one: {}",
                        text.0
                    ),
                )
                .expected("no `gusset`, or another format"),
            );
            Some(0.0)
        }
        (Some(_), _) => size("gusset", &written.gusset, POUCH_MAX_MM, "1000 mm", ""),
        (None, _) if with_gusset => size(
            "gusset",
            &None,
            0.0,
            "",
            "`gusset`: the depth of the gusset, such as `40 mm`",
        ),
        (None, _) => Some(0.0),
    };
    let laminate = match &written.laminate {
        Some(laminate) => check.find(
            at.key("laminate").value(),
            laminate,
            &names.laminates,
            "a laminate",
        ),
        None => {
            lacks(
                check,
                "laminate",
                &format!(
                    "`laminate`: {}",
                    list(names.laminates.iter().map(String::as_str))
                ),
            );
            None
        }
    };
    let overlap_mm = check.at_most(
        &at.key("overlap"),
        &written.overlap.0,
        Dimension::SmallLength,
        200.0,
        "200 mm",
    );
    let trims = WebTrims {
        edge_mm: check.at_most(
            &at.key("edge_trim"),
            &written.edge_trim.0,
            Dimension::SmallLength,
            200.0,
            "200 mm",
        ),
        centre_mm: check.at_most(
            &at.key("centre_trim"),
            &written.centre_trim.0,
            Dimension::SmallLength,
            200.0,
            "200 mm",
        ),
    };
    let features = features(check, names, at, written);
    let overs = overs(check, at, written);
    let mut draft = Draft { product: None };
    let (Some(width_mm), Some(height_mm), Some(gusset_mm), Some(web_mm)) =
        (width, height, gusset, web)
    else {
        return draft;
    };
    let size = PouchSize {
        width_mm,
        height_mm,
        gusset_mm,
        overlap_mm,
        ..PouchSize::default()
    };
    let developed_mm = developed_width_mm(format, &size);
    let body = Body {
        at,
        name,
        written,
        format,
        size: &size,
        web_mm,
        trims: &trims,
    };
    let lanes = webs::lanes(check, &body);
    let second = webs::second(check, names, &body);
    let more_webs = webs::all(check, names, &body, second);
    let kit = kit(check, at, written, format);
    let Some(laminate) = laminate else {
        return draft;
    };
    draft.product = Some(Product {
        kit,
        name: name.to_string(),
        format: Some(format),
        width_mm,
        height_mm,
        gusset_mm,
        developed_mm,
        // Roll-stock is sold by the metre of reel: its piece is one metre.
        pitch_mm: if format == Format::RollStock {
            1000.0
        } else {
            pitch_mm(format, &size)
        },
        laminate,
        web_mm,
        lanes,
        zipper: written.zipper,
        features,
        more_webs,
        per_carton: written.per_carton,
        route: Vec::new(),
        overs,
    });
    draft
}

/// Time until what belongs to a pouch besides its web is there.
fn kit(
    check: &mut Checker,
    at: &At,
    written: &file::Product,
    format: Format,
) -> Option<crate::random::Dist> {
    let text = written.kit.as_ref()?;
    let at = at.key("kit");
    if !format.needs_pouching() {
        check.push(
            Problem::warning(
                at.name(),
                "`kit` has no effect: roll-stock makes no pouches",
            )
            .expected("no `kit`, or a pouch format"),
        );
    }
    Some(check.random(&at, &text.0, Dimension::Duration))
}

/// The word of the file for a format.
pub(super) fn word(format: PouchFormat) -> String {
    serde_json::to_value(format)
        .ok()
        .and_then(|value| value.as_str().map(str::to_string))
        .unwrap_or_default()
}

fn features(check: &mut Checker, names: &Names, at: &At, written: &file::Product) -> Vec<u16> {
    let mut features = Vec::new();
    for (index, feature) in written.features.iter().enumerate() {
        match names.modules.iter().position(|module| module == feature) {
            Some(found) => features.extend(u16::try_from(found)),
            None => {
                let modules = || names.modules.iter().map(String::as_str);
                let mut problem = Problem::error(
                    at.key("features").item(index).value(),
                    format!("no pouch machine has a module called `{feature}`"),
                )
                .expected(if names.modules.is_empty() {
                    "no features: the pouch machines have no modules".to_string()
                } else {
                    list(modules())
                });
                problem.help = Some(match nearest(feature, modules()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None if feature == "zipper" => {
                        "a zipper has a key of its own: `zipper: true`".to_string()
                    }
                    None => {
                        format!("add `{feature}` to the `modules` of a pouch machine that has it")
                    }
                });
                check.push(problem);
            }
        }
    }
    features.sort_unstable();
    features.dedup();
    features
}
