//! The last part of the page: what it adds up to.
//!
//! In: model and explanation. Out: a table of the steps, the touch time, the shortest lead times.

use crate::model::Model;
use crate::units::{Tick, duration, grouped, minutes_from_ticks};

use super::change::Case;
use super::page::Page;
use super::walk::Walk;
use super::{Explanation, clock};

pub(super) fn write(page: &mut Page, model: &Model, explained: &Explanation) {
    page.heading("Altogether, each step on its quickest machine");
    let table: Vec<String> = Case::ALL
        .iter()
        .map(|case| format!("{:>20}", case.label()))
        .collect();
    page.line(0, &format!("{:18}{}", "", table.concat()));
    let walks = &explained.around_the_clock;
    let row = |page: &mut Page, name: &str, of: &dyn Fn(&Walk) -> Option<Tick>| {
        let cells = walks.iter().map(|walk| {
            of(walk).map_or_else(|| "-".to_string(), |ticks| span(minutes_from_ticks(ticks)))
        });
        let cells: Vec<String> = cells.map(|cell| format!("{cell:>20}")).collect();
        let name: String = name.chars().take(18).collect();
        page.line(0, &format!("{name:18}{}", cells.concat()));
    };
    let visits = walks.first().map_or(0, |walk| walk.visits.len());
    for nth in 0..visits {
        let Some(visit) = walks.first().and_then(|walk| walk.visits.get(nth)) else {
            continue;
        };
        let part = &model.parts[visit.part];
        let station = &model.plant.stations[part.steps[visit.step].station].name;
        if walks
            .iter()
            .any(|walk| walk.visits.get(nth).is_some_and(|v| v.hold > 0))
        {
            row(page, "  hold", &|walk| walk.visits.get(nth).map(|v| v.hold));
        }
        let second = if part.web == 1 { " (2nd)" } else { "" };
        row(page, &format!("  {station}{second}"), &|walk| {
            walk.visits.get(nth).map(|v| v.setup + v.run + v.stops)
        });
    }
    row(page, "touch time", &|walk| Some(walk.touch()));
    page.line(0, "");
    page.line(0, "Released to ..., on an idle cell that never closes:");
    row(page, "  first pouch", &|walk| {
        walk.first_pouch.map(|at| at - walk.released)
    });
    row(page, "  packed", &|walk| Some(walk.packed - walk.released));
    row(page, "  may ship", &|walk| Some(walk.done - walk.released));
    if walks
        .iter()
        .any(|walk| walk.visits.iter().any(|visit| visit.lots > 1))
    {
        page.line(
            0,
            "Several lots: steps overlap, so the way can be shorter than the sum of its steps.",
        );
    }
    calendar(page, model, explained);
    share(page, explained);
}

/// A span with its digits: minutes to the tenth below a day, where hours would hide them.
fn span(minutes: f64) -> String {
    if (10.0..1440.0).contains(&minutes) {
        format!("{} min", grouped(minutes, 1))
    } else {
        duration(minutes)
    }
}

fn calendar(page: &mut Page, model: &Model, explained: &Explanation) {
    let day = model.plant.run.start_day;
    page.line(0, "");
    page.line(
        0,
        &format!(
            "On the scenario's opening times, released on {}:",
            clock::moment(day, clock::monday_morning(day))
        ),
    );
    for (case, walk) in Case::ALL.iter().zip(&explained.on_the_calendar) {
        let text = match walk {
            Some(walk) => {
                let lead = duration(minutes_from_ticks(walk.done - walk.released));
                format!(
                    "packed {}, may ship {} ({lead})",
                    clock::moment(day, walk.packed),
                    clock::moment(day, walk.done)
                )
            }
            None => "not done within the scenario's time".to_string(),
        };
        page.line(22, &format!("  {:19} {text}", case.label()));
    }
}

/// How much of the shortest way is waiting for chemistry.
fn share(page: &mut Page, explained: &Explanation) {
    let Some(walk) = explained.around_the_clock.first() else {
        return;
    };
    let lead = walk.done - walk.released;
    let held: Tick =
        walk.visits.iter().map(|visit| visit.hold).sum::<Tick>() + (walk.done - walk.packed);
    if held > 0 && lead > 0 {
        page.line(0, "");
        page.line(
            0,
            &format!(
                "Of the shortest way {:.0} % is cure or cooling.",
                held as f64 / lead as f64 * 100.0
            ),
        );
        page.line(
            0,
            "The holds are those of the scenario, never below the adhesive's data sheet. Done here is not release for food contact.",
        );
    }
}
