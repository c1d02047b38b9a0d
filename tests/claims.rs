//! What a comparison says of money, rush orders and the price of speed never exceeds what the intervals carry.
//!
//! In: random results of the planner's cell, replication by replication, judged as real ones are. Out: claims read
//! back from the sentences and held against intervals that are computed here from the same numbers. That of the
//! verdict on promises is beside it (`sim/report/compare/verdict`).

use std::fs;
use std::path::Path;
use std::sync::OnceLock;

use pouchcast::compare::rush::{Question, question, unhurried};
use pouchcast::compare::{Better, Case, CaseRun, Comparison, Headline, Runs, headlines};
use pouchcast::model::compile;
use pouchcast::plant::{Bought, Plant};
use pouchcast::replicate::Experiment;
use pouchcast::report::Provenance;
use pouchcast::report::compare::{Description, View, ladder, text, verdict};
use pouchcast::scenario;
use pouchcast::stats::{Interval, Welford, bonferroni, skewed_interval};
use proptest::prelude::*;

const CONFIDENCE: f64 = 0.95;
const VARIANTS: usize = 4;
/// Equivalent annual cost of 1,000 over 10 years without interest: what variant 2 has to buy.
const BOUGHT: f64 = 100.0;
/// Rush orders a year in every replication: two classes of five in a week.
const RUSH: f64 = 520.0;

/// Today, three variants, today with all orders taken as standard ones.
struct Cell {
    cases: Vec<Case>,
    calm: Vec<Case>,
    headlines: Vec<Headline>,
    question: Question,
}

fn cell() -> &'static Cell {
    static CELL: OnceLock<Cell> = OnceLock::new();
    CELL.get_or_init(|| {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/planner.yaml");
        let read = scenario::read("planner.yaml", &fs::read(path).unwrap());
        let mut today: Plant = read.unwrap().plant;
        (today.run.confidence, today.run.measure_min) = (CONFIDENCE, 7.0 * 1440.0);
        today.money.as_mut().unwrap().rate = Some(0.0);
        let plant = |variant: usize| {
            let mut plant = today.clone();
            let bought = Bought {
                name: "press".to_owned(),
                capital: 1000.0,
                life_years: 10.0,
                residual: 0.0,
                yearly: 0.0,
            };
            // Another rule, so that rush policies are set side by side.
            plant.run.floor_limit = (variant > 0).then_some(1000 + variant as u32);
            let money = plant.money.as_mut().unwrap();
            money.purchases.extend((variant == 2).then_some(bought));
            plant
        };
        let question = question(&[&today]).unwrap();
        let base = compile(today.clone());
        Cell {
            cases: (0..VARIANTS)
                .map(|v| Case::new(compile(plant(v))))
                .collect(),
            calm: vec![Case::new(compile(unhurried(&today, &question)))],
            headlines: headlines(&base),
            question,
        }
    })
}

/// One case by replication: money a year, the first lead time that can be bought, the share on time.
#[derive(Debug, Clone)]
struct Made {
    yearly: Vec<f64>,
    lead: Vec<f64>,
    on_time: Vec<f64>,
}

const LEAD: &str = "lead_done/class:rush/p90";
const ON_TIME: &str = "on_time/all";

fn run(case: &Case, made: &Made) -> CaseRun {
    let n = made.yearly.len();
    let mut experiment = Experiment::new(&case.model, &case.layout, n as u32);
    experiment.done = n as u32;
    let values = cell().headlines.iter().map(|h| match h.key.as_str() {
        "money/result" => made.yearly.clone(),
        ON_TIME => made.on_time.clone(),
        LEAD => made.lead.clone(),
        _ => vec![1.0; n],
    });
    let groups = 1 + case.layout.classes;
    let mut run = CaseRun::new(case, &cell().headlines);
    run.experiment = experiment;
    run.values = values.collect();
    run.released = vec![vec![5.0; n]; groups];
    run.yearly = made.yearly.clone();
    run.premium = vec![200.0; n];
    run
}

/// The sentences of the verdict, the short one, those of the ladder and those of the trade-off.
fn told(made: &[Made], calm: &Made) -> (String, String, Vec<String>) {
    let cell = cell();
    let runs: Vec<CaseRun> = cell
        .cases
        .iter()
        .zip(made)
        .map(|(c, m)| run(c, m))
        .collect();
    let mut reference = [run(&cell.calm[0], calm)];
    reference[0].premium = vec![0.0; calm.yearly.len()];
    let all = Runs {
        variants: (0..VARIANTS).map(|v| format!("v{v}")).collect(),
        demands: vec![1.0],
        cases: &cell.cases,
        runs: &runs,
        headlines: cell.headlines.clone(),
        asked: 9,
    };
    let mut comparison = Comparison::new(&all);
    comparison.with_rush(&cell.question, &all, (&cell.calm, &reference));
    let provenance = Provenance {
        file_name: String::new(),
        sha256: String::new(),
        version: "",
        scenario_text: String::new(),
    };
    let names = all.variants.iter().map(|name| Description {
        name: name.clone(),
        note: String::new(),
        differences: Vec::new(),
    });
    let plant = &cell.cases[0].model.plant;
    let view = View::new(&comparison, &provenance, plant, ("t", ""), names.collect());
    let mut points = verdict::by_demand(&view);
    let mut trade = ladder::points(&view);
    // The first one only names the two figures.
    let frontier = text::frontier_points(&view).into_iter().skip(1);
    trade.extend(frontier.map(|told| format!("Trade-off {told}")));
    (
        points.remove(0).points.join(" "),
        verdict::short(&view),
        trade,
    )
}

/// Interval of the mean of the differences, `cost` taken off.
fn gap(mine: &[f64], other: &[f64], cost: f64, level: f64) -> Interval {
    let seen: Welford = mine.iter().zip(other).map(|(a, b)| a - b - cost).collect();
    skewed_interval(&seen, level)
}

/// Names after `words` up to the end of that part of the sentence.
fn named(text: &str, words: &str, end: char) -> Vec<String> {
    let rest = text.split(words).nth(1).unwrap_or_default();
    let list = rest.split(end).next().unwrap_or_default();
    list.replace(" and ", ", ")
        .split(", ")
        .map(|name| name.trim().to_owned())
        .collect()
}

fn results() -> impl Strategy<Value = (Vec<Made>, Made)> {
    // Noise of one with shifts of the same size: claims of both kinds, and none.
    let numbers = (2usize..14).prop_flat_map(|n| {
        let one = prop::collection::vec(0.0f64..1.0, n);
        prop::collection::vec(prop::collection::vec(one, 3), VARIANTS + 1)
    });
    let shifts = prop::collection::vec(prop::collection::vec(-0.9f64..0.9, 3), VARIANTS + 1);
    (numbers, shifts).prop_map(|(numbers, shifts)| {
        let mut all: Vec<Made> = numbers
            .iter()
            .zip(&shifts)
            .map(|(one, shift)| {
                let of = |k: usize, size: f64| -> Vec<f64> {
                    one[k].iter().map(|x| size * (2.0 + x + shift[k])).collect()
                };
                Made {
                    yearly: of(0, 300.0),
                    lead: of(1, 600.0),
                    on_time: of(2, 0.2),
                }
            })
            .collect();
        let calm = all.pop().unwrap();
        (all, calm)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(120) })]

    #[test]
    fn money_is_claimed_only_beyond_doubt((made, calm) in results()) {
        let (points, short, _) = told(&made, &calm);
        let n = made[0].yearly.len();
        let level = bonferroni(CONFIDENCE, VARIANTS - 1);
        for v in 1..VARIANTS {
            let cost = if v == 2 { BOUGHT } else { 0.0 };
            let sure = gap(&made[v].yearly, &made[0].yearly, cost, level);
            for (words, holds) in [
                ("clearly pays", n >= 5 && sure.low > 0.0),
                ("clearly does not pay", n >= 5 && sure.high < 0.0),
            ] {
                // Of so few pairs the end on the side of the tail is not claimed: less is said than the interval
                // alone would allow, never more.
                let said = points.contains(&format!("v{v}: {words}"));
                prop_assert!(!said || holds, "{}", points);
                let listed = named(&short, &format!("{words}: "), ';');
                let name = format!("v{v}");
                let listed = listed.iter().any(|told| told.trim_end_matches('.') == name);
                prop_assert_eq!(listed, said, "{}", short);
            }
        }
    }

    #[test]
    fn rush_is_claimed_only_beyond_doubt((made, calm) in results()) {
        let (points, ..) = told(&made, &calm);
        let n = made[0].yearly.len();
        let level = bonferroni(CONFIDENCE, VARIANTS);
        for (v, mine) in made.iter().enumerate() {
            let cost = if v == 2 { BOUGHT } else { 0.0 };
            let sure = gap(&mine.yearly, &calm.yearly, cost, level);
            for (words, holds) in [
                ("The premium clearly pays for that: ", n >= 5 && sure.low > 0.0),
                ("The premium clearly does not pay for that: ", n >= 5 && sure.high < 0.0),
            ] {
                let listed = named(&points, words, '.').contains(&format!("v{v}"));
                // What v2 buys is no matter of rush orders alone: it does not stand among the policies.
                prop_assert!(!listed || holds && v != 2, "{}", points);
            }
        }
        // What rush costs today: premiums of 200 a year less what is brought in, by order.
        let sure = gap(&made[0].yearly, &calm.yearly, 200.0, level);
        let settled = sure.low > 0.0 || sure.high < 0.0;
        let doubted = points.contains("Whether it costs more at all is not settled");
        prop_assert!(points.contains("A rush order ("), "{}", points);
        prop_assert!(settled || doubted, "{}", points);
        // Both ends of the named range are those of the interval, by order.
        if let Some(range) = points.split("A rush order (").nth(1).and_then(|t| t.split(") more").next())
            && let Some((_, ends)) = range.rsplit_once('(')
            && let Some((low, high)) = ends.split(')').next().unwrap().split_once(" to ")
        {
            let near = |text: &str, end: f64| {
                text.parse::<f64>().is_ok_and(|told| (told + end / RUSH).abs() < 0.01)
            };
            prop_assert!(near(low, sure.high) && near(high, sure.low), "{} {:?}", range, sure);
        }
    }

    #[test]
    fn a_price_is_named_only_for_a_gain_beyond_doubt((made, calm) in results()) {
        let (_, _, trade) = told(&made, &calm);
        prop_assert!(trade.len() >= 2, "{:?}", trade);
        let pairs = bonferroni(CONFIDENCE, VARIANTS * (VARIANTS - 1) / 2);
        let n = made[0].lead.len();
        for sentence in trade {
            let on_time = sentence.contains("promised date");
            let bought = |v: usize| if on_time { &made[v].on_time } else { &made[v].lead };
            let better = if on_time { Better::More } else { Better::Less };
            let number = |text: &str| -> usize { text[1..2].parse().unwrap() };
            // What is best by its mean alone is told as such.
            let first: String = sentence.split(": ").take(2).collect();
            prop_assert!(first.contains("mean"), "{}", sentence);
            // Each step, with the one before it.
            let steps: Vec<&str> = sentence.split(" Then ").collect();
            let place = |text: &str| text.rfind("v").map(|at| number(&text[at..]));
            let level = bonferroni(CONFIDENCE, steps.len() - 1);
            let mut before = steps[0].split(" (").next().and_then(place);
            for step in &steps[1..] {
                let this = number(step);
                let sure = gap(bought(this), bought(before.unwrap()), 0.0, level);
                if step.contains(" for each ") {
                    let gained = if on_time { sure.low > 0.0 } else { sure.high < 0.0 };
                    prop_assert!(gained, "{} {:?}", sentence, sure);
                }
                before = Some(this);
            }
            // Clearly beaten: certainly worse in one, and certainly no better in the other.
            for claim in named(&sentence, "Clearly beaten: ", '.') {
                let Some((beaten, by)) = claim.split_once(" (by ") else { continue };
                let (beaten, by) = (number(beaten), number(by));
                // Pairs that have not shown their tail are told less of than the interval alone would allow, never
                // more; on which side the tail lies is judged by all figures together.
                let call = |values: [&[f64]; 2], better: Better| {
                    let sure = gap(values[0], values[1], 0.0, pairs);
                    let worse = match better {
                        Better::More => sure.high < 0.0,
                        _ => sure.low > 0.0,
                    };
                    (n >= 5 && worse, n >= 5 && values[0] == values[1])
                };
                let one = call([bought(beaten), bought(by)], better);
                // The other lead time of a trade-off is the same in all cases.
                let other = match sentence.starts_with("Trade-off") {
                    true => (false, true),
                    false => call([&made[beaten].yearly, &made[by].yearly], Better::More),
                };
                prop_assert!((one.0 || one.1) && (other.0 || other.1), "{}", sentence);
                prop_assert!(one.0 || other.0, "{}", sentence);
            }
        }
    }
}

/// The checks above are not empty: where all is plain, all is claimed. In money v1 is ahead of today by 100 a year in
/// every replication but for a trace, v2 behind by as much, v3 by 50; in speed v2 is an hour ahead of v3, that one an
/// hour of v1, and today last.
#[test]
fn what_is_plain_is_said() {
    let noise = [0.01, -0.02, 0.0, 0.02, -0.01, 0.01];
    let of = |middle: f64| noise.map(|x| middle + x).to_vec();
    let made = |yearly: f64, lead: f64| Made {
        yearly: of(yearly),
        lead: noise.iter().rev().map(|x| lead + x).collect(),
        on_time: of(0.5),
    };
    let all = [
        made(1000.0, 700.0),
        made(1100.0, 600.0),
        made(1000.0, 480.0),
        made(950.0, 540.0),
    ];
    let (points, short, trade) = told(&all, &made(900.0, 600.0));
    for words in [
        "v1: clearly pays",
        "v2: clearly does not pay",
        "v3: clearly does not pay",
    ] {
        assert!(points.contains(words), "{points}");
    }
    assert!(short.contains("clearly does not pay: v2 and v3"), "{short}");
    assert!(
        points.contains("The premium clearly pays for that: v0, v1, v3."),
        "{points}"
    );
    assert!(!points.contains("Not settled whether it pays"), "{points}");
    let trade = trade.join(" ");
    assert!(trade.contains(" for each hour gained ("), "{trade}");
    assert!(trade.contains("Clearly beaten: v0 (by v1)"), "{trade}");
}
