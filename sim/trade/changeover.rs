//! A changeover: minutes and metres from what differs between two jobs.
//!
//! In: the elements that apply (minutes and waste of each), or a table from one family to
//! another. Out: minutes and metres.
//!
//! Formula: largest + share × the rest. A share of 1 adds everything up (one person), 0.5 is two
//! people working at once, 0 is everything in parallel. Common practice, no source.
//!
//! Element times include lock-out, cooling down and guard checks; no combination may be used to
//! leave them out.

use std::collections::BTreeMap;

/// One thing that must be changed, or a whole changeover.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Changeover {
    /// Minutes it takes.
    pub minutes: f64,
    /// Web it spoils, m.
    pub waste_m: f64,
}

/// Largest + share × rest of some amounts; 0 for none. A share outside 0 to 1 is brought to the
/// nearer end, because a changeover is never shorter than its longest element nor longer than
/// all of them in turn.
pub fn overlap(amounts: impl IntoIterator<Item = f64>, share: f64) -> f64 {
    let (mut largest, mut sum) = (0.0_f64, 0.0_f64);
    for amount in amounts {
        largest = largest.max(amount);
        sum += amount;
    }
    largest + share.clamp(0.0, 1.0) * (sum - largest)
}

/// Combines the elements that apply: minutes with one share, waste with another (start-up metres
/// of several elements usually overlap too, because one start-up proves them all).
pub fn combine(elements: &[Changeover], minutes_share: f64, waste_share: f64) -> Changeover {
    Changeover {
        minutes: overlap(elements.iter().map(|e| e.minutes), minutes_share),
        waste_m: overlap(elements.iter().map(|e| e.waste_m), waste_share),
    }
}

/// A table of whole changeovers from one family of jobs to another, by name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FromToTable {
    entries: BTreeMap<String, BTreeMap<String, Changeover>>,
    cold: BTreeMap<String, Changeover>,
}

impl FromToTable {
    /// An empty table.
    pub fn new() -> FromToTable {
        FromToTable::default()
    }

    /// Sets the changeover from one family to another (which may be the same); returns the entry
    /// it replaces, so that a loader can refuse one given twice.
    pub fn set(&mut self, from: &str, to: &str, changeover: Changeover) -> Option<Changeover> {
        self.entries
            .entry(from.to_owned())
            .or_default()
            .insert(to.to_owned(), changeover)
    }

    /// Sets the start into a family from a cold or undressed machine; returns the entry it
    /// replaces.
    pub fn set_cold(&mut self, to: &str, changeover: Changeover) -> Option<Changeover> {
        self.cold.insert(to.to_owned(), changeover)
    }

    /// The changeover from a family (`None`: cold or undressed machine) to another; `None` when
    /// the table does not give it. Nothing is assumed symmetric.
    pub fn get(&self, from: Option<&str>, to: &str) -> Option<Changeover> {
        match from {
            Some(from) => self.entries.get(from)?.get(to).copied(),
            None => self.cold.get(to).copied(),
        }
    }

    /// The pairs (from, to) among `families` that the table does not give, in order.
    pub fn missing<'a>(&self, families: &[&'a str]) -> Vec<(&'a str, &'a str)> {
        let mut pairs = Vec::new();
        for &from in families {
            for &to in families {
                if self.get(Some(from), to).is_none() {
                    pairs.push((from, to));
                }
            }
        }
        pairs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn element(minutes: f64, waste_m: f64) -> Changeover {
        Changeover { minutes, waste_m }
    }

    /// Width 35, height 45, gusset 35 min; 30, 40, 40 m. Hand arithmetic from the formula above,
    /// common practice, no source: sum 115, two people 45 + 35 = 80, all at once 45.
    #[test]
    fn sum_overlap_and_largest() {
        let size_change = [
            element(35.0, 30.0),
            element(45.0, 40.0),
            element(35.0, 40.0),
        ];
        assert_eq!(combine(&size_change, 1.0, 1.0), element(115.0, 110.0));
        assert_eq!(combine(&size_change, 0.5, 0.0), element(80.0, 40.0));
        assert_eq!(combine(&size_change, 0.0, 0.5), element(45.0, 75.0));
    }

    #[test]
    fn nothing_and_one() {
        assert_eq!(combine(&[], 0.5, 0.5), Changeover::default());
        assert_eq!(combine(&[element(8.0, 5.0)], 0.5, 0.5), element(8.0, 5.0));
    }

    #[test]
    fn between_the_largest_and_the_sum_and_in_any_order() {
        for seed in 1..200_u32 {
            let minutes: Vec<f64> = (1..6).map(|i| f64::from(seed * i * 37 % 61)).collect();
            let largest = minutes.iter().copied().fold(0.0, f64::max);
            let sum: f64 = minutes.iter().sum();
            for share in [-1.0, 0.0, 0.3, 0.5, 1.0, 2.0] {
                let here = overlap(minutes.iter().copied(), share);
                assert!(here >= largest && here <= sum);
                assert_eq!(here, overlap(minutes.iter().rev().copied(), share));
            }
        }
    }

    #[test]
    fn a_table_is_not_symmetric_and_hides_no_gap() {
        let mut table = FromToTable::new();
        assert_eq!(table.set("matt", "gloss", element(12.0, 20.0)), None);
        table.set("gloss", "matt", element(15.0, 20.0));
        table.set("matt", "matt", element(5.0, 5.0));
        table.set_cold("matt", element(30.0, 20.0));
        assert_eq!(table.get(Some("matt"), "gloss"), Some(element(12.0, 20.0)));
        assert_eq!(table.get(Some("gloss"), "matt"), Some(element(15.0, 20.0)));
        assert_eq!(table.get(None, "matt"), Some(element(30.0, 20.0)));
        assert_eq!(table.get(None, "gloss"), None);
        assert_eq!(table.missing(&["matt", "gloss"]), [("gloss", "gloss")]);
        let before = table.set("matt", "gloss", element(10.0, 0.0));
        assert_eq!(before, Some(element(12.0, 20.0)));
    }
}
