//! The clock of the simulation: whole microseconds.
//!
//! In: minutes as `f64`. Out: [`Tick`]s, and back. Whole numbers add up exactly, so two moments
//! that should be the same moment are the same number.

/// A moment or a length of time in microseconds.
pub type Tick = i64;

/// Ticks in one minute.
pub const TICKS_PER_MINUTE: Tick = 60_000_000;

/// Minutes to ticks, rounded to the nearest microsecond. Beyond about 292 000 years it stays at
/// the largest tick; not-a-number becomes 0.
pub fn ticks_from_minutes(minutes: f64) -> Tick {
    (minutes * TICKS_PER_MINUTE as f64).round() as Tick
}

/// Ticks to minutes.
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
    fn silly_minutes_do_not_wrap() {
        assert_eq!(ticks_from_minutes(f64::INFINITY), Tick::MAX);
        assert_eq!(ticks_from_minutes(f64::NAN), 0);
    }
}
