//! Lanes across a web and the knives that part them.
//!
//! In: width of the web and of one lane, edge and centre trims (mm). Out: lanes, the web they
//! need, the share of it they use, knives; or an error with the widths and the shortfall.
//!
//! Source of the formulas: geometry, common practice, no source.

use super::rounding::count_down;

/// Trims across the web, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WebTrims {
    /// Edge trim on each side (5-10-20).
    pub edge_mm: f64,
    /// Strip cut out between neighbouring lanes (0-0-6).
    pub centre_mm: f64,
}

/// Why a pouch cannot be laid out on a web.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum GeometryError {
    /// Not even one lane fits.
    #[error(
        "one lane needs a web of {needed_mm:.1} mm, the web is {web_mm:.1} mm: \
         {shortfall_mm:.1} mm short"
    )]
    DoesNotFit {
        /// Width there is.
        web_mm: f64,
        /// Width one lane needs with both edge trims.
        needed_mm: f64,
        /// `needed_mm` less `web_mm`.
        shortfall_mm: f64,
    },
    /// A dimension that must be above zero (or not below it) is not, or is not a number.
    #[error("{what} of {value_mm} mm is not a usable dimension")]
    BadDimension {
        /// Which dimension.
        what: &'static str,
        /// The value given.
        value_mm: f64,
    },
}

/// Lanes of `lane_mm` across a web: floor((web − 2·edge + centre) / (lane + centre)).
///
/// # Errors
/// [`GeometryError::DoesNotFit`] when not one fits; [`GeometryError::BadDimension`] when a width
/// is not above zero or a trim is below zero.
pub fn lanes_across(web_mm: f64, lane_mm: f64, trims: &WebTrims) -> Result<u32, GeometryError> {
    positive("lane width", lane_mm)?;
    positive("web width", web_mm)?;
    not_negative("edge trim", trims.edge_mm)?;
    not_negative("centre trim", trims.centre_mm)?;
    let usable_mm = web_mm - 2.0 * trims.edge_mm + trims.centre_mm;
    match count_down(usable_mm / (lane_mm + trims.centre_mm)) {
        0 => {
            let needed_mm = web_needed_mm(1, lane_mm, trims);
            Err(GeometryError::DoesNotFit {
                web_mm,
                needed_mm,
                shortfall_mm: needed_mm - web_mm,
            })
        }
        lanes => Ok(u32::try_from(lanes).unwrap_or(u32::MAX)),
    }
}

/// Web width that `lanes` lanes need, mm: n·S + (n − 1)·centre + 2·edge.
pub fn web_needed_mm(lanes: u32, lane_mm: f64, trims: &WebTrims) -> f64 {
    let gaps = f64::from(lanes.saturating_sub(1));
    f64::from(lanes) * lane_mm + gaps * trims.centre_mm + 2.0 * trims.edge_mm
}

/// Trims across `lanes` lanes, mm: (n − 1)·centre + 2·edge.
pub fn trims_mm(lanes: u32, lane_mm: f64, trims: &WebTrims) -> f64 {
    web_needed_mm(lanes, lane_mm, trims) - f64::from(lanes) * lane_mm
}

/// Share of the web's width that ends in lanes: n·S / web.
pub fn web_use(lanes: u32, lane_mm: f64, web_mm: f64) -> f64 {
    f64::from(lanes) * lane_mm / web_mm
}

/// Knives that slit `lanes` lanes: lanes + 1 with both edges trimmed and the lanes touching.
/// A strip cut out between lanes needs a knife on each side of it; untrimmed edges need none.
pub fn knives_for_lanes(lanes: u32, trims: &WebTrims) -> u32 {
    let edges = if trims.edge_mm > 0.0 { 2 } else { 0 };
    lanes
        .saturating_sub(1)
        .saturating_mul(knives_per_gap(trims))
        .saturating_add(if lanes == 0 { 0 } else { edges })
}

/// Most lanes a set of `knives` can slit, the inverse of [`knives_for_lanes`]; 0 when there are
/// too few knives to trim both edges.
pub fn lanes_from_knives(knives: u32, trims: &WebTrims) -> u32 {
    let edges = if trims.edge_mm > 0.0 { 2 } else { 0 };
    match knives.checked_sub(edges) {
        Some(left) => left / knives_per_gap(trims) + 1,
        None => 0,
    }
}

fn knives_per_gap(trims: &WebTrims) -> u32 {
    if trims.centre_mm > 0.0 { 2 } else { 1 }
}

/// A width that must be above zero.
pub(super) fn positive(what: &'static str, value_mm: f64) -> Result<(), GeometryError> {
    if value_mm.is_finite() && value_mm > 0.0 {
        Ok(())
    } else {
        Err(GeometryError::BadDimension { what, value_mm })
    }
}

/// A width that may be zero.
pub(super) fn not_negative(what: &'static str, value_mm: f64) -> Result<(), GeometryError> {
    if value_mm.is_finite() && value_mm >= 0.0 {
        Ok(())
    } else {
        Err(GeometryError::BadDimension { what, value_mm })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TRIMS: WebTrims = WebTrims {
        edge_mm: 10.0,
        centre_mm: 0.0,
    };

    #[test]
    fn lanes_fill_the_web_exactly_and_no_more() {
        for lane_mm in [47.3, 120.0, 233.1, 420.0] {
            for centre_mm in [0.0, 6.0] {
                let trims = WebTrims {
                    edge_mm: 7.5,
                    centre_mm,
                };
                for lanes in 1..12 {
                    let needed = web_needed_mm(lanes, lane_mm, &trims);
                    assert_eq!(lanes_across(needed, lane_mm, &trims), Ok(lanes));
                    let less = lanes_across(needed - 0.1, lane_mm, &trims);
                    assert_eq!(less.unwrap_or(0), lanes - 1);
                }
            }
        }
    }

    #[test]
    fn a_web_narrower_than_its_own_trims() {
        let tiny = lanes_across(15.0, 100.0, &TRIMS).unwrap_err();
        assert!(
            matches!(tiny, GeometryError::DoesNotFit { shortfall_mm, .. }
            if shortfall_mm == 105.0)
        );
    }

    #[test]
    fn trims_that_are_no_trims_are_refused() {
        for bad in [-1.0, f64::NAN] {
            let edge = WebTrims {
                edge_mm: bad,
                centre_mm: 0.0,
            };
            let centre = WebTrims {
                edge_mm: 0.0,
                centre_mm: bad,
            };
            assert!(lanes_across(760.0, 100.0, &edge).is_err());
            assert!(lanes_across(760.0, 100.0, &centre).is_err());
            assert!(lanes_across(bad, 100.0, &TRIMS).is_err());
            assert!(lanes_across(760.0, bad, &TRIMS).is_err());
        }
    }

    /// 10 knives give 9 lanes with both edges trimmed (common practice, no source).
    #[test]
    fn knives_and_lanes() {
        assert_eq!(lanes_from_knives(10, &TRIMS), 9);
        assert_eq!(knives_for_lanes(9, &TRIMS), 10);
        assert_eq!(knives_for_lanes(0, &TRIMS), 0);
        assert_eq!(lanes_from_knives(1, &TRIMS), 0);
        for centre_mm in [0.0, 4.0] {
            for edge_mm in [0.0, 10.0] {
                let trims = WebTrims { edge_mm, centre_mm };
                for lanes in 1..20 {
                    let knives = knives_for_lanes(lanes, &trims);
                    assert_eq!(lanes_from_knives(knives, &trims), lanes);
                }
            }
        }
        let strip = WebTrims {
            edge_mm: 10.0,
            centre_mm: 4.0,
        };
        assert_eq!(knives_for_lanes(3, &strip), 6);
    }
}
