//! The mechanisms of the floor one by one: small cells whose figures are worked out by hand.
//!
//! In: scenario texts, with an order book where moments matter. Out: equality with the hand calculation
//! beside each test; and for each mechanism that switching it off gives the same replication as leaving
//! its key out. Hand calculations are made for this project unless a source is named.

use pouchcast::model::{self, Model};
use pouchcast::observe::{Layout, Trace};
use pouchcast::record::{LotEvent, State};
use pouchcast::shop::Counts;
use pouchcast::{replicate, scenario};

const MIN: i64 = 60_000_000;

/// What one replication leaves.
struct Seen {
    model: Model,
    trace: Trace,
    counts: Counts,
    figures: String,
}

/// Runs a scenario with its order book once.
fn run(text: &str, book: &str) -> Seen {
    let mut beside = |_: &str| Ok(book.as_bytes().to_vec());
    let loaded = match scenario::read_with("floor.yaml", text.as_bytes(), &mut beside) {
        Ok(loaded) => loaded,
        Err(report) => panic!("{}\n{text}\n{book}", report.render(false, 100)),
    };
    let model = model::compile(loaded.plant);
    let layout = Layout::new(&model);
    let (outcome, trace, counts) = replicate::traced(&model, &layout, 0);
    // As text: a figure that is not known is equal to itself.
    let figures = format!("{:?} {trace:?} {counts:?}", outcome.figures);
    Seen {
        model,
        trace,
        counts,
        figures,
    }
}

impl Seen {
    /// When each order was done, minutes, in order of coming in.
    fn done(&self) -> Vec<f64> {
        let mut rows: Vec<_> = self
            .trace
            .orders
            .iter()
            .map(|o| (o.order, o.done))
            .collect();
        rows.sort_unstable();
        rows.iter()
            .map(|row| row.1.map_or(f64::NAN, |t| t as f64 / MIN as f64))
            .collect()
    }

    fn machine(&self, name: &str) -> usize {
        let machines = self.model.plant.stations.iter().flat_map(|s| &s.machines);
        machines
            .map(|m| m.name.as_str())
            .position(|n| n == name)
            .unwrap()
    }

    /// When a machine took lots, minutes.
    fn taken(&self, name: &str) -> Vec<f64> {
        let m = self.machine(name);
        let rows = self
            .trace
            .stories
            .iter()
            .filter(|row| row.event == LotEvent::Taken(m));
        rows.map(|row| row.at as f64 / MIN as f64).collect()
    }

    /// When lots left a machine, minutes.
    fn left(&self, name: &str) -> Vec<f64> {
        let m = self.machine(name);
        let rows = self
            .trace
            .stories
            .iter()
            .filter(|row| row.event == LotEvent::Left(m));
        rows.map(|row| row.at as f64 / MIN as f64).collect()
    }

    /// Stretches of a state of a machine: from and to, minutes.
    fn states(&self, name: &str, state: State) -> Vec<(f64, f64)> {
        let m = self.machine(name);
        let rows = self
            .trace
            .states
            .iter()
            .filter(|row| row.machine == m && row.state == state);
        rows.map(|row| (row.from as f64 / MIN as f64, row.to as f64 / MIN as f64))
            .collect()
    }
}

/// Leaving out and switching off are the same replication, to the last bit.
fn same(text: &str, book: &str, with: (&str, &str)) {
    let off = text.replacen(with.0, with.1, 1);
    assert_ne!(off, text, "nothing was switched off");
    assert!(
        run(text, book).figures == run(&off, book).figures,
        "{with:?}"
    );
}

/// A bench called `bench`, its station's keys and machines, classes `rush` and `standard`; orders from the book.
fn bench(times: &str, keys: &str, machines: &str) -> String {
    format!(
        "format: 1\nname: floor\nrun: {{ warm_up: 0 min, measure: 1 wk, run_out: 1 wk }}\n\
         calendars: {{ early: {{ open: [Mon-Sun 00:00-00:05] }} }}\n\
         products: {{ a: {{}}, b: {{}}, c: {{}} }}\n\
         stations: {{ bench: {{ work: bench, {times}, {keys} machines: {{ {machines} }} }} }}\n\
         classes: {{ rush: {{ rank: 0 }}, standard: {{ rank: 1 }} }}\nbook: book.csv\n"
    )
}

/// Rows of a book of bench orders: name, class, product, quantity, minute of release.
fn rows(list: &[(&str, &str, &str, u32, u32)]) -> String {
    let mut text = "order,class,product,quantity,release\n".to_string();
    for (name, class, product, quantity, minute) in list {
        text += &format!("{name},{class},{product},{quantity},2027-01-04 00:{minute:02}\n");
    }
    text
}

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

/// Rework of nothing is no rework; that a tenth of it gives Jackson's network is among the checks of
/// `pouchcast::verify`, as is the line with a floor limit.
#[test]
fn rework_of_nothing_is_no_rework() {
    let off = "format: 1\nname: rework\nrun: { seed: 20, warm_up: 100 min, measure: 1000 min, run_out: 500 min }\nproducts: { piece: {} }\nstations:\n\
         \x20 s1: { work: bench, time: \"exponential, mean 1.2 min\", machines: { a: { count: 2 } } }\n\
         \x20 s2: { work: bench, time: \"exponential, mean 0.6 min\", rework: 0 %, rework_to: s1, machines: { b: {} } }\n\
         orders: [{ name: all, every: \"exponential, mean 1 min\", products: { piece: 100 % } }]\n";
    same(off, "", ("rework: 0 %, rework_to: s1, ", ""));
}

/// A cell of laminator, slitter and pouch machine; orders from the book. No ramps to speak of (100 m/min/s), no
/// changeovers, start wastes or running wastes: 100 pouches of 100 mm on one lane are 10 m of web.
fn cell() -> String {
    "format: 1\nname: floor\nrun: { warm_up: 0 min, measure: 4 wk, run_out: 1 wk }\n\
     calendars: { tuesday: { open: [Tue 00:00-24:00] }, shift: { open: [Mon-Fri 06:00-14:00] } }\n\
     rooms: {}\n\
     adhesives:\n  glue: { process: solventless, slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h, data_sheet: { slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h } }\n\
     laminates: { film: { caliper: 100 um, weight: 100 g/m2, adhesive: glue } }\n\
     products:\n  p: { format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }\n\
     stations:\n\
     \x20 lam: { work: lamination, machines: { lam: { processes: { solventless: 10 m/min }, ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, changeover: { job: 0 min, film: 0 min, finish: 0 min, width: 0 min, adhesive: 0 min, process: 0 min } } } }\n\
     \x20 slit: { work: slitting, machines: { slit: { speed: 10 m/min, ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, doff: 0 min, core_load: 0 min, changeover: { job: 0 min, knives: 0 min, cores: 0 min } } } }\n\
     \x20 pouch: { work: pouching, machines: { pouch: { speeds: { three_side: 100 /min }, web_speed: 60 m/min, zipper: true, roll_change: 0 min, zipper_change: 0 min, start_waste: 0 m, rejects: 0 %, changeover: { job: 0 min, film: 0 min, width: 0 min, height: 0 min, gusset: 0 min, zipper: 0 min, format: 0 min } } } }\n\
     classes: { standard: {} }\nbook: book.csv\n"
        .to_string()
}

fn with(pairs: &[(&str, &str)]) -> String {
    pairs.iter().fold(cell(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    })
}

const ONE: &str = "order,product,quantity\nx,p,2000\n";
const TWO: &str = "order,product,quantity\nx,p,2000\ny,p,2000\n";

/// 2000 pouches of 100 mm on two lanes are 100 m of web, 10 min at 10 m/min.
#[test]
fn the_cell_without_any_mechanism() {
    let seen = run(&cell(), ONE);
    assert_eq!(seen.taken("lam"), [0.0]);
    assert!(
        (seen.left("lam")[0] - 10.0).abs() < 0.05,
        "{:?}",
        seen.left("lam")
    );
    assert_eq!(seen.taken("slit")[0], seen.left("lam")[0] + 1440.0);
}

/// Zipper and dies come 60 h after the release, later than the cure of 48 h.
#[test]
fn pouching_waits_for_the_kit() {
    let text = with(&[("overs: 0 %", "overs: 0 %, kit: 60 h")]);
    assert_eq!(run(&text, ONE).taken("pouch")[0], 3600.0);
    same(
        &with(&[("overs: 0 %", "overs: 0 %, kit: 0 h")]),
        ONE,
        (", kit: 0 h", ""),
    );
}

/// The adhesive is run on Tuesdays only; the clock starts on a Monday.
#[test]
fn an_adhesive_has_its_days() {
    let text = with(&[(
        "process: solventless,",
        "process: solventless, days: tuesday,",
    )]);
    assert_eq!(run(&text, ONE).taken("lam"), [1440.0]);
    same(
        &with(&[(
            "process: solventless,",
            "process: solventless, days: always,",
        )]),
        ONE,
        ("days: always, ", ""),
    );
}

/// One place: the second roll finds none until the first one leaves it, 24 h after its bond, and holds up the laminator.
#[test]
fn full_racks_block_the_laminator() {
    let racks = (
        "process: solventless,",
        "process: solventless, racks: rack,",
    );
    let seen = run(
        &with(&[("rooms: {}", "rooms: { rack: { places: 1 } }"), racks]),
        TWO,
    );
    let left = seen.left("lam");
    assert_eq!(
        seen.states("lam", State::Blocked),
        [(left[1], left[0] + 1440.0)]
    );
    same(
        &with(&[("rooms: {}", "rooms: { rack: {} }"), racks]),
        TWO,
        ("racks: rack, ", ""),
    );
}

/// 12 h in the hot room after the heating lag of its film; the second roll finds no place there and begins on the
/// racks. No mixture of hot and ambient time is credited. The lag is build-up squared over the diffusivity of film (see `trade::roll`).
#[test]
fn a_hot_room_warms_the_roll_first() {
    use pouchcast::trade::roll::{
        CORE_76_OUTSIDE_MM, FILM_DIFFUSIVITY_M2_PER_S, build_up_mm, heating_lag_h,
        outer_diameter_mm,
    };
    let hot = "hot_room: { room: oven, slit_after: 12 h, pouch_after: 24 h, ship_after: 36 h, data_sheet: { slit_after: 12 h, pouch_after: 24 h, ship_after: 36 h } }";
    let text = with(&[
        ("rooms: {}", "rooms: { oven: { heated: true, places: 1 } }"),
        (
            "process: solventless,",
            &format!("process: solventless, {hot},"),
        ),
    ]);
    let seen = run(&text, TWO);
    let (left, slit) = (seen.left("lam"), seen.taken("slit"));
    let outer = outer_diameter_mm(100.0, CORE_76_OUTSIDE_MM, 100.0);
    let lag = 60.0
        * heating_lag_h(
            build_up_mm(outer, CORE_76_OUTSIDE_MM),
            FILM_DIFFUSIVITY_M2_PER_S,
        );
    assert!(lag > 0.1, "{lag}");
    let first = left[0] + lag + 720.0;
    assert!((slit[0] - first).abs() < 1e-3, "{} {first}", slit[0]);
    // The second moves in when the first leaves, if 12 h and the lag from then on are over before its 24 h on
    // the racks are: time on the racks is not credited in the hot room.
    let wanted = f64::min(left[1] + 1440.0, slit[0] + lag + 720.0);
    assert!((slit[1] - wanted).abs() < 1e-3, "{} {wanted}", slit[1]);
}

/// A shift from 6 to 14; 10,000 m are 1000 min: at 13:25 the machine is washed up for 35 min and goes on next day.
#[test]
fn the_shift_ends_with_a_wash_up() {
    let long = "order,product,quantity\nx,p,200000\n";
    let pairs = [
        (
            "process: solventless,",
            "process: solventless, pot_life: 30 min,",
        ),
        (
            "lam: { processes",
            "lam: { calendar: shift, unwind_max: 1500 mm, rewind_max: 1500 mm, wash_up: {}, processes",
        ),
    ];
    let seen = run(&with(&pairs), long);
    assert_eq!(seen.states("lam", State::Changeover)[0], (805.0, 840.0));
    assert_eq!(seen.states("lam", State::Running)[0], (360.0, 805.0));
    let none = "wash_up: { end_of_shift: 0 min, unplanned: 0 min, waste: 0 m }, ";
    let off = with(&[
        pairs[0],
        (
            "lam: { processes",
            &format!(
                "lam: {{ calendar: shift, unwind_max: 1500 mm, rewind_max: 1500 mm, {none}processes"
            ),
        ),
    ]);
    assert_eq!(
        run(&off, long).states("lam", State::Running)[0],
        (360.0, 840.0)
    );
}

/// Repairs of 30 min every 6 running minutes: longer than 60 % of a pot life of 40 min (24 min), so 20 min of washing
/// follow; not longer than 60 % of 50 min (30 min): none.
#[test]
fn a_stop_outlasts_the_pot_life() {
    let at = |life: &str| {
        run(
            &with(&[
                (
                    "process: solventless,",
                    &format!("process: solventless, pot_life: {life},"),
                ),
                (
                    "lam: { processes",
                    "lam: { wash_up: {}, breakdowns: [{ every: 6 min, repair: 30 min }], processes",
                ),
            ]),
            ONE,
        )
    };
    let seen = at("40 min");
    assert_eq!(seen.states("lam", State::Down)[0], (6.0, 36.0));
    assert_eq!(seen.states("lam", State::Changeover)[0], (36.0, 56.0));
    assert!(at("50 min").states("lam", State::Changeover).is_empty());
}

/// 100 m of web: film of 40 m is changed after 40 and 80 m; the 20 m left serve the next job, which stops after
/// 20, 60 and 100 m, the last of them at its very end and so not before the next job.
#[test]
fn film_and_zipper_run_out() {
    let film = run(
        &with(&[("lam: { processes", "lam: { film_reel: 40 m, processes")]),
        TWO,
    );
    let stops = film.states("lam", State::PlannedStop);
    assert!(
        stops
            .iter()
            .all(|(from, to)| (to - from - 5.0).abs() < 1e-6),
        "{stops:?}"
    );
    assert!((4..=5).contains(&stops.len()), "{stops:?}");
    assert!(
        (stops[0].0 - 4.0).abs() < 0.05 && (stops[1].0 - 13.0).abs() < 0.05,
        "{stops:?}"
    );
    // 2000 pouches of 100 mm on one lane are 200 m of zipper: reels of 90 m end after 90 and 180 m.
    let zipper = run(
        &with(&[(
            "zipper_change: 0 min",
            "zipper_reel: 90 m, zipper_change: 6 min",
        )]),
        ONE,
    );
    let stops = zipper.states("pouch", State::PlannedStop);
    assert!(
        stops
            .iter()
            .all(|(from, to)| (to - from - 6.0).abs() < 1e-6),
        "{stops:?}"
    );
    assert_eq!(stops.len(), 2, "{stops:?}");
}

/// An order of several rolls stops the laminator between them, unless it splices at speed.
#[test]
fn a_flying_splice_does_not_stop() {
    let long = "order,product,quantity\nx,p,200000\n";
    let stops = |keys: &str| {
        let text = with(&[(
            "lam: { processes",
            &format!("lam: {{ {keys}rewind_max: 600 mm, processes"),
        )]);
        let seen = run(&text, long);
        assert!(seen.taken("lam").len() > 2);
        (
            seen.taken("lam").len(),
            seen.states("lam", State::PlannedStop).len(),
        )
    };
    let (rolls, with_stops) = stops("");
    assert_eq!(with_stops, rolls - 1);
    assert_eq!(stops("flying_splice: true, ").1, 0);
    let text = with(&[("lam: { processes", "lam: { flying_splice: false, processes")]);
    same(&text, long, ("flying_splice: false, ", ""));
}

/// A laminator that parts both lanes leaves nothing for the slitter; one that parts none does.
#[test]
fn slitting_in_line_skips_the_slitter() {
    let text = with(&[("lam: { processes", "lam: { inline_lanes: 2, processes")]);
    let seen = run(&text, ONE);
    assert!(seen.taken("slit").is_empty());
    assert_eq!(seen.taken("pouch")[0], seen.left("lam")[0] + 2880.0);
    same(
        &with(&[("lam: { processes", "lam: { inline_lanes: 1, processes")]),
        ONE,
        ("inline_lanes: 1, ", ""),
    );
}

/// A body and two further webs, all laminated here, one after the other; pouching starts 48 h after the last bond.
#[test]
fn three_webs_meet() {
    let webs = "overs: 0 %, more_webs: [{ laminate: film, width: 80 mm, web: 300 mm }, { laminate: film, width: 80 mm, web: 300 mm, per_pouch: 200 mm }]";
    let seen = run(
        &with(&[
            ("overs: 0 %", webs),
            ("web_speed: 60 m/min", "web_speed: 60 m/min, webs: 3"),
        ]),
        ONE,
    );
    let left = seen.left("lam");
    assert_eq!(left.len(), 3);
    assert_eq!(seen.taken("pouch")[0], left[2] + 2880.0);
    // Three lanes of 80 mm fit 300 mm less two trims of 10 mm: 2000 pouches are 66.7 m, and 133.4 m where two
    // pitches go into a pouch; up to whole metres at each of two steps.
    assert!(
        (left[1] - left[0] - 6.7).abs() < 0.25 && (left[2] - left[1] - 13.4).abs() < 0.25,
        "{left:?}"
    );
}

/// A roll bonded on Sunday at noon may be slit on Monday at noon; one without a hold at once. Due dates are those
/// of the book: the end of a day, or the time of day.
#[test]
fn the_book_tells_the_start_and_the_due_dates() {
    let book = "order;product;quantity;at;bonded;due\n\
                cold;p;2000;slit;2027-01-03 12:00;2027-01-05\n\
                late;p;2000;pouch;2026-12-20;2027-01-04 14:00\n\
                new;p;2000;;;\n";
    let seen = run(&cell(), book);
    assert_eq!(seen.taken("slit")[0], 720.0);
    assert_eq!(seen.taken("pouch")[0], 0.0);
    assert_eq!(seen.taken("lam"), [0.0]);
    let mut due: Vec<_> = seen
        .trace
        .orders
        .iter()
        .map(|o| (o.order, o.due.map(|t| t / MIN)))
        .collect();
    due.sort_unstable();
    assert_eq!(due, [(0, Some(2880)), (1, Some(840)), (2, None)]);
    assert!(seen.trace.orders.iter().all(|o| o.good == Some(2000)));
}

/// Rejects that vary leave some orders short of what was planned for the mean; remade ones are not, and cost another
/// cure. Rejects that do not vary are planned for: nothing to make again.
#[test]
fn what_is_missing_is_made_again() {
    let book: String = "order,product,quantity\n".to_string()
        + &(0..20)
            .map(|n| format!("o{n},p,2000\n"))
            .collect::<String>();
    let text = |shortage: &str, rejects: &str| {
        with(&[
            ("standard: {}", &format!("standard: {{ {shortage} }}")),
            ("rejects: 0 %", &format!("rejects: \"{rejects}\"")),
        ])
    };
    let varies = "low 0 %, typical 10 %, high 20 %";
    let short = run(&text("shortage: ship_short", varies), &book);
    let remade = run(&text("shortage: remake", varies), &book);
    assert!(short.trace.orders.iter().any(|o| o.good < Some(2000)));
    assert!(remade.trace.orders.iter().all(|o| o.good >= Some(2000)));
    assert!(remade.counts.remakes > 0 && short.counts.remakes == 0);
    // What may be missing is more than ever is: nothing is made again.
    assert_eq!(
        run(&text("shortage: remake, tolerance: 30 %", varies), &book)
            .counts
            .remakes,
        0
    );
    same(
        &text("shortage: ship_short", varies),
        &book,
        ("shortage: ship_short", ""),
    );
    same(
        &text("shortage: remake", "5 %"),
        &book,
        ("shortage: remake", ""),
    );
}

/// An order of three SKUs of one product: one roll through the laminator instead of three, three jobs at the pouch
/// machine either way.
#[test]
fn ganged_skus_share_a_roll() {
    let stream = |gang: &str| {
        with(&[(
            "book: book.csv",
            &format!(
                "orders: [{{ name: all, every: 3 wk, products: {{ p: 100 % }}, skus: 3, quantity: 2000{gang} }}]"
            ),
        )])
    };
    let (ganged, single) = (run(&stream(", gang: true"), ""), run(&stream(""), ""));
    assert_eq!(
        (ganged.taken("lam").len(), ganged.taken("pouch").len()),
        (1, 3)
    );
    assert_eq!(
        (single.taken("lam").len(), single.taken("pouch").len()),
        (3, 3)
    );
    assert_eq!(ganged.trace.orders[0].good, Some(6000));
    same(&stream(", gang: false"), "", (", gang: false", ""));
}

/// A lot on the pouch machine at the start with 30 min of its run to go leaves at 30, with no changeover before;
/// the next one, 2000 pouches at 100 a minute on one lane, follows after its 15 min changeover: 30 + 15 + 20.
/// On a machine that opens at 6:00 the same happens from then on.
#[test]
fn work_may_be_on_a_machine_at_the_start() {
    let book = "order,product,quantity,at,bonded,on,left\n\
                x,p,2000,pouch,2026-12-20,pouch,30 min\n\
                y,p,2000,pouch,2026-12-20,,\n";
    let changeover = (
        "pouch: { speeds: { three_side: 100 /min },",
        "pouch: { lanes: 1, speeds: { three_side: 100 /min },",
    );
    let job = (
        "rejects: 0 %, changeover: { job: 0 min,",
        "rejects: 0 %, changeover: { job: 15 min,",
    );
    let seen = run(&with(&[changeover, job]), book);
    assert_eq!(seen.left("pouch"), [30.0, 65.0]);
    let shift = ("pouch: { lanes: 1,", "pouch: { lanes: 1, calendar: shift,");
    let late = run(&with(&[changeover, job, shift]), book);
    assert_eq!(late.left("pouch"), [390.0, 425.0]);
}
