//! Films, adhesives with their holds.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Caliper, Density, Duration, RandomTime, Share, Weight};

/// A single film.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Film {
    /// Thickness.
    pub caliper: Caliper,
    /// Density. Give this or `weight`.
    #[serde(default)]
    pub density: Option<Density>,
    /// Mass per area, instead of `density`.
    #[serde(default)]
    pub weight: Option<Weight>,
    /// It is a coating on the film beside it, like the hot-melt of a thermal film: no adhesive lies on either side.
    #[serde(default)]
    pub coating: bool,
}

/// How two webs are bonded.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Process {
    /// Pre-coated film, bonded by heat and pressure; cools down, does not cure.
    Thermal,
    /// Two-part adhesive without solvent; cures.
    Solventless,
    /// Two-part adhesive in solvent; cures.
    SolventBased,
    /// Dispersion adhesive; cures.
    WaterBased,
    /// Adhesive cross-linked by an electron beam; ready at once.
    ElectronBeam,
}

/// Which web is corona treated at lamination.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Treating {
    /// Neither.
    #[default]
    None,
    /// The printed web.
    Print,
    /// The film that is laminated to it.
    Film,
    /// Both.
    Both,
}

/// An adhesive or thermal coating with its holds.
///
/// This model must never be used to justify a cure shorter than the adhesive supplier's technical
/// data sheet and your own migration and bond tests. Simulated "done" is not release for food
/// contact. A hold below the data sheet is refused.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Adhesive {
    /// Process that applies it.
    pub process: Process,
    /// Hold from the laminator to the next pass, round the clock. Default: 0 min for thermal and electron_beam, 4 h otherwise (common practice, no source).
    #[serde(default)]
    pub second_pass_after: Option<RandomTime>,
    /// Hold from the laminator to slitting, round the clock; never below the data sheet. Default for thermal 1 h (cool-down; common practice, no source), for electron_beam 0 min; required otherwise.
    #[serde(default)]
    pub slit_after: Option<RandomTime>,
    /// Hold from the laminator to pouch making; never below the data sheet. Defaults as `slit_after`.
    #[serde(default)]
    pub pouch_after: Option<RandomTime>,
    /// Hold from the laminator to shipping (food-ready); never below the data sheet. Defaults as `slit_after`.
    #[serde(default)]
    pub ship_after: Option<RandomTime>,
    /// The shortest holds that the adhesive supplier's technical data sheet allows at room temperature. Required for solventless, solvent_based and water_based. A shorter hold above is refused. This model must never be used to justify a cure shorter than the data sheet and your own migration and bond tests; simulated "done" is not release for food contact.
    #[serde(default)]
    pub data_sheet: Option<DataSheet>,
    /// Room (not heated) in which its rolls wait. Default: there is always a place.
    #[serde(default)]
    pub racks: Option<String>,
    /// Curing in a hot room. Default: none.
    #[serde(default)]
    pub hot_room: Option<HotRoom>,
    /// How long the mixed adhesive can be used. Default: no limit. Common practice for solventless 20 to 40 min, no source.
    #[serde(default)]
    pub pot_life: Option<Duration>,
    /// Calendar of the days on which it is run: its laminations start only while that is open. Default: any time.
    #[serde(default)]
    pub days: Option<String>,
    /// Release of its cured rolls by a laboratory, after the hold. Default: none.
    #[serde(default)]
    pub lab: Option<Lab>,
}

/// Before which work the laboratory releases rolls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LabBefore {
    /// Before slitting; where nothing is slit, before pouch making.
    Slit,
    /// Before pouch making.
    #[default]
    Pouch,
}

/// Release of cured rolls by a laboratory: a gate after the hold, never in its place.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Lab {
    /// How long it takes, counted in its hours from the end of the hold; the same for all rolls of one print of a web.
    pub time: RandomTime,
    /// Calendar of its hours. Default: round the clock.
    #[serde(default)]
    pub hours: Option<String>,
    /// Share of prints of a web that fail, all rolls of one together. They are lost, printed again and cure again. Default: none.
    #[serde(default = "no_share")]
    pub fails: Share,
    /// Before which work.
    #[serde(default)]
    pub before: LabBefore,
}

fn no_share() -> Share {
    "0 %".into()
}

/// The shortest holds the adhesive supplier's technical data sheet allows.
///
/// Copy them from the data sheet of your adhesive, for your structure and temperature. A hold
/// below them is refused.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DataSheet {
    /// Before slitting.
    pub slit_after: Duration,
    /// Before pouch making.
    pub pouch_after: Duration,
    /// Before shipping (food-ready).
    pub ship_after: Duration,
}

/// Curing in a hot room.
///
/// This model must never be used to justify a cure shorter than the adhesive supplier's technical
/// data sheet and your own migration and bond tests. Simulated "done" is not release for food
/// contact. A hold below the data sheet is refused.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HotRoom {
    /// Name of a heated room.
    pub room: String,
    /// Hold to slitting while in the room; the heating lag of the wound film is added. Never below the data sheet.
    pub slit_after: RandomTime,
    /// Hold to pouch making while in the room. Never below the data sheet.
    pub pouch_after: RandomTime,
    /// Hold to shipping while in the room. Never below the data sheet.
    pub ship_after: RandomTime,
    /// Hold to the next pass. Default: as on ambient racks.
    #[serde(default)]
    pub second_pass_after: Option<RandomTime>,
    /// The shortest holds the data sheet allows at the temperature of the room. A shorter hold is refused. This model must never be used to justify a cure shorter than the data sheet and your own migration and bond tests; simulated "done" is not release for food contact.
    pub data_sheet: DataSheet,
}
