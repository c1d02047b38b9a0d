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
        // A breakdown after more than the run, on machines that have none.
        let calm = text.replace(" }\n", ", BREAK }\n");
        let with = |calm: &str, keys: &str| {
            let mut out = String::new();
            for line in calm.lines() {
                let machine = line.starts_with("      ") && line.contains("calendar:") && !line.contains("breakdowns:");
                let plain = line.replace(", BREAK }", " }");
                out += &if machine { line.replace(", BREAK }", &format!("{keys} }}")) } else { plain };
                out += "\n";
            }
            out
        };
        let never = ", breakdowns: [{ every: 1000000 h, repair: 30 min }, { every: 1000000 h, of: calendar, repair: 30 min }]";
        assert_same(&text, &with(&calm, never))?;
        // Room for a thousand lots.
        let roomy: String = text.lines().map(|l| match l.trim_start().starts_with("next:") && !l.contains("staging") && !text.contains("staging") {
            true => format!("{l}ROOM\n").replace("], family_wait: 6 hROOM", "], family_wait: 6 h, staging: 100000ROOM"),
            false => format!("{l}\n"),
        }).collect();
        let roomy = roomy.replace("ROOM", "");
        assert_same(&text, &roomy)?;
    }

    #[test]
    fn what_nobody_uses_changes_nothing(tape in tape()) {
        let text = cells::cell(&tape);
        let product = text.replace("stations:\n", "  idle: { format: three_side, width: 90 mm, height: 120 mm, laminate: soft, web: 760 mm }\nstations:\n");
        assert_same(&text, &product)?;
        let stream = format!("{text}  - {{ name: never, every: 90000 h, classes: {{ rush: 100 % }}, products: {{ p0: 100 % }} }}\n");
        assert_same(&text, &stream)?;
    }
}
