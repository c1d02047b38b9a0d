//! Text to distribution.
//!
//! In: a sentence a practitioner or a statistician would write, and the [`Dimension`] of the
//! values. Out: a [`Dist`], or a [`DistError`] with the nearest right word.
//!
//! Plain language and what it stands for:
//! - `25 min`: always this.
//! - `typical 25 min, worst in ten 45 min`: lognormal. *Typical* is the median, half are below it;
//!   one in ten is above the *worst in ten* (the 90 % point). Any number may stand for ten.
//! - `low 20 min, typical 35 min, high 60 min`: PERT. People name ends they have rarely seen; a
//!   triangle would put too much weight near them and stretch the mean, PERT weighs the typical
//!   value four times as much as either end.
//! - `between 20 min and 40 min`: even.
//! - `about 30 min, give or take 5 min`: normal with this standard deviation, cut at zero (the
//!   reading of *give or take* in Freedman, Pisani and Purves, "Statistics").
//! - `mean 30 min, cv 0.4`: lognormal.
//! - `values 3 min x 5, 4 min x 2`: one of these, weighted. `measured 3.1 min, 4.2 min, 5 min`:
//!   anything in the measured range, by straight lines between the measurements.
//!
//! Every quantity carries its unit; only shape, cv, sigma, stages, alpha and beta are pure
//! numbers. Any form but a plain value may end in `from ..`, `to ..`, `at least ..`, `at most ..`:
//! only draws inside are kept.

use super::describe::floor_of;
use super::dist::Dist;
use super::error::DistError;
use super::words::{PHRASES, Words, quantity_under, split_at_word, split_phrase, unknown};
use crate::units::{Dimension, parse_quantity};

/// Names of distributions and the form each takes.
pub(super) const FAMILIES: &[(&str, &str)] = &[
    ("exponential", "exponential, mean 8 h"),
    ("lognormal", "lognormal, mean 30 min, cv 0.5"),
    ("gamma", "gamma, mean 10 h, cv 0.5"),
    ("erlang", "erlang, stages 4, mean 20 min"),
    ("weibull", "weibull, shape 2, scale 3 h"),
    (
        "triangular",
        "triangular, low 2 min, typical 3 min, high 7 min",
    ),
    ("pert", "pert, low 2 min, typical 3 min, high 7 min"),
    ("beta", "beta, alpha 2, beta 5, from 0 min, to 10 min"),
    ("uniform", "uniform, from 2 min, to 6 min"),
    ("normal", "normal, mean 10 min, sd 2 min"),
    ("hyperexponential", "hyperexponential, mean 20 min, cv 2"),
    ("geometric", "geometric, mean 2.5"),
    ("poisson", "poisson, mean 4.5"),
];

/// What to offer when nothing was understood.
const FORMS: &str = "a value such as `25 min`, `typical 25 min, worst in ten 45 min`, \
     `low 20 min, typical 35 min, high 60 min`, `between 20 min and 40 min`, \
     `mean 30 min, cv 0.4`, or the name of a distribution with its parameters (`pouchcast keys distribution` lists them)";

/// Reads a distribution of quantities of `dimension`.
///
/// ```
/// use pouchcast::random::parse_dist;
/// use pouchcast::units::Dimension;
/// let dist = parse_dist("typical 25 min, worst in ten 45 min", Dimension::Duration).unwrap();
/// assert!((dist.quantile(0.9) - 45.0).abs() < 1e-9);
/// ```
///
/// # Errors
/// If the text is not one of the forms of this module, or its numbers make no distribution.
pub fn parse_dist(text: &str, dimension: Dimension) -> Result<Dist, DistError> {
    read(text, dimension).map_err(|error| DistError {
        expected: in_unit_of(&error.expected, dimension),
        ..error
    })
}

/// The examples of a text, which are durations and lengths, with the usual unit of `dimension`.
fn in_unit_of(text: &str, dimension: Dimension) -> String {
    if dimension == Dimension::Duration {
        return text.to_string();
    }
    let unit = dimension.usual_unit();
    let mut out = String::new();
    for word in text.split(' ') {
        let end = word.trim_end_matches([',', '`']);
        let is_unit = matches!(end, "h" | "min" | "m");
        if is_unit && out.ends_with(|c: char| c.is_ascii_digit()) {
            if !unit.is_empty() {
                out.push(' ');
                out.push_str(unit);
            }
            out.push_str(word.get(end.len()..).unwrap_or_default());
        } else {
            if !out.is_empty() {
                out.push(' ');
            }
            out.push_str(word);
        }
    }
    out
}

fn read(text: &str, dimension: Dimension) -> Result<Dist, DistError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(DistError::new("nothing is written", FORMS));
    }
    refuse_inner_comma(text)?;
    let end = text
        .find(|c: char| !c.is_ascii_alphabetic() && c != '-')
        .unwrap_or(text.len());
    let (first, rest) = text.split_at(end);
    let name = first.to_ascii_lowercase().replace('-', "");
    if name == "values" || name == "measured" {
        return listed(&name, rest.trim_start_matches([' ', ':', '=']), dimension);
    }
    if let Some((family, form)) = FAMILIES.iter().find(|(family, _)| *family == name) {
        let rest = rest.trim_start();
        let rest = rest.strip_prefix([',', ':']).unwrap_or(rest);
        if rest.trim().is_empty() {
            let problem = format!("`{family}` has no parameters");
            return Err(DistError::new(problem, format!("`{form}`")));
        }
        return named(
            family,
            form,
            Words::read(rest.split(','), dimension)?,
            dimension,
        );
    }
    if split_phrase(text).is_some() {
        return plain(Words::read(text.split(','), dimension)?, dimension);
    }
    match parse_quantity(text, dimension) {
        Ok(value) => Dist::constant(value),
        // A word that is neither a name nor a key.
        Err(_) if text.starts_with(|c: char| c.is_alphabetic()) => {
            let mut known: Vec<&str> = FAMILIES.iter().map(|(family, _)| *family).collect();
            known.extend(PHRASES.iter().map(|(phrase, _)| *phrase));
            known.extend(["values", "measured"]);
            Err(unknown("not understood", text, &known, FORMS))
        }
        Err(_) if split_at_word(text, " to ").is_some() => {
            let (from, to) = split_at_word(text, " to ").unwrap_or_default();
            Err(
                DistError::new("a range does not say how likely its values are", FORMS).hint(
                    format!("write `uniform, from {from} to {to}` if all of them are as likely"),
                ),
            )
        }
        Err(_) if text.contains(',') => {
            Err(DistError::new("a plain value has nothing after it", FORMS)
                .hint("to choose among several values write `values 3 min, 4 min`"))
        }
        Err(_) => quantity_under("value", text, dimension).and_then(Dist::constant),
    }
}

/// Commas part the words of a distribution, so one inside a number would be read wrongly.
fn refuse_inner_comma(text: &str) -> Result<(), DistError> {
    let bytes = text.as_bytes();
    let inner = bytes
        .windows(3)
        .any(|w| w[0].is_ascii_digit() && w[1] == b',' && w[2].is_ascii_digit());
    if !inner {
        return Ok(());
    }
    Err(DistError::new(
        "there is a comma inside a number",
        "a decimal point, or no sign at all",
    )
    .hint("write `1200` or `1.2`; between two values put a blank after the comma"))
}

/// `values ..` and `measured ..`.
fn listed(name: &str, rest: &str, dimension: Dimension) -> Result<Dist, DistError> {
    let mut weighted = Vec::new();
    let mut ends = Vec::new();
    for item in rest.split(',') {
        if split_phrase(item).is_some() {
            ends.push(item);
            continue;
        }
        let (value, weight) = match split_at_word(item, " x ") {
            Some((value, weight)) if name == "values" => {
                (value, quantity_under("weight", weight, Dimension::Count)?)
            }
            _ => (item, 1.0),
        };
        weighted.push((quantity_under(name, value, dimension)?, weight));
    }
    let mut words = Words::read(ends.into_iter(), dimension)?;
    let (from, to) = words.ends()?;
    words.finish(name)?;
    let dist = if name == "values" {
        Dist::discrete(&weighted)?
    } else {
        Dist::empirical(&weighted.iter().map(|(value, _)| *value).collect::<Vec<_>>())?
    };
    dist.bounded(from, to)
}

/// A distribution by its name.
fn named(
    family: &str,
    form: &str,
    mut words: Words<'_>,
    dimension: Dimension,
) -> Result<Dist, DistError> {
    let w = &mut words;
    if matches!(family, "geometric" | "poisson") && dimension != Dimension::Count {
        let problem = format!(
            "{family} counts whole things, {} is wanted",
            dimension.name()
        );
        return Err(DistError::new(
            problem,
            "`exponential`, `lognormal` or another name",
        ));
    }
    let dist = match family {
        "exponential" => Dist::exponential(w.need("mean", form)?)?,
        "lognormal" if w.has("median") || w.has("sigma") => {
            let form = "lognormal, median 4000 m, sigma 1.1";
            Dist::lognormal_median(w.need("median", form)?, w.number("sigma", form)?)?
        }
        "lognormal" if w.has("typical") => typical_and_worst(w)?,
        "lognormal" => {
            let (mean, cv) = w.mean_and_cv(form)?;
            Dist::lognormal_mean(mean, cv)?
        }
        "gamma" | "weibull" if w.has("shape") || w.has("scale") => {
            let form = format!("{family}, shape 2, scale 3 h");
            let (shape, scale) = (w.number("shape", &form)?, w.need("scale", &form)?);
            if family == "gamma" {
                Dist::gamma(shape, scale)?
            } else {
                Dist::weibull(shape, scale)?
            }
        }
        "gamma" => {
            let (mean, cv) = w.mean_and_cv(form)?;
            Dist::gamma_mean(mean, cv)?
        }
        "weibull" => {
            let (mean, cv) = w.mean_and_cv("weibull, mean 1 h, cv 0.5")?;
            Dist::weibull_mean(mean, cv)?
        }
        "erlang" => {
            let stages = w.number("stages", form)?;
            if stages.fract() != 0.0 || !(1.0..=10_000.0).contains(&stages) {
                let problem = format!("stages is {stages}");
                return Err(DistError::new(
                    problem,
                    "a whole number of stages from 1 to 10000",
                ));
            }
            Dist::erlang(stages as u32, w.need("mean", form)?)?
        }
        "triangular" | "pert" => {
            let (low, typical) = (w.need("low", form)?, w.need("typical", form)?);
            let high = w.need("high", form)?;
            if family == "pert" {
                Dist::pert(low, typical, high)?
            } else {
                Dist::triangular(low, typical, high)?
            }
        }
        "beta" => {
            let (alpha, beta) = (w.number("alpha", form)?, w.number("beta", form)?);
            Dist::beta(alpha, beta, w.need("from", form)?, w.need("to", form)?)?
        }
        "uniform" => Dist::uniform(w.need("from", form)?, w.need("to", form)?)?,
        "normal" => {
            let (mean, sd) = (w.need("mean", form)?, w.need("sd", form)?);
            return normal(mean, sd, words, form, dimension);
        }
        "hyperexponential" => {
            let (mean, cv) = w.mean_and_cv(form)?;
            Dist::hyperexponential(mean, cv)?
        }
        "geometric" => Dist::geometric(w.need("mean", form)?)?,
        _ => Dist::poisson(w.need("mean", form)?)?,
    };
    let (from, to) = w.ends()?;
    words.finish(family)?;
    dist.bounded(from, to)
}

/// A normal, cut at the least value its kind of quantity can have, or at the ends given.
fn normal(
    mean: f64,
    sd: f64,
    mut words: Words<'_>,
    form: &str,
    dimension: Dimension,
) -> Result<Dist, DistError> {
    let (from, to) = words.ends()?;
    words.finish(form)?;
    let floor = floor_of(dimension);
    Dist::normal(
        mean,
        sd,
        from.map_or(floor, |from| from.max(floor)),
        to.unwrap_or(f64::INFINITY),
    )
}

/// A distribution told in plain words.
fn plain(mut words: Words<'_>, dimension: Dimension) -> Result<Dist, DistError> {
    let w = &mut words;
    let dist = if w.has("about") {
        let form = "about 30 min, give or take 5 min";
        let (mean, sd) = (w.need("about", form)?, w.need("give or take", form)?);
        return normal(mean, sd, words, form, dimension);
    } else if w.has("worst in") {
        typical_and_worst(w)?
    } else if w.has("low") || w.has("high") {
        if !w.has("typical") {
            return Err(
                DistError::new("`typical` is missing", "`low .., typical .., high ..`")
                    .hint("if every value between is as likely, write `between .. and ..`"),
            );
        }
        let form = "low 20 min, typical 35 min, high 60 min";
        let (low, typical) = (w.need("low", form)?, w.need("typical", form)?);
        Dist::pert(low, typical, w.need("high", form)?)?
    } else if w.has("mean") {
        if !w.has("cv") && !w.has("sd") {
            return Err(
                DistError::new("a mean alone does not say how far values spread", FORMS)
                    .hint("add `cv 0.4`, or name a distribution: `exponential, mean ..`"),
            );
        }
        let (mean, cv) = w.mean_and_cv("mean 30 min, cv 0.4")?;
        Dist::lognormal_mean(mean, cv)?
    } else if w.has("typical") {
        return Err(DistError::new(
            "a typical value alone does not say how far values spread",
            FORMS,
        )
        .hint("add `worst in ten ..`, or write the value alone if it never varies"));
    } else if w.has("from") && w.has("to") {
        let form = "between 20 min and 40 min";
        Dist::uniform(w.need("from", form)?, w.need("to", form)?)?
    } else {
        return Err(DistError::new(
            "this does not say which distribution is meant",
            FORMS,
        ));
    };
    let (from, to) = w.ends()?;
    words.finish("this form")?;
    dist.bounded(from, to)
}

/// `typical 25 min, worst in ten 45 min`: the median and an upper point of a lognormal.
fn typical_and_worst(w: &mut Words<'_>) -> Result<Dist, DistError> {
    let form = "typical 25 min, worst in ten 45 min";
    let typical = w.need("typical", form)?;
    let text = w
        .text("worst in")
        .ok_or_else(|| DistError::new("`worst in ten` is missing", format!("`{form}`")))?;
    let (word, value) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let one_in = match word.to_ascii_lowercase().as_str() {
        "ten" => 10.0,
        "twenty" => 20.0,
        "fifty" => 50.0,
        "hundred" => 100.0,
        digits => parse_quantity(digits, Dimension::Count)
            .ok()
            .filter(|n| (3.0..=10_000.0).contains(n))
            .ok_or_else(|| {
                let known = ["ten", "twenty", "fifty", "hundred"];
                unknown(
                    "not a number after `worst in`",
                    word,
                    &known,
                    "`worst in ten`, `worst in 50`",
                )
            })?,
    };
    let worst = quantity_under("worst in", value, w.dimension())?;
    if !(typical > 0.0 && worst > typical) {
        let problem = "the worst value is not above the typical value, or that is not above 0";
        return Err(DistError::new(problem, format!("`{form}`")));
    }
    Dist::lognormal_points(typical, 1.0 - 1.0 / one_in, worst)
}
