//! Rule F16: orders that cannot be promised, by planned work worked by hand.

use super::*;

/// A bench of 30 min, an order every 10 min from 00:10 on, promised an hour after it is asked for.
fn full(class: &str, machine: &str) -> String {
    format!(
        "format: 2\nname: full\nrun: {{ warm_up: 0 min, measure: 125 min, run_out: 1 wk }}\n\
         calendars: {{ day: {{ open: [Mon-Sun 00:00-01:00, Mon-Sun 08:00-16:00] }} }}\n\
         products: {{ a: {{}} }}\n\
         stations: {{ bench: {{ work: bench, time: 30 min, machines: {{ m: {{ {machine} }} }} }} }}\n\
         classes: {{ standard: {{ promise: 1 h, {class} }} }}\n\
         orders: [{{ name: all, every: 10 min, products: {{ a: 100 % }} }}]\n"
    )
}

fn minutes(ticks: impl Iterator<Item = i64>) -> Vec<f64> {
    ticks.map(|t| t as f64 / MIN as f64).collect()
}

/// Of what is measured: when it was asked for, taken; refused with the date that was worked out.
fn told(text: &str) -> (Vec<f64>, Vec<(f64, f64)>, Seen) {
    let seen = run(text, "");
    let mut taken: Vec<i64> = (seen.trace.orders.iter())
        .filter(|o| o.measured)
        .map(|o| o.released)
        .collect();
    taken.sort_unstable();
    let refused = (seen.trace.refused.iter())
        .filter(|r| r.measured)
        .map(|r| (r.asked as f64 / MIN as f64, r.quoted as f64 / MIN as f64))
        .collect();
    (minutes(taken.into_iter()), refused, seen)
}

/// F16. At 10 nothing is ahead: 40. At 20, 20 min are left of the first: 40 + 30 = 70, to be promised 80. At 30, 10 min
/// of the first and 30 of the second: 70 + 30 = 100 > 90, refused. At 40 the second begins: 70 + 30 = 100, taken.
/// At 50, 20 + 30: 130 > 110. At 60, 10 + 30: 130 > 120. At 70 the third begins: 130, taken. So it goes on: every third.
#[test]
fn what_cannot_be_promised_is_turned_away() {
    let (taken, refused, seen) = told(&full("when_full: turn_away", ""));
    assert_eq!(taken, [10.0, 20.0, 40.0, 70.0, 100.0]);
    let dates = [
        (30.0, 100.0),
        (50.0, 130.0),
        (60.0, 130.0),
        (80.0, 160.0),
        (90.0, 160.0),
        (110.0, 190.0),
        (120.0, 190.0),
    ];
    assert_eq!(refused, dates);
    assert!(seen.trace.refused.iter().all(|r| r.outside.is_none()));
    // Five of twelve are kept: those turned away are not.
    assert!(seen.figure("on_time/all") == 5.0 / 12.0);
    assert!(seen.figure("on_time_taken/all") == 1.0);
    let weeks = 125.0 / 10_080.0;
    assert!((seen.figure("turned_away/all") * weeks - 7.0).abs() < 1e-9);
}

/// F16. With ten minutes of margin the second order is promised 80 by 80 and taken; the one at 40 would be 110 by 100,
/// and is not. At 50 the second is 30 min from its end, nothing waits: 70 + 30 + 10 = 110, taken.
#[test]
fn a_margin_makes_room() {
    let (taken, refused, _) = told(&full("when_full: turn_away, quote_margin: 10 min", ""));
    assert_eq!(taken[..3], [10.0, 20.0, 50.0]);
    assert_eq!(refused[..2], [(30.0, 110.0), (40.0, 110.0)]);
}

/// F16. The machine closes at 01:00 and opens at 08:00. The first order runs from 10 to 40. At 20 a second one would
/// run from 40 to 60 and for its last 10 min from 08:00 on: 490 min. At 70 the whole of it comes in the morning: 510. What
/// is sent out is in time only if the other shop takes no longer than the promise.
#[test]
fn what_is_sent_out_is_kept_by_its_own_date() {
    let class =
        |takes: &str| format!("when_full: send_out, outside: {{ takes: {takes}, least: 1 }}");
    let (taken, refused, seen) = told(&full(&class("1 h"), "calendar: day"));
    assert_eq!(taken, [10.0]);
    assert_eq!((refused[0], refused[5]), ((20.0, 490.0), (70.0, 510.0)));
    assert!(seen.trace.refused[0].outside == Some(80 * MIN));
    assert!(seen.figure("sent_out/all") > 0.0 && seen.figure("turned_away/all") == 0.0);
    // Twelve are asked for: one is made here, eleven by the other shop, all in time.
    assert!(seen.figure("on_time/all") == 1.0);
    let (_, _, late) = told(&full(&class("61 min"), "calendar: day"));
    assert!(late.figure("on_time/all") == 1.0 / 12.0);
    // One pouch is too few for a shop that asks for two: turned away.
    let few = class("1 h").replace("least: 1", "least: 2");
    let (_, _, away) = told(&full(&few, "calendar: day"));
    assert!(away.figure("sent_out/all") == 0.0 && away.figure("turned_away/all") > 0.0);
}

/// F16. Web: 2,000 pouches are 100 m on two lanes; laminated at 10 m/min, slit at 10 m/min, 100 pouches a minute and
/// lane. 10 min, 24 h of hold, 10 min; by 48 h after the bond it may be a pouch, 10 min on two lanes; packed it waits for
/// 72 h after the bond: 10 min + 72 h.
#[test]
fn holds_count_in_the_date() {
    let text = cell()
        .replace("classes: { standard: {} }\nbook: book.csv\n", "classes: { standard: { promise: 4321 min, when_full: turn_away } }\norders: [{ name: all, every: 1 wk, products: { p: 100 % }, quantity: 2000 }]\n");
    let (_, refused, _) = told(&text);
    let bonded = refused[0].1 - refused[0].0 - 72.0 * 60.0;
    assert!((bonded - 10.0).abs() < 0.1, "{refused:?}");
}

/// F16. A rush order goes first where classes do: what waits for the machine of a worse rank is not ahead of it, what
/// the machine is on is. At 10 a standard order of 30 min is taken, at 20 another one waits; the rush order that is
/// asked for at 25 could be done at 40 + 30 = 70, and with `next: [first_come]` at 100.
#[test]
fn only_what_goes_first_is_ahead() {
    let text = |next: &str| {
        full("rank: 1", "")
            .replace("time: 30 min,", &format!("time: 30 min, next: [{next}],"))
            .replace("every: 10 min", "every: \"10 min\", classes: { standard: 100 % }")
            .replace(
                "classes: { standard: { promise: 1 h, rank: 1 } }",
                "classes: { standard: { promise: 1 h, rank: 1 }, rush: { promise: 20 min, rank: 0, when_full: turn_away } }",
            )
            .replace(
                "orders: [",
                "orders: [{ name: rush, every: 25 min, classes: { rush: 100 % }, products: { a: 100 % } }, ",
            )
    };
    let date = |next: &str| told(&text(next)).1[0];
    assert_eq!(date("class_first"), (25.0, 70.0));
    assert_eq!(date("first_come"), (25.0, 100.0));
}
