//! Film structures, pass by pass: what is bonded by what, and what comes to each pass and leaves it.
//!
//! In: what the reader found. Out: plain data; how many plies there are is not kept, only what a square metre is.

use super::Treated;

/// Most lamination passes of one web.
pub const MOST_PASSES: usize = 4;

/// What a square metre of web is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sheet {
    /// Caliper, µm.
    pub caliper_um: f64,
    /// Mass per area, g/m².
    pub weight_g_per_m2: f64,
    /// Material cost, money per m²; 0 where not given.
    pub price_per_m2: f64,
}

/// One pass through a laminator.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// Adhesive index; its process is that of the pass, its holds begin when the roll leaves it.
    pub adhesive: usize,
    /// Corona treatment it needs.
    pub treat: Treated,
    /// The film that is set up: equal numbers are equal films (drives film changeovers).
    pub film: u16,
    /// Finish (matt, gloss, ...): equal numbers are equal finishes.
    pub finish: u16,
    /// Kinds of web it runs as: numbers of words of the author, which machines know by their `speed_for`.
    pub kinds: Vec<u16>,
    /// Fastest web speed, m/min; infinite where the machine alone decides.
    pub speed_m_per_min: f64,
    /// Web that comes to it. Where no plies are told by pass, the whole laminate is reckoned from the beginning.
    pub enters: Sheet,
    /// Web that leaves it.
    pub leaves: Sheet,
}

/// A film structure.
#[derive(Debug, Clone, PartialEq)]
pub struct Laminate {
    /// Name.
    pub name: String,
    /// Total caliper, µm.
    pub caliper_um: f64,
    /// Weight, g/m².
    pub weight_g_per_m2: f64,
    /// Material cost, money per m²; 0 where not given.
    pub price_per_m2: f64,
    /// Longest waits from print to the first pass, and from each pass to the next, minutes; infinite for none.
    pub longest_min: [f64; 2],
    /// Time from print until the first pass may begin, minutes.
    pub dry_min: f64,
    /// Kinds of web it is, as [`Pass::kinds`].
    pub kinds: Vec<u16>,
    /// Lamination passes in order; at least one, at most [`MOST_PASSES`].
    pub passes: Vec<Pass>,
}

impl Laminate {
    /// A pass by its number from 0; past the last one, the last.
    pub fn pass(&self, number: u8) -> &Pass {
        &self.passes[usize::from(number).min(self.passes.len() - 1)]
    }

    /// Every adhesive that a pass is made with is there.
    pub fn is_resolved(&self, adhesives: usize) -> bool {
        self.passes.iter().all(|pass| pass.adhesive < adhesives)
    }

    /// Prices a square metre: the printed web, and what each pass adds; one that all of it has from the beginning
    /// where `adds` is empty.
    pub fn price(&mut self, printed: f64, adds: &[f64]) {
        let mut sum = printed;
        for (nth, pass) in self.passes.iter_mut().enumerate() {
            pass.enters.price_per_m2 = sum;
            sum += adds.get(nth).copied().unwrap_or(0.0);
            pass.leaves.price_per_m2 = sum;
        }
        self.price_per_m2 = sum;
    }
}
