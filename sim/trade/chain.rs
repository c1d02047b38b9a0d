//! Metres along a route: backward from good product to print, forward from what there is.
//!
//! In: the steps of a route in the order the web passes them, each with its start waste (m) and
//! running waste (share), and the good metres wanted at the end. Out: the metres each step must
//! be fed; or, forward, the metres that come out.
//!
//! Formula of one step: in = (out / split) / (1 − running) + start, rounded up to whole metres
//! when asked; forward: out = (in − start) · (1 − running) · split. Rejects are the running
//! waste of the pouch machine. Common practice, no source.

use super::rounding::{count_up, round_up};

/// Whether the metres of each step are rounded up to whole metres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// Rounded up to whole metres at each step, as a job ticket is written.
    UpToWholeMetre,
    /// Left as they are.
    Exact,
}

/// Why a step cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum StepError {
    /// Start waste below zero or not a number.
    #[error("a start waste of {0} m must be zero or more")]
    StartWaste(f64),
    /// Running waste outside 0 to below 1.
    #[error("a running waste of {0} must be a share from 0 to below 1")]
    RunningWaste(f64),
    /// Split not above zero.
    #[error("{0} metres out of each metre in must be above zero")]
    Split(f64),
}

/// One step of a route.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    start_waste_m: f64,
    running_waste: f64,
    split: f64,
}

impl Step {
    /// A step that loses `start_waste_m` before the first good metre and the share
    /// `running_waste` of the rest.
    ///
    /// # Errors
    /// A start waste below zero, a running waste outside 0 to below 1, or not-a-number.
    pub fn new(start_waste_m: f64, running_waste: f64) -> Result<Step, StepError> {
        if !(start_waste_m.is_finite() && start_waste_m >= 0.0) {
            return Err(StepError::StartWaste(start_waste_m));
        }
        if !(0.0..1.0).contains(&running_waste) {
            return Err(StepError::RunningWaste(running_waste));
        }
        Ok(Step {
            start_waste_m,
            running_waste,
            split: 1.0,
        })
    }

    /// The same step when each metre of web in gives `split` metres out: at a slitter, lanes on
    /// the parent web divided by lanes on the pouch machine.
    ///
    /// # Errors
    /// A split that is not a number above zero.
    pub fn splitting(self, split: f64) -> Result<Step, StepError> {
        if split.is_finite() && split > 0.0 {
            Ok(Step { split, ..self })
        } else {
            Err(StepError::Split(split))
        }
    }

    /// Metres lost before the first good one.
    pub fn start_waste_m(&self) -> f64 {
        self.start_waste_m
    }

    /// Share of the running metres that is lost, 0 to below 1.
    pub fn running_waste(&self) -> f64 {
        self.running_waste
    }

    /// Metres out of each good metre in.
    pub fn split(&self) -> f64 {
        self.split
    }

    /// Metres to feed this step so that `out_m` good metres leave it. Nothing wanted, nothing
    /// fed: a step that is not started wastes nothing.
    pub fn metres_in(&self, out_m: f64, rounding: Rounding) -> f64 {
        if out_m <= 0.0 {
            return 0.0;
        }
        let exact = out_m / self.split / (1.0 - self.running_waste) + self.start_waste_m;
        match rounding {
            Rounding::UpToWholeMetre => round_up(exact),
            Rounding::Exact => exact,
        }
    }

    /// Good metres that leave this step when `in_m` are fed; 0 when the start waste eats all.
    pub fn metres_out(&self, in_m: f64) -> f64 {
        (in_m - self.start_waste_m).max(0.0) * (1.0 - self.running_waste) * self.split
    }
}

/// Good pouches to plan for when `overs` (a share, 0.05 for 5 %) are made above the order,
/// rounded up to whole pouches.
pub fn with_overs(pouches: u64, overs: f64) -> u64 {
    count_up(pouches as f64 * (1.0 + overs.max(0.0)))
}

/// Good metres that hold `pouches` on `lanes` lanes at a pitch of `pitch_mm`: a cycle makes one
/// pouch on each lane, and a begun cycle is a whole one. No lanes give no metres.
pub fn good_metres(pouches: u64, lanes: u32, pitch_mm: f64) -> f64 {
    if lanes == 0 {
        return 0.0;
    }
    pouches.div_ceil(u64::from(lanes)) as f64 * pitch_mm / 1000.0
}

/// Whole pouches in `metres` of good web on `lanes` lanes at a pitch of `pitch_mm`.
pub fn pouches_in(metres: f64, lanes: u32, pitch_mm: f64) -> u64 {
    if pitch_mm <= 0.0 {
        return 0;
    }
    super::rounding::count_down(metres * 1000.0 / pitch_mm).saturating_mul(u64::from(lanes))
}

/// Metres each step of `route` (in the order the web passes them) must be fed so that `good_m`
/// leave the last one. Same length and order as `route`; the first entry is the metres to print.
pub fn backward(route: &[Step], good_m: f64, rounding: Rounding) -> Vec<f64> {
    let mut wanted_m = good_m;
    let mut fed: Vec<f64> = route
        .iter()
        .rev()
        .map(|step| {
            wanted_m = step.metres_in(wanted_m, rounding);
            wanted_m
        })
        .collect();
    fed.reverse();
    fed
}

/// Good metres that leave each step of `route` when `in_m` metres are fed to the first. Same
/// length and order as `route`; the last entry is the good metres.
pub fn forward(route: &[Step], in_m: f64) -> Vec<f64> {
    let mut metres = in_m;
    route
        .iter()
        .map(|step| {
            metres = step.metres_out(metres);
            metres
        })
        .collect()
}

/// Good share by metre: good / printed; 0 when nothing is printed. Times the web use it is the
/// good share by area.
pub fn yield_by_metre(good_m: f64, printed_m: f64) -> f64 {
    if printed_m > 0.0 {
        good_m / printed_m
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn route(split: f64) -> Vec<Step> {
        vec![
            Step::new(20.0, 0.01).unwrap(),
            Step::new(10.0, 0.005).unwrap().splitting(split).unwrap(),
            Step::new(40.0, 0.03).unwrap(),
        ]
    }

    #[test]
    fn what_is_fed_gives_at_least_what_is_wanted() {
        for split in [0.5, 1.0, 2.0, 3.0] {
            let route = route(split);
            for tenths in 1..400 {
                let wanted = f64::from(tenths * tenths) / 10.0;
                let exact = backward(&route, wanted, Rounding::Exact);
                let out = forward(&route, exact[0])[2];
                assert!((out - wanted).abs() <= 1e-9 * wanted.max(1.0));
                let whole = backward(&route, wanted, Rounding::UpToWholeMetre);
                let out = forward(&route, whole[0])[2];
                assert!(out >= wanted - 1e-9 * wanted, "{wanted} {out}");
                // Rounding up costs less than a metre at each step.
                assert!(whole[2] - exact[2] < 1.0 && whole[2].fract() == 0.0);
            }
        }
    }

    #[test]
    fn more_wanted_never_needs_less() {
        let route = route(1.0);
        let mut before = 0.0;
        for wanted in 0..3000 {
            let printed = backward(&route, f64::from(wanted), Rounding::UpToWholeMetre)[0];
            assert!(printed >= before);
            before = printed;
        }
    }

    #[test]
    fn nothing_wanted_starts_nothing() {
        let route = route(1.0);
        assert_eq!(backward(&route, 0.0, Rounding::UpToWholeMetre), [0.0; 3]);
        assert_eq!(forward(&route, 0.0), [0.0; 3]);
        // 15 m do not even cover the laminator's start.
        assert_eq!(forward(&route, 15.0), [0.0; 3]);
        assert!(backward(&[], 100.0, Rounding::Exact).is_empty());
    }

    #[test]
    fn exact_metres_are_not_rounded_up_by_dust() {
        // 0.97 · 100 m at 3 % is 100 m, hand arithmetic; in binary it is a hair more.
        let step = Step::new(0.0, 0.03).unwrap();
        assert_eq!(step.metres_in(97.0, Rounding::UpToWholeMetre), 100.0);
    }

    #[test]
    fn impossible_steps_are_refused() {
        assert_eq!(Step::new(-1.0, 0.0), Err(StepError::StartWaste(-1.0)));
        assert_eq!(Step::new(0.0, 1.0), Err(StepError::RunningWaste(1.0)));
        assert!(Step::new(0.0, f64::NAN).is_err());
        assert!(Step::new(f64::INFINITY, 0.0).is_err());
        let step = Step::new(0.0, 0.0).unwrap();
        assert_eq!(step.splitting(0.0), Err(StepError::Split(0.0)));
    }

    #[test]
    fn pouches_and_metres() {
        assert_eq!(good_metres(10_001, 2, 130.0), 5001.0 * 0.130);
        assert_eq!(good_metres(10, 0, 130.0), 0.0);
        assert_eq!(pouches_in(1300.0, 1, 130.0), 10_000);
        assert_eq!(pouches_in(1299.9, 1, 130.0), 9_999);
        assert_eq!(pouches_in(1.0, 1, 0.0), 0);
        for pouches in 1..2000 {
            for lanes in 1..4 {
                let back = pouches_in(good_metres(pouches, lanes, 133.3), lanes, 133.3);
                assert!(back >= pouches && back < pouches + u64::from(lanes));
            }
        }
        assert_eq!(with_overs(10_000, 0.1), 11_000);
        assert_eq!(with_overs(10, 0.05), 11);
        assert_eq!(yield_by_metre(0.0, 0.0), 0.0);
    }
}
