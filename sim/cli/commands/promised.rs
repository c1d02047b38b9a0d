//! A promise as it is said, and the share that keeps it at a setting.
//!
//! In: texts such as `95 % on time` or `P90 under 6 working days of office`. Out: a [`Promise`]; and a
//! function that runs a variant at a setting, for the search of a limit.
//!
//! A point of the lead time and a share on time are the same question: nine of ten orders within six days
//! is 90 % on time where six days are promised. So every promise becomes a share on time.

use std::sync::atomic::AtomicBool;

use crate::compare::alarm::is_enough;
use crate::compare::limit::{Limit, Look, Search, limit};
use crate::compare::{Better, Case, Headline, Needs};
use crate::model::{self, Model};
use crate::replicate::Growth;
use crate::report::compare::limit::About;
use crate::scenario::Study;
use crate::summary::{Estimate, bounded};
use crate::units::{Dimension, grouped, parse_quantity};

use super::super::exit::{Exit, Failure};
use super::many::{Plan, Workers, planned};

/// What is promised.
#[derive(Debug, Clone, PartialEq)]
pub struct Promise {
    /// Share of the orders that keep it.
    pub share: f64,
    /// Time within which they are done, as a class would promise it; `None`: what the scenario promises.
    pub within: Option<String>,
    /// Class of orders; `None`: all.
    pub class: Option<String>,
}

const EXPECTED: &str = "`95 % on time`, `P90 under 36 h`, `90 % within 6 working days of office`";

impl Promise {
    /// Reads a promise.
    ///
    /// # Errors
    /// [`Exit::Usage`] where it is not understood.
    pub fn read(text: &str, class: Option<&str>) -> Result<Self, Failure> {
        let refuse = |why: &str| {
            Failure::new(
                Exit::Usage,
                format!("error: the promise `{text}` {why}\nhelp: write one such as {EXPECTED}"),
            )
        };
        let trimmed = text.trim();
        let (share, within) = if let Some(front) = trimmed.strip_suffix("on time") {
            (front, None)
        } else {
            let parted = [" under ", " within "]
                .iter()
                .find_map(|word| trimmed.split_once(word));
            match parted {
                Some((share, time)) => (share, Some(time.trim().to_string())),
                None => return Err(refuse("is not understood")),
            }
        };
        let share = share.trim();
        // `P90` is 90 %.
        let share = match share.strip_prefix(['P', 'p']) {
            Some(number) => format!("{} %", number.trim()),
            None => share.to_string(),
        };
        let share = parse_quantity(&share, Dimension::Share)
            .map_err(|_| refuse("does not begin with a share"))?;
        if !(0.01..=0.9999).contains(&share) {
            return Err(refuse("has a share that is not between 1 % and 99.99 %"));
        }
        Ok(Self {
            share,
            within,
            class: class.map(str::to_string),
        })
    }

    /// In words.
    pub fn words(&self) -> String {
        let of = match &self.class {
            Some(class) => format!(" of {class} orders"),
            None => String::new(),
        };
        let share = grouped(self.share * 100.0, 2);
        match &self.within {
            Some(time) => format!("{share} %{of} within {time}"),
            None => format!("{share} %{of} on time"),
        }
    }

    fn settings(&self) -> Vec<(String, String)> {
        let class = self.class.as_deref().unwrap_or("*");
        self.within
            .iter()
            .map(|time| (format!("classes.{class}.promise"), time.clone()))
            .collect()
    }

    /// The figure that tells the share.
    fn headline(&self) -> Headline {
        let key = match &self.class {
            Some(class) => format!("on_time/class:{class}"),
            None => "on_time/all".to_string(),
        };
        Headline {
            label: key.clone(),
            key,
            unit: "share",
            better: Better::More,
            needs: Needs::Nothing,
            decides: true,
        }
    }
}

/// What is searched for, and how.
pub struct Question<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its plan.
    pub plan: Plan,
    /// The promise.
    pub promise: &'a Promise,
    /// Path that is raised, `demand` for all orders.
    pub by: &'a str,
    /// Smallest and largest factor.
    pub range: (f64, f64),
    /// Replications at every setting.
    pub replications: u32,
    /// Most replications at a setting, where its interval asks for more.
    pub at_most: u32,
}

impl Question<'_> {
    /// The limit of a variant; `None` where it was stopped. `base`: today's cell, for its
    /// classes and the level of intervals.
    ///
    /// # Errors
    /// Where the settings cannot be made.
    pub fn answer(
        &self,
        variant: usize,
        base: &Model,
        workers: &Workers,
        stop: &AtomicBool,
    ) -> Result<Option<(Limit, About)>, Failure> {
        let confidence = base.plant.run.confidence;
        let headlines = [self.promise.headline()];
        let found = base
            .plant
            .classes
            .iter()
            .any(|class| Some(&class.name) == self.promise.class.as_ref());
        if self.promise.class.is_some() && !found {
            let names: Vec<&str> = base
                .plant
                .classes
                .iter()
                .map(|class| class.name.as_str())
                .collect();
            return Err(Failure::new(
                Exit::Usage,
                format!(
                    "error: there is no class `{}`\nhelp: there is {}",
                    self.promise.class.as_deref().unwrap_or_default(),
                    names.join(", ")
                ),
            ));
        }
        let mut failed = None;
        let search = Search {
            share: self.promise.share,
            range: self.range,
            replications: self.replications,
            tolerance: 0.01,
        };
        let found = limit(&search, |at, look| {
            let mut settings = self.promise.settings();
            settings.push((self.by.to_string(), format!("x {at}")));
            let plant = match self.study.with_settings(variant, &settings) {
                Ok(plant) => plant,
                Err(report) => {
                    failed = Some(report);
                    return None;
                }
            };
            let case = [Case::new(model::compile(planned(&plant, self.plan)))];
            let counts = match look {
                Look::Rough(few) => [few, few],
                Look::Full => [self.replications, self.at_most.max(self.replications)],
            };
            // What a few bad stretches decide is judged by all that moves with the queues.
            let grown = (counts, Growth::Half);
            let runs = workers.until(&case, &headlines, grown, &is_enough, stop);
            let run = runs.first()?;
            if run.experiment.done < counts[0] {
                return None;
            }
            let place = run.layout.find(&headlines[0].key);
            Some(place.map_or(Estimate::NONE, |place| {
                bounded(&run.layout, &run.experiment, place, confidence)
            }))
        });
        if let Some(report) = failed {
            return Err(Failure::new(
                Exit::Usage,
                report.render(
                    super::super::console::colour(),
                    super::super::console::columns(),
                ),
            ));
        }
        let setting = match self.by {
            "demand" => "today's demand".to_string(),
            path => format!("`{path}` as it is written"),
        };
        let about = About {
            cell: self.study.variants[variant].name.clone(),
            promise: self.promise.words(),
            setting,
            confidence: format!("{} %", grouped(confidence * 100.0, 1)),
        };
        let told = found.filter(|found| found.points.iter().all(|point| point.n > 0));
        Ok(told.map(|found| (found, about)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn promises_are_read_as_they_are_said() {
        let read =
            |text: &str| Promise::read(text, Some("rush")).map_err(|f| f.message().to_string());
        let told = read("95 % on time").unwrap();
        assert_eq!((told.share, told.within.clone()), (0.95, None));
        assert_eq!(told.words(), "95 % of rush orders on time");
        let told = read("P90 under 6 working days of office").unwrap();
        assert_eq!(told.within.as_deref(), Some("6 working days of office"));
        assert!((told.share - 0.9).abs() < 1e-12);
        assert_eq!(
            told.words(),
            "90 % of rush orders within 6 working days of office"
        );
        assert_eq!(
            read("90 % within 36 h").unwrap().within.as_deref(),
            Some("36 h")
        );
        for bad in ["soon", "on time", "120 % on time", "P90", "0 % within 3 h"] {
            assert!(read(bad).unwrap_err().contains("95 % on time"), "{bad}");
        }
    }
}
