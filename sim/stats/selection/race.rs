//! The fully sequential procedure of Kim and Nelson: designs drop out as soon as they cannot be best.
//!
//! In: one replication after the other of every design still in. Out: who is in, who fell when, and the
//! one left.
//!
//! Guarantee (Kim and Nelson, ACM Transactions on Modeling and Computer Simulation 11, 2001; formulas
//! from memory, with their constant c = 1): if replications are normal and independent of each other, and
//! the best mean is better than every other by at least the indifference zone, the one left is the best
//! with at least the confidence asked for. Designs may share their random numbers: the Bonferroni split
//! over the other designs holds whatever their correlation. Nothing is promised where the best is closer
//! to the next than the zone; then the two are, by choice, as good as each other.

use super::Best;

/// A race between designs.
#[derive(Debug, Clone, PartialEq)]
pub struct Race {
    best: Best,
    zone: f64,
    first_stage: u32,
    /// h² of the procedure.
    h2: f64,
    /// Replications so far of those still in.
    replications: u32,
    /// Replications of the first stage, by design, larger is better.
    first: Vec<Vec<f64>>,
    /// Sum by design, larger is better.
    sums: Vec<f64>,
    /// Variance of the difference of two designs over the first stage, by pair.
    variances: Vec<Vec<f64>>,
    /// Replications after which a design fell.
    dropped: Vec<Option<u32>>,
}

/// The constant η of the procedure for a chance of error `alpha` with k `designs`: ½[(2α/(k-1))^(-2/(n0-1)) - 1].
pub fn eta(alpha: f64, designs: usize, first_stage: u32) -> f64 {
    let share = 2.0 * alpha / (designs as f64 - 1.0);
    0.5 * (share.powf(-2.0 / (f64::from(first_stage) - 1.0)) - 1.0)
}

impl Race {
    /// A race of `designs` >= 2 with a first stage of at least two replications. `zone`: the smallest
    /// difference that matters, above 0. `None` for anything else, or a confidence outside ½ to 1.
    pub fn new(
        designs: usize,
        best: Best,
        zone: f64,
        confidence: f64,
        first_stage: u32,
    ) -> Option<Self> {
        let sound = designs >= 2 && first_stage >= 2 && zone > 0.0 && zone.is_finite();
        if !sound || !(0.5..1.0).contains(&confidence) {
            return None;
        }
        let h2 = 2.0 * eta(1.0 - confidence, designs, first_stage) * (f64::from(first_stage) - 1.0);
        Some(Self {
            best,
            zone,
            first_stage,
            h2,
            replications: 0,
            first: vec![Vec::new(); designs],
            sums: vec![0.0; designs],
            variances: Vec::new(),
            dropped: vec![None; designs],
        })
    }

    /// Designs still in, in order. Only they need a further replication.
    pub fn survivors(&self) -> Vec<usize> {
        (0..self.sums.len())
            .filter(|&design| self.dropped[design].is_none())
            .collect()
    }

    /// The one left, once it is decided.
    pub fn winner(&self) -> Option<usize> {
        match self.survivors().as_slice() {
            [one] => Some(*one),
            _ => None,
        }
    }

    /// Replications after which each design fell; `None` for those still in.
    pub fn dropped(&self) -> &[Option<u32>] {
        &self.dropped
    }

    /// Replications of the designs still in.
    pub fn replications(&self) -> u32 {
        self.replications
    }

    /// Replications of all designs together.
    pub fn effort(&self) -> u64 {
        let each = |fell: &Option<u32>| u64::from(fell.unwrap_or(self.replications));
        self.dropped.iter().map(each).sum()
    }

    /// Mean of a design over its replications.
    pub fn mean(&self, design: usize) -> f64 {
        let count = self.dropped[design].unwrap_or(self.replications);
        self.best.signed(self.sums[design] / f64::from(count))
    }

    /// Replications after which the race ends at the latest, known from the first stage on.
    pub fn latest(&self) -> Option<u32> {
        if self.variances.is_empty() {
            return None;
        }
        let most = self
            .pairs()
            .map(|(i, l)| self.reach(i, l))
            .fold(0.0, f64::max);
        Some(
            (most.floor() as u32)
                .saturating_add(1)
                .max(self.first_stage),
        )
    }

    /// Takes one replication of every survivor, in the order of [`Race::survivors`], and drops those that
    /// cannot be best any more. Values beyond the survivors, or too few, are an error of the caller and
    /// change nothing.
    pub fn push(&mut self, values: &[f64]) {
        let survivors = self.survivors();
        if survivors.len() != values.len() || survivors.len() < 2 {
            return;
        }
        self.replications += 1;
        for (&design, &value) in survivors.iter().zip(values) {
            let value = self.best.signed(value);
            self.sums[design] += value;
            if self.replications <= self.first_stage {
                self.first[design].push(value);
            }
        }
        if self.replications < self.first_stage {
            return;
        }
        if self.replications == self.first_stage {
            let first = std::mem::take(&mut self.first);
            self.variances = first
                .iter()
                .map(|a| first.iter().map(|b| variance_of_difference(a, b)).collect())
                .collect();
        }
        let last = self
            .latest()
            .is_some_and(|latest| self.replications >= latest);
        let fallen: Vec<usize> = survivors
            .iter()
            .copied()
            .filter(|&i| survivors.iter().any(|&l| l != i && self.beaten(i, l)))
            .collect();
        for design in fallen {
            self.dropped[design] = Some(self.replications);
        }
        if last {
            self.end();
        }
    }

    /// Takes a design out for a reason of its own; the guarantee among the others stays.
    pub fn withdraw(&mut self, design: usize) {
        if let Some(fell @ None) = self.dropped.get_mut(design) {
            *fell = Some(self.replications);
        }
    }

    /// Whether `i` lies so far behind `l` that it cannot be best.
    fn beaten(&self, i: usize, l: usize) -> bool {
        let r = f64::from(self.replications);
        let room = 0.5 * self.zone * (self.reach(i, l) - r);
        self.sums[i] < self.sums[l] - room.max(0.0)
    }

    /// Replications at which the room between two designs has closed: h² S² / δ².
    fn reach(&self, i: usize, l: usize) -> f64 {
        self.h2 * self.variances[i][l] / (self.zone * self.zone)
    }

    fn pairs(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let in_race = self.survivors();
        let others = in_race.clone();
        in_race
            .into_iter()
            .flat_map(move |i| others.clone().into_iter().map(move |l| (i, l)))
            .filter(|(i, l)| i != l)
    }

    /// The room has closed for all: the best mean is left, the first of equal ones.
    fn end(&mut self) {
        let survivors = self.survivors();
        let best = survivors
            .iter()
            .copied()
            .fold(None, |best: Option<usize>, i| match best {
                Some(held) if self.sums[held] >= self.sums[i] => Some(held),
                _ => Some(i),
            });
        for design in survivors {
            if Some(design) != best {
                self.dropped[design] = Some(self.replications);
            }
        }
    }
}

fn variance_of_difference(a: &[f64], b: &[f64]) -> f64 {
    let gaps: crate::stats::Welford = a.iter().zip(b).map(|(a, b)| a - b).collect();
    gaps.variance()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Constants by independent recomputation from the formula of the paper: chance of error, designs,
    /// first stage, η, h².
    #[test]
    fn constants_of_the_procedure() {
        for (alpha, k, n0, eta_wanted, h2) in [
            (0.05, 2, 10, 0.3340503, 6.012905),
            (0.05, 5, 10, 0.6349673, 11.42941),
            (0.05, 10, 10, 0.8590834, 15.4635),
            (0.05, 100, 10, 1.815617, 32.6811),
            (0.05, 2, 20, 0.1371375, 5.211225),
            (0.05, 10, 20, 0.3029338, 11.51148),
            (0.01, 10, 20, 0.4511643, 17.14424),
        ] {
            let got = eta(alpha, k, n0);
            assert!((got / eta_wanted - 1.0).abs() < 2e-7, "{got}");
            let race = Race::new(k, Best::Largest, 1.0, 1.0 - alpha, n0).unwrap();
            assert!((race.h2 / h2 - 1.0).abs() < 5e-6, "{}", race.h2);
        }
    }

    /// The continuation region for two designs, n0 = 10, 95 %, S² = 4 and δ = 1, on the scale of means, by
    /// independent recomputation: 0.7025810 after 10, 0.3017206 after 15, 0.1012905 after 20, closed at 25;
    /// the race ends after 24 + 1.
    #[test]
    fn the_room_closes_as_it_should() {
        let mut race = Race::new(2, Best::Largest, 1.0, 0.95, 10).unwrap();
        // Differences of ±a about 0.001 with sample variance 4: 10 a² / 9 = 4.
        let a = (3.6_f64).sqrt();
        for r in 0..10 {
            race.push(&[0.001 + if r % 2 == 0 { a } else { -a }, 0.0]);
        }
        assert!((race.variances[0][1] - 4.0).abs() < 1e-12);
        assert_eq!(race.latest(), Some(25));
        for (r, room) in [(10.0, 0.7025810), (15.0, 0.3017206), (20.0, 0.1012905)] {
            let got = 0.5 * (race.reach(0, 1) - r) / r;
            assert!((got - room).abs() < 1e-6, "{got}");
        }
        while race.winner().is_none() {
            race.push(&[0.001, 0.0]);
        }
        assert_eq!((race.winner(), race.replications()), (Some(0), 25));
        assert_eq!(race.effort(), 50);
    }

    #[test]
    fn clear_differences_end_it_early_and_small_is_best_where_asked() {
        let noise = |r: u32, design: u32| f64::from((r * 7 + design * 3) % 5) - 2.0;
        let mut race = Race::new(3, Best::Smallest, 1.0, 0.95, 10).unwrap();
        let mut r = 0;
        while race.winner().is_none() {
            let values: Vec<f64> = race
                .survivors()
                .iter()
                .map(|&d| [50.0, 20.0, 21.5][d] + noise(r, d as u32))
                .collect();
            race.push(&values);
            r += 1;
        }
        assert_eq!(race.winner(), Some(1));
        assert_eq!(
            race.dropped()[0],
            Some(10),
            "the worst falls with the first look"
        );
        assert!(race.dropped()[2].unwrap() >= 10);
        assert!(race.mean(0) > 45.0);
    }

    /// Designs that are the same to the bit end at once, the first one left.
    #[test]
    fn the_same_twice_ends() {
        let mut race = Race::new(2, Best::Largest, 1.0, 0.95, 10).unwrap();
        for r in 0..10 {
            race.push(&[f64::from(r), f64::from(r)]);
        }
        assert_eq!((race.winner(), race.replications()), (Some(0), 10));
    }

    #[test]
    fn what_cannot_be_asked_has_no_race() {
        assert!(Race::new(1, Best::Largest, 1.0, 0.95, 10).is_none());
        assert!(Race::new(2, Best::Largest, 0.0, 0.95, 10).is_none());
        assert!(Race::new(2, Best::Largest, 1.0, 0.4, 10).is_none());
        assert!(Race::new(2, Best::Largest, 1.0, 0.95, 1).is_none());
    }
}
