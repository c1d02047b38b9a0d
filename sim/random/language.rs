//! The text language, for tests only.
//!
//! In: sentences. Out: checks that each is understood, refused with the right words, and survives
//! being written back.

use super::describe::describe;
use super::dist::Dist;
use super::text::{FAMILIES, parse_dist};
use super::words::PHRASES;
use crate::units::Dimension;
use proptest::prelude::*;

fn read(text: &str, dimension: Dimension) -> Dist {
    parse_dist(text, dimension).unwrap_or_else(|e| panic!("{text}: {e}"))
}

fn refused(text: &str, dimension: Dimension) -> String {
    parse_dist(text, dimension).expect_err(text).to_string()
}

/// Each sentence with its mean and median: by hand from the closed forms, or the scipy 1.17
/// values of the same distribution.
#[test]
fn every_form_is_understood() {
    use Dimension::*;
    let rows = [
        ("25 min", Duration, 25.0, 25.0),
        ("between 20 min and 40 min", Duration, 30.0, 30.0),
        ("from 20 min to 40 min", Duration, 30.0, 30.0),
        (
            "low 2 min, typical 3 min, high 7 min",
            Duration,
            3.5,
            3.383361,
        ),
        (
            "low 2 min, most likely 3 min, high 7 min",
            Duration,
            3.5,
            3.383361,
        ),
        (
            "pert, low 2 min, typical 3 min, high 7 min",
            Duration,
            3.5,
            3.383361,
        ),
        (
            "triangular, low 2 min, typical 3 min, high 7 min",
            Duration,
            4.0,
            3.837722,
        ),
        ("mean 1 min, cv 0.5", Duration, 1.0, 0.8944272),
        ("mean 1 min, sd 30 s", Duration, 1.0, 0.8944272),
        ("Lognormal, mean 1 min, cv 50 %", Duration, 1.0, 0.8944272),
        ("exponential, mean 1 h", Duration, 60.0, 41.588831),
        ("exponential mean 1 h", Duration, 60.0, 41.588831),
        ("gamma, mean 10 h, cv 0.5", Duration, 600.0, 550.80912),
        ("gamma, shape 2.5, scale 3 min", Duration, 7.5, 6.52719),
        ("erlang, stages 4, mean 1 min", Duration, 1.0, 0.9180152),
        (
            "weibull, shape 2, scale 1 min",
            Duration,
            0.8862269,
            0.8325546,
        ),
        ("uniform, from 2 min, to 6 min", Duration, 4.0, 4.0),
        (
            "normal, mean 10 min, sd 4 min",
            Duration,
            10.07055,
            10.03113,
        ),
        (
            "about 10 min, give or take 4 min",
            Duration,
            10.07055,
            10.03113,
        ),
        (
            "about 10 min give or take 4 min",
            Duration,
            10.07055,
            10.03113,
        ),
        (
            "normal, mean 5 min, sd 2 min, from 2 min to 8 min",
            Duration,
            5.0,
            5.0,
        ),
        ("normal, mean -18 C, sd 1 C", Temperature, -18.0, -18.0),
        (
            "hyperexponential, mean 1 min, cv 2",
            Duration,
            1.0,
            0.4514931,
        ),
        ("geometric, mean 5", Count, 5.0, 4.0),
        ("poisson, mean 4.5", Count, 4.5, 4.0),
        ("values 3 min, 4 min, 5 min", Duration, 4.0, 4.0),
        ("values 3 min x 5, 4 min x 2", Duration, 23.0 / 7.0, 3.0),
        (
            "measured 0.5 min, 1.2 min, 2 min, 3.5 min, 7 min",
            Duration,
            2.6125,
            2.0,
        ),
        (
            "beta, alpha 2, beta 5, from 0 %, to 100 %",
            Share,
            0.2857143,
            0.26445,
        ),
    ];
    for (text, dimension, mean, median) in rows {
        let dist = read(text, dimension);
        let (m, q) = (dist.mean(), dist.quantile(0.5));
        assert!((m - mean).abs() <= 1e-6 * mean.abs(), "{text}: mean {m}");
        assert!(
            (q - median).abs() <= 1e-6 * median.abs(),
            "{text}: median {q}"
        );
    }
}

#[test]
fn typical_is_the_median_and_worst_the_named_point() {
    let ten = read("typical 25 min, worst in ten 45 min", Dimension::Duration);
    assert!((ten.quantile(0.5) - 25.0).abs() < 1e-9);
    assert!((ten.quantile(0.9) - 45.0).abs() < 1e-9);
    let twenty = read(
        "typical 25 min, worst in twenty 50 min",
        Dimension::Duration,
    );
    assert!((twenty.quantile(0.95) - 50.0).abs() < 1e-9);
    let fifty = read("typical 25 min, worst in 50 80 min", Dimension::Duration);
    assert!((fifty.quantile(0.98) - 80.0).abs() < 1e-9);
}

#[test]
fn ends_keep_only_what_is_inside() {
    let order = read(
        "lognormal, median 4000, sigma 1.1, from 500 to 50000",
        Dimension::Count,
    );
    assert_eq!(order.support(), (500.0, 50_000.0));
    let lines = read("geometric, mean 2.5, at most 12", Dimension::Count);
    assert_eq!(lines.support(), (1.0, 12.0));
    assert!(lines.mean() < 2.5);
    let listed = read(
        "values 1 min, 2 min, 9 min, at most 5 min",
        Dimension::Duration,
    );
    assert_eq!(listed.mean(), 1.5);
}

#[test]
fn errors_name_what_is_wrong_and_the_nearest_word() {
    let d = Dimension::Duration;
    assert!(refused("expnential, mean 8 h", d).contains("did you mean `exponential`?"));
    assert!(refused("gamma, maen 8 h, cv 1", d).contains("did you mean `mean`?"));
    assert!(refused("exponential, mean 8", d).contains("mean: `8` has no unit"));
    assert!(refused("exponential, mean 8", d).contains("`8 min`, `8 h`"));
    assert!(refused("exponential, mean 8 mm", d).contains("is a width or diameter"));
    assert!(refused("exponential", d).contains("`exponential, mean 8 h`"));
    assert!(refused("exponential, cv 1", d).starts_with("`mean` is missing"));
    assert!(refused("exponential, mean 8 h, cv 1", d).contains("`cv` is not used by"));
    assert!(refused("typical 25 min", d).contains("worst in ten"));
    assert!(refused("mean 25 min", d).contains("add `cv 0.4`"));
    assert!(refused("low 2 min, high 3 min", d).contains("between"));
    assert!(refused("typical 25 min, worst in ten 20 min", d).contains("not above"));
    assert!(refused("typical 25 min, worst in tin 40 min", d).contains("did you mean `ten`"));
    assert!(refused("values 1,200 m", Dimension::Length).contains("comma inside a number"));
    assert!(refused("3 min, 4 min", d).contains("values 3 min, 4 min"));
    assert!(refused("mean 3 min, mean 4 min, cv 1", d).contains("written twice"));
    assert!(refused("poisson, mean 4 min", d).contains("counts whole things"));
    assert!(refused("-3 min", d).contains("negative"));
    assert!(refused("between 4 min and 2 min", d).contains("swap the two"));
    assert!(refused("between 4 min", d).contains("one end only"));
    assert!(refused("mean 3 min,, cv 1", d).contains("between two commas"));
    assert!(refused("erlang, stages 2.5, mean 3 min", d).contains("whole number"));
}

#[test]
fn what_is_described_is_read_back() {
    let texts = [
        "25 min",
        "typical 25 min, worst in ten 45 min",
        "low 20 min, typical 35 min, high 60 min",
        "between 20 min and 40 min",
        "about 30 min, give or take 5 min",
        "exponential, mean 8 h",
        "gamma, mean 10 h, cv 0.5",
        "erlang, stages 4, mean 1 min",
        "weibull, mean 1 h, cv 0.5",
        "triangular, low 2 min, typical 3 min, high 7 min",
        "beta, alpha 2, beta 5, from 0 min, to 10 min",
        "beta, alpha 2, beta 5, from 0 min, to 10 min, at most 4 min",
        "normal, mean 10 min, sd 2 min, from 8 min to 13 min",
        "hyperexponential, mean 1 min, cv 2",
        "values 3 min x 5, 4 min x 2",
        "values 3 min, 4 min",
        "measured 3.1 min, 4.2 min, 5 min, at least 4 min",
        "exponential, mean 8 h, at most 20 h",
        "between 20 min and 40 min, at most 30 min",
    ];
    for text in texts {
        let dist = read(text, Dimension::Duration);
        let told = describe(&dist, Dimension::Duration);
        let again = read(&told, Dimension::Duration);
        for p in [0.01, 0.3, 0.5, 0.9, 0.99] {
            let (a, b) = (dist.quantile(p), again.quantile(p));
            assert!(
                (a - b).abs() <= 1e-8 * a.abs(),
                "{text} told as {told}: {a}, {b}"
            );
        }
        assert_eq!(describe(&again, Dimension::Duration), told);
    }
    let count = "geometric, mean 2.5, at most 12";
    assert_eq!(
        describe(&read(count, Dimension::Count), Dimension::Count),
        count
    );
}

/// Words of the language and numbers in any order: most is nonsense, none may panic, and what
/// is accepted must draw finite values inside its support.
fn word() -> impl Strategy<Value = String> {
    let words: Vec<&'static str> = PHRASES
        .iter()
        .chain(FAMILIES)
        .map(|(word, _)| *word)
        .chain([
            ",", " and ", " x ", "ten", "values", "measured", "%", "min", "h", "é", "µ",
        ])
        .collect();
    prop_oneof![
        prop::sample::select(words).prop_map(|w| format!("{w} ")),
        (0.0f64..100.0).prop_map(|x| format!("{x:.2} min, ")),
        (0.0f64..5.0).prop_map(|x| format!("{x:.2}, ")),
        Just("1e14 min,".to_string()),
    ]
}

proptest! {
    #[test]
    fn no_text_panics(text in ".{0,60}", which in 0usize..16) {
        let _ = parse_dist(&text, Dimension::ALL[which]);
    }

    #[test]
    fn no_heap_of_words_panics(words in prop::collection::vec(word(), 1..9), seed: u64) {
        if let Ok(dist) = parse_dist(&words.concat(), Dimension::Duration) {
            let mut stream = super::stream::Stream::from_state(seed);
            let (low, high) = dist.support();
            for _ in 0..20 {
                let x = dist.sample(&mut stream);
                prop_assert!(x.is_finite() && x >= low && x <= high, "{:?} drew {}", dist, x);
            }
            prop_assert!(dist.mean().is_finite() && dist.variance() >= 0.0);
        }
    }
}
