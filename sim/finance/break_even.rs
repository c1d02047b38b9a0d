//! Where something becomes worth it: the zero of a curve.
//!
//! In: a function on a bracket, or points of a curve. Out: where it is zero.

/// The zero of `f` between `low` and `high`, where its signs differ there; `None` where they do not.
///
/// Halves the bracket until it cannot be told from a point: certain, and fast enough for what is asked
/// here.
pub fn zero_between(low: f64, high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut low, mut high) = (low, high);
    let (at_low, at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    // NaN has no sign to differ.
    if at_low.is_nan() || at_high.is_nan() || (at_low > 0.0) == (at_high > 0.0) {
        return None;
    }
    for _ in 0..200 {
        let middle = low + 0.5 * (high - low);
        if middle <= low || middle >= high {
            break;
        }
        if (f(middle) > 0.0) == (at_low > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low + 0.5 * (high - low))
}

/// Where a curve through points `(x, y)`, straight between them, x rising, first reaches zero from below;
/// `None` where it does not cross. A curve that starts at or above zero has nothing to cross.
pub fn crossing(points: &[(f64, f64)]) -> Option<f64> {
    points.windows(2).find_map(|pair| match *pair {
        [(x0, y0), (x1, y1)] if y0 < 0.0 && y1 >= 0.0 => Some(x0 + (x1 - x0) * -y0 / (y1 - y0)),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_zero_is_found_to_the_last_digits() {
        let root = zero_between(0.0, 2.0, |x| x * x - 2.0).unwrap();
        assert!((root - std::f64::consts::SQRT_2).abs() < 1e-15);
        assert_eq!(zero_between(2.0, 3.0, |x| x * x - 2.0), None);
        assert_eq!(zero_between(0.0, 1.0, |x| x), Some(0.0));
        assert_eq!(zero_between(0.0, 1.0, |_| f64::NAN), None);
    }

    #[test]
    fn a_curve_of_points_crosses_where_its_line_does() {
        assert_eq!(crossing(&[(1.0, -3.0), (2.0, 1.0)]), Some(1.75));
        assert_eq!(crossing(&[(1.0, -3.0), (2.0, -1.0), (4.0, 1.0)]), Some(3.0));
        assert_eq!(crossing(&[(1.0, 1.0), (2.0, 5.0)]), None);
        assert_eq!(crossing(&[(1.0, -1.0)]), None);
    }
}
