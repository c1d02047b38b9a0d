//! One replication counted down to its figures.
//!
//! Memory: one small row per measured order while the replication runs, a vector of figures after it.

use crate::kernel::NEVER;
use crate::model::{Model, SAMPLES};
use crate::record::{
    Finished, Levels, Lost, LotName, Observe, Refused, SPENT, STATES, State, Unfinished, WebOf,
};
use crate::units::{TICKS_PER_MINUTE, Tick};

use super::fate::Fate;
use super::groups::{Figures, Row, grouped, late_min, slice_of};
use super::layout::{LEADS, Layout};
use super::money::Counted;
use super::spans::Spans;
use super::web::Web;

/// What one replication leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// One number for each figure of the layout; NaN where there is none (no such order).
    pub figures: Vec<f64>,
    /// What each figure is the mean of: orders of a share or a lead time, web of a share of web. 0 where there is
    /// nothing of its kind, 1 where every replication counts the same.
    pub weights: Vec<f64>,
    /// By group, then by kind of lead time.
    pub spans: Vec<Spans>,
    /// Levels over time, sample after sample: orders, curing, then queue by station.
    pub levels: Vec<f32>,
    /// Station with the highest utilisation.
    pub bottleneck: usize,
}

/// Counts one replication.
#[derive(Debug, Clone)]
pub struct Tally<'a> {
    model: &'a Model,
    rows: Vec<Row>,
    states: Vec<[Tick; STATES]>,
    /// Ticks by class, then by entry of the split. Whole numbers: their sum has no rounding.
    split: Vec<Vec<Tick>>,
    split_orders: Vec<u64>,
    /// By class, then by product.
    fates: Vec<Fate>,
    /// By pool: ticks that machines waited for its people.
    short_of: Vec<Tick>,
    /// Good pouches beyond the ordered quantity, by class.
    unpaid: Vec<i64>,
    waste_m2: Vec<f64>,
    /// Lost, cut off or not used.
    lost_m2: f64,
    waste_kg: f64,
    waste_mm: f64,
    waste_money: f64,
    web_mm: f64,
    web_m2: f64,
    web_money: f64,
    /// By product.
    webs: Vec<Web>,
    wip_ticks: i128,
    /// By station: ticks that lots stood in its queue, summed over them.
    queued: Vec<i128>,
    /// Ticks that lots were held for cure, summed over them.
    cured: i128,
    levels: Vec<f32>,
    /// Stations with machines that stand still for good.
    stuck: Vec<bool>,
}

impl<'a> Tally<'a> {
    /// An empty tally.
    pub fn new(model: &'a Model) -> Self {
        let classes = model.plant.classes.len();
        Self {
            model,
            rows: Vec::new(),
            states: vec![[0; STATES]; model.machines.len()],
            split: vec![vec![0; model.stations.len() + SPENT]; classes],
            split_orders: vec![0; classes],
            fates: vec![Fate::default(); classes + model.plant.products.len()],
            short_of: vec![0; model.plant.pools.len()],
            unpaid: vec![0; classes],
            waste_m2: vec![0.0; model.stations.len()],
            lost_m2: 0.0,
            waste_kg: 0.0,
            waste_mm: 0.0,
            waste_money: 0.0,
            web_mm: 0.0,
            web_m2: 0.0,
            web_money: 0.0,
            webs: vec![Web::default(); model.plant.products.len()],
            wip_ticks: 0,
            queued: vec![0; model.stations.len()],
            cured: 0,
            stuck: vec![false; model.stations.len()],
            levels: Vec::with_capacity((SAMPLES + 2) * (2 + model.stations.len())),
        }
    }

    /// Overlap with the measured time.
    #[inline]
    fn measured(&self, from: Tick, to: Tick) -> Tick {
        (to.min(self.model.measured_end) - from.max(self.model.warm_up)).max(0)
    }

    #[inline]
    fn within(&self, at: Tick) -> bool {
        at >= self.model.warm_up && at < self.model.measured_end
    }

    /// The figures, in the order of `layout`.
    pub fn outcome(mut self, layout: &Layout) -> Outcome {
        let window = (self.model.measured_end - self.model.warm_up).max(1);
        let weeks = window as f64 / (7 * 1440 * TICKS_PER_MINUTE) as f64;
        let mut into = Figures {
            figures: Vec::with_capacity(layout.measures.len()),
            weights: Vec::with_capacity(layout.measures.len()),
            spans: Vec::with_capacity(layout.groups.len() * LEADS.len()),
        };
        let classes = self.model.plant.classes.len();
        // Rows by group are slices of one vector, sorted by class or product in turn.
        let mut rows = std::mem::take(&mut self.rows);
        let (by_class, by_product) = self.fates.split_at(classes);
        let mut all = Fate::default();
        by_class.iter().for_each(|fate| all.add(fate));
        into.group(&all, &rows, weeks);
        // A cell with one class or one product has the figures of all orders once more.
        if classes == 1 {
            into.again();
        } else {
            rows = grouped(&rows, classes, |r| r.class);
            for (class, fate) in by_class.iter().enumerate() {
                into.group(fate, slice_of(&rows, class, |r| r.class), weeks);
            }
        }
        if by_product.len() == 1 && classes == 1 {
            into.again();
        } else {
            rows = grouped(&rows, by_product.len(), |r| r.product);
            for (product, fate) in by_product.iter().enumerate() {
                into.group(fate, slice_of(&rows, product, |r| r.product), weeks);
            }
        }
        let Figures {
            mut figures,
            mut weights,
            spans,
        } = into;
        let mut all_split = vec![0; self.model.stations.len() + SPENT];
        for split in &self.split {
            for (sum, ticks) in all_split.iter_mut().zip(split) {
                *sum += ticks;
            }
        }
        let all_orders: u64 = self.split_orders.iter().sum();
        let groups = std::iter::once((&all_split, all_orders))
            .chain(self.split.iter().zip(self.split_orders.iter().copied()));
        for (split, orders) in groups {
            figures.extend(
                split
                    .iter()
                    .map(|&ticks| ticks as f64 / TICKS_PER_MINUTE as f64 / orders as f64),
            );
            weights.resize(figures.len(), orders as f64);
        }
        for states in &self.states {
            debug_assert_eq!(
                states.iter().sum::<Tick>(),
                window,
                "machine minutes add up to the window"
            );
            figures.extend(states.iter().map(|&t| t as f64 / window as f64));
            figures.push(utilisation(std::slice::from_ref(states)));
        }
        let mut best = (0, -1.0);
        let samples = self.window_samples();
        let level = |index: usize| samples.clone().map(move |row| f64::from(row[index]));
        for (index, station) in self.model.stations.iter().enumerate() {
            let used = utilisation(&self.states[station.machines.clone()]);
            if used > best.1 {
                best = (index, used);
            }
            figures.push(used);
            figures.push(self.queued[index] as f64 / window as f64);
            figures.push(self.waste_m2[index] / weeks);
        }
        figures.push(self.wip_ticks as f64 / window as f64);
        figures.push(slope(level(0)) / sample_weeks(self.model));
        figures.push(self.cured as f64 / window as f64);
        figures.push(self.web_mm / 1000.0 / weeks);
        weights.resize(figures.len(), 1.0);
        weights.push(self.web_m2);
        // Waste of web that came before the measured time has no share of the web that came within it.
        let share = self.lost_m2 / self.web_m2;
        figures.push(if share.is_finite() { share } else { f64::NAN });
        figures.push(self.waste_kg / weeks);
        figures.push(self.web_m2 / weeks);
        figures.push(self.waste_mm / 1000.0 / weeks);
        figures.push(self.waste_money / weeks);
        let half = level(0).len() / 2;
        figures.push(slope(level(0).skip(half)) / sample_weeks(self.model));
        weights.resize(figures.len(), 1.0);
        if let Some(told) = &self.model.plant.money {
            let told_of =
                |of: fn(&Fate) -> i64| -> Vec<i64> { self.fates.iter().map(of).collect() };
            let pouches = told_of(|fate| fate.pouches);
            let (out, away) = (told_of(|f| f.pouches_out), told_of(|f| f.pouches_away));
            let (by_class, by_product) = pouches.split_at(classes);
            let counted = Counted {
                states: &self.states,
                web_money: self.web_money,
                waste_money: self.waste_money,
                waste_kg: self.waste_kg,
                pouches_by_class: by_class,
                unpaid_by_class: &self.unpaid,
                out_by_class: &out[..classes],
                away_by_class: &away[..classes],
                pouches_by_product: by_product,
                late_min_by_class: &late_min(&rows, classes),
            };
            figures.extend(super::money::figures(self.model, told, &counted));
            weights.resize(figures.len(), 1.0);
            weights[layout.first_money + super::money::PER_THOUSAND] =
                (pouches[..classes].iter().sum::<i64>() + out[..classes].iter().sum::<i64>())
                    as f64;
        }
        let hours = 1.0 / (60 * TICKS_PER_MINUTE) as f64 / weeks;
        figures.extend(self.short_of.iter().map(|&ticks| ticks as f64 * hours));
        weights.resize(figures.len(), 1.0);
        let mut all = Web::default();
        self.webs.iter().for_each(|web| all.add(web));
        figures.extend(all.figures(weeks));
        for product in super::web::products(self.model) {
            figures.extend(self.webs[product].figures(weeks));
        }
        if layout.standstill {
            let any = self.stuck.contains(&true);
            let all = std::iter::once(&any).chain(&self.stuck);
            figures.extend(all.map(|&stuck| f64::from(u8::from(stuck))));
        }
        weights.resize(figures.len(), 1.0);
        debug_assert_eq!(figures.len(), layout.measures.len());
        Outcome {
            figures,
            weights,
            spans,
            levels: self.levels,
            bottleneck: best.0,
        }
    }

    /// The samples of the measured time.
    fn window_samples(&self) -> std::slice::ChunksExact<'_, f32> {
        let every = self.model.sample_every;
        let from = (self.model.warm_up / every) as usize;
        let to = (self.model.measured_end / every) as usize;
        let width = 2 + self.model.stations.len();
        let to = to.min(self.levels.len() / width);
        self.levels[from.min(to) * width..to * width].chunks_exact(width)
    }
}

/// Used time of open time. Waiting for people and being blocked are not use.
fn utilisation(machines: &[[Tick; STATES]]) -> f64 {
    let (mut used, mut open) = (0, 0);
    for states in machines {
        let closed = states[State::OffShift as usize] + states[State::Maintenance as usize];
        open += states.iter().sum::<Tick>() - closed;
        used += [
            State::Changeover,
            State::Running,
            State::PlannedStop,
            State::Down,
            State::MicroStop,
            State::FirstOff,
            State::RunningShort,
        ]
        .iter()
        .map(|&s| states[s as usize])
        .sum::<Tick>();
    }
    used as f64 / open as f64
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

/// Least-squares slope per sample.
fn slope(values: impl ExactSizeIterator<Item = f64> + Clone) -> f64 {
    let n = values.len() as f64;
    let middle = (n - 1.0) / 2.0;
    let mean = mean(values.clone());
    let (mut xy, mut xx) = (0.0, 0.0);
    for (i, y) in values.enumerate() {
        let x = i as f64 - middle;
        xy += x * (y - mean);
        xx += x * x;
    }
    xy / xx
}

fn sample_weeks(model: &Model) -> f64 {
    model.sample_every as f64 / (7 * 1440 * TICKS_PER_MINUTE) as f64
}

impl Observe for Tally<'_> {
    const LOTS: bool = false;

    #[inline]
    fn state(&mut self, machine: usize, state: State, from: Tick, to: Tick, _: Option<LotName>) {
        let ticks = self.measured(from, to);
        self.states[machine][state as usize] += ticks;
    }

    /// Only where a stretch is measured in part.
    fn asks(&self, from: Tick, to: Tick) -> bool {
        let ends = [self.model.warm_up, self.model.measured_end];
        ends.iter().any(|&at| from < at && at < to)
    }

    fn states(&mut self, machine: usize, from: Tick, to: Tick, ticks: &[Tick; STATES]) {
        let measured = from >= self.model.warm_up && to <= self.model.measured_end;
        let sums = self.states[machine].iter_mut().zip(ticks);
        sums.filter(|_| measured).for_each(|(sum, t)| *sum += t);
    }

    fn waited(&mut self, station: usize, from: Tick, to: Tick) {
        self.queued[station] += i128::from(self.measured(from, to));
    }

    fn cured(&mut self, from: Tick, to: Tick) {
        self.cured += i128::from(self.measured(from, to));
    }

    fn levels(&mut self, _: Tick, levels: Levels<'_>) {
        self.levels.push(levels.orders as f32);
        self.levels.push(levels.curing as f32);
        self.levels.extend(levels.queues.iter().map(|&q| q as f32));
    }

    #[inline]
    fn finished(&mut self, order: Finished<'_>) {
        self.wip_ticks += i128::from(self.measured(order.released, order.done));
        let classes = self.model.plant.classes.len();
        if self.within(order.done) {
            for group in [order.class, classes + order.product] {
                let fate = &mut self.fates[group];
                fate.done += 1;
                fate.pouches += order.good;
            }
            let money = self.model.plant.money.as_ref();
            let over = (order.good - order.ordered).max(0);
            let paid = money.map_or(0.0, |money| order.ordered as f64 * money.overs_paid);
            self.unpaid[order.class] += over - over.min(paid as i64);
        }
        if !order.measured {
            return;
        }
        let over = (order.good - order.ordered).max(0);
        self.webs[order.product].over(self.model, order.product, over);
        for group in [order.class, classes + order.product] {
            self.fates[group].ended(&order);
        }
        self.rows.push(Row {
            class: order.class as u16,
            product: order.product as u16,
            done: order.done - order.released,
            packed: order.packed - order.released,
            first_pouch: if order.first_pouch == NEVER {
                NEVER
            } else {
                order.first_pouch - order.released
            },
            late: if order.due == NEVER {
                NEVER
            } else {
                order.done - order.due
            },
        });
        self.split_orders[order.class] += 1;
        for (sum, &ticks) in self.split[order.class].iter_mut().zip(order.split) {
            *sum += ticks;
        }
    }

    fn refused(&mut self, order: Refused) {
        if order.measured {
            let classes = self.model.plant.classes.len();
            for group in [order.class, classes + order.product] {
                self.fates[group].refused(&order);
            }
        }
    }

    fn short_of(&mut self, _: usize, pool: usize, from: Tick, to: Tick) {
        self.short_of[pool] += self.measured(from, to);
    }

    fn unfinished(&mut self, order: Unfinished) {
        self.wip_ticks += i128::from(self.measured(order.released, self.model.end));
        if order.measured {
            // Not done when the clock ends: late for certain if the promise has passed, and counted as late
            // otherwise too, since it was given the whole run-out to be done.
            self.rows.push(Row {
                class: order.class as u16,
                product: order.product as u16,
                done: NEVER,
                packed: NEVER,
                first_pouch: NEVER,
                late: if order.due == NEVER {
                    NEVER
                } else {
                    (self.model.end - order.due).max(1)
                },
            });
        }
    }

    fn released(&mut self, _: Tick, web: WebOf, lane_mm: i64) {
        if web.measured {
            let part = &self.model.parts[web.part];
            self.web_mm += lane_mm as f64 / f64::from(part.lanes);
            let worth = part.worth_at(web.step);
            let m2 = self.webs[part.product].handed_over(part, lane_mm, worth);
            self.web_m2 += m2;
            self.web_money += m2 * worth.price_per_m2;
            // What lies beside the lanes is printed, laminated and paid, and cut off: lost from the beginning.
            let beside = m2 - lane_mm as f64 / 1000.0 * part.m2_per_lane_m;
            self.lost_m2 += beside;
            self.waste_kg += beside * worth.kg_per_m2;
            self.waste_money += beside * worth.price_per_m2;
        }
    }

    fn joined(&mut self, _: Tick, web: WebOf, lane_mm: i64) {
        if web.measured {
            let part = &self.model.parts[web.part];
            let added = part.steps[web.step].adds();
            let metres = lane_mm as f64 / 1000.0 / f64::from(part.lanes);
            let m2 = metres * part.web_mm / 1000.0;
            self.webs[part.product].joined(m2, added);
            self.web_money += m2 * added.price_per_m2;
            // What it covers beside the lanes is cut off with the rest.
            let beside = m2 - lane_mm as f64 / 1000.0 * part.m2_per_lane_m;
            self.waste_kg += beside * added.kg_per_m2;
            self.waste_money += beside * added.price_per_m2;
        }
    }

    fn stuck(&mut self, machine: usize) {
        self.stuck[self.model.machines[machine].station] = true;
    }

    fn waste(&mut self, _: Tick, station: usize, why: Lost, lost: [i64; 2], web: WebOf) {
        if web.measured {
            let part = &self.model.parts[web.part];
            let [lane_mm, pouches] = lost;
            let lane_mm = lane_mm + (pouches as f64 * part.pitch_mm) as i64;
            let m2 = lane_mm as f64 / 1000.0 * part.m2_per_lane_m;
            self.webs[part.product].lost(why, m2);
            self.waste_m2[station] += m2;
            self.lost_m2 += m2;
            let worth = part.worth_lost(web.step);
            self.waste_kg += m2 * worth.kg_per_m2;
            self.waste_mm += lane_mm as f64 / f64::from(part.lanes);
            self.waste_money += m2 * worth.price_per_m2;
        }
    }
}
