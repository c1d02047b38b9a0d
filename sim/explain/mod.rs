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
mod layouts;
mod lot;
mod meanwhile;
pub mod orders;
mod page;
mod passes;
mod rolls;
mod speed;
mod station;
pub mod story;
mod total;
mod waits;
pub mod walk;
pub mod web;

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

/// How an order comes and goes, where it is not one artwork that runs through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct How {
    /// Artworks of the quantity each.
    pub artworks: u32,
    /// They share one web until pouch making; otherwise they come one behind the other.
    pub ganged: bool,
    /// Pouch machines that share each artwork.
    pub split: u32,
    /// Taken off the pouch machine once, for another order.
    pub interrupted: bool,
}

impl Default for How {
    fn default() -> Self {
        Self {
            artworks: 1,
            ganged: false,
            split: 1,
            interrupted: false,
        }
    }
}

impl How {
    /// Webs of their own: artworks that are not ganged.
    fn webs(self) -> u32 {
        if self.ganged { 1 } else { self.artworks }
    }

    /// Artworks on one web.
    fn on_one_web(self) -> u32 {
        if self.ganged { self.artworks } else { 1 }
    }
}

/// What one order takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Product index.
    pub product: usize,
    /// Good pouches of each artwork (metres for roll-stock, pieces for a product without a format).
    pub quantity: f64,
    /// Artworks, ganging, split, interruption.
    pub how: How,
    /// The body web, then further webs made here, of all artworks that share one web.
    pub webs: Vec<Web>,
    /// On an idle cell that never closes, by [`Case`].
    pub around_the_clock: Vec<Walk>,
    /// On the scenario's opening times, released on Monday 06:00, by [`Case`]; `None` where it does not
    /// end within the scenario's time.
    pub on_the_calendar: Vec<Option<Walk>>,
}

/// Works an order out.
pub fn explain(model: &Model, product: usize, quantity: f64, how: How) -> Explanation {
    let webs = webs(model, product, quantity, how);
    let monday = clock::monday_morning(model.plant.run.start_day);
    let at = |hours, from, case| walk(model, &webs, how, hours, from, case);
    Explanation {
        product,
        quantity,
        how,
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

/// The mean quantity of the SKUs of a product over all streams that bring it; 1 where none does.
pub fn usual_quantity(model: &Model, product: usize) -> f64 {
    let plant = &model.plant;
    let (mut pouches, mut skus) = (0.0, 0.0);
    for stream in &plant.arrivals {
        let of_it = stream.products.iter().filter(|share| share.0 == product);
        let share =
            of_it.map(|share| share.1).sum::<f64>() * stream.skus_per_week(&plant.calendars);
        pouches += share * stream.quantity.mean();
        skus += share;
    }
    if skus > 0.0 {
        (pouches / skus).round().max(1.0)
    } else {
        1.0
    }
}

/// The webs of a product with their plans, as the engine makes them at release.
fn webs(model: &Model, product: usize, quantity: f64, how: How) -> Vec<Web> {
    let mut webs = Vec::new();
    for index in model.parts_of(product) {
        let part = &model.parts[index as usize];
        let artworks = how.on_one_web();
        let pouches = quantity * f64::from(artworks);
        let ask = model
            .ask(index as usize, pouches, artworks)
            .shared(how.split);
        let plan = plan_web(part, &ask);
        let web_mm = plan.printed as f64 / f64::from(part.lanes);
        webs.push(Web {
            part: index as usize,
            printed_m: web_mm / 1000.0,
            rolls: plan.rolls,
            plan,
        });
    }
    webs
}

/// Whether a part is web at its first step (and not a piece).
fn is_web(part: &PartModel) -> bool {
    !part.is_piece()
}

#[cfg(test)]
mod tests;
