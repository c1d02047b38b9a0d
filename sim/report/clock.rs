//! The clock of the scenario as dates and times of day.
//!
//! In: days since 1970-01-01 and ticks since the clock's zero. Out: text. Civil days have 24 hours,
//! as in the calendars.

use jiff::ToSpan;
use jiff::civil::{Date, DateTime, date};

use crate::units::{TICKS_PER_MINUTE, Tick};

const TICKS_PER_DAY: Tick = 1440 * TICKS_PER_MINUTE;

/// The date of a day number; the last day of the calendar where it lies beyond year 9999.
fn day(days: i64) -> Date {
    date(1970, 1, 1)
        .checked_add(days.days())
        .unwrap_or(Date::MAX)
}

/// Civil date and time, to the nearest second.
fn moment(start_day: i32, tick: Tick) -> DateTime {
    let seconds = (tick + TICKS_PER_MINUTE / 120).div_euclid(TICKS_PER_MINUTE / 60);
    let midnight = day(i64::from(start_day) + seconds.div_euclid(86_400)).at(0, 0, 0, 0);
    midnight
        .checked_add(seconds.rem_euclid(86_400).seconds())
        .unwrap_or(DateTime::MAX)
}

/// `2027-01-04T06:00:00`.
pub fn date_time(start_day: i32, tick: Tick) -> String {
    moment(start_day, tick)
        .strftime("%Y-%m-%dT%H:%M:%S")
        .to_string()
}

/// `Mon 4 Jan 06:00`.
pub fn short(start_day: i32, tick: Tick) -> String {
    moment(start_day, tick)
        .strftime("%a %-d %b %H:%M")
        .to_string()
}

/// Whole `units` at or after a moment. A millisecond over is the rounding of run times, not a delay.
fn rounded_up(tick: Tick, unit: Tick) -> Tick {
    (tick - TICKS_PER_MINUTE / 60_000 + unit - 1).div_euclid(unit) * unit
}

/// `Mon 4 Jan 06:01`: the minute by which something is done that is done at `tick`, never earlier than it.
pub fn by(start_day: i32, tick: Tick) -> String {
    short(start_day, rounded_up(tick, TICKS_PER_MINUTE))
}

/// `2027-01-04T06:00:31`: the second by which it is done.
pub fn by_date_time(start_day: i32, tick: Tick) -> String {
    date_time(start_day, rounded_up(tick, TICKS_PER_MINUTE / 60))
}

/// As [`by`], of a due date: the end of a day is `24:00` of that day, not `00:00` of the next.
pub fn due(start_day: i32, tick: Tick) -> String {
    let tick = rounded_up(tick, TICKS_PER_MINUTE);
    match tick.rem_euclid(TICKS_PER_DAY) {
        0 => format!("{} 24:00", day_name(start_day, tick - 1)),
        _ => short(start_day, tick),
    }
}

/// `Mon 4 Jan`, the day in which `tick` lies.
pub fn day_name(start_day: i32, tick: Tick) -> String {
    day(i64::from(start_day) + tick.div_euclid(TICKS_PER_DAY))
        .strftime("%a %-d %b")
        .to_string()
}

/// `2027-01-04`.
pub fn iso_date(start_day: i32) -> String {
    day(i64::from(start_day)).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::ticks_from_minutes;

    // Day 20 822 is Monday 2027-01-04 (ISO 8601 calendar, counted by hand from 2000-01-01 = 10 957).
    #[test]
    fn ticks_become_dates() {
        assert_eq!(iso_date(20_822), "2027-01-04");
        assert_eq!(
            date_time(20_822, ticks_from_minutes(1440.0 + 6.5 * 60.0)),
            "2027-01-05T06:30:00"
        );
        assert_eq!(
            date_time(20_822, ticks_from_minutes(1439.9999)),
            "2027-01-05T00:00:00"
        );
        assert_eq!(short(20_822, 0), "Mon 4 Jan 00:00");
        // 10:34:40 is done by 10:35, not by 10:34; what is done on the minute is done by it.
        let at = |seconds: f64| by(20_822, ticks_from_minutes(seconds / 60.0));
        assert_eq!(at(38_080.0), "Mon 4 Jan 10:35");
        assert_eq!(at(38_040.0), "Mon 4 Jan 10:34");
        assert_eq!(at(38_040.000_3), "Mon 4 Jan 10:34");
        assert_eq!(at(86_399.0), "Tue 5 Jan 00:00");
        assert_eq!(
            by_date_time(20_822, ticks_from_minutes(634.66)),
            "2027-01-04T10:34:40"
        );
        assert_eq!(due(20_822, TICKS_PER_DAY), "Mon 4 Jan 24:00");
        assert_eq!(due(20_822, TICKS_PER_DAY / 2), "Mon 4 Jan 12:00");
        assert_eq!(day_name(20_822, TICKS_PER_DAY * 28), "Mon 1 Feb");
    }
}
