//! What must not change a figure: threads, mechanisms that never act, things nobody uses.

use std::sync::atomic::AtomicBool;

use crate::{cases, cells, compiled, figures, tape};
use pouchcast::observe::Layout;
use pouchcast::replicate;
use proptest::prelude::*;

/// Every figure of `first` must stand in `second` with the same bits.
fn assert_same(first: &str, second: &str) -> Result<(), TestCaseError> {
    let before = figures(&compiled(first), 2);
    let after: std::collections::BTreeMap<String, f64> =
        figures(&compiled(second), 2).into_iter().collect();
    for (key, value) in before {
        let other = after.get(&key).copied();
        let same = other.is_some_and(|o| o == value || (o.is_nan() && value.is_nan()));
        prop_assert!(same, "{} {} {:?}\n{}\n{}", key, value, other, first, second);
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn threads_change_nothing(tape in tape()) {
        let model = compiled(&cells::cell(&tape));
        let layout = Layout::new(&model);
        let run = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a thread pool");
            pool.install(|| replicate::many(&model, &layout, 5, &AtomicBool::new(false), &|_| {}))
        };
        prop_assert_eq!(run(1), run(4));
    }

    #[test]
    fn what_never_acts_changes_nothing(tape in tape()) {
        let text = cells::cell(&tape);
        // Breakdowns and micro-stops after more than the run, on machines that have none.
        let never = ", breakdowns: [{ every: 80000 h, repair: 30 min }, { every: 80000 h, of: calendar, repair: 30 min }]";
        let mut calm = String::new();
        for line in text.lines() {
            let end = line.rfind(" }").filter(|_| line.starts_with("      ") && line.contains("calendar:"));
            match end {
                Some(end) => {
                    calm += &line[..end];
                    if !line.contains("breakdowns:") {
                        calm += never;
                    }
                    if !line.contains("micro_stops:") {
                        calm += ", micro_stops: { every: 80000 h, lasting: 1 min }";
                    }
                    calm += " }";
                }
                None => calm += line,
            }
            calm += "\n";
        }
        // A cell whose machines all break down and stop for a moment shows nothing here.
        prop_assume!(calm != text);
        assert_same(&text, &calm)?;
        // Room for a hundred thousand lots where there was no limit (a station's `next` line comes first of its keys).
        let roomy = text.replace("    next: [", "    staging: 100000\n    next: [");
        let mut twice = String::new();
        for block in roomy.split_inclusive("    machines:\n") {
            let own = block.matches("staging:").count() > 1;
            twice += &if own { block.replace("    staging: 100000\n", "") } else { block.to_owned() };
        }
        assert_same(&text, &twice)?;
        // Nobody absent, said or not.
        if text.contains("absence: 0 %") {
            assert_same(&text, &text.replace(", absence: 0 %", ""))?;
        }
    }

    #[test]
    fn what_nobody_uses_changes_nothing(tape in tape()) {
        let text = cells::cell(&tape);
        let product = text.replace("stations:\n", "  idle: { format: three_side, width: 90 mm, height: 120 mm, laminate: soft, web: 760 mm }\nstations:\n");
        assert_same(&text, &product)?;
        // Chances go by names: a stream before or after the others leaves them theirs.
        for name in ["aaa", "zzz"] {
            let stream = format!("{text}  - {{ name: {name}, every: 80000 h, classes: {{ rush: 100 % }}, products: {{ p0: 100 % }} }}\n");
            assert_same(&text, &stream)?;
        }
    }
}

/// Names of the random cells, from the last to the first; stations and the default class stay where they are.
fn turned(text: &str) -> String {
    let mut file: serde_json::Value = serde_yaml::from_str(text).expect("a scenario");
    let reverse = |names: &mut serde_json::Value| {
        if let Some(map) = names.as_object_mut() {
            *map = std::mem::take(map).into_iter().rev().collect();
        }
    };
    let blocks = [
        "calendars",
        "people",
        "rooms",
        "adhesives",
        "laminates",
        "products",
    ];
    for block in blocks {
        file.get_mut(block).into_iter().for_each(reverse);
    }
    let stations = file["stations"].as_object_mut().expect("stations");
    stations
        .values_mut()
        .for_each(|station| reverse(&mut station["machines"]));
    let orders = file["orders"].as_array_mut().expect("orders");
    orders.reverse();
    for stream in orders {
        reverse(&mut stream["products"]);
        reverse(&mut stream["classes"]);
    }
    serde_json::to_string(&file).expect("text")
}

/// Three orders of 10 min and one of 30 at one bench, all at midnight: they wait 0, 10, 20 and 30 min, 60 in all, of a
/// day of 1,440. Lengths of queues are integrals over time and not looks at it.
#[test]
fn a_queue_is_as_long_as_its_waits() {
    let text = "format: 2\nname: queue\nrun: { warm_up: 0 min, measure: 1 day, run_out: 1 day }\n\
                products: { a: {}, b: {} }\n\
                stations: { bench: { work: bench, times: { a: 10 min, b: 30 min }, machines: { m: {} } } }\n\
                classes: { standard: {} }\nbook: book.csv\n";
    let book = "order,product,quantity,release\nx,a,1,2027-01-04 00:00\ny,a,1,2027-01-04 00:00\n\
                z,a,1,2027-01-04 00:00\nzz,b,1,2027-01-04 00:00\n";
    let mut beside = |_: &str| Ok(book.as_bytes().to_vec());
    let loaded = pouchcast::scenario::read_with("cell.yaml", text.as_bytes(), &mut beside);
    let loaded = loaded.unwrap_or_else(|report| panic!("{}", report.render(false, 100)));
    let told = figures(&pouchcast::model::compile(loaded.plant), 1);
    let queue = told.iter().find(|(key, _)| key == "0 station/bench/queue");
    let queue = queue.unwrap_or_else(|| panic!("{told:?}")).1;
    assert!((queue - 60.0 / 1440.0).abs() < 1e-12, "{queue}");
}

proptest! {
    #![proptest_config(cases(100))]

    #[test]
    fn the_order_of_the_file_decides_nothing(tape in tape()) {
        let text = cells::cell(&tape);
        assert_same(&text, &turned(&text))?;
    }
}
