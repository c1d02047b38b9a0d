//! What a user is told about how well his figures are known: warm-up, precision, warnings.

use std::sync::atomic::AtomicBool;

use pouchcast::observe::Layout;
use pouchcast::plant::{Plant, WarmUp};
use pouchcast::summary::{Summary, Warning};
use pouchcast::{model, replicate, scenario, steady};

/// One bench of exponential work, mean 1 h, one order each `every_min` minutes.
fn bench(run: &str, every_min: f64) -> Plant {
    let text = format!(
        "format: 1\nname: output\nrun: {{ seed: 3, {run} }}\nproducts: {{ piece: {{}} }}\n\
         stations: {{ wrapping: {{ work: bench, time: \"exponential, mean 1 h\", machines: {{ server: {{}} }} }} }}\n\
         orders: [{{ name: all, every: \"exponential, mean {every_min} min\", products: {{ piece: 100 % }} }}]\n"
    );
    match scenario::read("output.yaml", text.as_bytes()) {
        Ok(loaded) => loaded.plant,
        Err(report) => panic!("{}\n{text}", report.render(false, 100)),
    }
}

fn settled(mut plant: Plant) -> Plant {
    assert!(steady::settle(&mut plant, &AtomicBool::new(false)));
    plant
}

fn run(plant: Plant) -> Summary {
    let stop = AtomicBool::new(false);
    let precision = plant.run.precision;
    let (count, confidence) = (plant.run.replications, plant.run.confidence);
    let model = model::compile(plant);
    let layout = Layout::new(&model);
    let experiment = match precision {
        None => replicate::many(&model, &layout, count, &stop, &|_| {}),
        Some(precision) => replicate::until(
            &model,
            &layout,
            [count, steady::PRECISION_STEP, precision.at_most],
            &|so_far| steady::precise(&layout, so_far, &precision, confidence),
            &stop,
            &|_| {},
        ),
    };
    Summary::new(&model, &layout, &experiment)
}

fn keys(summary: &Summary) -> Vec<&'static str> {
    summary.warnings.iter().map(Warning::key).collect()
}

/// A queue at 95 % forgets its start in some 1/(1 - sqrt(0.95))^2 = 1560 mean service times (relaxation time;
/// Gross and Harris), one at 20 % in 3.
#[test]
fn a_fuller_cell_warms_up_longer() {
    let chosen = |every_min| {
        let plant = settled(bench("warm_up: auto, measure: 40 weeks", every_min));
        let WarmUp::Chosen { pilots, .. } = plant.run.warm_up else {
            panic!("{:?}", plant.run.warm_up)
        };
        assert_eq!(pilots, 20);
        plant.run.warm_up_min
    };
    let (quiet, full) = (chosen(300.0), chosen(63.0));
    assert!(quiet <= 7.0 * 1440.0, "{quiet}");
    assert!(full >= 2.0 * 10_080.0 && full > quiet, "{full}");
}

/// Left open it is chosen; given it stands, also at nothing.
#[test]
fn a_warm_up_that_is_given_stands() {
    let open = settled(bench("measure: 4 weeks", 120.0));
    assert!(matches!(
        open.run.warm_up,
        WarmUp::Chosen { settled: true, .. }
    ));
    for (text, minutes) in [("0 min", 0.0), ("3 d", 3.0 * 1440.0)] {
        let given = settled(bench(&format!("warm_up: {text}, measure: 4 weeks"), 120.0));
        assert_eq!(
            (given.run.warm_up, given.run.warm_up_min),
            (WarmUp::Given, minutes)
        );
    }
}

/// A queue that only grows never settles, and the reader is told so by name, in plain words.
#[test]
fn a_cell_over_capacity_is_named() {
    let plant = settled(bench(
        "replications: 20, measure: 8 weeks, run_out: 0 min",
        50.0,
    ));
    assert!(matches!(
        plant.run.warm_up,
        WarmUp::Chosen { settled: false, .. }
    ));
    let summary = run(plant);
    let found = keys(&summary);
    for wanted in ["over_capacity", "growing", "unsettled"] {
        assert!(found.contains(&wanted), "{wanted} in {found:?}");
    }
    let text = summary
        .warnings
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("\n");
    assert!(
        text.contains("More work comes than wrapping can do: at least 120 % of its open time"),
        "{text}"
    );
    // One that keeps up is not accused.
    let calm = run(settled(bench("replications: 20, measure: 8 weeks", 120.0)));
    assert!(
        keys(&calm).iter().all(|key| *key == "wide_interval"),
        "{:?}",
        keys(&calm)
    );
}

/// Five replications: said, in words without statistics, with what to do.
#[test]
fn too_few_replications_are_said() {
    let few = run(bench(
        "replications: 5, warm_up: 2 weeks, measure: 4 weeks",
        120.0,
    ));
    let text = few
        .warnings
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("\n");
    assert!(
        text.contains("Only 5 replications") && text.contains("Ask for at least 20"),
        "{text}"
    );
    let enough = run(bench(
        "replications: 20, warm_up: 2 weeks, measure: 4 weeks",
        120.0,
    ));
    assert!(!keys(&enough).contains(&"few_replications"));
}

#[test]
fn replications_are_added_until_the_figure_is_known() {
    let asked = |within: &str, most: u32| {
        run(bench(
            &format!(
                "replications: 20, warm_up: 2 weeks, measure: 4 weeks, precision: {{ of: p90_lead_time, within: {within}, at_most: {most} }}"
            ),
            90.0,
        ))
    };
    let half = |s: &Summary| s.get("lead_done/all/p90").map(|e| e.relative_half_width());
    let (rough, fine) = (asked("20 %", 400), asked("4 %", 400));
    // In steps of twenty, so that the number does not hang on one lucky replication.
    assert!(
        rough.done < fine.done && fine.done < 400 && fine.done % 20 == 0,
        "{} {}",
        rough.done,
        fine.done
    );
    assert!(half(&fine) <= Some(0.04 / 1.04) && half(&rough) <= Some(0.2 / 1.2));
    assert_eq!(fine.asked, fine.done, "nothing was interrupted");
    // One step fewer would not have done.
    let short = run(bench(
        &format!(
            "replications: {}, warm_up: 2 weeks, measure: 4 weeks",
            fine.done - 20
        ),
        90.0,
    ));
    assert!(half(&short) > Some(0.04 / 1.04));
    // Out of reach: it ends at the limit and says so.
    let hopeless = asked("0.2 %", 60);
    assert_eq!(hopeless.done, 60);
    assert!(
        keys(&hopeless).contains(&"not_precise"),
        "{:?}",
        hopeless.warnings
    );
}
