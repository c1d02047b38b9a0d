//! A run cut into parts: outcomes of some replications as lines of text, and back without losing a bit.
//!
//! In: outcomes one by one. Out: one line of JSON each, after a head line that says which run they belong to and
//! before a last one that says how many they are; each with the sum of all above it ([`super::seal`]).
//! Mean and variance depend on the order of adding in the last digit, so a part keeps every replication and
//! not their sums: parts that are folded one after the other give the very bytes of the undivided run.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use crate::model::Model;
use crate::observe::layout::LEADS;
use crate::observe::spans::{FINE, Spans};
use crate::observe::{Layout, Outcome};
use crate::shop::Counts;
use crate::shop::audit::Audit;
use crate::stats::Cell;

use super::seal::Seal;

/// Version of the format.
const FORMAT: u32 = 2;

/// How the first line of every part begins.
pub const MARK: &str = "{\"pouchcast_part\":";

/// Which run a part belongs to, and which replications it holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    /// Version of the format.
    pub pouchcast_part: u32,
    /// Version of the program.
    pub program: String,
    /// SHA-256 of the scenario and its order book.
    pub sha256: String,
    /// Root of every random draw.
    pub seed: u64,
    /// Replications of the whole run.
    pub replications: u32,
    /// First replication of the part.
    pub first: u32,
    /// The one after its last.
    pub end: u32,
}

impl Head {
    /// The head of a part.
    pub fn new(
        program: &str,
        sha256: &str,
        seed: u64,
        replications: u32,
        part: Range<u32>,
    ) -> Self {
        Self {
            pouchcast_part: FORMAT,
            program: program.into(),
            sha256: sha256.into(),
            seed,
            replications,
            first: part.start,
            end: part.end,
        }
    }

    /// The head as a line.
    pub fn line(&self, seal: &mut Seal) -> String {
        seal.close(&serde_json::to_string(self).unwrap_or_default())
    }

    /// Reads the first line of a part.
    ///
    /// # Errors
    /// In words, where it is not one.
    pub fn read(line: &str, seal: &mut Seal) -> Result<Self, String> {
        if !line.starts_with(MARK) {
            return Err("is not a part of a run".into());
        }
        let opened = seal.open(line);
        let sealed = opened.as_deref().unwrap_or(line);
        let head: Self = serde_json::from_str(sealed)
            .map_err(|error| format!("line 1 is damaged at column {}", error.column()))?;
        if head.pouchcast_part != FORMAT {
            return Err(format!(
                "is of format {}, this program reads format {FORMAT}",
                head.pouchcast_part
            ));
        }
        match opened {
            Some(_) => Ok(head),
            None => Err("line 1 is damaged".into()),
        }
    }
}

/// The last line of a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Tail {
    /// Replications above.
    end_after: u32,
}

/// The last line of a part of so many replications.
pub fn tail(replications: u32, seal: &mut Seal) -> String {
    let tail = Tail {
        end_after: replications,
    };
    seal.close(&serde_json::to_string(&tail).unwrap_or_default())
}

/// Whether a line is the last one of a part of so many replications.
pub fn is_tail(line: &str, replications: u32, seal: &mut Seal) -> bool {
    let tail = seal.open(line);
    let tail = tail.and_then(|text| serde_json::from_str::<Tail>(&text).ok());
    tail.is_some_and(|tail| tail.end_after == replications)
}

/// Replications of part `part` (from 1) of `parts`: as even as can be, in order, none twice.
pub fn range(part: u32, parts: u32, replications: u32) -> Range<u32> {
    let cut = |n: u32| (u64::from(n) * u64::from(replications) / u64::from(parts.max(1))) as u32;
    cut(part.saturating_sub(1))..cut(part)
}

/// One replication as text. Numbers are written so that reading gives the same bits.
#[derive(Debug, Serialize, Deserialize)]
struct Row {
    replication: u32,
    events: u64,
    orders: u64,
    checks: u64,
    bottleneck: usize,
    figures: String,
    weights: String,
    levels: String,
    /// By group and lead time: bins that hold something, `bin:count:least:most`, or `bin::least` of one; in ticks.
    spans: Vec<String>,
    open: Vec<u64>,
}

fn joined<T: ToString>(values: &[T]) -> String {
    let words: Vec<String> = values.iter().map(T::to_string).collect();
    words.join(" ")
}

/// A replication as a line.
pub fn line(number: u32, outcome: &Outcome, counts: &Counts, seal: &mut Seal) -> String {
    let filled = |spans: &Spans| {
        let words: Vec<String> = (spans.cells.iter())
            .map(|cell| match cell.count {
                1 => format!("{}::{}", cell.bin, cell.least),
                count => format!("{}:{count}:{}:{}", cell.bin, cell.least, cell.most),
            })
            .collect();
        words.join(" ")
    };
    let row = Row {
        replication: number,
        events: counts.events,
        orders: counts.released,
        checks: counts.audit.checks,
        bottleneck: outcome.bottleneck,
        figures: joined(&outcome.figures),
        weights: joined(&outcome.weights),
        levels: joined(&outcome.levels),
        spans: outcome.spans.iter().map(filled).collect(),
        open: outcome.spans.iter().map(|spans| spans.open).collect(),
    };
    seal.close(&serde_json::to_string(&row).unwrap_or_default())
}

/// Reads the line of replication `number`. Of the counts only what the folding needs is there.
///
/// # Errors
/// In words, where it is not that line or does not fit the model.
pub fn read(
    text: &str,
    number: u32,
    model: &Model,
    layout: &Layout,
    seal: &mut Seal,
) -> Result<(Outcome, Counts), String> {
    let damaged = || format!("replication {number} is damaged");
    let text = seal.open(text).ok_or_else(damaged)?;
    let row: Row = serde_json::from_str(&text).map_err(|_| damaged())?;
    if row.replication != number {
        return Err(format!(
            "replication {} stands where {number} should",
            row.replication
        ));
    }
    let figures = numbers::<f64>(&row.figures).ok_or_else(damaged)?;
    let weights = numbers::<f64>(&row.weights).ok_or_else(damaged)?;
    let levels = numbers::<f32>(&row.levels).ok_or_else(damaged)?;
    let groups = layout.groups.len() * LEADS.len();
    let fits = figures.len() == layout.measures.len()
        && weights.len() == figures.len()
        && levels.len() % (2 + model.stations.len()) == 0
        && row.spans.len() == groups
        && row.open.len() == groups
        && row.bottleneck < model.stations.len();
    if !fits {
        return Err(damaged());
    }
    let spans = row.spans.iter().zip(&row.open);
    let spans: Option<Vec<Spans>> = spans.map(|(words, &open)| counted(words, open)).collect();
    let outcome = Outcome {
        figures,
        weights,
        levels,
        spans: spans.ok_or_else(damaged)?,
        bottleneck: row.bottleneck,
    };
    let counts = Counts {
        events: row.events,
        released: row.orders,
        audit: Audit {
            checks: row.checks,
            breach: None,
        },
        ..Counts::default()
    };
    Ok((outcome, counts))
}

fn numbers<T: std::str::FromStr>(text: &str) -> Option<Vec<T>> {
    text.split_whitespace()
        .map(|word| word.parse().ok())
        .collect()
}

fn counted(words: &str, open: u64) -> Option<Spans> {
    let mut cells: Vec<Cell> = Vec::new();
    for word in words.split_whitespace() {
        let mut parts = word.split(':');
        let bin: u16 = parts.next()?.parse().ok()?;
        let count = match parts.next()? {
            "" => 1,
            count => count.parse().ok()?,
        };
        let least: f64 = parts.next()?.parse().ok()?;
        let most = match parts.next() {
            Some(most) => most.parse().ok()?,
            None => least,
        };
        let rises = cells.last().is_none_or(|last| last.bin < bin);
        if !rises || usize::from(bin) >= FINE || least.is_nan() || most < least {
            return None;
        }
        cells.push(Cell {
            bin,
            count,
            least,
            most,
        });
    }
    Some(Spans { cells, open })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_cover_the_run_once() {
        for (parts, replications) in [(1, 7), (3, 7), (8, 8), (5, 3), (7, 1_000_000)] {
            let ranges: Vec<_> = (1..=parts).map(|p| range(p, parts, replications)).collect();
            assert_eq!(ranges[0].start, 0);
            assert_eq!(ranges[ranges.len() - 1].end, replications);
            for pair in ranges.windows(2) {
                assert_eq!(pair[0].end, pair[1].start);
            }
            let longest = ranges.iter().map(ExactSizeIterator::len).max();
            let shortest = ranges.iter().map(ExactSizeIterator::len).min();
            assert!(longest.zip(shortest).is_some_and(|(a, b)| a - b <= 1));
        }
    }

    #[test]
    fn a_line_gives_back_every_bit() {
        let text = crate::scenario::starter().replace("measure: 26 weeks", "measure: 3 weeks");
        let plant = crate::scenario::read("cell.yaml", text.as_bytes())
            .unwrap()
            .plant;
        let model = crate::model::compile(plant);
        let layout = Layout::new(&model);
        let (outcome, counts) = crate::replicate::one(&model, &layout, 3);
        let text = line(3, &outcome, &counts, &mut Seal::default());
        let again = |text: &str, number| read(text, number, &model, &layout, &mut Seal::default());
        let (outcome_again, few) = again(&text, 3).unwrap();
        let bits = |figures: &[f64]| figures.iter().map(|f| f.to_bits()).collect::<Vec<_>>();
        // What is not known has no bits of its own.
        let known = |o: &Outcome| {
            bits(
                &o.figures
                    .iter()
                    .copied()
                    .filter(|f| !f.is_nan())
                    .collect::<Vec<_>>(),
            )
        };
        assert_eq!(known(&outcome_again), known(&outcome));
        assert!(
            outcome_again
                .figures
                .iter()
                .zip(&outcome.figures)
                .all(|(a, b)| a.is_nan() == b.is_nan())
        );
        assert_eq!(outcome_again.levels, outcome.levels);
        assert_eq!(outcome_again.spans, outcome.spans);
        assert_eq!((few.events, few.released), (counts.events, counts.released));
        assert!(again(&text, 4).is_err());
        assert!(again(&text.replacen("\"events\":", "\"events\":1", 1), 3).is_err());
    }

    #[test]
    fn the_last_line_says_how_many_there_were() {
        let mut seal = Seal::default();
        let head = Head::new("1", "x", 5, 9, 3..6);
        let first = head.line(&mut seal);
        let last = tail(3, &mut seal);
        let mut reading = Seal::default();
        assert_eq!(Head::read(&first, &mut reading), Ok(head));
        assert!(!is_tail(&last, 2, &mut reading.clone()));
        assert!(is_tail(&last, 3, &mut reading));
        assert!(
            Head::read(
                &first.replace("\"seed\":5", "\"seed\":6"),
                &mut Seal::default()
            )
            .is_err()
        );
    }
}
