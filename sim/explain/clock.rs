//! The scenario's clock as dates.
//!
//! In: days since 1970-01-01 and ticks since the clock's zero. Out: text; the first Monday morning.

use jiff::ToSpan;
use jiff::civil::{Date, DateTime, date};

use crate::units::{TICKS_PER_MINUTE, Tick};

/// Whole minutes at or after a moment. A millisecond over is the rounding of run times, not a delay.
fn minutes_by(tick: Tick) -> Tick {
    (tick - TICKS_PER_MINUTE / 60_000 + TICKS_PER_MINUTE - 1).div_euclid(TICKS_PER_MINUTE)
}

/// `Mon 2027-01-04 06:00`, rounded up to the minute as promise dates are: what is done at 10:34:40 is done by 10:35.
pub fn moment(start_day: i32, tick: Tick) -> String {
    civil(start_day, minutes_by(tick))
}

/// As [`moment`], of a due date: the end of a day is `24:00` of that day, not `00:00` of the next.
pub fn due(start_day: i32, tick: Tick) -> String {
    let minutes = minutes_by(tick);
    match minutes.rem_euclid(1440) {
        0 => civil(start_day, minutes - 1).replace("23:59", "24:00"),
        _ => civil(start_day, minutes),
    }
}

fn civil(start_day: i32, minutes: i64) -> String {
    let day = date(1970, 1, 1)
        .checked_add((i64::from(start_day) + minutes.div_euclid(1440)).days())
        .unwrap_or(Date::MAX);
    let moment = day
        .at(0, 0, 0, 0)
        .checked_add(minutes.rem_euclid(1440).minutes())
        .unwrap_or(DateTime::MAX);
    moment.strftime("%a %Y-%m-%d %H:%M").to_string()
}

/// Monday 06:00 of the first week that has one, ticks since the clock's zero.
pub fn monday_morning(start_day: i32) -> Tick {
    // 1970-01-01 was a Thursday: 3 days after a Monday.
    let weekday = (i64::from(start_day) + 3).rem_euclid(7);
    ((7 - weekday) % 7 * 1440 + 360) * TICKS_PER_MINUTE
}

#[cfg(test)]
mod tests {
    use super::*;

    // 2027-01-04, day 20 822, is a Monday (civil calendar, ISO 8601 weekday counted by hand from the
    // Thursday 1970-01-01: 20 822 = 7 * 2974 + 4, and 4 days after a Thursday is a Monday).
    #[test]
    fn mondays_and_moments() {
        assert_eq!(
            moment(20_822, 360 * TICKS_PER_MINUTE),
            "Mon 2027-01-04 06:00"
        );
        assert_eq!(
            moment(20_822, 31 * 1440 * TICKS_PER_MINUTE - 1),
            "Thu 2027-02-04 00:00"
        );
        assert_eq!(
            moment(20_822, 361 * TICKS_PER_MINUTE - 1),
            "Mon 2027-01-04 06:01"
        );
        assert_eq!(due(20_822, 1440 * TICKS_PER_MINUTE), "Mon 2027-01-04 24:00");
        for day in 20_822..20_829 {
            assert!(moment(day, monday_morning(day)).starts_with("Mon 2027-01-"));
            assert!(moment(day, monday_morning(day)).ends_with(" 06:00"));
        }
    }
}
