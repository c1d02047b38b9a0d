//! The packing table: minutes, cartons, people.
//!
//! In: pouches, pouches per carton, a packer's rate (pouches/min), minutes per carton. Out:
//! cartons, minutes of work for one packer, packers that keep pace with a machine.
//!
//! Formula: minutes = N / rate + cartons × minutes per carton. Rates (50-70-100 pouches/min,
//! 1-1.5-2.5 min per carton) are common practice, no source.

use super::rounding::count_up;

/// How one packer works.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PackerTimes {
    /// Pouches stacked and counted per minute.
    pub pouches_per_min: f64,
    /// Pouches in a full carton; 0 means no cartons.
    pub pouches_per_carton: u64,
    /// Minutes to close and label a carton.
    pub carton_min: f64,
}

/// Cartons for `pouches`, the last one perhaps not full.
pub fn cartons(pouches: u64, pouches_per_carton: u64) -> u64 {
    if pouches_per_carton == 0 {
        0
    } else {
        pouches.div_ceil(pouches_per_carton)
    }
}

/// Minutes of work for one packer; 0 for no pouches.
pub fn packing_min(pouches: u64, times: &PackerTimes) -> f64 {
    if pouches == 0 {
        return 0.0;
    }
    pouches as f64 / times.pouches_per_min
        + cartons(pouches, times.pouches_per_carton) as f64 * times.carton_min
}

/// Fewest packers whose shared work is done within the machine's run of `run_min`, at least 1
/// when there is work.
pub fn packers_to_keep_pace(work_min: f64, run_min: f64) -> u64 {
    if work_min <= 0.0 {
        return 0;
    }
    count_up(work_min / run_min).max(1)
}

/// Minutes from the start of a pouch run until the last carton is closed, packing going on
/// beside it: the longer of the run and the packers' shared work. No packers never end.
pub fn run_and_pack_min(run_min: f64, work_min: f64, packers: u64) -> f64 {
    if work_min <= 0.0 {
        return run_min;
    }
    run_min.max(work_min / packers as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TIMES: PackerTimes = PackerTimes {
        pouches_per_min: 70.0,
        pouches_per_carton: 500,
        carton_min: 1.5,
    };

    #[test]
    fn a_carton_begun_is_a_carton() {
        assert_eq!(cartons(1000, 500), 2);
        assert_eq!(cartons(1001, 500), 3);
        assert_eq!(cartons(0, 500), 0);
        assert_eq!(cartons(1000, 0), 0);
    }

    /// 700 pouches: 10 min and two cartons of 1.5 min. Hand arithmetic from the formula above,
    /// common practice, no source.
    #[test]
    fn minutes() {
        assert_eq!(packing_min(700, &TIMES), 13.0);
        assert_eq!(packing_min(0, &TIMES), 0.0);
    }

    #[test]
    fn enough_packers_are_enough_and_one_fewer_are_not() {
        for work in 1..300 {
            let (work, run) = (f64::from(work), 68.4);
            let packers = packers_to_keep_pace(work, run);
            assert_eq!(run_and_pack_min(run, work, packers), run);
            if packers > 1 {
                assert!(run_and_pack_min(run, work, packers - 1) > run);
            }
        }
        assert_eq!(packers_to_keep_pace(0.0, 60.0), 0);
        assert_eq!(packers_to_keep_pace(10.0, 0.0), u64::MAX);
        assert_eq!(run_and_pack_min(60.0, 10.0, 0), f64::INFINITY);
        assert_eq!(run_and_pack_min(60.0, 0.0, 0), 60.0);
    }
}
