//! Cycles per minute of a pouch machine, what bounds them, and the changes over a run.
//!
//! In: the caps of the machine and the laminate, pitch (mm), lanes. Out: cycles, pouches and
//! metres per minute with the bound that holds; minutes of a run; counts of reel changes.
//!
//! Formula: cycles/min = min(format cap, web-speed cap / pitch, 60 / (dwell + index)); a cycle
//! makes one pouch on each lane. Caps and dwells are common practice, no source.

use super::rounding::count_up;

/// Which of the three bounds holds the machine back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RateBound {
    /// The machine's cap for this format.
    Format,
    /// The cap on the speed of the web.
    WebSpeed,
    /// Sealing time of this laminate and the advance between seals.
    DwellAndIndex,
}

/// What may bound a pouch machine on one product.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateCaps {
    /// Cap of the machine for the format, cycles/min.
    pub format_cycles_per_min: f64,
    /// Cap on the web's average speed, m/min (20-30-45).
    pub web_m_per_min: f64,
    /// Sealing dwell of the laminate, s (0.25-0.70, thicker takes longer).
    pub dwell_s: f64,
    /// Time to advance one pitch, s; see [`index_s`].
    pub index_s: f64,
}

/// The rate of a pouch machine on one product.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PouchRate {
    /// Cycles per minute.
    pub cycles_per_min: f64,
    /// Pouches per minute: cycles × lanes.
    pub pouches_per_min: f64,
    /// Average speed of the web, m/min: cycles × pitch.
    pub web_m_per_min: f64,
    /// What holds it back; the first named of equals.
    pub bound: RateBound,
}

/// Time to advance one pitch, s: 0.15 + 0.0006 per mm (common practice, weak, no source).
pub fn index_s(pitch_mm: f64) -> f64 {
    0.15 + 0.0006 * pitch_mm
}

/// The rate at a pitch on `lanes` lanes. A dwell and index of zero together do not bound.
pub fn pouch_rate(caps: &RateCaps, pitch_mm: f64, lanes: u32) -> PouchRate {
    let by_web = caps.web_m_per_min * 1000.0 / pitch_mm;
    let by_seal = 60.0 / (caps.dwell_s + caps.index_s);
    let mut cycles_per_min = caps.format_cycles_per_min;
    let mut bound = RateBound::Format;
    if by_web < cycles_per_min {
        (cycles_per_min, bound) = (by_web, RateBound::WebSpeed);
    }
    if by_seal < cycles_per_min {
        (cycles_per_min, bound) = (by_seal, RateBound::DwellAndIndex);
    }
    PouchRate {
        cycles_per_min,
        pouches_per_min: cycles_per_min * f64::from(lanes),
        web_m_per_min: cycles_per_min * pitch_mm / 1000.0,
        bound,
    }
}

/// Cycles in `metres` of web at a pitch, start waste and rejects included. Not rounded.
pub fn cycles_in(metres: f64, pitch_mm: f64) -> f64 {
    metres * 1000.0 / pitch_mm
}

/// Minutes to run `metres` of web at a pitch and a rate; 0 for no metres.
pub fn run_min(metres: f64, pitch_mm: f64, cycles_per_min: f64) -> f64 {
    if metres <= 0.0 {
        return 0.0;
    }
    cycles_in(metres, pitch_mm) / cycles_per_min
}

/// Changes of a reel (film, gusset, zipper) while `metres` pass, when the machine starts with
/// `on_machine_m` on it and each new reel holds `reel_m`. The reel mounted in the setup is not a
/// change. Reels that hold nothing give the largest count there is.
pub fn reel_changes(metres: f64, on_machine_m: f64, reel_m: f64) -> u64 {
    let short_m = metres - on_machine_m;
    if short_m <= 0.0 {
        return 0;
    }
    if reel_m <= 0.0 {
        return u64::MAX;
    }
    count_up(short_m / reel_m)
}

/// Metres of zipper that each lane uses: pitch × pouches of that lane, waste included.
pub fn zipper_m_per_lane(cycles: f64, pitch_mm: f64) -> f64 {
    cycles * pitch_mm / 1000.0
}

/// Share of a job's minutes that is setup; 0 when there are none.
pub fn setup_share(setup_min: f64, run_min: f64) -> f64 {
    let total_min = setup_min + run_min;
    if total_min > 0.0 {
        setup_min / total_min
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn caps(dwell_s: f64, pitch_mm: f64) -> RateCaps {
        RateCaps {
            format_cycles_per_min: 80.0,
            web_m_per_min: 30.0,
            dwell_s,
            index_s: index_s(pitch_mm),
        }
    }

    /// Each bound in turn. Hand arithmetic from the formulas above, common practice, no source:
    /// 30 m/min at 500 mm is 60 cycles; 60 / (0.7 + 0.15 + 0.06) is 65.9 cycles.
    #[test]
    fn each_bound_holds_in_turn() {
        let format = pouch_rate(&caps(0.4, 130.0), 130.0, 2);
        assert_eq!(format.bound, RateBound::Format);
        assert_eq!(format.pouches_per_min, 160.0);
        assert_eq!(format!("{:.1}", format.web_m_per_min), "10.4");
        let web = pouch_rate(&caps(0.3, 500.0), 500.0, 1);
        assert_eq!((web.bound, web.cycles_per_min), (RateBound::WebSpeed, 60.0));
        let seal = pouch_rate(&caps(0.7, 100.0), 100.0, 1);
        assert_eq!(seal.bound, RateBound::DwellAndIndex);
        assert_eq!(format!("{:.1}", seal.cycles_per_min), "65.9");
    }

    #[test]
    fn the_rate_is_never_above_any_cap() {
        for dwell in [0.0, 0.25, 0.45, 0.7] {
            for pitch in 50..600 {
                let pitch = f64::from(pitch);
                let caps = caps(dwell, pitch);
                let rate = pouch_rate(&caps, pitch, 1);
                assert!(rate.cycles_per_min <= caps.format_cycles_per_min);
                assert!(rate.web_m_per_min <= caps.web_m_per_min + 1e-9);
                assert!(60.0 / rate.cycles_per_min >= caps.dwell_s + caps.index_s - 1e-9);
            }
        }
    }

    /// Share of setup at 80 cycles/min, 60 min, 3 % rejects. Hand arithmetic from the formulas
    /// above, common practice, no source.
    #[test]
    fn minimum_economic_run() {
        for (pouches, share) in [
            (500.0, "90"),
            (1_000.0, "82"),
            (2_500.0, "65"),
            (5_000.0, "48"),
            (10_000.0, "32"),
            (25_000.0, "16"),
        ] {
            let share_here = setup_share(60.0, pouches / 0.97 / 80.0);
            assert_eq!(format!("{:.0}", 100.0 * share_here), share);
        }
    }

    #[test]
    fn reels() {
        assert_eq!(reel_changes(3000.0, 3000.0, 3000.0), 0);
        assert_eq!(reel_changes(3000.1, 3000.0, 3000.0), 1);
        assert_eq!(reel_changes(9000.0, 500.0, 3000.0), 3);
        assert_eq!(reel_changes(0.0, 0.0, 3000.0), 0);
        assert_eq!(reel_changes(1.0, 0.0, 0.0), u64::MAX);
        assert!((zipper_m_per_lane(10_000.0, 130.0) - 1300.0).abs() < 1e-9);
    }

    #[test]
    fn edges() {
        assert_eq!(run_min(0.0, 130.0, 80.0), 0.0);
        assert_eq!(setup_share(0.0, 0.0), 0.0);
        let no_seal = RateCaps {
            dwell_s: 0.0,
            index_s: 0.0,
            ..caps(0.0, 100.0)
        };
        assert_eq!(pouch_rate(&no_seal, 100.0, 1).bound, RateBound::Format);
    }
}
