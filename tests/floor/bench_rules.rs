//! Rules of the floor on benches: rush, kept machines, freezing, splitting, limits, rework, fitters.

use super::*;

/// Preemptive resume: low work of 10 from 0, high ones at 3 (2 long) and 7 (1.5 long). The low one works
/// 0-3, 5-7 and 8.5-13.5.
#[test]
fn a_better_rank_interrupts_at_once() {
    let times = "times: { a: 10 min, b: 2 min, c: 1.5 min }";
    let book = rows(&[
        ("l", "standard", "a", 1, 0),
        ("h", "rush", "b", 1, 3),
        ("i", "rush", "c", 1, 7),
    ]);
    let text = bench(times, "interrupt: at_once,", "m: {}");
    let seen = run(&text, &book);
    assert_eq!(seen.done(), [13.5, 5.0, 8.5]);
    assert_eq!(seen.counts.interruptions, 2);
    let never = bench(times, "interrupt: never,", "m: {}");
    assert_eq!(run(&never, &book).done(), [10.0, 12.0, 13.5]);
    same(&never, &book, ("interrupt: never,", ""));
}

/// Three lots of 3 min; a rush order of 2 min comes at 1. Between two lots it goes 3-5, the rest ends at 11.
#[test]
fn a_better_rank_waits_for_the_end_of_the_roll() {
    let times = "time: 1 min, per: pouch, lot: 3 pouches";
    let book = rows(&[("l", "standard", "a", 9, 0), ("h", "rush", "b", 2, 1)]);
    assert_eq!(
        run(&bench(times, "interrupt: roll_end,", "m: {}"), &book).done(),
        [11.0, 5.0]
    );
    assert_eq!(run(&bench(times, "", "m: {}"), &book).done(), [9.0, 11.0]);
}

/// Two orders of 10 min at 0 on two machines, one of them kept for rush: 10 and 20. Kept only in the first
/// 5 min of the day: the second begins at 5.
#[test]
fn a_machine_is_kept_for_a_class() {
    let times = "time: 10 min";
    let book = rows(&[
        ("x", "standard", "a", 1, 0),
        ("y", "standard", "a", 1, 0),
        ("z", "rush", "a", 1, 30),
    ]);
    let kept = |keys: &str| {
        bench(
            times,
            "",
            &format!("m: {{ kept_for: {{ classes: [rush]{keys} }} }}, n: {{}}"),
        )
    };
    assert_eq!(run(&kept(""), &book).done(), [10.0, 20.0, 40.0]);
    assert_eq!(
        run(&kept(", hours: early"), &book).done(),
        [10.0, 15.0, 40.0]
    );
    let all = bench(
        times,
        "",
        "m: { kept_for: { classes: [rush, standard] } }, n: {}",
    );
    assert_eq!(run(&all, &book).done(), [10.0, 10.0, 40.0]);
    // One event more or less rings the bell; what happens is the same.
    let plain = bench(times, "", "m: {}, n: {}");
    assert_eq!(run(&all, &book).trace, run(&plain, &book).trace);
}

/// Shortest work first: 10 min from 0, 5 min at 1, 3 min at 2. Frozen for 4 min, the one of 5 keeps its turn.
#[test]
fn what_is_frozen_keeps_its_turn() {
    let times = "times: { a: 10 min, b: 5 min, c: 3 min }, next: [shortest_work]";
    let book = rows(&[
        ("a", "rush", "a", 1, 0),
        ("b", "rush", "b", 1, 1),
        ("c", "rush", "c", 1, 2),
    ]);
    assert_eq!(
        run(&bench(times, "freeze: 4 min,", "m: {}"), &book).done(),
        [10.0, 15.0, 18.0]
    );
    assert_eq!(
        run(&bench(times, "", "m: {}"), &book).done(),
        [10.0, 18.0, 13.0]
    );
    same(
        &bench(times, "freeze: 0 min,", "m: {}"),
        &book,
        ("freeze: 0 min,", ""),
    );
}

/// Two lots of 3 min, a changeover of 2 min. Shared out: 5 min. A second machine only from a run of twice
/// its changeover, 4 min: one machine makes both, 2 + 3 + 3 min.
#[test]
fn a_sku_is_split_from_a_length_of_run_on() {
    let times = "time: 1 min, per: pouch, lot: 3 pouches";
    let machines = "m: { count: 2, changeover: { job: 2 min } }";
    let book = rows(&[("x", "rush", "a", 6, 0)]);
    assert_eq!(
        run(&bench(times, "split_from: 2,", machines), &book).done(),
        [8.0]
    );
    assert_eq!(
        run(&bench(times, "split_from: 1.5,", machines), &book).done(),
        [5.0]
    );
    same(
        &bench(times, "split_from: 0,", machines),
        &book,
        ("split_from: 0,", ""),
    );
}

/// Orders of 10 min at 0, at most one on the floor, the rush one let in first: 0-10, 10-20, 20-30; lead times
/// count from the day they come. By class: standard ones wait for each other, the rush one does not.
#[test]
fn the_floor_has_a_limit() {
    let times = "time: 10 min";
    let book = rows(&[
        ("x", "standard", "a", 1, 0),
        ("y", "standard", "a", 1, 0),
        ("z", "rush", "a", 1, 1),
    ]);
    let text = bench(times, "", "m: { count: 3 }");
    let limited = text.replace("run: { ", "run: { floor_limit: 1, ");
    assert_eq!(run(&limited, &book).done(), [10.0, 30.0, 20.0]);
    let by_class = text.replace("standard: { ", "standard: { limit: 1, ");
    assert_eq!(run(&by_class, &book).done(), [10.0, 20.0, 11.0]);
    assert_eq!(run(&text, &book).done(), [10.0, 10.0, 11.0]);
    same(
        &text.replace("run: { ", "run: { floor_limit: 1000, "),
        &book,
        ("floor_limit: 1000, ", ""),
    );
    same(
        &text.replace("standard: { ", "standard: { limit: 1000, "),
        &book,
        ("limit: 1000, ", ""),
    );
}

/// One an hour to two machines of 1.2 h, then one of 0.6 h, a tenth of whose work goes back: loads 1.1111 each,
/// L = 2.4 and 2, W = 4.4 (Jackson 1957). Hours written as minutes.
#[test]
fn rework_is_a_network_of_queues() {
    let benches = [
        "time: \"exponential, mean 1.2 min\", machines: { a: { count: 2 } }",
        "time: \"exponential, mean 0.6 min\", rework: 10 %, rework_to: s1, machines: { b: {} }",
    ];
    harness::Check {
        name: "a tenth goes back",
        source: "Jackson 1957",
        scenario: harness::line("exponential, mean 1 min", &benches, 100_000.0, 500.0),
        replications: 30,
        twin: ("mean 1.2 min", "mean 1.26 min"),
        expect: vec![
            harness::is("lead_done/all/mean", 4.4),
            harness::is("cell/wip", 4.4),
        ],
    }
    .run();
    let off = harness::line("exponential, mean 1 min", &benches, 1_000.0, 500.0)
        .replace("rework: 10 %", "rework: 0 %");
    same(&off, "", ("rework: 0 %, rework_to: s1, ", ""));
}

/// Four stations in a row of exponential 2 h, four orders among them at all times: throughput w / (W0 + w - 1) of
/// the bottleneck rate with W0 = 4, so 4/7 (practical worst case; Hopp and Spearman, Factory Physics, from memory).
/// Hours written as minutes.
#[test]
fn a_floor_limit_makes_a_constant_wip_line() {
    let benches: Vec<String> = (1..=4)
        .map(|n| format!("time: \"exponential, mean 2 min\", machines: {{ m{n}: {{}} }}"))
        .collect();
    let benches: Vec<&str> = benches.iter().map(String::as_str).collect();
    harness::Check {
        name: "constant WIP of four",
        source: "Hopp and Spearman, practical worst case",
        scenario: harness::line("3 min", &benches, 20_000.0, 100.0)
            .replace("run: { ", "run: { floor_limit: 4, "),
        replications: 20,
        twin: ("floor_limit: 4", "floor_limit: 5"),
        expect: vec![
            harness::is("machine/m1/running", 4.0 / 7.0),
            harness::is("machine/m4/running", 4.0 / 7.0),
        ],
    }
    .run();
}

/// Two machines that fail round the clock (mean 20) and one fitter for both (mean 5 a repair), Poisson orders at 1.2,
/// service at 1: L = 8.467477 and W = 7.056231 (continuous-time Markov chain solved numerically for this project with
/// 1500 levels). With a fitter for each machine W is 4.401933.
#[test]
fn machines_share_one_fitter() {
    harness::Check {
        name: "two machines, one fitter",
        source: "numerical Markov chain, made for this project",
        scenario: "format: 1\nname: fitter\nrun: { seed: 5, warm_up: 1500 min, measure: 30000 min, run_out: 1000 min }\n\
             people: { fitters: { shifts: { always: 1 } } }\nproducts: { p: {} }\n\
             stations: { s: { work: bench, time: \"exponential, mean 1 min\", machines: { m: { count: 2, breakdowns: [{ every: \"exponential, mean 20 min\", of: calendar, repair: \"exponential, mean 5 min\", crew: { fitters: 1 } }] } } } }\n\
             orders: [{ name: o, every: \"exponential, mean 0.8333333333 min\", products: { p: 100 % } }]\n"
            .to_string(),
        replications: 60,
        twin: ("always: 1", "always: 2"),
        expect: vec![harness::Expect { narrow: 0.02, ..harness::is("lead_done/all/mean", 7.056231) }],
    }
    .run();
}
