//! The mechanisms of the floor one by one: small cells whose figures are worked out by hand.
//!
//! In: scenario texts, with an order book where moments matter. Out: equality with the hand calculation
//! beside each test; and for each mechanism that switching it off gives the same replication as leaving
//! its key out. Hand calculations are made for this project unless a source is named.

use pouchcast::model::{self, Model};
use pouchcast::observe::{Layout, Trace};
use pouchcast::record::{LotEvent, Spent, State};
use pouchcast::shop::Counts;
use pouchcast::{replicate, scenario};

mod begun;
mod bench_rules;
mod cell_steps;
mod full;
mod gates;
mod passes;
mod people_and_stops;
mod pouches;
mod pouches_of_one_web;
mod pouches_of_two_webs;
mod ready;
mod rules;
mod standstill;
mod start_losses;
mod switched_off;

const MIN: i64 = 60_000_000;

/// What one replication leaves.
struct Seen {
    model: Model,
    trace: Trace,
    counts: Counts,
    figures: String,
    values: Vec<(String, f64)>,
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
    // As text: a figure that is not known is equal to itself. How much there was to check is none.
    let mut counts = counts;
    counts.audit.checks = 0;
    let figures = format!("{:?} {trace:?} {counts:?}", outcome.figures);
    let keys = layout.measures.iter().map(|m| m.key.clone());
    Seen {
        values: keys.zip(outcome.figures).collect(),
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

    /// A figure by its key.
    fn figure(&self, key: &str) -> f64 {
        let found = self.values.iter().find(|value| value.0 == key);
        found.map_or_else(|| panic!("no figure {key}"), |value| value.1)
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
        "format: 2\nname: floor\nrun: {{ warm_up: 0 min, measure: 1 wk, run_out: 1 wk }}\n\
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

/// A cell of laminator, slitter and pouch machine; orders from the book. No ramps to speak of (100 m/min/s), no
/// changeovers, start wastes or running wastes: 100 pouches of 100 mm on one lane are 10 m of web.
fn cell() -> String {
    "format: 2\nname: floor\nrun: { warm_up: 0 min, measure: 4 wk, run_out: 1 wk }\n\
     calendars: { tuesday: { open: [Tue 00:00-24:00] }, shift: { open: [Mon-Fri 06:00-14:00] } }\n\
     rooms: {}\n\
     adhesives:\n  glue: { process: solventless, slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h, data_sheet: { slit_after: 24 h, pouch_after: 48 h, ship_after: 72 h } }\n\
     laminates: { film: { caliper: 100 um, weight: 100 g/m2, adhesive: glue } }\n\
     products:\n  p: { format: three_side, width: 100 mm, height: 150 mm, laminate: film, web: 640 mm, lanes: 2, zipper: true, overs: 0 % }\n\
     stations:\n\
     \x20 lam: { work: lamination, machines: { lam: { processes: { solventless: 10 m/min }, ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, changeover: { job: 0 min, film: 0 min, finish: 0 min, width: 0 min, adhesive: 0 min, process: 0 min } } } }\n\
     \x20 slit: { work: slitting, machines: { slit: { speed: 10 m/min, ramp: 1000 m/min/s, start_waste: 0 m, running_waste: 0 %, doff: 0 min, core_load: 0 min, changeover: { job: 0 min, knives: 0 min } } } }\n\
     \x20 pouch: { work: pouching, machines: { pouch: { speeds: { three_side: 100 /min }, web_speed: 60 m/min, zipper: true, roll_change: 0 min, splice_waste: 0 m, zipper_change: 0 min, start_waste: 0 m, rejects: 0 %, changeover: { job: 0 min, film: 0 min, width: 0 min, height: 0 min, gusset: 0 min, zipper: 0 min, format: 0 min } } } }\n\
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
