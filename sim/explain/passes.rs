//! The passes of a laminate: what each bonds with, what comes to it and what leaves it.
//!
//! In: a web of the model. Out: lines of the page; what they add up to in metres stands with the web that is paid.

use crate::model::{Model, PartModel};
use crate::plant::LaminationProcess;

use super::geometry::number;
use super::page::Page;

/// Word for a process.
fn word(process: LaminationProcess) -> &'static str {
    match process {
        LaminationProcess::Thermal => "thermal",
        LaminationProcess::Solventless => "solventless",
        LaminationProcess::SolventBased => "solvent-based",
        LaminationProcess::WaterBased => "water-based",
        LaminationProcess::ElectronBeam => "electron-beam",
    }
}

/// One line where all passes are alike; a line for each where they add their webs one by one or bond differently.
pub(super) fn write(page: &mut Page, model: &Model, part: &PartModel) {
    let laminate = &model.plant.laminates[model.plant.products[part.product].laminate_of(part.web)];
    let told = part.mixed
        || laminate
            .passes
            .iter()
            .any(|pass| pass.enters != pass.leaves);
    for (number_of, adhesive) in model.adhesives(part).enumerate() {
        let bond = format!("{}, {}", word(adhesive.process), adhesive.name);
        if !told {
            page.row("bond", &bond);
            return;
        }
        let pass = laminate.pass(number_of as u8);
        let (enters, leaves) = (pass.enters, pass.leaves);
        let speed = match pass.speed_m_per_min.is_finite() {
            true => format!(", at most {} m/min", number(pass.speed_m_per_min)),
            false => String::new(),
        };
        page.row(
            &format!("pass {}", number_of + 1),
            &format!(
                "{bond}: {} um, {} g/m2 come to it, {} um, {} g/m2 leave it{speed}",
                number(enters.caliper_um),
                number(enters.weight_g_per_m2),
                number(leaves.caliper_um),
                number(leaves.weight_g_per_m2)
            ),
        );
    }
}
