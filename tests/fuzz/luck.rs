//! A small generator, so that an input is the same on every machine (splitmix64, Steele, Lea and Flood 2014).

/// The state.
pub struct Luck(u64);

impl Luck {
    /// The generator of input `number` of a series.
    pub fn new(seed: u64, number: u64) -> Self {
        let mut luck = Self(seed ^ number.wrapping_mul(0xd134_2543_de82_ef95));
        luck.next();
        luck
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `n`; 0 where there is none.
    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    /// True so often in a hundred.
    pub fn percent(&mut self, chance: usize) -> bool {
        self.below(100) < chance
    }

    /// One of a list that is not empty.
    pub fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}
