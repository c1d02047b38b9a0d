//! Two aims at once: which variants are not beaten in both.
//!
//! In: calls of every variant against every other in two figures. Out: for each variant whether another one
//! certainly beats it, seems to, or none does (the efficient frontier).

use super::difference::Call;

/// A variant's place with regard to two figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rank {
    /// No other variant has better means in one figure and no worse ones in the other.
    Efficient,
    /// Another one has better means in both, but the intervals leave that open.
    Doubtful(usize),
    /// Another one is certainly better in one figure, and certainly no worse in the other.
    Dominated(usize),
}

impl Rank {
    /// Key used in files.
    pub fn key(self) -> &'static str {
        match self {
            Rank::Efficient => "efficient",
            Rank::Doubtful(_) => "doubtful",
            Rank::Dominated(_) => "dominated",
        }
    }

    /// The variant that beats it.
    pub fn by(self) -> Option<usize> {
        match self {
            Rank::Efficient => None,
            Rank::Doubtful(by) | Rank::Dominated(by) => Some(by),
        }
    }
}

/// A variant against another one in a figure: the call, and whether its mean is better (+1), worse (-1) or
/// the same (0).
pub type Against = (Call, i8);

/// Ranks of variants; `against(a, b)` gives both figures of `a` against `b`, `None` where they cannot be
/// compared. A variant that cannot be compared with itself has no rank.
pub fn ranks(
    variants: usize,
    against: impl Fn(usize, usize) -> Option<[Against; 2]>,
) -> Vec<Option<Rank>> {
    (0..variants)
        .map(|a| {
            against(a, a)?;
            let mut rank = Rank::Efficient;
            for b in (0..variants).filter(|&b| b != a) {
                let Some(told) = against(a, b) else { continue };
                let sure = told
                    .iter()
                    .all(|t| matches!(t.0, Call::Worse | Call::Same | Call::Equal))
                    && told.iter().any(|t| t.0 == Call::Worse);
                let seems = told.iter().all(|t| t.1 <= 0) && told.iter().any(|t| t.1 < 0);
                match (sure, seems, rank) {
                    (true, ..) => return Some(Rank::Dominated(b)),
                    (_, true, Rank::Efficient) => rank = Rank::Doubtful(b),
                    _ => {}
                }
            }
            Some(rank)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points (1, 5), (2, 2), (3, 3), (2.1, 2.0), smaller is better; differences below 0.5 are open.
    #[test]
    fn beaten_in_both_or_not() {
        let points: [[f64; 2]; 4] = [[1.0, 5.0], [2.0, 2.0], [3.0, 3.0], [2.1, 2.0]];
        let against = |a: usize, b: usize| {
            let one = |k: usize| {
                let gap = points[a][k] - points[b][k];
                let call = match gap {
                    0.0 => Call::Same,
                    g if g >= 0.5 => Call::Worse,
                    g if g <= -0.5 => Call::Better,
                    _ => Call::Open,
                };
                (
                    call,
                    (-gap.signum() * f64::from(u8::from(gap != 0.0))) as i8,
                )
            };
            Some([one(0), one(1)])
        };
        assert_eq!(
            ranks(4, against),
            [
                Some(Rank::Efficient),
                Some(Rank::Efficient),
                Some(Rank::Dominated(1)),
                Some(Rank::Doubtful(1))
            ]
        );
    }
}
