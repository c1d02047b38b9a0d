//! Widths of printed web that the shop keeps, and which of them a product is printed on.
//!
//! In: widths as written, the width of a lane. Out: the width that takes least web for a pouch.

use crate::trade::lanes::{WebTrims, lanes_across, web_needed_mm};
use crate::units::Dimension;

use super::super::file::{ScenarioFile, Station};
use super::super::form;
use super::product::WEB_MAX_MM;
use super::{At, Checker};

/// The widths kept, mm, narrowest first; problems are told by [`widths`].
pub(super) fn known(file: &ScenarioFile) -> Vec<f64> {
    let read =
        |text: &super::super::file::Width| form::quantity(&text.0, Dimension::SmallLength).ok();
    let mut widths: Vec<f64> = file.web_widths.iter().filter_map(read).collect();
    widths.sort_by(f64::total_cmp);
    widths
}

/// Checks the widths kept, and gives them, narrowest first.
pub(super) fn widths(check: &mut Checker, file: &ScenarioFile) -> Vec<f64> {
    let at = At::block("web_widths");
    for (index, text) in file.web_widths.iter().enumerate() {
        check.above_zero(
            &at.item(index),
            &text.0,
            Dimension::SmallLength,
            WEB_MAX_MM,
            "5000 mm",
        );
    }
    known(file)
}

/// The widest web that the press, the laminators and the slitters of the cell take, each kind by its widest machine, mm.
pub(super) fn widest(file: &ScenarioFile) -> f64 {
    let most = |widths: Vec<&super::super::file::Width>| {
        let read = |text: &&super::super::file::Width| {
            form::quantity(&text.0, Dimension::SmallLength).ok()
        };
        let widths = widths.iter().filter_map(read);
        widths.fold(None, |most: Option<f64>, width| {
            Some(most.map_or(width, |most| most.max(width)))
        })
    };
    let of_stations = file.stations.values().filter_map(|station| match station {
        Station::Press(station) => most(station.machines.values().map(|m| &m.web_max).collect()),
        Station::Lamination(station) => {
            most(station.machines.values().map(|m| &m.web_max).collect())
        }
        Station::Slitting(station) => most(station.machines.values().map(|m| &m.web_max).collect()),
        _ => None,
    });
    of_stations.fold(f64::INFINITY, f64::min)
}

/// The width that takes least web for a pouch of a lane so wide, on as many lanes as fit or as are asked for; of equals
/// the narrowest. Where none does, the widest, so that the problem can be told. `None` where none is kept.
pub(super) fn taken(
    widths: &[f64],
    most_mm: f64,
    lane_mm: f64,
    trims: &WebTrims,
    asked: Option<u32>,
) -> Option<f64> {
    let fits = |&&width: &&f64| {
        width <= most_mm && web_needed_mm(asked.unwrap_or(1), lane_mm, trims) <= width + 1e-4
    };
    let for_a_lane = |width: f64| {
        let lanes = asked.or(lanes_across(width, lane_mm, trims).ok());
        width / f64::from(lanes.unwrap_or(1))
    };
    let least = |a: &&f64, b: &&f64| for_a_lane(**a).total_cmp(&for_a_lane(**b));
    let best = widths.iter().filter(fits).min_by(least);
    best.or(widths.last()).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lanes of 300 mm with 10 mm at each edge: one on 440 mm, two on 640 (320 a lane), three on 1000 (333). By hand.
    #[test]
    fn the_width_that_takes_least_is_taken() {
        let trims = WebTrims {
            edge_mm: 10.0,
            centre_mm: 0.0,
        };
        let widths = [440.0, 640.0, 1000.0];
        let taken = |most, asked| super::taken(&widths, most, 300.0, &trims, asked);
        assert_eq!(taken(2000.0, None), Some(640.0));
        assert_eq!(taken(500.0, None), Some(440.0));
        assert_eq!(taken(2000.0, Some(3)), Some(1000.0));
        assert_eq!(taken(2000.0, Some(9)), Some(1000.0));
        assert_eq!(super::taken(&[], 2000.0, 300.0, &trims, None), None);
    }
}
