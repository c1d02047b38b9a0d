//! Arguments of `choose`.

use clap::Args;

use super::Many;

/// `choose`.
#[derive(Debug, Args)]
pub struct Choose {
    /// File, most replications of a line-up, results.
    #[command(flatten)]
    pub many: Many,
    /// Figure to choose by, as `compare` names it
    #[arg(long, value_name = "KEY", default_value = "lead_done/all/p90")]
    pub by: String,
    /// Smallest difference that matters, such as "2 h" or "1 %"
    #[arg(long, value_name = "AMOUNT", conflicts_with = "effort")]
    pub within: Option<String>,
    /// How sure the choice is to be, per cent
    #[arg(long, value_name = "PERCENT", default_value_t = 95.0, value_parser = sure, conflicts_with = "effort")]
    pub sure: f64,
    /// Replications of each line-up before any may fall; more where a few bad stretches decide the differences
    #[arg(long, value_name = "N", default_value_t = 20, value_parser = clap::value_parser!(u32).range(5..=1000), conflicts_with = "effort")]
    pub first: u32,
    /// Demand to decide at, as a multiple of today's [default: 1, or the first of `demands` where 1 is not among
    /// them]
    #[arg(long, value_name = "X", value_parser = demand)]
    pub demand: Option<f64>,
    /// Share out this many replications of all line-ups together, instead of a race with a guarantee
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub effort: Option<u64>,
}

/// A confidence in per cent.
fn sure(text: &str) -> Result<f64, String> {
    match text.trim().trim_end_matches('%').trim().parse::<f64>() {
        Ok(value) if (50.0..=99.9).contains(&value) => Ok(value),
        _ => Err("a number from 50 to 99.9, such as 95".to_owned()),
    }
}

/// A multiple of today's demand.
fn demand(text: &str) -> Result<f64, String> {
    match text.trim().trim_start_matches('x').trim().parse::<f64>() {
        Ok(value) if value > 0.0 && value <= 1000.0 => Ok(value),
        _ => Err("a number above 0, such as 1.15".to_owned()),
    }
}
