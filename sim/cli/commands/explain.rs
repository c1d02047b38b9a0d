//! `explain`: why does it take this long?
//!
//! In: a scenario, a product, a quantity. Out: the arithmetic of one order on stdout.

use crate::explain;
use crate::model;

use super::super::args::Explain;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::variant::{self, load_cell};

/// Explains one product, or all.
///
/// # Errors
/// As [`load_cell`]; [`Exit::Usage`] where there is no such product.
pub fn explain(asked: &Explain) -> Result<Exit, Failure> {
    let scenario = load_cell(&asked.file, asked.variant.as_deref(), None, false)?;
    let chosen = scenario.variant.as_ref();
    let model = model::compile(scenario.loaded.plant);
    let products: Vec<usize> = match &asked.product {
        _ if asked.all => (0..model.plant.products.len()).collect(),
        None => vec![0],
        Some(name) => match model
            .plant
            .products
            .iter()
            .position(|product| product.name == *name)
        {
            Some(index) => vec![index],
            None => {
                let names: Vec<&str> = model
                    .plant
                    .products
                    .iter()
                    .map(|product| product.name.as_str())
                    .collect();
                return Err(Failure::new(
                    Exit::Usage,
                    format!(
                        "error: there is no product `{name}` in `{}`\nhelp: it has {}",
                        scenario.name,
                        names.join(", ")
                    ),
                ));
            }
        },
    };
    let how = explain::How {
        artworks: asked.artworks,
        ganged: asked.gang,
        split: asked.split,
        interrupted: asked.interrupted,
    };
    let pages: Vec<String> = products
        .into_iter()
        .map(|product| {
            let quantity = asked
                .quantity
                .map_or_else(|| explain::usual_quantity(&model, product), f64::from);
            explain::text(&model, &explain::explain(&model, product, quantity, how))
        })
        .collect();
    console::data(&(variant::heading(chosen) + &pages.join("\n")))?;
    Ok(Exit::Done)
}
