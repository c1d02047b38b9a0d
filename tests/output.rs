//! What a user is told about how well his figures are known: warm-up, precision, warnings.

use std::sync::atomic::AtomicBool;

use pouchcast::observe::Layout;
use pouchcast::plant::{Plant, WarmUp};
use pouchcast::replicate::Growth;
use pouchcast::summary::{Summary, Warning};
use pouchcast::{model, replicate, scenario, steady};

/// One bench of exponential work, mean 1 h, one order each `every_min` minutes.
fn bench(run: &str, every_min: f64) -> Plant {
    let text = format!(
        "format: 2\nname: output\nrun: {{ seed: 3, {run} }}\nproducts: {{ piece: {{}} }}\n\
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
            (
                [count, precision.at_most],
                Growth::By(steady::PRECISION_STEP),
            ),
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

/// What a seed chooses for a bench of exponential work of 1 h: the warm-up in weeks, and whether the run was long enough
/// for it.
fn chosen(seed: u64, every_min: f64, weeks: u32) -> (f64, bool) {
    let mut plant = bench(&format!("warm_up: auto, measure: {weeks} weeks"), every_min);
    plant.run.seed = seed;
    let plant = settled(plant);
    let WarmUp::Chosen { pilots, settled } = plant.run.warm_up else {
        panic!("{:?}", plant.run.warm_up)
    };
    assert_eq!(pilots, 20);
    (plant.run.warm_up_min / 10_080.0, settled)
}

/// M/M/1 forgets its start in 1/(1 - sqrt(load))^2 mean service times (relaxation time; Gross and Harris): 3 h at
/// 20 %, 12 h at 50 %, 16 days at 90 %, 9.3 weeks at 95 %. Twice that and the stay of 1.25 h to 20 h, up to a round
/// number: one day, two days, 4.6 -> 6 weeks, 18.7 -> 24 weeks, whatever the seed (one step up or down by its luck).
#[test]
fn the_warm_up_follows_the_load_and_not_the_seed() {
    for (load, weeks, steps) in [
        (0.2, 26, [1.0 / 7.0, 1.0 / 7.0]),
        (0.5, 26, [1.0 / 7.0, 2.0 / 7.0]),
        (0.9, 26, [4.0, 6.0]),
        (0.95, 52, [16.0, 32.0]),
    ] {
        for seed in 1..=12 {
            let (long, settled) = chosen(seed, 60.0 / load, weeks);
            assert!(
                settled && (steps[0]..=steps[1]).contains(&long),
                "{load} {seed}: {long}"
            );
        }
    }
    // Four weeks are a little short for a bench at 90 %: all of them are taken, and nearly always that is said.
    let short: Vec<(f64, bool)> = (1..=12).map(|seed| chosen(seed, 60.0 / 0.9, 4)).collect();
    assert!(short.iter().all(|told| told.0 == 4.0), "{short:?}");
    assert!(
        short.iter().filter(|told| !told.1).count() >= 8,
        "{short:?}"
    );
}

/// After it the start moves the mean stay by less than 1 %: 10 h at 90 %, 20 h at 95 %, of some 1 million orders. The
/// bound is 1 % and three standard errors.
#[test]
fn the_start_is_left_out() {
    for (load, weeks) in [(0.9, 26), (0.95, 52)] {
        let run_of =
            format!("replications: 200, warm_up: auto, measure: {weeks} weeks, run_out: 8 weeks");
        let summary = run(settled(bench(&run_of, 60.0 / load)));
        let stay = summary.get("lead_done/all/mean").expect("a stay");
        let exact = 60.0 / (1.0 - load);
        let error = stay.sd / f64::from(stay.n).sqrt();
        assert!(
            ((stay.mean - exact).abs()) < 0.01 * exact + 3.0 * error,
            "{load}: {stay:?}"
        );
    }
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
