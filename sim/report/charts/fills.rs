//! Which colour and hatch stands for which state and which cause; the same in all charts.

use crate::record::{Spent, State};

use super::style::{AMBER, BLUE, Fill, GREEN, GRID, Hatch, PAPER, PLUM, RED, SHADE, SKY, SLATE};

/// Fill of a machine state.
pub fn of_state(state: State) -> Fill {
    match state {
        State::OffShift => Fill::new(PAPER, Hatch::Plain),
        State::Maintenance => Fill::new(GRID, Hatch::Upright),
        State::NoWork => Fill::new(SHADE, Hatch::Plain),
        State::WaitPeople => Fill::new(PLUM, Hatch::Rising),
        State::WaitMaterial => Fill::new(PLUM, Hatch::Upright),
        State::Changeover => Fill::new(AMBER, Hatch::Rising),
        State::Running => Fill::new(BLUE, Hatch::Plain),
        State::PlannedStop => Fill::new(SKY, Hatch::Plain),
        State::Blocked => Fill::new(SLATE, Hatch::Falling),
        State::Down => Fill::new(RED, Hatch::Crossed),
        State::MicroStop => Fill::new(RED, Hatch::Plain),
        State::FirstOff => Fill::new(AMBER, Hatch::Plain),
        State::RunningShort => Fill::new(BLUE, Hatch::Rising),
    }
}

/// Fill of a cause of lead time.
pub fn of_spent(spent: Spent) -> Fill {
    match spent {
        Spent::Changeover => of_state(State::Changeover),
        Spent::Running => of_state(State::Running),
        Spent::PlannedStop => of_state(State::PlannedStop),
        Spent::Cure => Fill::new(GREEN, Hatch::Plain),
        Spent::OffShift => Fill::new(GRID, Hatch::Plain),
        Spent::People => of_state(State::WaitPeople),
        Spent::Blocked => of_state(State::Blocked),
        Spent::Down => of_state(State::Down),
        Spent::OtherWebs => Fill::new(GREEN, Hatch::Upright),
        Spent::Approval => of_state(State::FirstOff),
        Spent::Release => Fill::new(PAPER, Hatch::Rising),
    }
}

/// Fill of the queue of a station: hatches take turns so that neighbours differ.
pub fn of_queue(station: usize) -> Fill {
    const FILLS: [Fill; 6] = [
        Fill::new(PLUM, Hatch::Plain),
        Fill::new(SLATE, Hatch::Rising),
        Fill::new(SLATE, Hatch::Plain),
        Fill::new(PLUM, Hatch::Crossed),
        Fill::new(SLATE, Hatch::Crossed),
        Fill::new(PLUM, Hatch::Falling),
    ];
    FILLS[station % FILLS.len()]
}
