//! The figures a cell has, in one fixed order: every replication yields one number for each.
//!
//! In: a model. Out: [`Layout`], which says where each figure stands, its key, label and unit.
//! Keys are paths: `lead_done/all/p90`; they are the keys of `summary.json` too.

use crate::model::Model;
use crate::plant::circle::circle;
use crate::record::{ALL_SPENT, ALL_STATES, SPENT, STATES};

/// Points of a distribution that are reported.
pub const QUANTILES: [(f64, &str); 5] = [
    (0.5, "p50"),
    (0.8, "p80"),
    (0.9, "p90"),
    (0.95, "p95"),
    (0.99, "p99"),
];

/// One figure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measure {
    /// Path-like key, unique.
    pub key: String,
    /// Words for people.
    pub label: String,
    /// Unit of the number.
    pub unit: &'static str,
}

/// How the numbers of the replications become one figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Their mean; where they have weights, the ratio of totals.
    Mean,
    /// A share of orders: the ratio of totals, between 0 and 1.
    Share,
    /// A quantile of the spans of all replications together: place among [`super::Outcome::spans`], share.
    Point(usize, f64),
}

/// Kinds of lead time.
pub const LEADS: [(&str, &str); 3] = [
    ("lead_done", "print to shippable"),
    ("lead_packed", "print to packed"),
    ("lead_first_pouch", "print to first pouch"),
];

/// Figures of one lead time of one group: mean and the quantiles.
pub const LEAD_FIGURES: usize = 1 + QUANTILES.len();

/// Figures of one group besides lead times.
pub const GROUP_FIGURES: usize = 11;

/// Places of figures within a group.
pub mod place {
    /// Share done by the promised date, of all orders asked for.
    pub const ON_TIME: usize = 2;
    /// Mean lateness of late orders.
    pub const TARDINESS: usize = 3;
    /// Measured orders that were taken.
    pub const RELEASED: usize = 4;
    /// Measured orders not done at the end.
    pub const UNFINISHED: usize = 5;
    /// Share done by the promised date, of the orders that were taken.
    pub const ON_TIME_TAKEN: usize = 6;
    /// Orders turned away a week.
    pub const TURNED_AWAY: usize = 7;
    /// Orders sent out a week.
    pub const SENT_OUT: usize = 8;
    /// Share of orders that come out short.
    pub const SHORT: usize = 9;
    /// Share of pouches that are missing.
    pub const MISSING: usize = 10;
}

/// Where each figure stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// All figures in order.
    pub measures: Vec<Measure>,
    /// Groups of orders: all, then classes, then products; (key, label).
    pub groups: Vec<(String, String)>,
    /// Number of classes and products among the groups.
    pub classes: usize,
    /// First figure of the groups block.
    pub first_group: usize,
    /// First figure of the split block: (groups of all and classes) × (stations + spent).
    pub first_split: usize,
    /// First figure of the machine block.
    pub first_machine: usize,
    /// First figure of the station block.
    pub first_station: usize,
    /// First figure of the whole-cell block.
    pub first_cell: usize,
    /// First figure of money, where the scenario speaks of it; otherwise the number of figures.
    pub first_money: usize,
    /// Whether work could come to stand still for good: the last figures say whether it did, at all and by station.
    pub standstill: bool,
    /// Number of stations.
    pub stations: usize,
}

/// Figures of the whole cell.
pub const CELL_FIGURES: usize = 10;
/// Figures of one station.
pub const STATION_FIGURES: usize = 3;
/// Figures of one machine: states, utilisation.
pub const MACHINE_FIGURES: usize = STATES + 1;

impl Layout {
    /// The layout of a model.
    pub fn new(model: &Model) -> Self {
        let plant = &model.plant;
        let mut groups = vec![("all".to_owned(), "all orders".to_owned())];
        groups.extend(
            plant
                .classes
                .iter()
                .map(|c| (format!("class:{}", c.name), c.name.clone())),
        );
        groups.extend(
            plant
                .products
                .iter()
                .map(|p| (format!("product:{}", p.name), p.name.clone())),
        );
        let mut measures = Vec::new();
        let mut add = |key: String, label: String, unit: &'static str| {
            measures.push(Measure { key, label, unit })
        };
        for (group, name) in &groups {
            add(
                format!("orders/{group}"),
                format!("orders done a week, {name}"),
                "1/week",
            );
            add(
                format!("pouches/{group}"),
                format!("good pouches a week, {name}"),
                "1/week",
            );
            add(
                format!("on_time/{group}"),
                format!("done by the promised date, {name}"),
                "share",
            );
            add(
                format!("tardiness/{group}"),
                format!("mean lateness of late orders, {name}"),
                "min",
            );
            add(
                format!("released/{group}"),
                format!("orders released and measured, {name}"),
                "1",
            );
            add(
                format!("unfinished/{group}"),
                format!("measured orders not done at the end, {name}"),
                "1",
            );
            add(
                format!("on_time_taken/{group}"),
                format!("done by the promised date, of those taken, {name}"),
                "share",
            );
            add(
                format!("turned_away/{group}"),
                format!("orders turned away a week, {name}"),
                "1/week",
            );
            add(
                format!("sent_out/{group}"),
                format!("orders sent out a week, {name}"),
                "1/week",
            );
            add(
                format!("short/{group}"),
                format!("orders done with fewer pouches than ordered, {name}"),
                "share",
            );
            add(
                format!("missing/{group}"),
                format!("pouches ordered and not made, {name}"),
                "share",
            );
            for (lead, words) in LEADS {
                add(
                    format!("{lead}/{group}/mean"),
                    format!("{words}, mean, {name}"),
                    "min",
                );
                for (p, suffix) in QUANTILES {
                    add(
                        format!("{lead}/{group}/{suffix}"),
                        format!("{words}, {:.0} % point, {name}", p * 100.0),
                        "min",
                    );
                }
            }
        }
        let first_split = groups.len() * (GROUP_FIGURES + LEADS.len() * LEAD_FIGURES);
        for (group, name) in &groups[..1 + plant.classes.len()] {
            for station in &plant.stations {
                add(
                    format!("time/{group}/queue:{}", station.name),
                    format!("queueing at {}, {name}", station.name),
                    "min",
                );
            }
            for spent in ALL_SPENT {
                add(
                    format!("time/{group}/{}", spent.key()),
                    format!("{}, {name}", spent.label()),
                    "min",
                );
            }
        }
        let first_machine =
            first_split + (1 + plant.classes.len()) * (plant.stations.len() + SPENT);
        for station in &plant.stations {
            for machine in &station.machines {
                for state in ALL_STATES {
                    add(
                        format!("machine/{}/{}", machine.name, state.key()),
                        format!("{}, {}", machine.name, state.label()),
                        "share",
                    );
                }
                add(
                    format!("machine/{}/utilisation", machine.name),
                    format!("{}, used of open time", machine.name),
                    "share",
                );
            }
        }
        let machines: usize = plant.stations.iter().map(|s| s.machines.len()).sum();
        let first_station = first_machine + machines * MACHINE_FIGURES;
        for station in &plant.stations {
            add(
                format!("station/{}/utilisation", station.name),
                format!("{}, used of open time", station.name),
                "share",
            );
            add(
                format!("station/{}/queue", station.name),
                format!("lots waiting at {}", station.name),
                "1",
            );
            add(
                format!("station/{}/waste_m2", station.name),
                format!("web lost at {} a week", station.name),
                "m2/week",
            );
        }
        let first_cell = first_station + plant.stations.len() * STATION_FIGURES;
        add("cell/wip".into(), "orders in the cell".into(), "1");
        add(
            "cell/wip_growth".into(),
            "growth of orders in the cell".into(),
            "1/week",
        );
        add("cell/curing".into(), "lots held for cure".into(), "1");
        add(
            "cell/web_m".into(),
            "web printed and handed over".into(),
            "m/week",
        );
        add(
            "cell/waste_share".into(),
            "web lost, cut off or not used, of the area handed over".into(),
            "share",
        );
        add("cell/waste_kg".into(), "web lost".into(), "kg/week");
        add(
            "cell/web_m2".into(),
            "web area handed over".into(),
            "m2/week",
        );
        add("cell/waste_m".into(), "web lost".into(), "m/week");
        add(
            "cell/waste_money".into(),
            "material lost".into(),
            "money/week",
        );
        add(
            "cell/wip_growth_late".into(),
            "growth of orders in the cell, second half".into(),
            "1/week",
        );
        let first_money = first_cell + CELL_FIGURES;
        if plant.money.is_some() {
            for (key, label, unit) in super::money::FIGURES {
                add(key.into(), label.into(), unit);
            }
        }
        for pool in &plant.pools {
            add(
                format!("pool/{}/waited_for", pool.name),
                format!("machines waiting for {}", pool.name),
                "h/week",
            );
        }
        let groups_of_web = std::iter::once(("all".to_owned(), String::new())).chain(
            super::web::products(model).map(|product| {
                let name = &plant.products[product].name;
                (format!("product:{name}"), format!(", {name}"))
            }),
        );
        for (group, words) in groups_of_web {
            for (key, label, unit) in super::web::FIGURES {
                add(
                    format!("web/{group}/{key}"),
                    format!("{label}{words}"),
                    unit,
                );
            }
        }
        let standstill = circle(plant).is_some();
        if standstill {
            add(
                "stuck/all".into(),
                "work stands still for good at the end".into(),
                "share",
            );
            for station in &plant.stations {
                add(
                    format!("stuck/station:{}", station.name),
                    format!("{} stands still for good at the end", station.name),
                    "share",
                );
            }
        }
        Self {
            standstill,
            first_group: 0,
            first_split,
            first_machine,
            first_station,
            first_cell,
            first_money,
            stations: plant.stations.len(),
            classes: plant.classes.len(),
            groups,
            measures,
        }
    }

    /// How a figure is made of what the replications say.
    pub fn kind(&self, index: usize) -> Kind {
        let size = GROUP_FIGURES + LEADS.len() * LEAD_FIGURES;
        if index >= self.first_split {
            return Kind::Mean;
        }
        let (group, within) = (index / size, index % size);
        let Some(lead) = within.checked_sub(GROUP_FIGURES) else {
            return match within {
                place::ON_TIME | place::ON_TIME_TAKEN | place::SHORT => Kind::Share,
                _ => Kind::Mean,
            };
        };
        match (lead % LEAD_FIGURES)
            .checked_sub(1)
            .and_then(|q| QUANTILES.get(q))
        {
            Some(&(p, _)) => Kind::Point(group * LEADS.len() + lead / LEAD_FIGURES, p),
            None => Kind::Mean,
        }
    }

    /// What a figure of one replication may be at least and at most, whatever the scenario: shares lie between nothing
    /// and all, only growth and money can be below nothing.
    pub fn range(&self, index: usize) -> [f64; 2] {
        let Some(measure) = self.measures.get(index) else {
            return [f64::NEG_INFINITY, f64::INFINITY];
        };
        let signed =
            measure.unit.starts_with("money") || measure.key.starts_with("cell/wip_growth");
        match measure.unit {
            "share" => [0.0, 1.0],
            _ if signed => [f64::MIN, f64::INFINITY],
            _ => [0.0, f64::INFINITY],
        }
    }

    /// Whether a figure moves with the queues, so that one bad month shows in it: lead times and where they
    /// went, lateness, orders in the cell, and the money that lateness is part of.
    pub fn queues(&self, index: usize) -> bool {
        const MONEY: [&str; 6] = [
            "money/late",
            "money/outside",
            "money/turned_away",
            "money/cost",
            "money/per_thousand",
            "money/result",
        ];
        let size = GROUP_FIGURES + LEADS.len() * LEAD_FIGURES;
        if index < self.first_split {
            let within = index % size;
            let moves = matches!(
                within,
                place::ON_TIME
                    | place::TARDINESS
                    | place::UNFINISHED
                    | place::ON_TIME_TAKEN
                    | place::TURNED_AWAY
                    | place::SENT_OUT
            );
            return within >= GROUP_FIGURES || moves;
        }
        index < self.first_machine
            || self.measures.get(index).is_some_and(|measure| {
                let key = measure.key.as_str();
                key == "cell/wip"
                    || key.starts_with("pool/")
                    || key.starts_with("station/") && key.ends_with("/queue")
                    || MONEY.contains(&key)
            })
    }

    /// Whether the most skewed of the figures that move with the queues is looked for among these: what is
    /// promised and paid. The outermost points, products and parts of the time have few orders of their own
    /// and an alarm of their own.
    pub fn speaks(&self, index: usize) -> bool {
        let size = GROUP_FIGURES + LEADS.len() * LEAD_FIGURES;
        if index >= self.first_split {
            return self.queues(index) && index >= self.first_cell;
        }
        let (group, within) = (index / size, index % size);
        let lead = within.checked_sub(GROUP_FIGURES);
        group <= self.classes
            && (within == place::ON_TIME || lead.is_some_and(|l| l < LEAD_FIGURES - 1))
    }

    /// Whether a figure is what is earned: a bad month makes it less.
    pub fn earns(&self, index: usize) -> bool {
        self.measures
            .get(index)
            .is_some_and(|measure| measure.key == "money/result")
    }

    /// The mean that stands before a point of a lead time.
    pub fn mean_of(&self, index: usize) -> usize {
        let size = GROUP_FIGURES + LEADS.len() * LEAD_FIGURES;
        let within = (index % size).saturating_sub(GROUP_FIGURES);
        index - within % LEAD_FIGURES
    }

    /// Where a figure stands.
    pub fn find(&self, key: &str) -> Option<usize> {
        self.measures.iter().position(|m| m.key == key)
    }

    /// First figure of a station: its utilisation.
    pub fn station(&self, station: usize) -> usize {
        self.first_station + station * STATION_FIGURES
    }

    /// First figure of a machine: its share in the first state.
    pub fn machine(&self, machine: usize) -> usize {
        self.first_machine + machine * MACHINE_FIGURES
    }

    /// First figure of the time split of a group (0 all orders, then classes).
    pub fn split(&self, group: usize) -> usize {
        self.first_split + group * (self.stations + SPENT)
    }

    /// First figure of a group.
    pub fn group(&self, group: usize) -> usize {
        self.first_group + group * (GROUP_FIGURES + LEADS.len() * LEAD_FIGURES)
    }
}
