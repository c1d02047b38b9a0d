//! Studies: a cell, its variants, and the demand cases they are compared over.
//!
//! In: the bytes of a scenario with `variants`, or of a file that holds nothing but variants of a `base`
//! beside it. Out: a [`Study`] with a validated plant for every variant and demand case, or every problem
//! at the line of the variant that causes it. Also plants with single settings changed from outside.

use serde_json::Value;

use crate::plant::Plant;
use crate::units::Dimension;

use super::file::{Named, Number, ScenarioFile, Variant as Written, VariantsFile};
use super::problem::{Path, Place, Problem, Report, Severity, Step};
use super::variant::{Applied, Change, Difference, apply};
use super::{
    Loaded, book, document, form, gates, read_with_book, schema, structure, validate,
    variants_schema,
};

/// Name of the cell as it stands in the file.
pub const TODAY: &str = "today";

/// Most demand cases of a study.
const DEMANDS_MAX: usize = 20;

/// Most variants of a study.
const VARIANTS_MAX: usize = 100;

/// A cell with its variants.
#[derive(Debug, Clone)]
pub struct Study {
    /// The cell as it stands in its file.
    pub base: Loaded,
    /// Title.
    pub name: String,
    /// Free text of the author.
    pub note: String,
    /// Today first, then the variants in the order of the file.
    pub variants: Vec<Variant>,
    /// The orders of all streams are multiplied by each of these; at least one.
    pub demands: Vec<f64>,
    /// What is legal and probably not meant in the variants; that of the base stands with the base.
    pub warnings: Report,
    /// Text of the file that was asked for.
    pub text: String,
    /// The file the base stands in and its bytes, if it is another one.
    pub base_file: Option<(String, Vec<u8>)>,
    table: Option<book::Table>,
    schema: &'static Value,
}

/// A variant of the cell, ready to be compiled.
#[derive(Debug, Clone)]
pub struct Variant {
    /// Its name.
    pub name: String,
    /// What it stands for.
    pub note: String,
    /// What differs from today.
    pub differences: Vec<Difference>,
    /// One plant for each demand case.
    pub plants: Vec<Plant>,
    tree: Value,
}

impl Variant {
    /// Its scenario as a tree, variants left out.
    pub(super) fn tree(&self) -> &Value {
        &self.tree
    }
}

/// What is said of a file of variants where a cell is wanted.
pub(super) fn not_a_cell() -> Problem {
    Problem::error(
        Place::Key(vec![Step::Key("base".to_string())]),
        "this file holds variants of a scenario, not a scenario of its own",
    )
    .expected("a scenario")
    .help("use `compare` with this file, or this command with its base")
}

/// Reads a scenario with its variants, or a file of variants. `beside` is as for
/// [`read_with`](super::read_with); the base of a file of variants comes from there, too.
///
/// # Errors
/// A [`Report`] with every problem found, if one of them is an error. Problems of a base in a file of
/// its own are reported first and alone.
pub fn read_study(
    file_name: &str,
    bytes: &[u8],
    beside: &mut dyn FnMut(&str) -> std::io::Result<Vec<u8>>,
) -> Result<Study, Box<Report>> {
    read_study_with_book(file_name, bytes, None, beside)
}

/// As [`read_study`], with `book` in the place of the order book the cell names.
///
/// # Errors
/// As [`read_study`].
pub fn read_study_with_book(
    file_name: &str,
    bytes: &[u8],
    book: Option<&str>,
    beside: &mut dyn FnMut(&str) -> std::io::Result<Vec<u8>>,
) -> Result<Study, Box<Report>> {
    let refuse =
        |text: &str, problems: Vec<Problem>| Box::new(Report::new(file_name, text, None, problems));
    let text = document::text(bytes).map_err(|error| refuse(&error.0, vec![error.1]))?;
    let tree = document::tree(text).map_err(|problems| refuse(text, problems))?;
    if tree.get("base").is_none() {
        let base = read_with_book(file_name, bytes, book, beside)?;
        let (variants, demands) = (base.file.variants.clone(), base.file.demands.clone());
        let (name, note) = (base.plant.name.clone(), base.plant.note.clone());
        let parts = (name, note, variants, demands);
        return Reading {
            file_name,
            text,
            same_file: true,
        }
        .study(base, None, tree, parts);
    }
    if let Some(outdated) = super::renew::outdated(&tree) {
        return Err(refuse(text, vec![outdated]));
    }
    let problems = structure::check(&tree, &variants_schema());
    if !problems.is_empty() {
        return Err(refuse(text, problems));
    }
    let file: VariantsFile = serde_json::from_value(tree).map_err(|error| {
        let told = format!("the variants cannot be read: {error}");
        refuse(text, vec![Problem::error(Place::File, told)])
    })?;
    let at_base = || Place::Value(vec![Step::Key("base".to_string())]);
    let plain = !file.base.contains(['/', '\\', ':']) && !file.base.starts_with('.');
    if !plain {
        let problem = Problem::error(
            at_base(),
            format!("`{}` is not a plain file name", file.base),
        )
        .expected("the name of a scenario in the same folder, such as `owner.yaml`");
        return Err(refuse(text, vec![problem]));
    }
    let base_bytes = beside(&file.base).map_err(|error| {
        let told = format!("the base `{}` cannot be read: {error}", file.base);
        let problem = Problem::error(at_base(), told).expected("a scenario in the same folder");
        refuse(text, vec![problem])
    })?;
    let base = read_with_book(&file.base, &base_bytes, book, beside)?;
    // It has been read a moment ago.
    let base_tree = document::text(&base_bytes)
        .ok()
        .and_then(|text| document::tree(text).ok())
        .unwrap_or_default();
    let demands = match file.demands.is_empty() {
        true => base.file.demands.clone(),
        false => file.demands,
    };
    let name = file.name.unwrap_or_else(|| base.plant.name.clone());
    let note = file.note.unwrap_or_else(|| base.plant.note.clone());
    let parts = (name, note, file.variants, demands);
    let reading = Reading {
        file_name,
        text,
        same_file: false,
    };
    reading.study(base, Some((file.base, base_bytes)), base_tree, parts)
}

/// The file that is being read.
#[derive(Clone, Copy)]
struct Reading<'a> {
    file_name: &'a str,
    text: &'a str,
    /// The base stands in it, too.
    same_file: bool,
}

impl Reading<'_> {
    fn study(
        self,
        base: Loaded,
        base_file: Option<(String, Vec<u8>)>,
        mut tree: Value,
        (name, note, written, demands): (String, String, Named<Written>, Vec<Number>),
    ) -> Result<Study, Box<Report>> {
        if let Value::Object(block) = &mut tree {
            block.shift_remove("variants");
            block.shift_remove("demands");
            // What was read in the place of the book that the file names.
            if let Some(book) = &base.file.book {
                block.insert("book".to_owned(), Value::from(book.as_str()));
            }
        }
        let table = base.book.as_ref().and_then(|(name, bytes)| {
            let text = book::text(bytes).ok()?;
            Some(book::table(name, &text).0)
        });
        let mut problems = Vec::new();
        let mut study = Study {
            demands: demand_cases(&demands, &mut problems),
            base,
            name,
            note,
            variants: Vec::new(),
            warnings: Report::new(self.file_name, self.text, None, Vec::new()),
            text: self.text.to_string(),
            base_file,
            table,
            schema: schema(),
        };
        let known: Vec<String> = study
            .base
            .warnings
            .problems
            .iter()
            .map(|found| found.problem.message.clone())
            .collect();
        let today = Variant {
            name: TODAY.to_string(),
            note: String::new(),
            differences: Vec::new(),
            plants: Vec::new(),
            tree,
        };
        let at = vec![Step::Key("variants".to_string())];
        if written.len() > VARIANTS_MAX {
            let told = format!("there are {} variants", written.len());
            let expected = format!("at most {VARIANTS_MAX}");
            problems.push(Problem::error(Place::Key(at.clone()), told).expected(expected));
        }
        let mut variants = Vec::new();
        for (name, written) in written.iter().take(VARIANTS_MAX) {
            let mut at = at.clone();
            at.push(Step::Key(name.clone()));
            if name == TODAY {
                problems.push(
                    Problem::error(Place::Key(at), "a variant cannot be called `today`")
                        .expected("another name")
                        .help("`today` is the cell as it stands in the file"),
                );
                continue;
            }
            let changes = changes_of(written, &at);
            let mut tree = today.tree.clone();
            let applied = match apply(&mut tree, study.schema, &changes) {
                Ok(applied) => applied,
                Err(found) => {
                    problems.extend(found);
                    continue;
                }
            };
            let (_, found) = study.plant_of(&tree);
            let lowered = gates::lowered(&today.tree, &tree);
            let news = (found.into_iter().chain(lowered))
                .filter(|problem| !known.contains(&problem.message));
            problems.extend(news.map(|problem| applied.moved(problem, &at, self.same_file)));
            variants.push(Variant {
                name: name.clone(),
                note: written.note.clone().unwrap_or_default(),
                differences: applied.differences,
                plants: Vec::new(),
                tree,
            });
        }
        variants.insert(0, today);
        let refused = |problems: &[Problem]| problems.iter().any(|p| p.severity == Severity::Error);
        if !refused(&problems) {
            for variant in &mut variants {
                for (index, &demand) in study.demands.iter().enumerate() {
                    match study.at_demand(variant, demand) {
                        Ok(plant) => variant.plants.push(plant),
                        Err(found) => problems.extend(found.into_iter().map(|problem| {
                            let path = vec![Step::Key("demands".into()), Step::Item(index)];
                            Problem {
                                place: Place::Value(path),
                                see: None,
                                ..problem
                            }
                        })),
                    }
                }
            }
        }
        study.variants = variants;
        let stop = refused(&problems);
        let report = Report::new(self.file_name, self.text, None, problems);
        if stop {
            return Err(Box::new(report));
        }
        study.warnings = report;
        Ok(study)
    }
}

/// The changes of a variant that is written at `at`.
fn changes_of<'a>(written: &'a Written, at: &Path) -> Vec<Change<'a>> {
    written
        .change
        .iter()
        .map(|(path, value)| {
            let mut at = at.clone();
            at.push(Step::Key("change".to_string()));
            at.push(Step::Key(path.clone()));
            Change {
                path,
                value: &value.0,
                at,
            }
        })
        .collect()
}

/// The demand cases; 1 where none are given.
fn demand_cases(written: &[Number], problems: &mut Vec<Problem>) -> Vec<f64> {
    let at = |index| Place::Value(vec![Step::Key("demands".to_string()), Step::Item(index)]);
    let mut demands: Vec<f64> = Vec::new();
    for (index, number) in written.iter().enumerate() {
        match form::quantity(&number.0, Dimension::Count) {
            Err(complaint) => problems.push(complaint.at(at(index))),
            Ok(value) if !(0.01..=100.0).contains(&value) => problems.push(
                Problem::error(at(index), format!("a demand of {value} times today's"))
                    .expected("a number from 0.01 to 100"),
            ),
            Ok(value) if demands.contains(&value) => problems.push(
                Problem::error(at(index), format!("the demand case {value} is there twice"))
                    .expected("each case once"),
            ),
            Ok(value) => demands.push(value),
        }
    }
    if demands.len() > DEMANDS_MAX {
        let told = format!("there are {} demand cases", demands.len());
        let place = Place::Key(vec![Step::Key("demands".to_string())]);
        problems.push(Problem::error(place, told).expected(format!("at most {DEMANDS_MAX}")));
    }
    if demands.is_empty() {
        demands.push(1.0);
    }
    demands
}

impl Study {
    /// The plant of a tree, with every problem of it; `None` if one is an error.
    fn plant_of(&self, tree: &Value) -> (Option<Plant>, Vec<Problem>) {
        let problems = structure::check(tree, self.schema);
        if !problems.is_empty() {
            return (None, problems);
        }
        let file: ScenarioFile = match serde_json::from_value(tree.clone()) {
            Ok(file) => file,
            Err(error) => {
                let told = format!("the scenario cannot be read: {error}");
                return (None, vec![Problem::error(Place::File, told)]);
            }
        };
        let table = self.table.as_ref().filter(|_| file.book.is_some());
        validate::plant(&file, table)
    }

    fn at_demand(&self, variant: &Variant, demand: f64) -> Result<Plant, Vec<Problem>> {
        let mut tree = variant.tree.clone();
        if demand != 1.0 {
            let value = Value::from(format!("x {demand}"));
            let change = Change {
                path: "demand",
                value: &value,
                at: Vec::new(),
            };
            apply(&mut tree, self.schema, &[change])?;
        }
        let (plant, problems) = self.plant_of(&tree);
        plant.ok_or(problems)
    }

    /// The plant of a variant (by its place in [`Study::variants`]) with settings changed besides: pairs of
    /// a path and a new value, as they are written in a variant.
    ///
    /// # Errors
    /// Every problem the settings cause, in a text of one line for each setting.
    pub fn with_settings(
        &self,
        variant: usize,
        settings: &[(String, String)],
    ) -> Result<Plant, Box<Report>> {
        let text: String = settings
            .iter()
            .map(|(path, value)| format!("{path:?}: {value}\n"))
            .collect();
        let refuse = |problems| Box::new(Report::new("--set", &text, None, problems));
        let mut tree = self
            .variants
            .get(variant)
            .map(|variant| variant.tree.clone())
            .unwrap_or_default();
        let written = match settings {
            [] => Value::Null,
            _ => document::tree(&text).map_err(refuse)?,
        };
        let changes: Vec<Change<'_>> = written
            .as_object()
            .into_iter()
            .flatten()
            .map(|(path, value)| Change {
                path,
                value,
                at: vec![Step::Key(path.clone())],
            })
            .collect();
        let empty: Vec<Problem> = changes
            .iter()
            .filter(|change| change.value.is_null())
            .map(|change| {
                let told = format!("`{}` has no value", change.path);
                Problem::error(Place::Key(change.at.clone()), told).expected("a value")
            })
            .collect();
        if !empty.is_empty() {
            return Err(refuse(empty));
        }
        let applied: Applied = apply(&mut tree, self.schema, &changes).map_err(refuse)?;
        let moved = |problem| applied.moved(problem, &Vec::new(), false);
        let refuse = |problems: Vec<Problem>| refuse(problems.into_iter().map(moved).collect());
        let today = self.variants.first().map(Variant::tree);
        let lowered = today.map_or_else(Vec::new, |today| gates::lowered(today, &tree));
        if !lowered.is_empty() {
            return Err(refuse(lowered));
        }
        let (plant, problems) = self.plant_of(&tree);
        plant.ok_or_else(|| refuse(problems))
    }
}
