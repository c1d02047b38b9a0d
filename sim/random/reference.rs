//! Reference values of the distributions, for tests only.
//!
//! In: nothing. Out: checks of mean, sd and quantiles against scipy 1.17 (to the seven digits
//! printed), and of the samplers against the same distributions.

use super::dist::Dist;
use super::error::DistError;
use super::stream::{Source, Streams};

/// One distribution with its reference values.
struct Row {
    name: &'static str,
    dist: Dist,
    mean: f64,
    sd: f64,
    /// Excess kurtosis, for the spread of a sample variance.
    kurtosis: f64,
    /// Quantiles at [`POINTS`].
    quantiles: [f64; 9],
}

const POINTS: [f64; 9] = [0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99];

fn row(
    name: &'static str,
    dist: Result<Dist, DistError>,
    [mean, sd, kurtosis]: [f64; 3],
    quantiles: [f64; 9],
) -> Row {
    Row {
        name,
        dist: dist.expect(name),
        mean,
        sd,
        kurtosis,
        quantiles,
    }
}

/// scipy 1.17 reference values; the closed forms behind them are those of the textbooks.
#[rustfmt::skip]
#[allow(clippy::approx_constant, reason = "reference values as printed")]
fn table() -> Vec<Row> {
    vec![
        row("Exp mean 1", Dist::exponential(1.0), [1.0, 1.0, 6.0], [0.01005034, 0.05129329, 0.1053605, 0.2876821, 0.6931472, 1.386294, 2.302585, 2.995732, 4.60517]),
        row("Erlang-2 mean 1", Dist::erlang(2, 1.0), [1.0, 0.7071068, 3.0], [0.07427737, 0.1776808, 0.2659058, 0.4806394, 0.8391735, 1.346317, 1.94486, 2.371932, 3.319176]),
        row("Erlang-4 mean 1", Dist::erlang(4, 1.0), [1.0, 0.5, 1.5], [0.2058122, 0.3415796, 0.4361924, 0.6338301, 0.9180152, 1.277357, 1.670196, 1.938414, 2.511279]),
        row("Gamma mean 10 cv .5", Dist::gamma_mean(10.0, 0.5), [10.0, 5.0, 1.5], [2.058122, 3.415796, 4.361924, 6.338301, 9.180152, 12.77357, 16.70196, 19.38414, 25.11279]),
        row("Gamma mean 1 cv 1.5", Dist::gamma_mean(1.0, 1.5), [1.0, 1.5, 13.5], [5.415247e-05, 0.002025649, 0.009658305, 0.07749639, 0.4066938, 1.294089, 2.770091, 4.005029, 7.077065]),
        row("Gamma shape 2.5 scale 3", Dist::gamma(2.5, 3.0), [7.5, 4.743416, 2.4], [0.8314471, 1.718214, 2.415462, 4.011904, 6.52719, 9.93852, 13.85454, 16.60575, 22.62941]),
        row("Lognormal mean 1 cv 0.25", Dist::lognormal_mean(1.0, 0.25), [1.0, 0.25, 1.06007], [0.547109, 0.6470645, 0.7076138, 0.8216953, 0.9701425, 1.145408, 1.330071, 1.454533, 1.720272]),
        row("Lognormal mean 1 cv 0.5", Dist::lognormal_mean(1.0, 0.5), [1.0, 0.5, 5.03516], [0.2980501, 0.4112439, 0.4882381, 0.650387, 0.8944272, 1.230037, 1.638545, 1.945318, 2.684112]),
        row("Lognormal mean 1 cv 1", Dist::lognormal_mean(1.0, 1.0), [1.0, 1.0, 38.0], [0.1019385, 0.1797831, 0.2432817, 0.4032804, 0.7071068, 1.239832, 2.055231, 2.781129, 4.904916]),
        row("Lognormal mean 1 cv 1.5", Dist::lognormal_mean(1.0, 1.5), [1.0, 1.5, 205.91], [0.04438084, 0.0930073, 0.1379788, 0.26671, 0.5547002, 1.153659, 2.229997, 3.30826, 6.932999]),
        row("Lognormal mean 10 cv 0.3", Dist::lognormal_mean(10.0, 0.3), [10.0, 3.0, 1.56594], [4.838345, 5.909921, 6.575059, 7.857691, 9.578263, 11.67558, 13.9532, 15.52358, 18.96167]),
        row("Lognormal mean 60 cv 0.8", Dist::lognormal_mean(60.0, 0.8), [60.0, 48.0, 18.1246], [9.122719, 14.73307, 19.02248, 29.15413, 46.85213, 75.2937, 115.3962, 148.9929, 240.6215]),
        row("Weibull shape 0.5 scale 1", Dist::weibull(0.5, 1.0), [2.0, 4.472136, 84.72], [0.0001010093, 0.002631002, 0.01110084, 0.08276097, 0.480453, 1.921812, 5.301898, 8.974412, 21.20759]),
        row("Weibull shape 1.5 scale 1", Dist::weibull(1.5, 1.0), [0.9027453, 0.6129358, 1.3904], [0.04657152, 0.1380513, 0.2230755, 0.4357879, 0.7832198, 1.243284, 1.743722, 2.078111, 2.767985]),
        row("Weibull shape 2 scale 1", Dist::weibull(2.0, 1.0), [0.8862269, 0.4632514, 0.245089], [0.1002514, 0.2264802, 0.3245928, 0.53636, 0.8325546, 1.17741, 1.517427, 1.730818, 2.145966]),
        row("Weibull shape 3.5 scale 10", Dist::weibull(3.5, 10.0), [8.997472, 2.847328, -0.287268], [2.686547, 4.280021, 5.257328, 7.004928, 9.005785, 10.97817, 12.69083, 13.68181, 15.4703]),
        row("Weibull shape 2.1 scale 81.9", Dist::weibull(2.1, 81.9), [72.53831, 36.29008, 0.132302], [9.160967, 19.90797, 28.04739, 45.25049, 68.78385, 95.68285, 121.8337, 138.0989, 169.4787]),
        row("Triangular(0,1,2)", Dist::triangular(0.0, 1.0, 2.0), [1.0, 0.4082483, -0.6], [0.1414214, 0.3162278, 0.4472136, 0.7071068, 1.0, 1.292893, 1.552786, 1.683772, 1.858579]),
        row("Triangular(2,3,7)", Dist::triangular(2.0, 3.0, 7.0), [4.0, 1.080123, -0.6], [2.223607, 2.5, 2.707107, 3.127017, 3.837722, 4.763932, 5.585786, 6.0, 6.552786]),
        row("Triangular(1,1,4)", Dist::triangular(1.0, 1.0, 4.0), [2.0, 0.7071068, -0.6], [1.015038, 1.075962, 1.15395, 1.401924, 1.87868, 2.5, 3.051317, 3.32918, 3.7]),
        row("Triangular(0,4,5)", Dist::triangular(0.0, 4.0, 5.0), [3.0, 1.080123, -0.6], [0.4472136, 1.0, 1.414214, 2.236068, 3.162278, 3.872983, 4.292893, 4.5, 4.776393]),
        row("PERT(2,3,7)", Dist::pert(2.0, 3.0, 7.0), [3.5, 0.8660254, -0.222222], [2.115673, 2.294887, 2.449511, 2.817157, 3.383361, 4.071133, 4.72667, 5.106384, 5.742797]),
        row("PERT(0,5,10)", Dist::pert(0.0, 5.0, 10.0), [5.0, 1.889822, -0.666667], [1.056398, 1.892554, 2.466365, 3.594362, 5.0, 6.405638, 7.533635, 8.107446, 8.943602]),
        row("PERT(1,2,9)", Dist::pert(1.0, 2.0, 9.0), [3.0, 1.309307, 0.111111], [1.096344, 1.291578, 1.478469, 1.961184, 2.768959, 3.818145, 4.871226, 5.502757, 6.598059]),
        row("Beta(2,5)", Dist::beta(2.0, 5.0, 0.0, 1.0), [0.2857143, 0.1597191, -0.12], [0.02676319, 0.06284989, 0.09259526, 0.1611629, 0.26445, 0.3894795, 0.5103163, 0.5818034, 0.7056863]),
        row("Uniform(2,6)", Dist::uniform(2.0, 6.0), [4.0, 1.154701, -1.2], [2.04, 2.2, 2.4, 3.0, 4.0, 5.0, 5.6, 5.8, 5.96]),
        row("Normal(10,2)", Dist::normal(10.0, 2.0, f64::NEG_INFINITY, f64::INFINITY), [10.0, 2.0, 0.0], [5.347304, 6.710293, 7.436897, 8.65102, 10.0, 11.34898, 12.5631, 13.28971, 14.6527]),
        row("TruncNormal(10,4;[0,∞))", Dist::normal(10.0, 4.0, 0.0, f64::INFINITY), [10.07055, 3.91018, -0.170658], [1.437046, 3.639353, 4.998662, 7.360378, 10.03113, 12.71753, 15.14039, 16.59149, 19.31474]),
        row("TruncNormal(1,1;[0,∞))", Dist::normal(1.0, 1.0, 0.0, f64::INFINITY), [1.2876, 0.7935277, 0.00138129], [0.03418628, 0.1609566, 0.3026431, 0.6654743, 1.200174, 1.805255, 2.377787, 2.727185, 3.390468]),
        row("TruncNormal(0,1;[−1,2])", Dist::normal(0.0, 1.0, -1.0, 2.0), [0.2296372, 0.7209456, -0.719828], [-0.9667233, -0.8431046, -0.7046478, -0.3496414, 0.1711639, 0.7474407, 1.255715, 1.524597, 1.867211]),
        row("TruncNormal(5,2;[2,8])", Dist::normal(5.0, 2.0, 2.0, 8.0), [5.0, 1.485294, -0.877885], [2.127577, 2.548288, 2.956467, 3.85448, 5.0, 6.14552, 7.043533, 7.451712, 7.872423]),
        row("Poisson 4.5", Dist::poisson(4.5), [4.5, 2.12132, 0.222222], [0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 7.0, 8.0, 10.0]),
        row("Geometric p=.2 on 1,2,…", Dist::geometric(5.0), [5.0, 4.472136, 6.05], [1.0, 1.0, 1.0, 2.0, 4.0, 7.0, 11.0, 14.0, 21.0]),
    ]
}

/// The last printed digit counts seven; a relative 1e-6 covers its rounding.
fn near(got: f64, want: f64) -> bool {
    (got - want).abs() <= 1e-6 * want.abs().max(1e-9)
}

#[test]
fn mean_sd_and_quantiles_match_the_reference() {
    for row in table() {
        let (mean, sd) = (row.dist.mean(), row.dist.sd());
        assert!(near(mean, row.mean), "{}: mean {mean}", row.name);
        assert!(near(sd, row.sd), "{}: sd {sd}", row.name);
        for (p, want) in POINTS.iter().zip(row.quantiles) {
            let got = row.dist.quantile(*p);
            assert!(
                near(got, want),
                "{}: quantile {p} is {got}, not {want}",
                row.name
            );
            let back = row.dist.cdf(got);
            let whole = matches!(row.dist, Dist::Geometric(_) | Dist::Poisson(_));
            let fits = if whole {
                back >= *p - 1e-12
            } else {
                (back - p).abs() < 1e-9
            };
            assert!(fits, "{}: cdf of quantile {p} is {back}", row.name);
        }
        assert!(row.dist.quantile(0.0) <= row.dist.quantile(0.01));
    }
}

/// scipy 1.17: Weibull from mean 1 and cv by root finding.
#[test]
fn weibull_from_mean_and_cv() {
    for (cv, shape, scale) in [
        (0.25, 4.5422131, 1.0952085),
        (0.5, 2.1013491, 1.1290634),
        (1.5, 0.68477255, 0.77322666),
    ] {
        let Ok(Dist::Weibull { shape: k, scale: s }) = Dist::weibull_mean(1.0, cv) else {
            panic!("a weibull")
        };
        assert!(
            (k - shape).abs() < 1e-7 && (s - scale).abs() < 1e-7,
            "cv {cv}: {k}, {s}"
        );
    }
}

/// Balanced means: p = (1 + sqrt((c^2 - 1) / (c^2 + 1))) / 2; quantiles by scipy 1.17.
#[test]
fn hyperexponential_values() {
    for (cv, p, quantiles) in [
        (1.5, 0.8100868, [0.5276164, 2.280505, 3.634501, 7.751613]),
        (2.0, 0.8872983, [0.4514931, 1.957517, 3.714882, 10.74589]),
    ] {
        let dist = Dist::hyperexponential(1.0, cv).unwrap();
        let Dist::Hyperexponential(h) = &dist else {
            panic!("a hyperexponential")
        };
        assert!((h.p - p).abs() < 1e-7);
        for (at, want) in [0.5, 0.9, 0.95, 0.99].iter().zip(quantiles) {
            assert!(
                near(dist.quantile(*at), want),
                "cv {cv} at {at}: {}",
                dist.quantile(*at)
            );
        }
    }
}

/// Law, "Simulation Modeling and Analysis": F(x(i)) = (i - 1) / (n - 1).
#[test]
fn measured_values_as_law_joins_them() {
    let dist = Dist::empirical(&[3.5, 0.5, 7.0, 1.2, 2.0]).unwrap();
    assert!(near(dist.mean(), 2.6125));
    assert!(near(dist.variance(), 3.102344));
    for (p, want) in [(0.1, 0.78), (0.25, 1.2), (0.5, 2.0), (0.6, 2.6), (0.9, 5.6)] {
        assert!(near(dist.quantile(p), want), "{p}: {}", dist.quantile(p));
        assert!((dist.cdf(want) - p).abs() < 1e-12);
    }
}

/// Banks, Carson, Nelson and Nicol, "Discrete-Event System Simulation": repair times from zero
/// (published 1.66) and grouped repair times (published 1.75).
#[test]
fn measured_values_as_banks_joins_them() {
    let single = Dist::piecewise(
        vec![0.0, 0.80, 1.24, 1.45, 1.83, 2.76],
        vec![0.0, 0.2, 0.4, 0.6, 0.8, 1.0],
    );
    assert!(near(single.unwrap().quantile(0.71), 1.659));
    let grouped = Dist::piecewise(
        vec![0.25, 0.5, 1.0, 1.5, 2.0],
        vec![0.0, 0.31, 0.41, 0.66, 1.0],
    )
    .unwrap();
    assert!(near(grouped.quantile(0.83), 1.75));
    assert!(near(grouped.mean(), 1.09875));
}

const DRAWS: usize = 200_000;

/// Draws of one distribution, each from its own key, as the simulation draws them.
fn draws(dist: &Dist, key: u64) -> Vec<f64> {
    let streams = Streams::new(20_240_601, key);
    (0..DRAWS as u64)
        .map(|i| dist.sample(&mut streams.of(Source::Other, i, key)))
        .collect()
}

/// Mean and sd of the draws against the reference, in standard errors; four and a half allowed.
fn assert_moments(name: &str, x: &[f64], mean: f64, sd: f64, kurtosis: f64) {
    let n = x.len() as f64;
    let m = x.iter().sum::<f64>() / n;
    let v = x.iter().map(|x| (x - m).powi(2)).sum::<f64>() / (n - 1.0);
    let z_mean = (m - mean) / (sd / n.sqrt());
    // Standard error of a sample variance: sigma^2 sqrt((excess kurtosis + 2) / n).
    let z_sd = (v / (sd * sd) - 1.0) / ((kurtosis + 2.0) / n).sqrt();
    assert!(z_mean.abs() < 4.5, "{name}: mean {m}, z {z_mean}");
    assert!(z_sd.abs() < 4.5, "{name}: variance {v}, z {z_sd}");
}

/// Kolmogorov-Smirnov with known parameters, in the form (sqrt n + 0.12 + 0.11 / sqrt n) D
/// (Stephens); 1.628 is the published 99 % point, 1.95 about the 99.9 % point (Kolmogorov's
/// limit: 2 exp(-2 x^2) = 0.001).
fn assert_fits(name: &str, mut x: Vec<f64>, dist: &Dist) {
    x.sort_by(f64::total_cmp);
    let n = x.len() as f64;
    let d = x.iter().enumerate().fold(0.0f64, |d, (i, x)| {
        let f = dist.cdf(*x);
        d.max(f - i as f64 / n).max((i as f64 + 1.0) / n - f)
    });
    let statistic = (n.sqrt() + 0.12 + 0.11 / n.sqrt()) * d;
    assert!(statistic < 1.95, "{name}: K-S statistic {statistic}");
}

#[test]
fn samplers_have_the_reference_mean_sd_and_shape() {
    for (key, row) in table().iter().enumerate() {
        let x = draws(&row.dist, key as u64);
        assert_moments(row.name, &x, row.mean, row.sd, row.kurtosis);
        let whole = matches!(row.dist, Dist::Geometric(_) | Dist::Poisson(_));
        if !whole {
            assert_fits(row.name, x, &row.dist);
        }
    }
}

#[test]
fn the_remaining_samplers_follow_their_distribution_functions() {
    let rest = [
        Dist::hyperexponential(1.0, 2.0),
        Dist::empirical(&[0.5, 1.2, 2.0, 3.5, 7.0]),
        Dist::normal(0.0, 1.0, 1.5, 3.0),
        Dist::normal(0.0, 1.0, f64::NEG_INFINITY, -1.5),
        Dist::lognormal_median(4000.0, 1.1).and_then(|d| d.bounded(Some(500.0), Some(5e4))),
        Dist::exponential(1.0).and_then(|d| d.bounded(Some(3.0), None)),
        Dist::beta(2.0, 5.0, 1.0, 3.0).and_then(|d| d.bounded(None, Some(1.3))),
    ];
    for (key, dist) in rest.into_iter().enumerate() {
        let dist = dist.unwrap();
        let x = draws(&dist, 100 + key as u64);
        // Kurtosis is not at hand: nine is that of the exponential, the heaviest here but two.
        let n = x.len() as f64;
        let z = (x.iter().sum::<f64>() / n - dist.mean()) / (dist.sd() / n.sqrt());
        assert!(z.abs() < 4.5, "{dist:?}: z {z}");
        assert_fits(&format!("{dist:?}"), x, &dist);
    }
}

/// Counts against their chances by chi-square; 27.88 is the 99.9 % point for 9 degrees of freedom
/// (statistical tables, from memory), and each list here has at most ten values.
#[test]
fn counts_and_choices_come_up_as_often_as_they_should() {
    let lists = [
        Dist::discrete(&[(3.0, 5.0), (4.0, 2.0), (7.0, 0.5)]),
        Dist::geometric(2.5).and_then(|d| d.bounded(None, Some(8.0))),
        Dist::poisson(4.5).and_then(|d| d.bounded(Some(1.0), Some(10.0))),
        Dist::geometric(3.0).and_then(|d| d.bounded(Some(2.0), Some(9.0))),
    ];
    for (key, dist) in lists.into_iter().enumerate() {
        let dist = dist.unwrap();
        let x = draws(&dist, 200 + key as u64);
        let (low, high) = dist.support();
        assert!(
            x.iter()
                .all(|x| *x >= low && *x <= high && x.fract() == 0.0)
        );
        let chi2: f64 = (low as u64..=high as u64)
            .map(|k| k as f64)
            .map(|k| {
                let expected = (dist.cdf(k) - dist.cdf(k - 1.0)) * x.len() as f64;
                let seen = x.iter().filter(|x| **x == k).count() as f64;
                if expected > 0.0 {
                    (seen - expected).powi(2) / expected
                } else {
                    seen * 1e9
                }
            })
            .sum();
        assert!(chi2 < 27.88, "{dist:?}: chi-square {chi2}");
    }
}
