//! What was found, in words: the verdict, the means, what stands beside them.
//!
//! In: what was found ([`Chosen`]) and what it was about. Out: [`View`], from which all outputs take their words.

use crate::compare::Headline;
use crate::compare::cautions::Cautions;
use crate::compare::choose::{Chosen, Fate, Way};
use crate::plant::Plant;
use crate::report::Provenance;
use crate::report::compare::cautions::words;
use crate::report::compare::words::{demand_words, plain};
use crate::report::words::clean;
use crate::units::{Reader, grouped, money};

/// All that the outputs need.
#[derive(Debug)]
pub struct View<'a> {
    /// What was found.
    pub chosen: &'a Chosen,
    /// The figure.
    pub headline: &'a Headline,
    /// Names of the line-ups, today first.
    pub names: Vec<String>,
    /// Title of the study.
    pub title: String,
    /// Demand at which it is decided, as a multiple of today's.
    pub demand: f64,
    /// Currency of the reader.
    pub currency: String,
    /// What goes with the figures of each line-up.
    pub cautions: Vec<Cautions>,
    /// For whom lengths are written.
    pub reader: Reader,
    /// Root of all chance.
    pub seed: u64,
    /// The cell as it is today.
    pub plant: &'a Plant,
    /// Where it comes from.
    pub provenance: &'a Provenance,
}

impl View<'_> {
    pub(super) fn value(&self, value: f64) -> String {
        match value.is_nan() {
            true => "–".to_owned(),
            false => plain(value, self.headline.unit, self.reader),
        }
    }

    /// The means as people read them, by line-up: with so many digits that two that differ look different.
    pub(super) fn means(&self) -> Vec<String> {
        let lines = &self.chosen.lines;
        let told: Vec<f64> = lines
            .iter()
            .map(|line| match line.fate {
                Fate::Overloaded | Fate::NoValue => f64::NAN,
                _ => line.mean,
            })
            .collect();
        let usual: Vec<String> = told.iter().map(|&mean| self.value(mean)).collect();
        let clash = |words: &[String]| {
            (0..told.len()).any(|a| (0..a).any(|b| told[a] != told[b] && words[a] == words[b]))
                && told.iter().any(|mean| mean.is_finite())
        };
        if !clash(&usual) {
            return usual;
        }
        let size = told
            .iter()
            .filter(|mean| mean.is_finite())
            .fold(0.0, |most: f64, mean| most.max(mean.abs()));
        let (per, unit) = match self.headline.unit {
            "min" if size >= 4320.0 => (1.0 / 1440.0, " d"),
            "min" if size >= 180.0 => (1.0 / 60.0, " h"),
            "min" => (1.0, " min"),
            "share" => (100.0, " %"),
            "h/week" => (1.0, " h"),
            _ => (1.0, ""),
        };
        let with = |places: usize| -> Vec<String> {
            told.iter()
                .map(|&mean| match mean.is_nan() {
                    true => "–".to_owned(),
                    false => format!("{}{unit}", grouped(mean * per, places)),
                })
                .collect()
        };
        let finest = 6;
        let enough = (1..finest).map(with).find(|words| !clash(words));
        enough.unwrap_or_else(|| with(finest))
    }

    /// Line-ups whose mean lies within the zone of that of the best one.
    pub(super) fn as_good(&self) -> Vec<String> {
        let (Way::Race { zone, .. }, Some(best)) = (self.chosen.way, self.chosen.winner) else {
            return Vec::new();
        };
        let lines = &self.chosen.lines;
        (0..lines.len())
            .filter(|&i| i != best && matches!(lines[i].fate, Fate::In | Fate::Beaten))
            .filter(|&i| (lines[i].mean - lines[best].mean).abs() < zone)
            .map(|i| self.name(i))
            .collect()
    }

    /// `At today's demand`.
    pub(super) fn at(&self) -> String {
        demand_words(self.demand)
    }

    pub(super) fn name(&self, index: usize) -> String {
        clean(self.names.get(index).map_or("", String::as_str))
    }

    pub(super) fn left(&self) -> Vec<String> {
        (0..self.names.len())
            .filter(|&i| self.chosen.lines.get(i).is_some_and(|l| l.fate == Fate::In))
            .map(|i| self.name(i))
            .collect()
    }

    /// What may be said.
    pub fn verdict(&self) -> Vec<String> {
        let label = clean(&self.headline.label);
        let at = self.at();
        let alone = self
            .chosen
            .lines
            .iter()
            .all(|l| !matches!(l.fate, Fate::Beaten));
        match (self.chosen.way, self.chosen.winner) {
            (_, None) if self.left().is_empty() => vec![format!(
                "{at} none of the line-ups has a steady value of \"{label}\": none keeps up with its orders, or orders were \
                 not done by the end of the run."
            )],
            (Way::Race { .. }, Some(best)) if alone => vec![format!(
                "{at}, {} is the only one with a steady value of \"{label}\"; the others do not keep up, or have orders that \
                 were not done by the end of the run.",
                self.name(best)
            )],
            (
                Way::Race {
                    zone, confidence, ..
                },
                Some(best),
            ) => vec![
                match self.as_good().as_slice() {
                    [] => format!(
                        "{at}, {} is left as the best in \"{label}\".",
                        self.name(best)
                    ),
                    near => format!(
                        "{at}, {} is left as the best in \"{label}\", but cannot be told apart within {} from {}.",
                        self.name(best),
                        self.value(zone),
                        near.join(", ")
                    ),
                },
                match self.chosen.wanted {
                    Some(wanted) => unstated(wanted),
                    None => format!(
                        "With a confidence of at least {} % it is the best, if the best is better than every other by {} or \
                     more. Where others are closer than that, the best may be one of them.",
                        grouped(confidence * 100.0, 1),
                        self.value(zone)
                    ),
                },
            ],
            (Way::Race { most, .. }, None) => vec![format!(
                "{at}: not decided after {most} replications of each: {} are still in for the best in \"{label}\". More \
                 replications (--replications) or a wider --within can decide it.",
                self.left().join(", ")
            )],
            (Way::Effort(_), Some(best)) => vec![
                format!(
                    "{at}, {} has the best mean in \"{label}\".",
                    self.name(best)
                ),
                match (self.chosen.chance, self.chosen.wanted) {
                    (_, Some(wanted)) => unstated(wanted),
                    (Some(chance), None) => format!(
                        "The estimated chance that it is the best is at least {} %. That is an estimate from the means \
                         and spreads seen, not a guarantee.",
                        grouped((chance * 100.0).floor(), 0)
                    ),
                    (None, None) => "No other one has a steady value.".to_owned(),
                },
            ],
            (Way::Effort(_), None) => {
                vec!["Interrupted before the effort was spent: nothing is decided.".to_owned()]
            }
        }
    }

    pub(super) fn fate(&self, index: usize) -> &'static str {
        match self.chosen.lines.get(index).map(|line| line.fate) {
            Some(Fate::In) if self.chosen.winner == Some(index) => "best",
            Some(Fate::In) => match self.chosen.way {
                Way::Race { .. } => "still in",
                Way::Effort(_) => "behind by its mean",
            },
            Some(Fate::Beaten) => "fell",
            Some(Fate::Overloaded) => "does not keep up",
            Some(Fate::NoValue) | None => "orders not done",
        }
    }

    /// How far the mean of a line-up lies behind that of the best one, in the unit of the figure; nothing where one of
    /// the two has none.
    pub(super) fn behind(&self, index: usize) -> Option<f64> {
        let mean = |i: usize| {
            let line = self.chosen.lines.get(i)?;
            let told = matches!(line.fate, Fate::In | Fate::Beaten) && line.mean.is_finite();
            told.then_some(line.mean)
        };
        let winner = self.chosen.winner.filter(|&best| best != index)?;
        Some((mean(index)? - mean(winner)?).abs())
    }

    fn behind_words(&self, index: usize) -> String {
        match (self.behind(index), self.headline.unit) {
            (None, _) => "–".to_owned(),
            (Some(share), "share") => format!("{:.2} pt", share * 100.0),
            (Some(value), _) => self.value(value),
        }
    }

    /// Mean, how far behind the best one's, yearly result, replications, outcome.
    pub(super) fn row(&self, index: usize) -> [String; 5] {
        let line = self.chosen.lines.get(index);
        [
            self.means().get(index).cloned().unwrap_or_default(),
            self.behind_words(index),
            match line.and_then(|line| line.yearly) {
                Some(amount) => money(amount),
                None if self.has_money() => "–".to_owned(),
                None => String::new(),
            },
            grouped(line.map_or(0.0, |line| line.replications as f64), 0),
            self.fate(index).to_owned(),
        ]
    }

    /// The yearly result stands beside the figure.
    pub(super) fn has_money(&self) -> bool {
        self.chosen.lines.iter().any(|line| line.yearly.is_some())
    }

    /// The best first, then those that fell last.
    pub(super) fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.chosen.lines.len()).collect();
        order.sort_by_key(|&i| {
            let line = &self.chosen.lines[i];
            let rank = match line.fate {
                Fate::In if self.chosen.winner == Some(i) => 0,
                Fate::In => 1,
                Fate::Beaten => 2,
                Fate::Overloaded | Fate::NoValue => 3,
            };
            (rank, std::cmp::Reverse(line.replications), i)
        });
        order
    }

    /// What to be careful of; the first of the notes.
    pub(super) fn caution_words(&self) -> Vec<String> {
        words(&self.cautions, &|v| self.name(v))
    }

    pub(super) fn notes(&self) -> Vec<String> {
        let way = match self.chosen.way {
            Way::Race { first, zone, .. } => format!(
                "Fully sequential procedure of Kim and Nelson with an indifference zone of {}, first stage {first} \
                 replications, common random numbers. It takes figures of replications as normal.",
                self.value(zone)
            ),
            Way::Effort(effort) => format!(
                "Optimal computing budget allocation of {} replications.",
                grouped(effort as f64, 0)
            ),
        };
        let most = self
            .chosen
            .lines
            .iter()
            .map(|l| l.replications)
            .max()
            .unwrap_or(0);
        let equal = most * self.chosen.lines.len() as u64;
        let mut out = self.caution_words();
        out.push(way);
        if self.has_money() {
            out.push(format!(
                "A year: earned less cost, {}, the mean over the replications of each; nothing is decided by it.",
                clean(&self.currency)
            ));
        }
        out.extend([
            format!(
                "{} replications in all; as many for each as for the longest would have been {}.",
                grouped(self.chosen.effort as f64, 0),
                grouped(equal as f64, 0)
            ),
            format!(
                "Seed {}, pouchcast {}, scenario {}, sha256 {}.",
                self.seed,
                self.provenance.version,
                clean(&self.provenance.file_name),
                clean(&self.provenance.sha256)
            ),
        ]);
        out
    }
}

/// Why no probability is stated.
fn unstated(wanted: u64) -> String {
    format!(
        "How sure that is cannot be stated: a few bad stretches decide the differences, and by what they show at least {} \
         replications of each are wanted before anything may fall (--replications).",
        grouped(wanted as f64, 0)
    )
}
