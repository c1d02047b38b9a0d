//! The backward chain of one SKU: from good pouches to metres to print, station by station.
//!
//! In: a web of a product and what is asked of it. Out: what enters and leaves each step, whole metres, planned
//! at each station on the machine that loses most among those that can do the step, or on the one the station
//! names. Every start is planned: of each artwork at the pouch machine, and of each machine that a SKU in several
//! lots can be shared out to; so is the web lost where reels are changed.

use smallvec::SmallVec;

use crate::plant::{LotSize, PouchingSpec, Product};
use crate::trade::Format;
use crate::trade::pouch_rate::{RateCaps, pouch_rate};
use crate::units::{ceiling, whole, whole_above};

use super::wound::changes;
use super::{Job, Law, Model, PartModel, StepModel};

/// What is asked of a web.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ask {
    /// Good pouches (pieces), overs included.
    pub wanted: f64,
    /// Artworks ganged on it: each is a start of its own at the pouch machine.
    pub artworks: u32,
    /// Pouch machines that are known to share each artwork.
    pub split: u32,
    /// Body web that enters the pouch machine where this further web meets it, lane-millimetres; `None` for a body.
    pub beside: Option<f64>,
}

/// One step of the chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepPlan {
    /// Lane-millimetres (pieces after pouching) that enter the step.
    pub enters: i64,
    /// What leaves it.
    pub leaves: i64,
    /// Machine of the station, by its number there, that the step is planned on.
    pub job: usize,
    /// Starts that lose web.
    pub starts: u32,
    /// Rolls or reels that enter.
    pub rolls: u32,
    /// Lots they come in.
    pub groups: u32,
    /// Lots they are run in.
    pub lots: u32,
    /// Changes of rolls or reels that lose web.
    pub changes: u32,
}

impl StepPlan {
    /// Changes of loads on a machine of the station that lose web or stop it: the first load of each start is in its
    /// changeover.
    pub fn changes_on(&self, job: &Job) -> u32 {
        changes(self.rolls, self.groups, self.lots, self.starts, job.at_once)
    }

    /// Sets that a slitter rewinds all of it to.
    pub fn sets_on(&self, job: &Job) -> u32 {
        let lots = self.lots.max(1);
        let all_start = self.starts >= lots;
        lots * job
            .law
            .sets(self.enters / i64::from(lots), job.lanes, all_start)
    }
}

/// The chain of one web.
#[derive(Debug, Clone, PartialEq)]
pub struct WebPlan {
    /// Lane-millimetres to print (pieces where there is no web).
    pub printed: i64,
    /// Rolls it is printed on.
    pub rolls: i64,
    /// By step of the part.
    pub steps: Vec<StepPlan>,
}

/// Most rolls one web of one SKU is cut into; beyond it the rolls grow (a guard against absurd input).
pub const MOST_ROLLS: i64 = 2_000;

/// Most rounds in which metres and the reels they make are brought to agree.
const MOST_ROUNDS: usize = 8;

/// Metres that must enter so that `leaves_mm` of web leave: loss share first, then the start, up to a whole metre.
fn step_back(leaves_mm: f64, running_waste: f64, start_mm: f64) -> f64 {
    let metres = (leaves_mm / (1.0 - running_waste) + start_mm) / 1000.0;
    // A millimetre of grace: 7 m must not become 8 m by the last bit of a division.
    ceiling(metres - 1e-6) * 1000.0
}

impl Ask {
    /// The same, made on several pouch machines at once: each starts with metres of its own.
    pub fn shared(mut self, machines: u32) -> Self {
        self.split = machines.max(1);
        self
    }
}

impl Model {
    /// What an order of `pouches` good pouches, `artworks` of them ganged, asks of a web.
    pub fn ask(&self, part: usize, pouches: f64, artworks: u32) -> Ask {
        let web = &self.parts[part];
        let product = &self.plant.products[web.product];
        let ask = Ask {
            wanted: pouches * (1.0 + product.overs),
            artworks,
            split: 1,
            beside: None,
        };
        if web.web == 0 {
            return ask;
        }
        let body = self.body_part(web.product);
        let beside = body
            .join
            .map(|step| plan_entry(body, &ask, step) as f64 * web.length_ratio);
        Ask { beside, ..ask }
    }
}

/// Plans one web.
pub fn plan_web(part: &PartModel, ask: &Ask) -> WebPlan {
    let mut steps = Vec::with_capacity(part.steps.len());
    let printed = settled(part, ask, 0, |step| steps.push(step));
    steps.reverse();
    WebPlan {
        printed,
        rolls: part.rolls(printed),
        steps,
    }
}

/// What enters step `first` of the plan of [`plan_web`], lane-millimetres or pieces; beyond the last step
/// what is printed.
pub fn plan_entry(part: &PartModel, ask: &Ask, first: usize) -> i64 {
    if part.steps.get(first).is_some_and(|step| step.lossless) {
        return ceiling(ask.wanted - 1e-9) as i64;
    }
    // Nothing after the last step: the whole chain says what is printed.
    let until = if first < part.steps.len() { first } else { 0 };
    let settled = agree(part, ask);
    match settled.round {
        Some(round) if until == 0 => round.enters,
        _ => plan_back(part, ask, until, &settled.rolls, &mut |_| {}).enters,
    }
}

/// What the plan of [`plan_web`] lets the start of step `first` lose, lane-millimetres; 0 for pieces and pouches.
pub fn start_loss(part: &PartModel, ask: &Ask, first: usize) -> i64 {
    let pouching = part.steps.iter().position(|s| s.makes_pouches);
    let Some(step) = part.steps.get(first) else {
        return 0;
    };
    if part.is_piece() || pouching.is_some_and(|p| first > p) {
        return 0;
    }
    let mut planned = step.plan_job;
    settled(part, ask, first, |step| planned = step.job);
    let job = &step.jobs[planned];
    let lanes = if step.makes_pouches {
        job.lanes
    } else {
        part.lanes
    };
    job.start_waste_mm * i64::from(lanes)
}

/// What a walk back finds, from which the next one counts rolls, reels and lots.
#[derive(Clone, Copy, PartialEq)]
struct Round {
    /// What enters the first step walked: lane-millimetres or pieces.
    enters: i64,
    /// The step that parts the web; `None` where none does.
    slit: Option<Slit>,
}

/// What comes to the step that parts the web, as the machine that it is planned on takes it.
#[derive(Clone, Copy, PartialEq)]
struct Slit {
    enters: i64,
    /// Every lot is a start.
    starts: bool,
}

/// Walks the chain back until metres and the rolls and reels they make agree; tells the steps of the last walk.
fn settled(part: &PartModel, ask: &Ask, until: usize, mut tell: impl FnMut(StepPlan)) -> i64 {
    plan_back(part, ask, until, &agree(part, ask).rolls, &mut tell).enters
}

/// Rolls or reels that come to each step, and the lots they come in.
type Rolls = SmallVec<[(i64, i64); 8]>;

/// Rolls and reels that agree with the metres they are made of.
struct Agreed {
    rolls: Rolls,
    /// The walk that found them; `None` where none was needed, or none would end.
    round: Option<Round>,
}

fn agree(part: &PartModel, ask: &Ask) -> Agreed {
    let mut rolls = part.rolls_by_step(Round {
        enters: 1,
        slit: None,
    });
    if part.counts_rolls {
        // More metres never make fewer rolls, so this ends. The printed roll and the slitter decide how many there
        // are, so the whole chain is walked.
        for _ in 0..MOST_ROUNDS {
            let round = plan_back(part, ask, 0, &rolls, &mut |_| {});
            let again = part.rolls_by_step(round);
            if again == rolls {
                let round = Some(round);
                return Agreed { rolls, round };
            }
            rolls = again;
        }
    }
    Agreed { rolls, round: None }
}

impl PartModel {
    /// Rolls that so many lane-millimetres are printed on.
    pub fn rolls(&self, printed: i64) -> i64 {
        if self.is_piece() {
            return 1;
        }
        let web_mm = printed as f64 / f64::from(self.lanes);
        whole_above(web_mm / self.roll_max_mm).clamp(1, MOST_ROLLS)
    }

    /// Rolls or reels that come to each step, and the lots they come in.
    fn rolls_by_step(&self, round: Round) -> Rolls {
        let printed = round.enters;
        let mut lots = self.rolls(printed);
        let mut rolls = lots;
        let mut slit = false;
        let count = |step: &StepModel| {
            lots = step.lots(lots, printed, self);
            let comes = (rolls, lots);
            let job = &step.jobs[step.plan_job];
            if job.parts_lanes > 0 && !slit {
                slit = true;
                let lots = lots.max(1);
                // Of lots with a start and without one the latter make more.
                let (each, starts) = match round.slit {
                    Some(slit) => (slit.enters / lots, slit.starts),
                    None => (0, true),
                };
                rolls = job
                    .reels(each, (rolls / lots).max(1) as u32, starts)
                    .map_or(rolls, |reels| i64::from(reels) * lots);
            }
            comes
        };
        self.steps.iter().map(count).collect()
    }

    /// Reels in a lot of begun work that stands before step `first`; `None` where it is not slit.
    pub fn begun_reels(&self, first: usize, quantity: i64) -> Option<u32> {
        let slit = self.steps.iter().take(first).rev();
        let job = slit
            .map(|step| &step.jobs[step.plan_job])
            .find(|job| job.parts_lanes > 0)?;
        // All that stands there is rewound already.
        let sets = match job.slits_inline {
            true => 1,
            false => job.law.sets_of(quantity as f64 / f64::from(job.lanes)),
        };
        Some(sets * job.parts_lanes)
    }
}

impl StepModel {
    /// Lots that leave the door of the step of so many that come to it.
    fn lots(&self, lots: i64, printed: i64, part: &PartModel) -> i64 {
        let each = printed as f64 / lots.max(1) as f64;
        match self.lot {
            LotSize::Roll => lots,
            LotSize::Order => 1,
            LotSize::Metres(metres) => {
                let limit = ceiling(metres * 1000.0 * f64::from(part.lanes));
                lots * whole_above(each / limit).max(1)
            }
            LotSize::Pouches(pouches) => {
                lots * whole_above(each / ceiling(pouches * part.pitch_mm)).max(1)
            }
        }
    }

    /// Machines of the station that a plan looks at: the one it names where that can do the step, or else all that can.
    fn planned(&self) -> impl Iterator<Item = (usize, &Job)> {
        let named = self.plan_on.filter(|&on| self.jobs[on].able);
        self.jobs
            .iter()
            .enumerate()
            .filter(move |(index, job)| match named {
                Some(on) => *index == on,
                None => job.able,
            })
    }

    /// What must enter so that `leaves` lane-millimetres leave, on the machine that loses most.
    fn most_back(
        &self,
        leaves: f64,
        lanes: f64,
        starts: u32,
        changes: impl Fn(&Job) -> u32,
    ) -> Back {
        let mut most: Option<Back> = None;
        for (index, job) in self.planned() {
            let lanes = if self.makes_pouches {
                f64::from(job.lanes)
            } else {
                lanes
            };
            let changes = changes(job);
            let lost_mm =
                job.start_waste_mm as f64 * f64::from(starts) + job.splice_mm * f64::from(changes);
            let enters = step_back(leaves / lanes, job.mean_waste, lost_mm) * lanes;
            if most.is_none_or(|most| enters > most.enters) {
                most = Some(Back {
                    enters,
                    job: index,
                    changes,
                });
            }
        }
        most.unwrap_or(Back {
            enters: leaves,
            job: self.plan_job,
            changes: 0,
        })
    }
}

/// What enters a step, and the machine it is planned on.
#[derive(Clone, Copy)]
struct Back {
    enters: f64,
    job: usize,
    changes: u32,
}

/// Walks the chain back from the last step to step `until`, telling each step; gives what enters the latter.
fn plan_back(
    part: &PartModel,
    ask: &Ask,
    until: usize,
    rolls: &Rolls,
    tell: &mut impl FnMut(StepPlan),
) -> Round {
    let is_web = !part.is_piece();
    let pouching = part.steps.iter().position(|s| s.makes_pouches);
    let lanes = f64::from(part.lanes);
    // Web wanted at the end of the way, mm on one lane of the laminator web; a further web runs through the pouch
    // machine beside the body, as long as that runs.
    let mut web_mm = ask.beside.unwrap_or(ask.wanted * part.pitch_mm) / lanes;
    let mut pieces = ask.wanted;
    let mut slit = None;
    let mut enters = if is_web {
        whole_above(web_mm * lanes)
    } else {
        pieces as i64
    };
    for (index, step) in part.steps.iter().enumerate().skip(until).rev() {
        let after_pouching = !is_web || pouching.is_some_and(|p| index > p);
        let planned = if after_pouching {
            let leaves = pieces;
            let (job, loss) = most_lost(step);
            pieces = ceiling(pieces / (1.0 - loss) - 1e-9);
            web_mm = pieces * part.pitch_mm / lanes;
            StepPlan {
                enters: pieces as i64,
                leaves: whole(leaves),
                job,
                starts: 0,
                rolls: 1,
                groups: 1,
                lots: 1,
                changes: 0,
            }
        } else {
            let (rolls, groups) = rolls[index];
            let lots = groups;
            let machines = i64::from(step.able_machines());
            let (starts, lots) = if step.makes_pouches {
                // Ganged artworks are parted here, and those that are shared out are cut.
                let told = i64::from(ask.artworks) * i64::from(ask.split);
                let lots = lots.max(told);
                let alone = if ask.artworks > 1 {
                    1
                } else {
                    lots.min(machines)
                };
                (told.max(alone), lots)
            } else {
                (lots.min(machines), lots)
            };
            let starts = starts.max(1) as u32;
            let leaves = if step.makes_pouches {
                pieces * part.pitch_mm
            } else {
                web_mm * lanes
            };
            let back = step.most_back(leaves, lanes, starts, |job| {
                let rolls = rolls.max(1) as u32;
                changes(rolls, groups as u32, lots as u32, starts, job.at_once)
            });
            web_mm = back.enters / lanes;
            StepPlan {
                enters: back.enters as i64,
                leaves: if step.makes_pouches {
                    whole(pieces)
                } else {
                    leaves as i64
                },
                job: back.job,
                starts,
                rolls: rolls.max(1) as u32,
                groups: groups.max(1) as u32,
                lots: lots.max(1) as u32,
                changes: back.changes,
            }
        };
        enters = planned.enters;
        if !after_pouching && step.jobs[planned.job].parts_lanes > 0 {
            let starts = planned.starts >= planned.lots;
            slit = Some(Slit { enters, starts });
        }
        tell(planned);
    }
    Round { enters, slit }
}

/// The machine of a step after pouching that loses most, and the share it loses.
fn most_lost(step: &StepModel) -> (usize, f64) {
    let mut most = (step.plan_job, 0.0);
    for (index, job) in step.planned() {
        if matches!(job.law, Law::Pieces { .. }) && job.mean_waste > most.1 {
            most = (index, job.mean_waste);
        }
    }
    most
}

/// What may bound a pouch machine on a product: format and web at a share of their speed, and the dwell of the laminate,
/// with what the zipper adds to it.
pub fn rate_caps(
    spec: &PouchingSpec,
    format: Format,
    product: &Product,
    caliper_um: f64,
    share: f64,
) -> RateCaps {
    let of = |list: &[(Format, f64)]| list.iter().find(|f| f.0 == format).map(|f| f.1);
    let plain = of(&spec.formats).unwrap_or(1.0);
    let cap = if product.zipper {
        of(&spec.zipper_formats).unwrap_or(plain).min(plain)
    } else {
        plain
    };
    let dwell = spec
        .dwell
        .iter()
        .find(|d| caliper_um <= d.0)
        .or(spec.dwell.last())
        .map(|d| d.1);
    let zipper = if product.zipper {
        spec.zipper_dwell_s
    } else {
        0.0
    };
    let index = spec.index_s + spec.index_s_per_mm * product.pitch_mm;
    RateCaps {
        format_cycles_per_min: cap * share,
        web_m_per_min: spec.web_speed_m_per_min * share,
        dwell_s: dwell.map_or(0.0, |dwell| dwell + zipper),
        index_s: if dwell.is_some() { index } else { 0.0 },
    }
}

/// Cycles per minute of a product on a pouch machine: format, web speed, dwell and the people at its end.
pub fn cycles_per_min(spec: &PouchingSpec, caps: &RateCaps, product: &Product, lanes: u32) -> f64 {
    let cpm = pouch_rate(caps, product.pitch_mm, lanes).cycles_per_min;
    match spec.packers_per_min {
        Some(pouches) => cpm.min(pouches / f64::from(lanes)),
        None => cpm,
    }
}
