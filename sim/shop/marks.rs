//! A set of small numbers: which stations want a decision, which machines are free.
//!
//! Any number of members; for up to 64 of them it is one word.

/// A set of numbers below a limit that is set when it is made.
#[derive(Debug, Clone, Default)]
pub struct Marks {
    words: Vec<u64>,
}

impl Marks {
    /// No member yet; members are below `count`.
    pub fn new(count: usize) -> Self {
        Self {
            words: vec![0; count.div_ceil(64).max(1)],
        }
    }

    /// Puts a number in; true where it was not in.
    #[inline(always)]
    pub fn add(&mut self, member: usize) -> bool {
        let (word, bit) = (&mut self.words[member / 64], 1 << (member % 64));
        let new = *word & bit == 0;
        *word |= bit;
        new
    }

    /// Takes a number out.
    #[inline(always)]
    pub fn remove(&mut self, member: usize) {
        self.words[member / 64] &= !(1 << (member % 64));
    }

    /// The number is in.
    #[inline(always)]
    pub fn has(&self, member: usize) -> bool {
        self.words[member / 64] >> (member % 64) & 1 == 1
    }

    /// Nothing is in.
    #[inline(always)]
    pub fn is_empty(&self) -> bool {
        self.words.iter().all(|&word| word == 0)
    }

    /// Least member that is not below `from`.
    #[inline(always)]
    pub fn from(&self, from: usize) -> Option<usize> {
        let mut at = from / 64;
        let mut word = self.words.get(at)? & (!0 << (from % 64));
        loop {
            if word != 0 {
                return Some(at * 64 + word.trailing_zeros() as usize);
            }
            at += 1;
            word = *self.words.get(at)?;
        }
    }

    /// Takes the least member out.
    #[inline(always)]
    pub fn take_first(&mut self) -> Option<usize> {
        let first = self.from(0)?;
        self.remove(first);
        Some(first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_beyond_the_first_word_are_found() {
        let mut marks = Marks::new(200);
        assert!(marks.is_empty() && marks.from(0).is_none());
        for member in [3, 63, 64, 199] {
            assert!(marks.add(member));
            assert!(!marks.add(member));
        }
        assert_eq!(marks.from(4), Some(63));
        assert_eq!(marks.from(65), Some(199));
        marks.remove(63);
        assert!(marks.has(64) && !marks.has(63));
        let mut all = Vec::new();
        while let Some(member) = marks.take_first() {
            all.push(member);
        }
        assert_eq!(all, [3, 64, 199]);
        assert_eq!(marks.from(200), None);
    }
}
