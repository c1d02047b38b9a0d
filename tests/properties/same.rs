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
        prop_assert_ne!(&calm, &text);
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
        // Its name comes last: chances of streams are keyed by the order of their names.
        let stream = format!("{text}  - {{ name: zzz, every: 80000 h, classes: {{ rush: 100 % }}, products: {{ p0: 100 % }} }}\n");
        assert_same(&text, &stream)?;
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

proptest! {
    #![proptest_config(cases(100))]

    #[test]
    fn the_order_of_the_file_decides_nothing(tape in tape()) {
        let text = cells::cell(&tape);
        assert_same(&text, &turned(&text))?;
    }
}
