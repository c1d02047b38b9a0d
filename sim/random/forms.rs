//! Every form in which a distribution may be written: its words, what they stand for, an example.
//!
//! In: nothing. Out: [`Form`]s, from which the reference page and the message of a wrong form are made.

use super::text::parse_dist;
use crate::units::Dimension;

/// A way of writing a distribution.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Form {
    /// The word it is found under.
    pub word: &'static str,
    /// An example with all its parameters, in minutes or hours, or a bare number.
    pub example: &'static str,
    /// What it stands for.
    pub means: &'static str,
}

const fn form(word: &'static str, example: &'static str, means: &'static str) -> Form {
    Form {
        word,
        example,
        means,
    }
}

/// All forms, those of plain words first.
pub const FORMS: [Form; 20] = [
    form("constant", "25 min", "always this"),
    form(
        "typical",
        "typical 25 min, worst in ten 45 min",
        "lognormal: half lie below the typical value, one in ten above the worst; any number may stand for ten",
    ),
    form(
        "low",
        "low 20 min, typical 35 min, high 60 min",
        "PERT (not a triangle): a beta between the ends that weighs the typical value four times as much as either, mean (low + 4 typical + high) / 6",
    ),
    form(
        "between",
        "between 20 min and 40 min",
        "even between the ends",
    ),
    form(
        "about",
        "about 30 min, give or take 5 min",
        "normal with this standard deviation, cut at nothing",
    ),
    form(
        "mean",
        "mean 30 min, cv 0.4",
        "lognormal with this mean and coefficient of variation (deviation over mean)",
    ),
    form(
        "values",
        "values 3 min x 5, 4 min x 2",
        "one of these, as often as it says",
    ),
    form(
        "measured",
        "measured 3.1 min, 4.2 min, 5 min",
        "anything in the measured range, by straight lines between the measurements",
    ),
    form(
        "exponential",
        "exponential, mean 8 h",
        "no memory: what has lasted long ends no sooner",
    ),
    form(
        "lognormal",
        "lognormal, mean 30 min, cv 0.5",
        "by mean and coefficient of variation, or by median and sigma of the logarithm",
    ),
    form(
        "gamma",
        "gamma, mean 10 h, cv 0.5",
        "by mean and coefficient of variation, or by shape and scale",
    ),
    form(
        "erlang",
        "erlang, stages 4, mean 20 min",
        "so many exponential stages one after the other",
    ),
    form(
        "weibull",
        "weibull, shape 2, scale 3 h",
        "lives of parts: shape above 1 wears out, below 1 fails early",
    ),
    form(
        "triangular",
        "triangular, low 2 min, typical 3 min, high 7 min",
        "straight lines from both ends to the typical value, mean (low + typical + high) / 3",
    ),
    form(
        "pert",
        "pert, low 2 min, typical 3 min, high 7 min",
        "the same as low, typical, high",
    ),
    form(
        "beta",
        "beta, alpha 2, beta 5, from 0 min, to 10 min",
        "between two ends, by its two shapes",
    ),
    form(
        "uniform",
        "uniform, from 2 min, to 6 min",
        "even between the ends",
    ),
    form("normal", "normal, mean 10 min, sd 2 min", "cut at nothing"),
    form(
        "hyperexponential",
        "hyperexponential, mean 20 min, cv 2",
        "two exponentials, one short and one long; the coefficient of variation is above 1",
    ),
    form("geometric", "geometric, mean 2.5", "whole numbers from 1"),
];

/// The form of counts, which has no unit.
pub const COUNTS: Form = form("poisson", "poisson, mean 4.5", "whole numbers from 0");

impl Form {
    /// Mean of the example, in the unit of the example.
    pub fn mean(&self) -> f64 {
        let dimension = match self.example.contains("min") || self.example.contains(" h") {
            true => Dimension::Duration,
            false => Dimension::Count,
        };
        let hours = !self.example.contains("min") && dimension == Dimension::Duration;
        parse_dist(self.example, dimension).map_or(f64::NAN, |dist| {
            dist.mean() / if hours { 60.0 } else { 1.0 }
        })
    }
}

/// The forms as a section of the reference page, Markdown.
pub fn section() -> String {
    let mut text = String::from(
        "\n## Distribution\n\nWherever a time, a quantity or a share may vary, one of these is written. Quantities carry \
         their unit; shape, cv, sigma, stages, alpha and beta are bare numbers. Any form but a constant may end in \
         `from ..`, `to ..`, `at least ..` or `at most ..`: only draws inside are kept. The mean is that of the \
         example.\n\n| word | example | stands for | mean |\n|---|---|---|---|\n",
    );
    for form in FORMS.iter().chain([&COUNTS]) {
        let unit = match (form.example.contains("min"), form.example.contains(" h")) {
            (true, _) => " min",
            (_, true) => " h",
            _ => "",
        };
        text += &format!(
            "| `{}` | `{}` | {} | {}{unit} |\n",
            form.word,
            form.example,
            form.means,
            crate::units::grouped(form.mean(), 2)
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::super::text::FAMILIES;
    use super::*;

    /// Every name that the reader takes has its form here, and every example is read. PERT of 5, 8, 30 has the mean
    /// 67/6 (Malcolm and others, Operations Research 7, 1959), not the 43/3 of a triangle.
    #[test]
    fn all_forms_are_told_and_can_be_read() {
        for (family, _) in FAMILIES {
            assert!(
                FORMS.iter().chain([&COUNTS]).any(|f| f.word == *family),
                "{family}"
            );
        }
        for form in FORMS.iter().chain([&COUNTS]) {
            assert!(form.mean().is_finite(), "{form:?}");
        }
        let read = |text| parse_dist(text, Dimension::Duration).unwrap().mean();
        assert!((read("low 5 min, typical 8 min, high 30 min") - 67.0 / 6.0).abs() < 1e-9);
        assert!(
            (read("triangular, low 5 min, typical 8 min, high 30 min") - 43.0 / 3.0).abs() < 1e-9
        );
    }
}
