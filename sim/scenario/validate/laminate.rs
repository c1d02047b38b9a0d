//! Films and laminates, pass by pass: caliper, weight, and which are alike.
//!
//! In: films and laminates as written. Out: the plant's laminates; equal numbers stand for equal
//! outer films and equal finishes.

use crate::plant::{Laminate, Pass, Sheet};
use crate::trade::laminate::{ADHESIVE, Ply, caliper_um, grammage_g_per_m2, printed_laminate};
use crate::units::Dimension;

use super::super::file::{self, Passes, Process, ScenarioFile};
use super::super::problem::Problem;
use super::kinds::numbers;
use super::{At, Checker, Names, longest};

pub(super) fn laminates(check: &mut Checker, file: &ScenarioFile, names: &Names) -> Vec<Laminate> {
    let films: Vec<Option<Ply>> = file
        .films
        .iter()
        .map(|(name, film)| ply(check, name, film))
        .collect();
    let mut known = Known::default();
    let reader = |name, written| Reader {
        file,
        names,
        films: &films,
        name,
        written,
    };
    let mut laminates = Vec::new();
    for (name, written) in &file.laminates {
        let at = At::block("laminates").key(name);
        let reader = reader(name, written);
        let mut laminate = match &written.passes {
            Passes::Number(count) => reader.alike(check, &mut known, &at, *count),
            Passes::List(list) => reader.listed(check, &mut known, &at, list),
        };
        if let Some(longest) = &written.longest {
            laminate.longest_min = longest::waits(check, &at.key("longest"), longest);
        }
        if let Some(dry) = &written.dry {
            laminate.dry_min = longest::dry(check, &at.key("dry"), dry, laminate.longest_min[0]);
        }
        laminates.push(laminate);
    }
    laminates
}

/// Words of laminates that have a number each: equal numbers are equal words.
#[derive(Default)]
struct Known<'a> {
    finishes: Vec<&'a str>,
    films: Vec<String>,
}

/// A laminate that is being read.
struct Reader<'a> {
    file: &'a ScenarioFile,
    names: &'a Names,
    films: &'a [Option<Ply>],
    name: &'a str,
    written: &'a file::Laminate,
}

/// What a web is made of, as written.
struct Made<'a> {
    films: &'a Option<Vec<String>>,
    caliper: &'a Option<file::Caliper>,
    weight: &'a Option<file::Weight>,
}

impl<'a> Reader<'a> {
    /// Passes that are all alike: the laminate is reckoned as a whole.
    fn alike(&self, check: &mut Checker, known: &mut Known<'a>, at: &At, count: u8) -> Laminate {
        let written = self.written;
        let adhesive = self.common(check);
        let adhesive =
            adhesive.unwrap_or_else(|| self.lacks_adhesive(check, at, &quoted(self.name)));
        let stack = self.stack(check, at, &quoted(self.name), &self.whole());
        let mut sheet = match stack {
            Stack::Films(plies) => {
                let films = written.films.as_deref().unwrap_or_default();
                let bonds = bond_lines(self.file, films, written);
                sheet(&printed_laminate(&plies, bonds))
            }
            Stack::Told(sheet) => sheet,
        };
        let film = self.film(known, &written.films, String::new());
        let finish = index_in(&mut known.finishes, written.finish.as_str());
        sheet.price_per_m2 = price(check, at, &written.price);
        enough_passes(check, self.file, at, self.name, written);
        let pass = Pass {
            adhesive,
            treat: super::material::treated(written.treat),
            film,
            finish,
            kinds: self.kinds(),
            speed_m_per_min: f64::INFINITY,
            enters: sheet,
            leaves: sheet,
        };
        self.laminate(sheet, vec![pass; usize::from(count.max(1))])
    }

    /// Passes one by one: each adds its web, and its line of adhesive, to what is there.
    fn listed(
        &self,
        check: &mut Checker,
        known: &mut Known<'a>,
        at: &At,
        list: &'a [file::Pass],
    ) -> Laminate {
        let written = self.written;
        let bought = usize::from(written.bought_bonds);
        let common = self.common(check);
        let printed = match self.stack(check, at, &quoted(self.name), &self.whole()) {
            Stack::Films(plies) => {
                let films = written.films.as_deref().unwrap_or_default();
                let bonds = bonds_within(self.file, films);
                if bonds > bought {
                    let what = format!("the printed web of `{}`", self.name);
                    check.push(bonds_without_pass(at, &what, films.len(), bonds));
                }
                sheet(&printed_laminate(&plies, bonds))
            }
            Stack::Told(sheet) => sheet,
        };
        let mut sum = Sheet {
            price_per_m2: price(check, at, &written.price),
            ..printed
        };
        let mut passes = Vec::new();
        for (number, pass) in list.iter().enumerate() {
            let at = at.key("passes").item(number);
            let enters = sum;
            let name = format!("pass {} of `{}`", number + 1, self.name);
            let adhesive = match &pass.adhesive {
                Some(told) => {
                    let place = at.key("adhesive").value();
                    let found = check.find(place, told, &self.names.adhesives, "an adhesive");
                    found.unwrap_or_default()
                }
                None => common.unwrap_or_else(|| self.lacks_adhesive(check, &at, &name)),
            };
            let added = self.added(check, &at, &name, pass);
            sum.caliper_um += added.caliper_um;
            sum.weight_g_per_m2 += added.weight_g_per_m2;
            sum.price_per_m2 += price(check, &at, &pass.price);
            let finish = pass.finish.as_ref().unwrap_or(&written.finish);
            let speed = pass.speed.as_ref().map(|text| {
                check.above_zero(
                    &at.key("speed"),
                    &text.0,
                    Dimension::Speed,
                    1000.0,
                    "1000 m/min",
                )
            });
            passes.push(Pass {
                adhesive,
                treat: super::material::treated(pass.treat.unwrap_or(written.treat)),
                film: self.film(known, &pass.films, format!(", pass {}", number + 1)),
                finish: index_in(&mut known.finishes, finish.as_str()),
                kinds: match &pass.kinds {
                    Some(told) => numbers(self.names, told),
                    None => self.kinds(),
                },
                speed_m_per_min: speed.unwrap_or(f64::INFINITY),
                enters,
                leaves: sum,
            });
        }
        self.laminate(sum, passes)
    }

    /// What a pass adds to a square metre, its adhesive included.
    fn added(&self, check: &mut Checker, at: &At, name: &str, pass: &file::Pass) -> Sheet {
        let made = Made {
            films: &pass.films,
            caliper: &pass.caliper,
            weight: &pass.weight,
        };
        let mut plies = match self.stack(check, at, name, &made) {
            Stack::Films(plies) => plies,
            Stack::Told(sheet) => return sheet,
        };
        let films = pass.films.as_deref().unwrap_or_default();
        let bonds = bonds_within(self.file, films);
        if bonds > usize::from(pass.bought_bonds) {
            check.push(bonds_without_pass(at, name, films.len(), bonds));
        }
        let adhesive = pass.adhesive.as_ref().or(self.written.adhesive.as_ref());
        let thermal = adhesive.is_some_and(|name| is_thermal(self.file, name));
        let lines = bonds + usize::from(!thermal);
        plies.extend(std::iter::repeat_n(Ply::coating(ADHESIVE), lines));
        sheet(&plies)
    }

    /// The laminate, or the printed web of it.
    fn whole(&self) -> Made<'a> {
        Made {
            films: &self.written.films,
            caliper: &self.written.caliper,
            weight: &self.written.weight,
        }
    }

    fn laminate(&self, sheet: Sheet, passes: Vec<Pass>) -> Laminate {
        Laminate {
            name: self.name.to_string(),
            caliper_um: sheet.caliper_um,
            weight_g_per_m2: sheet.weight_g_per_m2,
            price_per_m2: sheet.price_per_m2,
            longest_min: [f64::INFINITY; 2],
            dry_min: 0.0,
            kinds: self.kinds(),
            passes,
        }
    }

    /// Kinds of web that the laminate is.
    fn kinds(&self) -> Vec<u16> {
        numbers(self.names, &self.written.kinds)
    }

    /// Index of the adhesive of the laminate, if it names one.
    fn common(&self, check: &mut Checker) -> Option<usize> {
        let name = self.written.adhesive.as_ref()?;
        let place = At::block("laminates")
            .key(self.name)
            .key("adhesive")
            .value();
        let found = check.find(place, name, &self.names.adhesives, "an adhesive");
        Some(found.unwrap_or_default())
    }

    /// An adhesive is needed and nobody tells one.
    fn lacks_adhesive(&self, check: &mut Checker, at: &At, name: &str) -> usize {
        let of_all = match self.written.passes.list() {
            Some(_) => ", or one of the laminate for all passes",
            None => "",
        };
        check.push(
            Problem::error(at.name(), format!("{name} lacks the key `adhesive`")).expected(
                format!("`adhesive`: an adhesive or thermal coating{of_all}"),
            ),
        );
        0
    }

    /// The plies of a web, or what it is told to be.
    fn stack(&self, check: &mut Checker, at: &At, name: &str, made: &Made) -> Stack {
        match (made.films, made.caliper, made.weight) {
            (Some(plies), None, None) => {
                let mut stack = Vec::new();
                for (index, film) in plies.iter().enumerate() {
                    let place = at.key("films").item(index).value();
                    if let Some(found) = check.find(place, film, &self.names.films, "a film") {
                        stack.extend(self.films.get(found).copied().flatten());
                    }
                }
                Stack::Films(stack)
            }
            (None, Some(caliper), Some(weight)) => Stack::Told(Sheet {
                caliper_um: check.above_zero(
                    &at.key("caliper"),
                    &caliper.0,
                    Dimension::Caliper,
                    1000.0,
                    "1000 um",
                ),
                weight_g_per_m2: check.above_zero(
                    &at.key("weight"),
                    &weight.0,
                    Dimension::MassPerArea,
                    1000.0,
                    "1000 g/m2",
                ),
                price_per_m2: 0.0,
            }),
            _ => {
                check.push(
                    Problem::error(
                        at.name(),
                        format!("{name} needs either `films`, or `caliper` and `weight`"),
                    )
                    .expected("`films: [...]` from the outside in, or both `caliper` and `weight`"),
                );
                Stack::Told(Sheet {
                    caliper_um: 100.0,
                    weight_g_per_m2: 100.0,
                    price_per_m2: 0.0,
                })
            }
        }
    }

    /// Number of the film that is set up; without its films a laminate counts as a film of its own.
    fn film(&self, known: &mut Known<'a>, films: &Option<Vec<String>>, of: String) -> u16 {
        let outer = films
            .as_ref()
            .and_then(|films| films.first())
            .map_or(format!("laminate {}{of}", self.name), |film| {
                format!("film {film}")
            });
        index_in(&mut known.films, outer)
    }
}

/// A web by its plies, or as it is told to be.
enum Stack {
    Films(Vec<Ply>),
    Told(Sheet),
}

fn quoted(name: &str) -> String {
    format!("`{name}`")
}

fn sheet(plies: &[Ply]) -> Sheet {
    Sheet {
        caliper_um: caliper_um(plies),
        weight_g_per_m2: grammage_g_per_m2(plies),
        price_per_m2: 0.0,
    }
}

fn price(check: &mut Checker, at: &At, told: &Option<file::Price>) -> f64 {
    told.as_ref().map_or(0.0, |text| {
        check.at_most(
            &at.key("price"),
            &text.0,
            Dimension::MoneyPerSquareMetre,
            10_000.0,
            "10000 /m2",
        )
    })
}

/// Films that come as one web have bonds between them that no pass of the list makes.
fn bonds_without_pass(at: &At, what: &str, films: usize, bonds: usize) -> Problem {
    let many = if bonds == 1 { "a bond" } else { "bonds" };
    Problem::error(
        at.key("films").value(),
        format!("{what} has {films} films and {many} between them that no pass makes"),
    )
    .expected("one film for each pass")
    .help(format!(
        "bonds that are bought in ready are told: `bought_bonds: {bonds}`"
    ))
}

/// A pass bonds one ply to what is there; plies of a reactive adhesive that are told one by one need a pass each
/// after the first.
fn enough_passes(
    check: &mut Checker,
    file: &ScenarioFile,
    at: &At,
    name: &str,
    written: &file::Laminate,
) {
    let told = written.adhesive.as_ref();
    let reactive = told
        .and_then(|adhesive| file.adhesives.get(adhesive))
        .is_some_and(|a| !matches!(a.process, Process::Thermal));
    let Some(plies) = written.films.as_ref().filter(|_| reactive) else {
        return;
    };
    let bonds = bond_lines(file, plies, written).saturating_sub(usize::from(written.bought_bonds));
    let passes = written.passes.count();
    if bonds > passes {
        check.push(
            Problem::error(
                at.key("passes").value(),
                format!(
                    "`{name}` has {} films and {bonds} bonds to make here, but its passes are {passes}",
                    plies.len(),
                ),
            )
            .expected(format!("`passes: {bonds}`"))
            .help("bonds that are bought in ready are told: `bought_bonds: 1`"),
        );
    }
}

/// Bonds of a laminate to be made here for which a number of passes leaves none.
pub(in super::super) fn bonds_beyond(file: &ScenarioFile, written: &file::Laminate) -> usize {
    let told = written.adhesive.as_ref();
    let made = told.is_some_and(|adhesive| {
        file.adhesives.contains_key(adhesive) && !is_thermal(file, adhesive)
    });
    let plies = written
        .films
        .as_ref()
        .filter(|_| made && written.passes.list().is_none());
    let bonds = plies.map_or(0, |plies| bond_lines(file, plies, written));
    bonds.saturating_sub(usize::from(written.bought_bonds) + written.passes.count())
}

fn is_thermal(file: &ScenarioFile, adhesive: &str) -> bool {
    file.adhesives
        .get(adhesive)
        .is_some_and(|a| a.process == Process::Thermal)
}

fn is_coating(file: &ScenarioFile, film: &str) -> bool {
    file.films.get(film).is_some_and(|film| film.coating)
}

/// Bonds between films that come as one web: none beside a coating.
fn bonds_within(file: &ScenarioFile, plies: &[String]) -> usize {
    plies
        .windows(2)
        .filter(|pair| !pair.iter().any(|film| is_coating(file, film)))
        .count()
}

/// Lines of adhesive between plies: none beside a coating; a thermal film whose coating is not told as a film of its
/// own brings its bond with each pass.
fn bond_lines(file: &ScenarioFile, plies: &[String], written: &file::Laminate) -> usize {
    let bonds = bonds_within(file, plies);
    let thermal = written
        .adhesive
        .as_ref()
        .is_some_and(|name| is_thermal(file, name));
    if thermal && !plies.iter().any(|film| is_coating(file, film)) {
        bonds.saturating_sub(written.passes.count())
    } else {
        bonds
    }
}

/// The index of `name`, added at the end if new.
fn index_in<T: PartialEq>(names: &mut Vec<T>, name: T) -> u16 {
    let index = names
        .iter()
        .position(|known| *known == name)
        .unwrap_or(names.len());
    if index == names.len() {
        names.push(name);
    }
    u16::try_from(index).unwrap_or(u16::MAX)
}

fn ply(check: &mut Checker, name: &str, film: &file::Film) -> Option<Ply> {
    let at = At::block("films").key(name);
    let thickness = check.above_zero(
        &at.key("caliper"),
        &film.caliper.0,
        Dimension::Caliper,
        500.0,
        "500 um",
    );
    match (&film.density, &film.weight) {
        (Some(density), None) => Some(Ply::film(
            thickness,
            check.above_zero(
                &at.key("density"),
                &density.0,
                Dimension::Density,
                10.0,
                "10 g/cm3",
            ),
        )),
        (None, Some(weight)) => Some(Ply::paper(
            check.above_zero(
                &at.key("weight"),
                &weight.0,
                Dimension::MassPerArea,
                1000.0,
                "1000 g/m2",
            ),
            thickness,
        )),
        _ => {
            check.push(
                Problem::error(
                    at.name(),
                    format!("`{name}` needs either `density` or `weight`"),
                )
                .expected("one of the two"),
            );
            None
        }
    }
}
