//! The course of a machine: what happens on it from one thing that comes from outside to the next.
//!
//! Sets taken off, reels and rolls changed, micro-stops, the first good pouch, the run after a changeover by the same
//! people: all of it is known when the machine goes on. It is worked out in one go, and only its end - the lot is
//! through, other people are needed, a breakdown - stands in the event list. What comes from outside (closing, people
//! who leave, an interruption) cuts the course at its instant: it is walked once more up to there, which gives the
//! same stops, since every draw has a key of its own.
//!
//! In: how far a machine is ([`Progress`]). Out: how far it is later, and how long it was in which state meanwhile.

use crate::kernel::NEVER;
use crate::plant::Clock;
use crate::random::{Source, Stream};
use crate::record::{Observe, STATES};
use crate::units::{Tick, ticks_from_minutes, whole, whole_above};

use super::Shop;
use super::accounts::SPENT_IN;
use super::state::{Doing, FailureClock, Hands, MachineRun, Progress};

/// What a stretch of a course ends with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turn {
    /// The course goes on.
    On,
    /// The changeover is over and the run begins, with other people.
    Run,
    /// The lot is through.
    Through,
    /// A cause of breakdown is due.
    Breaks(usize),
    /// The repair is over.
    Mended,
    /// The web is threaded again.
    Threaded,
    /// The first good is to be approved.
    Asks,
    /// The first good is approved.
    Approved,
}

/// A course as far as it has been walked.
#[derive(Debug, Clone, Default)]
pub(super) struct Course {
    progress: Progress,
    failures: Vec<FailureClock>,
    /// Begin of what the machine is doing in the end.
    since: Tick,
    /// Changes of what it is doing.
    changes: u32,
    /// The first good pouch of the order; `NEVER` for none.
    first_pouch: Tick,
    /// Ticks in each state up to `since`.
    spent: [Tick; STATES],
}

impl MachineRun<'_> {
    /// Ticks to the end of the present stretch, if nothing comes between.
    #[inline]
    fn stretch(&self, at: &Progress, failures: &[FailureClock]) -> Tick {
        if at.doing != Doing::Run {
            return at.left;
        }
        if !self.clocks {
            return at.run_left;
        }
        let mut length = at.run_left.min(at.to_stop).min(at.to_micro).min(at.to_reel);
        length = length.min(at.to_approval);
        for failure in failures {
            let left = match failure.clock {
                Clock::Running => failure.left,
                Clock::Metres => failure.left / self.mm_per_tick.max(1e-12),
                Clock::Calendar => continue,
            };
            // A failure never falls on the very tick its stretch starts unless it is due.
            length = length.min(whole_above(left));
        }
        length
    }

    /// Takes time off every clock that runs.
    #[inline]
    fn pass(&self, at: &mut Progress, failures: &mut [FailureClock], passed: Tick) {
        if !matches!(at.doing, Doing::Repair | Doing::Rethread | Doing::Micro) {
            // What is planned is planned at the machine's own speed.
            let slow = at.doing == Doing::Run && self.pace < 1.0;
            at.worked += if slow {
                whole(passed as f64 * self.pace)
            } else {
                passed
            };
        }
        if at.doing != Doing::Run {
            at.left -= passed;
            if matches!(at.doing, Doing::Stop | Doing::Micro) {
                at.at_it += passed;
            }
            return;
        }
        at.run_left -= passed;
        at.at_it += passed;
        if !self.clocks {
            return;
        }
        let ahead = |clock: Tick| {
            if clock == NEVER {
                NEVER
            } else {
                clock - passed
            }
        };
        at.to_stop = ahead(at.to_stop);
        at.to_reel = ahead(at.to_reel);
        at.to_micro = ahead(at.to_micro);
        at.to_approval = ahead(at.to_approval);
        for failure in failures {
            match failure.clock {
                Clock::Running => failure.left -= passed as f64,
                Clock::Metres => failure.left -= passed as f64 * self.mm_per_tick,
                Clock::Calendar => {}
            }
        }
    }

    /// What follows the stretch that has just ended; where the course goes on, the progress does.
    #[inline]
    fn turn(&self, at: &mut Progress, failures: &[FailureClock]) -> Turn {
        match at.doing {
            Doing::Setup if !self.plan.one_crew => return Turn::Run,
            Doing::Setup => at.doing = Doing::Run,
            Doing::Run => return self.run_turns(at, failures),
            Doing::Stop if at.run_left == 0 && at.stops_left == 0 => return Turn::Through,
            Doing::Stop | Doing::Micro => at.doing = Doing::Run,
            Doing::Repair => return Turn::Mended,
            Doing::Rethread => return Turn::Threaded,
            Doing::FirstOff => return Turn::Approved,
            Doing::Idle | Doing::Starved | Doing::Blocked => {}
        }
        Turn::On
    }

    /// A stretch of a run is over: the run is, or a stop, a reel, a breakdown, a micro-stop comes.
    #[inline]
    fn run_turns(&self, at: &mut Progress, failures: &[FailureClock]) -> Turn {
        // A gate comes before everything else, also before the end of the run.
        if at.to_approval == 0 {
            return Turn::Asks;
        }
        if at.run_left == 0 && at.stops_left == 0 {
            return Turn::Through;
        }
        if at.run_left == 0 || at.to_stop == 0 {
            at.doing = Doing::Stop;
            at.left = self.stop_length;
            at.to_stop = self.stop_every;
            at.stops_left = at.stops_left.saturating_sub(1);
        } else if at.to_reel == 0 {
            at.doing = Doing::Stop;
            at.left = self.reel_stop;
            at.to_reel = self.reel_every;
        } else if let Some(cause) = failures.iter().position(|f| self.is_due(f)) {
            return Turn::Breaks(cause);
        } else if at.to_micro == 0 {
            self.micro_stop(at);
        }
        Turn::On
    }

    fn is_due(&self, failure: &FailureClock) -> bool {
        match failure.clock {
            Clock::Calendar => false,
            Clock::Running => failure.left < 1.0,
            Clock::Metres => failure.left < self.mm_per_tick,
        }
    }
}

impl MachineRun<'_> {
    /// A chance of a cause of breakdown, by how often it has struck.
    pub(super) fn chance_of(&self, source: Source, cause: usize, number: u64) -> Stream {
        self.chances.of(source, (cause as u64) << 48 | number)
    }

    /// A micro-stop begins, and how long the machine runs after it is drawn.
    fn micro_stop(&self, at: &mut Progress) {
        let Some(stops) = &self.spec.micro_stops else {
            return;
        };
        let mut draw = self.chances.of(Source::MicroStopLength, at.micro_count);
        at.doing = Doing::Micro;
        at.left = ticks_from_minutes(stops.lasting.sample(&mut draw)).max(0);
        at.micro_count += 1;
        self.next_micro_stop(at);
    }

    /// Draws when it stops for a moment next.
    pub(super) fn next_micro_stop(&self, at: &mut Progress) {
        if let Some(stops) = &self.spec.micro_stops {
            let mut draw = self.chances.of(Source::MicroStopGap, at.micro_count);
            at.to_micro = ticks_from_minutes(stops.every.sample(&mut draw)).max(1);
        }
    }
}

/// Walks the course of a machine from where it is until an instant, or to its end (the instant given back). `told` gets
/// each change of what it is doing, and when.
fn walk(
    machine: &MachineRun<'_>,
    until: Tick,
    single: bool,
    course: &mut Course,
    mut told: impl FnMut(Doing, Tick),
) -> Tick {
    course.progress = machine.progress;
    course.failures.clone_from(&machine.failures);
    (course.since, course.changes, course.first_pouch) = (machine.segment_start, 0, NEVER);
    let mut now = machine.segment_start;
    loop {
        let at = &mut course.progress;
        let length = machine.stretch(at, &course.failures);
        let passed = length.min(until - now);
        if at.to_first != NEVER && at.doing == Doing::Run {
            if at.to_first <= passed {
                course.first_pouch = now + at.to_first;
                at.to_first = NEVER;
            } else {
                at.to_first -= passed;
            }
        }
        machine.pass(at, &mut course.failures, passed);
        now = now.saturating_add(passed);
        if passed < length {
            return now;
        }
        // Metres do not come in whole ticks: the web may be a hair short of the failure.
        let short = machine.plan.counts_metres && at.doing == Doing::Run;
        if short && machine.stretch(at, &course.failures) > 0 {
            continue;
        }
        let was = at.doing;
        let mut next = *at;
        if single || machine.turn(&mut next, &course.failures) != Turn::On {
            return now;
        }
        *at = next;
        if course.changes == 0 {
            course.spent = [0; STATES];
        }
        course.changes += 1;
        course.spent[machine.state_of(was) as usize] += now - course.since;
        course.since = now;
        told(next.doing, now);
    }
}

impl<O: Observe> Shop<'_, O> {
    /// Puts the next instant of a machine into the event list: the end of its course, or what its calendar says.
    #[inline]
    pub(super) fn time_machine(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        let mut time = machine.next_rare();
        if machine.clock_runs() {
            // Where each stop may change what is taken, each stop is one for itself.
            let single = self.stations[machine.plan.station].plan.restless;
            let (machine, course) = (&self.machines[m], &mut self.courses[m]);
            let ends = walk(machine, NEVER, single, course, |_, _| {});
            let machine = &mut self.machines[m];
            machine.ends = ends;
            time = time.min(ends);
        }
        self.slots.set(m, time);
    }

    /// Brings a machine to where it is now, and tells the states it was in. Comes before every change.
    #[inline]
    pub(super) fn settle(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        if machine.segment_start == self.now {
            return;
        }
        if machine.clock_runs() {
            self.catch_up(m);
        } else {
            machine.segment_start = self.now;
        }
    }

    /// Goes along the course of a machine up to now.
    pub(super) fn catch_up(&mut self, m: usize) {
        let now = self.now;
        let (machine, ahead) = (&mut self.machines[m], &mut self.courses[m]);
        if machine.ends == now && ahead.changes == 0 && ahead.first_pouch == NEVER {
            machine.segment_start = now;
            machine.progress = ahead.progress;
            std::mem::swap(&mut machine.failures, &mut ahead.failures);
            return;
        }
        let mut course = std::mem::take(ahead);
        if self.machines[m].ends != now {
            walk(&self.machines[m], now, false, &mut course, |_, _| {});
        }
        if course.changes > 0 {
            self.tell_course(m, &mut course);
        }
        let machine = &mut self.machines[m];
        machine.segment_start = now;
        machine.progress = course.progress;
        std::mem::swap(&mut machine.failures, &mut course.failures);
        if machine.hands == Hands::Changeover && machine.progress.doing == Doing::Run {
            machine.hands = Hands::Run;
        }
        if course.first_pouch != NEVER {
            let order = self.lots[machine.lot].order;
            let order = &mut self.orders[order];
            order.first_pouch = order.first_pouch.min(course.first_pouch);
        }
        self.courses[m] = course;
    }

    /// Tells the states of a course up to the last change: each for itself to a listener that asks for it, together
    /// otherwise.
    fn tell_course(&mut self, m: usize, course: &mut Course) {
        let since = self.machines[m].since;
        if self.watch.asks(since, course.since) {
            let mut changes = Vec::with_capacity(course.changes as usize);
            let note = |doing, at| changes.push((doing, at));
            walk(&self.machines[m], self.now, false, course, note);
            for (doing, at) in changes {
                let state = self.machines[m].state_of(doing);
                self.turns_to(m, state, at);
            }
            return;
        }
        let machine = &mut self.machines[m];
        course.spent[machine.state as usize] += machine.segment_start - since;
        machine.accounted += course.spent.iter().sum::<Tick>();
        machine.since = course.since;
        machine.state = machine.state_of(course.progress.doing);
        let lot = machine.lot;
        self.watch.states(m, since, course.since, &course.spent);
        if lot != crate::model::NONE {
            self.lots[lot].mark = course.since;
            let base = lot as usize * self.stride + self.first_spent;
            for (&ticks, spent) in course.spent.iter().zip(SPENT_IN) {
                self.split[base + spent as usize] += ticks;
            }
        }
    }

    /// What follows the course of a machine that has just ended.
    #[inline]
    pub(super) fn course_over(&mut self, m: usize) -> Turn {
        let machine = &self.machines[m];
        let mut progress = machine.progress;
        let turn = machine.turn(&mut progress, &machine.failures);
        self.machines[m].progress = progress;
        turn
    }

    /// Draws when a machine stops for a moment next.
    pub(super) fn draw_micro_stop(&mut self, m: usize) {
        let machine = &mut self.machines[m];
        let mut progress = machine.progress;
        machine.next_micro_stop(&mut progress);
        machine.progress = progress;
    }

    /// How long a machine that is not settled has worked at its lot.
    pub(super) fn worked(&self, m: usize) -> Tick {
        let machine = &self.machines[m];
        if machine.spec.micro_stops.is_some() || machine.pace < 1.0 {
            return self.seen(m).1;
        }
        let at_work = !matches!(machine.progress.doing, Doing::Repair | Doing::Rethread);
        let passed = match at_work && machine.clock_runs() {
            true => self.now - machine.segment_start,
            false => 0,
        };
        machine.progress.worked + passed
    }

    /// How a machine stands now, which is not settled: since when it does what it does, how long it has worked at its
    /// lot.
    pub(super) fn seen(&self, m: usize) -> (Tick, Tick) {
        let machine = &self.machines[m];
        if machine.segment_start == self.now || !machine.clock_runs() {
            return (machine.since, machine.progress.worked);
        }
        // Whatever changes a machine settles it first, so what was seen at this instant is still so.
        let (at, seen) = machine.seen.get();
        if at == self.now {
            return seen;
        }
        let seen = self.look_at(m);
        machine.seen.set((self.now, seen));
        seen
    }

    fn look_at(&self, m: usize) -> (Tick, Tick) {
        let machine = &self.machines[m];
        let mut course = Course::default();
        walk(machine, self.now, false, &mut course, |_, _| {});
        let since = if course.changes > 0 {
            course.since
        } else {
            machine.since
        };
        (since, course.progress.worked)
    }
}
