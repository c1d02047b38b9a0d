//! What all outputs share: names made safe, figures in words, and the judgement on the cell.
//!
//! In: model, summary, provenance. Out: [`Context`], from which text, page and files take their words,
//! so that no number is rounded in two places.

use crate::model::{Model, NONE};
use crate::observe::layout::{GROUP_FIGURES, LEAD_FIGURES, LEADS, place};
use crate::record::SPENT;
pub use crate::summary::Standing;
use crate::summary::{Estimate, Summary, Warning};
use crate::units::Reader;

use super::Provenance;
use super::figure::{Figure, Form, figure, pointer};
use super::words::clean;

/// Everything a renderer needs.
#[derive(Debug, Clone)]
pub struct Context<'a> {
    /// The cell.
    pub model: &'a Model,
    /// Its results.
    pub summary: &'a Summary,
    /// Where they come from.
    pub provenance: &'a Provenance,
    /// For whom lengths are written.
    pub reader: Reader,
    /// Title of the scenario, safe to show.
    pub title: String,
    /// How the cell stands.
    pub standing: Standing,
    /// Something is made into pouches.
    pub has_pouches: bool,
    /// Every product is made into pouches, so that every order has a first pouch.
    pub all_pouches: bool,
    /// Some product has a web.
    pub has_web: bool,
    /// Some laminate has a price, so that lost material can be told in money.
    pub has_prices: bool,
    /// Currency of the reader, safe to show.
    pub currency: String,
    /// Names of stations, safe to show.
    pub stations: Vec<String>,
    /// Names of machines, safe to show.
    pub machines: Vec<String>,
    /// Names of groups: all orders, classes, products.
    pub groups: Vec<String>,
}

impl<'a> Context<'a> {
    /// Looks at the results once.
    pub fn new(model: &'a Model, summary: &'a Summary, provenance: &'a Provenance) -> Self {
        let plant = &model.plant;
        let makes_pouches = |p: usize| {
            model.body.get(p).is_some_and(|&b| {
                b != NONE
                    && model.parts[b as usize]
                        .steps
                        .iter()
                        .any(|s| s.makes_pouches)
            })
        };
        Self {
            model,
            summary,
            provenance,
            reader: if plant.reader.inch {
                Reader::Inch
            } else {
                Reader::Metric
            },
            title: clean(&plant.name),
            standing: Standing::of(summary),
            has_pouches: (0..plant.products.len()).any(makes_pouches),
            all_pouches: (0..plant.products.len()).all(makes_pouches),
            has_prices: model.parts.iter().any(|p| p.price_per_m2 > 0.0),
            currency: clean(&plant.reader.currency),
            has_web: model.parts.iter().any(|p| !p.is_piece()),
            stations: plant.stations.iter().map(|s| clean(&s.name)).collect(),
            machines: plant
                .stations
                .iter()
                .flat_map(|s| &s.machines)
                .map(|m| clean(&m.name))
                .collect(),
            groups: summary.layout.groups.iter().map(|g| clean(&g.1)).collect(),
        }
    }

    /// The estimate at an index of the layout; one without any value where there is none.
    pub fn estimate(&self, index: usize) -> Estimate {
        self.summary
            .estimates
            .get(index)
            .copied()
            .unwrap_or(Estimate::NONE)
    }

    /// Kind of lead time and group that an index of the layout belongs to.
    fn lead_of(&self, index: usize) -> Option<(usize, usize)> {
        let size = GROUP_FIGURES + LEADS.len() * LEAD_FIGURES;
        let within = (index % size).checked_sub(GROUP_FIGURES)?;
        (index < self.summary.layout.first_split).then_some((index / size, within / LEAD_FIGURES))
    }

    /// Replications in which a figure lies beyond the run.
    ///
    /// For a point of a lead time this is every replication that has such orders (the mean says how many)
    /// and yet no value: a point between the last order done and the first one not done has none either.
    pub fn beyond(&self, index: usize) -> u32 {
        let estimate = self.estimate(index);
        match self.lead_of(index) {
            Some((group, lead)) => {
                let mean = self.estimate(self.lead_index(group, lead, 0));
                (mean.n + mean.beyond).saturating_sub(estimate.n)
            }
            None => estimate.beyond,
        }
    }

    /// Index of a lead-time figure: `point` 0 is the mean, then the quantiles in order.
    pub fn lead_index(&self, group: usize, lead: usize, point: usize) -> usize {
        self.summary.layout.group(group) + GROUP_FIGURES + lead * LEAD_FIGURES + point
    }

    /// A figure of a group: 0 orders a week, 1 pouches a week, 2 on time, 3 tardiness, 4 released,
    /// 5 unfinished.
    pub fn group_index(&self, group: usize, figure: usize) -> usize {
        self.summary.layout.group(group) + figure
    }

    /// The figure at an index, in its usual form, or why it has no value.
    pub fn figure(&self, index: usize) -> Figure {
        let unit = self
            .summary
            .layout
            .measures
            .get(index)
            .map_or("1", |m| m.unit);
        self.figure_as(index, Form::of(unit))
    }

    /// The figure at an index in a form of choice.
    pub fn figure_as(&self, index: usize, form: Form) -> Figure {
        let key = self.summary.layout.measures.get(index).map(|m| &m.key);
        let from = key.map_or_else(String::new, |key| pointer(&["figures", key]));
        self.shown(index, form).at(from)
    }

    fn shown(&self, index: usize, form: Form) -> Figure {
        let estimate = self.estimate(index);
        let group_figures = self.summary.layout.first_split;
        let size = GROUP_FIGURES + LEADS.len() * LEAD_FIGURES;
        // On time and lateness move with the queue just as lead times do.
        let moves = self.lead_of(index).is_some()
            || index < group_figures
                && matches!(
                    index % size,
                    place::ON_TIME | place::TARDINESS | place::ON_TIME_TAKEN
                )
            || self.holds_lateness(index);
        let orders = match self.lead_of(index) {
            Some((group, lead)) => {
                let mean = self.estimate(self.lead_index(group, lead, 0));
                mean.n + mean.beyond
            }
            None => estimate.n + estimate.beyond,
        };
        if orders == 0 {
            Figure::missing("–")
        } else if self.lead_of(index).is_some_and(|(_, lead)| lead == 2) && !self.all_pouches {
            // Some orders never have a first pouch, which would read as one that never came.
            Figure::missing("–")
        } else if moves && self.standing == Standing::Overloaded {
            Figure::missing("not steady")
        } else if self.beyond(index) > 0 {
            Figure::missing("beyond run")
        } else {
            let signed = self
                .summary
                .layout
                .measures
                .get(index)
                .is_some_and(|m| m.key.ends_with("growth") || m.key == "money/result");
            figure(&estimate, form, self.reader, signed)
        }
    }

    /// A figure of money that the lateness of orders is part of.
    fn holds_lateness(&self, index: usize) -> bool {
        let late = self.model.plant.money.as_ref().map(|m| &m.late_per_day);
        late.is_some_and(|late| late.iter().any(Option::is_some))
            && self.summary.layout.measures.get(index).is_some_and(|m| {
                [
                    "money/late",
                    "money/cost",
                    "money/per_thousand",
                    "money/result",
                ]
                .contains(&m.key.as_str())
            })
    }

    /// The figure of a key.
    pub fn by_key(&self, key: &str) -> Figure {
        self.summary
            .layout
            .find(key)
            .map_or_else(|| Figure::missing("–"), |i| self.figure(i))
    }

    /// Where a group's mean lead time went, minutes: queue of each station, then the kinds of time spent.
    /// Empty where no order of the group was done.
    pub fn split(&self, group: usize) -> Vec<f64> {
        let first = self.summary.layout.split(group);
        let parts: Vec<f64> = (first..first + self.stations.len() + SPENT)
            .map(|i| self.estimate(i).mean)
            .collect();
        if parts.iter().any(|p| p.is_nan()) {
            Vec::new()
        } else {
            parts
        }
    }

    /// Words for a part of the split.
    pub fn split_label(&self, part: usize) -> String {
        match self.stations.get(part) {
            Some(station) => format!("queueing at {station}"),
            None => crate::record::ALL_SPENT
                .get(part - self.stations.len())
                .map_or_else(String::new, |s| s.label().to_owned()),
        }
    }

    /// Groups that have a time split: all orders and the classes; all orders alone where there is one class.
    pub fn split_groups(&self) -> std::ops::Range<usize> {
        let classes = self.summary.layout.classes;
        if classes > 1 { 0..classes + 1 } else { 0..1 }
    }

    /// Groups of classes among all groups.
    pub fn class_groups(&self) -> std::ops::Range<usize> {
        1..1 + self.summary.layout.classes
    }

    /// Groups of products among all groups.
    pub fn product_groups(&self) -> std::ops::Range<usize> {
        1 + self.summary.layout.classes..self.groups.len()
    }

    /// The warnings that hold: how wide an interval is does not matter where the figure has no value.
    pub fn warnings(&self) -> impl Iterator<Item = &'a Warning> {
        let p95 = self.lead_index(0, 0, 4);
        let told = self.standing != Standing::Overloaded && self.beyond(p95) == 0;
        self.summary
            .warnings
            .iter()
            .filter(move |w| told || !matches!(w, Warning::Wide(_)))
    }

    /// The level of intervals in words: `95 %`.
    pub fn confidence(&self) -> String {
        format!(
            "{} %",
            crate::units::grouped(self.summary.confidence * 100.0, 1)
        )
    }
}
