//! Figures and differences of a comparison in words.
//!
//! In: numbers. Out: short text; signs are written, shares differ by points of a hundred, and a common
//! unit of an interval is said once.

use crate::compare::{Call, Difference, Headline, Unknown};
use crate::report::figure::{Form, ends};
use crate::summary::Estimate;
use crate::units::{Reader, grouped};

/// A demand case: `x 1.15`.
pub fn demand(demand: f64) -> String {
    format!("x {}", grouped(demand, 3))
}

/// A demand case in a sentence.
pub fn demand_words(demand: f64) -> String {
    if demand == 1.0 {
        "At today's demand".to_owned()
    } else {
        format!("At {} times today's demand", grouped(demand, 3))
    }
}

/// A unit in words, money with its currency.
pub fn unit(unit: &str, currency: &str) -> String {
    match unit {
        "money/year" => format!("{currency} a year"),
        "money/week" => format!("{currency} a week"),
        "money" => currency.to_owned(),
        "h/week" => "hours a week".to_owned(),
        "1/week" => "a week".to_owned(),
        "1" => String::new(),
        other => other.replace("/week", " a week"),
    }
}

/// Words of a figure; those of money with their currency.
pub fn label(headline: &Headline, currency: &str) -> String {
    match headline.unit {
        "money" | "money/year" | "money/week" => {
            format!("{}, {}", headline.label, unit(headline.unit, currency))
        }
        _ => headline.label.clone(),
    }
}

/// Mark of a call in a table.
pub fn mark(call: Call) -> &'static str {
    match call {
        Call::Better => "+",
        Call::Worse => "-",
        Call::Higher | Call::Lower => "*",
        Call::Same => "=",
        Call::Equal => "~",
        Call::Open => "?",
    }
}

/// What the marks mean.
pub const MARKS: &str = "+ clearly better than today, - clearly worse, = no difference in any replication, \
     ~ as good as equal, ? not settled, * clearly different, neither way better; k thousands";

/// A figure by itself.
pub fn value(figure: &Result<Estimate, Unknown>, headline: &Headline, reader: Reader) -> String {
    match figure {
        Err(unknown) => unknown.words().to_owned(),
        Ok(estimate) => plain(estimate.mean, headline.unit, reader),
    }
}

/// A number in its usual form.
pub fn plain(value: f64, unit: &str, reader: Reader) -> String {
    match unit {
        "h/week" => format!("{} h", grouped(value, 1)),
        "money" | "money/year" => crate::units::money(value),
        unit => Form::of(unit).text(value, reader),
    }
}

/// The interval of a figure, `lowest to highest`; empty where there is none.
pub fn interval(figure: &Result<Estimate, Unknown>, headline: &Headline, reader: Reader) -> String {
    match figure {
        Ok(estimate) => {
            let most = if headline.unit == "share" {
                1.0
            } else {
                f64::INFINITY
            };
            let text = |value: f64| match value.is_finite() {
                true => plain(value.clamp(0.0, most), headline.unit, reader),
                false => String::new(),
            };
            let (low, high) = (text(estimate.low), text(estimate.high));
            // A common unit is said once: `65.1 to 88.5 %`.
            let bare = low.strip_suffix(" %").unwrap_or(&low);
            ends([estimate.low, estimate.high], [&low, bare, &high])
        }
        _ => String::new(),
    }
}

/// Scale and unit in which numbers of a size are written: (units per base unit, places, name).
fn scale(unit: &str, size: f64, reader: Reader) -> (f64, usize, &'static str) {
    let places = |size: f64| {
        if size >= 1000.0 {
            0
        } else if size >= 0.1 {
            1
        } else {
            3
        }
    };
    match unit {
        "min" if size < 3.0 => (60.0, 0, " s"),
        "min" if size < 180.0 => (1.0, 1, " min"),
        "min" if size < 4320.0 => (1.0 / 60.0, 1, " h"),
        "min" => (1.0 / 1440.0, 1, " d"),
        "share" if size < 0.001 => (100.0, 2, " pt"),
        "share" => (100.0, 1, " pt"),
        "h/week" => (1.0, 1, " h"),
        "money" | "money/year" if size >= 100.0 => (1.0, 0, ""),
        "money" | "money/year" => (1.0, 2, ""),
        "m/week" if reader == Reader::Inch => (1.0 / 0.3048, 0, " ft"),
        "m/week" => (1.0, 0, " m"),
        "kg/week" if reader == Reader::Inch => (1.0 / 0.453_592_37, 0, " lb"),
        "kg/week" => (1.0, 0, " kg"),
        _ => (1.0, places(size), ""),
    }
}

fn signed(value: f64, places: usize) -> String {
    // Both ends of a range with the same digits: `-5.0 to +12.1`.
    let text = match places {
        1 | 2 if value.abs() < 1000.0 => format!("{:.places$}", value.abs()),
        _ => grouped(value.abs(), places),
    };
    if text.chars().all(|c| "0.".contains(c)) {
        "0".to_owned()
    } else if value > 0.0 {
        format!("+{text}")
    } else {
        format!("-{text}")
    }
}

/// Most places that are added so that a number does not round to nothing.
const MORE_PLACES: usize = 6;

/// A signed number that keeps its side: as many more places as it needs not to round to nothing.
fn sided(value: f64, places: usize) -> String {
    (places..places + MORE_PLACES)
        .map(|places| signed(value, places))
        .find(|text| text != "0" || value == 0.0)
        .unwrap_or_else(|| "0".to_owned())
}

/// The mean of a difference with its sign: `-20.1 h`.
pub fn change(told: &Difference, headline: &Headline, reader: Reader) -> String {
    let (per, places, name) = scale(headline.unit, size(told), reader);
    format!("{}{name}", sided(told.mean * per, places))
}

/// The interval of a difference: `-22.4 to -17.9 h`; `no difference` where there was none. Both ends show the
/// side they lie on, so that the words that go with it can be checked.
pub fn change_interval(told: &Difference, headline: &Headline, reader: Reader) -> String {
    if told.call == Call::Same {
        return "no difference".to_owned();
    }
    let (per, places, name) = scale(headline.unit, size(told), reader);
    range_of(told, per, &|end| sided(end, places), name)
}

/// Both ends in words, or the one that is claimed; `unknown` where none is.
fn range_of(told: &Difference, per: f64, text: &dyn Fn(f64) -> String, name: &str) -> String {
    let [low, high] = [told.low, told.high].map(|end| match end.is_finite() {
        true => text(end * per),
        false => String::new(),
    });
    let told = ends(
        [told.low, told.high],
        [&format!("{low}{name}"), &low, &format!("{high}{name}")],
    );
    match told.is_empty() {
        true => "unknown".to_owned(),
        false => told,
    }
}

/// [`change_interval`] in at most `most` letters where thousands make it fit: `-409.2 to -371.2 k`.
pub fn change_interval_within(
    told: &Difference,
    headline: &Headline,
    reader: Reader,
    most: usize,
) -> String {
    let text = change_interval(told, headline, reader);
    let (per, _, name) = scale(headline.unit, size(told), reader);
    if text.chars().count() <= most || size(told) * per < 1000.0 {
        return text;
    }
    range_of(
        told,
        per / 1000.0,
        &|end| sided(end, 1),
        &format!(" k{name}"),
    )
}

fn size(told: &Difference) -> f64 {
    let ends = [told.low.abs(), told.high.abs(), told.mean.abs()];
    ends.into_iter()
        .filter(|x| x.is_finite())
        .fold(0.0, f64::max)
}

/// A chance as people read it: `93 %`, never quite 0 or 100 where it is not.
pub fn chance(chance: Option<f64>) -> String {
    match chance {
        None => "–".to_owned(),
        Some(chance) if chance > 0.0 && chance < 0.01 => "< 1 %".to_owned(),
        Some(chance) if chance < 1.0 && chance > 0.99 => "> 99 %".to_owned(),
        Some(chance) => format!("{:.0} %", chance * 100.0),
    }
}

/// How many times fewer replications pairing needs.
pub fn gain(gain: f64) -> String {
    if gain.is_nan() {
        "–".to_owned()
    } else if gain.is_infinite() {
        "all".to_owned()
    } else {
        grouped(gain, if gain < 10.0 { 1 } else { 0 })
    }
}

/// Replications that would settle an open difference: two figures of it are enough.
pub fn needed(told: &Difference) -> String {
    match (told.call, told.needed) {
        (Call::Open, Some(needed)) => grouped(two_digits(needed), 0),
        (Call::Open, None) => "very many".to_owned(),
        _ => String::new(),
    }
}

fn two_digits(count: u64) -> f64 {
    let count = count as f64;
    let power = 10f64.powf((count.log10().floor() - 1.0).max(0.0));
    (count / power).ceil() * power
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::{Better, Needs};

    fn headline(unit: &'static str) -> Headline {
        Headline {
            key: "k".into(),
            label: "l".into(),
            unit,
            better: Better::Less,
            needs: Needs::Nothing,
            decides: true,
        }
    }

    fn told(mean: f64, low: f64, high: f64) -> Difference {
        Difference {
            mean,
            low,
            high,
            sd: 1.0,
            n: 9,
            gain: 12.3,
            needed: Some(2345),
            wanted: 0,
            call: Call::Open,
        }
    }

    #[test]
    fn differences_carry_sign_and_unit_once() {
        let share = told(0.048, 0.031, 0.065);
        let metric = Reader::Metric;
        assert_eq!(change(&share, &headline("share"), metric), "+4.8 pt");
        assert_eq!(
            change_interval(&share, &headline("share"), metric),
            "+3.1 to +6.5 pt"
        );
        let span = told(-1206.0, -1344.0, -1074.0);
        assert_eq!(
            change_interval(&span, &headline("min"), metric),
            "-22.4 to -17.9 h"
        );
        assert_eq!(needed(&span), "2400");
        assert_eq!(
            change_interval(
                &told(0.0, f64::NEG_INFINITY, f64::INFINITY),
                &headline("1"),
                metric
            ),
            "unknown"
        );
    }

    /// A clear sign shows, and an open one shows both sides.
    #[test]
    fn rounding_hides_no_side() {
        let of = |low, high| {
            change_interval(&told(0.003, low, high), &headline("share"), Reader::Metric)
        };
        assert_eq!(of(0.000_21, 0.009), "+0.02 to +0.9 pt");
        assert_eq!(of(-0.002, -0.000_04), "-0.2 to -0.004 pt");
        assert_eq!(of(-0.000_4, 0.009), "-0.04 to +0.9 pt");
    }

    #[test]
    fn wide_intervals_go_into_thousands() {
        let money = told(-390_000.0, -408_917.0, -371_172.0);
        let of =
            |most| change_interval_within(&money, &headline("money/year"), Reader::Metric, most);
        assert_eq!(of(30), "-408\u{202f}917 to -371\u{202f}172");
        assert_eq!(of(18), "-408.9 to -371.2 k");
    }

    #[test]
    fn chances_do_not_round_to_certainty() {
        assert_eq!(chance(Some(0.0004)), "< 1 %");
        assert_eq!(chance(Some(0.9996)), "> 99 %");
        assert_eq!(chance(Some(1.0)), "100 %");
        assert_eq!(chance(None), "–");
    }
}
