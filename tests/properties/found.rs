//! Small cells in which the engine once went wrong, with what a person at the machine would expect.

use crate::compiled;
use pouchcast::observe::{Layout, Trace};
use pouchcast::record::State;
use pouchcast::replicate;
use pouchcast::units::ticks_from_minutes;

fn traced(text: &str) -> Trace {
    let model = compiled(text);
    let layout = Layout::new(&model);
    replicate::traced(&model, &layout, 0).1
}

/// A changeover begins half an hour before the shift ends and the run follows it in overtime: the people who
/// stayed for the one stay for the other. 13:30 to 15:30 on Monday, though the pool's shift is over at 14:00.
#[test]
fn people_stay_through_overtime() {
    let trace = traced(
        "format: 2\nname: overtime\nrun: { seed: 1, warm_up: 0 h, measure: 20 h, run_out: 20 h }\n\
         calendars: { day: { open: [Mon-Fri 06:00-14:00] } }\npeople: { operators: { shifts: { day: 1 } } }\n\
         products: { a: {} }\nstations:\n  s:\n    work: bench\n    time: 1 h\n    machines:\n      m: { calendar: day, shift_end: finish_lot, overtime: 3 h, crew: { changeover: { operators: 1 }, run: { operators: 1 } }, changeover: { job: 1 h } }\n\
         orders: [{ name: x, every: 13.5 h, products: { a: 100 % } }]\n",
    );
    assert_eq!(trace.orders[0].done, Some(ticks_from_minutes(15.5 * 60.0)));
    assert!(trace.states.iter().all(|s| s.state != State::WaitPeople));
}

/// The first machine is done at 2 min and stands blocked behind a full place (the second needs 100 min each). It
/// fails at 250 min by the calendar, while blocked, and is mended at 400 min; room comes at 301 min in between.
#[test]
fn a_blocked_machine_may_fail() {
    let trace = traced(
        "format: 2\nname: blocked\nrun: { seed: 1, warm_up: 0 min, measure: 600 min, run_out: 0 min }\n\
         products: { a: {} }\nstations:\n  \
         s1: { work: bench, time: 1 min, machines: { m1: { breakdowns: [{ every: 250 min, of: calendar, repair: 150 min }] } } }\n  \
         s2: { work: bench, time: 100 min, staging: 1, machines: { m2: {} } }\n\
         orders: [{ name: x, every: 0.5 min, products: { a: 100 % } }]\n",
    );
    let down: Vec<_> = trace
        .states
        .iter()
        .filter(|s| s.machine == 0 && s.state == State::Down)
        .collect();
    let spans: Vec<_> = down.iter().map(|s| (s.from, s.to)).collect();
    // Its lot leaves during the repair; the stretch is told in two, with the lot and without.
    assert_eq!(spans.first().map(|s| s.0), Some(ticks_from_minutes(250.0)));
    assert_eq!(spans.last().map(|s| s.1), Some(ticks_from_minutes(400.0)));
    let total: i64 = spans.iter().map(|s| s.1 - s.0).sum();
    assert_eq!(total, ticks_from_minutes(150.0));
}
