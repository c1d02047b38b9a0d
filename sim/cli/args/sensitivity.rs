//! `sensitivity`.

use clap::Args;

use super::{Many, share};

/// `sensitivity`.
#[derive(Debug, Args)]
pub struct Sensitivity {
    /// File, replications, results.
    #[command(flatten)]
    pub many: Many,
    /// How far each setting is moved, down and up
    #[arg(long, value_name = "SHARE", default_value = "10%", value_parser = share)]
    pub range: f64,
    /// Figure to put the settings in order by, as `compare` names it
    #[arg(long, value_name = "KEY", default_value = "lead_done/all/p90")]
    pub by: String,
    /// Move this instead of the usual settings: `PATH` by the range, or `PATH=LOW|HIGH`; to be given several times
    #[arg(long, value_name = "PATH")]
    pub set: Vec<String>,
    /// Variant that is moved [default: today]
    #[arg(long, value_name = "NAME")]
    pub variant: Option<String>,
}
