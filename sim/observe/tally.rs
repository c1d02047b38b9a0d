//! One replication counted down to its figures.
//!
//! Memory: one small row per measured order while the replication runs, a vector of figures after it.

use crate::kernel::NEVER;
use crate::model::{Model, SAMPLES};
use crate::record::{Finished, Levels, Lost, LotName, Observe, SPENT, STATES, State, Unfinished};
use crate::units::{TICKS_PER_MINUTE, Tick, minutes_from_ticks};

use super::histogram::{SpanCounts, bin};
use super::layout::{GROUP_FIGURES, LEAD_FIGURES, LEADS, Layout, QUANTILES};
use super::money::Counted;
use super::web::Web;

/// A measured order, finished or not.
#[derive(Debug, Clone, Copy)]
struct Row {
    class: u16,
    product: u16,
    done: Tick,
    packed: Tick,
    first_pouch: Tick,
    /// Done minus promised; `NEVER` for an order without promise.
    late: Tick,
}

/// What one replication leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// One number for each figure of the layout; NaN where there is none (no such order).
    pub figures: Vec<f64>,
    /// Lead time to done by group of all orders and classes.
    pub spans: Vec<SpanCounts>,
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
    /// By class, then by product: orders and pouches.
    done: Vec<(u64, i64)>,
    /// Good pouches beyond the ordered quantity, by class.
    overs: Vec<i64>,
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
    levels: Vec<f32>,
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
            done: vec![(0, 0); classes + model.plant.products.len()],
            overs: vec![0; classes],
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
        let mut figures = Vec::with_capacity(layout.measures.len());
        let classes = self.model.plant.classes.len();
        let mut spans = vec![SpanCounts::default(); 1 + classes];
        for row in &self.rows {
            let group = 1 + usize::from(row.class);
            if row.done == NEVER {
                spans[0].open += 1;
                spans[group].open += 1;
            } else {
                let bin = bin(row.done);
                spans[0].add(bin);
                spans[group].add(bin);
            }
        }
        // Rows by group are slices of one vector, sorted by class or product in turn.
        let mut rows = std::mem::take(&mut self.rows);
        let (by_class, by_product) = self.done.split_at(classes);
        let all = by_class.iter().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
        group_figures(all, &rows, weeks, &mut figures);
        let whole = figures.len();
        // A cell with one class or one product has the figures of all orders once more.
        if classes == 1 {
            figures.extend_from_within(..whole);
        } else {
            rows = grouped(&rows, classes, |r| r.class);
            for (class, &done) in by_class.iter().enumerate() {
                let part = slice_of(&rows, class, |r| r.class);
                group_figures(done, part, weeks, &mut figures);
            }
        }
        if by_product.len() == 1 && classes == 1 {
            figures.extend_from_within(..whole);
        } else {
            rows = grouped(&rows, by_product.len(), |r| r.product);
            for (product, &done) in by_product.iter().enumerate() {
                let part = slice_of(&rows, product, |r| r.product);
                group_figures(done, part, weeks, &mut figures);
            }
        }
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
            figures.push(mean(level(2 + index)));
            figures.push(self.waste_m2[index] / weeks);
        }
        figures.push(self.wip_ticks as f64 / window as f64);
        figures.push(slope(level(0)) / sample_weeks(self.model));
        figures.push(mean(level(1)));
        figures.push(self.web_mm / 1000.0 / weeks);
        // Waste of web that came before the measured time has no share of the web that came within it.
        let share = self.lost_m2 / self.web_m2;
        figures.push(if share.is_finite() { share } else { f64::NAN });
        figures.push(self.waste_kg / weeks);
        figures.push(self.web_m2 / weeks);
        figures.push(self.waste_mm / 1000.0 / weeks);
        figures.push(self.waste_money / weeks);
        if let Some(told) = &self.model.plant.money {
            let pouches: Vec<i64> = self.done.iter().map(|done| done.1).collect();
            let (by_class, by_product) = pouches.split_at(classes);
            let counted = Counted {
                states: &self.states,
                web_money: self.web_money,
                waste_money: self.waste_money,
                waste_kg: self.waste_kg,
                pouches_by_class: by_class,
                overs_by_class: &self.overs,
                pouches_by_product: by_product,
                late_min_by_class: &late_min(&rows, classes),
            };
            figures.extend(super::money::figures(self.model, told, &counted));
        }
        let mut all = Web::default();
        self.webs.iter().for_each(|web| all.add(web));
        figures.extend(all.figures(weeks));
        for product in super::web::products(self.model) {
            figures.extend(self.webs[product].figures(weeks));
        }
        debug_assert_eq!(figures.len(), layout.measures.len());
        Outcome {
            figures,
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

/// Figures of a group: `done` orders and pouches of the measured time, and the orders measured.
fn group_figures(done: (u64, i64), rows: &[Row], weeks: f64, figures: &mut Vec<f64>) {
    let start = figures.len();
    figures.push(done.0 as f64 / weeks);
    figures.push(done.1 as f64 / weeks);
    let promised = rows.iter().filter(|r| r.late != NEVER);
    let (mut kept, mut given, mut late_ticks, mut late) = (0_u64, 0_u64, 0.0, 0_u64);
    for row in promised {
        given += 1;
        if row.late <= 0 {
            kept += 1;
        } else {
            late += 1;
            late_ticks += row.late as f64;
        }
    }
    figures.push(kept as f64 / given as f64);
    figures.push(late_ticks / TICKS_PER_MINUTE as f64 / late as f64);
    figures.push(rows.len() as f64);
    figures.push(rows.iter().filter(|r| r.done == NEVER).count() as f64);
    debug_assert_eq!(figures.len() - start, GROUP_FIGURES);
    let mut spans: Vec<Tick> = Vec::with_capacity(rows.len());
    for lead in 0..LEADS.len() {
        // Pieces are packed when they are done: the same numbers need no second selection.
        if lead == 1 && rows.iter().all(|r| r.done == r.packed) {
            figures.extend_from_within(figures.len() - LEAD_FIGURES..);
            continue;
        }
        spans.clear();
        spans.extend(
            rows.iter()
                .map(|r| [r.done, r.packed, r.first_pouch][lead])
                .filter(|&t| lead < 2 || t != NEVER),
        );
        lead_figures(&mut spans, figures);
    }
}

/// Minutes late added up over the orders of each class.
fn late_min(rows: &[Row], classes: usize) -> Vec<f64> {
    let mut sums = vec![0.0; classes];
    for row in rows.iter().filter(|r| r.late != NEVER && r.late > 0) {
        sums[usize::from(row.class)] += minutes_from_ticks(row.late);
    }
    sums
}

/// Mean and quantiles of spans, minutes. Spans that never ended are infinite: a quantile that falls
/// among them is infinite, and so is the mean.
fn lead_figures(spans: &mut [Tick], figures: &mut Vec<f64>) {
    let minutes = |t: Tick| {
        if t == NEVER {
            f64::INFINITY
        } else {
            minutes_from_ticks(t)
        }
    };
    figures.push(spans.iter().map(|&t| minutes(t)).sum::<f64>() / spans.len() as f64);
    let mut from = 0;
    for (p, _) in QUANTILES {
        if spans.is_empty() {
            figures.push(f64::NAN);
            continue;
        }
        // Type 7, linear between order statistics; everything below `from` is already known to be smaller.
        let place = (spans.len() - 1) as f64 * p;
        let (low, part) = (place.floor() as usize, place.fract());
        let (_, &mut below, above) = spans[from..].select_nth_unstable(low - from);
        let next = above.iter().copied().min().unwrap_or(below);
        let (below, next) = (minutes(below), minutes(next));
        figures.push(if part == 0.0 || next == below {
            below
        } else {
            below + part * (next - below)
        });
        from = low;
    }
    debug_assert_eq!(1 + QUANTILES.len(), LEAD_FIGURES);
}

/// The rows group after group, those of one group in the order they came in.
fn grouped(rows: &[Row], groups: usize, key: impl Fn(&Row) -> u16) -> Vec<Row> {
    let mut places = vec![0; groups + 1];
    for row in rows {
        places[usize::from(key(row)) + 1] += 1;
    }
    for group in 1..=groups {
        places[group] += places[group - 1];
    }
    let mut out = rows.to_vec();
    for row in rows {
        let place: &mut usize = &mut places[usize::from(key(row))];
        out[*place] = *row;
        *place += 1;
    }
    out
}

fn slice_of(rows: &[Row], index: usize, key: impl Fn(&Row) -> u16) -> &[Row] {
    let from = rows.partition_point(|r| usize::from(key(r)) < index);
    let to = rows.partition_point(|r| usize::from(key(r)) <= index);
    &rows[from..to]
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
                let done = &mut self.done[group];
                done.0 += 1;
                done.1 += order.good;
            }
            let over = (order.good - order.ordered).max(0);
            self.overs[order.class] += over;
            self.webs[order.product].over(self.model, order.product, over);
        }
        if !order.measured {
            return;
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

    fn released(&mut self, at: Tick, part: usize, lane_mm: i64) {
        if self.within(at) {
            let part = &self.model.parts[part];
            self.web_mm += lane_mm as f64 / f64::from(part.lanes);
            let m2 = self.webs[part.product].handed_over(part, lane_mm);
            self.web_m2 += m2;
            self.web_money += m2 * part.price_per_m2;
            // What lies beside the lanes is printed, laminated and paid, and cut off: lost from the beginning.
            let beside = m2 - lane_mm as f64 / 1000.0 * part.m2_per_lane_m;
            self.lost_m2 += beside;
            self.waste_kg += beside * part.kg_per_m2;
            self.waste_money += beside * part.price_per_m2;
        }
    }

    fn waste(&mut self, at: Tick, station: usize, why: Lost, lost: [i64; 2], part: usize) {
        if self.within(at) {
            let part = &self.model.parts[part];
            let [lane_mm, pouches] = lost;
            let lane_mm = lane_mm + (pouches as f64 * part.pitch_mm) as i64;
            let m2 = lane_mm as f64 / 1000.0 * part.m2_per_lane_m;
            self.webs[part.product].lost(why, m2);
            self.waste_m2[station] += m2;
            self.lost_m2 += m2;
            self.waste_kg += m2 * part.kg_per_m2;
            self.waste_mm += lane_mm as f64 / f64::from(part.lanes);
            self.waste_money += m2 * part.price_per_m2;
        }
    }
}
