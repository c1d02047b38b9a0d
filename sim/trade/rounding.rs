//! Whole metres and whole counts.
//!
//! In: a number that ought to be rounded up or down to a whole one. Out: that whole number.
//!
//! Why not plain `ceil`: a length that is 300 m exactly on paper may arrive as
//! 300.000 000 000 04 m from a product of decimals, and a bare `ceil` would then order a metre,
//! a roll or a carton too many.

/// Relative size of the floating-point dust that is forgiven. Nothing in the trade is measured
/// to one part in a thousand million, so no real remainder is lost.
const DUST: f64 = 1e-9;

/// The nearest whole number when `value` is one up to floating-point dust.
fn whole_but_for_dust(value: f64) -> Option<f64> {
    let nearest = value.round();
    ((value - nearest).abs() <= DUST * value.abs().max(1.0)).then_some(nearest)
}

/// Rounds up to a whole number, forgiving dust of one part in 10^9. Not-a-number and infinities
/// come back as they are.
pub fn round_up(value: f64) -> f64 {
    whole_but_for_dust(value).unwrap_or_else(|| value.ceil())
}

/// Rounds down to a whole number, forgiving dust of one part in 10^9. Not-a-number and
/// infinities come back as they are.
pub fn round_down(value: f64) -> f64 {
    whole_but_for_dust(value).unwrap_or_else(|| value.floor())
}

/// [`round_up`] as a count: negative numbers and not-a-number give 0, anything too large gives
/// the largest count there is.
pub fn count_up(value: f64) -> u64 {
    // `as` from float to integer saturates and turns not-a-number into 0.
    round_up(value) as u64
}

/// [`round_down`] as a count, saturating like [`count_up`].
pub fn count_down(value: f64) -> u64 {
    round_down(value) as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dust_is_forgiven_both_ways() {
        // 0.1 + 0.2 is 0.300 000 000 000 000 04 in binary (IEEE 754).
        assert_eq!(f64::ceil(1000.0 * (0.1 + 0.2)), 301.0);
        assert_eq!(round_up(1000.0 * (0.1 + 0.2)), 300.0);
        // 0.7 + 0.1 falls just short of 0.8.
        assert_eq!(f64::floor(10.0 * (0.7 + 0.1)), 7.0);
        assert_eq!(round_down(10.0 * (0.7 + 0.1)), 8.0);
    }

    #[test]
    fn real_remainders_are_kept() {
        assert_eq!(round_up(107.01), 108.0);
        assert_eq!(round_up(100.000_001), 101.0);
        assert_eq!(round_down(100.999_999), 100.0);
        assert_eq!(round_up(0.0), 0.0);
    }

    #[test]
    fn counts_saturate_instead_of_wrapping() {
        assert_eq!(count_up(-3.2), 0);
        assert_eq!(count_up(f64::NAN), 0);
        assert_eq!(count_up(f64::INFINITY), u64::MAX);
        assert_eq!(count_down(2.9), 2);
    }
}
