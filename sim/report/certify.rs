//! What the intervals of a cell are worth, for a terminal.
//!
//! In: a [`Certificate`]. Out: the answer, then a table by figure.

use crate::certify::{Count, Intervals, Pool, Study};
use crate::stats::{Moments, share_interval};
use crate::summary::{Standing, Summary};
use crate::units::{Reader, grouped, percent};

use super::compare::words::plain;
use super::words::{clean, fit, left, right, wrap};

const COLUMNS: usize = 80;
const NAME: usize = 44;
const CELL: usize = 12;

/// A level may be missed by so much before it is said.
const SLACK: f64 = 0.02;

/// What was counted on a cell.
pub struct Certificate<'a> {
    /// The cell and its replications.
    pub pool: &'a Pool,
    /// How runs were drawn.
    pub study: Study,
    /// What was counted.
    pub told: &'a Intervals,
    /// Title of the scenario.
    pub title: &'a str,
}

/// A share of so many, with its interval at 99 %.
fn counted(n: u32, of: u32) -> (f64, f64, f64) {
    let mean = f64::from(n) / f64::from(of.max(1));
    // Yes or no, n times: their own spread.
    let seen = Moments {
        count: u64::from(of),
        mean,
        sd: (mean * (1.0 - mean)).sqrt(),
        skewness: 0.0,
    };
    let range = share_interval(&seen, f64::from(of), 0.99);
    (mean, range.low, range.high)
}

/// Runs in which the truth lies beyond an end that is claimed.
fn wrong(count: &Count) -> u32 {
    count.below + count.above
}

impl Certificate<'_> {
    fn reader(&self) -> Reader {
        match self.pool.case().model.plant.reader.inch {
            true => Reader::Inch,
            false => Reader::Metric,
        }
    }

    fn level(&self) -> f64 {
        self.pool.case().model.plant.run.confidence
    }

    fn label(&self, place: usize) -> String {
        clean(&self.pool.case().layout.measures[place].label)
    }

    /// Figures whose interval is clearly wrong more often than its level allows. Counted over all runs: those in which
    /// both ends are claimed are the calm ones, and no fair sample of them.
    fn short(&self) -> Vec<String> {
        let allowed = 1.0 - self.level();
        let figures = self.told.figures.iter();
        figures
            .filter_map(|figure| {
                let (mean, low, _) = counted(wrong(&figure.count), self.study.runs);
                let short = low > allowed + SLACK;
                short.then(|| format!("{} ({})", self.label(figure.place), percent(mean)))
            })
            .collect()
    }
}

/// The answer in sentences.
pub fn answer(c: &Certificate<'_>) -> Vec<String> {
    let runs = c.study.runs;
    let level = percent(c.level());
    let figures = c.told.figures.iter();
    let most = figures.map(|f| f64::from(wrong(&f.count)) / f64::from(runs.max(1)));
    let most = most.fold(0.0, f64::max);
    let short = c.short();
    let mut out = vec![match short.is_empty() {
        true => format!(
            "The {level} intervals of this cell hold: what is claimed of a figure is wrong in {} of runs at most.",
            percent(most)
        ),
        false => format!(
            "Not all {level} intervals of this cell hold. Wrong too often: {}.",
            short.join(", ")
        ),
    }];
    let case = c.pool.case();
    let summary = Summary::new(&case.model, &case.layout, &c.pool.whole());
    if Standing::of(&summary) == Standing::Overloaded {
        out.insert(
            0,
            "The cell does not keep up with its orders: its figures depend on how long one looks, and intervals that hold \
             do not make them figures of the long run."
                .to_owned(),
        );
    }
    let whole = f64::from(c.told.whole) / f64::from(runs.max(1));
    out.push(match c.told.whole == runs {
        true => "All runs have both ends of every interval.".to_owned(),
        false => format!(
            "{} of runs have both ends of every interval; in the others a few bad stretches decide, and that is said.",
            percent(whole)
        ),
    });
    let adds = match c.study.most > c.study.start {
        true => format!(
            ", with what they add by themselves {} in the mean",
            grouped(c.told.replications, 0)
        ),
        false => String::new(),
    };
    out.push(format!(
        "{} runs of {} replications{adds}, drawn from {} that were simulated with seed {}; the figures of all of these count as the truth.",
        grouped(f64::from(runs), 0),
        c.study.start,
        grouped(c.pool.kept().len() as f64, 0),
        c.pool.case().model.plant.run.seed,
    ));
    out
}

/// For a terminal.
pub fn text(c: &Certificate<'_>) -> String {
    let mut out = fit(&clean(c.title), COLUMNS) + "\n\n";
    for words in answer(c) {
        for line in wrap(&words, COLUMNS) {
            out += &line;
            out.push('\n');
        }
    }
    let row = |name: &str, cells: [&str; 3]| {
        let cells = cells.map(|cell| right(cell, CELL)).concat();
        format!("{}{cells}\n", left(name, NAME))
    };
    out.push('\n');
    out += &row("Figure", ["truth", "wrong", "end open"]);
    for figure in &c.told.figures {
        let measure = &c.pool.case().layout.measures[figure.place];
        let share = |n: u32| percent(f64::from(n) / f64::from(c.study.runs.max(1)));
        let truth = plain(figure.truth, measure.unit, c.reader());
        let cells = [
            &truth,
            &share(wrong(&figure.count)),
            &share(c.study.runs - figure.count.told),
        ];
        out += &row(&c.label(figure.place), cells.map(String::as_str));
    }
    out.push('\n');
    for line in wrap(
        "Wrong: runs in which the truth lies beyond an end that is claimed. End open: runs in which an end is not claimed. What is counted is luck alone: settings that are wrong in the file are wrong in all runs.",
        COLUMNS,
    ) {
        out += &line;
        out.push('\n');
    }
    out
}
