//! From the finished pouch to the web: developed width, pitch, layout.
//!
//! In: a format, the finished outside size, the web and its trims (all mm). Out: how wide one
//! lane is, how far the web advances per pouch, the layout on a web, or an error that says by how much it does not fit.
//!
//! Source of the formulas: folding geometry, common practice, no source. Flat-bottom and
//! roll-over-roll layouts vary between machines; check them against the machine before trusting
//! the last millimetre.

use super::lanes::{
    GeometryError, WebTrims, lanes_across, not_negative, positive, web_needed_mm, web_use,
};

/// How a pouch is made from the web.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Format {
    /// Stand-up, one web, bottom gusset folded in by a plow. Made sideways.
    StandUp,
    /// Stand-up, bottom gusset inserted from a second web. Made sideways.
    StandUpInserted,
    /// Stand-up from two separate panel webs, each carrying half of the gusset. Made sideways.
    StandUpTwoWeb,
    /// Three-side seal, flat. Made sideways.
    ThreeSide,
    /// Flat-bottom (box) pouch: a body web and a side-gusset web. Made sideways.
    FlatBottom,
    /// Quad seal or side gusset with a back seam, one web. Made lengthways.
    QuadSeal,
    /// Pillow shape sold as slit rolls, no pouch step: width × cut-off length. Lengthways.
    RollStock,
    /// Spouted pouch, developed like a stand-up; with no gusset like a three-side seal. The
    /// spouts are a separate counted part.
    Spouted,
}

impl Format {
    /// Whether the finished width lies along the web, so that the pitch is the width.
    pub fn is_made_sideways(self) -> bool {
        !matches!(self, Format::QuadSeal | Format::RollStock)
    }

    /// Whether the format passes a pouch machine at all.
    pub fn needs_pouching(self) -> bool {
        self != Format::RollStock
    }

    /// Whether pouching joins two webs, so that both must be there and cured.
    pub fn joins_two_webs(self) -> bool {
        matches!(
            self,
            Format::StandUpInserted | Format::StandUpTwoWeb | Format::FlatBottom
        )
    }
}

/// Finished size of one pouch, mm. Outside dimensions: side seals and header included.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PouchSize {
    /// Outside width, side seals included.
    pub width_mm: f64,
    /// Outside height with the gusset folded in; the cut-off length of roll-stock.
    pub height_mm: f64,
    /// Bottom-gusset depth, one fold leg (the opened base is twice that), for stand-up and
    /// spouted; the opened front-to-back depth for flat-bottom and quad seal; else not used.
    pub gusset_mm: f64,
    /// What the back seam adds to the web (quad seal, roll-stock: 15-20-30), a lap once, a fin seal both its legs; else
    /// not used.
    pub overlap_mm: f64,
    /// Corner fin of a quad seal, one leg; eight legs add to the web. 0 where width and depth include them.
    pub fin_mm: f64,
    /// Head trim at the pouch mouth, per panel, added to the height (0-2-5).
    pub head_trim_mm: f64,
    /// Skeleton cut out between neighbouring pouches, added to the pitch (0-0-6).
    pub skeleton_mm: f64,
}

/// Developed width of one lane of the (body) web, mm, without web trims.
///
/// With H = height + head trim, W = width, G = gusset, b = overlap:
/// stand-up and spouted 2H + 2G; inserted gusset and three-side 2H; two-web H + G per panel;
/// flat-bottom 2H + G; quad seal 2W + 2G + b + 8 fins; roll-stock 2W + b.
pub fn developed_width_mm(format: Format, size: &PouchSize) -> f64 {
    let height = size.height_mm + size.head_trim_mm;
    let (width, gusset) = (size.width_mm, size.gusset_mm);
    match format {
        Format::StandUp | Format::Spouted => 2.0 * height + 2.0 * gusset,
        Format::StandUpInserted | Format::ThreeSide => 2.0 * height,
        Format::StandUpTwoWeb => height + gusset,
        Format::FlatBottom => 2.0 * height + gusset,
        Format::QuadSeal => 2.0 * width + 2.0 * gusset + size.overlap_mm + 8.0 * size.fin_mm,
        Format::RollStock => 2.0 * width + size.overlap_mm,
    }
}

/// Advance of the web per pouch, mm: the width when made sideways, the height when made
/// lengthways, plus the skeleton between pouches.
pub fn pitch_mm(format: Format, size: &PouchSize) -> f64 {
    if format.is_made_sideways() {
        size.width_mm + size.skeleton_mm
    } else {
        size.height_mm + size.head_trim_mm + size.skeleton_mm
    }
}

/// How a pouch lies on a web.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layout {
    /// Developed width of one lane, mm.
    pub lane_mm: f64,
    /// Advance per pouch, mm.
    pub pitch_mm: f64,
    /// Lanes across.
    pub lanes: u32,
    /// Width those lanes need with trims, mm.
    pub needed_mm: f64,
    /// Share of the web's width that ends in lanes, 0 to 1.
    pub web_use: f64,
}

/// Lays the body web of a pouch out on a web of `web_mm`, with at most `most_lanes` lanes
/// (pass `u32::MAX` for no limit; 0 counts as 1).
///
/// # Errors
/// As [`lanes_across`], and [`GeometryError::BadDimension`] for a size that is no size.
pub fn lay_out(
    format: Format,
    size: &PouchSize,
    web_mm: f64,
    trims: &WebTrims,
    most_lanes: u32,
) -> Result<Layout, GeometryError> {
    positive("pouch width", size.width_mm)?;
    positive("pouch height", size.height_mm)?;
    not_negative("gusset", size.gusset_mm)?;
    not_negative("overlap", size.overlap_mm)?;
    not_negative("head trim", size.head_trim_mm)?;
    not_negative("skeleton", size.skeleton_mm)?;
    let lane_mm = developed_width_mm(format, size);
    let lanes = lanes_across(web_mm, lane_mm, trims)?.min(most_lanes.max(1));
    Ok(Layout {
        lane_mm,
        pitch_mm: pitch_mm(format, size),
        lanes,
        needed_mm: web_needed_mm(lanes, lane_mm, trims),
        web_use: web_use(lanes, lane_mm, web_mm),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TRIMS: WebTrims = WebTrims {
        edge_mm: 10.0,
        centre_mm: 0.0,
    };

    fn size(width_mm: f64, height_mm: f64, gusset_mm: f64, overlap_mm: f64) -> PouchSize {
        PouchSize {
            width_mm,
            height_mm,
            gusset_mm,
            overlap_mm,
            ..PouchSize::default()
        }
    }

    /// Developed width and pitch of every format. Hand arithmetic from the formulas above,
    /// common practice, no source.
    #[test]
    fn developed_width_and_pitch_of_every_format() {
        let bottom = size(130.0, 210.0, 40.0, 0.0);
        let seam = size(120.0, 300.0, 60.0, 20.0);
        let table = [
            (Format::StandUp, bottom, 500.0, 130.0),
            (Format::StandUpInserted, bottom, 420.0, 130.0),
            (Format::StandUpTwoWeb, bottom, 250.0, 130.0),
            (Format::ThreeSide, bottom, 420.0, 130.0),
            (Format::FlatBottom, bottom, 460.0, 130.0),
            (Format::Spouted, bottom, 500.0, 130.0),
            (Format::QuadSeal, seam, 380.0, 300.0),
            (Format::RollStock, seam, 260.0, 300.0),
        ];
        for (format, size, lane, pitch) in table {
            assert_eq!(developed_width_mm(format, &size), lane, "{format:?}");
            assert_eq!(pitch_mm(format, &size), pitch, "{format:?}");
        }
    }

    #[test]
    fn head_trim_counts_per_panel_and_skeleton_in_the_pitch() {
        let mut pouch = size(130.0, 210.0, 40.0, 0.0);
        pouch.head_trim_mm = 2.0;
        pouch.skeleton_mm = 6.0;
        assert_eq!(developed_width_mm(Format::StandUp, &pouch), 504.0);
        assert_eq!(pitch_mm(Format::StandUp, &pouch), 136.0);
    }

    #[test]
    fn a_spouted_pouch_without_gusset_is_a_three_side_seal() {
        let flat = size(100.0, 150.0, 0.0, 0.0);
        let spouted = developed_width_mm(Format::Spouted, &flat);
        assert_eq!(spouted, developed_width_mm(Format::ThreeSide, &flat));
    }

    #[test]
    fn a_web_narrower_than_one_lane_says_by_how_much() {
        let pouch = size(130.0, 210.0, 40.0, 0.0);
        let error = lay_out(Format::StandUp, &pouch, 330.0, &TRIMS, u32::MAX).unwrap_err();
        assert_eq!(
            error,
            GeometryError::DoesNotFit {
                web_mm: 330.0,
                needed_mm: 520.0,
                shortfall_mm: 190.0
            }
        );
        let text = error.to_string();
        assert!(text.contains("520") && text.contains("330") && text.contains("190"));
    }

    #[test]
    fn sizes_that_are_no_sizes_are_refused() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let pouch = size(bad, 210.0, 40.0, 0.0);
            let error = lay_out(Format::StandUp, &pouch, 760.0, &TRIMS, 1).unwrap_err();
            assert!(matches!(error, GeometryError::BadDimension { .. }));
        }
        let pouch = size(130.0, 210.0, -40.0, 0.0);
        assert!(lay_out(Format::StandUp, &pouch, 760.0, &TRIMS, 1).is_err());
    }

    #[test]
    fn the_lane_limit_holds_and_the_web_use_follows() {
        let pouch = size(100.0, 150.0, 0.0, 0.0);
        let free = lay_out(Format::ThreeSide, &pouch, 1000.0, &TRIMS, u32::MAX).unwrap();
        assert_eq!((free.lanes, free.needed_mm), (3, 920.0));
        let held = lay_out(Format::ThreeSide, &pouch, 1000.0, &TRIMS, 2).unwrap();
        assert_eq!((held.lanes, held.web_use), (2, 0.6));
    }
}
