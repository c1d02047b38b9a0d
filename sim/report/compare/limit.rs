//! How far a promise is kept, in words.
//!
//! In: a [`Limit`] and what it is about. Out: one sentence, and a table of the settings that were run.

use crate::compare::limit::Limit;
use crate::report::figure::Figure;
use crate::report::table::Table;
use crate::units::{grouped, percent};

/// What a limit is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// The cell: `today`, or a variant.
    pub cell: String,
    /// The promise: `95 % of quick orders on time`.
    pub promise: String,
    /// What is raised: `today's demand`, or `orders.rush.per_week as it is written`.
    pub setting: String,
    /// Level of the interval in words.
    pub confidence: String,
}

/// Ends of an interval that are told as one limit: not more than two hundredths apart, twice what the search tells
/// apart.
const NARROW: f64 = 1.02;

fn times(x: f64) -> String {
    grouped(x, 3)
}

/// The answer in a sentence or two.
pub fn sentence(limit: &Limit, about: &About) -> String {
    let About {
        promise,
        setting,
        confidence,
        ..
    } = about;
    let cell = match about.cell.as_str() {
        "today" => "Today's cell",
        other => other,
    };
    let (from, to) = (times(limit.range.0), times(limit.range.1));
    if let Some(wanted) = limit.wanted {
        return unsure(limit, about, cell, wanted);
    }
    match limit.at {
        Some(at) => match (limit.low, limit.high) {
            (Some(low), Some(high)) if high <= low * NARROW => format!(
                "{cell} keeps \"{promise}\" up to {} times {setting} ({confidence} interval {} to {}).",
                times(at),
                times(low),
                times(high)
            ),
            (low, high) => {
                let kept = match low {
                    Some(low) => format!(
                        "clearly keeps \"{promise}\" up to {} times {setting}",
                        times(low)
                    ),
                    None => format!(
                        "does not clearly keep \"{promise}\" even at {from} times {setting}"
                    ),
                };
                let broken = match high {
                    Some(high) => format!("and clearly no longer from {} on", times(high)),
                    None => format!(
                        "and does not clearly break it up to {to}, the most that was looked at"
                    ),
                };
                let between = format!(
                    "{} and {}",
                    low.map_or_else(|| from.clone(), times),
                    high.map_or_else(|| to.clone(), times)
                );
                format!(
                    "{cell} {kept} {broken}; not settled between {between} ({confidence} interval). By the mean share the \
                     limit is {}.",
                    times(at)
                )
            }
        },
        None if limit.kept_at_end => match limit.low {
            None => format!(
                "{cell} keeps \"{promise}\" up to {to} times {setting}, the most that was looked at."
            ),
            Some(low) => format!(
                "{cell} seems to keep \"{promise}\" up to {to} times {setting}, the most that was looked at; it is sure only \
                 up to {}.",
                times(low)
            ),
        },
        None => match limit.high {
            None => format!(
                "{cell} does not keep \"{promise}\" even at {from} times {setting}, the least that was looked at."
            ),
            Some(high) => format!(
                "{cell} does not seem to keep \"{promise}\" even at {from} times {setting}, the least that was looked at; it is \
                 sure only above {}.",
                times(high)
            ),
        },
    }
}

/// The answer where too few replications have shown how bad a bad stretch is.
fn unsure(limit: &Limit, about: &About, cell: &str, wanted: u32) -> String {
    let About {
        promise, setting, ..
    } = about;
    let mean = match limit.at {
        Some(at) => format!(
            "By the mean share {cell} keeps \"{promise}\" up to {} times {setting}",
            times(at)
        ),
        None if limit.kept_at_end => format!(
            "By the mean share {cell} keeps \"{promise}\" up to {} times {setting}, the most that was looked at",
            times(limit.range.1)
        ),
        None => format!(
            "By the mean share {cell} does not keep \"{promise}\" even at {} times {setting}, the least that was looked at",
            times(limit.range.0)
        ),
    };
    let mean = mean.replacen("share Today's", "share today's", 1);
    let broken = limit.high.map_or_else(String::new, |high| {
        format!(", and clearly no longer from {} on", times(high))
    });
    format!(
        "{mean}{broken}. Up to where it is clearly kept is not told: that wants at least {} replications at each setting.",
        grouped(f64::from(wanted), 0)
    )
}

/// The settings that were run with all replications.
///
/// `place`: where the limit stands in the results for other programs.
pub fn table(limit: &Limit, about: &About, place: &str) -> Table {
    let rows = limit
        .points
        .iter()
        .enumerate()
        .map(|(index, p)| {
            let range = match (p.claimed_low().is_finite(), p.high.is_finite()) {
                (false, true) => format!("at most {}", percent(p.high.min(1.0))),
                (true, false) => format!("at least {}", percent(p.low.max(0.0))),
                (false, false) => String::new(),
                _ => [p.low.max(0.0), p.high.min(1.0)].map(percent).join(" to "),
            };
            let share = Figure::told(percent(p.mean), range).at(format!("{place}/points/{index}"));
            let call = if p.low >= limit.share {
                "kept"
            } else if p.high < limit.share {
                "not kept"
            } else {
                "not settled"
            };
            let call = Figure::plain(call);
            (format!("x {}", times(p.at)), vec![share, call])
        })
        .collect();
    Table {
        title: format!("{}: {}", about.cell, about.promise),
        note: format!(
            "Share that keeps the promise by {}, with {} intervals.",
            about.setting, about.confidence
        ),
        head: ["", "share", ""].map(str::to_owned).to_vec(),
        rows,
    }
}
