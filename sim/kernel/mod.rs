//! The event list: a clock value per slot, and which slot is next. It knows no word of the trade.
//!
//! In: "slot `i` is due at `t`". Out: the earliest slot; among equal times the lowest slot number, so
//! that simultaneous events have one fixed order that never depends on chance or on history.
//!
//! Whatever can be pending at most once owns a slot, so re-timing and cancelling are one store.
//! Time and slot number are packed into one word, so that the least word says both and no branch
//! depends on which slot it is. Slots are grouped in blocks whose least word is kept, and the least of
//! those; a block is looked through again only when its least word goes up. For the some dozens of slots of a cell this is
//! faster than a heap.

/// Time of a slot that is not pending.
pub const NEVER: i64 = i64::MAX;

const BLOCK: usize = 8;

/// Pending times by slot.
#[derive(Debug, Clone)]
pub struct Slots {
    /// Time and number of each slot in one word; [`NEVER`] where nothing is pending.
    word: Vec<[i64; BLOCK]>,
    /// Least word of each block.
    first: Vec<i64>,
    /// Least of these.
    least: i64,
    /// Bits that the number of a slot takes.
    bits: u32,
}

impl Slots {
    /// `count` slots, none pending.
    ///
    /// Times from 2^(63 - b) on count as [`NEVER`], where b is the number of bits of `count`: with
    /// microseconds 9 000 years for 32 slots, 71 years for 4 096.
    pub fn new(count: usize) -> Self {
        let blocks = count.div_ceil(BLOCK).max(1);
        Self {
            word: vec![[NEVER; BLOCK]; blocks],
            first: vec![NEVER; blocks],
            least: NEVER,
            bits: usize::BITS - count.max(2).leading_zeros(),
        }
    }

    /// Makes `slot` due at `time`, which is not negative ([`NEVER`] cancels it). O(block + blocks) at most.
    #[inline]
    pub fn set(&mut self, slot: usize, time: i64) {
        debug_assert!(time >= 0, "time begins at zero");
        let word = if time >= NEVER >> self.bits {
            NEVER
        } else {
            time << self.bits | slot as i64
        };
        let block = &mut self.word[slot / BLOCK];
        let first = &mut self.first[slot / BLOCK];
        let before = std::mem::replace(&mut block[slot % BLOCK], word);
        if word < *first {
            *first = word;
            self.least = self.least.min(word);
        } else if before == *first && before != word {
            *first = least_of(block);
            if before == self.least {
                self.least = self.first.iter().copied().fold(NEVER, i64::min);
            }
        }
    }

    /// When `slot` is due.
    #[inline]
    pub fn get(&self, slot: usize) -> i64 {
        self.time_of(self.word[slot / BLOCK][slot % BLOCK])
    }

    #[inline]
    fn time_of(&self, word: i64) -> i64 {
        if word == NEVER {
            NEVER
        } else {
            word >> self.bits
        }
    }

    /// The earliest time of all slots, and the lowest slot that is due then (any number at [`NEVER`]).
    #[inline]
    pub fn next(&self) -> (i64, usize) {
        let slot = self.least & !(-1 << self.bits);
        (self.time_of(self.least), slot as usize)
    }
}

/// In pairs, so that the comparisons do not wait for one another.
#[inline]
fn least_of(w: &[i64; BLOCK]) -> i64 {
    let (a, b) = (w[0].min(w[1]), w[2].min(w[3]));
    let (c, d) = (w[4].min(w[5]), w[6].min(w[7]));
    a.min(b).min(c.min(d))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pops_in_time_order_and_lowest_slot_first() {
        let mut slots = Slots::new(20);
        for (slot, time) in [(19, 5), (3, 7), (11, 5), (0, 9)] {
            slots.set(slot, time);
        }
        slots.set(3, 4);
        let mut seen = Vec::new();
        loop {
            let (time, slot) = slots.next();
            if time == NEVER {
                break;
            }
            seen.push((time, slot));
            slots.set(slot, NEVER);
        }
        assert_eq!(seen, [(4, 3), (5, 11), (5, 19), (9, 0)]);
    }

    /// Few slots and many.
    #[test]
    fn agrees_with_a_sorted_list_under_random_changes() {
        for count in [1, 8, 37, 700] {
            let mut slots = Slots::new(count);
            let mut plain = vec![NEVER; count];
            let mut x = 1_u64;
            for _ in 0..5_000 {
                x = x
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                let slot = (x >> 33) as usize % count;
                let time = if x & 7 == 0 { NEVER } else { (x >> 50) as i64 };
                slots.set(slot, time);
                plain[slot] = time;
                assert_eq!(slots.get(slot), time);
                if x & 24 == 0 {
                    continue;
                }
                let least = *plain.iter().min().unwrap();
                let (time, slot) = slots.next();
                assert_eq!(time, least);
                if least != NEVER {
                    assert_eq!(Some(slot), plain.iter().position(|&t| t == least));
                }
            }
        }
    }

    /// Beyond the packed range a time is as good as never.
    #[test]
    fn times_beyond_the_range_are_never() {
        let mut slots = Slots::new(20);
        slots.set(3, NEVER - 1);
        assert_eq!(slots.get(3), NEVER);
        slots.set(3, 1 << 57);
        assert_eq!(slots.next(), (1 << 57, 3));
    }
}
