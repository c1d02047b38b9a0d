//! What a run will cost, before it is run: events, memory, time, by arithmetic from the model alone.
//!
//! In: a compiled [`Model`]. Out: an [`Effort`], right within a factor of two or three for cells of the trade, too high
//! rather than too low. It is there to tell seconds from days and megabytes from what no machine has.

use crate::model::{Model, PartModel, plan_web};
use crate::plant::{Calendar, LotSize, Work};
use crate::random::Dist;
use crate::units::TICKS_PER_MINUTE;

use super::station_bounds;

/// Events a second on one core that the time is reckoned with. Measured on a virtual machine of a common server:
/// three to nine million (docs/performance.md).
pub const EVENTS_PER_S: f64 = 4e6;

/// Most events of one replication that are run.
pub const EVENTS_MAX: f64 = 1e10;

/// Most memory of a run that is begun, bytes.
pub const MEMORY_MAX: f64 = 16e9;

/// Bytes of an order with its lines in the cell, and of a lot.
const ORDER_BYTES: f64 = 400.0;
const LOT_BYTES: f64 = 300.0;
/// Bytes of an order that was measured, in the tally of a thread.
const ROW_BYTES: f64 = 100.0;
/// Bytes of an event of the replication that is kept for the timeline, the orders' list and stories.
const TRACED_BYTES: f64 = 64.0;
/// Bytes of the program itself.
const PROGRAM_BYTES: f64 = 20e6;

/// Minutes of a week.
const WEEK_MIN: f64 = 7.0 * 1440.0;

/// What a run will cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Orders of one replication.
    pub orders: f64,
    /// Events of one replication; looking through a queue that only grows counts as events, too.
    pub events: f64,
    /// Replications.
    pub replications: f64,
    /// Memory of the run on one core, bytes.
    pub memory: f64,
}

impl Effort {
    /// Time of all replications on one core, seconds.
    pub fn core_s(&self) -> f64 {
        self.replications * self.events / EVENTS_PER_S
    }
}

/// The effort of a run of the model, as many replications as its plan says.
pub fn effort(model: &Model) -> Effort {
    let plant = &model.plant;
    let minutes = model.end as f64 / TICKS_PER_MINUTE as f64;
    let mut sum = Effort {
        orders: plant.book.len() as f64,
        events: 0.0,
        replications: f64::from(plant.run.replications),
        memory: PROGRAM_BYTES,
    };
    let mut lots = 0.0;
    for stream in &plant.arrivals {
        let orders = minutes / WEEK_MIN * stream.orders_per_week(&plant.calendars);
        sum.orders += orders;
        sum.events += orders;
        for &(product, share) in &stream.products {
            let of_sku = events_of(model, product, stream.quantity.mean());
            let skus = orders * share * stream.skus.mean();
            sum.events += skus * of_sku.events;
            lots += skus * of_sku.lots;
        }
    }
    for line in plant.book.iter().flat_map(|order| &order.lines) {
        let of_sku = events_of(model, line.product, line.quantity);
        sum.events += of_sku.events;
        lots += of_sku.lots;
    }
    sum.events += of_machines(model, minutes);
    // What the fullest station cannot do stays, and is looked through again and again.
    let bounds = station_bounds(model);
    let load = bounds.iter().map(|bound| bound.load());
    let load = load.filter(|load| load.is_finite()).fold(0.0, f64::max);
    let left = lots * (1.0 - 1.0 / load.max(1.0));
    sum.events += sum.events * left / 50.0;
    let share = left / lots.max(1.0);
    sum.memory += share.max(0.05) * (sum.orders * ORDER_BYTES + lots * LOT_BYTES);
    sum.memory += sum.orders * ROW_BYTES + sum.events.min(lots * 40.0) * TRACED_BYTES;
    let samples = model.end as f64 / model.sample_every.max(1) as f64;
    sum.memory += 2.0 * samples * 8.0 * (2.0 + plant.stations.len() as f64);
    sum
}

/// Events and lots of one SKU.
struct OfSku {
    events: f64,
    lots: f64,
}

fn events_of(model: &Model, product: usize, quantity: f64) -> OfSku {
    let mut all = OfSku {
        events: 0.0,
        lots: 0.0,
    };
    for index in model.parts_of(product) {
        let part = &model.parts[index as usize];
        let plan = plan_web(part, &model.ask(index as usize, quantity, 1));
        let metres = plan.printed as f64 / 1000.0 / f64::from(part.lanes.max(1));
        let mut lots = rolls(part, metres);
        let mut most = lots;
        for step in &part.steps {
            let station = &model.stations[step.station];
            lots = match station.lot {
                LotSize::Roll => lots,
                LotSize::Order => 1.0,
                LotSize::Metres(each) => lots.max(metres / each),
                LotSize::Pouches(each) => lots.max(quantity / each),
            };
            most = lots.max(most);
            // Joining, start, end, and a hold; reels of zipper or film, sets of the slitter.
            let job = &step.jobs[step.plan_job];
            let reels = job
                .reel
                .map_or(0.0, |(each, _)| 1000.0 * metres / each.max(1.0));
            all.events +=
                lots * if station.work == Work::Bench {
                    2.0
                } else {
                    3.0
                } + reels;
        }
        all.lots += most;
    }
    all
}

/// Rolls that so many metres come in.
fn rolls(part: &PartModel, metres: f64) -> f64 {
    match part.roll_max_mm.is_finite() && part.roll_max_mm > 0.0 {
        true => (metres * 1000.0 / part.roll_max_mm).ceil().max(1.0),
        false => 1.0,
    }
}

/// Shifts, stops and repairs of all machines.
fn of_machines(model: &Model, minutes: f64) -> f64 {
    let plant = &model.plant;
    let stations = plant.stations.iter();
    let machines = stations.flat_map(|station| &station.machines);
    let each = machines.map(|machine| {
        let share = open_share(&plant.calendars[machine.calendar]);
        let per = |every: &Dist| 2.0 * minutes * share / every.mean().max(1e-3);
        let stops = machine
            .micro_stops
            .as_ref()
            .map_or(0.0, |stops| per(&stops.every));
        // By metres: a machine runs some 30 m a minute.
        let breaks: f64 = machine.breakdowns.iter().map(|b| per(&b.every)).sum();
        stops + breaks
    });
    let changes: usize = model
        .machines
        .iter()
        .map(|machine| machine.timeline.len())
        .sum();
    let samples = model.end as f64 / model.sample_every.max(1) as f64;
    each.sum::<f64>() + 2.0 * changes as f64 + samples
}

/// Share of the week in which a calendar is open.
fn open_share(calendar: &Calendar) -> f64 {
    (calendar.weekly_open_min() as f64 / WEEK_MIN).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model;
    use crate::observe::Layout;
    use crate::replicate;
    use crate::scenario;

    /// The reckoned events against those the engine counts.
    #[test]
    fn the_estimate_is_of_the_size_of_the_run() {
        let starter = scenario::starter().to_owned();
        let busy = starter.replace("per_week: 4\n", "per_week: 8\n");
        for text in [starter, busy] {
            let plant = scenario::read("cell.yaml", text.as_bytes()).unwrap().plant;
            let model = model::compile(plant);
            let (_, counts) = replicate::one(&model, &Layout::new(&model), 0);
            let ratio = effort(&model).events / counts.events as f64;
            assert!((0.4..=5.0).contains(&ratio), "{ratio}");
        }
    }

    #[test]
    fn what_no_machine_can_do_is_seen_before_it_is_tried() {
        let text = scenario::starter().replace("measure: 26 weeks", "measure: 520 weeks");
        let plant = scenario::read("cell.yaml", text.as_bytes()).unwrap().plant;
        let usual = effort(&model::compile(plant.clone()));
        assert!(usual.events < EVENTS_MAX && usual.memory < 1e9, "{usual:?}");
        let mut many = plant;
        for stream in &mut many.arrivals {
            stream.gap = Dist::Constant(0.02);
        }
        assert!(effort(&model::compile(many)).events > EVENTS_MAX);
    }
}
