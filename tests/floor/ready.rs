//! What is laid ready, what is locked, what dries, and webs that run slower or lighter. Worked by hand beside each test.

use pouchcast::record::State;

use super::{ONE, Seen, bench, cell, rows, run, with};

/// F25. A changeover of 20 min, a run of 10. x is changed over 0-20 and runs 20-30; nobody could lay it ready. y is there
/// from minute 5: all 10 min of that run, so 10 of its 20 are gone: 30-40, run to 50. z comes at minute 48, 2 min before that
/// run is over: 18 min, 50-68, run to 78. With runs of 30 min: x 0-20-50, y at most the 15 that can be prepared,
/// 50-55-85; z 85-90-120. With 12 min locked: y and z 12 min.
#[test]
fn what_is_laid_ready_shortens_the_changeover() {
    let cell = |run_min: u32, locked: u32| {
        let m = format!(
            "m: {{ changeover: {{ job: 20 min, locked: {locked} min, prepare: 15 min }} }}"
        );
        bench(&format!("time: {run_min} min"), "", &m)
    };
    let three = [
        ("x", "rush", "a", 1, 0),
        ("y", "rush", "b", 1, 5),
        ("z", "rush", "c", 1, 48),
    ];
    let book = rows(&three);
    assert_eq!(run(&cell(10, 4), &book).done(), [30.0, 50.0, 78.0]);
    assert_eq!(run(&cell(30, 4), &book).done(), [50.0, 85.0, 120.0]);
    assert_eq!(run(&cell(30, 12), &book).done(), [50.0, 92.0, 134.0]);
}

/// F25. A bench that is open in the first 40 minutes of each day: x runs 20-30; y is there from minute 25, so 5 min of its
/// changeover are gone: 30-45, of which 10 before the bench closes. z comes when it is closed, no minute of a run
/// beside it: all 20 min.
#[test]
fn nobody_lays_ready_behind_a_closed_door() {
    let m = "m: { changeover: { job: 20 min, locked: 4 min, prepare: 15 min }, calendar: early }";
    let text = bench("time: 10 min", "", m).replace("00:00-00:05", "00:00-00:40");
    let three = [
        ("x", "rush", "a", 1, 0),
        ("y", "rush", "b", 1, 25),
        ("z", "rush", "c", 1, 50),
    ];
    // y: 5 min of changeover on the second day, then 10; z joined before y ran on the second day: its run of 10 min.
    let day = 24.0 * 60.0;
    assert_eq!(
        run(&text, &rows(&three)).done(),
        [30.0, day + 15.0, day + 35.0]
    );
}

/// F25. What is changed takes at least what is locked, also from a table and where chance draws less; what takes no
/// time takes none.
#[test]
fn no_changeover_is_shorter_than_what_is_locked() {
    let done = |changeover: &str| {
        let m = format!("m: {{ changeover: {{ {changeover} }} }}");
        let book = rows(&[("x", "rush", "a", 1, 0), ("y", "rush", "b", 1, 0)]);
        run(&bench("time: 10 min", "", &m), &book).done()
    };
    assert_eq!(done("job: 3 min, locked: 7 min"), [17.0, 34.0]);
    assert_eq!(
        done("job: \"uniform, from 1 min, to 5 min\", locked: 7 min"),
        [17.0, 34.0]
    );
    let table = "table: [{ from: a, to: a, time: 0 min }, { from: any, to: any, time: 2 min }], locked: 7 min";
    assert_eq!(done(table), [10.0, 27.0]);
    assert_eq!(done("job: 0 min, locked: 7 min"), [10.0, 20.0]);
}

/// F26. Print dries 5 h: the roll goes to the laminator at minute 300. With a press in the cell it is 5 h after that. Its hold is a hold: 5 h of the order's time are cure and cooling more than without.
#[test]
fn print_dries_before_it_is_laminated() {
    use pouchcast::record::Spent;
    let dries = ("adhesive: glue }", "adhesive: glue, dry: 5 h }");
    let held = |seen: &Seen| seen.trace.orders[0].split[3 + Spent::Cure as usize];
    let seen = run(&with(&[dries]), ONE);
    assert_eq!(seen.taken("lam"), [300.0]);
    let plain = run(&cell(), ONE);
    assert_eq!(plain.taken("lam"), [0.0]);
    assert_eq!(held(&seen) - held(&plain), 5 * 60 * super::MIN);
    let press = "press: { work: press, machines: { press: { speed: 10 m/min, ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, changeover: { job: 0 min, film: 0 min, width: 0 min } } } }\n  lam: { work";
    let text = with(&[dries, ("lam: { work", press)]);
    let seen = run(&text, ONE);
    let (left, taken) = (seen.left("press")[0], seen.taken("lam")[0]);
    assert!((taken - left - 300.0).abs() < 1e-6, "{left} {taken}");
}

/// 2,000 pouches on two lanes are 100 m of web: 10 min at 10 m/min, 20 at half the speed; of two kinds the slower counts. At the pouch machine 2,000 cycles at 100 a minute, 20 min; at 80 %, 25.
#[test]
fn kinds_of_web_run_slower() {
    let minutes = |pairs: &[(&str, &str)], machine: &str| {
        let seen = run(&with(pairs), ONE);
        let runs = seen.states(machine, State::Running);
        runs.iter().map(|run| run.1 - run.0).sum::<f64>()
    };
    let kinds = ("adhesive: glue }", "adhesive: glue, kinds: [soft, thick] }");
    let lam = (
        "processes: { solventless: 10 m/min },",
        "processes: { solventless: 10 m/min }, speed_for: { soft: 80 %, thick: 50 % },",
    );
    let slit = (
        "{ speed: 10 m/min,",
        "{ speed: 10 m/min, speed_for: { thick: 50 % },",
    );
    let pouch = (
        "{ speeds: { three_side: 100 /min },",
        "{ speeds: { three_side: 100 /min }, speed_for: { soft: 80 % },",
    );
    let close = |a: f64, b: f64| assert!((a - b).abs() < 0.01, "{a} {b}");
    close(minutes(&[], "lam"), 10.0);
    close(minutes(&[kinds, lam], "lam"), 20.0);
    close(minutes(&[kinds, slit], "slit"), 20.0);
    close(minutes(&[], "pouch"), 20.0);
    close(minutes(&[kinds, pouch], "pouch"), 25.0);
    // Jaws closed for 0.4 s, 0.2 s more with the zipper, 0.15 s of index: 60 / 0.75 = 80 cycles.
    let dwell = (
        "{ speeds: { three_side: 100 /min },",
        "{ speeds: { three_side: 100 /min }, dwell: { 100 um: 0.4 s }, zipper_dwell: 0.2 s, index: 0.15 s, index_per_mm: 0 s,",
    );
    close(minutes(&[dwell], "pouch"), 25.0);
}

/// 2,000 pouches on two lanes are 100 m of web. 0.64 m of 100 g/m2 are 64 g a metre: a lift of 4 kg takes 62.5 m, so two
/// rolls. A lane of 300 mm is 30 g a metre: 1.6 kg are 53 m, so the slitter makes two sets of two reels, and the pouch
/// machine of one lane changes three times.
#[test]
fn rolls_and_reels_are_no_heavier_than_the_lift_takes() {
    let rolls = with(&[("processes: { solv", "lift: 4 kg, processes: { solv")]);
    assert_eq!(run(&rolls, ONE).taken("lam").len(), 2);
    let stops = |text: &str| {
        let text = text.replacen("roll_change: 0 min", "roll_change: 5 min", 1);
        run(&text, ONE).states("pouch", State::PlannedStop).len()
    };
    assert_eq!(stops(&cell()), 1);
    let plain = cell();
    let reels = plain.replacen("{ speed: 10 m/min,", "{ speed: 10 m/min, lift: 1.6 kg,", 1);
    assert_eq!(stops(&reels), 3);
    let pouch = plain.replacen(
        "web_speed: 60 m/min,",
        "web_speed: 60 m/min, lift: 1.6 kg,",
        1,
    );
    assert_eq!(stops(&pouch), 3);
    // pi (200^2 - 92^2) / (4 x 0.1) mm is 247.7 m: one set. 120 mm across: 46.6 m, three sets of 33.3 m.
    let unwind = |mm: u32| {
        let key = format!("web_speed: 60 m/min, unwind_max: {mm} mm,");
        stops(&plain.replacen("web_speed: 60 m/min,", &key, 1))
    };
    assert_eq!((unwind(200), unwind(120)), (1, 5));
}

/// Another zipper is threaded in 10 min, another bottom needs other seal bars, 15 min; the same again neither. The
/// machine is undressed for x: both.
#[test]
fn zippers_and_bottoms_of_another_kind_are_changed() {
    let product = "p: { format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }";
    let of = |name: &str, zipper: &str, bottom: &str| {
        product.replace("p: {", &format!("{name}: {{")).replace(
            "zipper: true",
            &format!("zipper: {zipper}, bottom: {bottom}"),
        )
    };
    let products = [
        of("p", "press", "round"),
        of("q", "slider", "round"),
        of("r", "slider", "square"),
        of("s", "slider", "square"),
    ];
    let text = with(&[
        (product, &products.join("\n  ")),
        (
            "zipper: 0 min, format: 0 min }",
            "zipper: 10 min, seal_bars: 15 min, format: 0 min, rest_share: 100 % }",
        ),
    ]);
    let book = "order,product,quantity,release\na,p,2000,2027-01-04\nb,q,2000,2027-01-05\nc,r,2000,2027-01-06\nd,s,2000,2027-01-07\n";
    let seen = run(&text, book);
    let setups = seen.states("pouch", State::Changeover);
    let setups: Vec<f64> = setups.iter().map(|setup| setup.1 - setup.0).collect();
    assert_eq!(setups, [25.0, 10.0, 15.0]);
}

/// Micro-stops every 5 running minutes lose 1 m each: in 20 min of run 3 (the fourth would fall on the end), 30 pouches of
/// 100 mm.
#[test]
fn micro_stops_lose_web() {
    let stops = |waste: &str| {
        let key =
            format!("micro_stops: {{ every: 5 min, lasting: 1 min{waste} }}, web_speed: 60 m/min,");
        run(&with(&[("web_speed: 60 m/min,", &key)]), ONE)
    };
    let good = |seen: Seen| seen.trace.orders[0].good.unwrap();
    assert_eq!(good(stops("")) - good(stops(", waste: 1 m")), 30);
}

/// Orders of two SKUs out of many products; with `one_product` both are of one, and ganged each order is one web.
#[test]
fn artworks_of_an_order_are_of_one_product() {
    let stream = |keys: &str| {
        let text = bench("time: 1 min", "", "m: {}").replace(
            "book: book.csv",
            &format!("orders: [{{ name: s, per_week: 200, skus: 2, products: {{ a: 40 %, b: 40 %, c: 20 % }}, quantity: 10{keys} }}]"),
        );
        let seen = run(&text, "");
        let taken = seen.taken("m").len();
        (taken, seen.trace.orders.len())
    };
    let (mixed, orders) = stream(", gang: true");
    assert!(mixed > orders + orders / 3, "{mixed} of {orders}");
    let (one, orders) = stream(", gang: true, one_product: true");
    assert!(one.abs_diff(orders) < 5, "{one} of {orders}");
}

/// F27. The press opens on Tuesdays: what came in on Monday, every 8 h from minute 480, is there at minute 1440 and not
/// before; what comes in on Tuesday at once. With 5 h to dry the first is laminated at 1740. Their time counts from when they
/// came in: 16 h of the first are its release.
#[test]
fn orders_are_printed_in_groups() {
    use pouchcast::record::Spent;
    let stream =
        "orders: [{ name: s, every: 8 h, products: { p: 100 % }, quantity: 2000, press: tuesday }]";
    let text = with(&[("book: book.csv", stream)]);
    let seen = run(&text, "");
    let taken = seen.taken("lam");
    assert_eq!(taken[0], 1440.0);
    // Three of Monday, one after the other; then 08:00 on Tuesday.
    assert!(taken[3] >= 1440.0 + 480.0, "{taken:?}");
    let waited = seen.trace.orders[0].split[3 + Spent::Release as usize] / super::MIN;
    assert_eq!(waited, 16 * 60);
    let dries = text.replacen("adhesive: glue }", "adhesive: glue, dry: 5 h }", 1);
    assert_eq!(run(&dries, "").taken("lam")[0], 1740.0);
}
