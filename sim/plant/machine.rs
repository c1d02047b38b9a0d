//! Stations and machines: capabilities, speeds, changeovers, crews, stops.

use crate::random::Dist;

use super::process::Process;

/// What a station does; all of its machines do it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Work {
    /// Printing, where a press is modelled.
    Press,
    /// Laminating one pass.
    Lamination,
    /// Slitting and rewinding into reels.
    Slitting,
    /// Pouch making.
    Pouching,
    /// Looking at finished pouches or rolls.
    Inspection,
    /// Inserting spouts.
    Spouting,
    /// Counting, packing, labelling cartons.
    Packing,
    /// Any step given by a time.
    Bench,
}

/// A criterion of what to take next; a station has a list of them, the first that decides wins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Longest in the queue.
    FirstCome,
    /// Nearest due date.
    EarliestDue,
    /// Least time to spare: due − now − remaining work − remaining cure.
    LeastSlack,
    /// Shortest work at this station.
    ShortestWork,
    /// Smallest (due − now) / remaining work and cure.
    CriticalRatio,
    /// Same family as the machine is dressed for.
    SameFamily,
    /// Shortest changeover from how the machine is dressed.
    ShortestChangeover,
    /// Lowest class rank.
    ClassFirst,
}

/// Number of [`Rule`]s.
pub const RULES: usize = 8;

/// How much moves on together, and is taken by one machine in one go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LotSize {
    /// As it comes from the step before (first step: printed rolls).
    Roll,
    /// The whole SKU of the order, gathered before it starts.
    Order,
    /// At most so many metres of web per lane group.
    Metres(f64),
    /// At most so many pouches.
    Pouches(f64),
}

/// A step of the cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Name.
    pub name: String,
    /// Kind of work.
    pub work: Work,
    /// Criteria in order.
    pub next: Vec<Rule>,
    /// A lot that has waited so long of the station's open time is taken before `SameFamily`/`ShortestChangeover` count, minutes.
    pub family_wait_min: Option<f64>,
    /// A lot with less time to spare than this goes before the family, minutes.
    pub family_slack_min: Option<f64>,
    /// After so many lots of one family in a row the family counts no more.
    pub family_most: Option<u32>,
    /// Lot granularity at this station.
    pub lot: LotSize,
    /// Lots that find room before it; `None` for no limit.
    pub staging: Option<u32>,
    /// Machine, by its number here, that metres are planned on; `None`: the one that loses most.
    pub plan_on: Option<usize>,
    /// Policies beyond the order of the queue.
    pub policy: Policy,
    /// Machines (at least one).
    pub machines: Vec<Machine>,
}

/// When an order of a better rank takes a machine from a lot of a worse one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Interrupt {
    /// Never: the SKU on the machine is finished first.
    #[default]
    Never,
    /// Between two rolls (lots) of the SKU.
    RollEnd,
    /// In the middle of the run; the changeover is paid twice and the web restarted.
    AtOnce,
}

/// Floor policies of a station.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Policy {
    /// Settings that make a family for `same_family`; empty: the whole dressing.
    pub family: Vec<ElementKind>,
    /// What better-ranked orders may interrupt.
    pub interrupt: Interrupt,
    /// A second machine takes lots of a SKU that is on another one only if their run is at least so
    /// many times its changeover; `None`: any free machine takes them.
    pub split_factor: Option<f64>,
    /// The next so many minutes of planned work cannot be overtaken any more.
    pub freeze_min: f64,
    /// Share of lots that have to go back, and the step they go back to (a station index).
    pub rework: Option<(f64, usize)>,
}

/// What happens to work in progress when the shift ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShiftEnd {
    /// Stops at once, goes on with the next shift.
    Pause,
    /// The running lot is finished in overtime, at most so many minutes.
    FinishLot(f64),
    /// All lots of the running SKU are finished in overtime, at most so many minutes.
    FinishOrder(f64),
    /// Nothing is started that cannot end before the shift does.
    NoLateStart,
}

/// People needed, in thousandths of a person (500: one person tends two machines).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Crew {
    /// (pool index, thousandths) during changeovers.
    pub changeover: Vec<(usize, u32)>,
    /// (pool index, thousandths) during the run.
    pub run: Vec<(usize, u32)>,
    /// A smaller run crew that will do where the whole one is not there.
    pub short: Option<ShortCrew>,
}

/// A run crew that is short of somebody, and slower.
#[derive(Debug, Clone, PartialEq)]
pub struct ShortCrew {
    /// (pool index, thousandths).
    pub people: Vec<(usize, u32)>,
    /// What the whole run crew has beyond it.
    pub missing: Vec<(usize, u32)>,
    /// Who stands in, and leaves when the whole crew is there.
    pub leaving: Vec<(usize, u32)>,
    /// Share of its own speed at which the machine runs with it, above 0 and at most 1.
    pub pace: f64,
}

/// What a breakdown clock counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// Running minutes of the machine.
    Running,
    /// All minutes.
    Calendar,
    /// Metres of web run.
    Metres,
}

/// A cause of breakdown.
#[derive(Debug, Clone, PartialEq)]
pub struct Breakdown {
    /// Between the end of one and the next, in minutes (metres for [`Clock::Metres`]).
    pub every: Dist,
    /// What `every` counts.
    pub clock: Clock,
    /// Repair, minutes.
    pub repair: Dist,
    /// People the repair needs: (pool index, thousandths); the machine stays down until they come. Where there are
    /// none the machine's own people mend it.
    pub crew: Vec<(usize, u32)>,
    /// Mended by a service from outside the cell, which works whether the machine is open or not: the calendar of
    /// its hours, `None` inside for round the clock.
    pub by_service: Option<Option<usize>>,
    /// Re-threading after it, minutes.
    pub rethread_min: f64,
    /// Web lost, metres.
    pub waste_m: f64,
}

/// When the first good metres or pouches of a machine are looked at before it runs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum AskedAt {
    /// After every start: each changeover, also back to what was interrupted.
    #[default]
    Start,
    /// After a start with another artwork than was approved last on the machine.
    Artwork,
    /// After a start with another format, web or pouch size than was approved last on the machine.
    Size,
}

/// First-off approval: a gate. The machine stands, its crew with it, until the first good of a start is approved.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstOff {
    /// How long looking at it takes, minutes.
    pub time: Dist,
    /// Who looks: (pool index, thousandths); nobody beyond the crew of the machine where it is empty.
    pub crew: Vec<(usize, u32)>,
    /// The run crew and those who look, together.
    pub all: Vec<(usize, u32)>,
    /// The smaller run crew and those who look, together; as [`FirstOff::all`] where there is no smaller one.
    pub few: Vec<(usize, u32)>,
    /// When it is asked.
    pub at: AskedAt,
}

/// Short stops that the operator clears himself.
#[derive(Debug, Clone, PartialEq)]
pub struct MicroStops {
    /// Running minutes between them.
    pub every: Dist,
    /// Length, minutes.
    pub lasting: Dist,
    /// Web lost at each, m.
    pub waste_m: f64,
}

/// Why a changeover needs time: what differs from the job before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum ElementKind {
    /// Next job on the machine, nothing of the dressing differs: new artwork, splice, load and thread.
    Job = 0,
    /// Another film or structure.
    Film,
    /// Another finish.
    Finish,
    /// Another web or pouch width.
    Width,
    /// Another adhesive.
    Adhesive,
    /// Another lamination process on the same machine.
    Process,
    /// Other knife positions (per knife).
    Knives,
    /// Another pouch format.
    Format,
    /// To or from a flat-bottom format (instead of `Format`).
    FlatBottom,
    /// Another height.
    Height,
    /// Another gusset.
    Gusset,
    /// Zipper put in, taken out or threaded.
    Zipper,
    /// Each punch, notch, hole or corner tool that differs.
    Punch,
    /// Each corona treater that treats now and did not, or the other way round.
    Treater,
    /// Other seal bars: another bottom of the pouch.
    SealBars,
}

/// Number of [`ElementKind`]s.
pub const ELEMENT_KINDS: usize = 15;

/// One element of a changeover.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// When it applies.
    pub kind: ElementKind,
    /// Time, minutes (per knife or punch where the kind says so). Lock-out, cool-down and guard checks included.
    pub time: Dist,
    /// Web lost at the start that follows, metres (per knife or punch where the kind says so); counts only with
    /// [`Changeover::loses_by_element`].
    pub waste_m: f64,
}

/// Changeover times of one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Changeover {
    /// Elements; those that apply are combined.
    pub elements: Vec<Element>,
    /// Share of all but the largest element that is added to the largest: 1 = one after the other. Counts for the
    /// web lost as well.
    pub rest_share: f64,
    /// Least time of a changeover in which anything is changed, minutes: standstill, lock-out, cool-down, guard checks.
    pub locked_min: f64,
    /// Part of it that can be done away from the machine while it still runs, minutes.
    pub prepare_min: f64,
    /// A start loses the web of the elements that apply instead of the machine's start waste, which stays what is
    /// planned for.
    pub loses_by_element: bool,
    /// A from→to table that replaces the elements.
    pub table: Option<ChangeoverTable>,
    /// Extra after standing for longer than `cold_after_min`, minutes.
    pub cold_start: Option<Dist>,
    /// Standing time after which the machine is cold, minutes.
    pub cold_after_min: f64,
}

impl Changeover {
    /// Mean minutes from one product to another by a table of it.
    pub fn mean_by(&self, table: &ChangeoverTable, from: usize, to: usize) -> f64 {
        self.at_least_locked(table.times[table.index[from][to] as usize].mean())
    }

    /// No changeover in which anything is changed is shorter than what is locked.
    pub fn at_least_locked(&self, minutes: f64) -> f64 {
        if minutes > 0.0 {
            minutes.max(self.locked_min)
        } else {
            0.0
        }
    }
}

/// Changeover times by product, minutes.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeoverTable {
    /// Row by product the machine is dressed for, column by the next one: index into `times`.
    pub index: Vec<Vec<u32>>,
    /// Distinct times, minutes.
    pub times: Vec<Dist>,
    /// Web lost at the start that follows, metres, by index of `times`; `None`: the machine's start waste.
    pub wastes_m: Vec<Option<f64>>,
}

/// One machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// Name, unique in the scenario.
    pub name: String,
    /// Calendar index.
    pub calendar: usize,
    /// End-of-shift rule.
    pub shift_end: ShiftEnd,
    /// People it needs.
    pub crew: Crew,
    /// Changeovers.
    pub changeover: Changeover,
    /// Causes of breakdown.
    pub breakdowns: Vec<Breakdown>,
    /// Micro-stops.
    pub micro_stops: Option<MicroStops>,
    /// First-off approval.
    pub first_off: Option<FirstOff>,
    /// Planned maintenance windows as a calendar index: the machine is closed while it is open.
    pub maintenance: Option<usize>,
    /// Product index it is dressed for at time zero; `None`: undressed, the first job pays every element.
    pub dressed_for: Option<usize>,
    /// Cleaning before a reactive adhesive sets: at the end of each shift, and when a stop outlasts the pot life.
    pub wash_up: Option<WashUp>,
    /// Kept for some classes.
    pub reserved: Option<Reserved>,
    /// Film on the second unwind, m: `None` for no stops to change it.
    pub film_reel_m: Option<f64>,
    /// Share of its speed that it reaches with webs of a kind: (kind, share).
    pub speed_for: Vec<(u16, f64)>,
    /// Changing that film roll, minutes.
    pub film_change_min: f64,
    /// The work itself.
    pub process: Process,
}

/// Washing up.
#[derive(Debug, Clone, PartialEq)]
pub struct WashUp {
    /// Planned wash-up at the end of a shift in which reactive adhesive ran, minutes.
    pub end_of_shift_min: f64,
    /// Unplanned one after a stop longer than `pot_life_share` of the pot life, minutes.
    pub unplanned_min: f64,
    /// Share of the pot life a stop may last.
    pub pot_life_share: f64,
    /// Web lost by an unplanned one, m.
    pub waste_m: f64,
}

/// A machine, or hours of it, kept for some classes of orders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reserved {
    /// Classes that may use it.
    pub classes: Vec<usize>,
    /// Only while this calendar is open; `None`: always.
    pub calendar: Option<usize>,
}

impl Machine {
    /// Share of its speed that it reaches with a web of these kinds: the least that it tells of any, or all of it.
    pub fn speed_share(&self, kinds: &[u16]) -> f64 {
        let told = self.speed_for.iter().filter(|told| kinds.contains(&told.0));
        told.map(|told| told.1).fold(1.0, f64::min)
    }
}
