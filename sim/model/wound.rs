//! Rolls or reels of a lot, wound one behind the other, and the part of them that a lot lies on.
//!
//! In: how many there are, and how the web on them is cut. Out: loads of a machine that mounts some side by side, the
//! changes between them, and whether what follows lies where the last lot ended.

/// The `part`-th of `of` equal lengths of `count` rolls or reels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wound {
    /// Number of the first of them; the others follow.
    pub first: u32,
    /// Rolls or reels, at least one.
    pub count: u32,
    part: u32,
    of: u32,
}

impl Wound {
    /// All of `count` rolls or reels.
    pub fn whole(first: u32, count: u32) -> Self {
        Self {
            first,
            count: count.max(1),
            part: 0,
            of: 1,
        }
    }

    /// The `n`-th of `of` equal parts, from 0. Parts beyond counting lie on a roll each.
    pub fn cut(self, n: u32, of: u32) -> Self {
        let parts = self.of.checked_mul(of.max(1));
        match parts.filter(|&parts| parts < 1 << 24) {
            Some(parts) => Self {
                part: self.part * of + n,
                of: parts,
                ..self
            },
            None => Self::whole(self.first, 1),
        }
    }

    /// Numbers of the first and the last load of a machine that mounts `at_once` side by side.
    pub fn loads(self, at_once: u32) -> (u32, u32) {
        let loads = u64::from(self.count.div_ceil(at_once.max(1)));
        let (part, of) = (u64::from(self.part), u64::from(self.of));
        let begin = part * loads / of;
        let end = ((part + 1) * loads).div_ceil(of);
        let number = |load: u64| self.first.wrapping_add(load as u32);
        (number(begin), number(end - 1))
    }

    /// Changes of a load for the next one while the lot runs.
    pub fn changes(self, at_once: u32) -> u32 {
        let (first, last) = self.loads(at_once);
        last.wrapping_sub(first)
    }

    /// Rolls or reels that several lots fill together; what is left over counts as one.
    pub fn filled(lots: impl Iterator<Item = Self>) -> u32 {
        let sum: f64 = lots
            .map(|lot| f64::from(lot.count) / f64::from(lot.of))
            .sum();
        (sum - 1e-6).ceil().max(1.0) as u32
    }
}

/// Changes of loads that `groups` lots of `rolls` rolls or reels in all make when they are cut to `lots` lots with
/// `starts` starts. The first load of a start is in its changeover; a start within a load mounts it once more.
pub fn changes(rolls: u32, groups: u32, lots: u32, starts: u32, at_once: u32) -> u32 {
    let groups = groups.max(1);
    let whole = Wound::whole(0, rolls / groups);
    let loads = whole.changes(at_once) + 1;
    let parts = (lots / groups).max(1);
    let within = (1..parts)
        .filter(|part| !(part * loads).is_multiple_of(parts))
        .count() as u32;
    let again = (within * groups).min(starts.saturating_sub(1));
    (loads * groups + again).saturating_sub(starts.max(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three reels with two artworks: each lies on one and a half of them, so each is changed once, and the second begins
    /// where the first ends. By hand.
    #[test]
    fn artworks_end_within_a_reel() {
        let reels = Wound::whole(7, 3);
        let (a, b) = (reels.cut(0, 2), reels.cut(1, 2));
        assert_eq!((a.loads(1), b.loads(1)), ((7, 8), (8, 9)));
        assert_eq!(changes(3, 1, 2, 2, 1), 2);
        // On four reels each ends with a reel: one change in each.
        assert_eq!(changes(4, 1, 2, 2, 1), 2);
        // Six reels side by side in pairs, four artworks: 0 to .75, to 1.5, to 2.25, to 3 pairs.
        let six = Wound::whole(0, 6);
        let changed: Vec<u32> = (0..4).map(|n| six.cut(n, 4).changes(2)).collect();
        assert_eq!(changed, [0, 1, 1, 0]);
        assert_eq!(changes(6, 1, 4, 4, 2), 2);
    }

    /// Lots of one SKU: three rolls on one machine are changed twice, on two machines once; five lots of one roll stay on it.
    #[test]
    fn lots_of_one_sku() {
        assert_eq!(changes(3, 3, 3, 1, 1), 2);
        assert_eq!(changes(3, 3, 3, 2, 1), 1);
        assert_eq!(changes(1, 1, 5, 1, 1), 0);
        assert_eq!(changes(1, 1, 5, 2, 1), 0);
        let roll = Wound::whole(4, 1);
        assert!((0..5).all(|n| roll.cut(n, 5).loads(1) == (4, 4)));
        assert_eq!(Wound::filled((0..5).map(|n| roll.cut(n, 5))), 1);
        assert_eq!(Wound::filled([roll, roll.cut(0, 2)].into_iter()), 2);
    }

    #[test]
    fn what_is_cut_too_often_is_a_roll() {
        let crumb = Wound::whole(0, 2_000).cut(9_999, 10_000).cut(9_999, 10_000);
        assert_eq!(crumb, Wound::whole(0, 1));
    }
}
