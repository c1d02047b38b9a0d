//! How often the best design is found, and at what effort: problems whose best is known.
//!
//! `cargo test --release --test selection -- --nocapture --test-threads 1` prints the tables that stand in
//! `docs/concepts/choose.md`. The problems are those of the literature on selection: the slippage
//! configuration (all others exactly the indifference zone behind: the hardest for the guarantee) and
//! monotone decreasing means (each a zone behind the next), with independent and with common random
//! numbers; and single-server queues whose fastest is best.

use pouchcast::random::{Source, Streams};
use pouchcast::stats::normal_quantile;
use pouchcast::stats::selection::budget::{self, Seen};
use pouchcast::stats::selection::race::Race;
use pouchcast::stats::selection::{Best, rinott::rinott_h};

const REPEATS: u64 = 500;
const CONFIDENCE: f64 = 0.95;
const FIRST: u32 = 20;

/// A problem: a replication of a design, by repeat, design and number.
struct Problem {
    name: &'static str,
    designs: usize,
    right: usize,
    best: Best,
    zone: f64,
    value: Box<dyn Fn(u64, usize, u64) -> f64>,
    /// Common random numbers, or a stream for each design.
    common: bool,
}

fn normal(repeat: u64, a: u64, b: u64) -> f64 {
    normal_quantile(Streams::new(repeat, b).of(Source::Other, a, 0).unit())
}

/// Normal designs of standard deviation 1. With common numbers half of the variance is shared.
fn normals(name: &'static str, means: Vec<f64>, common: bool) -> Problem {
    let designs = means.len();
    Problem {
        name,
        designs,
        right: 0,
        best: Best::Largest,
        zone: 0.25,
        value: Box::new(move |repeat, design, number| {
            let own = normal(repeat, 1 + design as u64, number);
            let noise = if common {
                0.5_f64.sqrt() * (own + normal(repeat, 0, number))
            } else {
                own
            };
            means[design] + noise
        }),
        common,
    }
}

/// Mean wait of the first 100 customers of an empty single-server queue, arrivals one a time unit, mean
/// services 0.70, 0.75, ... (Lindley's recursion): the fastest is best.
fn queues(common: bool) -> Problem {
    Problem {
        name: "queues, 100 customers",
        designs: 6,
        right: 0,
        best: Best::Smallest,
        zone: 0.15,
        value: Box::new(move |repeat, design, number| {
            let streams = Streams::new(repeat, number);
            let key = if common { 0 } else { 1 + design as u64 };
            let service = 0.70 + 0.05 * design as f64;
            let (mut wait, mut sum) = (0.0_f64, 0.0);
            for customer in 0..100 {
                sum += wait;
                let draw = |source| -(1.0 - streams.of(source, key, customer).unit()).ln();
                let spent = service * draw(Source::Bench) - draw(Source::ArrivalGap);
                wait = (wait + spent).max(0.0);
            }
            sum / 100.0
        }),
        common,
    }
}

/// Share of right choices, mean effort, and mean effort of equal allocation by Rinott's procedure.
fn race(problem: &Problem) -> (f64, f64, f64) {
    let (mut right, mut effort, mut equal) = (0, 0.0, 0.0);
    let h = rinott_h(problem.designs, FIRST, CONFIDENCE).unwrap();
    for repeat in 0..REPEATS {
        let mut race = Race::new(
            problem.designs,
            problem.best,
            problem.zone,
            CONFIDENCE,
            FIRST,
        )
        .unwrap();
        let mut first: Vec<Vec<f64>> = vec![Vec::new(); problem.designs];
        let mut number = 0;
        while race.winner().is_none() {
            let values: Vec<f64> = race
                .survivors()
                .iter()
                .map(|&design| (problem.value)(repeat, design, number))
                .collect();
            if number < u64::from(FIRST) {
                for (kept, value) in first.iter_mut().zip(&values) {
                    kept.push(*value);
                }
            }
            race.push(&values);
            number += 1;
        }
        right += u64::from(race.winner() == Some(problem.right));
        effort += race.effort() as f64;
        // Equal allocation: every design gets what the most variable one needs.
        let most = first
            .iter()
            .map(|values| {
                let mean = values.iter().sum::<f64>() / values.len() as f64;
                let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
                (h * h * squares / (values.len() - 1) as f64 / problem.zone.powi(2)).ceil()
            })
            .fold(f64::from(FIRST), f64::max);
        equal += most * problem.designs as f64;
    }
    let repeats = REPEATS as f64;
    (right as f64 / repeats, effort / repeats, equal / repeats)
}

/// Least effort at which equal shares were right as often as asked for, found after the event: what equal
/// allocation would need if somebody told it how many replications are enough.
fn equal_in_hindsight(problem: &Problem) -> Option<u64> {
    const MOST: u64 = 400;
    let mut right = vec![0; MOST as usize];
    for repeat in 0..REPEATS {
        let mut sums = vec![0.0; problem.designs];
        for (number, right) in right.iter_mut().enumerate() {
            for (design, sum) in sums.iter_mut().enumerate() {
                *sum += (problem.value)(repeat, design, number as u64);
            }
            let best = sums[problem.right];
            let ahead = |(design, &other): (usize, &f64)| {
                design == problem.right
                    || match problem.best {
                        Best::Largest => best > other,
                        Best::Smallest => best < other,
                    }
            };
            *right += u64::from(sums.iter().enumerate().all(ahead));
        }
    }
    let enough = |&right: &u64| right as f64 >= CONFIDENCE * REPEATS as f64;
    let each = right.iter().position(enough)? as u64 + 1;
    Some(each * problem.designs as u64)
}

/// Share of right choices with a fixed effort: by the allocation rule, and shared out equally.
fn fixed(problem: &Problem, effort: u64) -> (f64, f64) {
    let (mut ruled, mut equal) = (0, 0);
    for repeat in 0..REPEATS {
        let mut sums = vec![(0_u64, 0.0, 0.0); problem.designs];
        let add = |sums: &mut Vec<(u64, f64, f64)>, design: usize, count: u64| {
            for _ in 0..count {
                let value = (problem.value)(repeat, design, sums[design].0);
                sums[design].0 += 1;
                sums[design].1 += value;
                sums[design].2 += value * value;
            }
        };
        let seen = |sums: &[(u64, f64, f64)]| -> Vec<Seen> {
            sums.iter()
                .map(|&(count, sum, squares)| {
                    let n = count as f64;
                    let variance = (squares - sum * sum / n) / (n - 1.0);
                    Seen {
                        mean: sum / n,
                        sd: variance.max(0.0).sqrt(),
                        count,
                    }
                })
                .collect()
        };
        for design in 0..problem.designs {
            add(&mut sums, design, 10);
        }
        let mut spent = 10 * problem.designs as u64;
        while spent < effort {
            let more = budget::next(&seen(&sums), problem.best, 20.min(effort - spent));
            for (design, count) in more.into_iter().enumerate() {
                add(&mut sums, design, count);
                spent += count;
            }
        }
        ruled += u64::from(budget::leader(&seen(&sums), problem.best) == Some(problem.right));
        let mut even = vec![(0_u64, 0.0, 0.0); problem.designs];
        for design in 0..problem.designs {
            add(&mut even, design, effort / problem.designs as u64);
        }
        equal += u64::from(budget::leader(&seen(&even), problem.best) == Some(problem.right));
    }
    (ruled as f64 / REPEATS as f64, equal as f64 / REPEATS as f64)
}

fn problems() -> Vec<Problem> {
    let slippage = |designs: usize| -> Vec<f64> {
        (0..designs)
            .map(|i| if i == 0 { 0.25 } else { 0.0 })
            .collect()
    };
    let falling: Vec<f64> = (0..10).map(|i| -0.25 * f64::from(i)).collect();
    vec![
        normals("slippage, 5 designs", slippage(5), false),
        normals("slippage, 5 designs", slippage(5), true),
        normals("slippage, 10 designs", slippage(10), false),
        normals("slippage, 10 designs", slippage(10), true),
        normals("falling means, 10 designs", falling.clone(), false),
        normals("falling means, 10 designs", falling, true),
        queues(false),
        queues(true),
    ]
}

/// The guarantee holds with three standard errors of 500 repeats to spare (chance of a false alarm 0.1 %
/// for each problem that is right exactly 95 % of the time), with at most half the effort of equal allocation with the
/// same guarantee.
#[test]
fn the_best_is_found_as_often_as_promised() {
    println!(
        "| problem | numbers | right | mean effort | equal allocation | share of it | equal, in hindsight |"
    );
    println!("|---|---|--:|--:|--:|--:|--:|");
    let slack = 3.0 * (CONFIDENCE * (1.0 - CONFIDENCE) / REPEATS as f64).sqrt();
    for problem in problems() {
        let (right, effort, equal) = race(&problem);
        let numbers = if problem.common { "common" } else { "own" };
        println!(
            "| {} | {numbers} | {:.1} % | {effort:.0} | {equal:.0} | {:.1} % | {} |",
            problem.name,
            right * 100.0,
            effort / equal * 100.0,
            equal_in_hindsight(&problem).unwrap_or_default()
        );
        assert!(right >= CONFIDENCE - slack, "{}: {right}", problem.name);
        assert!(effort <= 0.5 * equal, "{}", problem.name);
    }
}

/// With a fixed effort the rule finds the best more often than equal shares do where designs differ in how
/// far behind they are.
#[test]
fn a_fixed_effort_goes_further_by_the_rule() {
    println!(
        "| problem | effort | right by the rule | right by equal shares | equal, twice the effort |"
    );
    println!("|---|--:|--:|--:|--:|");
    for problem in problems().into_iter().filter(|problem| !problem.common) {
        let effort = 60 * problem.designs as u64;
        let (ruled, equal) = fixed(&problem, effort);
        let (_, twice) = fixed(&problem, 2 * effort);
        println!(
            "| {} | {effort} | {:.1} % | {:.1} % | {:.1} % |",
            problem.name,
            ruled * 100.0,
            equal * 100.0,
            twice * 100.0
        );
        assert!(ruled >= equal - 0.05, "{}", problem.name);
    }
}

/// A quick look at the same: five designs in slippage, 40 repeats; the chance that a procedure that is
/// right 95 % of the time is right fewer than 32 times is below 1e-4 (binomial).
#[test]
fn a_few_races_find_the_best() {
    let problem = normals("", vec![0.5, 0.0, 0.0, 0.0, 0.0], false);
    let right = (0..40)
        .filter(|&repeat| {
            let mut race = Race::new(5, Best::Largest, 0.5, CONFIDENCE, 10).unwrap();
            let mut number = 0;
            while race.winner().is_none() {
                let values: Vec<f64> = race
                    .survivors()
                    .iter()
                    .map(|&design| (problem.value)(repeat, design, number))
                    .collect();
                race.push(&values);
                number += 1;
            }
            race.winner() == Some(0)
        })
        .count();
    assert!(right >= 32, "{right}");
}
