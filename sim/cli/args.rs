//! What may be written on the command line.
//!
//! In: nothing but these types. Out: arguments as values, ranges checked; `--help` is made from the
//! comments here.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use super::exit::EXIT_CODES;

/// Simulates the print-to-pouch finishing cell: printed rolls are laminated, held for cure, slit,
/// made into pouches and packed. Says which lead times the cell can keep, how sure that is, and
/// where the time goes.
#[derive(Debug, Parser)]
#[command(name = "pouchcast", version, arg_required_else_help = true, after_help = EXIT_CODES)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Run a scenario; print the summary and write a results folder
    Run(Run),
    /// Say when each order of an order book will be done, which are at risk, and what date to quote for a new one
    Promise(Promise),
    /// Say whether a scenario can be used, and everything that is wrong with it
    Check(Check),
    /// Write a commented scenario to start from, and its JSON Schema for the editor
    New(New),
    /// Print the JSON Schema of scenario files
    Schema,
    /// Print every key of a scenario file: what it means, its unit, its default
    Keys,
    /// Say by arithmetic alone why one order takes as long as it does
    Explain(Explain),
    /// Tell the story of one order of a replication: every event and the reason for each wait
    Story(Story),
}

/// `run`.
#[derive(Debug, Args)]
pub struct Run {
    /// Scenario file
    pub file: PathBuf,
    /// Independent repetitions, instead of those of the file
    #[arg(long, short = 'n', value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub replications: Option<u32>,
    /// Root of every random draw, instead of that of the file
    #[arg(long, short = 's', value_name = "S")]
    pub seed: Option<u64>,
    /// Results folder [default: results/<name of the scenario file>-seed<S>]
    #[arg(long, short = 'o', value_name = "DIR", conflicts_with = "no_files")]
    pub out: Option<PathBuf>,
    /// Put the results in the place of earlier ones
    #[arg(long, conflicts_with = "no_files")]
    pub replace: bool,
    /// Print the summary only; write no results folder
    #[arg(long)]
    pub no_files: bool,
    /// Keep stderr free of everything but errors
    #[arg(long, short = 'q')]
    pub quiet: bool,
    /// Processor cores to use [default: all]; the results do not depend on it
    #[arg(long, short = 't', value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

/// `promise`.
#[derive(Debug, Args)]
pub struct Promise {
    /// Scenario file; its clock starts at the moment the order book describes
    pub file: PathBuf,
    /// Order book, instead of the one the scenario names
    #[arg(long, value_name = "BOOK.csv")]
    pub orders: Option<PathBuf>,
    /// Product of a new order for which to name a date
    #[arg(long, value_name = "PRODUCT", requires = "quantity")]
    pub quote: Option<String>,
    /// Good pouches of the new order; metres for roll-stock
    #[arg(long, value_name = "N", requires = "quote", value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    pub quantity: Option<u32>,
    /// Class of the new order; needed where the scenario has several
    #[arg(long, value_name = "NAME", requires = "quote")]
    pub class: Option<String>,
    /// How sure the quoted date is to be, per cent
    #[arg(long, value_name = "PERCENT", requires = "quote", default_value_t = 90.0, value_parser = percent)]
    pub sure: f64,
    /// Independent repetitions, instead of those of the file
    #[arg(long, short = 'n', value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub replications: Option<u32>,
    /// Root of every random draw, instead of that of the file
    #[arg(long, short = 's', value_name = "S")]
    pub seed: Option<u64>,
    /// Results folder [default: results/<name of the scenario file>-promise-seed<S>]
    #[arg(long, short = 'o', value_name = "DIR", conflicts_with = "no_files")]
    pub out: Option<PathBuf>,
    /// Put the results in the place of earlier ones
    #[arg(long, conflicts_with = "no_files")]
    pub replace: bool,
    /// Print the dates only; write no results folder
    #[arg(long)]
    pub no_files: bool,
    /// Keep stderr free of everything but errors
    #[arg(long, short = 'q')]
    pub quiet: bool,
    /// Processor cores to use [default: all]; the results do not depend on it
    #[arg(long, short = 't', value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

/// A share in per cent, from 1 to 99.9.
fn percent(text: &str) -> Result<f64, String> {
    let value = text.trim().trim_end_matches('%').trim().parse::<f64>();
    match value {
        Ok(value) if (1.0..=99.9).contains(&value) => Ok(value),
        _ => Err("a number from 1 to 99.9, such as 90".to_owned()),
    }
}

/// `check`.
#[derive(Debug, Args)]
pub struct Check {
    /// Scenario file
    pub file: PathBuf,
}

/// `new`.
#[derive(Debug, Args)]
pub struct New {
    /// File to write; it must not be there yet
    pub file: PathBuf,
}

/// `explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// Scenario file
    pub file: PathBuf,
    /// Product [default: the first one of the file]
    #[arg(long, short = 'p', value_name = "NAME", conflicts_with = "all")]
    pub product: Option<String>,
    /// Good pouches ordered; metres for roll-stock [default: the mean of the product's orders]
    #[arg(long, short = 'n', value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub quantity: Option<u32>,
    /// Every product of the file, one after the other
    #[arg(long)]
    pub all: bool,
}

/// `story`.
#[derive(Debug, Args)]
pub struct Story {
    /// Scenario file
    pub file: PathBuf,
    /// Name of the order in the order book, or its number in the replication, as in the results
    /// [default: the last one done]
    #[arg(long, value_name = "ORDER")]
    pub order: Option<String>,
    /// The last order that was done late, instead of the last one done
    #[arg(long, conflicts_with = "order")]
    pub late: bool,
    /// Replication; the results folder shows number 0
    #[arg(long, short = 'r', value_name = "R", default_value_t = 0)]
    pub replication: u32,
    /// Root of every random draw, instead of that of the file
    #[arg(long, short = 's', value_name = "S")]
    pub seed: Option<u64>,
}
