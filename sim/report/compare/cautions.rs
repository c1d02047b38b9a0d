//! What goes with the figures of a comparison, in words: money that is not told, other orders than today's.
//!
//! In: a [`View`]. Out: sentences, for the terminal, the ticket, the page and other programs.

use crate::compare::cautions::Cautions;
use crate::report::words::clean;
use crate::units::grouped;

use super::View;

/// All cautions; nothing where there are none.
pub fn sentences(view: &View<'_>) -> Vec<String> {
    words(&view.comparison.cautions, &|variant| {
        view.name(variant).to_owned()
    })
}

/// The cautions of line-ups, today first, with their names.
pub fn words(cautions: &[Cautions], name: &dyn Fn(usize) -> String) -> Vec<String> {
    let mut out = Vec::new();
    for (v, told) in cautions.iter().enumerate() {
        let untold: Vec<String> = told.untold.iter().map(|gap| clean(gap)).collect();
        if !untold.is_empty() {
            let of = match v {
                0 => "Not told, and so not in the money of this comparison".to_owned(),
                _ => format!("Not told in {}, and so not in its money", name(v)),
            };
            out.push(format!("{of}: {}.", untold.join("; ")));
        }
        if !told.unpriced.is_empty() {
            out.push(format!(
                "{} has {}, which today has not, and no price is told for it: whether it pays is not judged.",
                name(v),
                clean(&told.unpriced.join(", "))
            ));
        }
        if let Some(orders) = &told.orders {
            let mut differs = Vec::new();
            if grouped(orders.today, 2) != grouped(orders.variant, 2) {
                differs.push(format!(
                    "{} orders a week instead of {}",
                    grouped(orders.variant, 2),
                    grouped(orders.today, 2)
                ));
            }
            if orders.products {
                differs.push("other shares of products".to_owned());
            }
            if orders.sizes {
                differs.push("other sizes of orders".to_owned());
            }
            if differs.is_empty() {
                differs.push("another number of orders".to_owned());
            }
            out.push(format!(
                "{} meets other orders than today ({}): its differences in money, waste and lead time are those of the \
                 orders, too.",
                name(v),
                differs.join(", ")
            ));
        }
    }
    out
}

/// Machines of a variant without a price, in a row; empty where there are none.
pub fn unpriced(view: &View<'_>, variant: usize) -> String {
    let told = view.comparison.cautions.get(variant);
    told.map_or_else(String::new, |told| clean(&told.unpriced.join(", ")))
}
