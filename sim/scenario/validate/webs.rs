//! The webs of a product: lanes on the printed web, and the second web of formats that join two.
//!
//! In: a product whose sizes are read. Out: lanes and second web, or errors with the shortfall.

use crate::plant::MoreWeb;
use crate::trade::Format;
use crate::trade::geometry::{PouchSize, developed_width_mm, pitch_mm};
use crate::trade::lanes::{WebTrims, lanes_across, trims_mm, web_needed_mm};
use crate::trade::second_web::second_web;
use crate::units::Dimension;

use super::super::file;
use super::super::problem::Problem;
use super::product::{WEB_MAX_MM, word};
use super::{At, Checker, Names};

/// The body web of a product.
#[derive(Clone, Copy)]
pub(super) struct Body<'a> {
    pub at: &'a At,
    pub name: &'a str,
    pub written: &'a file::Product,
    pub format: Format,
    pub size: &'a PouchSize,
    pub web_mm: f64,
    pub trims: &'a WebTrims,
}

/// Lanes on the printed web: as asked, or as many as fit.
pub(super) fn lanes(check: &mut Checker, body: &Body) -> u32 {
    let Body {
        at,
        name,
        written,
        web_mm,
        trims,
        ..
    } = *body;
    let developed_mm = developed_width_mm(body.format, body.size);
    let asked = written.lanes.unwrap_or(1);
    let needed_mm = web_needed_mm(asked, developed_mm, trims);
    // A width that fits to a tenth of a micrometre fits.
    if needed_mm > web_mm + 1e-4 {
        let most = lanes_across(web_mm, developed_mm, trims).unwrap_or(0);
        let key = if most > 0 { "lanes" } else { "web" };
        let lanes_text = if asked == 1 {
            "one lane needs".to_string()
        } else {
            format!("{asked} lanes need")
        };
        let mut problem = Problem::error(
            at.key(key).value(),
            format!(
                "`{name}` does not fit its web: {lanes_text} {} mm, the web has {} mm, {} mm short",
                mm(needed_mm),
                mm(web_mm),
                mm(needed_mm - web_mm)
            ),
        )
        .expected(if most > 0 {
            format!("at most {most}")
        } else {
            format!("a web of at least {} mm", mm(needed_mm))
        })
        .note(format!(
            "one lane is {} mm developed; edge trims {} mm each, {} mm between lanes",
            mm(developed_mm),
            mm(trims.edge_mm),
            mm(trims.centre_mm)
        ));
        if most > 0 {
            problem = problem.see(at.key("web").value(), "the printed web");
        }
        check.push(problem);
        return asked;
    }
    written
        .lanes
        .unwrap_or_else(|| lanes_across(web_mm, developed_mm, trims).unwrap_or(1))
}

/// Lanes on one reel of the body: they share the lanes of the web evenly.
pub(super) fn reel_lanes(check: &mut Checker, body: &Body, lanes: u32) -> u32 {
    let told = body.written.reel_lanes;
    if told == 0 || !lanes.is_multiple_of(told) {
        check.push(
            Problem::error(
                body.at.key("reel_lanes").value(),
                format!(
                    "`{}` has {lanes} lanes, which reels of {told} lanes do not share evenly",
                    body.name
                ),
            )
            .expected("a number that divides the lanes of the web"),
        );
        return 1;
    }
    told
}

/// Most webs besides the body that the floor joins at a pouch machine.
const MORE_WEBS_MAX: usize = 3;

/// Every web that meets the body: the one of the format, then those of `more_webs`.
pub(super) fn all(
    check: &mut Checker,
    names: &Names,
    body: &Body,
    second: Option<MoreWeb>,
) -> Vec<MoreWeb> {
    let Body { at, name, .. } = *body;
    let at = at.key("more_webs");
    let written = &body.written.more_webs;
    let mut webs: Vec<MoreWeb> = second.into_iter().collect();
    if !written.is_empty() && !body.format.needs_pouching() {
        check.push(
            Problem::error(
                at.name(),
                format!("`{name}` is roll-stock: no web meets another"),
            )
            .expected("no `more_webs`, or a pouch format"),
        );
        return webs;
    }
    if webs.len() + written.len() > MORE_WEBS_MAX {
        check.push(
            Problem::error(
                at.name(),
                format!(
                    "`{name}` joins {} webs to its body",
                    webs.len() + written.len()
                ),
            )
            .expected("at most three webs besides the body, the one of the format included"),
        );
        return webs;
    }
    for (index, web) in written.iter().enumerate() {
        webs.extend(further(check, names, body, &at.item(index), web));
    }
    webs
}

/// A web whose width and length stand in the file.
fn further(
    check: &mut Checker,
    names: &Names,
    body: &Body,
    at: &At,
    written: &file::MoreWeb,
) -> Option<MoreWeb> {
    let laminate = check.find(
        at.key("laminate").value(),
        &written.laminate,
        &names.laminates,
        "a laminate",
    );
    let mut size = |key: &str, text: &file::Width, most: f64, most_text: &str| {
        check.above_zero(
            &at.key(key),
            &text.0,
            Dimension::SmallLength,
            most,
            most_text,
        )
    };
    let width_mm = size("width", &written.width, WEB_MAX_MM, "5000 mm");
    let pitch_mm = pitch_mm(body.format, body.size);
    let per_pouch_mm = written
        .per_pouch
        .as_ref()
        .map_or(pitch_mm, |text| size("per_pouch", text, 2000.0, "2000 mm"));
    let web_mm = written
        .web
        .as_ref()
        .map_or(body.web_mm, |text| size("web", text, WEB_MAX_MM, "5000 mm"));
    let lanes = lanes_across(web_mm, width_mm, body.trims).unwrap_or_else(|error| {
        check.push(
            Problem::error(
                at.key("web").value(),
                format!("a further web of `{}` does not fit: {error}", body.name),
            )
            .expected(format!(
                "a web of at least {} mm",
                mm(web_needed_mm(1, width_mm, body.trims))
            )),
        );
        1
    });
    Some(MoreWeb {
        laminate: laminate?,
        width_mm,
        length_ratio: per_pouch_mm / pitch_mm,
        web_mm,
        made_here: !written.bought_in,
        trim_mm: trims_mm(lanes, width_mm, body.trims),
        serves: 1,
        lanes,
    })
}

/// A length in millimetres without needless decimals.
pub(super) fn mm(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map(str::to_string).unwrap_or(text)
}

/// The second web: there where the format joins two, and only there.
pub(super) fn second(
    check: &mut Checker,
    names: &Names,
    body: &Body,
    body_lanes: u32,
) -> Option<MoreWeb> {
    let Body {
        at: product_at,
        name,
        written,
        format,
        size,
        trims,
        ..
    } = *body;
    let body_web_mm = body.web_mm;
    let word = written.format.map(word).unwrap_or_default();
    let at = product_at.key("second_web");
    // Where every machine that makes it runs an even number of lanes, two of them share a gusset web.
    let machine_lanes = if names.even_gusset && body_lanes.is_multiple_of(2) {
        2
    } else {
        1
    };
    let second = match (&written.second_web, second_web(format, size, machine_lanes)) {
        (None, None) => return None,
        (Some(_), None) => {
            check.push(
                Problem::error(
                    at.name(),
                    format!(
                        "the format `{word}` is made from one web, but `{name}` has a `second_web`"
                    ),
                )
                .expected("no `second_web`, or a format that joins two webs"),
            );
            return None;
        }
        (None, Some(_)) => {
            check.push(
                Problem::error(product_at.name(), format!("`{name}` has the format `{word}` and lacks the key `second_web`"))
                    .expected("`second_web: { laminate: .. }`, the web that meets the body web at the pouch machine"),
            );
            return None;
        }
        (Some(written), Some(computed)) => (written, computed),
    };
    let (written, computed) = second;
    let laminate = check.find(
        at.key("laminate").value(),
        &written.laminate,
        &names.laminates,
        "a laminate",
    );
    let web_mm = match &written.web {
        Some(text) => check.above_zero(
            &at.key("web"),
            &text.0,
            Dimension::SmallLength,
            WEB_MAX_MM,
            "5000 mm",
        ),
        None => body_web_mm,
    };
    let lanes = match lanes_across(web_mm, computed.reel_width_mm, trims) {
        Ok(lanes) => lanes,
        Err(error) => {
            check.push(
                Problem::error(
                    at.key("web").value(),
                    format!("the second web of `{name}` does not fit: {error}"),
                )
                .expected(format!(
                    "a web of at least {} mm",
                    mm(web_needed_mm(1, computed.reel_width_mm, trims))
                )),
            );
            1
        }
    };
    Some(MoreWeb {
        laminate: laminate?,
        width_mm: computed.reel_width_mm,
        length_ratio: computed.m_per_pouch * 1000.0 / pitch_mm(format, size),
        web_mm,
        made_here: !written.bought_in,
        trim_mm: trims_mm(lanes, computed.reel_width_mm, trims),
        serves: computed.lanes_per_reel,
        lanes,
    })
}
