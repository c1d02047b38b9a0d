//! Why does it take this long? One order worked out by arithmetic alone, and one order's story.
//!
//! In: a compiled [`Model`], a product, a quantity. Out: [`Explanation`], plain numbers, and its text
//! with every formula and its figures in 80 columns. Nothing is drawn: where the scenario gives a
//! distribution its mean is used, and there are no queues, breakdowns or people to wait for.
//!
//! All figures come from the tables the engine reads (plans, jobs, laws, dressings), so on an idle
//! cell without chance the engine's lead time and the sum told here are the same to the tick.
//!
//! * [`change`]: the changeover of one machine in three cases.
//! * [`walk`]: the order's lots from release to shipping on an idle cell.
//! * `geometry`, `station`, `speed`, `total`: the text. * [`story`]: what happened to one order of a replication.
//! * [`orders`]: the orders that have one. * [`clock`]: ticks as dates.

pub mod change;
pub mod clock;
mod geometry;
mod lot;
mod meanwhile;
pub mod orders;
mod page;
mod rolls;
mod speed;
mod station;
pub mod story;
mod total;
pub mod walk;

use crate::model::{Model, PartModel, WebPlan, plan_web};

use change::Case;
use page::Page;
use walk::{Hours, Walk, walk};

/// One web of the order.
#[derive(Debug, Clone, PartialEq)]
pub struct Web {
    /// Index of the part in the model.
    pub part: usize,
    /// What enters and leaves each step.
    pub plan: WebPlan,
    /// Metres to print, on all lanes of the printed web together.
    pub printed_m: f64,
    /// Rolls it is printed on.
    pub rolls: i64,
}

/// What one order takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Product index.
    pub product: usize,
    /// Good pouches ordered (metres for roll-stock, pieces for a product without a format).
    pub quantity: f64,
    /// The body web, then the second web if it is made here.
    pub webs: Vec<Web>,
    /// On an idle cell that never closes, by [`Case`].
    pub around_the_clock: Vec<Walk>,
    /// On the scenario's opening times, released on Monday 06:00, by [`Case`]; `None` where it does not
    /// end within the scenario's time.
    pub on_the_calendar: Vec<Option<Walk>>,
}

/// Works an order out.
pub fn explain(model: &Model, product: usize, quantity: f64) -> Explanation {
    let webs = webs(model, product, quantity);
    let monday = clock::monday_morning(model.plant.run.start_day);
    let at = |hours, from, case| walk(model, &webs, hours, from, case);
    Explanation {
        product,
        quantity,
        around_the_clock: Case::ALL
            .iter()
            .filter_map(|&case| at(Hours::Always, 0, case))
            .collect(),
        on_the_calendar: Case::ALL
            .iter()
            .map(|&case| at(Hours::Calendars, monday, case))
            .collect(),
        webs,
    }
}

/// The explanation as text of at most 80 columns.
pub fn text(model: &Model, explained: &Explanation) -> String {
    let mut page = Page::default();
    geometry::write(&mut page, model, explained);
    station::write(&mut page, model, explained);
    total::write(&mut page, model, explained);
    page.text()
}

/// The mean quantity of the first stream that brings the product; 1 where none does.
pub fn usual_quantity(model: &Model, product: usize) -> f64 {
    let brings = |stream: &&crate::plant::Arrivals| {
        stream
            .products
            .iter()
            .any(|&(p, share)| p == product && share > 0.0)
    };
    model
        .plant
        .arrivals
        .iter()
        .find(brings)
        .map_or(1.0, |stream| stream.quantity.mean().round().max(1.0))
}

/// The webs of a product with their plans, as the engine makes them at release.
fn webs(model: &Model, product: usize, quantity: f64) -> Vec<Web> {
    let description = &model.plant.products[product];
    let mut webs = Vec::new();
    for index in model.parts_of(product) {
        let part = &model.parts[index as usize];
        let plan = plan_web(part, quantity, description.overs);
        let web_mm = plan.printed as f64 / f64::from(part.lanes);
        webs.push(Web {
            part: index as usize,
            printed_m: web_mm / 1000.0,
            rolls: ((web_mm / part.roll_max_mm).ceil() as i64).max(1),
            plan,
        });
    }
    webs
}

/// Whether a part is web at its first step (and not a piece).
fn is_web(part: &PartModel) -> bool {
    part.roll_max_mm.is_finite()
}

#[cfg(test)]
mod tests;
