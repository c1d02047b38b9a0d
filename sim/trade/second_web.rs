//! The second web of formats that join two, and the area of laminate in a pouch.
//!
//! In: a format, a pouch size, lanes on the pouch machine, trims (mm). Out: width and metres of
//! the second web's reels, m² per pouch.
//!
//! Source of the formulas: folding geometry, common practice, no source. Flat-bottom layouts
//! vary between machines; check them against the machine.

use super::geometry::{Format, PouchSize, developed_width_mm, pitch_mm};

/// The second web of a format that joins two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondWeb {
    /// Width of one reel of it as it goes on the pouch machine, mm.
    pub reel_width_mm: f64,
    /// How many pouch lanes one such reel serves.
    pub lanes_per_reel: u32,
    /// Reel metres used per pouch.
    pub m_per_pouch: f64,
    /// Area used per pouch without the reel's own trims, m².
    pub area_per_pouch_m2: f64,
}

/// The second web at a pouch machine running `machine_lanes` lanes; `None` for formats of one
/// web (and for no lanes).
///
/// * Inserted gusset: 2G wide per lane; with an even number of lanes two lanes lie bottom to
///   bottom and share a reel of 4G, cut in the middle. As long as the body.
/// * Two-web stand-up: the other panel, as wide and as long as the first.
/// * Flat-bottom: as wide as the pouch is high, 2G of length per pouch; the slitter has taken the edges.
///
/// Trims are those of the printed web, not of a reel.
pub fn second_web(format: Format, size: &PouchSize, machine_lanes: u32) -> Option<SecondWeb> {
    if machine_lanes == 0 {
        return None;
    }
    let height = size.height_mm + size.head_trim_mm;
    let pitch = pitch_mm(format, size);
    match format {
        Format::StandUpInserted => {
            let lanes_per_reel = if machine_lanes.is_multiple_of(2) {
                2
            } else {
                1
            };
            Some(SecondWeb {
                reel_width_mm: 2.0 * size.gusset_mm * f64::from(lanes_per_reel),
                lanes_per_reel,
                m_per_pouch: pitch / 1000.0 / f64::from(lanes_per_reel),
                area_per_pouch_m2: 2.0 * size.gusset_mm * pitch / 1e6,
            })
        }
        Format::StandUpTwoWeb => {
            let panel = developed_width_mm(format, size);
            Some(SecondWeb {
                reel_width_mm: panel,
                lanes_per_reel: 1,
                m_per_pouch: pitch / 1000.0,
                area_per_pouch_m2: panel * pitch / 1e6,
            })
        }
        Format::FlatBottom => Some(SecondWeb {
            reel_width_mm: height,
            lanes_per_reel: 1,
            m_per_pouch: 2.0 * size.gusset_mm / 1000.0,
            area_per_pouch_m2: 2.0 * size.gusset_mm * height / 1e6,
        }),
        _ => None,
    }
}

/// Area of laminate in one pouch, m², both webs, without web trims.
pub fn area_per_pouch_m2(format: Format, size: &PouchSize) -> f64 {
    let body = developed_width_mm(format, size) * pitch_mm(format, size) / 1e6;
    // The area per pouch of a second web does not depend on the number of lanes.
    body + second_web(format, size, 1).map_or(0.0, |web| web.area_per_pouch_m2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(width_mm: f64, height_mm: f64, gusset_mm: f64) -> PouchSize {
        PouchSize {
            width_mm,
            height_mm,
            gusset_mm,
            ..PouchSize::default()
        }
    }

    #[test]
    fn second_webs() {
        let pouch = size(130.0, 210.0, 40.0);
        let of = |format, lanes| second_web(format, &pouch, lanes);
        assert_eq!(of(Format::StandUp, 2), None);
        assert_eq!(of(Format::StandUpInserted, 0), None);
        let one = of(Format::StandUpInserted, 1).unwrap();
        assert_eq!((one.reel_width_mm, one.m_per_pouch), (80.0, 0.130));
        let two = of(Format::StandUpInserted, 2).unwrap();
        assert_eq!((two.reel_width_mm, two.m_per_pouch), (160.0, 0.065));
        assert_eq!(of(Format::StandUpInserted, 3).unwrap().lanes_per_reel, 1);
        let panel = of(Format::StandUpTwoWeb, 1).unwrap();
        assert_eq!((panel.reel_width_mm, panel.m_per_pouch), (250.0, 0.130));
    }

    /// A stand-up pouch uses the same film however its gusset is made.
    #[test]
    fn area_does_not_depend_on_how_the_gusset_is_made() {
        let pouch = size(130.0, 210.0, 40.0);
        for format in [
            Format::StandUp,
            Format::StandUpInserted,
            Format::StandUpTwoWeb,
        ] {
            let area = area_per_pouch_m2(format, &pouch);
            assert!((area - 0.065).abs() < 1e-12, "{format:?} {area}");
        }
        // Flat-bottom: 600 × 140 of body and 2 × 80 × 260 of gusset, hand arithmetic.
        let boxy = size(140.0, 260.0, 80.0);
        let area = area_per_pouch_m2(Format::FlatBottom, &boxy);
        assert!((area - 0.1256).abs() < 1e-12, "{area}");
    }
}
