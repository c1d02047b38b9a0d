//! Minutes of a run that must speed up and slow down.
//!
//! In: metres, top speed (m/min), acceleration (m/min per second; slowing down taken as quick as
//! speeding up, see [`equal_acceleration`] when it is not). Out: minutes, metres, speeds.
//!
//! Formulas, with A = 60·a in m/min²: a lot of L ≥ v²/A reaches its speed and takes
//! L/v + v/A; a shorter one runs a triangle and takes 2·sqrt(L/A). Both agree at L = v²/A.
//! Kinematics of constant acceleration; typical accelerations (laminator 8, slitter 10, from 3
//! to 20 m/min per second) are common practice, no source.
//!
//! An infinite acceleration means no ramp. Speed or acceleration of zero make any metre take for
//! ever (infinite minutes); no metres take no minutes.

/// Acceleration that loses as much time as speeding up at one rate and slowing down at another:
/// 2·a·d/(a + d), all m/min per second.
pub fn equal_acceleration(up_m_per_min_per_s: f64, down_m_per_min_per_s: f64) -> f64 {
    2.0 / (1.0 / up_m_per_min_per_s + 1.0 / down_m_per_min_per_s)
}

/// Minutes lost to one start and one stop against running at top speed throughout: v/A.
pub fn ramp_loss_min(speed_m_per_min: f64, accel_m_per_min_per_s: f64) -> f64 {
    speed_m_per_min / (60.0 * accel_m_per_min_per_s)
}

/// Acceleration that costs `loss_min` minutes per start and stop at a speed, the inverse of
/// [`ramp_loss_min`], m/min per second. No loss gives an infinite acceleration.
pub fn accel_from_ramp_loss(speed_m_per_min: f64, loss_min: f64) -> f64 {
    speed_m_per_min / (60.0 * loss_min)
}

/// Metres run while speeding up from rest: v²/(2A).
pub fn length_to_reach_speed_m(speed_m_per_min: f64, accel_m_per_min_per_s: f64) -> f64 {
    speed_m_per_min * speed_m_per_min / (120.0 * accel_m_per_min_per_s)
}

/// Shortest lot that touches top speed: speeding up and slowing down again, v²/A.
pub fn length_up_and_down_m(speed_m_per_min: f64, accel_m_per_min_per_s: f64) -> f64 {
    2.0 * length_to_reach_speed_m(speed_m_per_min, accel_m_per_min_per_s)
}

/// Highest speed a lot of `length_m` reaches, m/min: min(v, sqrt(A·L)).
pub fn peak_speed_m_per_min(
    length_m: f64,
    speed_m_per_min: f64,
    accel_m_per_min_per_s: f64,
) -> f64 {
    if length_m <= 0.0 {
        return 0.0;
    }
    (60.0 * accel_m_per_min_per_s * length_m)
        .sqrt()
        .min(speed_m_per_min)
}

/// Minutes from rest to rest over `length_m`.
pub fn run_min(length_m: f64, speed_m_per_min: f64, accel_m_per_min_per_s: f64) -> f64 {
    if length_m <= 0.0 {
        return 0.0;
    }
    if length_m >= length_up_and_down_m(speed_m_per_min, accel_m_per_min_per_s) {
        length_m / speed_m_per_min + ramp_loss_min(speed_m_per_min, accel_m_per_min_per_s)
    } else {
        2.0 * (length_m / (60.0 * accel_m_per_min_per_s)).sqrt()
    }
}

/// Minutes over `length_m` when it is run in `pieces` equal pieces with a stop between them
/// (a roll change, a doff). The minutes of the stops themselves are not in it. 0 pieces count
/// as 1.
pub fn run_in_pieces_min(
    length_m: f64,
    pieces: u64,
    speed_m_per_min: f64,
    accel_m_per_min_per_s: f64,
) -> f64 {
    let pieces = pieces.max(1) as f64;
    pieces * run_min(length_m / pieces, speed_m_per_min, accel_m_per_min_per_s)
}

/// Longest lot that fits from rest to rest into `minutes`, the inverse of [`run_min`], m.
pub fn length_in_m(minutes: f64, speed_m_per_min: f64, accel_m_per_min_per_s: f64) -> f64 {
    if minutes <= 0.0 || speed_m_per_min <= 0.0 || accel_m_per_min_per_s <= 0.0 {
        return 0.0;
    }
    let loss_min = ramp_loss_min(speed_m_per_min, accel_m_per_min_per_s);
    if minutes >= 2.0 * loss_min {
        (minutes - loss_min) * speed_m_per_min
    } else {
        60.0 * accel_m_per_min_per_s * minutes * minutes / 4.0
    }
}

/// Average speed over a lot from rest to rest, m/min; 0 for no metres. Short lots never see the
/// brochure speed.
pub fn average_speed_m_per_min(
    length_m: f64,
    speed_m_per_min: f64,
    accel_m_per_min_per_s: f64,
) -> f64 {
    if length_m <= 0.0 {
        return 0.0;
    }
    length_m / run_min(length_m, speed_m_per_min, accel_m_per_min_per_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds lost per start and stop. Hand arithmetic from the formulas above, common
    /// practice, no source.
    #[test]
    fn ramp_losses() {
        let seconds = |v, a| format!("{:.0}", 60.0 * ramp_loss_min(v, a));
        assert_eq!(seconds(30.0, 5.0), "6");
        assert_eq!(seconds(150.0, 10.0), "15");
        assert_eq!(seconds(300.0, 10.0), "30");
    }

    /// Metres to reach speed at 10 m/min per second. Hand arithmetic from the formulas above,
    /// common practice, no source.
    #[test]
    fn lengths_to_reach_speed() {
        let metres = |v| format!("{:.0}", length_to_reach_speed_m(v, 10.0));
        assert_eq!(metres(150.0), "19");
        assert_eq!(metres(300.0), "75");
        assert_eq!(metres(400.0), "133");
    }

    #[test]
    fn unequal_ramps_lose_half_of_each() {
        // v/(2a) + v/(2d) = 150/20 + 150/10 = 22.5 s, hand arithmetic.
        let a = equal_acceleration(10.0, 5.0);
        assert!((60.0 * ramp_loss_min(150.0, a) - 22.5).abs() < 1e-9);
        assert_eq!(equal_acceleration(8.0, 8.0), 8.0);
    }

    /// Against stepping the speed through time in small steps, which knows no formula.
    #[test]
    fn run_minutes_agree_with_stepping_through_time() {
        for (length, v, a) in [
            (20.0, 300.0, 10.0),
            (150.0, 300.0, 10.0),
            (900.0, 150.0, 5.0),
        ] {
            let (dt, per_min2) = (1e-6, 60.0 * a);
            let (mut x, mut speed, mut t) = (0.0_f64, 0.0_f64, 0.0_f64);
            while x < length {
                let braking_m = speed * speed / (2.0 * per_min2);
                if length - x <= braking_m {
                    speed -= per_min2 * dt;
                } else {
                    speed = (speed + per_min2 * dt).min(v);
                }
                if speed <= 0.0 {
                    break;
                }
                x += speed * dt;
                t += dt;
            }
            assert!((t - run_min(length, v, a)).abs() < 1e-3, "{length} {t}");
        }
    }

    #[test]
    fn a_lot_just_long_enough_to_reach_speed() {
        let limit = length_up_and_down_m(300.0, 10.0);
        assert_eq!(limit, 150.0);
        // Two ramps of 30 s each: one minute, from both formulas.
        assert!((run_min(limit, 300.0, 10.0) - 1.0).abs() < 1e-12);
        assert!((run_min(limit - 1e-9, 300.0, 10.0) - 1.0).abs() < 1e-9);
        assert_eq!(peak_speed_m_per_min(limit, 300.0, 10.0), 300.0);
        assert!(peak_speed_m_per_min(limit / 4.0, 300.0, 10.0) == 150.0);
        assert_eq!(average_speed_m_per_min(limit, 300.0, 10.0), 150.0);
    }

    #[test]
    fn length_undoes_minutes() {
        for v in [30.0, 150.0, 400.0] {
            for a in [3.0, 8.0, 20.0] {
                let mut before = 0.0;
                for tenths in 1..3000 {
                    let length = f64::from(tenths) / 10.0;
                    let minutes = run_min(length, v, a);
                    assert!(minutes > before && minutes >= length / v);
                    before = minutes;
                    assert!((length_in_m(minutes, v, a) - length).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn pieces_cost_a_ramp_each() {
        let whole = run_in_pieces_min(1000.0, 1, 150.0, 10.0);
        let four = run_in_pieces_min(1000.0, 4, 150.0, 10.0);
        assert!((four - whole - 3.0 * 0.25).abs() < 1e-12);
        assert_eq!(run_in_pieces_min(1000.0, 0, 150.0, 10.0), whole);
    }

    #[test]
    fn edges() {
        assert_eq!(run_min(0.0, 150.0, 10.0), 0.0);
        assert_eq!(run_min(10.0, 0.0, 10.0), f64::INFINITY);
        assert_eq!(run_min(10.0, 150.0, 0.0), f64::INFINITY);
        assert_eq!(run_min(150.0, 150.0, f64::INFINITY), 1.0);
        assert_eq!(length_in_m(0.0, 150.0, 10.0), 0.0);
        assert_eq!(average_speed_m_per_min(0.0, 150.0, 10.0), 0.0);
        assert_eq!(peak_speed_m_per_min(0.0, 150.0, 10.0), 0.0);
        assert_eq!(accel_from_ramp_loss(150.0, 0.5), 5.0);
    }
}
