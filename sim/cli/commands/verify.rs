//! `verify`: is what it says true on this machine?
//!
//! In: which checks. Out: each published value beside the simulated one on stdout; a failure if one does not
//! hold.

use indicatif::{ProgressBar, ProgressStyle};

use crate::verify::{self, Judged};

use super::super::args::Verify;
use super::super::ask;
use super::super::console;
use super::super::exit::{Exit, Failure};

/// Runs the quick checks, or all.
///
/// # Errors
/// [`Exit::Check`] where a value does not hold, [`Exit::Output`] where stdout cannot be written.
pub fn verify(asked: &Verify) -> Result<Exit, Failure> {
    let checks: Vec<_> = verify::checks()
        .into_iter()
        .filter(|check| asked.all || check.quick)
        .collect();
    let references = verify::references();
    let bar = if asked.quiet {
        ProgressBar::hidden()
    } else {
        ProgressBar::new(checks.len() as u64)
    };
    if let Ok(style) = ProgressStyle::with_template("{bar:32} {pos}/{len} checks, {eta} left") {
        bar.set_style(style);
    }
    let pool = ask::threads(asked.threads)?;
    let judged: Result<Vec<Judged>, String> = pool.install(|| {
        checks
            .into_iter()
            .map(|check| verify::judge(check, asked.all).inspect(|_| bar.inc(1)))
            .collect()
    });
    bar.finish_and_clear();
    let judged = judged.map_err(|message| Failure::new(Exit::Check, message))?;
    let values: usize = judged.iter().map(|j| j.lines.len()).sum();
    let bad = judged
        .iter()
        .flat_map(|j| &j.lines)
        .filter(|line| line.verdict != verify::Verdict::Holds)
        .count()
        + references.iter().filter(|r| !r.holds()).count();
    console::data(&verify::screen(&judged, &references))?;
    console::data(&format!(
        "\n{} of {} published values hold. Intervals hold all together with 99.9 %.",
        values + references.len() - bad,
        values + references.len()
    ))?;
    if bad > 0 {
        return Err(Failure::new(
            Exit::Check,
            format!(
                "{bad} published value{} not reproduced: do not trust the figures of this program on this machine before the cause is found.",
                if bad == 1 { " is" } else { "s are" }
            ),
        ));
    }
    Ok(Exit::Done)
}
