//! Products with a format: pouches and roll-stock.
//!
//! In: a product as it is written and the names of the cell. Out: its sizes in millimetres, lanes, further
//! webs and features, or what is wrong with them.

use crate::plant::Product;
use crate::trade::Format;
use crate::trade::geometry::{PouchSize, developed_width_mm, pitch_mm};
use crate::trade::lanes::{WebTrims, trims_mm};
use crate::units::Dimension;

use super::super::file;
use super::super::nearest::{list, nearest};
use super::super::problem::Problem;
use super::product::{Draft, WEB_MAX_MM, overs, word};
use super::webs::{self, Body};
use super::{At, Checker, Names, supply};

/// The largest pouch that is believed, mm.
const POUCH_MAX_MM: f64 = 1000.0;

pub(super) fn pouch(
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
    let kept = written.web.is_none() && !names.web_widths.is_empty();
    let told = if kept {
        None
    } else {
        size(
            "web",
            &written.web,
            WEB_MAX_MM,
            "5000 mm",
            "`web`: the width of the printed web, such as `760 mm`, or `web_widths` beside `products`",
        )
    };
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
    if let (Some(width), Some(height), Some(gusset)) = (width, height, gusset) {
        folds(check, at, format, [width, height, gusset]);
    }
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
    let fin_mm = check.at_most(
        &at.key("fin"),
        &written.fin.0,
        Dimension::SmallLength,
        50.0,
        "50 mm",
    );
    if fin_mm > 0.0 && format != Format::QuadSeal {
        check.push(
            Problem::error(
                at.key("fin").name(),
                format!("the format `{word}` has no corner fins, but `{name}` has one"),
            )
            .expected("no `fin`, or `format: quad_seal`"),
        );
    }
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
    zipper(check, at, &written.zipper);
    let features = features(check, names, at, written);
    let overs = overs(check, at, written);
    let mut draft = Draft { product: None };
    let (Some(width_mm), Some(height_mm), Some(gusset_mm)) = (width, height, gusset) else {
        return draft;
    };
    let size = PouchSize {
        width_mm,
        height_mm,
        gusset_mm,
        overlap_mm,
        fin_mm,
        ..PouchSize::default()
    };
    let developed_mm = developed_width_mm(format, &size);
    let stocked = || {
        let (widths, most) = (&names.web_widths, names.widest_mm);
        super::stock::taken(widths, most, developed_mm, &trims, written.lanes)
    };
    let Some(web_mm) = told.or_else(stocked) else {
        return draft;
    };
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
    let second = webs::second(check, names, &body, lanes);
    let more_webs = webs::all(check, names, &body, second);
    let supplies = supply::of_pouch(check, names, at, written, format);
    let Some(laminate) = laminate else {
        return draft;
    };
    draft.product = Some(Product {
        supplies,
        name: name.to_string(),
        format: Some(format),
        width_mm,
        height_mm,
        gusset_mm,
        fin_mm,
        developed_mm,
        // Roll-stock is sold by the metre of reel: its piece is one metre.
        pitch_mm: if format == Format::RollStock {
            1000.0
        } else {
            pitch_mm(format, &size)
        },
        laminate,
        web_mm,
        trim_mm: trims_mm(lanes, developed_mm, &trims),
        edge_trim_mm: trims.edge_mm,
        centre_trim_mm: trims.centre_mm,
        lanes,
        reel_lanes: webs::reel_lanes(check, &body, lanes),
        zipper: written.zipper.is_there(),
        zipper_kind: names.zipper_kind(&written.zipper),
        bottom: names.bottom(written.bottom.as_deref()),
        features,
        more_webs,
        per_carton: written.per_carton,
        route: Vec::new(),
        overs,
    });
    draft
}

/// A kind that is a yes or a no is none.
fn zipper(check: &mut Checker, at: &At, written: &file::Zipper) {
    let file::Zipper::Kind(kind) = written else {
        return;
    };
    let word = kind.trim().to_lowercase();
    let meant = match word.as_str() {
        "yes" | "y" | "on" | "with" => "true",
        "no" | "n" | "off" | "none" | "without" | "" => "false",
        _ => return,
    };
    check.push(
        Problem::error(
            at.key("zipper").value(),
            format!("`{kind}` is no kind of zipper"),
        )
        .expected("`true`, `false`, or a word of your own for its kind, such as `press_to_close`")
        .help(format!("write `{meant}`")),
    );
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

/// A gusset folds into the pouch: a bottom one into its height, the halves of a side one into its width.
fn folds(check: &mut Checker, at: &At, format: Format, [width, height, gusset]: [f64; 3]) {
    let (most, key, why) = match format {
        Format::FlatBottom | Format::QuadSeal => (
            width,
            "width",
            "the two halves of its side gussets do not fit beside each other",
        ),
        _ => (
            height,
            "height",
            "its gusset is deeper than the pouch is high",
        ),
    };
    if gusset > most {
        check.push(
            Problem::error(
                at.key("gusset").value(),
                format!("no such pouch can be folded: {why}"),
            )
            .expected(format!("at most the {key}, {most} mm"))
            .see(at.key(key).value(), format!("the {key}")),
        );
    }
}
