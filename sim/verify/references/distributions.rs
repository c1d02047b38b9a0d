//! Mean, spread and points of the distributions a scenario may name.
//!
//! In: nothing. Out: [`Reference`]s, read from text as a user writes it. The wrong number is one parameter
//! 5 % off.

use crate::random::{Dist, parse_dist};
use crate::units::Dimension;
use crate::verify::reference::Reference;

use super::relative;

const GROUP: &str = "Distributions";
const SOURCE: &str = "scipy 1.17 (closed forms of the textbooks)";

/// As a user writes it; the same with one parameter off; mean, sd, points at 10, 50, 90 and 99 %.
type Row = (&'static str, &'static str, [f64; 6]);

#[rustfmt::skip]
#[allow(clippy::approx_constant, reason = "reference values as printed")]
const ROWS: [Row; 14] = [
    ("exponential, mean 1 min", "exponential, mean 1.05 min", [1.0, 1.0, 0.1053605, 0.6931472, 2.302585, 4.60517]),
    ("erlang, stages 2, mean 1 min", "erlang, stages 2, mean 1.05 min", [1.0, 0.7071068, 0.2659058, 0.8391735, 1.94486, 3.319176]),
    ("erlang, stages 4, mean 1 min", "erlang, stages 4, mean 1.05 min", [1.0, 0.5, 0.4361924, 0.9180152, 1.670196, 2.511279]),
    ("gamma, mean 10 min, cv 0.5", "gamma, mean 10.5 min, cv 0.5", [10.0, 5.0, 4.361924, 9.180152, 16.70196, 25.11279]),
    ("gamma, mean 1 min, cv 1.5", "gamma, mean 1.05 min, cv 1.5", [1.0, 1.5, 0.009658305, 0.4066938, 2.770091, 7.077065]),
    ("lognormal, mean 1 min, cv 0.5", "lognormal, mean 1.05 min, cv 0.5", [1.0, 0.5, 0.4882381, 0.8944272, 1.638545, 2.684112]),
    ("lognormal, mean 10 min, cv 0.3", "lognormal, mean 10.5 min, cv 0.3", [10.0, 3.0, 6.575059, 9.578263, 13.9532, 18.96167]),
    ("lognormal, mean 60 min, cv 0.8", "lognormal, mean 63 min, cv 0.8", [60.0, 48.0, 19.02248, 46.85213, 115.3962, 240.6215]),
    ("weibull, shape 1.5, scale 1 min", "weibull, shape 1.5, scale 1.05 min", [0.9027453, 0.6129358, 0.2230755, 0.7832198, 1.743722, 2.767985]),
    ("weibull, shape 3.5, scale 10 min", "weibull, shape 3.5, scale 10.5 min", [8.997472, 2.847328, 5.257328, 9.005785, 12.69083, 15.4703]),
    ("triangular, low 2 min, typical 3 min, high 7 min", "triangular, low 2 min, typical 3.3 min, high 7.7 min", [4.0, 1.080123, 2.707107, 3.837722, 5.585786, 6.552786]),
    ("pert, low 2 min, typical 3 min, high 7 min", "pert, low 2 min, typical 3.3 min, high 7.7 min", [3.5, 0.8660254, 2.449511, 3.383361, 4.72667, 5.742797]),
    ("uniform, from 2 min, to 6 min", "uniform, from 2.1 min, to 6.3 min", [4.0, 1.154701, 2.4, 4.0, 5.6, 5.96]),
    ("normal, mean 10 min, sd 4 min", "normal, mean 10.5 min, sd 4.2 min", [10.07055, 3.91018, 4.998662, 10.03113, 15.14039, 19.31474]),
];

/// All values of this file. A text that cannot be read gives no number, which fails.
pub fn references() -> Vec<Reference> {
    let mut all = Vec::new();
    for (text, other, row) in ROWS {
        let of = |text: &str, figure: &dyn Fn(&Dist) -> f64| {
            parse_dist(text, Dimension::Duration).map_or(f64::NAN, |dist| figure(&dist))
        };
        let mut add = |what: &str, x: f64, figure: &dyn Fn(&Dist) -> f64| {
            all.push(relative(
                (GROUP, SOURCE),
                format!("{text}: {what}"),
                (x, 1e-6),
                of(text, figure),
                of(other, figure),
            ));
        };
        add("mean", row[0], &Dist::mean);
        add("standard deviation", row[1], &Dist::sd);
        for (p, x) in [0.1, 0.5, 0.9, 0.99].into_iter().zip(&row[2..]) {
            add(&format!("{} % point", p * 100.0), *x, &|d| d.quantile(p));
        }
    }
    all
}
