//! What is wrong with a scenario, as values.
//!
//! In: what the reader and the validator find. Out: [`Problem`]s with their place, and the
//! [`Report`] that collects and orders them. Drawing them is [`super::render`]'s business.

use std::ops::Range;

use super::alike;
use super::locate::{self, Spot};

/// Whether the scenario can be used in spite of the problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The scenario is refused.
    Error,
    /// The scenario is used; it is probably not what its author meant.
    Warning,
}

/// One step of a path into the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// A key of a block.
    Key(String),
    /// An item of a list, from 0.
    Item(usize),
}

/// A path into the file, from the outermost block.
pub type Path = Vec<Step>;

/// Where a problem is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// The file as a whole.
    File,
    /// The value at a path.
    Value(Path),
    /// The key at a path.
    Key(Path),
    /// The second key of that name at a path.
    SecondKey(Path),
    /// A line and a column, both from 1.
    Point(usize, usize),
    /// Bytes of the order book beside the scenario.
    Book(Range<usize>),
}

impl Place {
    /// The path as text, `stations.slitting.machines`, where there is one.
    pub fn path_text(&self) -> Option<String> {
        let (Place::Value(path) | Place::Key(path) | Place::SecondKey(path)) = self else {
            return None;
        };
        let mut text = String::new();
        for step in path {
            match step {
                Step::Key(key) => {
                    if !text.is_empty() {
                        text.push('.');
                    }
                    text.push_str(key);
                }
                Step::Item(index) => text.push_str(&format!("[{index}]")),
            }
        }
        (!text.is_empty()).then_some(text)
    }
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Whether the scenario is refused for it.
    pub severity: Severity,
    /// Where it is.
    pub place: Place,
    /// What was found, as a sentence without its full stop.
    pub message: String,
    /// What was expected there.
    pub expected: Option<String>,
    /// What to write instead.
    pub help: Option<String>,
    /// Why, or what follows from it.
    pub note: Option<String>,
    /// Another place that matters, with a word on it.
    pub see: Option<(Place, String)>,
}

impl Problem {
    /// An error at a place.
    pub fn error(place: Place, message: impl Into<String>) -> Self {
        Self {
            severity: Severity::Error,
            place,
            message: message.into(),
            expected: None,
            help: None,
            note: None,
            see: None,
        }
    }

    /// A warning at a place.
    pub fn warning(place: Place, message: impl Into<String>) -> Self {
        Self {
            severity: Severity::Warning,
            ..Self::error(place, message)
        }
    }

    /// Adds what was expected.
    #[must_use]
    pub fn expected(mut self, text: impl Into<String>) -> Self {
        self.expected = Some(text.into());
        self
    }

    /// Adds what to write instead.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help = Some(text.into());
        self
    }

    /// Adds the reason.
    #[must_use]
    pub fn note(mut self, text: impl Into<String>) -> Self {
        self.note = Some(text.into());
        self
    }

    /// Adds another place that matters.
    #[must_use]
    pub fn see(mut self, place: Place, text: impl Into<String>) -> Self {
        self.see = Some((place, text.into()));
        self
    }
}

/// Problems that are kept; a file with more has the rest counted.
pub(super) const KEPT: usize = 100;

/// Bytes that are walked through at most to find the lines of mistakes told once.
const LOOKED_THROUGH: usize = 50_000_000;

/// A text that problems are found in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Source {
    /// Name of the file, as it was given.
    pub name: String,
    /// What it holds.
    pub text: String,
}

/// Everything found in one file and the order book beside it, in the order of the file, then of the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// Name of the file, as it was given.
    pub file_name: String,
    /// Problems with the spot of each (and of the other place that matters).
    pub problems: Vec<Located>,
    /// Problems beyond those kept.
    pub left_out: usize,
    /// How many of these are errors.
    left_out_errors: usize,
    pub(super) text: String,
    pub(super) book: Option<Source>,
}

/// A problem and where it stands in the text.
#[derive(Debug, Clone, PartialEq)]
pub struct Located {
    /// The problem.
    pub problem: Problem,
    /// Other places with the same mistake, in which it is not told again.
    pub again: usize,
    /// Lines of those places, as far as they were looked up, in order.
    pub again_lines: Vec<usize>,
    /// Its spot; `None` for the file as a whole.
    pub spot: Option<Spot>,
    /// The spot of the other place that matters.
    pub see: Option<Spot>,
}

impl Report {
    /// A report of the same file with other problems.
    #[must_use]
    pub fn with(&self, problems: Vec<Problem>) -> Self {
        Self::new(&self.file_name, &self.text, self.book.clone(), problems)
    }

    pub(super) fn new(
        file_name: &str,
        text: &str,
        book: Option<Source>,
        mut problems: Vec<Problem>,
    ) -> Self {
        // Warnings are the first to go when there are too many.
        problems.sort_by_key(|problem| problem.severity);
        let mut told = alike::once(problems);
        let left_out = told.iter().skip(KEPT).map(|one| one.places()).sum();
        let errors = told.iter().skip(KEPT);
        let errors = errors.filter(|one| one.problem.severity == Severity::Error);
        let left_out_errors = errors.map(|one| one.places()).sum();
        told.truncate(KEPT);
        let spot = |place: &Place| match place {
            Place::Book(span) => locate::span(&book.as_ref()?.text, span.clone()),
            place => locate::spot(text, place),
        };
        // Each look walks through the whole text.
        let mut looks = (LOOKED_THROUGH / text.len().max(1)).clamp(KEPT, 1_000);
        let mut problems: Vec<Located> = told
            .into_iter()
            .map(|one| {
                let shown = one.again.len().min(looks);
                looks -= shown;
                let lines = one.again.iter().take(shown).filter_map(&spot);
                let mut again_lines: Vec<usize> = lines.map(|spot| spot.line).collect();
                again_lines.sort_unstable();
                again_lines.dedup();
                Located {
                    spot: spot(&one.problem.place),
                    see: one.problem.see.as_ref().and_then(|(place, _)| spot(place)),
                    again: one.again.len(),
                    again_lines,
                    problem: one.problem,
                }
            })
            .collect();
        problems.sort_by_key(|found| {
            let in_book = matches!(found.problem.place, Place::Book(_));
            let spot = found.spot.as_ref().map(|spot| (spot.line, spot.column));
            (in_book, spot)
        });
        Self {
            file_name: file_name.to_string(),
            problems,
            left_out,
            left_out_errors,
            text: text.to_string(),
            book,
        }
    }

    /// The file a place is in: its name and its text.
    pub(super) fn source(&self, place: &Place) -> (&str, &str) {
        match (place, &self.book) {
            (Place::Book(_), Some(book)) => (&book.name, &book.text),
            _ => (&self.file_name, &self.text),
        }
    }

    /// Number of problems, those told once for many places counted at each.
    pub fn count(&self) -> usize {
        let told = self.problems.iter().map(|found| 1 + found.again);
        told.sum::<usize>() + self.left_out
    }

    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// Number of errors, those beyond the kept ones included.
    pub fn errors(&self) -> usize {
        self.problems
            .iter()
            .filter(|found| found.problem.severity == Severity::Error)
            .map(|found| 1 + found.again)
            .sum::<usize>()
            + self.left_out_errors
    }

    /// The report as text: each problem with its line, what was expected and what to write.
    /// `width` is that of the terminal, in characters.
    pub fn render(&self, colour: bool, width: usize) -> String {
        super::render::render(self, colour, width)
    }
}
