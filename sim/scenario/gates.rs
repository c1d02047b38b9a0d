//! What a variant cannot lower: the data sheets of the cell's adhesives, its laboratory and its first-off approvals, the
//! drying of print, the lock-out of changeovers.
//!
//! In: the trees of a cell and of a variant of it. Out: problems at the places that were lowered.
//!
//! A gate is what a supplier or the quality plan asks for. A cell says what holds there; a comparison that is won by
//! asking for less of it is none. An adhesive or a machine of its own, under a name of its own, may have others.

use serde_json::{Map, Value};

use crate::random::Dist;
use crate::units::Dimension;

use super::form;
use super::problem::{Path, Place, Problem, Step};

type Block = Map<String, Value>;

/// Every gate of `cell` that `variant` has lower, weaker or not at all, where the adhesive or machine is still there.
pub(super) fn lowered(cell: &Value, variant: &Value) -> Vec<Problem> {
    let mut found = Vec::new();
    let of = |name: &str| {
        let blocks = [cell, variant].map(|tree| tree.get(name).and_then(Value::as_object));
        let [Some(were), Some(are)] = blocks else {
            return None;
        };
        Some(both(were, are))
    };
    for (name, was, is) in of("adhesives").into_iter().flatten() {
        let gates = Gates {
            path: ["adhesives", name].map(key).to_vec(),
            owner: "an adhesive",
        };
        gates.sheet(was, is, &mut found);
        if let (Some(was), Some(is)) = (block(was, "hot_room"), block(is, "hot_room")) {
            gates.within("hot_room").sheet(was, is, &mut found);
        }
        gates.approval("lab", block(was, "lab"), block(is, "lab"), &mut found);
    }
    for (name, was, is) in of("laminates").into_iter().flatten() {
        let gates = Gates {
            path: ["laminates", name].map(key).to_vec(),
            owner: "a laminate",
        };
        gates.minutes("dry", Some(was), Some(is), &mut found);
    }
    for (station, was, is) in of("stations").into_iter().flatten() {
        let (Some(were), Some(are)) = (block(was, "machines"), block(is, "machines")) else {
            continue;
        };
        for (machine, was, is) in both(were, are) {
            let gates = Gates {
                path: ["stations", station, "machines", machine].map(key).to_vec(),
                owner: "a machine",
            };
            let machines = (was, is);
            let (was, is) = (block(was, "first_off"), block(is, "first_off"));
            let locks = gates.within("changeover");
            locks.minutes(
                "locked",
                block(machines.0, "changeover"),
                block(machines.1, "changeover"),
                &mut found,
            );
            gates.approval("first_off", was, is, &mut found);
        }
    }
    found
}

/// Blocks that both have, by name.
fn both<'a>(
    were: &'a Block,
    are: &'a Block,
) -> impl Iterator<Item = (&'a str, &'a Block, &'a Block)> {
    were.iter().filter_map(move |(name, was)| {
        let is = block(are, name)?;
        Some((name.as_str(), was.as_object()?, is))
    })
}

fn block<'a>(of: &'a Block, key: &str) -> Option<&'a Block> {
    of.get(key)?.as_object()
}

/// Where gates are written, and whose they are.
struct Gates {
    path: Path,
    owner: &'static str,
}

impl Gates {
    fn within(&self, name: &str) -> Self {
        let mut path = self.path.clone();
        path.push(key(name));
        Self {
            path,
            owner: self.owner,
        }
    }

    /// A data sheet that asks for less, or is left out.
    fn sheet(&self, was: &Block, is: &Block, found: &mut Vec<Problem>) {
        let Some(was) = block(was, "data_sheet") else {
            return;
        };
        let is = block(is, "data_sheet");
        for hold in was.keys() {
            if least(is, hold) < least(Some(was), hold) {
                found.push(self.within("data_sheet").less(hold, was));
            }
        }
    }

    /// Minutes that are fewer, or not told any more.
    fn minutes(
        &self,
        name: &str,
        was: Option<&Block>,
        is: Option<&Block>,
        found: &mut Vec<Problem>,
    ) {
        if let Some(told) = was.filter(|was| least(is, name) < least(Some(was), name)) {
            found.push(self.less(name, told));
        }
    }

    /// An approval, of a first good or by the laboratory, that is left out, quicker, less of a minimum, or asked for
    /// more seldom.
    fn approval(
        &self,
        name: &str,
        was: Option<&Block>,
        is: Option<&Block>,
        found: &mut Vec<Problem>,
    ) {
        let Some(was) = was else { return };
        let gate = self.within(name);
        let Some(is) = is else {
            let owner = self.owner;
            found.push(
                Problem::error(
                    Place::Key(gate.path),
                    "a variant cannot leave out an approval",
                )
                .expected(format!(
                    "the approval as the cell has it, or {owner} with a name of its own"
                )),
            );
            return;
        };
        let mean = |block| dist(block, "time").map_or(0.0, |time| time.mean());
        let shorter = least(Some(is), "time") < least(Some(was), "time") || mean(is) < mean(was);
        // How often a first good is looked at, the most often first.
        let seldom = |block: &Block| match block.get("at").and_then(Value::as_str) {
            Some("size") => 2,
            Some("artwork") => 1,
            _ => 0,
        };
        let lowered = [
            ("time", shorter),
            (
                "at_least",
                least(Some(is), "at_least") < least(Some(was), "at_least"),
            ),
            ("at", seldom(is) > seldom(was)),
        ];
        for (key, _) in lowered.iter().filter(|key| key.1) {
            found.push(gate.less(key, was));
        }
    }

    fn less(&self, name: &str, was: &Block) -> Problem {
        let owner = self.owner;
        let before = was.get(name).and_then(Value::as_str);
        let before = before.unwrap_or("every start").trim();
        Problem::error(
            Place::Value(self.within(name).path),
            format!("a variant asks for less than the cell in `{name}`, which has `{before}`"),
        )
        .expected(format!("`{before}` or more"))
        .help(format!(
            "a gate is no setting to compare: {owner} that has another one is another, with a name of its own"
        ))
    }
}

fn key(name: &str) -> Step {
    Step::Key(name.to_owned())
}

fn dist(block: &Block, key: &str) -> Option<Dist> {
    form::random(block.get(key)?.as_str()?, Dimension::Duration).ok()
}

/// Shortest value of a duration that may vary, minutes; nothing is asked for where it is not told.
fn least(block: Option<&Block>, key: &str) -> f64 {
    block
        .and_then(|block| dist(block, key))
        .map_or(0.0, |dist| dist.support().0)
}
