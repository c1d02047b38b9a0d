//! Whether a variant differs from today in the rules of the floor alone.
//!
//! In: two cells. Out: yes or no. Rules are the order of queues, policies, ranks, promises, limits, machines and hours
//! kept for classes, what happens when the cell is full, the share of classes among the orders, and what haste costs and brings. A variant that has other
//! machines, people or products as well answers another question: its money is not that of a rush order.

use crate::plant::Plant;

/// Whether `variant` differs from `today` in rules, and in nothing else.
pub fn rules_only(today: &Plant, variant: &Plant) -> bool {
    let mut same = variant.clone();
    same.name.clone_from(&today.name);
    same.note.clone_from(&today.note);
    same.run = today.run.clone();
    // Hours that are kept need a calendar of their own, which comes after those that are there.
    if same.calendars.starts_with(&today.calendars) {
        same.calendars.clone_from(&today.calendars);
    }
    for (mine, other) in same.classes.iter_mut().zip(&today.classes) {
        mine.rank = other.rank;
        mine.promise = other.promise.clone();
        mine.limit = other.limit;
        mine.when_full = other.when_full;
    }
    for (mine, other) in same.pools.iter_mut().zip(&today.pools) {
        mine.rule.clone_from(&other.rule);
        mine.crew_wait_min = other.crew_wait_min;
    }
    for (mine, other) in same.arrivals.iter_mut().zip(&today.arrivals) {
        mine.classes.clone_from(&other.classes);
    }
    for (mine, other) in same.stations.iter_mut().zip(&today.stations) {
        mine.next.clone_from(&other.next);
        mine.family_wait_min = other.family_wait_min;
        mine.family_slack_min = other.family_slack_min;
        mine.family_most = other.family_most;
        mine.lot.clone_from(&other.lot);
        let rework = mine.policy.rework;
        mine.policy = other.policy.clone();
        mine.policy.rework = rework;
        for (mine, other) in mine.machines.iter_mut().zip(&other.machines) {
            mine.reserved.clone_from(&other.reserved);
            // One of several that is kept has a name of its own.
            mine.name.clone_from(&other.name);
        }
    }
    if let (Some(mine), Some(other)) = (&mut same.money, &today.money) {
        mine.late_per_day.clone_from(&other.late_per_day);
        mine.premium_per_thousand
            .clone_from(&other.premium_per_thousand);
        mine.gaps.clone_from(&other.gaps);
        for (mine, other) in mine.purchases.iter_mut().zip(&other.purchases) {
            mine.name.clone_from(&other.name);
        }
    }
    let floor = variant.run.floor_limit == today.run.floor_limit;
    let differs = !floor || {
        let mut planned = variant.clone();
        planned.run = today.run.clone();
        planned != *today
    };
    differs && same == *today
}

#[cfg(test)]
mod tests {
    use super::super::starter;
    use super::*;
    use crate::plant::Rule;

    #[test]
    fn rules_are_told_from_machines() {
        let today = starter();
        assert!(!rules_only(&today, &today), "nothing differs");
        let mut rules = today.clone();
        rules.stations[0].next = vec![Rule::ClassFirst];
        rules.run.floor_limit = Some(7);
        assert!(rules_only(&today, &rules));
        let mut machine = rules.clone();
        let twin = machine.stations[0].machines[0].clone();
        machine.stations[0].machines.push(twin);
        // One that is kept and so has another name is the same machine.
        let mut kept = today.clone();
        kept.stations[0].machines[0].name = "kept".to_owned();
        assert!(rules_only(&today, &kept));
        assert!(!rules_only(&today, &machine));
        let mut people = rules;
        people.calendars.clear();
        assert!(!rules_only(&today, &people));
    }
}
