//! What an order needs before anything happens on the floor: metres, rolls, reels, settings of machines.
//!
//! In: small cells in `cells/`, and texts made here. Out: equality of plan, explanation and run with the hand
//! calculation beside each test. Hand calculations are made for this project unless a source is named.

use std::fs;

use pouchcast::explain;
use pouchcast::model::{self, Model};
use pouchcast::observe::{Layout, Trace};
use pouchcast::shop::Counts;
use pouchcast::{replicate, scenario};

mod explained;
mod metres;
mod order;
mod passes;
mod reels;
mod settings;
mod treating;
mod web;

/// The text of a cell beside this file.
fn cell(name: &str) -> String {
    let path = format!("{}/tests/planning/cells/{name}", env!("CARGO_MANIFEST_DIR"));
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// A scenario that the reader takes, with its order book.
fn compiled(text: &str, book: &str) -> Model {
    let mut beside = |_: &str| Ok(book.as_bytes().to_vec());
    match scenario::read_with("cell.yaml", text.as_bytes(), &mut beside) {
        Ok(loaded) => model::compile(loaded.plant),
        Err(report) => panic!("{}\n{text}\n{book}", report.render(false, 100)),
    }
}

/// One replication with everything that happened in it.
fn run(model: &Model) -> (Trace, Counts) {
    let (_, trace, counts) = replicate::traced(model, &Layout::new(model), 0);
    (trace, counts)
}

/// The page of `explain` for a product made in one go.
fn page(model: &Model, product: &str, quantity: f64) -> String {
    page_how(model, product, quantity, explain::How::default())
}

/// The page of `explain` for a product.
fn page_how(model: &Model, product: &str, quantity: f64, how: explain::How) -> String {
    let index = model
        .plant
        .products
        .iter()
        .position(|p| p.name == product)
        .expect("a product");
    explain::text(model, &explain::explain(model, index, quantity, how))
}
