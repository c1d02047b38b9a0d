//! Quantiles of a sample, by all nine definitions in use.
//!
//! In: sorted observations without NaN. Out: a quantile. Observations may be plus infinity: those
//! still unfinished when the run ended, later than anything seen.

/// The nine definitions of Hyndman and Fan, "Sample quantiles in statistical packages", The
/// American Statistician 50 (1996).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Definition {
    /// Type 1: the smallest observation that at least a share p does not exceed.
    InvertedCdf,
    /// Type 2: as type 1, averaged at jumps.
    AveragedInvertedCdf,
    /// Type 3: the closest observation.
    ClosestObservation,
    /// Type 4: straight lines through type 1.
    InterpolatedInvertedCdf,
    /// Type 5 (Hazen).
    Hazen,
    /// Type 6 (Weibull).
    Weibull,
    /// Type 7: straight lines from least to greatest, the habit of most programs.
    #[default]
    Linear,
    /// Type 8: nearly unbiased for the median, whatever the distribution.
    MedianUnbiased,
    /// Type 9: nearly unbiased for the mean of a normal.
    NormalUnbiased,
}

/// Quantile `p` of sorted observations; NaN of none.
pub fn quantile(sorted: &[f64], p: f64, definition: Definition) -> f64 {
    quantile_censored(sorted, 0, p, definition)
}

/// Quantile `p` where `censored` further observations are known only to lie above all of
/// `sorted`. Infinite when the answer depends on one of them.
pub fn quantile_censored(sorted: &[f64], censored: usize, p: f64, definition: Definition) -> f64 {
    let n = sorted.len() + censored;
    if n == 0 || p.is_nan() {
        return f64::NAN;
    }
    let p = p.clamp(0.0, 1.0);
    // Observation by its 1-based rank, held to the ends.
    let at = |rank: i64| {
        let index = usize::try_from(rank.max(1) - 1).unwrap_or(0).min(n - 1);
        sorted.get(index).copied().unwrap_or(f64::INFINITY)
    };
    let (shift, ends) = match definition {
        Definition::InvertedCdf | Definition::AveragedInvertedCdf => (0.0, None),
        Definition::ClosestObservation => (-0.5, None),
        Definition::InterpolatedInvertedCdf => (0.0, Some((0.0, 1.0))),
        Definition::Hazen => (0.0, Some((0.5, 0.5))),
        Definition::Weibull => (0.0, Some((0.0, 0.0))),
        Definition::Linear => (0.0, Some((1.0, 1.0))),
        Definition::MedianUnbiased => (0.0, Some((1.0 / 3.0, 1.0 / 3.0))),
        Definition::NormalUnbiased => (0.0, Some((0.375, 0.375))),
    };
    let shift = ends.map_or(shift, |(a, b)| a + p * (1.0 - a - b));
    let position = n as f64 * p + shift;
    // 0.95 times 100 is a hair below 95; without this it would fall to the rank before.
    let fuzz = 4.0 * f64::EPSILON * position.abs().max(1.0);
    let rank = (position + fuzz).floor();
    let part = if (position - rank).abs() <= fuzz {
        0.0
    } else {
        position - rank
    };
    let rank = rank as i64;
    let weight = match definition {
        Definition::InvertedCdf => f64::from(u8::from(part > 0.0)),
        Definition::AveragedInvertedCdf => {
            if part > 0.0 {
                1.0
            } else {
                0.5
            }
        }
        Definition::ClosestObservation => f64::from(u8::from(part > 0.0 || rank % 2 != 0)),
        _ => part,
    };
    let (below, above) = (at(rank), at(rank + 1));
    // Written so that no infinity meets its like: inf - inf is no number.
    if weight == 0.0 || below == above {
        below
    } else if weight == 1.0 {
        above
    } else {
        below + weight * (above - below)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Definition::*;

    const SORTED: [f64; 10] = [0.7, 1.0, 2.0, 3.5, 4.4, 5.0, 6.3, 7.2, 8.8, 9.1];

    /// numpy.quantile, all nine methods on one sample.
    #[test]
    fn nine_definitions() {
        for (definition, row) in [
            (InvertedCdf, [0.7, 2.0, 4.4, 8.8, 9.1]),
            (AveragedInvertedCdf, [0.85, 2.0, 4.7, 8.95, 9.1]),
            (ClosestObservation, [0.7, 1.0, 4.4, 8.8, 9.1]),
            (InterpolatedInvertedCdf, [0.7, 1.5, 4.4, 8.8, 8.95]),
            (Hazen, [0.85, 2.0, 4.7, 8.95, 9.1]),
            (Weibull, [0.73, 1.75, 4.7, 9.07, 9.1]),
            (Linear, [0.97, 2.375, 4.7, 8.83, 8.965]),
            (MedianUnbiased, [0.81, 1.916667, 4.7, 8.99, 9.1]),
            (NormalUnbiased, [0.82, 1.9375, 4.7, 8.98, 9.1]),
        ] {
            for (p, want) in [0.1, 0.25, 0.5, 0.9, 0.95].iter().zip(row) {
                let got = quantile(&SORTED, *p, definition);
                assert!(
                    (got - want).abs() < 5e-7,
                    "{definition:?} at {p}: {got}, not {want}"
                );
            }
        }
    }

    #[test]
    fn ends_and_empty() {
        for definition in [InvertedCdf, ClosestObservation, Linear, NormalUnbiased] {
            assert_eq!(quantile(&SORTED, 0.0, definition), 0.7);
            assert_eq!(quantile(&SORTED, 1.0, definition), 9.1);
            assert_eq!(quantile(&[3.0], 0.4, definition), 3.0);
            assert!(quantile(&[], 0.4, definition).is_nan());
        }
    }

    /// By hand: of ten values the top two are unknown, so the 80 % point of type 1 is the eighth
    /// and the 81 % point is not known.
    #[test]
    fn censored_values_push_upper_quantiles_out_of_sight() {
        let seen = &SORTED[..8];
        assert_eq!(quantile_censored(seen, 2, 0.8, InvertedCdf), 7.2);
        assert_eq!(quantile_censored(seen, 2, 0.81, InvertedCdf), f64::INFINITY);
        // The median does not feel it.
        assert_eq!(
            quantile_censored(seen, 2, 0.5, Linear),
            quantile(&SORTED, 0.5, Linear)
        );
        // Type 7 leans on the next value up.
        assert_eq!(quantile_censored(seen, 2, 0.8, Linear), f64::INFINITY);
        let with_infinity = [1.0, 2.0, f64::INFINITY, f64::INFINITY];
        assert_eq!(quantile(&with_infinity, 0.9, Linear), f64::INFINITY);
        assert_eq!(quantile(&with_infinity, 0.0, Linear), 1.0);
    }
}
