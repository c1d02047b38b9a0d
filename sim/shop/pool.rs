//! A store with stable small indices.

use std::ops::{Index, IndexMut};

/// A store with stable small indices; freed places are used again, so memory follows the work in process.
#[derive(Debug, Clone)]
pub struct Pool<T> {
    items: Vec<T>,
    live: Vec<bool>,
    free: Vec<u32>,
}

impl<T> Default for Pool<T> {
    fn default() -> Self {
        Self {
            items: Vec::new(),
            live: Vec::new(),
            free: Vec::new(),
        }
    }
}

impl<T> Pool<T> {
    /// Stores an item, made in its place, and gives its index.
    #[inline(always)]
    pub fn put(&mut self, make: impl Fn() -> T) -> u32 {
        if let Some(index) = self.free.pop() {
            self.items[index as usize] = make();
            self.live[index as usize] = true;
            index
        } else {
            self.grow(&make)
        }
    }

    #[cold]
    fn grow(&mut self, make: &impl Fn() -> T) -> u32 {
        self.items.push(make());
        self.live.push(true);
        (self.items.len() - 1) as u32
    }

    /// Frees a place.
    #[inline]
    pub fn drop_at(&mut self, index: u32) {
        debug_assert!(self.live[index as usize], "freed twice");
        self.live[index as usize] = false;
        self.free.push(index);
    }

    /// The index is in use.
    #[inline]
    pub fn is_live(&self, index: u32) -> bool {
        self.live[index as usize]
    }

    /// Indices in use, ascending.
    pub fn live_indices(&self) -> Vec<u32> {
        self.live().collect()
    }

    /// Indices in use, ascending, while nothing changes.
    pub fn live(&self) -> impl Iterator<Item = u32> + '_ {
        (0..self.items.len() as u32).filter(|&i| self.live[i as usize])
    }

    /// Places ever used at once.
    pub fn capacity(&self) -> usize {
        self.items.len()
    }
}

impl<T> Index<u32> for Pool<T> {
    type Output = T;
    fn index(&self, index: u32) -> &T {
        &self.items[index as usize]
    }
}

impl<T> IndexMut<u32> for Pool<T> {
    fn index_mut(&mut self, index: u32) -> &mut T {
        &mut self.items[index as usize]
    }
}
