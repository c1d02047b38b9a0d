//! Runs a check and its twin and says what came out.
//!
//! In: a [`Check`]. Out: [`Judged`], a line for each value; an error if the scenario cannot be read. The
//! same on any number of threads: replications are folded in the order of their numbers.

use rayon::prelude::*;

use crate::model;
use crate::observe::{Layout, Outcome, Trace};
use crate::replicate;
use crate::scenario;
use crate::stats::{Welford, t_quantile};

use super::check::{Check, Claim, Demand, Figure};

/// No fewer than the values of chance in the whole table, counted twice for the twins; the chance of one
/// false alarm in 1,000 is shared out over so many comparisons.
pub const COMPARISONS: f64 = 500.0;

/// Most replications of a twin: its parameter is so far off that fewer are enough.
const TWIN_REPLICATIONS: u32 = 20;

/// Replications at once.
const BATCH: u32 = 64;

/// What is said of one value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Reproduced, and the twin (where it was asked) is caught.
    Holds,
    /// The published value lies outside the interval.
    Misses,
    /// The interval is too wide to tell.
    TooWide,
    /// The twin with a wrong number is not told from the published value.
    TwinPasses,
    /// Some replication has no such figure.
    NoValue,
}

impl Verdict {
    /// One word, short enough for a column of the screen.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Holds => "holds",
            Verdict::Misses => "MISSES",
            Verdict::TooWide => "VAGUE",
            Verdict::TwinPasses => "BLIND",
            Verdict::NoValue => "NOTHING",
        }
    }
}

/// One value of a check.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is, with the unit.
    pub what: String,
    /// Published value.
    pub expected: f64,
    /// Simulated mean.
    pub mean: f64,
    /// Half the width of its interval; 0 for a value without chance.
    pub half: f64,
    /// Relative standard error, and the largest one allowed; `None` for a value without chance.
    pub error: Option<(f64, f64)>,
    /// Simulated mean of the twin, if it was run and has to miss.
    pub twin: Option<f64>,
    /// What is said of it.
    pub verdict: Verdict,
}

/// A check with its result.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The check.
    pub check: Check,
    /// One line for each of its claims.
    pub lines: Vec<Line>,
}

impl Judged {
    /// Whether every value holds.
    pub fn holds(&self) -> bool {
        self.lines.iter().all(|l| l.verdict == Verdict::Holds)
    }
}

/// What the replications of a scenario say of each claim.
struct Seen {
    sums: Vec<Welford>,
    missing: Vec<bool>,
}

/// Runs a check, and its twin where `with_twin`.
///
/// # Errors
/// The reader's own words where the scenario or its twin cannot be read.
pub fn judge(check: Check, with_twin: bool) -> Result<Judged, String> {
    let seen = simulate(&check.scenario, check.replications, &check.claims)?;
    let twin = if with_twin && check.claims.iter().any(|c| c.power) {
        let text = check.twin_scenario();
        if text == check.scenario {
            return Err(format!("{}: the twin is no other scenario", check.name));
        }
        let count = check.replications.min(match check.replications {
            0..=100 => TWIN_REPLICATIONS,
            many => many / 4,
        });
        Some(simulate(&text, count, &check.claims)?)
    } else {
        None
    };
    let lines = check
        .claims
        .iter()
        .enumerate()
        .map(|(n, claim)| {
            let twin = twin.as_ref().filter(|_| claim.power);
            line(
                claim,
                (&seen.sums[n], seen.missing[n]),
                twin.map(|t| (&t.sums[n], t.missing[n])),
            )
        })
        .collect();
    Ok(Judged { check, lines })
}

/// Half the width of the interval of a mean.
fn half_width(sum: &Welford) -> f64 {
    let t = t_quantile(
        1.0 - 0.001 / COMPARISONS / 2.0,
        sum.count().saturating_sub(1) as f64,
    );
    t * sum.standard_error()
}

fn line(claim: &Claim, seen: (&Welford, bool), twin: Option<(&Welford, bool)>) -> Line {
    let (sum, missing) = seen;
    let expected = claim.expected;
    let mean = sum.mean();
    let scale = expected.abs().max(f64::MIN_POSITIVE);
    let (half, error, misses, wide) = match claim.demand {
        Demand::Exact(tolerance) => {
            let off = (mean - expected).abs();
            (0.0, None, off > tolerance * expected.abs().max(1.0), false)
        }
        Demand::Chance(narrow) => {
            let (half, error) = (half_width(sum), sum.standard_error() / scale);
            // A standard error that is no number fails too.
            let wide = error > narrow || error.is_nan();
            (
                half,
                Some((error, narrow)),
                (mean - expected).abs() > half,
                wide,
            )
        }
    };
    // A twin whose figure never comes to an end is told from the value as well.
    let caught = twin.is_none_or(|(other, lost)| {
        lost || match claim.demand {
            Demand::Exact(tolerance) => {
                (other.mean() - expected).abs() > tolerance * expected.abs().max(1.0)
            }
            Demand::Chance(_) => (other.mean() - expected).abs() > half_width(other),
        }
    });
    let verdict = if missing || sum.count() == 0 || mean.is_nan() {
        Verdict::NoValue
    } else if misses {
        Verdict::Misses
    } else if wide {
        Verdict::TooWide
    } else if !caught {
        Verdict::TwinPasses
    } else {
        Verdict::Holds
    };
    Line {
        what: claim.what.clone(),
        expected,
        mean,
        half,
        error,
        twin: twin.map(|(other, _)| other.mean()),
        verdict,
    }
}

fn simulate(text: &str, replications: u32, claims: &[Claim]) -> Result<Seen, String> {
    let loaded = scenario::read("check.yaml", text.as_bytes())
        .map_err(|report| format!("{}\n{text}", report.render(false, 100)))?;
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let places: Vec<Option<usize>> = claims
        .iter()
        .map(|claim| match &claim.figure {
            Figure::Key(key) => layout
                .find(key)
                .map(Some)
                .ok_or_else(|| format!("there is no figure {key}\n{text}")),
            _ => Ok(None),
        })
        .collect::<Result<_, String>>()?;
    let told = claims.iter().any(|c| matches!(c.figure, Figure::Story(_)));
    let mut seen = Seen {
        sums: vec![Welford::new(); claims.len()],
        missing: vec![false; claims.len()],
    };
    let values = |outcome: &Outcome, trace: Option<&Trace>| -> Vec<f64> {
        claims
            .iter()
            .zip(&places)
            .map(|(claim, place)| match (&claim.figure, place, trace) {
                (Figure::Left(of), _, _) => of(outcome),
                (Figure::Story(of), _, Some(trace)) => of(trace),
                (_, Some(place), _) => outcome.figures[*place],
                _ => f64::NAN,
            })
            .collect()
    };
    let mut first = 0;
    while first < replications {
        let last = (first + BATCH).min(replications);
        let batch: Vec<Vec<f64>> = (first..last)
            .into_par_iter()
            .map(|number| {
                if told {
                    let (outcome, trace, _) = replicate::traced(&model, &layout, number);
                    values(&outcome, Some(&trace))
                } else {
                    values(&replicate::one(&model, &layout, number).0, None)
                }
            })
            .collect();
        for row in batch {
            for (n, value) in row.into_iter().enumerate() {
                if value.is_finite() {
                    seen.sums[n].push(value);
                } else {
                    seen.missing[n] = true;
                }
            }
        }
        first = last;
    }
    Ok(seen)
}
