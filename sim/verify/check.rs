//! How a check is written down.
//!
//! In: a scenario text as a user writes it, and what theory says of it. Out: [`Check`], plain data.

use crate::observe::{Outcome, Trace};

/// What is compared.
#[derive(Debug, Clone)]
pub enum Figure {
    /// A figure of the results by its key.
    Key(String),
    /// Something else that one replication leaves.
    Left(fn(&Outcome) -> f64),
    /// Something of the whole story of one replication.
    Story(fn(&Trace) -> f64),
}

/// How near the simulated value must come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Demand {
    /// A value of chance: largest standard error, relative to the expected value.
    Chance(f64),
    /// A value without chance: largest difference, relative to the expected value.
    Exact(f64),
}

/// One figure and its published value.
#[derive(Debug, Clone)]
pub struct Claim {
    /// Words for people, with the unit.
    pub what: String,
    /// What is compared.
    pub figure: Figure,
    /// Published or reference value.
    pub expected: f64,
    /// How near the simulated value must come.
    pub demand: Demand,
    /// Whether the twin has to miss it; not where the twin's change leaves it alone.
    pub power: bool,
}

/// A scenario with values that theory gives.
#[derive(Debug, Clone)]
pub struct Check {
    /// What kind of mechanism it is about.
    pub group: &'static str,
    /// Name, unique.
    pub name: String,
    /// Where the values come from.
    pub source: &'static str,
    /// The formula, or how the values are found.
    pub formula: &'static str,
    /// The scenario file.
    pub scenario: String,
    /// Independent repetitions.
    pub replications: u32,
    /// Text of the scenario, and what stands there in the twin that must fail.
    pub twin: (String, String),
    /// What is compared.
    pub claims: Vec<Claim>,
    /// Whether it is among the checks of a quick look.
    pub quick: bool,
}

impl Claim {
    /// Figure `key`, a mean: standard error within 1.5 %, and the twin must miss it.
    pub fn key(what: impl Into<String>, key: impl Into<String>, expected: f64) -> Claim {
        Claim {
            what: what.into(),
            figure: Figure::Key(key.into()),
            expected,
            demand: Demand::Chance(0.015),
            power: true,
        }
    }

    /// Something of the whole story.
    pub fn story(what: impl Into<String>, of: fn(&Trace) -> f64, expected: f64) -> Claim {
        Claim {
            figure: Figure::Story(of),
            ..Claim::key(what, "", expected)
        }
    }

    /// Something that a replication leaves besides its figures.
    pub fn left(what: impl Into<String>, of: fn(&Outcome) -> f64, expected: f64) -> Claim {
        Claim {
            figure: Figure::Left(of),
            ..Claim::key(what, "", expected)
        }
    }

    /// With this largest standard error.
    pub fn within(self, share: f64) -> Claim {
        Claim {
            demand: Demand::Chance(share),
            ..self
        }
    }

    /// Without chance: equal but for rounding to microseconds.
    pub fn exact(self) -> Claim {
        Claim {
            demand: Demand::Exact(1e-6),
            ..self
        }
    }

    /// The twin's change moves it too little, or not at all.
    pub fn besides(self) -> Claim {
        Claim {
            power: false,
            ..self
        }
    }
}

impl Check {
    /// Among the checks of a quick look.
    pub fn quick(self) -> Check {
        Check {
            quick: true,
            ..self
        }
    }

    /// The scenario of the twin.
    pub fn twin_scenario(&self) -> String {
        self.scenario.replacen(&self.twin.0, &self.twin.1, 1)
    }
}
