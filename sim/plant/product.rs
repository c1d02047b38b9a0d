//! Products and what they are made of: formats, adhesives with their holds, rooms.

use crate::random::Dist;
use crate::trade::Format;

/// How two webs are bonded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LaminationProcess {
    /// Pre-coated film, bonded by heat and pressure; cools, does not cure.
    Thermal,
    /// Two-part polyurethane without solvent.
    Solventless,
    /// Two-part polyurethane in solvent, dried in an oven.
    SolventBased,
    /// Dispersion adhesive, dried in an oven.
    WaterBased,
    /// Adhesive cross-linked by an electron beam; ready at once.
    ElectronBeam,
}

/// Holds counted from the moment a roll leaves the laminator, around the clock, minutes.
#[derive(Debug, Clone, PartialEq)]
pub struct Gates {
    /// May be laminated again (next pass).
    pub second_pass: Dist,
    /// May be slit.
    pub slit: Dist,
    /// May be made into pouches.
    pub pouch: Dist,
    /// May ship: food-ready.
    pub ship: Dist,
}

/// An adhesive (or thermal coating) and what its data sheet asks.
#[derive(Debug, Clone, PartialEq)]
pub struct Adhesive {
    /// Name.
    pub name: String,
    /// Process that applies it.
    pub process: LaminationProcess,
    /// Holds on ambient racks; never shorter than the data sheet (checked by the reader).
    pub ambient: Gates,
    /// Ambient place it waits in, if places are limited: index into rooms.
    pub racks: Option<usize>,
    /// Faster holds in a hot room, if one is used.
    pub hot: Option<HotRoom>,
    /// Days on which it is run, as a calendar index; `None`: any time.
    pub days: Option<usize>,
    /// Life of the mixed adhesive, minutes, for reactive ones.
    pub pot_life_min: Option<f64>,
    /// Laboratory that its rolls pass after their hold, if there is one.
    pub lab: Option<Lab>,
}

/// Before which work the laboratory releases cured rolls.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LabBefore {
    /// Before slitting; where nothing is slit, before pouch making.
    Slit,
    /// Before pouch making.
    Pouch,
}

/// Release of cured rolls by a laboratory.
#[derive(Debug, Clone, PartialEq)]
pub struct Lab {
    /// How long it takes in its hours, minutes.
    pub time: Dist,
    /// Its hours, as a calendar index; `None` for round the clock.
    pub hours: Option<usize>,
    /// Share of prints of a web that fail.
    pub fails: f64,
    /// Before which work.
    pub before: LabBefore,
}

/// Curing in a hot room.
#[derive(Debug, Clone, PartialEq)]
pub struct HotRoom {
    /// Index into rooms.
    pub room: usize,
    /// Holds while in the room, minutes, heating lag not included.
    pub gates: Gates,
}

/// A place where rolls wait for time to pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Name.
    pub name: String,
    /// Rolls it takes; `None` for no limit.
    pub places: Option<u32>,
    /// Whether the heating lag of the wound film is added.
    pub heated: bool,
    /// When a place is free again.
    pub free_at: FreeAt,
}

/// When the place of a roll that has cured is free again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FreeAt {
    /// When the roll is taken out for its next step.
    #[default]
    TakenOut,
    /// When its hold is over: people clear the place at once.
    HoldEnd,
}

/// Webs that are corona treated at lamination.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Treated {
    /// The printed web.
    pub print: bool,
    /// The film laminated to it.
    pub film: bool,
}

impl Treated {
    /// A machine with these treaters can do what is asked.
    pub fn covers(self, asked: Treated) -> bool {
        (self.print || !asked.print) && (self.film || !asked.film)
    }

    /// One bit for each, from the printed web on.
    pub fn bits(self) -> u32 {
        u32::from(self.print) | u32::from(self.film) << 1
    }

    /// Words for it.
    pub fn words(self) -> &'static str {
        match (self.print, self.film) {
            (false, false) => "neither web",
            (true, false) => "the printed web",
            (false, true) => "the film",
            (true, true) => "both webs",
        }
    }
}

/// A further web that meets the body web at the pouch machine.
#[derive(Debug, Clone, PartialEq)]
pub struct MoreWeb {
    /// Laminate index.
    pub laminate: usize,
    /// Width of one lane, mm.
    pub width_mm: f64,
    /// Metres of this web per metre of body web, per lane.
    pub length_ratio: f64,
    /// Width of the roll it is laminated on, mm.
    pub web_mm: f64,
    /// Whether it is laminated in the cell (and so cures); `false`: bought in, always there.
    pub made_here: bool,
    /// Lanes on the laminator web.
    pub lanes: u32,
    /// Edge and centre trims across it, mm.
    pub trim_mm: f64,
    /// Lanes of the pouch machine that one reel of it serves.
    pub serves: u32,
}

/// Something sold.
#[derive(Debug, Clone, PartialEq)]
pub struct Product {
    /// Name.
    pub name: String,
    /// Pouch format; `None` for a piece that only visits bench stations.
    pub format: Option<Format>,
    /// Finished outside width, mm.
    pub width_mm: f64,
    /// Finished height, mm.
    pub height_mm: f64,
    /// Gusset depth (one fold leg), or opened depth for flat-bottom and side gusset, mm.
    pub gusset_mm: f64,
    /// Corner fin of a quad seal, one leg, mm.
    pub fin_mm: f64,
    /// Developed width of one lane, mm.
    pub developed_mm: f64,
    /// Advance of the web per pouch, mm (1 for pieces).
    pub pitch_mm: f64,
    /// Laminate of the body web (0 and unused for pieces).
    pub laminate: usize,
    /// Printed web width, mm.
    pub web_mm: f64,
    /// Edge and centre trims across the printed web, mm; what is left beside them is not used.
    pub trim_mm: f64,
    /// Trim at each edge, mm.
    pub edge_trim_mm: f64,
    /// Trim between two lanes, mm.
    pub centre_trim_mm: f64,
    /// Lanes on the press and laminator web.
    pub lanes: u32,
    /// Lanes on one reel as it goes on the pouch machine.
    pub reel_lanes: u32,
    /// Needs a zipper.
    pub zipper: bool,
    /// Kind of its zipper: equal numbers are equal kinds, 0 is one without a name.
    pub zipper_kind: u16,
    /// Form of its bottom seal: equal numbers are equal forms, 0 does not matter.
    pub bottom: u16,
    /// Modules needed of the pouch machine (indices into the scenario's module names), sorted.
    pub features: Vec<u16>,
    /// Webs that meet the body web at the pouch machine: gusset, second panel.
    pub more_webs: Vec<MoreWeb>,
    /// Pouches in one carton.
    pub per_carton: u32,
    /// Stations visited by the body web, in order; lamination appears once per pass.
    pub route: Vec<usize>,
    /// What it needs besides its web, in order of name: each station that uses it waits for it.
    pub supplies: Vec<Supply>,
    /// Extra good quantity planned over the ordered one, as a fraction.
    pub overs: f64,
}

/// Where a material is used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Used {
    /// Wherever pouches are made.
    Pouching,
    /// At these stations.
    At(Vec<usize>),
}

/// A material besides the printed web that may come late: film, zipper, spouts, dies.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// Name.
    pub name: String,
    /// Where it is used.
    pub used: Used,
    /// Time from release until it is there, minutes.
    pub there: Dist,
}

impl Supply {
    /// A step uses it.
    pub fn is_used(&self, station: usize, makes_pouches: bool) -> bool {
        match &self.used {
            Used::Pouching => makes_pouches,
            Used::At(stations) => stations.contains(&station),
        }
    }
}

impl Product {
    /// Laminate of a web: 0 the body, then the further ones.
    pub fn laminate_of(&self, web: u8) -> usize {
        self.more(web).map_or(self.laminate, |m| m.laminate)
    }

    /// A further web by number, from 1; `None` for the body.
    pub fn more(&self, web: u8) -> Option<&MoreWeb> {
        usize::from(web)
            .checked_sub(1)
            .and_then(|index| self.more_webs.get(index))
    }

    /// Further webs that are laminated in the cell: (number, web).
    pub fn made_here(&self) -> impl Iterator<Item = (u8, &MoreWeb)> {
        self.more_webs
            .iter()
            .enumerate()
            .filter(|(_, m)| m.made_here)
            .map(|(index, m)| (index as u8 + 1, m))
    }
}
