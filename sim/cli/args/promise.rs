//! Arguments of `promise`.

use std::path::PathBuf;

use clap::Args;

/// `promise`.
#[derive(Debug, Args)]
pub struct Promise {
    /// Scenario file; its clock starts at the moment the order book describes
    pub file: PathBuf,
    /// Variant of the scenario, or of a file of variants, that is the cell [default: the cell as it stands]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
    /// Order book, instead of the one the scenario names
    #[arg(long, value_name = "BOOK.csv")]
    pub orders: Option<PathBuf>,
    /// Product of a new order for which to name a date; it enters at the start of the clock
    #[arg(long, value_name = "PRODUCT", requires = "quantity")]
    pub quote: Option<String>,
    /// Good pouches of the new order; metres for roll-stock
    #[arg(long, value_name = "N", requires = "quote", value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    pub quantity: Option<u32>,
    /// Class of the new order; needed where the scenario has several
    #[arg(long, value_name = "NAME", requires = "quote")]
    pub class: Option<String>,
    /// Date that the new order is promised for (`2027-01-07` or `"2027-01-07 14:00"`); its chance is told
    #[arg(long, value_name = "DATE", requires = "quote")]
    pub due: Option<String>,
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
