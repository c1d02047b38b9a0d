//! A constant number of orders on the floor: closed networks, machine repair, finite waiting rooms.
//!
//! More orders come than the floor can do and `floor_limit` holds them outside, so each order that is done
//! is followed by another at once: the number on the floor is constant.

use crate::verify::check::{Check, Claim};
use crate::verify::floor::{line, rate, running, share};

const GROUP: &str = "Constant work on the floor";

/// All checks of this file.
pub fn checks() -> Vec<Check> {
    let mut all = four_stations();
    all.extend(computer());
    all.extend(repair());
    all.extend(finite_waiting_room());
    all
}

/// `limit` orders on a floor of `benches` that does `throughput` a minute; a tenth more than that come.
fn floor(limit: u32, throughput: f64, benches: &[String], measured_min: f64) -> String {
    let benches: Vec<&str> = benches.iter().map(String::as_str).collect();
    let every = format!("{:.6} min", 1.0 / (1.1 * throughput));
    line(&every, &benches, measured_min, 1.0).replacen(
        "run: {",
        &format!("run: {{ floor_limit: {limit},"),
        1,
    )
}

fn exp_bench(mean: f64, machine: &str, count: u32) -> String {
    let many = if count > 1 {
        format!("count: {count}")
    } else {
        String::new()
    };
    format!("time: \"exponential, mean {mean} min\", machines: {{ {machine}: {{ {many} }} }}")
}

/// Four stations of 2 h, written as minutes. Exponential: throughput w / (3 + w) / 2. Constant: w / 8, at most
/// 1 / 2.
fn four_stations() -> Vec<Check> {
    let mut all = Vec::new();
    for w in [1_u32, 2, 4, 8, 12] {
        let throughput = f64::from(w) / (3.0 + f64::from(w)) / 2.0;
        let benches: Vec<String> = (1..=4)
            .map(|n| exp_bench(2.0, &format!("m{n}"), 1))
            .collect();
        all.push(Check {
            group: GROUP,
            name: format!("four exponential stations, {w} on the floor"),
            source: "Hopp and Spearman, Factory Physics (practical worst case)",
            formula: "throughput w / (W0 + w - 1) x bottleneck rate, exact for exponential stations",
            scenario: floor(w, throughput, &benches, 40_000.0),
            replications: 20,
            twin: ("mean 2 min".into(), "mean 2.2 min".into()),
            claims: vec![rate(throughput), running("m4", 2.0 * throughput)],
            quick: w == 4,
        });
    }
    for w in [1_u32, 2, 4, 6] {
        let throughput = (f64::from(w) / 8.0).min(0.5);
        let benches: Vec<String> = (1..=4)
            .map(|n| format!("time: 2 min, machines: {{ m{n}: {{}} }}"))
            .collect();
        let exact = |claim: Claim| Claim {
            demand: crate::verify::check::Demand::Exact(1e-6),
            ..claim
        };
        all.push(Check {
            group: GROUP,
            name: format!("four constant stations, {w} on the floor"),
            source: "Hopp and Spearman, Factory Physics (best case)",
            formula: "throughput min(w / T0, bottleneck rate)",
            scenario: floor(w, throughput, &benches, 40_000.0),
            replications: 1,
            twin: ("time: 2 min".into(), "time: 2.1 min".into()),
            claims: vec![
                exact(rate(throughput)),
                exact(running("m4", 2.0 * throughput)).besides(),
            ],
            quick: true,
        });
    }
    all
}

/// Processor 2, disks 3 and 1, thinking time 4: throughput and use by mean value analysis (Jain, The Art of
/// Computer Systems Performance Analysis).
fn computer() -> Vec<Check> {
    [
        (1_u32, 0.1),
        (2, 0.175_438_6),
        (4, 0.265_764_2),
        (5, 0.289_751_8),
    ]
    .into_iter()
    .map(|(users, throughput)| {
        let benches = [
            exp_bench(4.0, "thinking", users),
            exp_bench(2.0, "processor", 1),
            exp_bench(3.0, "disk_a", 1),
            exp_bench(1.0, "disk_b", 1),
        ];
        Check {
            group: GROUP,
            name: format!("closed network of four, {users} on the floor"),
            source: "Jain, The Art of Computer Systems Performance Analysis (data from memory)",
            formula: "mean value analysis; confirmed by Buzen's convolution",
            scenario: floor(users, throughput, &benches, 40_000.0),
            replications: 20,
            twin: ("mean 3 min".into(), "mean 3.3 min".into()),
            claims: vec![
                rate(throughput),
                running("processor", 2.0 * throughput),
                running("disk_a", 3.0 * throughput).besides(),
                running("disk_b", throughput),
            ],
            quick: false,
        }
    })
    .collect()
}

/// M machines that run an exponential time and are mended by c people: running is a bench with a place for
/// every machine, repair one with c. Birth and death equations.
fn repair() -> Vec<Check> {
    // machines, menders, mean time running, mean repair, failures a minute.
    [
        (5_u32, 1_u32, 10.0, 2.0, 0.357_566_1),
        (6, 2, 10.0, 2.0, 0.488_464_9),
        (10, 1, 20.0, 2.0, 0.392_708_8),
        (4, 1, 4.0, 1.0, 0.689_320_4),
    ]
    .into_iter()
    .map(|(machines, menders, up, mend, failures)| {
        let one = if menders > 1 { "mender_1" } else { "mender" };
        Check {
            group: GROUP,
            name: format!("{machines} machines, menders: {menders}"),
            source: "Gross and Harris, Fundamentals of Queueing Theory (machine repair)",
            formula: "birth and death equations; availability = failures x time running / machines",
            scenario: floor(
                machines,
                failures,
                &[
                    exp_bench(up, "up", machines),
                    exp_bench(mend, "mender", menders),
                ],
                30_000.0,
            ),
            replications: 20,
            twin: (
                format!("mean {up} min"),
                format!("mean {:.2} min", up * 0.92),
            ),
            claims: vec![
                rate(failures),
                // The first of several machines alike gets more of the work.
                if menders == 1 {
                    running(one, failures * mend)
                } else {
                    Claim::key(
                        "menders: used",
                        "station/s2/utilisation",
                        failures * mend / f64::from(menders),
                    )
                },
                Claim::key(
                    "availability of the machines",
                    "station/s1/utilisation",
                    failures * up / f64::from(machines),
                )
                .besides(),
            ],
            quick: (machines, menders) == (5, 1),
        }
    })
    .collect()
}

/// M/M/c/K, K in the system at most: the same equations as two stations with K going round, the first being
/// the world outside. Orders refused are the time in which the first one stands without work.
fn finite_waiting_room() -> Vec<Check> {
    // rate in, servers, K, refused, empty, throughput.
    [
        (0.8, 1_u32, 5_u32, 0.088_819_5, 0.271_055_6, 0.728_944_4),
        (1.0, 1, 5, 0.166_666_7, 0.166_666_7, 0.833_333_3),
        (1.2, 1, 5, 0.250_588_1, 0.100_705_7, 0.899_294_3),
        (0.9, 1, 10, 0.050_813_73, 0.145_732_4, 0.854_267_6),
        (4.0, 3, 6, 0.307_831_1, 0.012_174_96, 2.768_676),
        (2.0, 3, 3, 0.210_526_3, 0.157_894_7, 1.578_947),
    ]
    .into_iter()
    .map(|(incoming, servers, places, refused, empty, throughput)| {
        let mut claims = vec![
            rate(throughput),
            share("world", "no_work", refused).within(0.015),
        ];
        if servers == 1 {
            claims.push(share("server", "no_work", empty).within(0.015));
        }
        Check {
            group: GROUP,
            name: format!("M/M/{servers}/{places}, {incoming} a minute"),
            source: "Gross and Harris, Fundamentals of Queueing Theory",
            formula: "birth and death equations, as a closed network of two stations",
            scenario: floor(
                places,
                throughput,
                &[
                    exp_bench(1.0 / incoming, "world", 1),
                    exp_bench(1.0, "server", servers),
                ],
                30_000.0 / throughput,
            ),
            replications: 20,
            twin: ("mean 1 min".into(), "mean 1.1 min".into()),
            claims,
            quick: false,
        }
    })
    .collect()
}
