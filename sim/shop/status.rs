//! What a machine is doing, whether it is open, whose hands are on it: one enum each.

use crate::model::Presence;

/// What a machine is in the middle of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Doing {
    /// Nothing; nothing is there that it could do.
    Idle,
    /// Nothing; the web is there, something that goes with it is not.
    Starved,
    /// Changing over.
    Setup,
    /// Running.
    Run,
    /// Its first good is looked at before it runs on.
    FirstOff,
    /// Planned stop.
    Stop,
    /// Micro-stop.
    Micro,
    /// Repair.
    Repair,
    /// The web is threaded again after a repair.
    Rethread,
    /// Done, cannot hand on.
    Blocked,
}

impl Doing {
    /// It ends by itself after a time.
    #[inline(always)]
    pub fn is_timed(self) -> bool {
        !matches!(self, Doing::Idle | Doing::Starved | Doing::Blocked)
    }

    /// Nothing is on the machine.
    #[inline(always)]
    pub fn is_nothing(self) -> bool {
        matches!(self, Doing::Idle | Doing::Starved)
    }
}

/// Whether a machine is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Door {
    /// Closed by its calendar.
    Closed,
    /// Planned maintenance.
    Maintenance,
    /// Open for work.
    Open,
    /// Open, the rest of the shift belongs to the wash-up.
    WashUp,
    /// Beyond its calendar, to finish what is on it.
    Overtime,
}

impl Door {
    /// The machine may work on what it has.
    #[inline(always)]
    pub fn is_open(self) -> bool {
        matches!(self, Door::Open | Door::Overtime)
    }

    /// People are there for it, to work or to wash up.
    #[inline(always)]
    pub fn is_manned(self) -> bool {
        self.is_open() || self == Door::WashUp
    }

    /// Its calendar says open.
    #[inline(always)]
    pub fn is_on_shift(self) -> bool {
        matches!(self, Door::Open | Door::WashUp)
    }

    /// What the calendar says while it is not open.
    pub fn shut(presence: Presence) -> Self {
        if presence == Presence::Maintenance {
            Door::Maintenance
        } else {
            Door::Closed
        }
    }
}

impl Hands {
    /// Somebody is waited for.
    #[inline(always)]
    pub fn are_short(self) -> bool {
        matches!(self, Hands::Awaited | Hands::Joined)
    }
}

/// Whose hands are on a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hands {
    /// Nobody's, and nobody is waited for.
    Nobody,
    /// Nobody's; its people are waited for.
    Awaited,
    /// Those of its run crew; who is to look at its first good is waited for.
    Joined,
    /// The run crew's, and those who look at its first good.
    FirstOff,
    /// Its changeover crew.
    Changeover,
    /// Its run crew.
    Run,
    /// Those who mend it.
    Repair,
}

/// Whether a run crew is whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strength {
    /// All of it.
    Whole,
    /// The smaller crew that will do.
    Short,
}

/// Who mends a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mender {
    /// The people that run it.
    Crew,
    /// People of their own, told by the breakdown.
    People,
    /// Somebody from outside the cell, whether the machine is open or not.
    Service,
}
