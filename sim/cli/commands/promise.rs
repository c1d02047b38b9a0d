//! `promise`: when each order of an order book will be done, and what to quote for a new one.
//!
//! In: a scenario with its order book, or another book for it. Out: the dates on stdout, a results folder,
//! its name on stderr.

use std::path::Path;

use crate::model::{self, Model};
use crate::plant::{BookLine, BookOrder, Plant};
use crate::replicate;
use crate::report::{Provenance, promise as report};
use crate::scenario::due_min;
use crate::summary::promise::{New, Promises};

use super::super::args::Promise;
use super::super::ask;
use super::super::console;
use super::super::deliver::{Delivery, deliver};
use super::super::exit::{Exit, Failure};
use super::super::interrupt;
use super::super::load::Scenario;
use super::super::progress::Progress;
use super::super::variant::{self, Chosen, load_cell};
use super::super::write::{Place, folder_of};

/// Most dates that are kept at a time: orders of the book times replications (some 16 bytes each).
const DATES_MAX: u64 = 50_000_000;

/// Name of the new order.
const NEW: &str = "new order";

/// Gives the dates.
///
/// # Errors
/// As [`load_cell`]; [`Exit::Usage`] where there are no orders or too many, or the new order does not
/// fit the scenario; [`Exit::Output`] where results cannot be written.
pub fn promise(asked: &Promise) -> Result<Exit, Failure> {
    let Scenario {
        mut loaded,
        bytes,
        variant: chosen,
        ..
    } = load_cell(
        &asked.file,
        asked.variant.as_deref(),
        asked.orders.as_deref(),
        asked.quiet,
    )?;
    let chosen = chosen.as_ref();
    let plan = &mut loaded.plant.run;
    let origin = origin(asked, chosen, plan.seed, plan.replications);
    plan.seed = asked.seed.unwrap_or(plan.seed);
    plan.replications = asked.replications.unwrap_or(plan.replications);
    let (seed, count) = (plan.seed, plan.replications);
    let book = loaded.plant.clone();
    let new = match &asked.quote {
        Some(product) => Some(new_order(asked, product, &mut loaded.plant)?),
        None => None,
    };
    let orders = (loaded.plant.book.len() + new.map_or(0, |_| book.book.len())) as u64;
    if orders == 0 {
        return Err(Failure::new(
            Exit::Usage,
            "error: the scenario has no order book\nhelp: name one with `book: orders.csv` in the scenario, or with --orders",
        ));
    }
    if orders * u64::from(count) > DATES_MAX {
        return Err(Failure::new(
            Exit::Usage,
            format!(
                "error: {orders} orders and {count} replications are too many dates\nhelp: ask for fewer replications with --replications"
            ),
        ));
    }
    let place = match asked.no_files {
        true => None,
        false => {
            let folder = asked.out.clone();
            let folder = folder.unwrap_or_else(|| {
                folder_of(&asked.file, &variant::folder_part("promise", chosen), seed)
            });
            Some(Place::new(folder, asked.replace)?)
        }
    };
    let stop = interrupt::flag();
    let provenance = Provenance {
        file_name: origin,
        sha256: variant::fingerprint(&bytes, &loaded, chosen),
        version: env!("CARGO_PKG_VERSION"),
        scenario_text: loaded.text.clone(),
    };
    let model = model::compile(loaded.plant);
    // The same replications without the new order, so that what it does to the others is seen.
    let without = new.map(|_| model::compile(book));
    let models: Vec<&Model> = [&model].into_iter().chain(&without).collect();
    let bar = Progress::new(asked.quiet, u64::from(count));
    let pool = ask::threads(asked.threads)?;
    let times = pool.install(|| replicate::booked(&models, count, &stop, &|| bar.done(1)));
    bar.end();
    let with = times.first().map_or(&[][..], Vec::as_slice);
    if with.is_empty() {
        return Err(Failure::new(
            Exit::Partial,
            "Interrupted before the first replication was done: there are no results.",
        ));
    }
    let new = match (new, &without, times.get(1)) {
        (Some(entry), Some(book), Some(times)) => Some(New {
            entry,
            sure: asked.sure / 100.0,
            book,
            times,
        }),
        _ => None,
    };
    let promises = Promises::new(&model, with, count, new);
    let delivery = Delivery {
        text: &report::text(&model, &promises, &provenance),
        place,
        complete: promises.done >= promises.asked,
        more: String::new(),
        quiet: asked.quiet,
    };
    deliver(delivery, || {
        let mut files = report::files(&model, &promises, &provenance);
        files.extend(variant::inputs(loaded.book, chosen));
        files
    })?;
    if promises.done < promises.asked {
        console::say(&format!(
            "Interrupted: {} of {} replications are in these results, which are marked partial.",
            promises.done, promises.asked
        ));
        return Ok(Exit::Partial);
    }
    Ok(Exit::Done)
}

/// Puts the new order into the book, released at the start; its place there.
fn new_order(asked: &Promise, product: &str, plant: &mut Plant) -> Result<usize, Failure> {
    let unknown = |what: &str, name: &str, known: Vec<&str>| {
        Failure::new(
            Exit::Usage,
            format!(
                "error: there is no {what} called `{name}`\nhelp: the scenario has {}",
                known.join(", ")
            ),
        )
    };
    let products: Vec<&str> = plant.products.iter().map(|p| p.name.as_str()).collect();
    let Some(index) = products.iter().position(|name| *name == product) else {
        return Err(unknown("product", product, products));
    };
    let classes: Vec<&str> = plant.classes.iter().map(|c| c.name.as_str()).collect();
    let class = match &asked.class {
        None if classes.len() > 1 => {
            return Err(Failure::new(
                Exit::Usage,
                format!(
                    "error: of which class is the new order?\nhelp: name one with --class: {}",
                    classes.join(", ")
                ),
            ));
        }
        None => 0,
        Some(name) => match classes.iter().position(|known| known == name) {
            Some(class) => class,
            None => return Err(unknown("class", name, classes)),
        },
    };
    let due_min = match &asked.due {
        None => None,
        Some(text) => Some(due(text, plant.run.start_day)?),
    };
    let place = plant.book.partition_point(|order| order.release_min <= 0.0);
    let order = BookOrder {
        name: NEW.to_owned(),
        number: plant.book.len() as u32,
        class,
        release_min: 0.0,
        due_min,
        lines: vec![BookLine {
            product: index,
            quantity: f64::from(asked.quantity.unwrap_or(1)),
            at: None,
        }],
    };
    plant.book.insert(place, order);
    Ok(place)
}

/// Minutes from the start of the clock to the date that is asked about.
fn due(text: &str, start_day: i32) -> Result<f64, Failure> {
    let minutes = due_min(text, start_day).map_err(|[wrong, help]| {
        Failure::new(Exit::Usage, format!("error: --due: {wrong}\nhelp: {help}"))
    })?;
    match minutes > 0.0 {
        true => Ok(minutes),
        false => Err(Failure::new(
            Exit::Usage,
            format!(
                "error: --due {text} is before the clock of the scenario starts\nhelp: name a later date, or change `start` under `run`"
            ),
        )),
    }
}

/// The scenario file, and what the command line asked for besides.
fn origin(asked: &Promise, chosen: Option<&Chosen>, seed: u64, replications: u32) -> String {
    let name = |path: &Path| {
        let name = path.file_name();
        name.map_or_else(String::new, |name| name.to_string_lossy().into_owned())
    };
    let mut said: Vec<String> = variant::said(chosen).into_iter().collect();
    if let Some(orders) = &asked.orders {
        said.push(format!("--orders {}", name(orders)));
    }
    if let Some(product) = &asked.quote {
        let quantity = asked.quantity.unwrap_or(1);
        said.push(format!("--quote {product} --quantity {quantity}"));
        if let Some(class) = &asked.class {
            said.push(format!("--class {class}"));
        }
        if let Some(due) = &asked.due {
            said.push(format!("--due {due}"));
        }
        said.push(format!("--sure {}", asked.sure));
    }
    if let Some(other) = asked.seed.filter(|&other| other != seed) {
        said.push(format!("--seed {other}"));
    }
    if let Some(other) = asked.replications.filter(|&other| other != replications) {
        said.push(format!("--replications {other}"));
    }
    match said.is_empty() {
        true => name(&asked.file),
        false => format!("{} with {}", name(&asked.file), said.join(" ")),
    }
}
