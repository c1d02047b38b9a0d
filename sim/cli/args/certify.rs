//! Arguments of `certify`.

use std::path::PathBuf;

use clap::Args;

/// `certify`.
#[derive(Debug, Args)]
pub struct Certify {
    /// Scenario file
    pub file: PathBuf,
    /// Variant of the scenario, or of a file of variants, that is the cell [default: the cell as it stands]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
    /// Replications of a run, instead of those of the file
    #[arg(long, short = 'n', value_name = "N", value_parser = clap::value_parser!(u32).range(2..=10_000))]
    pub replications: Option<u32>,
    /// Add replications to a run, up to so many, as `run` does where a few bad stretches decide a figure [default: 400,
    /// where `run` goes on to 2000; none with --replications]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(2..=10_000))]
    pub at_most: Option<u32>,
    /// Replications that are simulated, and that the runs are drawn from [default: five times the most of a run, 2000 at least]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(100..=100_000))]
    pub pool: Option<u32>,
    /// Runs that are drawn
    #[arg(long, value_name = "N", default_value_t = 1000, value_parser = clap::value_parser!(u32).range(100..=100_000))]
    pub runs: u32,
    /// Root of every random draw, instead of that of the file
    #[arg(long, short = 's', value_name = "S")]
    pub seed: Option<u64>,
    /// Keep stderr free of everything but errors
    #[arg(long, short = 'q')]
    pub quiet: bool,
    /// Processor cores to use [default: all]; the results do not depend on it
    #[arg(long, short = 't', value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}
