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

/// An order of two lots of 3 min, a changeover of 2 min. Shared out: 5 min. A second machine only where the run of the
/// whole order, 6 min, is at least four times its changeover, 8 min: one machine makes both, 2 + 3 + 3 min.
#[test]
fn a_sku_is_split_from_a_length_of_run_on() {
    let times = "time: 1 min, per: pouch, lot: 3 pouches";
    let machines = "m: { count: 2, changeover: { job: 2 min } }";
    let book = rows(&[("x", "rush", "a", 6, 0)]);
    assert_eq!(
        run(&bench(times, "split_from: 4,", machines), &book).done(),
        [8.0]
    );
    assert_eq!(
        run(&bench(times, "split_from: 3,", machines), &book).done(),
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

/// Rework of nothing is no rework; that a tenth of it gives Jackson's network is among the checks of
/// `pouchcast::verify`, as are the line with a floor limit and the machines that share a fitter.
#[test]
fn rework_of_nothing_is_no_rework() {
    let off = "format: 2\nname: rework\nrun: { seed: 20, warm_up: 100 min, measure: 1000 min, run_out: 500 min }\nproducts: { piece: {} }\nstations:\n\
         \x20 s1: { work: bench, time: \"exponential, mean 1.2 min\", machines: { a: { count: 2 } } }\n\
         \x20 s2: { work: bench, time: \"exponential, mean 0.6 min\", rework: 0 %, rework_to: s1, machines: { b: {} } }\n\
         orders: [{ name: all, every: \"exponential, mean 1 min\", products: { piece: 100 % } }]\n";
    same(off, "", ("rework: 0 %, rework_to: s1, ", ""));
}
