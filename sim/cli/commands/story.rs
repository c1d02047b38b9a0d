//! `story`: one order of one replication, from release to shipping.
//!
//! In: a scenario, an order, a replication. Out: its story on stdout.

use std::sync::atomic::AtomicBool;

use crate::explain::{orders, story};
use crate::model;
use crate::observe::Layout;
use crate::replicate;
use crate::scenario::nearest;
use crate::steady;

use super::super::args::Story;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::variant::{self, load_cell};

/// Tells the story of an order.
///
/// # Errors
/// As [`load_cell`]; [`Exit::Usage`] where there is no such order.
pub fn story(asked: &Story) -> Result<Exit, Failure> {
    let mut scenario = load_cell(&asked.file, asked.variant.as_deref(), None, false)?;
    let plan = &mut scenario.loaded.plant.run;
    plan.seed = asked.seed.unwrap_or(plan.seed);
    // The same warm-up as in the results, so that the same orders are measured.
    steady::settle(&mut scenario.loaded.plant, &AtomicBool::new(false));
    let chosen = scenario.variant.as_ref();
    let model = model::compile(scenario.loaded.plant);
    let (_, trace, _) = replicate::traced(&model, &Layout::new(&model), asked.replication);
    if asked.orders {
        let told = orders::text(&model, &trace, asked.late);
        console::data(&(variant::heading(chosen) + &told))?;
        return Ok(Exit::Done);
    }
    let wanted = match (&asked.order, asked.late) {
        (Some(name), _) => story::Wanted::Named(name),
        (None, true) => story::Wanted::LastLate,
        (None, false) => story::Wanted::Last,
    };
    let Some(order) = story::find(&model.plant, &trace, wanted) else {
        let last = trace.orders.iter().map(|order| order.order).max();
        let message = match (&asked.order, last) {
            (_, None) => format!(
                "error: no order came in replication {}\nhelp: a longer `measure`, or more orders",
                asked.replication
            ),
            (Some(name), Some(last)) => {
                let booked = model.plant.book.iter().map(|booked| booked.name.as_str());
                let near = match nearest(name, booked) {
                    Some(near) => format!(", and `{near}` is in the order book"),
                    None => String::new(),
                };
                format!(
                    "error: there is no order `{name}` in replication {}\nhelp: its orders are 0 to {last}{near}",
                    asked.replication
                )
            }
            (None, Some(_)) if asked.late => {
                format!(
                    "error: no order of replication {} was late\nhelp: leave out --late, or look at another --replication",
                    asked.replication
                )
            }
            (None, Some(_)) => format!(
                "error: no order of replication {} was done\nhelp: name an unfinished one with --order",
                asked.replication
            ),
        };
        return Err(Failure::new(Exit::Usage, message));
    };
    let told = story::text(&model, &trace, order, asked.replication);
    console::data(&(variant::heading(chosen) + &told))?;
    Ok(Exit::Done)
}
