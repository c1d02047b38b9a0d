//! One line workload in one library: `peers LIBRARY WORKLOAD ORDERS SEED`.
//!
//! In: `odem`, `nexosim` or `simu`; `a`, `b` or `full`; how many orders; a seed. Out: one line of JSON with the
//! seconds of the simulation loop, the orders that were done and their mean time in system.

mod line;
mod nexo;
mod odem;
mod odem_full;
mod simu_des;

use std::process::exit;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, library, work, orders, seed] = arguments.as_slice() else {
        eprintln!("peers LIBRARY WORKLOAD ORDERS SEED");
        exit(2);
    };
    let (Ok(orders), Ok(seed)) = (orders.parse(), seed.parse()) else {
        eprintln!("orders and seed are whole numbers");
        exit(2);
    };
    let done = match (library.as_str(), work.as_str()) {
        ("odem", "a") => odem::a(orders, seed),
        ("odem", "b") => odem::b(orders, seed),
        ("odem", "full") => odem_full::full(orders, seed),
        ("nexosim", "a") => nexo::a(orders, seed),
        ("nexosim", "b") => nexo::b(orders, seed),
        ("simu", "a") => simu_des::a(orders, seed),
        ("simu", "b") => simu_des::b(orders, seed),
        _ => {
            eprintln!("no program for {library} {work}");
            exit(2);
        }
    };
    println!(
        "{{\"secs\":{:.6},\"n\":{},\"mean\":{:.6}}}",
        done.seconds, done.orders, done.mean
    );
}
