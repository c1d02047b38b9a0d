//! The `pouchcast` command.
use pouchcast::{model, observe, replicate, scenario, summary};
fn main() {
    let name = std::env::args().nth(1).unwrap();
    let bytes = std::fs::read(&name).unwrap();
    let loaded = match scenario::read(&name, &bytes) {
        Ok(l) => l,
        Err(r) => {
            eprintln!("{}", r.render(false, 100));
            return;
        }
    };
    let n = std::env::args()
        .nth(2)
        .and_then(|s| s.parse().ok())
        .unwrap_or(loaded.plant.run.replications);
    let model = model::compile(loaded.plant);
    let layout = observe::Layout::new(&model);
    let t = std::time::Instant::now();
    let e = replicate::many(
        &model,
        &layout,
        n,
        &std::sync::atomic::AtomicBool::new(false),
        &|_| {},
    );
    let dt = t.elapsed().as_secs_f64();
    let s = summary::Summary::new(&model, &layout, &e);
    for (m, x) in s.layout.measures.iter().zip(&s.estimates) {
        println!(
            "{:50} {:12.4} [{:.4}, {:.4}] n={} beyond={} {}",
            m.key, x.mean, x.low, x.high, x.n, x.beyond, m.unit
        );
    }
    for w in &s.warnings {
        println!("! {w}");
    }
    for b in &s.bounds {
        println!("{b:?} {}", b.load());
    }
    println!(
        "{} events {} orders {:.3} s, {:.0} ns/event, {:.0} orders/s",
        e.events,
        e.orders,
        dt,
        dt * 1e9 / e.events as f64,
        e.orders as f64 / dt
    );
}
