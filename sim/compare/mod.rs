//! Variants against today, over demand cases, under the same luck.
//!
//! In: the runs of all cases. Out: [`Comparison`]: every headline figure of every case, its paired difference
//! from today with intervals that hold together, the chance that each variant is best, and what may be said
//! of it all. Plain data: words, tables and charts are the report's.
//!
//! * [`headline`]: the figures that are compared.
//! * [`run`](mod@run): all cases as one list of jobs.
//! * [`alarm`]: what pairs of replications may not have shown yet.
//! * [`difference`]: one figure of two cases.
//! * [`best`]: which variant is best, and how sure that is.
//! * [`frontier`]: two aims at once; [`trade_off`]: which two.
//! * [`ladder`]: what more speed costs; [`rush`]: what rush orders cost.
//! * [`precise`]: whether the differences are known well enough.
//! * [`lift`]: what limits next; [`limit`]: how far a promise is kept.
//! * [`rules`]: whether a variant differs in rules alone; [`cautions`]: what a comparison leaves out or mixes in.
//! * [`choose`]: the best of many, with a guarantee or for a fixed effort.

pub mod alarm;
pub mod best;
pub mod cautions;
pub mod choose;
pub mod difference;
pub mod frontier;
pub mod headline;
pub mod ladder;
pub mod lift;
pub mod limit;
pub mod precise;
pub mod rules;
pub mod run;
pub mod rush;
pub mod trade_off;

pub use alarm::wanted as wanted_pairs;
pub use difference::{Call, Difference, Unknown};
pub use frontier::Rank;
pub use headline::{Better, Headline, Needs, headlines};
pub use ladder::{Ladder, Step};
pub use lift::lifted;
pub use run::{Case, CaseRun, run, until};
pub use rush::Rush;
pub use trade_off::Frontier;

use crate::plant::Plant;
use crate::stats::{Welford, bonferroni};
use crate::summary::money::{
    BreakEven, DemandCase, Needs as Bought, Worth, break_even_demand, worth,
};
use crate::summary::{Estimate, Standing, Summary, estimate_of};

/// The results of a case: a variant at a demand.
#[derive(Debug, Clone)]
pub struct CaseResult {
    /// Everything a single run would tell.
    pub summary: Summary,
    /// Whether it keeps up.
    pub standing: Standing,
    /// Name of the station that is used most of its open time.
    pub bottleneck: String,
    /// Name of the station that comes next.
    pub next: Option<String>,
    /// Its headline figures, or why they have no value.
    pub figures: Vec<Result<Estimate, Unknown>>,
    /// Its headline figures against those of today at the same demand; empty for today.
    pub against_today: Vec<Result<Difference, Unknown>>,
    /// By headline: the chance that this variant is best at this demand.
    pub chance_best: Vec<Option<f64>>,
    /// By headline: it is not certain that another variant is better at this demand.
    pub may_be_best: Vec<bool>,
    /// What the variant is worth against today at this demand, at the level of the differences; `None` where
    /// the scenario does not speak of money or one of the two does not keep up.
    pub worth: Option<Worth>,
}

/// A whole comparison.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Figures that are compared.
    pub headlines: Vec<Headline>,
    /// Names of the variants, today first.
    pub variants: Vec<String>,
    /// Demand cases.
    pub demands: Vec<f64>,
    /// By variant, then by demand case.
    pub cases: Vec<Vec<CaseResult>>,
    /// Level at which the intervals of one figure hold together.
    pub confidence: f64,
    /// Comparisons of one figure that hold together.
    pub together: usize,
    /// Replications asked for.
    pub asked: u32,
    /// Replications that all cases have.
    pub done: u32,
    /// Two figures that pull against each other and the rank of each variant in them, by demand case.
    pub frontier: Option<Frontier>,
    /// Today at its [`home`] demand case with its bottleneck doubled.
    pub lifted: Option<Lifted>,
    /// By variant: the demand from which on it pays, between the demand cases in which both keep up.
    pub break_even: Vec<Option<BreakEven>>,
    /// The highest demand at which today keeps its promise, where it was looked for.
    pub limit: Option<limit::Limit>,
    /// Extra changeovers against the share of the first class on time, where there are several classes.
    pub changing: Option<Frontier>,
    /// What more speed costs, for each figure that was looked at.
    pub ladders: Vec<Ladder>,
    /// What rush orders cost, where the question arises.
    pub rush: Option<Rush>,
    /// By variant: what goes with its figures.
    pub cautions: Vec<cautions::Cautions>,
}

/// What limits next.
#[derive(Debug, Clone)]
pub struct Lifted {
    /// Station that was doubled, by its place.
    pub station: usize,
    /// Its name.
    pub name: String,
    /// The cell with it doubled, against today.
    pub result: CaseResult,
}

/// The runs of a comparison: by variant, then by demand case, all with the same headlines.
pub struct Runs<'a> {
    /// Names of the variants, today first.
    pub variants: Vec<String>,
    /// Demand cases.
    pub demands: Vec<f64>,
    /// Cases by variant, then demand.
    pub cases: &'a [Case],
    /// What they said.
    pub runs: &'a [CaseRun],
    /// The compared figures.
    pub headlines: Vec<Headline>,
    /// Replications asked for.
    pub asked: u32,
}

/// The demand case that stands for today: demand 1 where it is among the cases, otherwise the first one.
pub fn home(demands: &[f64]) -> usize {
    demands
        .iter()
        .position(|&demand| demand == 1.0)
        .unwrap_or(0)
}

/// Values of a headline that may be compared: the cell keeps up where it has to.
fn values<'a>(
    run: &'a CaseRun,
    standing: Standing,
    headlines: &[Headline],
    h: usize,
) -> best::Values<'a> {
    let steady = headlines[h].needs == Needs::Nothing || standing != Standing::Overloaded;
    let all = &run.values[h];
    (steady && !all.is_empty() && all.iter().all(|v| v.is_finite())).then_some(&all[..])
}

fn has_orders(run: &CaseRun, needs: Needs, replication: usize) -> bool {
    match needs {
        Needs::Nothing | Needs::Keeping => true,
        Needs::Steady(group) => run
            .released
            .get(group)
            .and_then(|orders| orders.get(replication))
            .is_some_and(|&orders| orders > 0.0),
    }
}

/// A headline of a case by itself.
fn estimate(
    run: &CaseRun,
    standing: Standing,
    headline: &Headline,
    h: usize,
    confidence: f64,
) -> Result<Estimate, Unknown> {
    let of_orders = matches!(headline.needs, Needs::Steady(_));
    if of_orders && standing == Standing::Overloaded {
        return Err(Unknown::NotSteady);
    }
    let values = &run.values[h];
    if (0..values.len())
        .any(|i| !values[i].is_finite() && of_orders && has_orders(run, headline.needs, i))
    {
        return Err(Unknown::BeyondRun);
    }
    let place = run.layout.find(&headline.key);
    if let Some(place) = place {
        let told = estimate_of(&run.layout, &run.experiment, place, confidence);
        if told.is_known() {
            return Ok(told);
        }
    }
    let seen: Welford = values.iter().copied().filter(|v| v.is_finite()).collect();
    if seen.count() == 0 {
        return Err(Unknown::None);
    }
    Ok(Estimate::new(&seen, 0, confidence))
}

/// A headline of a case against the same one of another.
fn against(
    (mine, my_standing): (&CaseRun, Standing),
    (other, other_standing): (&CaseRun, Standing),
    headline: &Headline,
    h: usize,
    level: f64,
) -> Result<Difference, Unknown> {
    let overloaded = [my_standing, other_standing].contains(&Standing::Overloaded);
    if headline.needs != Needs::Nothing && overloaded {
        return Err(Unknown::NotSteady);
    }
    let orders = |index: usize| {
        matches!(headline.needs, Needs::Steady(_))
            && (has_orders(mine, headline.needs, index) || has_orders(other, headline.needs, index))
    };
    let alarm = alarm::moves(headline).then(|| mine.alarm(other)).flatten();
    let told = difference::difference(
        &mine.values[h],
        &other.values[h],
        orders,
        |gaps| Some(alarm.as_ref()?.tail(gaps)),
        (level, headline.better),
        other.equal(h),
    )?;
    let share = headline.unit == "share";
    Ok(if share {
        told.of_shares(&other.values[h], level)
    } else {
        told
    })
}

impl Comparison {
    /// Compares the runs.
    pub fn new(runs: &Runs<'_>) -> Self {
        let (variants, demands) = (runs.variants.len(), runs.demands.len());
        let base = &runs.cases[0].model.plant.run;
        let confidence = base.confidence;
        let together = (variants.saturating_sub(1) * demands).max(1);
        let level = bonferroni(confidence, together);
        let at = |variant: usize, demand: usize| variant * demands + demand;
        let summaries: Vec<Summary> = runs
            .cases
            .iter()
            .zip(runs.runs)
            .map(|(case, run)| Summary::new(&case.model, &case.layout, &run.experiment))
            .collect();
        let standings: Vec<Standing> = summaries.iter().map(Standing::of).collect();
        let mut cases: Vec<Vec<CaseResult>> = Vec::new();
        let mut summaries = summaries.into_iter();
        for variant in 0..variants {
            let mut row = Vec::new();
            for (demand, summary) in summaries.by_ref().take(demands).enumerate() {
                let index = at(variant, demand);
                let (run, standing) = (&runs.runs[index], standings[index]);
                let today = (&runs.runs[demand], standings[demand]);
                let told = |h: usize, headline: &Headline| {
                    against((run, standing), today, headline, h, level)
                };
                row.push(CaseResult {
                    bottleneck: station_name(&runs.cases[index], summary.bottleneck.station),
                    next: summary
                        .bottleneck
                        .next
                        .map(|next| station_name(&runs.cases[index], next)),
                    summary,
                    standing,
                    figures: figures(run, standing, &runs.headlines, confidence),
                    against_today: match variant {
                        0 => Vec::new(),
                        _ => runs
                            .headlines
                            .iter()
                            .enumerate()
                            .map(|(h, l)| told(h, l))
                            .collect(),
                    },
                    chance_best: Vec::new(),
                    may_be_best: Vec::new(),
                    worth: None,
                });
            }
            cases.push(row);
        }
        for demand in 0..demands {
            for (h, headline) in runs.headlines.iter().enumerate() {
                let all: Vec<best::Values<'_>> = (0..variants)
                    .map(|v| {
                        let index = at(v, demand);
                        values(&runs.runs[index], standings[index], &runs.headlines, h)
                    })
                    .collect();
                let stream = (demand * runs.headlines.len() + h) as u64;
                let chances = best::chances(&all, headline.better, base.seed, stream);
                let left = match headline.better {
                    Better::Neither => Vec::new(),
                    better => best::not_told_apart(&all, better, confidence, demands),
                };
                for (variant, row) in cases.iter_mut().enumerate() {
                    let case = &mut row[demand];
                    case.chance_best.push(chances[variant]);
                    case.may_be_best.push(left.contains(&variant));
                }
            }
        }
        let frontier = trade_off::of_leads(runs, &standings, confidence);
        let changing = trade_off::of_changing(runs, &standings, confidence);
        let ladders = ladder::ladders(runs, &standings, confidence);
        let break_even = money(runs, &standings, level, &mut cases);
        let case = home(&runs.demands);
        let plants: Vec<&Plant> = (0..variants)
            .map(|v| &runs.cases[at(v, case)].model.plant)
            .collect();
        Self {
            headlines: runs.headlines.clone(),
            variants: runs.variants.clone(),
            demands: runs.demands.clone(),
            cases,
            confidence,
            together,
            asked: runs.asked,
            done: runs.runs.first().map_or(0, |run| run.experiment.done),
            frontier,
            lifted: None,
            break_even,
            limit: None,
            changing,
            ladders,
            rush: None,
            cautions: cautions::cautions(&plants),
        }
    }

    /// Adds today (at its [`home`] demand case) with its bottleneck doubled.
    pub fn with_lifted(
        &mut self,
        station: usize,
        name: String,
        lifted: (&Case, &CaseRun),
        today: &CaseRun,
    ) {
        let (case, run) = lifted;
        let summary = Summary::new(&case.model, &case.layout, &run.experiment);
        let standing = Standing::of(&summary);
        let before = (today, self.cases[0][home(&self.demands)].standing);
        let against_today = self
            .headlines
            .iter()
            .enumerate()
            .map(|(h, headline)| against((run, standing), before, headline, h, self.confidence))
            .collect();
        self.lifted = Some(Lifted {
            station,
            name,
            result: CaseResult {
                figures: figures(run, standing, &self.headlines, self.confidence),
                bottleneck: station_name(case, summary.bottleneck.station),
                next: summary.bottleneck.next.map(|next| station_name(case, next)),
                summary,
                standing,
                against_today,
                chance_best: Vec::new(),
                may_be_best: Vec::new(),
                worth: None,
            },
        });
    }

    /// Headlines that the verdict speaks of.
    pub fn deciding(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.headlines.len()).filter(|&h| self.headlines[h].decides)
    }
}

fn figures(
    run: &CaseRun,
    standing: Standing,
    headlines: &[Headline],
    confidence: f64,
) -> Vec<Result<Estimate, Unknown>> {
    headlines
        .iter()
        .enumerate()
        .map(|(h, headline)| estimate(run, standing, headline, h, confidence))
        .collect()
}

/// What every variant is worth against today, into the cases; and from which demand on it pays.
fn money(
    runs: &Runs<'_>,
    standings: &[Standing],
    level: f64,
    cases: &mut [Vec<CaseResult>],
) -> Vec<Option<BreakEven>> {
    let demands = runs.demands.len();
    let mut rising: Vec<usize> = (0..demands).collect();
    rising.sort_by(|&a, &b| runs.demands[a].total_cmp(&runs.demands[b]));
    let mut break_even = vec![None];
    for (variant, row) in cases.iter_mut().enumerate().skip(1) {
        let mut paying = Vec::new();
        for &demand in &rising {
            let index = variant * demands + demand;
            if [standings[index], standings[demand]].contains(&Standing::Overloaded) {
                continue;
            }
            let told = |case: usize| runs.cases[case].model.plant.money.as_ref();
            let bought = Bought::between(told(demand), told(index));
            let (today, mine) = (&runs.runs[demand].yearly, &runs.runs[index].yearly);
            let gains: Vec<f64> = mine.iter().zip(today).map(|(a, b)| a - b).collect();
            let alarm = runs.runs[index].alarm(&runs.runs[demand]);
            let tail = alarm.map(|alarm| alarm.tail(&gains));
            row[demand].worth = worth(today, mine, &bought, level, tail);
            if let Some(cost) = bought.annual_cost() {
                let gains = mine.iter().zip(today).map(|(a, b)| a - b - cost);
                paying.push(DemandCase {
                    demand: runs.demands[demand],
                    differences: gains.collect(),
                });
            }
        }
        break_even.push(break_even_demand(&paying, level));
    }
    break_even
}

fn station_name(case: &Case, station: usize) -> String {
    case.model
        .plant
        .stations
        .get(station)
        .map_or_else(String::new, |station| station.name.clone())
}

/// The starter cell, for tests.
#[cfg(test)]
fn starter() -> crate::plant::Plant {
    let text = crate::scenario::starter();
    crate::scenario::read("starter.yaml", text.as_bytes())
        .unwrap()
        .plant
}
