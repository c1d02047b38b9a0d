//! From the file as written to the validated plant.
//!
//! In: a [`ScenarioFile`] whose shape is right. Out: a [`Plant`], or every problem of meaning at
//! once: names that lead nowhere, shares that do not add up, holds below the data sheet, products
//! that no machine can make. What is legal and foolish is warned about.

mod book;
mod changeover;
mod circle;
mod first_off;
mod fit;
mod kinds;
pub(super) mod laminate;
mod limits;
mod longest;
mod machine;
mod material;
mod material_price;
mod money;
mod orders;
mod people;
mod policy;
mod pouch;
mod present;
mod product;
mod route;
mod specs;
mod station;
mod stock;
mod supply;
mod webs;

use crate::plant::Plant;
use crate::random::Dist;
use crate::units::Dimension;

use super::book::Table;
use super::file::{ScenarioFile, by_name};
use super::form;
use super::nearest::{list, nearest};
use super::problem::{Path, Place, Problem, Severity, Step};

/// The plant of a file, or `None` if an error is among the problems.
///
/// `table`: the order book, as far as it could be read.
pub(super) fn plant(file: &ScenarioFile, table: Option<&Table>) -> (Option<Plant>, Vec<Problem>) {
    let mut check = Checker {
        problems: Vec::new(),
    };
    if !limits::sizes(&mut check, file) {
        return (None, check.problems);
    }
    let run = people::run(&mut check, file);
    let reader = people::reader(&mut check, file);
    let calendars = people::calendars(&mut check, file, &run);
    let names = Names::of(file, &calendars);
    let pools = people::pools(&mut check, file, &names);
    let rooms = people::rooms(file);
    let adhesives = material::adhesives(&mut check, file, &names);
    let laminates = laminate::laminates(&mut check, file, &names);
    longest::holds_within(&mut check, &adhesives, &laminates);
    let web_widths = stock::widths(&mut check, file);
    let mut products = product::products(&mut check, file, &names);
    let stations = station::stations(&mut check, file, &names);
    let classes = orders::classes(&mut check, file, &names);
    let arrivals = orders::arrivals(&mut check, file, &names, &calendars);
    route::routes(&mut check, file, &names, &stations, &mut products);
    let mut plant = Plant {
        book: Vec::new(),
        name: file.name.clone(),
        note: file.note.clone().unwrap_or_default(),
        reader,
        run,
        calendars,
        pools,
        rooms,
        adhesives,
        laminates,
        web_widths,
        products: file
            .products
            .keys()
            .zip(&products)
            .map(|(name, draft)| draft.product_or_blank(name))
            .collect(),
        stations,
        classes,
        arrivals,
        money: None,
    };
    money::money(&mut check, file, &names, &mut plant);
    if let Some(table) = table {
        plant.book = book::orders(&mut check, &names, &plant, table);
    }
    first_off::pools(&mut check, file);
    present::crews(&mut check, file, &plant);
    orders::calendar_days(&mut check, file, &plant);
    policy::rework_targets(&mut check, file, &plant);
    policy::kept_too_much(&mut check, file, &plant);
    let used = fit::products_on_machines(&mut check, file, &names, &plant, &products);
    let refused = check
        .problems
        .iter()
        .any(|problem| problem.severity == Severity::Error);
    // What is not used because of an error is no news.
    if !refused {
        fit::idle(&mut check, file, &plant, &used);
        orders::unused(&mut check, file);
        supply::unused(&mut check, file, &plant);
        circle::circles(&mut check, &plant);
    }
    plant.arrivals.sort_by(|a, b| by_name(&a.name, &b.name));
    // A draft that is not whole has had its error said; if not, that is an error of its own.
    if !refused && products.iter().any(|draft| draft.product.is_none()) {
        check.push(Problem::error(Place::File, "a product could not be read"));
        return (None, check.problems);
    }
    ((!refused).then_some(plant), check.problems)
}

/// Share of a week in which each calendar of a file is open, by name.
pub(super) fn open_shares(file: &ScenarioFile) -> Vec<(String, f64)> {
    let mut check = Checker {
        problems: Vec::new(),
    };
    let run = people::run(&mut check, file);
    let calendars = people::calendars(&mut check, file, &run);
    let share = |calendar: &crate::plant::Calendar| calendar.weekly_open_min() as f64 / 10_080.0;
    calendars
        .iter()
        .map(|c| (c.name.clone(), share(c)))
        .collect()
}

/// A path being built.
#[derive(Clone)]
pub(super) struct At(Path);

impl At {
    fn block(name: &str) -> At {
        At(vec![Step::Key(name.to_string())])
    }

    fn key(&self, name: &str) -> At {
        let mut path = self.0.clone();
        path.push(Step::Key(name.to_string()));
        At(path)
    }

    fn item(&self, index: usize) -> At {
        let mut path = self.0.clone();
        path.push(Step::Item(index));
        At(path)
    }

    fn value(&self) -> Place {
        Place::Value(self.0.clone())
    }

    fn name(&self) -> Place {
        Place::Key(self.0.clone())
    }
}

/// Names in the order of their indices.
pub(super) struct Names {
    pub calendars: Vec<String>,
    pub pools: Vec<String>,
    pub rooms: Vec<String>,
    pub films: Vec<String>,
    pub adhesives: Vec<String>,
    pub laminates: Vec<String>,
    pub products: Vec<String>,
    pub stations: Vec<String>,
    pub classes: Vec<String>,
    /// What pouch machines have besides, in order of first mention.
    pub modules: Vec<String>,
    /// Kinds of web, in order of first mention.
    pub kinds: Vec<String>,
    /// Widths of printed web that are kept, mm, and the widest that the cell takes.
    pub web_widths: Vec<f64>,
    /// The widest web that the cell takes, mm.
    pub widest_mm: f64,
    /// Kinds of zippers, in order of first mention.
    pub zippers: Vec<String>,
    /// Forms of bottom seals, in order of first mention.
    pub bottoms: Vec<String>,
    /// Every pouch machine that inserts gussets runs an even number of lanes.
    pub even_gusset: bool,
}

impl Names {
    fn of(file: &ScenarioFile, calendars: &[crate::plant::Calendar]) -> Names {
        let keys = |names: Vec<&String>| names.into_iter().cloned().collect();
        let mut classes: Vec<String> = keys(file.classes.keys().collect());
        if classes.is_empty() {
            classes.push("standard".to_string());
        }
        Names {
            calendars: calendars
                .iter()
                .map(|calendar| calendar.name.clone())
                .collect(),
            pools: keys(file.people.keys().collect()),
            rooms: keys(file.rooms.keys().collect()),
            films: keys(file.films.keys().collect()),
            adhesives: keys(file.adhesives.keys().collect()),
            laminates: keys(file.laminates.keys().collect()),
            products: keys(file.products.keys().collect()),
            stations: keys(file.stations.keys().collect()),
            classes,
            modules: product::modules(file),
            kinds: kinds::kinds(file),
            web_widths: stock::known(file),
            widest_mm: stock::widest(file),
            zippers: product::zippers(file),
            bottoms: product::bottoms(file),
            even_gusset: product::even_gusset(file),
        }
    }
}

/// Collects problems; reads what the structural walk has already seen once.
pub(super) struct Checker {
    problems: Vec<Problem>,
}

impl Checker {
    fn push(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// The index of `name` among `known`, which are `what` (with its article).
    fn find(&mut self, place: Place, name: &str, known: &[String], what: &str) -> Option<usize> {
        let index = known.iter().position(|candidate| candidate == name);
        if index.is_none() {
            let names = || known.iter().map(String::as_str);
            let block = what.rsplit(' ').next().unwrap_or(what);
            let expected = if known.is_empty() {
                format!("{what}, but the file has none")
            } else {
                format!("{what}: {}", list(names()))
            };
            let mut problem = Problem::error(place, format!("there is no {block} called `{name}`"))
                .expected(expected);
            if let Some(near) = nearest(name, names()) {
                problem = problem.help(format!("did you mean `{near}`?"));
            }
            self.push(problem);
        }
        index
    }

    /// A quantity; 1 after a complaint, so that the check can go on.
    fn quantity(&mut self, at: &At, text: &str, dimension: Dimension) -> f64 {
        form::quantity(text, dimension).unwrap_or_else(|complaint| {
            self.push(complaint.at(at.value()));
            1.0
        })
    }

    /// A quantity above zero and at most `most` (in base units; `most_text` says it with its unit).
    fn above_zero(
        &mut self,
        at: &At,
        text: &str,
        dimension: Dimension,
        most: f64,
        most_text: &str,
    ) -> f64 {
        let value = self.quantity(at, text, dimension);
        self.in_range(
            at,
            text,
            value,
            f64::MIN_POSITIVE,
            most,
            &format!("more than nothing, at most {most_text}"),
        );
        // What is refused must not be expanded by the checks that follow.
        value.min(most)
    }

    /// A quantity of at most `most`.
    fn at_most(
        &mut self,
        at: &At,
        text: &str,
        dimension: Dimension,
        most: f64,
        most_text: &str,
    ) -> f64 {
        let value = self.quantity(at, text, dimension);
        self.in_range(at, text, value, 0.0, most, &format!("at most {most_text}"));
        value.min(most)
    }

    fn in_range(&mut self, at: &At, text: &str, value: f64, least: f64, most: f64, expected: &str) {
        if !(least..=most).contains(&value) {
            let key = match at.0.last() {
                Some(Step::Key(key)) => key.clone(),
                _ => "this".to_string(),
            };
            let text = text.trim();
            let message = if value < least {
                if value == 0.0 {
                    format!("`{key}` is zero: `{text}`")
                } else {
                    format!("`{key}` is too small: `{text}`")
                }
            } else {
                format!("`{key}` is beyond any real one: `{text}`")
            };
            let expected = match value > most {
                true => expected.trim_start_matches("more than nothing, "),
                false => expected,
            };
            let mut problem = Problem::error(at.value(), message).expected(expected);
            if value > most {
                problem = problem.help("check the number and its unit");
            }
            self.push(problem);
        }
    }

    /// A duration in minutes, at most ten years.
    fn duration(&mut self, at: &At, text: &str) -> f64 {
        self.at_most(at, text, Dimension::Duration, 5_260_000.0, "520 weeks")
    }

    /// A share below 100 %.
    fn share(&mut self, at: &At, text: &str) -> f64 {
        let value = self.quantity(at, text, Dimension::Share);
        if value >= 1.0 {
            self.push(
                Problem::error(at.value(), format!("`{}` leaves nothing", text.trim()))
                    .expected("less than 100 %"),
            );
        }
        value
    }

    /// A share that may vary, never below nothing nor above the whole, and not the whole on average.
    fn random_share(&mut self, at: &At, text: &str) -> Dist {
        let dist = self.random(at, text, Dimension::Share);
        let (least, most) = dist.support();
        let varies = most > least;
        if least < 0.0 || most > 1.0 + 1e-12 || dist.mean() >= 1.0 {
            let message = match varies {
                true => format!("`{}` can leave the range of a share", text.trim()),
                false => format!("`{}` leaves nothing", text.trim()),
            };
            let mut problem = Problem::error(at.value(), message);
            problem = match varies {
                true => problem
                    .expected("values from 0 % to 100 %")
                    .help("give it an end: `... , at most 20 %`"),
                false => problem.expected("less than 100 %"),
            };
            self.push(problem);
            return Dist::Constant(0.0);
        }
        dist
    }

    /// A quantity that may vary; zero after a complaint.
    fn random(&mut self, at: &At, text: &str, dimension: Dimension) -> Dist {
        let dist = form::random(text, dimension).unwrap_or_else(|complaint| {
            self.push(complaint.at(at.value()));
            Dist::Constant(0.0)
        });
        limits::within(self, at, text, dimension, dist)
    }

    /// As [`Checker::random`], for spans between events: its mean is above zero.
    fn span(&mut self, at: &At, text: &str, dimension: Dimension) -> Dist {
        let before = self.problems.len();
        let dist = self.random(at, text, dimension);
        match self.problems.len() == before {
            true => limits::span(self, at, text, dimension, dist),
            // It has been said what is wrong.
            false => Dist::Constant(1440.0),
        }
    }
}
