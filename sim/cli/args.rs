//! What may be written on the command line.
//!
//! In: nothing but these types. Out: arguments as values, ranges checked; `--help` is made from the
//! comments here.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use crate::units::{Dimension, parse_quantity};

use super::exit::EXIT_CODES;

mod certify;
mod choose;
mod promise;
mod sensitivity;

pub use certify::Certify;
pub use choose::Choose;
pub use promise::Promise;
pub use sensitivity::Sensitivity;

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
    /// Put the parts of a run together: the same results as if it had not been cut
    Merge(Merge),
    /// Compare the variants of a scenario under the same luck: what is better, and how sure that is
    Compare(Compare),
    /// Find the best of the variants: with a guarantee, or as well as a fixed effort allows
    Choose(Choose),
    /// Say when each order of an order book will be done, which are at risk, and what date to quote for a new one
    Promise(Promise),
    /// Run a scenario over the values of one or several settings
    Sweep(Sweep),
    /// Say how much each setting of a cell moves its figures: demand, speeds, changeovers, breakdowns, people
    Sensitivity(Sensitivity),
    /// Say up to which demand, or other setting, a promise is kept
    Limit(Limit),
    /// Say whether a scenario can be used, and everything that is wrong with it
    Check(Check),
    /// Write a commented scenario to start from, and its JSON Schema for the editor
    New(New),
    /// Rewrite a scenario file of an older format, comments kept, and list each value that moves
    Renew(Renew),
    /// Print the JSON Schema of scenario files
    Schema,
    /// Print every key of a scenario file: what it means, its unit, its default; or what is said of one word
    Keys(Keys),
    /// Say by arithmetic alone why one order takes as long as it does
    Explain(Explain),
    /// Tell the story of one order of a replication: every event and the reason for each wait
    Story(Story),
    /// Check the program on this machine: published values beside simulated ones
    Verify(Verify),
    /// Count on a scenario itself how often its printed intervals hold what they promise
    Certify(Certify),
    /// Print what a shell needs to complete commands and options
    Completions(Completions),
    /// Print the manual page, for `man`
    Man(ManPage),
}

/// `completions`.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell
    pub shell: clap_complete::Shell,
}

/// `man`.
#[derive(Debug, Args)]
pub struct ManPage {
    /// Command whose page is wanted [default: that of the program]
    pub command: Option<String>,
}

/// `keys`.
#[derive(Debug, Args)]
pub struct Keys {
    /// A key or a block, `money` for instance [default: all of them]
    pub word: Option<String>,
}

/// `run`.
#[derive(Debug, Args)]
pub struct Run {
    /// Scenario file
    pub file: PathBuf,
    /// Variant of the scenario, or of a file of variants, that is the cell [default: the cell as it stands]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
    /// Independent repetitions, instead of those of the file
    #[arg(long, short = 'n', value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub replications: Option<u32>,
    /// Add replications, up to so many, where a few bad stretches decide a figure and those of the file hold too few
    /// of them for its interval [default: 2000; none with --replications, --precision or --part]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub at_most: Option<u32>,
    /// Add replications until the 90 % lead time (or the figure the file names) is known within this share
    #[arg(long, short = 'p', value_name = "SHARE", value_parser = share)]
    pub precision: Option<f64>,
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
    /// Run only part K of N and write it to one file, for `merge` [default: results/<name>-seed<S>.part-<K>-of-<N>.jsonl]
    #[arg(long, value_name = "K/N", conflicts_with = "no_files", value_parser = part)]
    pub part: Option<(u32, u32)>,
    /// Processor cores to use [default: all]; the results do not depend on it
    #[arg(long, short = 't', value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

/// Part K of N.
fn part(text: &str) -> Result<(u32, u32), String> {
    let numbers: Option<(u32, u32)> = text
        .split_once('/')
        .and_then(|(part, parts)| Some((part.parse().ok()?, parts.parse().ok()?)));
    match numbers {
        Some((part, parts)) if (1..=parts).contains(&part) && parts <= 1_000_000 => {
            Ok((part, parts))
        }
        Some((0, parts)) if (1..=1_000_000).contains(&parts) => Err(format!(
            "parts count from 1: the first one is 1/{parts}, the last one {parts}/{parts}"
        )),
        Some((part, parts)) if part > parts => Err(format!(
            "there are {parts} parts: the last one is {parts}/{parts}"
        )),
        _ => Err("write the number of the part and how many there are, such as 2/8".into()),
    }
}

/// `merge`.
#[derive(Debug, Args)]
pub struct Merge {
    /// Scenario file, the same as that of the parts
    pub file: PathBuf,
    /// Files written by `run --part`, in any order
    #[arg(required = true)]
    pub parts: Vec<PathBuf>,
    /// Variant of which they are parts [default: the cell as it stands]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
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
}

/// What the commands that run many cells have in common.
#[derive(Debug, Args)]
pub struct Many {
    /// Scenario with `variants`, or a file of variants of a `base`
    pub file: PathBuf,
    /// Independent repetitions of every case, instead of those of the scenario
    #[arg(long, short = 'n', value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub replications: Option<u32>,
    /// Root of every random draw, instead of that of the scenario
    #[arg(long, short = 's', value_name = "S")]
    pub seed: Option<u64>,
    /// Results folder [default: results/<name of the file>-<command>-seed<S>]
    #[arg(long, short = 'o', value_name = "DIR", conflicts_with = "no_files")]
    pub out: Option<PathBuf>,
    /// Put the results in the place of earlier ones
    #[arg(long, conflicts_with = "no_files")]
    pub replace: bool,
    /// Print only; write no results folder
    #[arg(long)]
    pub no_files: bool,
    /// Keep stderr free of everything but errors
    #[arg(long, short = 'q')]
    pub quiet: bool,
    /// Processor cores to use [default: all]; the results do not depend on it
    #[arg(long, short = 't', value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

/// `compare`.
#[derive(Debug, Args)]
pub struct Compare {
    /// File, replications, results.
    #[command(flatten)]
    pub many: Many,
    /// Add replications until every difference from today in the 90 % lead time (or the figure the file names) is known within this share of today's value
    #[arg(long, short = 'p', value_name = "SHARE", value_parser = share)]
    pub precision: Option<f64>,
    /// Add replications, up to so many, where a few bad stretches decide a difference and those of the file hold too few
    /// of them for its interval [default: 400; none with --replications or --precision]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub at_most: Option<u32>,
    /// Compare only these variants with today; to be given several times
    #[arg(long, value_name = "NAME")]
    pub only: Vec<String>,
    /// Promise of which the limit of today's demand is looked for
    #[arg(long, value_name = "TEXT", default_value = "95 % on time")]
    pub promise: String,
    /// Leave that limit out
    #[arg(long)]
    pub no_limit: bool,
}

/// `sweep`.
#[derive(Debug, Args)]
pub struct Sweep {
    /// File, replications, results.
    #[command(flatten)]
    pub many: Many,
    /// A path with its values: `demand=0.9..1.3 step 0.1`, `PATH=1,2`; to be given several times for a grid
    #[arg(long, value_name = "PATH=VALUES", required = true)]
    pub set: Vec<String>,
    /// Variant that is swept [default: today]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
    /// Add replications at a point, up to so many, where a few bad stretches decide a figure and those of the file hold
    /// too few of them for its interval [default: 400; none with --replications]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub at_most: Option<u32>,
}

/// `limit`.
#[derive(Debug, Args)]
pub struct Limit {
    /// File, replications, results.
    #[command(flatten)]
    pub many: Many,
    /// What is promised: `95 % on time`, `P90 under 36 h`, `90 % within 6 working days of office`
    #[arg(long, value_name = "TEXT")]
    pub promise: String,
    /// Class of orders it is promised to [default: all orders]
    #[arg(long, value_name = "NAME")]
    pub class: Option<String>,
    /// What is raised: `demand` for all orders, or the path to a number of the scenario
    #[arg(long, value_name = "PATH", default_value = "demand")]
    pub by: String,
    /// Variant that is asked about; to be given several times [default: today]
    #[arg(long, value_name = "NAME")]
    pub variant: Vec<String>,
    /// Least factor that is looked at
    #[arg(long, value_name = "X", default_value_t = 0.5)]
    pub from: f64,
    /// Largest factor that is looked at
    #[arg(long, value_name = "X", default_value_t = 2.0)]
    pub to: f64,
    /// Add replications at a setting, up to so many, where a few bad stretches decide the share and those of the file
    /// hold too few of them for its interval [default: 400; none with --replications]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub at_most: Option<u32>,
}

/// A share such as `5%` or `5 %`, from 0.1 % to 50 %.
fn share(text: &str) -> Result<f64, String> {
    let value = parse_quantity(text, Dimension::Share).map_err(|error| error.to_string())?;
    if (0.001..=0.5).contains(&value) {
        Ok(value)
    } else {
        Err("expected from 0.1 % to 50 %".to_string())
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

/// `renew`.
#[derive(Debug, Args)]
pub struct Renew {
    /// Scenario file of an older format
    pub file: PathBuf,
    /// File to write; it must not be there yet. Without it nothing is written
    #[arg(short, long)]
    pub out: Option<PathBuf>,
}

/// `explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// Scenario file
    pub file: PathBuf,
    /// Variant of the scenario, or of a file of variants, that is the cell [default: the cell as it stands]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
    /// Product [default: the first one of the file]
    #[arg(long, short = 'p', value_name = "NAME", conflicts_with = "all")]
    pub product: Option<String>,
    /// Good pouches ordered; metres for roll-stock [default: the mean of the product's orders]
    #[arg(long, short = 'n', value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub quantity: Option<u32>,
    /// Artworks of that quantity each, one behind the other
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub artworks: u32,
    /// The artworks share one web until pouch making
    #[arg(long)]
    pub gang: bool,
    /// Pouch machines that share each artwork
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=64))]
    pub split: u32,
    /// Taken off the pouch machine once for another order, and put back
    #[arg(long)]
    pub interrupted: bool,
    /// Every product of the file, one after the other
    #[arg(long)]
    pub all: bool,
}

/// `story`.
#[derive(Debug, Args)]
pub struct Story {
    /// Scenario file
    pub file: PathBuf,
    /// Variant of the scenario, or of a file of variants, that is the cell [default: the cell as it stands]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
    /// Name of the order in the order book, or its number in the replication, as in the results
    /// [default: the last one done]
    #[arg(long, value_name = "ORDER")]
    pub order: Option<String>,
    /// The last order that was done late, instead of the last one done; with --orders, those late or not done
    #[arg(long, conflicts_with = "order")]
    pub late: bool,
    /// List the orders that a story can be told of: product, class, release, due, done, late or not
    #[arg(long, conflicts_with = "order")]
    pub orders: bool,
    /// Replication; the results folder shows number 0
    #[arg(long, short = 'r', value_name = "R", default_value_t = 0)]
    pub replication: u32,
    /// Root of every random draw, instead of that of the file
    #[arg(long, short = 's', value_name = "S")]
    pub seed: Option<u64>,
}

/// `verify`.
#[derive(Debug, Args)]
pub struct Verify {
    /// Every check, each with a twin that must fail, instead of a quick look
    #[arg(long)]
    pub all: bool,
    /// Keep stderr free of everything but errors
    #[arg(long, short = 'q')]
    pub quiet: bool,
    /// Processor cores to use [default: all]; the results do not depend on it
    #[arg(long, short = 't', value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}
