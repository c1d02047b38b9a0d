//! The clock of the simulation: whole microseconds.
//!
//! In: minutes as `f64`. Out: [`Tick`]s, and back. Whole numbers add up exactly, so two moments
//! that should be the same moment are the same number.

/// A moment or a length of time in microseconds.
pub type Tick = i64;

/// Ticks in one minute.
pub const TICKS_PER_MINUTE: Tick = 60_000_000;

/// Longest time that is told apart, some 285 years: far beyond the end of any run, and a thousand of them add up
/// without leaving the range of a [`Tick`].
pub const LONGEST: Tick = 1 << 53;

/// Minutes to ticks, rounded to the nearest microsecond. Longer times than [`LONGEST`] are that long; not-a-number
/// becomes 0.
#[inline]
pub fn ticks_from_minutes(minutes: f64) -> Tick {
    whole(minutes * TICKS_PER_MINUTE as f64).clamp(-LONGEST, LONGEST)
}

/// From here on every number is whole.
const ALL_WHOLE: f64 = (1_u64 << 52) as f64;

/// `value.round() as i64`, without the call to the mathematical library that the oldest 64-bit
/// processors need for it.
#[inline]
pub fn whole(value: f64) -> i64 {
    let down = value as i64;
    if value.abs() < ALL_WHOLE {
        let rest = value - down as f64;
        down + i64::from(rest >= 0.5) - i64::from(rest <= -0.5)
    } else {
        down
    }
}

/// `value.ceil()`, likewise.
#[inline]
pub fn ceiling(value: f64) -> f64 {
    if value.abs() < ALL_WHOLE {
        whole_above(value) as f64
    } else {
        value
    }
}

/// `value.ceil() as i64`, likewise.
#[inline]
pub fn whole_above(value: f64) -> i64 {
    let down = value as i64;
    if value.abs() < ALL_WHOLE {
        down + i64::from(value > down as f64)
    } else {
        down
    }
}

/// Ticks to minutes.
#[inline]
pub fn minutes_from_ticks(ticks: Tick) -> f64 {
    ticks as f64 / TICKS_PER_MINUTE as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_become_microseconds_and_come_back() {
        assert_eq!(ticks_from_minutes(1.0), 60_000_000);
        assert_eq!(ticks_from_minutes(-0.5), -30_000_000);
        // One third of a microsecond rounds away, two thirds round up.
        assert_eq!(ticks_from_minutes(1.0 / 180_000_000.0), 0);
        assert_eq!(ticks_from_minutes(2.0 / 180_000_000.0), 1);
        for minutes in [0.0, 0.1, 7.25, 1440.0, 525_600.0] {
            let back = minutes_from_ticks(ticks_from_minutes(minutes));
            assert!(
                (back - minutes).abs() < 1e-7,
                "{minutes} came back as {back}"
            );
        }
    }

    #[test]
    fn whole_numbers_are_those_of_the_standard_library() {
        let mut values = vec![
            0.0,
            -0.0,
            0.5,
            -0.5,
            1.5,
            -1.5,
            2.5,
            0.499_999_999_999_999_94,
        ];
        values.extend([4503599627370495.5, 4503599627370496.0, 9e18, 1e300]);
        values.extend([f64::INFINITY, f64::NAN, f64::MIN_POSITIVE, 1e-300]);
        values.extend((0..2000).map(|i| f64::from(i) * 0.37 - 300.0));
        for value in values.iter().flat_map(|v| [*v, -*v]) {
            assert_eq!(whole(value), value.round() as i64, "{value}");
            assert_eq!(whole_above(value), value.ceil() as i64, "{value}");
            assert!(ceiling(value) == value.ceil() || value.is_nan(), "{value}");
        }
    }

    #[test]
    fn silly_minutes_do_not_wrap() {
        assert_eq!(ticks_from_minutes(f64::INFINITY), LONGEST);
        assert_eq!(ticks_from_minutes(-1e300), -LONGEST);
        assert_eq!(ticks_from_minutes(f64::NAN), 0);
    }
}
