//! The event list: a clock value per slot, and which slot is next. It knows no word of the trade.
//!
//! In: "slot `i` is due at `t`". Out: the earliest slot; among equal times the lowest slot number, so
//! that simultaneous events have one fixed order that never depends on chance or on history.
//!
//! Whatever can be pending at most once owns a slot, so re-timing and cancelling are one store.
//! Slots are grouped in blocks whose earliest member is kept: a change looks at one block and the
//! search at the blocks, which for the some dozens of slots of a cell is faster than a heap.

/// Time of a slot that is not pending.
pub const NEVER: i64 = i64::MAX;

const BLOCK: usize = 8;

/// Pending times by slot.
#[derive(Debug, Clone)]
pub struct Slots {
    time: Vec<[i64; BLOCK]>,
    first: Vec<i64>,
}

impl Slots {
    /// `count` slots, none pending.
    pub fn new(count: usize) -> Self {
        let blocks = count.div_ceil(BLOCK).max(1);
        Self {
            time: vec![[NEVER; BLOCK]; blocks],
            first: vec![NEVER; blocks],
        }
    }

    /// Makes `slot` due at `time` ([`NEVER`] cancels it). O(block).
    #[inline]
    pub fn set(&mut self, slot: usize, time: i64) {
        let block = &mut self.time[slot / BLOCK];
        block[slot % BLOCK] = time;
        let mut least = block[0];
        for &t in &block[1..] {
            least = least.min(t);
        }
        self.first[slot / BLOCK] = least;
    }

    /// When `slot` is due.
    #[inline]
    pub fn get(&self, slot: usize) -> i64 {
        self.time[slot / BLOCK][slot % BLOCK]
    }

    /// The earliest time of all slots. O(blocks).
    #[inline]
    pub fn next_time(&self) -> i64 {
        self.first.iter().copied().fold(NEVER, i64::min)
    }

    /// The lowest slot that is due at `time`, which must be [`Slots::next_time`].
    #[inline]
    pub fn slot_at(&self, time: i64) -> Option<usize> {
        let block = self.first.iter().position(|&t| t == time)?;
        let within = self.time[block].iter().position(|&t| t == time)?;
        Some(block * BLOCK + within)
    }
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
        while slots.next_time() != NEVER {
            let time = slots.next_time();
            let slot = slots.slot_at(time).unwrap();
            seen.push((time, slot));
            slots.set(slot, NEVER);
        }
        assert_eq!(seen, [(4, 3), (5, 11), (5, 19), (9, 0)]);
    }

    #[test]
    fn agrees_with_a_sorted_list_under_random_changes() {
        let mut slots = Slots::new(37);
        let mut plain = vec![NEVER; 37];
        let mut x = 1_u64;
        for _ in 0..5_000 {
            x = x
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let slot = (x >> 33) as usize % 37;
            let time = if x & 7 == 0 { NEVER } else { (x >> 50) as i64 };
            slots.set(slot, time);
            plain[slot] = time;
            let least = *plain.iter().min().unwrap();
            assert_eq!(slots.next_time(), least);
            if least != NEVER {
                assert_eq!(slots.slot_at(least), plain.iter().position(|&t| t == least));
            }
        }
    }
}
