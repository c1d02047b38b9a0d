//! What of a cell can be moved a little to see how much it matters.
//!
//! In: a [`Study`] and a share such as 10 %. Out: [`Lever`]s in floor order, each with the settings of its
//! low and its high side, as they would be written in a variant. Only what the scenario writes is moved; a
//! value that stands at its default is not. A rule has one side: it is taken out. Holds for cure, dwell of seals and
//! first-off approvals are never moved: they belong to the data sheets and the quality plan.

use serde_json::Value;

use super::Study;

/// One side of a lever.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Side {
    /// How far it is moved, in words: `x 0.9`, `one fewer`.
    pub words: String,
    /// Path and value of every setting that moves.
    pub settings: Vec<(String, String)>,
}

/// Something that can be moved to either side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lever {
    /// What it is.
    pub name: String,
    /// The low and the high side; one of them may be missing.
    pub sides: [Option<Side>; 2],
}

impl Lever {
    /// A lever that multiplies the values at `paths` by `1 - share` and `1 + share`.
    pub fn scaling(name: &str, paths: &[String], share: f64) -> Self {
        let side = |factor: f64| {
            // Without the last digits that binary fractions leave behind.
            let words = format!("x {}", (factor * 1e6).round() / 1e6);
            Side {
                settings: paths
                    .iter()
                    .map(|path| (path.clone(), words.clone()))
                    .collect(),
                words,
            }
        };
        Self {
            name: name.to_owned(),
            sides: [Some(side(1.0 - share)), Some(side(1.0 + share))],
        }
    }
}

/// Keys of a machine that say how fast it runs; blocks hold a speed for each process or format.
const SPEEDS: [&str; 6] = [
    "speed",
    "speeds.*",
    "zipper_speeds.*",
    "processes.*",
    "rate",
    "web_speed",
];

/// What a key of a path leads to.
fn get<'a>(tree: &'a Value, path: &[&str]) -> Option<&'a Value> {
    path.iter().try_fold(tree, |here, key| here.get(key))
}

/// Names of the entries of a block.
fn names<'a>(tree: &'a Value, path: &[&str]) -> Vec<&'a str> {
    let block = get(tree, path).and_then(Value::as_object);
    block
        .into_iter()
        .flat_map(|block| block.keys())
        .map(String::as_str)
        .collect()
}

/// Paths of the keys that a machine writes, those of `keys` with `.*` where a block stands.
fn written(tree: &Value, station: &str, keys: &[&str]) -> Vec<String> {
    let mut paths = Vec::new();
    for machine in names(tree, &["stations", station, "machines"]) {
        for key in keys {
            let parts: Vec<&str> = key.split('.').collect();
            let mut here = get(tree, &["stations", station, "machines", machine]);
            for part in &parts {
                here = here.and_then(|here| match *part {
                    "*" => Some(here).filter(|here| match here {
                        Value::Object(block) => !block.is_empty(),
                        Value::Array(items) => !items.is_empty(),
                        _ => false,
                    }),
                    key => match here {
                        // Every line of a list is alike, so the first one tells.
                        Value::Array(items) => items.first().and_then(|item| item.get(key)),
                        block => block.get(key),
                    },
                });
            }
            if here.is_some() {
                paths.push(format!("stations.{station}.machines.{machine}.{key}"));
            }
        }
    }
    paths
}

/// Levers of a station.
fn of_station(tree: &Value, station: &str, share: f64, levers: &mut Vec<Lever>) {
    let mut add = |what: &str, paths: Vec<String>| {
        if !paths.is_empty() {
            let name = format!("{station}: {what}");
            levers.push(Lever::scaling(&name, &paths, share));
        }
    };
    add("speed", written(tree, station, &SPEEDS));
    let work = |key: &str| match get(tree, &["stations", station, key]) {
        Some(Value::Object(_)) => Some(format!("stations.{station}.{key}.*")),
        Some(_) => Some(format!("stations.{station}.{key}")),
        None => None,
    };
    let times: Vec<String> = ["time", "times"].into_iter().filter_map(work).collect();
    add("work time", times);
    add(
        "changeover times",
        written(tree, station, &["changeover", "changeover.table.*.time"])
            .into_iter()
            .filter(|path| {
                // A block that holds a table only has no time of its own to multiply.
                path.ends_with(".time") || has_times(tree, path)
            })
            .collect(),
    );
    add(
        "time between breakdowns",
        written(tree, station, &["breakdowns.*.every"]),
    );
    add(
        "repair times",
        written(tree, station, &["breakdowns.*.repair"]),
    );
    add(
        "micro-stops, how long",
        written(tree, station, &["micro_stops.lasting"]),
    );
    let mut waste = written(tree, station, &["start_waste", "changeover.waste.*"]);
    waste.extend(written(tree, station, &["rejects"]));
    add("start waste and rejects", waste);
}

/// A changeover block names a time of an element.
fn has_times(tree: &Value, path: &str) -> bool {
    const OTHER: [&str; 4] = ["waste", "rest_share", "cold_after", "table"];
    let mut here = tree;
    let mut rest = path;
    // Names may have points in them: at every block the longest name that fits is taken.
    while !rest.is_empty() {
        let Some(block) = here.as_object() else {
            return false;
        };
        let fits = |key: &&String| {
            rest.strip_prefix(key.as_str())
                .is_some_and(|after| after.is_empty() || after.starts_with('.'))
        };
        let Some(key) = block.keys().filter(fits).max_by_key(|key| key.len()) else {
            return false;
        };
        rest = rest[key.len()..].trim_start_matches('.');
        here = &block[key];
    }
    here.as_object()
        .is_some_and(|block| block.keys().any(|key| !OTHER.contains(&key.as_str())))
}

/// Rules of a station, and of a pool: what each is when it is taken out.
const STATION_RULES: [&str; 6] = [
    "next",
    "family_wait",
    "family_slack",
    "family_most",
    "interrupt",
    "split_from",
];
const POOL_RULES: [&str; 3] = ["next", "first", "crew_wait"];

/// A lever that takes a rule out; `None` where it is not written.
fn without(tree: &Value, name: &str, path: &[&str]) -> Option<Lever> {
    get(tree, path)?;
    let side = Side {
        words: "taken out".to_owned(),
        settings: vec![(path.join("."), "remove".to_owned())],
    };
    Some(Lever {
        name: name.to_owned(),
        sides: [Some(side), None],
    })
}

/// Rules of the floor that the scenario writes: each is taken out. Lock-out, holds and releases are no rules of this
/// kind.
fn rules(tree: &Value) -> Vec<Lever> {
    let mut levers: Vec<Lever> = Vec::new();
    levers.extend(without(tree, "rule floor_limit", &["run", "floor_limit"]));
    for station in names(tree, &["stations"]) {
        levers.extend(STATION_RULES.iter().filter_map(|key| {
            let name = format!("{station}: rule {key}");
            without(tree, &name, &["stations", station, key])
        }));
    }
    for pool in names(tree, &["people"]) {
        levers.extend(POOL_RULES.iter().filter_map(|key| {
            let name = format!("{pool}: rule {key}");
            without(tree, &name, &["people", pool, key])
        }));
    }
    levers
}

/// One person fewer and one more in each shift of a pool.
fn people(tree: &Value, pool: &str) -> Option<Lever> {
    let shifts = get(tree, &["people", pool, "shifts"])?.as_object()?;
    let side = |words: &str, step: i64| {
        let settings: Option<Vec<(String, String)>> = shifts
            .iter()
            .map(|(shift, count)| {
                let count = count.as_i64()? + step;
                let path = format!("people.{pool}.shifts.{shift}");
                (count >= 1).then(|| (path, count.to_string()))
            })
            .collect();
        settings.map(|settings| Side {
            words: words.to_owned(),
            settings,
        })
    };
    let sides = [side("one fewer", -1), side("one more", 1)];
    sides.iter().any(Option::is_some).then(|| Lever {
        name: format!("{pool} in each shift"),
        sides,
    })
}

impl Study {
    /// Everything of a variant that is usually worth moving, by `share` to either side: demand, order size,
    /// speeds, changeovers, breakdowns and waste of each station, absence, people, rules. In floor order.
    pub fn levers(&self, variant: usize, share: f64) -> Vec<Lever> {
        let Some(tree) = self.variants.get(variant).map(|v| v.tree()) else {
            return Vec::new();
        };
        let mut levers = Vec::new();
        let streams = tree.get("orders").and_then(Value::as_array);
        if streams.is_some_and(|streams| !streams.is_empty()) {
            levers.push(Lever::scaling("demand", &["demand".to_owned()], share));
        }
        let sized: Vec<String> = streams
            .into_iter()
            .flatten()
            .enumerate()
            .filter(|(_, stream)| stream.get("quantity").is_some())
            .map(|(index, _)| format!("orders.{}.quantity", index + 1))
            .collect();
        if !sized.is_empty() {
            levers.push(Lever::scaling("order size, as many orders", &sized, share));
        }
        for station in names(tree, &["stations"]) {
            of_station(tree, station, share, &mut levers);
        }
        let pools = names(tree, &["people"]);
        let absent: Vec<String> = pools
            .iter()
            .filter(|pool| get(tree, &["people", pool, "absence"]).is_some())
            .map(|pool| format!("people.{pool}.absence"))
            .collect();
        if !absent.is_empty() {
            levers.push(Lever::scaling("absence of people", &absent, share));
        }
        levers.extend(pools.iter().filter_map(|pool| people(tree, pool)));
        levers.extend(rules(tree));
        levers
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{read_study, starter};

    fn study(text: &str) -> Study {
        read_study("cell.yaml", text.as_bytes(), &mut |_| {
            Err(std::io::ErrorKind::NotFound.into())
        })
        .unwrap()
    }

    #[test]
    fn every_lever_of_the_starter_can_be_moved() {
        let study = study(starter());
        let levers = study.levers(0, 0.1);
        let names: Vec<&str> = levers.iter().map(|l| l.name.as_str()).collect();
        assert_eq!(names[..2], ["demand", "order size, as many orders"]);
        assert!(
            names.iter().any(|n| n.ends_with(": changeover times")),
            "{names:?}"
        );
        assert!(names.iter().any(|n| n.ends_with(": speed")), "{names:?}");
        assert!(
            names.iter().any(|n| n.ends_with("in each shift")),
            "{names:?}"
        );
        let today = &study.variants[0].plants[0];
        for lever in &levers {
            for side in lever.sides.iter().flatten() {
                let plant = study.with_settings(0, &side.settings);
                let plant = plant.unwrap_or_else(|why| {
                    panic!("{}, {}: {}", lever.name, side.words, why.render(false, 100))
                });
                assert_ne!(
                    &plant, today,
                    "{}, {} moves something",
                    lever.name, side.words
                );
            }
        }
    }

    /// A station of its own rules, a pool with one, a limit of the floor: each is taken out, and nothing else changes.
    #[test]
    fn rules_are_taken_out() {
        let text = starter().replacen("\nrun:", "\nrun:\n  floor_limit: 12", 1);
        let study = study(&text);
        let told: Vec<(String, String)> = (study.levers(0, 0.1).iter())
            .filter(|lever| lever.name.contains("rule "))
            .map(|lever| {
                let side = lever.sides[0].clone().unwrap();
                assert!(lever.sides[1].is_none());
                assert!(study.with_settings(0, &side.settings).is_ok());
                (lever.name.clone(), side.settings[0].1.clone())
            })
            .collect();
        let names: Vec<&str> = told.iter().map(|(name, _)| name.as_str()).collect();
        for name in ["rule floor_limit", "pouching: rule family_wait"] {
            assert!(names.contains(&name), "{names:?}");
        }
        assert!(told.iter().all(|(_, value)| value == "remove"));
    }

    #[test]
    fn holds_are_never_moved() {
        for lever in study(starter()).levers(0, 0.1) {
            for (path, _) in lever.sides.iter().flatten().flat_map(|s| &s.settings) {
                for word in ["adhesives", "_after", "dwell", "data_sheet"] {
                    assert!(!path.contains(word), "{path}");
                }
            }
        }
    }

    /// A first-off approval is a gate like a hold: nothing that is moved leads into it.
    #[test]
    fn approvals_are_never_moved() {
        let text = "format: 2\nname: gate\nrun: { seed: 1, warm_up: 0 min, measure: 2 weeks }\nproducts: { a: {} }\n\
                    stations: { s: { work: bench, time: 1 min, machines: { m: { changeover: { job: 5 min }, \
                    first_off: { time: 9 min } } } } }\n\
                    orders: [{ name: x, every: 1 h, products: { a: 100 % } }]\n";
        let study = study(text);
        let levers = study.levers(0, 0.5);
        assert!(levers.iter().any(|l| l.name == "s: changeover times"));
        for side in levers.iter().flat_map(|l| l.sides.iter().flatten()) {
            let plant = study.with_settings(0, &side.settings).unwrap();
            let gate = plant.stations[0].machines[0].first_off.as_ref();
            assert_eq!(gate.map(|gate| gate.time.mean()), Some(9.0));
        }
    }

    #[test]
    fn factors_are_written_without_dust() {
        let lever = Lever::scaling("demand", &["demand".to_owned()], 0.1);
        let words = lever.sides.map(|s| s.unwrap().words);
        assert_eq!(words, ["x 0.9", "x 1.1"]);
    }
}
