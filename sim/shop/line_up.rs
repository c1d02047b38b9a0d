//! Lots in a fixed order: the least criteria first, among equals as the caller says.
//!
//! A sorted array whose front moves on as lots are taken: taking is one step, and joining moves the shorter
//! side of a queue that is seldom longer than some lots.

/// A lot and what decides its place.
#[derive(Debug, Clone, Copy)]
struct Entry {
    first: i64,
    second: i64,
    lot: u32,
}

/// Lots that wait in an order that nothing changes.
#[derive(Debug, Clone, Default)]
pub struct LineUp {
    entries: Vec<Entry>,
    /// Entries before this one have left.
    front: usize,
}

impl LineUp {
    /// A lot joins, ordered by two criteria, smaller first; `before`: a lot with the same ones stands before it.
    #[inline]
    pub fn join(&mut self, first: i64, second: i64, lot: u32, before: impl Fn(u32) -> bool) {
        let entry = Entry { first, second, lot };
        let stands_before = |e: &Entry| {
            let (mine, theirs) = ((first, second), (e.first, e.second));
            theirs < mine || (theirs == mine && before(e.lot))
        };
        let waiting = self.entries.get(self.front..).unwrap_or_default();
        if waiting.last().is_none_or(stands_before) {
            self.make_room();
            self.entries.push(entry);
            return;
        }
        let before = waiting.partition_point(stands_before);
        let place = self.front + before;
        if self.front > 0 && before < waiting.len() / 2 {
            // Those before it move into the place that has come free in front.
            self.entries.copy_within(self.front..place, self.front - 1);
            self.front -= 1;
            self.entries[place - 1] = entry;
        } else {
            self.entries.insert(place, entry);
        }
    }

    /// Forgets those who left before the array grows.
    #[inline]
    fn make_room(&mut self) {
        if self.entries.len() == self.entries.capacity() && 2 * self.front > self.entries.len() {
            self.entries.drain(..self.front);
            self.front = 0;
        }
    }

    /// The `n`-th lot from the front, from 0.
    #[inline]
    pub fn nth(&self, n: usize) -> Option<u32> {
        self.entries.get(self.front + n).map(|entry| entry.lot)
    }

    /// All lots in order.
    pub fn lots(&self) -> impl Iterator<Item = u32> + '_ {
        let waiting = self.entries.get(self.front..).unwrap_or_default();
        waiting.iter().map(|entry| entry.lot)
    }

    /// A lot leaves.
    #[inline]
    pub fn leave(&mut self, lot: u32) {
        if self.nth(0) == Some(lot) {
            self.front += 1;
        } else {
            let front = self.front;
            let place = self.entries.iter().skip(front).position(|e| e.lot == lot);
            if let Some(place) = place {
                self.entries.remove(front + place);
            }
        }
        if self.front >= self.entries.len() {
            self.entries.clear();
            self.front = 0;
        }
    }

    /// Lots waiting.
    #[inline]
    pub fn len(&self) -> usize {
        self.entries.len() - self.front
    }

    /// Nobody waits.
    #[inline]
    pub fn is_empty(&self) -> bool {
        self.front == self.entries.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Beside a list that is sorted anew at every step, with many equal criteria.
    #[test]
    fn agrees_with_a_list_sorted_by_criteria_and_joining() {
        for few in [false, true] {
            let mut line = LineUp::default();
            let mut plain: Vec<(i64, i64, u32)> = Vec::new();
            let mut x = 1_u64;
            for lot in 0..20_000 {
                x = x
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                let join = if few { plain.len() < 3 } else { x >> 60 < 9 };
                if join || plain.is_empty() {
                    let keys = ((x >> 50) as i64 % 40, (x >> 40) as i64 % 3);
                    line.join(keys.0, keys.1, lot, |_| true);
                    plain.push((keys.0, keys.1, lot));
                    plain.sort_unstable();
                } else {
                    let second = plain.len() > 1 && x >> 55 & 1 == 1;
                    let (_, _, next) = plain.remove(usize::from(second));
                    assert_eq!(line.nth(usize::from(second)), Some(next));
                    line.leave(next);
                }
                assert_eq!(line.len(), plain.len());
                assert_eq!(line.is_empty(), plain.is_empty());
                assert_eq!(line.nth(0), plain.first().map(|e| e.2));
            }
            assert!(line.entries.capacity() < 40_000);
        }
    }
}
