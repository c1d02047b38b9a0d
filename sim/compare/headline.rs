//! The figures that variants are compared by.
//!
//! In: a model. Out: [`Headline`]s: what each is, where it stands in a layout, which way is better. Only
//! these are kept replication by replication; all other figures are folded as in a single run.

use crate::model::Model;
use crate::observe::{Layout, Outcome};
use crate::plant::Promise;
use crate::record::State;

/// Which way a figure is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Better {
    /// The smaller the better.
    Less,
    /// The larger the better.
    More,
    /// Neither way: it describes.
    Neither,
}

/// What a figure needs to have a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// A cell that keeps up and orders of this group (0 all, then classes): lead times, shares on time.
    Steady(usize),
    /// Nothing for its value; its difference from another cell means something only where both keep up:
    /// a cell that drowns runs long campaigns and wastes little, which is no merit.
    Keeping,
    /// Nothing.
    Nothing,
}

/// A figure that variants are compared by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Headline {
    /// Key in the layout, or of its own where it is made of several figures.
    pub key: String,
    /// Words for people.
    pub label: String,
    /// Unit as in the layout.
    pub unit: &'static str,
    /// Which way is better.
    pub better: Better,
    /// What it needs to have a value.
    pub needs: Needs,
    /// The verdict speaks of it.
    pub decides: bool,
}

/// Key of the utilisation of the busiest station.
pub const BUSIEST: &str = "cell/busiest";

/// Key of the hours a week that all machines spend changing over.
pub const CHANGING: &str = "cell/changing_over";

/// The headline figures of a cell. Variants of it are expected to have the same order classes.
pub fn headlines(model: &Model) -> Vec<Headline> {
    let layout = Layout::new(model);
    let classes = &model.plant.classes;
    let promised = |class: usize| classes[class].promise != Promise::None;
    let any = (0..classes.len()).any(promised);
    let single = classes.len() < 2;
    let mut all = Vec::new();
    let mut add = |key: String, better: Better, needs: Needs, decides: bool| {
        if let Some(index) = layout.find(&key) {
            let measure = &layout.measures[index];
            all.push(Headline {
                key,
                label: measure.label.clone(),
                unit: measure.unit,
                better,
                needs,
                decides,
            });
        }
    };
    // All orders, then each class where there are several.
    let groups = if single { 0..1 } else { 0..1 + classes.len() };
    for group in groups.clone() {
        let told = match group.checked_sub(1) {
            None => any,
            Some(class) => promised(class),
        };
        if told {
            // The verdict speaks of each class; of all orders where there is one class only.
            let decides = single || group > 0;
            let key = format!("on_time/{}", layout.groups[group].0);
            add(key, Better::More, Needs::Steady(group), decides);
        }
    }
    for group in groups {
        let told = match group.checked_sub(1) {
            None => any,
            Some(class) => promised(class),
        };
        for point in ["mean", "p50", "p90"] {
            let decides = point == "p90" && !told && (single || group > 0);
            let key = format!("lead_done/{}/{point}", layout.groups[group].0);
            add(key, Better::Less, Needs::Steady(group), decides);
        }
    }
    add("orders/all".into(), Better::More, Needs::Nothing, false);
    add("pouches/all".into(), Better::More, Needs::Nothing, false);
    if classes.iter().any(|class| class.when_full.is_some()) {
        add(
            "on_time_taken/all".into(),
            Better::More,
            Needs::Steady(0),
            false,
        );
        add(
            "turned_away/all".into(),
            Better::Less,
            Needs::Nothing,
            false,
        );
    }
    add("short/all".into(), Better::Less, Needs::Steady(0), false);
    add("cell/wip".into(), Better::Less, Needs::Steady(0), false);
    add(
        "cell/waste_share".into(),
        Better::Less,
        Needs::Keeping,
        false,
    );
    add("cell/waste_m".into(), Better::Less, Needs::Keeping, false);
    for (key, better) in [
        ("money/result", Better::More),
        ("money/cost", Better::Less),
        ("money/per_thousand", Better::Less),
    ] {
        add(key.into(), better, Needs::Steady(0), false);
    }
    let own = |key: &str, label: &str, unit, (better, needs)| Headline {
        key: key.to_owned(),
        label: label.to_owned(),
        unit,
        better,
        needs,
        decides: false,
    };
    all.push(own(
        BUSIEST,
        "busiest station, used of open time",
        "share",
        (Better::Neither, Needs::Nothing),
    ));
    all.push(own(
        CHANGING,
        "all machines, changing over",
        "h/week",
        (Better::Less, Needs::Keeping),
    ));
    all
}

/// Where the figures of one layout are: the layouts of variants differ.
#[derive(Debug, Clone)]
pub struct Finder {
    places: Vec<Option<usize>>,
    stations: Vec<usize>,
    changeovers: Vec<usize>,
    released: Vec<Option<usize>>,
    busiest: Option<usize>,
    changing: Option<usize>,
}

impl Finder {
    /// Finds the headlines in a layout.
    pub fn new(headlines: &[Headline], model: &Model, layout: &Layout) -> Self {
        let own = |key: &str| headlines.iter().position(|h| h.key == key);
        Self {
            places: headlines.iter().map(|h| layout.find(&h.key)).collect(),
            stations: (0..model.stations.len())
                .map(|s| layout.station(s))
                .collect(),
            changeovers: (0..model.machines.len())
                .map(|m| layout.machine(m) + State::Changeover as usize)
                .collect(),
            released: layout.groups[..1 + layout.classes]
                .iter()
                .map(|(group, _)| layout.find(&format!("released/{group}")))
                .collect(),
            busiest: own(BUSIEST),
            changing: own(CHANGING),
        }
    }

    /// The headline figures of a replication; NaN where it has none.
    pub fn read(&self, outcome: &Outcome) -> Vec<f64> {
        let at = |index: usize| outcome.figures.get(index).copied().unwrap_or(f64::NAN);
        let mut all: Vec<f64> = self
            .places
            .iter()
            .map(|place| place.map_or(f64::NAN, at))
            .collect();
        if let Some(busiest) = self.busiest {
            all[busiest] = self
                .stations
                .iter()
                .map(|&s| at(s))
                .fold(f64::NAN, f64::max);
        }
        if let Some(changing) = self.changing {
            // Shares of the clock as hours a week.
            all[changing] = self.changeovers.iter().map(|&c| at(c)).sum::<f64>() * 168.0;
        }
        all
    }

    /// What each of these numbers is the mean of (see [`Outcome::weights`]).
    pub fn weights(&self, outcome: &Outcome) -> Vec<f64> {
        let at = |index: usize| outcome.weights.get(index).copied().unwrap_or(1.0);
        self.places
            .iter()
            .map(|place| place.map_or(1.0, at))
            .collect()
    }

    /// Measured orders by group (all, then classes) in a replication.
    pub fn released(&self, outcome: &Outcome) -> Vec<f64> {
        let at = |index: usize| outcome.figures.get(index).copied().unwrap_or(0.0);
        self.released
            .iter()
            .map(|place| place.map_or(0.0, at))
            .collect()
    }
}
