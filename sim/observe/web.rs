//! The web that is paid: all of it, from edge to edge, and what becomes of it.
//!
//! In: metres handed over and lost, by product. Out: area, weight and money a week, the area in its parts.

use crate::model::{Model, PartModel, Worth};
use crate::record::Lost;

/// Figures of one product, or of all: key, label, unit.
pub const FIGURES: [(&str, &str, &str); 12] = [
    ("m2", "web handed over", "m2/week"),
    ("kg", "its weight", "kg/week"),
    ("money", "its price", "money/week"),
    (
        "pouches_m2",
        "in good pouches, or still under way",
        "m2/week",
    ),
    ("overs_m2", "of these, beyond what was ordered", "m2/week"),
    ("trims_m2", "edge and centre trims", "m2/week"),
    (
        "unused_m2",
        "web beside the lanes that is not used",
        "m2/week",
    ),
    ("starts_m2", "lost at starts", "m2/week"),
    (
        "stops_m2",
        "lost at roll changes, breaks and wash-ups",
        "m2/week",
    ),
    ("running_m2", "lost while running", "m2/week"),
    ("rejects_m2", "in rejected pouches", "m2/week"),
    (
        "again_m2",
        "not released or too old, and printed again",
        "m2/week",
    ),
];

/// What is counted of one product.
#[derive(Debug, Clone, Copy, Default)]
pub struct Web {
    /// By [`FIGURES`].
    pub sums: [f64; FIGURES.len()],
}

impl Web {
    /// Web handed over for a part, worth so much there; gives its area, m².
    pub fn handed_over(&mut self, part: &PartModel, lane_mm: i64, worth: Worth) -> f64 {
        let metres = lane_mm as f64 / 1000.0 / f64::from(part.lanes);
        let m2 = metres * part.web_mm / 1000.0;
        let trims = metres * part.trim_mm / 1000.0;
        self.sums[0] += m2;
        self.sums[1] += m2 * worth.kg_per_m2;
        self.sums[2] += m2 * worth.price_per_m2;
        self.sums[5] += trims;
        let unused = m2 - trims - lane_mm as f64 / 1000.0 * part.m2_per_lane_m;
        // Where pouches fill the web nothing is left, and not less than nothing by the last bit of a difference.
        self.sums[6] += match unused < 0.0 && unused > -1e-9 * m2 {
            true => 0.0,
            false => unused,
        };
        m2
    }

    /// A pass has joined a web of that area to it: it weighs and costs more, and is no larger.
    pub fn joined(&mut self, m2: f64, added: Worth) {
        self.sums[1] += m2 * added.kg_per_m2;
        self.sums[2] += m2 * added.price_per_m2;
    }

    /// Area of lanes lost.
    pub fn lost(&mut self, why: Lost, m2: f64) {
        self.sums[match why {
            Lost::Start => 7,
            Lost::Stop => 8,
            Lost::Running => 9,
            Lost::Reject => 10,
            Lost::Again => 11,
        }] += m2;
    }

    /// Good pouches beyond what an order asked for; orders of several products count by their first.
    pub fn over(&mut self, model: &Model, product: usize, pouches: i64) {
        let each: f64 = model
            .parts_of(product)
            .map(|part| &model.parts[part as usize])
            .map(|part| part.pitch_mm / 1000.0 * part.length_ratio * part.m2_per_lane_m)
            .sum();
        self.sums[4] += pouches as f64 * each;
    }

    /// The figures a week: what is neither cut off nor lost is in pouches.
    pub fn figures(&self, weeks: f64) -> impl Iterator<Item = f64> {
        let mut sums = self.sums;
        sums[3] = sums[0] - sums[5..].iter().sum::<f64>();
        sums.into_iter().map(move |sum| sum / weeks)
    }

    /// Adds another product's.
    pub fn add(&mut self, other: &Web) {
        for (sum, more) in self.sums.iter_mut().zip(other.sums) {
            *sum += more;
        }
    }
}

/// Products that are made of web.
pub fn products(model: &Model) -> impl Iterator<Item = usize> {
    (0..model.plant.products.len()).filter(|&product| !model.body_part(product).is_piece())
}
