//! A lot on a machine: changeover, run, stops, breakdowns, hand-over.

use crate::kernel::NEVER;
use crate::model::{Law, NONE, Presence, differing};
use crate::plant::{Clock, ShiftEnd};
use crate::random::{Dist, Source};
use crate::record::{LotEvent, Observe, State};
use crate::trade::changeover::overlap;
use crate::units::{Tick, ticks_from_minutes};

use super::Shop;
use super::shift::CrewFor;
use super::state::{Phase, machine_spec};

impl<O: Observe> Shop<'_, O> {
    /// Something about a machine is due: its segment ends, its calendar changes, or overtime is over.
    pub(super) fn machine_event(&mut self, m: usize) {
        if self.machines[m].working {
            self.machines[m].settle(self.now);
            if self.segment_over(m) {
                self.next_segment(m);
            }
        }
        if self.machines[m].wash_at <= self.now {
            self.begin_wash_up(m);
        }
        if self.machines[m].boundary <= self.now {
            self.calendar_change(m);
        }
        if self.machines[m].overtime_until <= self.now && self.machines[m].overtime {
            self.close_machine(m, Presence::Closed);
        }
        if self.machines[m].calendar_failure <= self.now {
            self.calendar_failure(m);
        }
        self.retime(m);
    }

    fn segment_over(&self, m: usize) -> bool {
        let machine = &self.machines[m];
        machine.phase != Phase::Idle
            && machine.phase != Phase::Blocked
            && machine.segment_end() <= self.now
    }

    /// What follows the segment that has just ended.
    fn next_segment(&mut self, m: usize) {
        match self.machines[m].phase {
            Phase::Setup => {
                self.machines[m].phase = Phase::Run;
                self.run_begins(m);
                self.resume(m);
            }
            Phase::Run => self.run_segment_over(m),
            Phase::Stop if self.machines[m].run_left == 0 && self.machines[m].stops_left == 0 => {
                self.lot_through(m);
            }
            Phase::Stop | Phase::Micro => {
                self.machines[m].phase = Phase::Run;
                self.resume(m);
            }
            Phase::Repair => {
                let (phase, left) = self.machines[m].after_repair;
                self.machines[m].phase = phase;
                self.machines[m].left = left;
                let repaired = self.now - self.machines[m].down_since;
                if phase == Phase::Run && self.outlasts_pot_life(m, repaired) {
                    self.unplanned_wash_up(m);
                    self.resume(m);
                } else if phase == Phase::Idle {
                    self.machines[m].working = false;
                    self.set_state(m, State::NoWork);
                    self.set_idle(m, true);
                } else {
                    self.resume(m);
                }
            }
            Phase::Idle | Phase::Blocked => {}
        }
    }

    fn run_segment_over(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        if machine.run_left == 0 {
            if machine.stops_left > 0 {
                self.planned_stop(m);
            } else {
                self.lot_through(m);
            }
        } else if machine.to_stop == 0 {
            self.planned_stop(m);
        } else if machine.to_reel == 0 {
            machine.phase = Phase::Stop;
            machine.left = machine.reel_stop;
            machine.to_reel = machine.reel_every;
            self.resume(m);
        } else if let Some(cause) = machine.failures.iter().position(|f| {
            f.clock != Clock::Calendar
                && f.left
                    < if f.clock == Clock::Metres {
                        machine.mm_per_tick
                    } else {
                        1.0
                    }
        }) {
            self.breaks_down(m, cause);
        } else if machine.to_micro == 0 {
            self.micro_stop(m);
        }
    }

    fn planned_stop(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        machine.phase = Phase::Stop;
        machine.left = machine.stop_length;
        machine.to_stop = machine.stop_every;
        machine.stops_left = machine.stops_left.saturating_sub(1);
        self.resume(m);
    }

    fn micro_stop(&mut self, m: usize) {
        let Some(stops) = &machine_spec(self.model, m).micro_stops else {
            return;
        };
        let number = self.machines[m].micro_count;
        let length =
            stops
                .lasting
                .sample(&mut self.streams.of(Source::MicroStopLength, m as u64, number));
        self.machines[m].phase = Phase::Micro;
        self.machines[m].left = ticks_from_minutes(length).max(0);
        self.machines[m].micro_count += 1;
        self.draw_micro_stop(m);
        self.resume(m);
    }

    fn draw_micro_stop(&mut self, m: usize) {
        if let Some(stops) = &machine_spec(self.model, m).micro_stops {
            let number = self.machines[m].micro_count;
            let gap =
                stops
                    .every
                    .sample(&mut self.streams.of(Source::MicroStopGap, m as u64, number));
            self.machines[m].to_micro = ticks_from_minutes(gap).max(1);
        }
    }

    pub(super) fn draw_first_failures(&mut self, m: usize) {
        for cause in 0..self.machines[m].failures.len() {
            self.draw_failure(m, cause);
        }
        self.draw_micro_stop(m);
    }

    fn draw_failure(&mut self, m: usize, cause: usize) {
        let breakdown = &machine_spec(self.model, m).breakdowns[cause];
        let number = self.machines[m].failures[cause].count;
        let mut draw = self
            .streams
            .of(Source::Failure, (m as u64) << 16 | cause as u64, number);
        let drawn = breakdown.every.sample(&mut draw);
        let now = self.now;
        let failure = &mut self.machines[m].failures[cause];
        failure.left = match failure.clock {
            Clock::Running => ticks_from_minutes(drawn).max(1) as f64,
            Clock::Metres => (drawn * 1000.0).max(1.0),
            Clock::Calendar => (now + ticks_from_minutes(drawn).max(1)) as f64,
        };
        let next = self.machines[m]
            .failures
            .iter()
            .filter(|f| f.clock == Clock::Calendar)
            .map(|f| f.left as Tick)
            .min();
        self.machines[m].calendar_failure = next.unwrap_or(NEVER);
    }

    fn calendar_failure(&mut self, m: usize) {
        let now = self.now as f64;
        let due = self.machines[m]
            .failures
            .iter()
            .position(|f| f.clock == Clock::Calendar && f.left <= now);
        let Some(cause) = due else { return };
        if self.machines[m].phase == Phase::Repair {
            // Down already: the second failure is found and mended with the first.
            self.machines[m].failures[cause].count += 1;
            self.draw_failure(m, cause);
            return;
        }
        if self.machines[m].working {
            self.machines[m].settle(self.now);
        }
        self.breaks_down(m, cause);
    }

    fn breaks_down(&mut self, m: usize, cause: usize) {
        let breakdown = &machine_spec(self.model, m).breakdowns[cause];
        let number = self.machines[m].failures[cause].count;
        let mut draw = self
            .streams
            .of(Source::Repair, (m as u64) << 16 | cause as u64, number);
        let repair = breakdown.repair.sample(&mut draw) + breakdown.rethread_min;
        let (now, waste) = (self.now, breakdown.waste_m);
        let machine = &mut self.machines[m];
        machine.after_repair = (machine.phase, machine.left);
        machine.phase = Phase::Repair;
        machine.left = ticks_from_minutes(repair).max(0);
        machine.segment_start = now;
        machine.down_since = now;
        machine.failures[cause].count += 1;
        if machine.clock_of(cause) == Clock::Calendar {
            // The next one is counted from the end of this repair.
            machine.failures[cause].left = f64::INFINITY;
        }
        let lot = self.machines[m].lot;
        if lot != NONE {
            self.lots[lot].extra_waste_mm += waste * 1000.0;
        }
        self.set_idle(m, false);
        self.after_repair_draw(m, cause);
        let machine = &mut self.machines[m];
        machine.people_since = NEVER;
        if machine.on_shift || machine.overtime {
            machine.wants_people = false;
            machine.working = true;
            self.set_state(m, State::Down);
        }
        self.retime(m);
    }

    /// Draws the next failure of a cause; a calendar clock starts again when the repair is planned to end.
    fn after_repair_draw(&mut self, m: usize, cause: usize) {
        self.draw_failure(m, cause);
        let repair = self.machines[m].left;
        let machine = &mut self.machines[m];
        if machine.clock_of(cause) == Clock::Calendar {
            machine.failures[cause].left += repair as f64;
            machine.calendar_failure = machine.calendar_failure.saturating_add(repair);
            let next = machine
                .failures
                .iter()
                .filter(|f| f.clock == Clock::Calendar)
                .map(|f| f.left as Tick)
                .min();
            machine.calendar_failure = next.unwrap_or(NEVER);
        }
    }

    /// Puts a lot on a machine whose people are there.
    pub(super) fn start(&mut self, m: usize, lot: u32) {
        self.set_idle(m, false);
        self.account(m);
        let name = self.name(lot);
        self.watch.lot(self.now, name, LotEvent::Taken(m));
        let continues = self.continues(m, lot);
        let setup = if continues {
            0
        } else {
            self.changeover(m, lot)
        };
        let minutes = self.run_minutes(m, lot);
        let run = ticks_from_minutes(minutes).max(0);
        let record = self.lots[lot];
        let job = self.job(m, lot);
        let quantity = record.quantity;
        let lanes = job.lanes;
        let planned = job.law.stops(quantity, lanes, run);
        let sets = job.law.sets(quantity, lanes);
        let reel = job.reel;
        let web_mm = quantity as f64 / f64::from(lanes);
        let roll_change = job.roll_change;
        let machine = &mut self.machines[m];
        machine.lot = lot;
        machine.set_up = !continues;
        machine.run_left = run;
        machine.run_total = run;
        machine.mm_per_tick = web_mm / run.max(1) as f64;
        (
            machine.to_stop,
            machine.stop_every,
            machine.stop_length,
            machine.stops_left,
        ) = (NEVER, NEVER, 0, 0);
        (machine.to_reel, machine.reel_every, machine.reel_stop) = (NEVER, NEVER, 0);
        machine.uses_reel = false;
        let rolls = Tick::from(record.rolls.max(1));
        let between = run / rolls + 1;
        if let Some(stop) = planned {
            machine.stop_every = stop.every.max(1);
            machine.to_stop = machine.stop_every;
            machine.stop_length = stop.length;
            machine.stops_left = sets;
        } else if rolls > 1 && roll_change > 0 && !record.pouches {
            // Rolls gathered to one lot: a change between each two, evenly spread.
            machine.stop_every = between;
            machine.to_stop = between;
            machine.stop_length = roll_change;
        }
        if let Some((reel_mm, reel_stop)) = reel {
            machine.uses_reel = true;
            machine.reel_every = ((reel_mm / machine.mm_per_tick) as Tick).max(1);
            machine.to_reel = ((machine.reel_left / machine.mm_per_tick) as Tick).max(1);
            machine.reel_stop = reel_stop;
        } else if planned.is_some() && rolls > 1 && roll_change > 0 {
            machine.reel_every = between;
            machine.to_reel = between;
            machine.reel_stop = roll_change;
        }
        if let Some((left, stops)) = record.left_run {
            machine.run_left = left;
            machine.stops_left = machine.stops_left.min(stops);
            self.lots[lot].left_run = None;
        }
        let uid = self.lines[record.line].uid;
        let web = usize::from(self.model.parts[record.part as usize].web);
        self.lines[record.line].on[web] = m as u16 + 1;
        let machine = &mut self.machines[m];
        // From here on the machine is on this SKU, whether or not the lot is finished in one go.
        machine.last_line = uid;
        machine.last_part = record.part;
        machine.last_sku = record.sku;
        if continues && roll_change > 0 {
            machine.phase = Phase::Stop;
            machine.left = roll_change;
        } else if setup > 0 {
            machine.phase = Phase::Setup;
            machine.left = setup;
        } else {
            machine.phase = Phase::Run;
        }
        if self.machines[m].phase != Phase::Setup {
            self.run_begins(m);
        }
        self.resume(m);
    }

    /// The lot is a further one of the web and SKU the machine is on; another web of the SKU is another job.
    fn continues(&self, m: usize, lot: u32) -> bool {
        let record = &self.lots[lot];
        self.lines[record.line].uid == self.machines[m].last_line
            && record.part == self.machines[m].last_part
            && record.sku == self.machines[m].last_sku
    }

    /// Takes the people for the first phase of a lot; false where they are missing.
    pub(super) fn people_for_start(&mut self, m: usize, lot: u32) -> bool {
        if self.model.machines[m].plain {
            return true;
        }
        let crew = if self.continues(m, lot) || !self.has_changeover(m) {
            CrewFor::Run
        } else {
            CrewFor::Changeover
        };
        self.take_people(m, crew)
    }

    fn has_changeover(&self, m: usize) -> bool {
        let changeover = &machine_spec(self.model, m).changeover;
        !changeover.elements.is_empty()
            || changeover.table.is_some()
            || changeover.cold_start.is_some()
    }

    fn run_begins(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        machine.run_began = self.now;
        let lot = machine.lot;
        let record = &self.lots[lot];
        let step = &self.model.parts[record.part as usize].steps[usize::from(record.step)];
        if step.makes_pouches {
            let job = self.job(m, lot);
            let machine = &self.machines[m];
            let start = if machine.set_up {
                job.start_waste_mm as f64 / machine.mm_per_tick
            } else {
                0.0
            };
            let cycle = job.law.minutes(
                (job.law.pitch_mm() * f64::from(job.lanes)) as i64,
                job.lanes,
                0.0,
            );
            let first =
                self.now + (start as Tick).min(machine.run_left) + ticks_from_minutes(cycle);
            let order = self.lines[self.lots[lot].line].order;
            let order = &mut self.orders[order];
            order.first_pouch = order.first_pouch.min(first);
        }
    }

    /// Running minutes of a lot, its chance drawn.
    fn run_minutes(&self, m: usize, lot: u32) -> f64 {
        let record = &self.lots[lot];
        let job = self.job(m, lot);
        let draw = || {
            let b = self.line_key(record.line) << 40
                | u64::from(record.number) << 16
                | u64::from(record.backs) << 8
                | u64::from(record.step);
            self.streams
                .of(Source::Bench, self.order_key(record.line), b)
        };
        match &job.law {
            Law::Lot(time) => time.sample(&mut draw()),
            Law::Each { time, unit } => time.sample(&mut draw()) * record.quantity as f64 / unit,
            law => {
                let alongside = crate::units::minutes_from_ticks(record.pouching_run);
                law.minutes(record.quantity, job.lanes, alongside)
            }
        }
    }

    /// Ticks of the changeover to a lot, its chance drawn; keyed by order, line, station and element.
    fn changeover(&self, m: usize, lot: u32) -> Tick {
        let spec = &machine_spec(self.model, m).changeover;
        let line = &self.lines[self.lots[lot].line];
        let key = self.orders[line.order].key;
        let station = self.model.machines[m].station as u64;
        let base = self.line_key(self.lots[lot].line) << 24
            | u64::from(self.lots[lot].sku) << 16
            | station << 8;
        let mut minutes = self.changeover_minutes(m, lot, |dist, element| {
            dist.sample(
                &mut self
                    .streams
                    .of(Source::Changeover, key, base | element as u64),
            )
        });
        let cold = self.machines[m].last_active < 0
            || self.now - self.machines[m].last_active >= ticks_from_minutes(spec.cold_after_min);
        if let (true, Some(start)) = (cold, &spec.cold_start) {
            minutes += start.sample(&mut self.streams.of(Source::Changeover, key, base | 255));
        }
        ticks_from_minutes(minutes).max(0)
    }

    /// Mean changeover to a lot, minutes (for rules and plans).
    pub(super) fn mean_changeover(&self, m: usize, lot: u32) -> f64 {
        if self.continues(m, lot) {
            0.0
        } else {
            self.changeover_minutes(m, lot, |dist, _| dist.mean())
        }
    }

    fn changeover_minutes(&self, m: usize, lot: u32, time: impl Fn(&Dist, usize) -> f64) -> f64 {
        let spec = &machine_spec(self.model, m).changeover;
        let job = self.job(m, lot);
        if let Some(table) = &spec.table {
            let from = match self.machines[m].last_product {
                NONE => job.product,
                product => product as usize,
            };
            return time(&table.times[table.index[from][job.product] as usize], 0);
        }
        let dressed = self.machines[m].dressed.as_ref();
        let parts =
            spec.elements
                .iter()
                .enumerate()
                .filter_map(|(index, element)| {
                    match differing(element.kind, dressed, &job.dressing) {
                        0 => None,
                        count => Some(f64::from(count) * time(&element.time, index)),
                    }
                });
        overlap(parts, spec.rest_share)
    }

    /// A machine that stood with a lot in it and went cold warms up again before it goes on, and one whose
    /// adhesive set is washed up.
    pub(super) fn warm_again(&mut self, m: usize) {
        let machine = &self.machines[m];
        if machine.phase != Phase::Run {
            return;
        }
        let stood = self.now - machine.last_active;
        let spec = &machine_spec(self.model, m).changeover;
        let mut length = 0;
        if let Some(start) = &spec.cold_start {
            if stood >= ticks_from_minutes(spec.cold_after_min) {
                let mut draw =
                    self.streams
                        .of(Source::Changeover, u64::MAX - m as u64, self.now as u64);
                length = ticks_from_minutes(start.sample(&mut draw)).max(0);
            }
        }
        if self.outlasts_pot_life(m, stood) {
            self.unplanned_wash_up(m);
            self.machines[m].left += length;
        } else if length > 0 {
            self.machines[m].phase = Phase::Setup;
            self.machines[m].left = length;
        }
    }

    /// The run of a lot is over: what is lost is booked, and the lot handed on.
    fn lot_through(&mut self, m: usize) {
        self.account(m);
        let lot = self.machines[m].lot;
        let uid = self.lines[self.lots[lot].line].uid;
        let job = self.job(m, lot);
        let (dressing, product) = (job.dressing, job.product);
        self.book_output(m, lot);
        self.keep_reel(m);
        let reactive = self.runs_reactive(lot)
            && self.model.parts[self.lots[lot].part as usize].steps
                [usize::from(self.lots[lot].step)]
            .bonds;
        let now = self.now;
        let machine = &mut self.machines[m];
        machine.dressed = Some(dressing);
        machine.last_product = product as u32;
        machine.last_line = uid;
        machine.last_active = now;
        machine.dirty |= reactive;
        let name = self.name(lot);
        self.watch.lot(self.now, name, LotEvent::Left(m));
        let line = self.lots[lot].line;
        self.release_line_from(line, m);
        self.machines[m].working = false;
        self.give_people_back(m);
        let station = self.model.machines[m].station;
        if let Some(step) = self.goes_back(station, lot) {
            let to =
                self.model.parts[self.lots[lot].part as usize].steps[usize::from(step)].station;
            self.watch.lot(self.now, name, LotEvent::SentBack(to));
            self.counts.sent_back += 1;
            let record = &mut self.lots[lot];
            record.backs += 1;
            record.step = step;
            self.free(m);
            self.enter_step(lot);
            return;
        }
        // The machine gives its lot away only where there is room for it.
        self.hand_over(m, lot);
    }

    /// Gives the finished lot of a machine away, or blocks the machine.
    fn hand_over(&mut self, m: usize, lot: u32) {
        if self.hand_on(m, lot) {
            self.free(m);
        } else {
            self.machines[m].phase = Phase::Blocked;
            if self.machines[m].on_shift || self.machines[m].overtime {
                self.set_state(m, State::Blocked);
            }
            self.leave_overtime(m);
        }
    }

    /// A machine no longer works on a line.
    pub(super) fn release_line_from(&mut self, line: u32, m: usize) {
        for on in &mut self.lines[line].on {
            if usize::from(*on) == m + 1 {
                *on = 0;
            }
        }
    }

    /// Notes how much is left on the zipper or film reel.
    pub(super) fn keep_reel(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        if machine.uses_reel {
            machine.reel_left = (machine.to_reel as f64 * machine.mm_per_tick).max(0.0);
        }
    }

    /// Room downstream: a blocked machine gives its lot away.
    pub(super) fn unblock(&mut self, m: usize) {
        self.account(m);
        let lot = self.machines[m].lot;
        self.hand_over(m, lot);
    }

    fn free(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        machine.lot = NONE;
        machine.phase = Phase::Idle;
        machine.working = false;
        if machine.overtime {
            let stays = matches!(self.model.machines[m].shift_end, ShiftEnd::FinishOrder(_))
                && self.same_line_waits(m);
            if stays {
                self.set_state(m, State::NoWork);
                self.set_idle(m, true);
            } else {
                self.close_machine(m, Presence::Closed);
            }
        } else if machine.on_shift {
            self.set_state(m, State::NoWork);
            self.set_idle(m, true);
        }
        self.retime(m);
    }

    fn leave_overtime(&mut self, m: usize) {
        if self.machines[m].overtime {
            self.close_machine(m, Presence::Closed);
        }
    }

    fn same_line_waits(&self, m: usize) -> bool {
        let station = self.model.machines[m].station;
        let line = self.machines[m].last_line;
        self.stations[station]
            .queue
            .iter()
            .any(|&lot| self.lines[self.lots[lot].line].uid == line)
    }

    /// Share lost of this lot, its chance drawn.
    fn waste_share(&self, m: usize, lot: u32) -> f64 {
        let record = &self.lots[lot];
        match &self.job(m, lot).running_waste {
            Dist::Constant(share) => *share,
            drawn => {
                let b = self.line_key(record.line) << 40
                    | u64::from(record.number) << 16
                    | u64::from(record.backs) << 8
                    | u64::from(record.step);
                drawn
                    .sample(
                        &mut self
                            .streams
                            .of(Source::Waste, self.order_key(record.line), b),
                    )
                    .clamp(0.0, 1.0)
            }
        }
    }

    /// Turns what went in into what comes out, and books the difference as waste.
    fn book_output(&mut self, m: usize, lot: u32) {
        let record = self.lots[lot];
        let model = self.model;
        let part = &model.parts[record.part as usize];
        let step = &part.steps[usize::from(record.step)];
        let station = step.station;
        let machine = &self.machines[m];
        let pitch_mm = part.pitch_mm;
        let waste = self.waste_share(m, lot);
        self.lots[lot].extra_waste_mm = 0.0;
        let job = self.job(m, lot);
        if record.pouches {
            let lost = (record.quantity as f64 * waste).round() as i64;
            self.lots[lot].quantity -= lost;
            self.counts.pouches_lost += lost;
            if lost > 0 {
                self.watch
                    .waste(self.now, station, 0, lost, record.part as usize);
            }
            return;
        }
        if !part.roll_max_mm.is_finite() {
            return;
        }
        let start = if machine.set_up {
            job.start_waste_mm as f64
        } else {
            0.0
        } + record.extra_waste_mm;
        let lanes = f64::from(job.lanes);
        let rest = (record.quantity as f64 - start * lanes).max(0.0);
        let (out, lost) = if step.makes_pouches {
            let good = (rest / pitch_mm * (1.0 - waste)).round();
            let used = ((good * pitch_mm).round() as i64).min(record.quantity);
            (good as i64, record.quantity - used)
        } else {
            let out = (rest * (1.0 - waste)).round() as i64;
            (out, record.quantity - out)
        };
        self.counts.lane_mm_waste += lost;
        let ran = self.now - machine.run_began;
        let entry = &mut self.lots[lot];
        if step.makes_pouches {
            self.counts.lane_mm_out += entry.quantity - lost;
            self.counts.pouches_made += out;
            entry.pouches = true;
            entry.pouching_run = ran;
        }
        entry.quantity = out;
        if step.bonds {
            entry.bonded = self.now;
            (entry.cured, entry.cure_mark) = ([0, 0], self.now);
        }
        self.watch
            .waste(self.now, station, lost, 0, record.part as usize);
    }
}
