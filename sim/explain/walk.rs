//! One order walks through an idle cell: the shortest way from release to shipping.
//!
//! In: the order's webs, the hours of the machines, how they are dressed. Out: every visit with its
//! hold, changeover, run and stops in ticks, and the moments that count.
//!
//! At each station the order has the machine that does it quickest to itself, and people are there.
//! Work pauses while that machine is closed. A step's lots (rolls) go one after the other, those of the
//! body web before those of a second web.

use crate::model::{Bonds, GateKind, Job, Model, PartModel, Presence, StepModel, Wound};
use crate::plant::LotSize;
use crate::units::{Tick, ticks_from_minutes};

use super::change::{self, Case};
use super::lot::{Lot, further_loads, one_cycle, pieces, reel_mm, run_ticks, start_ticks, stops};
use super::{How, Web, is_web};

/// Which hours count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hours {
    /// Nothing ever closes.
    Always,
    /// The machines' calendars and maintenance.
    Calendars,
}

/// All lots of one web at one step, ticks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Visit {
    /// Part of the model.
    pub part: usize,
    /// Step of the part.
    pub step: usize,
    /// Machine that does it.
    pub machine: usize,
    /// Held for cure before it: the longest hold of its lots that was still to be waited for.
    pub hold: Tick,
    /// Changing over.
    pub setup: Tick,
    /// Running.
    pub run: Tick,
    /// Further rolls, doffs, reels.
    pub stops: Tick,
    /// Lots.
    pub lots: usize,
    /// The first lot is taken.
    pub begin: Tick,
    /// The last lot is through.
    pub end: Tick,
}

/// The way of one order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Walk {
    /// Released.
    pub released: Tick,
    /// Visits in the order of the steps; those of a second web before the step where it joins.
    pub visits: Vec<Visit>,
    /// First good pouch; `None` where none is made.
    pub first_pouch: Option<Tick>,
    /// Last lot packed.
    pub packed: Tick,
    /// Packed and every hold over.
    pub done: Tick,
}

impl Walk {
    /// Machine time of all visits, ticks.
    pub fn touch(&self) -> Tick {
        self.visits
            .iter()
            .map(|visit| visit.setup + visit.run + visit.stops)
            .sum()
    }
}

struct Walker<'a> {
    model: &'a Model,
    how: How,
    hours: Hours,
    case: Case,
    free: Vec<Tick>,
    visits: Vec<Visit>,
    first_pouch: Option<Tick>,
}

/// Walks an order released at `from`; `None` where it does not end within the calendars.
pub(super) fn walk(
    model: &Model,
    webs: &[Web],
    how: How,
    hours: Hours,
    from: Tick,
    case: Case,
) -> Option<Walk> {
    let mut walker = Walker {
        model,
        how,
        hours,
        case,
        free: vec![from; model.machines.len()],
        visits: Vec::new(),
        first_pouch: None,
    };
    let (body, second) = webs.split_first()?;
    let part = &model.parts[body.part];
    let join = part.join.unwrap_or(part.steps.len());
    let mut lots = walker.release(body, from);
    for step in 0..join {
        lots = walker.step(body.part, step, lots)?;
    }
    // When everything else that the order waits for is there, and may ship.
    let (mut ready, mut ship) = (from, from);
    for web in second {
        let part = &model.parts[web.part];
        let mut lots = walker.release(web, from);
        for step in 0..part.steps.len() {
            lots = walker.step(web.part, step, lots)?;
        }
        for lot in &lots {
            ready = ready.max(walker.open_from(part, GateKind::Pouch, lot));
            ship = ship.max(walker.may_ship(part, lot));
        }
    }
    for lot in &mut lots {
        lot.ready = lot.ready.max(ready);
    }
    for step in join..part.steps.len() {
        lots = walker.step(body.part, step, lots)?;
    }
    let packed = lots
        .iter()
        .map(|lot| walker.open_from(part, GateKind::Pouch, lot))
        .max()
        .unwrap_or(from);
    let done = lots
        .iter()
        .map(|lot| walker.may_ship(part, lot))
        .max()
        .unwrap_or(from)
        .max(ship)
        .max(packed);
    Some(Walk {
        released: from,
        visits: walker.visits,
        first_pouch: walker.first_pouch,
        packed,
        done,
    })
}

impl Walker<'_> {
    /// Printed rolls, evenly shared.
    fn release(&self, web: &Web, from: Tick) -> Vec<Lot> {
        let part = &self.model.parts[web.part];
        let pouches = !is_web(part) && self.model.plant.products[part.product].format.is_none();
        let whole = Lot {
            ready: from,
            quantity: web.plan.printed,
            bonds: Bonds::printed(from),
            pouching_run: 0,
            pouches,
            rolls: 1,
            wound: Wound::whole(0, web.rolls as u32),
            artwork: 0,
        };
        let each = pieces(&whole, web.rolls);
        (0..self.how.webs())
            .flat_map(|artwork| each.iter().map(move |lot| Lot { artwork, ..*lot }))
            .collect()
    }

    /// All lots through one step.
    fn step(&mut self, index: usize, number: usize, lots: Vec<Lot>) -> Option<Vec<Lot>> {
        let model = self.model;
        let part = &model.parts[index];
        let step = &part.steps[number];
        let arrived = lots.iter().map(|lot| lot.ready).max()?;
        let mut lots = lots;
        for lot in &mut lots {
            lot.ready = self.open_from(part, step.gate, lot);
        }
        let open = lots.iter().map(|lot| lot.ready).max()?;
        let lots = self.sized(part, step, lots);
        let machines = self.quickest(step, &lots, self.shares(step));
        let m = *machines.first()?;
        let mut visit = Visit {
            part: index,
            step: number,
            machine: m,
            hold: open - arrived,
            setup: 0,
            run: 0,
            stops: 0,
            lots: lots.len(),
            begin: Tick::MAX,
            end: 0,
        };
        let first_machine = model.stations[step.station].machines.start;
        // On each machine: the artwork it is on, what is left on its reel, the roll or load that is mounted.
        let mut at: Vec<(Option<u32>, f64, u32)> = machines
            .iter()
            .map(|m| (None, reel_mm(&step.jobs[m - first_machine]), u32::MAX))
            .collect();
        let mut out = Vec::with_capacity(lots.len());
        let mut wound = 0;
        for (nth, lot) in lots.into_iter().enumerate() {
            let turn = nth % machines.len();
            let m = machines[turn];
            let job = &step.jobs[m - first_machine];
            let (before, reel_left, mounted) = at[turn];
            let (first, last) = lot.wound.loads(job.at_once);
            // The first lot of an artwork is a changeover: from whatever was there, or from the artwork before it.
            let case = match before {
                None => Some(self.case),
                Some(artwork) if artwork != lot.artwork => Some(Case::Artwork),
                Some(_) => None,
            };
            let setup = case.map_or(0, |case| self.setup(m, job, case));
            let remounts = case.is_none() && mounted != first;
            let change = if remounts { job.roll_change } else { 0 };
            let start_mm = case.map_or(0.0, |case| change::start_mm(self.model, m, job, case));
            let run = run_ticks(job, &lot);
            let (stops, left) = stops(job, &lot, run, reel_left, case.is_some());
            at[turn] = (Some(lot.artwork), left, last);
            let spliced = if lot.pouches {
                0
            } else {
                further_loads(job, &lot) + i64::from(remounts)
            };
            let lost_mm = start_mm + spliced as f64 * job.splice_mm;
            let taken = self.advance(m, lot.ready.max(self.free[m]), 0)?;
            let end = self.advance(m, taken, setup + change + run + stops)?;
            if step.makes_pouches && self.first_pouch.is_none() {
                let start = start_ticks(start_mm, job, &lot, run);
                self.first_pouch = self.advance(m, taken, setup + start.min(run) + one_cycle(job));
            }
            self.free[m] = end;
            visit.setup += setup;
            visit.run += run;
            visit.stops += change + stops;
            visit.begin = visit.begin.min(taken);
            visit.end = visit.end.max(end);
            let mut through =
                self.through(part, step, job, lot, lost_mm, end, change + run + stops);
            if is_web(part) && !lot.pouches && job.parts_lanes > 0 {
                let reels = job.reels(lot.quantity, lot.rolls as u32, case.is_some());
                through.wound = Wound::whole(wound, reels.unwrap_or(1));
                wound += through.wound.count;
            }
            out.push(through);
        }
        self.visits.push(visit);
        Some(out)
    }

    /// What comes out of a machine.
    #[allow(clippy::too_many_arguments)]
    fn through(
        &self,
        part: &PartModel,
        step: &StepModel,
        job: &Job,
        lot: Lot,
        lost_mm: f64,
        end: Tick,
        ran: Tick,
    ) -> Lot {
        let mut out = Lot { ready: end, ..lot };
        if lot.pouches {
            out.quantity -= (lot.quantity as f64 * job.running_waste.mean()).round() as i64;
        } else if is_web(part) {
            let rest = (lot.quantity as f64 - lost_mm * f64::from(job.lanes)).max(0.0);
            if step.makes_pouches {
                out.quantity =
                    (rest / part.pitch_mm * (1.0 - job.running_waste.mean())).round() as i64;
                out.pouches = true;
                out.pouching_run = ran;
            } else {
                out.quantity = (rest * (1.0 - job.running_waste.mean())).round() as i64;
            }
        }
        if step.prints {
            out.bonds = Bonds::printed(end);
        }
        if step.bonds {
            out.bonds.push(end);
        }
        out
    }

    /// Gathered or cut as the station takes them.
    fn sized(&self, part: &PartModel, step: &StepModel, lots: Vec<Lot>) -> Vec<Lot> {
        let cut = |lots: Vec<Lot>, limit: &dyn Fn(&Lot) -> f64| -> Vec<Lot> {
            lots.iter()
                .flat_map(|lot| pieces(lot, (lot.quantity as f64 / limit(lot)).ceil() as i64))
                .collect()
        };
        if step.makes_pouches && (self.how.on_one_web() > 1 || self.how.split > 1) {
            let ganged = i64::from(self.how.on_one_web());
            let mut parted = Vec::new();
            for whole in gathered(lots) {
                for (artwork, lot) in (0..).zip(pieces(&whole, ganged)) {
                    let artwork = whole.artwork + artwork;
                    let shares = pieces(&lot, i64::from(self.shares(step) as u32));
                    parted.extend(shares.into_iter().map(|lot| Lot { artwork, ..lot }));
                }
            }
            return parted;
        }
        match self.model.stations[step.station].lot {
            LotSize::Order => gathered(lots),
            LotSize::Metres(metres) if lots.iter().all(|lot| !lot.pouches) => {
                cut(lots, &|_| metres * 1000.0 * f64::from(part.lanes))
            }
            LotSize::Pouches(pouches) => cut(lots, &|lot| {
                pouches * if lot.pouches { 1.0 } else { part.pitch_mm }
            }),
            _ => lots,
        }
    }

    /// Machines that share an artwork at a step: no more than can make it.
    fn shares(&self, step: &StepModel) -> usize {
        if step.makes_pouches {
            self.how.split.min(step.able_machines()).max(1) as usize
        } else {
            1
        }
    }

    /// The `count` machines that need least for all lots, the quickest first.
    fn quickest(&self, step: &StepModel, lots: &[Lot], count: usize) -> Vec<usize> {
        let first = self.model.stations[step.station].machines.start;
        let work = |m: usize| {
            let job = &step.jobs[m - first];
            let runs = lots.iter().map(|lot| run_ticks(job, lot));
            self.setup(m, job, self.case) + runs.sum::<Tick>()
        };
        let mut able: Vec<usize> = (first..first + step.jobs.len())
            .filter(|m| step.jobs[m - first].able)
            .collect();
        able.sort_by_key(|&m| (work(m), m));
        able.truncate(count);
        able
    }

    fn setup(&self, m: usize, job: &Job, case: Case) -> Tick {
        ticks_from_minutes(change::minutes(self.model, m, job, case)).max(0)
    }

    fn open_from(&self, part: &PartModel, gate: GateKind, lot: &Lot) -> Tick {
        lot.ready.max(self.model.opens(part, gate, &lot.bonds))
    }

    fn may_ship(&self, part: &PartModel, lot: &Lot) -> Tick {
        self.model.may_ship(part, &lot.bonds)
    }

    /// When `work` ticks of machine `m` are done that begin at `from` or at its next opening.
    fn advance(&self, m: usize, from: Tick, work: Tick) -> Option<Tick> {
        if self.hours == Hours::Always {
            return Some(from + work);
        }
        let timeline = &self.model.machines[m].timeline;
        let ends = timeline
            .iter()
            .skip(1)
            .map(|change| change.0)
            .chain([Tick::MAX]);
        let mut left = work;
        for (&(start, presence), end) in timeline.iter().zip(ends) {
            let start = start.max(from);
            if presence != Presence::Open || start >= end {
                continue;
            }
            if end - start >= left {
                return Some(start + left);
            }
            left -= end - start;
        }
        None
    }
}

/// All rolls of each artwork as one lot.
fn gathered(lots: Vec<Lot>) -> Vec<Lot> {
    let mut whole: Vec<(Lot, Vec<Wound>)> = Vec::new();
    for lot in lots {
        match whole
            .iter_mut()
            .find(|other| other.0.artwork == lot.artwork)
        {
            None => whole.push((lot, vec![lot.wound])),
            Some((other, wound)) => {
                other.ready = other.ready.max(lot.ready);
                other.quantity += lot.quantity;
                other.bonds.later(&lot.bonds);
                other.pouching_run += lot.pouching_run;
                other.rolls += lot.rolls;
                wound.push(lot.wound);
            }
        }
    }
    whole
        .into_iter()
        .map(|(lot, wound)| Lot {
            wound: Wound::whole(lot.wound.first, Wound::filled(wound.into_iter())),
            ..lot
        })
        .collect()
}
