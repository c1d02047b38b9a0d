//! A sweep over settings: table, files, chart, and the points of an earlier sweep read back.
//!
//! In: [`Sweep`]. Out: text; bytes by `files`; `sweep.json` is also the memory from which a sweep goes on.

use serde::{Deserialize, Serialize};

use crate::plant::Plant;
use crate::units::Reader;

use super::Provenance;
use super::compare::words::{plain, unit};
use super::figure::{Figure, ends};
use super::table::Table;
use super::words::{clean, fit, left, right, wrap};

const COLUMNS: usize = 80;

/// What a point depends on besides its settings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    /// SHA-256 of the scenario and what it names.
    pub sha256: String,
    /// Version of the program.
    pub version: String,
    /// Root of every draw.
    pub seed: u64,
    /// Replications at every point, at least.
    pub replications: u32,
    /// At most, where a few bad stretches ask for more.
    pub at_most: u32,
    /// The variant that is swept.
    pub variant: String,
}

/// A figure at a point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// Key.
    pub key: String,
    /// Words.
    pub label: String,
    /// Unit.
    pub unit: String,
    /// The verdict of a comparison would speak of it.
    pub decides: bool,
    /// Mean and both ends of its interval; an end that is not claimed is infinite, and nothing in the file.
    #[serde(with = "open_ends")]
    pub value: Option<[f64; 3]>,
    /// Why there is no value.
    pub unknown: Option<String>,
}

/// A finished point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Path and value of each setting.
    pub settings: Vec<(String, String)>,
    /// How the cell stands.
    pub standing: String,
    /// Busiest station.
    pub bottleneck: String,
    /// Its replications.
    pub replications: u32,
    /// Figures.
    pub figures: Vec<Told>,
}

mod files;

pub use files::files;

/// Format of `sweep.json`.
const FORMAT: u32 = 2;

#[derive(Serialize, Deserialize)]
struct File {
    format: u32,
    program: String,
    identity: Identity,
    #[serde(default)]
    answer: Vec<String>,
    points: Vec<Point>,
}

/// A sweep.
pub struct Sweep<'a> {
    /// Title.
    pub title: &'a str,
    /// What its points depend on.
    pub identity: &'a Identity,
    /// Where it comes from.
    pub provenance: &'a Provenance,
    /// Paths that are set.
    pub paths: &'a [String],
    /// Points asked for that are done.
    pub points: &'a [Point],
    /// Points of earlier sweeps, kept in `sweep.json`.
    pub others: &'a [Point],
    /// Points asked for.
    pub asked: usize,
    /// The cell that is swept.
    pub plant: &'a Plant,
}

/// The points of an earlier `sweep.json`, if they depend on the same things; `None` if not.
pub fn finished(bytes: &[u8], identity: &Identity) -> Option<Vec<Point>> {
    let file: File = serde_json::from_slice(bytes).ok()?;
    (file.format == FORMAT && file.identity == *identity).then_some(file.points)
}

impl Sweep<'_> {
    fn reader(&self) -> Reader {
        if self.plant.reader.inch {
            Reader::Inch
        } else {
            Reader::Metric
        }
    }

    /// Words of a figure; those of money with their currency.
    fn label(&self, told: &Told) -> String {
        let words = match told.unit.starts_with("money") {
            true => format!(
                "{}, {}",
                told.label,
                unit(&told.unit, &self.plant.reader.currency)
            ),
            false => told.label.clone(),
        };
        clean(&words)
    }

    /// Figures that are shown: those a verdict would speak of, and a few more.
    fn shown(&self) -> Vec<usize> {
        let figures = self.points.first().map_or(&[][..], |p| &p.figures);
        let more = [
            "lead_done/all/p90",
            "orders/all",
            "cell/busiest",
            "money/result",
        ];
        let wanted = |f: &Told| f.decides || more.contains(&f.key.as_str());
        (0..figures.len())
            .filter(|&i| wanted(&figures[i]))
            .collect()
    }

    fn cell(&self, told: &Told) -> Figure {
        match told.value {
            None => Figure::missing(told.unknown.as_deref().unwrap_or("–")),
            Some([mean, low, high]) => {
                let text = |x: f64| plain(x, &told.unit, self.reader());
                let most = if told.unit == "share" {
                    1.0
                } else {
                    f64::INFINITY
                };
                let [lower, upper] = [low, high].map(|end| match end.is_finite() {
                    true => text(end.min(most)),
                    false => String::new(),
                });
                // A common unit is said once: `65.1 to 88.5 %`.
                let bare = lower.trim_end_matches(" %");
                let interval = ends([low, high], [&lower, bare, &upper]);
                Figure::told(text(mean), interval)
            }
        }
    }

    fn table(&self, figures: &[usize]) -> Table {
        let mut head = vec![String::new()];
        head.extend(
            figures
                .iter()
                .map(|&i| self.label(&self.points[0].figures[i])),
        );
        Table {
            title: "Figures".to_owned(),
            note: self
                .paths
                .iter()
                .map(|p| clean(p))
                .collect::<Vec<_>>()
                .join("; "),
            head,
            rows: self
                .points
                .iter()
                .enumerate()
                .map(|(place, point)| {
                    let cell = |&i: &usize| {
                        let from = format!("/points/{place}/figures/{i}/value");
                        self.cell(&point.figures[i]).at(from)
                    };
                    (name(point), figures.iter().map(cell).collect())
                })
                .collect(),
        }
    }
}

/// The values of a point.
fn name(point: &Point) -> String {
    let values: Vec<String> = point
        .settings
        .iter()
        .map(|(_, value)| clean(value))
        .collect();
    values.join("; ")
}

/// Replications of the points: a number, or the least and the most.
fn replications(sweep: &Sweep<'_>) -> String {
    let each = || sweep.points.iter().map(|point| point.replications);
    let least = each().min().unwrap_or(sweep.identity.replications);
    let most = each().max().unwrap_or(least);
    match least == most {
        true => least.to_string(),
        false => format!("{least} to {most}"),
    }
}

fn origin(sweep: &Sweep<'_>) -> Vec<String> {
    vec![
        format!(
            "Seed {}, {} replications at every point, {} of {} points, cell: {}.",
            sweep.identity.seed,
            replications(sweep),
            sweep.points.len(),
            sweep.asked,
            clean(&sweep.identity.variant)
        ),
        format!(
            "pouchcast {}, scenario {}",
            sweep.identity.version,
            clean(&sweep.provenance.file_name)
        ),
        format!("sha256 {}", sweep.identity.sha256),
    ]
}

const METHOD: &str = "All points meet the same luck. A point whose queue grows has no steady lead time and none is \
    shown. Intervals hold for each point by itself.";

/// For a terminal.
pub fn text(sweep: &Sweep<'_>) -> String {
    let mut out = fit(&clean(sweep.title), COLUMNS) + "\n";
    let paths: Vec<String> = sweep.paths.iter().map(|p| clean(p)).collect();
    let say = |out: &mut String, text: &str| {
        for line in wrap(text, COLUMNS) {
            out.push_str(&line);
            out.push('\n');
        }
    };
    say(&mut out, &format!("Sweep over {}.", paths.join(" and ")));
    for i in sweep.shown() {
        out.push_str(&format!(
            "\n{}\n",
            fit(
                &sweep.label(&sweep.points[0].figures[i]).to_uppercase(),
                COLUMNS
            )
        ));
        for point in sweep.points {
            let cell = sweep.cell(&point.figures[i]);
            out.push_str(&format!(
                "{}{}{}\n",
                left(&name(point), 34),
                right(&cell.value, 14),
                right(&cell.interval, 32)
            ));
        }
    }
    out.push_str("\nBUSIEST STATION\n");
    for point in sweep.points {
        out.push_str(&format!(
            "{}{}\n",
            left(&name(point), 34),
            fit(&clean(&point.bottleneck), COLUMNS - 34)
        ));
    }
    out.push('\n');
    say(&mut out, METHOD);
    origin(sweep).iter().for_each(|line| say(&mut out, line));
    out
}

/// Ends of intervals that are not claimed, in a file that has no infinity.
mod open_ends {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub fn serialize<S: Serializer>(
        value: &Option<[f64; 3]>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        let told = value.map(|all| all.map(|x| x.is_finite().then_some(x)));
        told.serialize(serializer)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<[f64; 3]>, D::Error> {
        let told = Option::<[Option<f64>; 3]>::deserialize(deserializer)?;
        Ok(told.map(|[mean, low, high]| {
            [
                mean.unwrap_or(f64::NAN),
                low.unwrap_or(f64::NEG_INFINITY),
                high.unwrap_or(f64::INFINITY),
            ]
        }))
    }
}
