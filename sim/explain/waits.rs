//! What a web waits for before a step, whatever the machines do: holds, drying, the laboratory; and how long it may wait.
//!
//! In: a web and its step. Out: rows of the page.

use crate::kernel::NEVER;
use crate::model::{GateKind, Model, PartModel, StepModel};
use crate::plant::LabBefore;
use crate::units::{duration, minutes_from_ticks, percent};

use super::page::Page;

/// What the laboratory takes before a step.
pub(super) fn lab(page: &mut Page, model: &Model, part: &PartModel, step: &StepModel) {
    let made = part.adhesives.iter().take(usize::from(step.passes)).rev();
    let mut labs = made.filter_map(|&adhesive| model.plant.adhesives[adhesive].lab.as_ref());
    let before = match step.gate {
        GateKind::Slit => LabBefore::Slit,
        GateKind::Pouch => LabBefore::Pouch,
        _ => return,
    };
    if let Some(lab) = labs.find(|lab| lab.before == before) {
        let hours = lab.hours.map_or("round the clock".to_owned(), |hours| {
            format!("in the hours of {}", model.plant.calendars[hours].name)
        });
        let time = duration(lab.time.mean());
        let fails = percent(lab.fails);
        page.row(
            "laboratory",
            &format!(
                "{time} after the hold, {hours}; {fails} fail and are printed and cured again"
            ),
        );
    }
}

/// How long print dries before the first pass.
pub(super) fn dry(page: &mut Page, part: &PartModel, step: &StepModel) {
    if step.gate == GateKind::Dry {
        let dry = duration(minutes_from_ticks(part.dry));
        page.row(
            "hold",
            &format!("{dry} after print, round the clock: ink or toner dries"),
        );
    }
}

/// How long a web may wait for a lamination.
pub(super) fn too_old(page: &mut Page, part: &PartModel, step: &StepModel) {
    let (longest, since) = match step.passes {
        0 => (part.longest[0], "print"),
        _ => (part.longest[1], "the pass before"),
    };
    if step.bonds && longest != NEVER {
        let longest = duration(minutes_from_ticks(longest));
        page.row(
            "too old",
            &format!("{longest} after {since}: lost then, and printed again (not in the sums)"),
        );
    }
}

/// The hold after each pass before a step; one line where they are all of one adhesive.
pub(super) fn hold(page: &mut Page, model: &Model, part: &PartModel, step: &StepModel) {
    let made = usize::from(step.passes);
    for (nth, (adhesive, hold)) in model.holds(part, step.gate, made).enumerate() {
        let hold = duration(hold.mean());
        if !part.mixed {
            page.row("hold", &format!("{hold} after lamination, round the clock"));
            return;
        }
        let pass = nth + 1;
        let name = &adhesive.name;
        page.row(
            "hold",
            &format!("{hold} after pass {pass} ({name}), round the clock"),
        );
    }
}
