//! Effects put in order, and into words once, for all outputs.

use crate::compare::{Call, Comparison, Difference, Unknown};
use crate::plant::Plant;
use crate::report::Provenance;
use crate::report::clock::iso_date;
use crate::report::compare::words::{change, change_interval, label, value};
use crate::report::words::clean;
use crate::scenario::Side;
use crate::units::{Reader, grouped};

/// Settings that are named in the verdict.
const NAMED: usize = 4;

/// A setting that was moved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moved {
    /// What it is, safe to show.
    pub name: String,
    /// Low and high side, each with the place of its runs in the comparison.
    pub sides: [Option<(Side, usize)>; 2],
}

/// What moving a setting does to a figure.
#[derive(Debug, Clone)]
pub struct Row {
    /// Its place in [`View::moved`].
    pub moved: usize,
    /// The paired difference from today at the low and at the high side.
    pub sides: [Option<Result<Difference, Unknown>>; 2],
    /// From the lowest to the highest the figure comes, today included; without end where a side has no value.
    pub spread: f64,
}

impl Row {
    /// The whole interval of a side lies above or below no difference.
    pub fn is_clear(&self, side: usize) -> bool {
        matches!(
            &self.sides[side],
            Some(Ok(told)) if !matches!(told.call, Call::Open | Call::Same | Call::Equal)
        )
    }

    /// There is a difference, and it is not clear on which side it lies.
    pub fn is_open(&self, side: usize) -> bool {
        matches!(&self.sides[side], Some(Ok(told)) if told.call == Call::Open)
    }
}

/// All that the outputs need.
#[derive(Debug)]
pub struct View<'a> {
    /// The cell as it is, then every side of every setting, at one demand.
    pub comparison: &'a Comparison,
    /// Where it comes from.
    pub provenance: &'a Provenance,
    /// The cell as it is.
    pub plant: &'a Plant,
    /// For whom lengths are written.
    pub reader: Reader,
    /// Title, safe to show.
    pub title: String,
    /// Name of the cell that is moved, safe to show.
    pub cell: String,
    /// Currency of the reader, safe to show.
    pub currency: String,
    /// The share by which settings are moved.
    pub share: f64,
    /// Settings in floor order.
    pub moved: Vec<Moved>,
    /// Settings that cannot be moved, and why.
    pub left_out: Vec<String>,
    /// Figures that are shown, by their place in the comparison; the first one gives the verdict.
    pub figures: Vec<usize>,
}

impl View<'_> {
    /// How far settings are moved: `10 %`.
    pub fn range(&self) -> String {
        format!("{} %", grouped(self.share * 100.0, 1))
    }

    /// Words of a figure.
    pub fn label(&self, h: usize) -> String {
        clean(&label(&self.comparison.headlines[h], &self.currency))
    }

    /// A figure as the cell is.
    pub fn today(&self, h: usize) -> String {
        let headline = &self.comparison.headlines[h];
        value(
            &self.comparison.cases[0][0].figures[h],
            headline,
            self.reader,
        )
    }

    /// Name of a setting.
    pub fn name(&self, moved: usize) -> &str {
        self.moved.get(moved).map_or("", |m| &m.name)
    }

    /// The effects on a figure, the largest first.
    pub fn rows(&self, h: usize) -> Vec<Row> {
        let mut rows: Vec<Row> = self
            .moved
            .iter()
            .enumerate()
            .map(|(moved, setting)| {
                let sides = setting.sides.each_ref().map(|side| {
                    let (_, case) = side.as_ref()?;
                    self.comparison.cases[*case][0]
                        .against_today
                        .get(h)
                        .copied()
                });
                let ends = |pick: fn(f64, f64) -> f64| {
                    sides
                        .iter()
                        .flatten()
                        .flatten()
                        .map(|d| d.mean)
                        .fold(0.0, pick)
                };
                let unknown = sides.iter().flatten().any(Result::is_err);
                let spread = match unknown {
                    true => f64::INFINITY,
                    false => ends(f64::max) - ends(f64::min),
                };
                Row {
                    moved,
                    sides,
                    spread,
                }
            })
            .collect();
        rows.sort_by(|a, b| b.spread.total_cmp(&a.spread).then(a.moved.cmp(&b.moved)));
        rows
    }

    /// The mean effect of a side: `+2.4 h`, why there is none, or nothing where the side was not run.
    pub fn change(&self, h: usize, row: &Row, side: usize) -> String {
        match &row.sides[side] {
            None => "–".to_owned(),
            Some(Err(why)) => why.words().to_owned(),
            Some(Ok(told)) => change(told, &self.comparison.headlines[h], self.reader),
        }
    }

    /// The interval of a side; empty where there is none.
    pub fn interval(&self, h: usize, row: &Row, side: usize) -> String {
        match &row.sides[side] {
            Some(Ok(told)) => change_interval(told, &self.comparison.headlines[h], self.reader),
            _ => String::new(),
        }
    }

    /// On which sides an effect is clear.
    pub fn clear(&self, row: &Row) -> &'static str {
        match (row.is_clear(0), row.is_clear(1)) {
            (true, true) => "both sides",
            (true, false) => "lower side",
            (false, true) => "higher side",
            (false, false) => "no",
        }
    }

    /// How far a side was moved.
    fn how_far(&self, moved: usize, side: usize) -> &str {
        let told = self.moved.get(moved).and_then(|m| m.sides[side].as_ref());
        told.map_or("", |(side, _)| &side.words)
    }

    /// What it comes to.
    pub fn verdict(&self) -> Vec<String> {
        let Some(&h) = self.figures.first() else {
            return Vec::new();
        };
        let label = self.label(h);
        if let Err(why) = &self.comparison.cases[0][0].figures[h] {
            return vec![format!(
                "\"{label}\" has no value as the cell is ({}): what moves it cannot be said. Give the cell more hours or \
                 machines, or fewer orders, first.",
                why.words()
            )];
        }
        let rows = self.rows(h);
        let clear: Vec<&Row> = rows
            .iter()
            .filter(|row| row.is_clear(0) || row.is_clear(1))
            .collect();
        let told: Vec<String> = clear
            .iter()
            .take(NAMED)
            .map(|row| {
                let sides: Vec<String> = (0..2)
                    .filter(|&side| row.sides[side].is_some())
                    .map(|side| {
                        format!(
                            "{}: {}",
                            self.how_far(row.moved, side),
                            self.change(h, row, side)
                        )
                    })
                    .collect();
                format!("{} ({})", self.name(row.moved), sides.join(", "))
            })
            .collect();
        let lost: Vec<String> = rows
            .iter()
            .flat_map(|row| (0..2).map(move |side| (row, side)))
            .filter(|(row, side)| matches!(row.sides[*side], Some(Err(Unknown::NotSteady))))
            .map(|(row, side)| {
                format!("{} {}", self.name(row.moved), self.how_far(row.moved, side))
            })
            .collect();
        let mut out = Vec::new();
        if !lost.is_empty() {
            out.push(format!(
                "The cell no longer keeps up with its orders if moved to {}.",
                lost.join("; ")
            ));
        }
        out.push(match told.is_empty() {
            true => format!(
                "Where it keeps up, nothing that was moved clearly changes \"{label}\", {} today.",
                self.today(h)
            ),
            false => format!(
                "\"{label}\", {} today, moves most with {}.",
                self.today(h),
                told.join("; ")
            ),
        });
        let rest = rows.len() - clear.len();
        if rest > 0 && !told.is_empty() {
            out.push(format!(
                "{} of {} settings clearly move it; of the other {rest} it is not clear at {} replications.",
                clear.len(),
                rows.len(),
                self.comparison.done
            ));
        }
        out
    }

    /// What the figures mean, what was left out, and where it comes from.
    pub fn notes(&self) -> Vec<String> {
        let c = self.comparison;
        let mut out = vec![
            format!(
                "One setting is moved at a time, by {} down (lower) and up (higher), people by one in each shift; \
                 everything else stays. All meet the same luck, so that a difference shows what was moved. Effects of \
                 two settings moved together need not add up.",
                self.range()
            ),
            format!(
                "An effect is clear where the whole interval of its paired difference lies on one side; ? marks one \
                 that is not. The {} % intervals of one figure hold together for all {} sides.",
                grouped(c.confidence * 100.0, 1),
                c.together
            ),
            "Only what the scenario writes is moved, not what stands at its default. Holds for cure and the dwell of \
             seals are never moved: they are the data sheet's. Changeover times include lock-out and guard checks; \
             none of these may be cut short."
                .to_owned(),
        ];
        if !self.left_out.is_empty() {
            out.push(format!("Left out: {}.", self.left_out.join("; ")));
        }
        let partial = if c.done < c.asked {
            " (interrupted)"
        } else {
            ""
        };
        out.push(format!(
            "Cell: {}. Seed {}, {} of {} replications{partial} of each side, from {}. pouchcast {}, scenario {}, sha256 {}.",
            self.cell,
            self.plant.run.seed,
            c.done,
            c.asked,
            iso_date(self.plant.run.start_day),
            self.provenance.version,
            clean(&self.provenance.file_name),
            clean(&self.provenance.sha256)
        ));
        out
    }
}
