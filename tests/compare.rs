//! Comparisons as their users meet them: identical variants, the same luck, files, claims.

mod common;

use std::fs;
use std::path::PathBuf;

use serde_json::Value;
use tempfile::TempDir;

/// A folder with a small scenario and a file of variants in it.
struct Bench {
    dir: TempDir,
}

impl Bench {
    fn new(variants: &str) -> Self {
        let bench = Self {
            dir: TempDir::new().unwrap(),
        };
        let text = pouchcast::scenario::starter()
            .replace("replications: 100", "replications: 8")
            .replace("warm_up: 4 weeks", "warm_up: 1 week")
            .replace("measure: 26 weeks", "measure: 4 weeks");
        fs::write(bench.path("cell.yaml"), text).unwrap();
        fs::write(
            bench.path("study.yaml"),
            format!("format: 2\nbase: cell.yaml\n{variants}"),
        )
        .unwrap();
        bench
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        common::ends(self.dir.path(), code, arguments)
    }

    fn json(&self, file: &str) -> Value {
        serde_json::from_slice(&fs::read(self.path(file)).unwrap()).unwrap()
    }
}

const VARIANTS: &str = "demands: [1, 1.1]
variants:
  nothing new: { change: { stations.pouching.machines.pouch_machine.start_waste: 30 m } }
  second machine:
    note: one more
    change: { stations.pouching.machines.second: { like: pouch_machine } }
  slow: { change: { stations.pouching.machines.pouch_machine.changeover: x 1.5 } }
";

/// The figures of a case, by key.
fn figure<'a>(report: &'a Value, variant: &str, demand: f64, key: &str) -> &'a Value {
    report["cases"]
        .as_array()
        .unwrap()
        .iter()
        .find(|case| case["variant"] == variant && case["demand"] == demand)
        .unwrap_or_else(|| panic!("{variant}"))["figures"]
        .as_array()
        .unwrap()
        .iter()
        .find(|figure| figure["key"] == key)
        .unwrap_or_else(|| panic!("{key}"))
}

#[test]
fn identical_variants_differ_by_exactly_nothing_in_every_figure() {
    let bench = Bench::new(VARIANTS);
    bench.ends(0, &["compare", "study.yaml", "-q", "-o", "out"]);
    let report = bench.json("out/compare.json");
    let mut compared = 0;
    for case in report["cases"].as_array().unwrap() {
        if case["variant"] != "nothing new" {
            continue;
        }
        for figure in case["figures"].as_array().unwrap() {
            let told = &figure["against_today"];
            if told.get("unknown").is_none() {
                compared += 1;
                assert_eq!(
                    (&told["mean"], &told["low"], &told["high"], &told["call"]),
                    (&0.0.into(), &0.0.into(), &0.0.into(), &"same".into()),
                    "{figure}"
                );
            }
        }
    }
    assert!(compared >= 20, "{compared}");
    // And what does differ, differs: the check above can fail.
    let changing = figure(&report, "slow", 1.0, "cell/changing_over");
    assert_eq!(changing["against_today"]["call"], "worse");
}

#[test]
fn threads_do_not_change_a_byte_and_the_folder_has_its_files() {
    let bench = Bench::new(VARIANTS);
    let (one, _) = bench.ends(0, &["compare", "study.yaml", "-q", "-o", "one", "-t", "1"]);
    let (three, _) = bench.ends(
        0,
        &["compare", "study.yaml", "-q", "-o", "three", "-t", "3"],
    );
    assert_eq!(one, three);
    assert!(one.lines().all(|line| line.chars().count() <= 80), "{one}");
    for file in [
        "report.html",
        "report.md",
        "compare.json",
        "compare.csv",
        "scenario.yaml",
        "charts/differences.svg",
        "base/cell.yaml",
    ] {
        let read = |folder: &str| fs::read(bench.path(folder).join(file)).unwrap();
        assert_eq!(read("one"), read("three"), "{file}");
    }
    let page = fs::read_to_string(bench.path("one/report.html")).unwrap();
    assert!(
        page.contains("<svg")
            && !page.contains("<script")
            && !page.contains("http-equiv=\"refresh")
    );
    // Nothing goes over earlier results unless it is asked for.
    bench.ends(5, &["compare", "study.yaml", "-q", "-o", "one"]);
    bench.ends(
        0,
        &[
            "compare",
            "study.yaml",
            "-q",
            "-o",
            "one",
            "--replace",
            "--only",
            "slow",
        ],
    );
    let report = bench.json("one/compare.json");
    assert_eq!(report["variants"].as_array().unwrap().len(), 2);
}

#[test]
fn what_cannot_be_compared_is_refused_with_a_way_on() {
    let bench = Bench::new(VARIANTS);
    let (_, err) = bench.ends(2, &["compare", "cell.yaml", "-q"]);
    assert!(
        err.contains("nothing to compare") && err.contains("variants:"),
        "{err}"
    );
    let (_, err) = bench.ends(2, &["compare", "study.yaml", "-q", "--only", "slwo"]);
    assert!(err.contains("slow"), "{err}");
    // A file of variants is no cell.
    let (_, err) = bench.ends(3, &["run", "study.yaml", "-q"]);
    assert!(
        err.contains("study.yaml:2:1") && err.contains("compare"),
        "{err}"
    );
    let (out, _) = bench.ends(0, &["check", "study.yaml"]);
    assert!(out.contains("3 variants, 2 demand cases"), "{out}");
}

/// A machine added before others does not pass its neighbours' breakdowns on: the laminator and slitter of
/// the starter meet the same stops with and without a machine in front of them, so that an idle addition, too narrow
/// for any web of the cell, changes nothing at all. (One that could take rolls would have metres for its start.)
#[test]
fn an_added_machine_shifts_no_other_machines_luck() {
    let bench = Bench::new(
        "variants:
  idle laminator in front:
    change:
      stations.lamination.machines.spare: { like: laminator, before: laminator, calendar: never_used, web_max: 200 mm }
      calendars.never_used: { open: [Sun 23:59-24:00] }
",
    );
    bench.ends(0, &["compare", "study.yaml", "-q", "-o", "out", "-n", "20"]);
    let report = bench.json("out/compare.json");
    for key in ["lead_done/all/mean", "orders/all", "cell/waste_m"] {
        let told = figure(&report, "idle laminator in front", 1.0, key);
        assert_eq!(told["against_today"]["call"], "same", "{told}");
    }
}

/// The limit is where the promise breaks: kept below it, not kept above, whatever the number of threads.
#[test]
fn a_limit_is_found_and_written() {
    let bench = Bench::new(VARIANTS);
    let ask = |out: &str, threads: &str| {
        bench.ends(
            0,
            &[
                "limit",
                "study.yaml",
                "-q",
                "-o",
                out,
                "-n",
                "40",
                "-t",
                threads,
                "--promise",
                "90 % within 10 working days of day",
                "--variant",
                "today",
                "--variant",
                "second machine",
                "--to",
                "8",
            ],
        )
    };
    let (one, _) = ask("one", "1");
    let (two, _) = ask("two", "2");
    assert_eq!(one, two);
    assert!(one.lines().all(|line| line.chars().count() <= 80), "{one}");
    let told = bench.json("one/limit.json");
    let limits = told["limits"].as_array().unwrap();
    assert_eq!(limits.len(), 2);
    for limit in limits {
        let limit = &limit["limit"];
        let at = limit["at"].as_f64().unwrap();
        let high = limit["high"].as_f64().unwrap();
        // The lower end is told, or how many replications it wants.
        let low = limit["low"].as_f64().unwrap_or(0.0);
        let wanted = limit["wanted"].as_u64().unwrap_or(0);
        assert_eq!(limit["low"].is_null(), wanted > 40, "{limit}");
        assert!(low <= at && at <= high, "{limit}");
        for point in limit["points"].as_array().unwrap() {
            let (x, mean) = (
                point["at"].as_f64().unwrap(),
                point["mean"].as_f64().unwrap(),
            );
            assert!(x > at || mean >= 0.9 || x > low, "{point}");
        }
    }
    // A second machine carries more.
    assert!(
        limits[1]["limit"]["at"].as_f64() > limits[0]["limit"]["at"].as_f64(),
        "{told}"
    );
    for (arguments, word) in [
        (["--promise", "soon", "--class", "rush"], "95 % on time"),
        (["--promise", "95 % on time", "--class", "rash"], "rush"),
        (
            [
                "--promise",
                "95 % on time",
                "--by",
                "orders.web shoop.per_week",
            ],
            "web shop",
        ),
    ] {
        let mut all = vec!["limit", "study.yaml", "-q", "-n", "4", "--no-files"];
        all.extend(arguments);
        let (_, err) = bench.ends(2, &all);
        assert!(err.contains(word), "{err}");
    }
}

/// A sweep goes on from where its folder stands, and comes out as if it had been run in one go.
#[test]
fn a_sweep_goes_on_and_comes_out_the_same() {
    let bench = Bench::new(VARIANTS);
    let ask = |out: &str, demands: &str| {
        let set = format!("demand={demands}");
        bench.ends(
            0,
            &[
                "sweep",
                "study.yaml",
                "-o",
                out,
                "-n",
                "4",
                "--set",
                &set,
                "--set",
                "stations.pouching.machines.pouch_machine.count=1,2",
            ],
        )
    };
    let (_, err) = ask("step", "1,1.1");
    assert!(err.contains("0 of 4 points were there"), "{err}");
    let (step, err) = ask("step", "1..1.2 step 0.1");
    assert!(err.contains("4 of 6 points were there"), "{err}");
    let (whole, _) = ask("whole", "1..1.2 step 0.1");
    assert!(
        step.lines().all(|line| line.chars().count() <= 80),
        "{step}"
    );
    assert_eq!(step, whole);
    for file in ["sweep.json", "sweep.csv", "report.html", "charts/sweep.svg"] {
        let read = |folder: &str| fs::read(bench.path(folder).join(file)).unwrap();
        assert!(read("step") == read("whole"), "{file}");
    }
    // Fewer replications than bad stretches may ask for: each point adds some, and says how many it has.
    bench.ends(
        0,
        &[
            "sweep",
            "study.yaml",
            "-o",
            "more",
            "--at-most",
            "9",
            "--set",
            "demand=1",
        ],
    );
    let told: serde_json::Value =
        serde_json::from_slice(&fs::read(bench.path("more/sweep.json")).unwrap()).unwrap();
    assert_eq!(told["points"][0]["replications"], 9);
    let page = fs::read_to_string(bench.path("more/report.md")).unwrap();
    assert!(page.contains("9 replications at every point"), "{page}");
    // Another seed is another sweep: nothing is reused, and the folder is in the way.
    let other = [
        "sweep",
        "study.yaml",
        "-o",
        "step",
        "-n",
        "4",
        "-s",
        "7",
        "--set",
        "demand=1,1.1",
    ];
    bench.ends(5, &other);
    let (_, err) = bench.ends(
        2,
        &[
            "sweep",
            "study.yaml",
            "--no-files",
            "--set",
            "products.nuts_13.width=1 mm",
        ],
    );
    assert!(err.contains("nuts_130"), "{err}");
}

/// A machine that is added without a price is not judged, a variant with other orders is named, and what is not told
/// about money stands in every output.
#[test]
fn what_a_comparison_leaves_out_or_mixes_in_is_said_everywhere() {
    let bench = Bench::new(
        "variants:
  second machine: { change: { stations.pouching.machines.second: { like: pouch_machine } } }
  priced machine:
    change:
      stations.pouching.machines.priced: { like: pouch_machine }
      money.machines.priced: { capital: 200000, life: 10 years }
  more orders: { change: { demand: x 1.05 } }
",
    );
    let cell = fs::read_to_string(bench.path("cell.yaml")).unwrap();
    let money = "\nmoney:\n  rate: 8 %\n  margin: { rush: 200 /1000, standard: 180 /1000 }\n";
    fs::write(bench.path("cell.yaml"), cell + money).unwrap();
    let (out, _) = bench.ends(0, &["compare", "study.yaml", "-q", "-o", "out"]);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    let read = |file: &str| fs::read_to_string(bench.path("out").join(file)).unwrap();
    for text in [
        flat.as_str(),
        &read("report.md"),
        &read("report.html"),
        &read("compare.json"),
    ] {
        let text = text.replace('\\', "").replace("<wbr>", "");
        assert!(
            text.contains("Not told, and so not in the money of this comparison"),
            "{text}"
        );
        assert!(
            text.contains("second machine has second, which today has not"),
            "{text}"
        );
        assert!(
            text.contains("more orders meets other orders than today"),
            "{text}"
        );
        assert!(!text.contains("priced machine has priced"), "{text}");
    }
    let report = bench.json("out/compare.json");
    for case in report["cases"].as_array().unwrap() {
        let call = &case["worth"]["call"];
        if case["variant"] == "second machine" {
            assert_eq!(call, "not judged, no price told for what it adds");
        } else if case["variant"] == "priced machine" {
            assert_ne!(call, "not judged, no price told for what it adds");
        }
    }
    // What a variant is worth stands in the table for other programs, too.
    let table = read("compare.csv");
    assert!(table.contains("worth/net_present_value"), "{table}");
    let wide = table.lines().next().unwrap().split(',').count();
    assert!(
        table.lines().all(|line| line.split(',').count() >= wide),
        "{table}"
    );
}

fn owner() -> pouchcast::scenario::Study {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/beds/owner.yaml");
    let none = &mut |_: &str| Err(std::io::Error::other("none"));
    pouchcast::scenario::read_study("owner.yaml", &fs::read(path).unwrap(), none).unwrap()
}

/// Place of a demand case.
fn case_of(study: &pouchcast::scenario::Study, demand: f64) -> usize {
    study.demands.iter().position(|&d| d == demand).unwrap()
}

/// The owner's pouch machine by hand, common planning arithmetic:
///
/// * quick orders: 61 a week; lognormal with median 940 and sigma 0.85 between 250 and 10,000 has mean 1388.7
///   (closed form of the truncated lognormal, by pocket calculator); regular ones: 38 a week, mean 1541.6;
/// * cycles for N good pouches: N x 1.02 overs / 0.975 good share + 12 m of start waste / pitch;
/// * 80 cycles a minute for stand-up pouches with a zipper (dwell 0.3 to 0.4 s and index allow 92 or more),
///   pitch 130 mm, for 6 % and 26 % of the orders 160 mm; 140 a minute, what the packers can take, for the
///   6 % of flat pouches with pitch 100 mm;
/// * at least 6.5 min of changeover a job: (4 + 4 x 6 + 11) / 6.
///
/// 61 x (6.5 + 18.8) = 1544 min and 38 x (6.5 + 20.7) = 1034 min a week: 2579 of 5 x 16 x 60 = 4800 open
/// minutes, 53.7 %. Bounds are rounded up to whole metres at every step, hence half a per cent of slack.
#[test]
fn the_owners_capacity_by_hand() {
    let study = owner();
    let load = |demand: f64| {
        let case = case_of(&study, demand);
        let model = pouchcast::model::compile(study.variants[0].plants[case].clone());
        pouchcast::summary::station_bounds(&model)[2]
    };
    let bound = load(1.0);
    assert_eq!(bound.open_min_per_week, 4800.0);
    assert!(
        (bound.work_min_per_week / 2578.6 - 1.0).abs() < 0.005,
        "{bound:?}"
    );
    // The demand cases multiply it.
    assert!((load(1.3).work_min_per_week / bound.work_min_per_week - 1.3).abs() < 1e-9);
    // A second machine has twice the open time, a night shift half as much again; quicker changeovers save
    // at least a quarter of 99 x 6.5 min.
    let of = |name: &str| {
        let variant = study.variants.iter().find(|v| v.name == name).unwrap();
        pouchcast::summary::station_bounds(&pouchcast::model::compile(
            variant.plants[case_of(&study, 1.0)].clone(),
        ))[2]
    };
    assert_eq!(of("second pouch machine").open_min_per_week, 9600.0);
    assert_eq!(of("night shift").open_min_per_week, 7200.0);
    let saved = bound.work_min_per_week - of("quicker changeovers").work_min_per_week;
    assert!((saved - 0.25 * 99.0 * 6.5).abs() < 0.5, "{saved}");
}

/// A stream is a stream whichever others there are: where the first two of three are taken out, what is left brings its
/// own products, and as many of them. Orders of `a`, `b` and `c` come from a stream each; without the first two only `c`
/// is left, as often as before to the last order.
#[test]
fn a_variant_can_take_out_streams() {
    let bench = Bench::new("");
    let stream = |name: &str| {
        format!("{{ name: from {name}, per_week: 40, products: {{ {name}: 100 % }} }}")
    };
    fs::write(
        bench.path("streams.yaml"),
        format!(
            "format: 2\nname: streams\nrun: {{ warm_up: 0 min, measure: 4 wk, run_out: 1 wk, replications: 4 }}\n\
             products: {{ a: {{}}, b: {{}}, c: {{}} }}\n\
             stations: {{ bench: {{ work: bench, time: 5 min, machines: {{ m: {{}} }} }} }}\n\
             orders: [{}, {}, {}]\n\
             variants:\n  last: {{ change: {{ orders: [{}] }} }}\n",
            stream("a"),
            stream("b"),
            stream("c"),
            stream("c"),
        ),
    )
    .unwrap();
    bench.ends(0, &["compare", "streams.yaml", "-q", "--no-files"]);
    let orders = |folder: &str, variant: &[&str]| {
        bench.ends(
            0,
            &[&["run", "streams.yaml", "-q", "-o", folder], variant].concat(),
        );
        let told = bench.json(&format!("{folder}/summary.json"));
        ["a", "c"].map(|p| told["figures"][format!("orders/product:{p}").as_str()]["mean"].clone())
    };
    let (today, last) = (orders("today", &[]), orders("last", &["--variant", "last"]));
    assert!(today[0].as_f64() > Some(30.0) && today[1].as_f64() > Some(30.0));
    assert_eq!((&last[0], &last[1]), (&Value::from(0.0), &today[1]));
}
