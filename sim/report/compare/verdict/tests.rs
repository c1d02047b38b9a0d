//! The verdict never claims more than the intervals carry: random results, claims read back from the text.

use proptest::prelude::*;

use super::*;
use crate::compare::{Better, CaseResult, Comparison, Headline, Needs, best, difference};
use crate::report::Provenance;
use crate::report::compare::Description;
use crate::summary::{Bottleneck, Estimate, Summary};

fn headlines() -> Vec<Headline> {
    let on_time = Headline {
        key: "on_time/all".into(),
        label: "done by the promised date".into(),
        unit: "share",
        better: Better::More,
        needs: Needs::Steady(0),
        decides: true,
    };
    let waste = Headline {
        key: "cell/waste_share".into(),
        label: "web area lost of area handed over".into(),
        better: Better::Less,
        decides: false,
        ..on_time.clone()
    };
    vec![on_time, waste]
}

fn summary() -> Summary {
    Summary {
        layout: crate::observe::Layout::new(&crate::model::compile(
            crate::scenario::read("starter.yaml", crate::scenario::starter().as_bytes())
                .unwrap()
                .plant,
        )),
        estimates: Vec::new(),
        confidence: 0.95,
        asked: 9,
        done: 9,
        is_worked_off: false,
        wanted: 0,
        spans: Vec::new(),
        levels: Vec::new(),
        bottleneck: Bottleneck {
            station: 0,
            share: 1.0,
            next: None,
            machine: None,
        },
        machines: Vec::new(),
        bounds: Vec::new(),
        warnings: Vec::new(),
        events: 0,
        orders: 0,
        checks: 0,
    }
}

/// A comparison of variants by their values in each replication, judged as the real one is.
fn comparison(values: &[Vec<f64>], summary: &Summary) -> Comparison {
    let together = values.len() - 1;
    let level = crate::stats::bonferroni(0.95, together);
    let all: Vec<best::Values<'_>> = values.iter().map(|v| Some(&v[..])).collect();
    let left = best::not_told_apart(&all, Better::More, 0.95, 1);
    // The second figure of a variant is the first one of its neighbour: the two know nothing of each other.
    let waste = |v: usize| &values[(v + 1) % values.len()];
    let cases = values
        .iter()
        .enumerate()
        .map(|(v, mine)| {
            vec![CaseResult {
                summary: summary.clone(),
                standing: Standing::Steady,
                bottleneck: "pouching".into(),
                next: None,
                figures: [mine, waste(v)]
                    .map(|all| Ok(Estimate::new(&all.iter().copied().collect(), 0, 0.95)))
                    .to_vec(),
                against_today: match v {
                    0 => Vec::new(),
                    _ => [
                        (mine, &values[0], Better::More),
                        (waste(v), waste(0), Better::Less),
                    ]
                    .map(|(mine, today, better)| {
                        difference::difference(
                            mine,
                            today,
                            |_| true,
                            |_| None,
                            (level, better),
                            0.0,
                        )
                    })
                    .to_vec(),
                },
                chance_best: vec![Some(0.5), None],
                may_be_best: vec![left.contains(&v), false],
                worth: None,
            }]
        })
        .collect();
    Comparison {
        headlines: headlines(),
        variants: (0..values.len()).map(|v| format!("v{v}")).collect(),
        demands: vec![1.0],
        cases,
        confidence: 0.95,
        together,
        asked: 9,
        done: values[0].len() as u32,
        frontier: None,
        lifted: None,
        break_even: Vec::new(),
        limit: None,
        changing: None,
        ladders: Vec::new(),
        rush: None,
        cautions: Vec::new(),
    }
}

fn told(comparison: &Comparison) -> (String, String) {
    let provenance = Provenance {
        file_name: String::new(),
        sha256: String::new(),
        version: "",
        scenario_text: String::new(),
    };
    let plant = crate::scenario::read("starter.yaml", crate::scenario::starter().as_bytes())
        .unwrap()
        .plant;
    let names = comparison.variants.iter().map(|name| Description {
        name: name.clone(),
        note: String::new(),
        differences: Vec::new(),
    });
    let view = View::new(comparison, &provenance, &plant, ("t", ""), names.collect());
    let points: Vec<String> = by_demand(&view)
        .into_iter()
        .flat_map(|p| p.points)
        .collect();
    (short(&view), points.join(" "))
}

/// The names after `words` up to the end of the sentence.
fn named(text: &str, words: &str) -> String {
    text.split(words)
        .skip(1)
        .filter_map(|rest| rest.split(". ").next())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Whether the group `head` of the first sentence of the short verdict names a variant.
fn listed(sentence: &str, head: &str, variant: usize) -> bool {
    let groups = sentence.split_once(": ").map_or("", |(_, groups)| groups);
    groups
        .split("; ")
        .filter_map(|group| group.split_once(": "))
        .any(|(words, names)| words == head && names.contains(&format!("v{variant}")))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn no_claim_without_its_interval(
        values in (2usize..5, 2usize..12).prop_flat_map(|(variants, n)| {
            prop::collection::vec(prop::collection::vec(0.0f64..1.0, n), variants)
        }),
        shift in prop::collection::vec(-0.8f64..0.8, 5),
    ) {
        let values: Vec<Vec<f64>> = values
            .iter()
            .zip(&shift)
            .map(|(v, s)| v.iter().map(|x| x + s).collect())
            .collect();
        let comparison = comparison(&values, &summary());
        let (short, points) = told(&comparison);
        let better = named(&points, "Clearly better:");
        let worse = named(&points, "Clearly worse:");
        for v in 1..values.len() {
            let name = format!("v{v} (");
            let d = comparison.cases[v][0].against_today[0].unwrap();
            prop_assert_eq!(better.contains(&name), d.low > 0.0 && d.n >= 5, "{}", points);
            prop_assert_eq!(worse.contains(&name), d.high < 0.0 && d.n >= 5, "{}", points);
            // The short verdict names the figures, and claims of each what its interval carries.
            let first = short.split(". ").next().unwrap();
            prop_assert!(first.starts_with("By orders on time: "), "{}", short);
            let clear = |d: difference::Difference, better: Better| {
                let (up, down) = (d.low > 0.0 && d.n >= 5, d.high < 0.0 && d.n >= 5);
                if better == Better::More { (up, down) } else { (down, up) }
            };
            let (up, down) = clear(d, Better::More);
            prop_assert_eq!((listed(first, "clearly better", v), listed(first, "clearly worse", v)), (up, down), "{}", short);
            let waste = comparison.cases[v][0].against_today[1].unwrap();
            let (up, down) = clear(waste, Better::Less);
            let rest = short.split("In the other figures at today's demand: ").nth(1).unwrap();
            let claims = |words: &str| {
                rest.contains(&format!("v{v} clearly {words} in share of web lost"))
            };
            prop_assert_eq!((claims("better"), claims("worse")), (up, down), "{}", short);
        }
        // One best only where every other one is clearly worse than some variant, at the level of all pairs.
        if let Some(best) = points.split("Best in this figure of all that keep up: v").nth(1) {
            let best: usize = best.trim_end_matches('.').parse().unwrap();
            let pairs = values.len() * (values.len() - 1) / 2;
            let level = crate::stats::bonferroni(0.95, pairs);
            for v in (0..values.len()).filter(|&v| v != best) {
                let beaten = (0..values.len()).any(|by| {
                    difference::difference(&values[by], &values[v], |_| true, |_| None, (level, Better::More), 0.0)
                        .is_ok_and(|d| d.low > 0.0)
                });
                prop_assert!(beaten, "{}", points);
            }
        }
    }
}

/// Where nothing differs in truth, some claim is made in at most 5 of 100 comparisons: 400 comparisons of 4
/// equal variants; binomial, 5 standard errors above 5 % are 10.4 %.
#[test]
fn equal_variants_are_rarely_told_apart() {
    let mut draw = crate::random::Streams::new(5, 5).of(crate::random::Source::Other, 1, 1);
    let summary = summary();
    let mut claims = 0;
    for _ in 0..400 {
        let values: Vec<Vec<f64>> = (0..4)
            .map(|_| (0..30).map(|_| draw.unit()).collect())
            .collect();
        let (_, points) = told(&comparison(&values, &summary));
        claims += u32::from(points.contains("Clearly"));
    }
    assert!((1..=41).contains(&claims), "{claims} of 400");
}
