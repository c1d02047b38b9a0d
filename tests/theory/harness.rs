//! How a check of the engine against theory is written and judged.
//!
//! In: a scenario text as a user writes it, figures of the result with their exact values. The text goes
//! the whole way: reader, model compiler, replications, estimate. Out: a pass, or a panic that says what
//! was seen. A check of chance passes when
//! * the mean over at least 20 replications lies within t standard errors of the exact value, with
//!   t taken at 0.001 shared out over all checks of this file (Bonferroni), and
//! * the standard error is at most 1 % of the exact value (2 % for quantiles from 95 % on), and
//! * a twin of the scenario, one parameter of it 5 to 10 % off, fails the same comparison: the check can fail.

use std::sync::atomic::AtomicBool;

use pouchcast::model::{self, Model};
use pouchcast::observe::{Layout, Outcome, Trace};
use pouchcast::plant::Plant;
use pouchcast::stats::{Welford, t_quantile};
use pouchcast::summary::{Estimate, Summary};
use pouchcast::{replicate, scenario};

/// At least the number of comparisons with chance in this binary; more would make each of them too strict only.
const COMPARISONS: f64 = 150.0;

/// What is compared.
#[derive(Clone, Copy)]
pub enum Figure {
    /// A figure of the summary by its key.
    Key(&'static str),
    /// Something else that one replication leaves.
    Left(fn(&Outcome) -> f64),
    /// Something of the whole story of one replication.
    Story(fn(&Trace) -> f64),
}

/// One figure and its exact value.
pub struct Expect {
    pub figure: Figure,
    pub exact: f64,
    /// Largest standard error, relative.
    pub narrow: f64,
    /// The twin has to miss it.
    pub power: bool,
}

/// Figure `key` has this exact value; its standard error must be within 1 % of it, its twin must miss it.
pub fn is(key: &'static str, exact: f64) -> Expect {
    Expect {
        figure: Figure::Key(key),
        exact,
        narrow: 0.01,
        power: true,
    }
}

/// As [`is`], for points of a distribution from 95 % on: standard error within 2 %.
pub fn tail(key: &'static str, exact: f64) -> Expect {
    Expect {
        narrow: 0.02,
        ..is(key, exact)
    }
}

/// As [`is`], for a figure that the change of the twin leaves alone.
pub fn also(key: &'static str, exact: f64) -> Expect {
    Expect {
        power: false,
        ..is(key, exact)
    }
}

/// As [`is`], of the story of each replication.
pub fn story(figure: fn(&Trace) -> f64, exact: f64) -> Expect {
    Expect {
        figure: Figure::Story(figure),
        exact,
        narrow: 0.01,
        power: true,
    }
}

/// As [`is`], of what each replication leaves.
pub fn left(figure: fn(&Outcome) -> f64, exact: f64) -> Expect {
    Expect {
        figure: Figure::Left(figure),
        exact,
        narrow: 0.01,
        power: true,
    }
}

/// A check of chance.
pub struct Check<'a> {
    pub name: &'a str,
    /// Where the exact values come from.
    pub source: &'a str,
    pub scenario: String,
    pub replications: u32,
    /// Text of the scenario and what stands there in the twin.
    pub twin: (&'a str, &'a str),
    pub expect: Vec<Expect>,
}

/// Reads a scenario; a bad one panics with the reader's own words.
pub fn plant(text: &str) -> Plant {
    match scenario::read("theory.yaml", text.as_bytes()) {
        Ok(loaded) => loaded.plant,
        Err(report) => panic!("{}\n{text}", report.render(false, 100)),
    }
}

/// Story of the first replication of a plant.
pub fn traced(plant: Plant) -> (Model, Trace) {
    let model = model::compile(plant);
    let layout = Layout::new(&model);
    let (_, trace, _) = replicate::traced(&model, &layout, 0);
    (model, trace)
}

fn estimates(text: &str, replications: u32, expect: &[Expect]) -> Vec<Estimate> {
    let model = model::compile(plant(text));
    let layout = Layout::new(&model);
    // Replications whose figures nobody asks for are not run twice.
    let by_key = expect.iter().any(|e| matches!(e.figure, Figure::Key(_)));
    let asked = if by_key { replications } else { 0 };
    let experiment = replicate::many(&model, &layout, asked, &AtomicBool::new(false), &|_| {});
    let summary = Summary::new(&model, &layout, &experiment);
    let mut extra = vec![Welford::default(); expect.len()];
    if expect.iter().any(|e| !matches!(e.figure, Figure::Key(_))) {
        for number in 0..replications {
            let (outcome, trace, _) = replicate::traced(&model, &layout, number);
            for (sum, e) in extra.iter_mut().zip(expect) {
                match e.figure {
                    Figure::Key(_) => {}
                    Figure::Left(of) => sum.push(of(&outcome)),
                    Figure::Story(of) => sum.push(of(&trace)),
                }
            }
        }
    }
    expect
        .iter()
        .zip(&extra)
        .map(|(e, sum)| match e.figure {
            Figure::Key(key) => *summary
                .get(key)
                .unwrap_or_else(|| panic!("no figure {key}")),
            _ => Estimate::new(sum, 0, 0.95),
        })
        .collect()
}

impl Check<'_> {
    /// Runs the scenario and its twin; panics with all that is wrong.
    pub fn run(self) {
        assert!(
            self.replications >= 20,
            "{}: at least 20 replications",
            self.name
        );
        let seen = estimates(&self.scenario, self.replications, &self.expect);
        let twin = self.scenario.replacen(self.twin.0, self.twin.1, 1);
        assert_ne!(twin, self.scenario, "{}: the twin is no other", self.name);
        let off = estimates(&twin, self.replications, &self.expect);
        let t = t_quantile(
            1.0 - 0.001 / COMPARISONS / 2.0,
            f64::from(self.replications - 1),
        );
        let mut wrong = String::new();
        for (n, e) in self.expect.iter().enumerate() {
            let what = match e.figure {
                Figure::Key(key) => key.to_owned(),
                _ => format!("figure {n}"),
            };
            let error = seen[n].sd / f64::from(seen[n].n).sqrt();
            let distance = (seen[n].mean - e.exact).abs();
            let line = format!(
                "{what}: exact {}, seen {:.5} +- {:.5} ({:.2} s.e.), twin {:.5}\n",
                e.exact,
                seen[n].mean,
                error,
                (seen[n].mean - e.exact) / error,
                off[n].mean
            );
            println!("{}: {line}", self.name);
            if seen[n].n != self.replications || seen[n].beyond > 0 {
                wrong += &format!("not known in every replication: {line}");
            }
            // Not `distance > ...`: a NaN has to fail too.
            if distance.is_nan() || distance > t * error {
                wrong += &format!("misses theory: {line}");
            }
            if error.is_nan() || error > e.narrow * e.exact.abs() {
                wrong += &format!("too wide to tell: {line}");
            }
            let off_error = off[n].sd / f64::from(off[n].n).sqrt();
            if e.power && (off[n].mean - e.exact).abs() <= t * off_error {
                wrong += &format!("its twin passes: {line}");
            }
        }
        assert!(wrong.is_empty(), "{} ({})\n{wrong}", self.name, self.source);
    }
}

/// A line of bench stations `s1`, `s2`, ... that every piece passes, and orders of one piece each.
///
/// `benches`: keys of each station besides its kind; `every`: time between orders;
/// `span`: measured minutes (a tenth of it passes unmeasured before, and `run_out` minutes after it).
pub fn line(every: &str, benches: &[&str], span: f64, run_out: f64) -> String {
    let mut text = head(span / 10.0, span, run_out);
    text += "products: { piece: {} }\nstations:\n";
    for (n, keys) in benches.iter().enumerate() {
        text += &format!("  s{}: {{ work: bench, {keys} }}\n", n + 1);
    }
    text + &format!("orders: [{{ name: all, every: \"{every}\", products: {{ piece: 100 % }} }}]\n")
}

/// First lines of a scenario, times in minutes.
pub fn head(warm_up: f64, measure: f64, run_out: f64) -> String {
    format!(
        "format: 1\nname: theory\nrun: {{ seed: 20, warm_up: {warm_up} min, measure: {measure} min, run_out: {run_out} min }}\n"
    )
}
