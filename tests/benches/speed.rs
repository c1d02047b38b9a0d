//! Benchmarks: the event list, random streams, and whole replications of the lines and of the shipped cells.
//!
//! `cargo bench --bench speed` prints the time of each; events a second for replications. To see the whole beside
//! other programs, use `compare.py`.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};

use pouchcast::kernel::Slots;
use pouchcast::model::{self, Model};
use pouchcast::observe::Layout;
use pouchcast::random::{Dist, Source, Streams};
use pouchcast::{replicate, scenario};

fn main() {
    divan::main();
}

/// Steps of the small benchmarks.
const STEPS: u64 = 1_000;

/// Takes the next event and times its slot anew, with so many slots pending.
#[divan::bench(args = [2, 8, 16, 32, 64, 256])]
fn event_list(bencher: Bencher, pending: usize) {
    bencher.counter(ItemsCount::new(STEPS)).bench(|| {
        let mut slots = Slots::new(pending);
        for slot in 0..pending {
            slots.set(slot, slot as i64);
        }
        let mut draw = Streams::new(1, 0).of(Source::Other, 0, 0);
        for _ in 0..STEPS {
            let (time, slot) = slots.next();
            slots.set(slot, time + (draw.next_word() >> 44) as i64);
        }
        slots.next()
    });
}

/// A draw from a stream of its own, as every chance of the floor has.
#[divan::bench(args = ["word", "exponential", "lognormal"])]
fn keyed_draw(bencher: Bencher, what: &str) {
    let streams = Streams::new(1, 0);
    let dist = match what {
        "exponential" => Dist::exponential(1.0).ok(),
        "lognormal" => Dist::lognormal_median(1.0, 0.5).ok(),
        _ => None,
    };
    bencher.counter(ItemsCount::new(STEPS)).bench(|| {
        let mut sum = 0.0;
        for event in 0..STEPS {
            let mut stream = streams.of(Source::Bench, black_box(event), 0);
            sum += match &dist {
                Some(dist) => dist.sample(&mut stream),
                None => stream.unit(),
            };
        }
        sum
    });
}

fn cell(file: &str) -> Model {
    let path = format!("{}/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read(&path).expect("a scenario file");
    let loaded = scenario::read(file, &text).expect("a scenario without problems");
    model::compile(loaded.plant)
}

/// One replication with its figures.
#[divan::bench(sample_count = 20, args = [
    "tests/benches/a.yaml",
    "tests/benches/b.yaml",
    "tests/benches/b-plus.yaml",
    "scenarios/owner.yaml",
    "scenarios/planner.yaml",
    "scenarios/consultant.yaml",
])]
fn replication(bencher: Bencher, file: &str) {
    let model = cell(file);
    let layout = Layout::new(&model);
    let events = replicate::one(&model, &layout, 0).1.events;
    bencher
        .counter(ItemsCount::new(events))
        .bench(|| replicate::one(&model, &layout, 0));
}

/// Text to model: what a start costs before the first replication.
#[divan::bench(sample_count = 20)]
fn read_and_compile(bencher: Bencher) {
    bencher.bench(|| cell("scenarios/planner.yaml"));
}
