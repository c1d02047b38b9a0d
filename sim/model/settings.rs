//! Settings of machines by number: equal settings share one, no two others do.
//!
//! In: measures as jobs are made, by element kind. Out: numbers from 1. They are given out as settings are met, so
//! only being equal means anything.

use crate::plant::{ELEMENT_KINDS, ElementKind};

/// What tells two settings apart: a measure in whole micrometres (a laminate by its number), and lanes where
/// they count.
type Setting = (i64, u32);

/// Numbers given so far.
#[derive(Debug, Default)]
pub(super) struct Settings {
    known: [Vec<Setting>; ELEMENT_KINDS],
}

impl Settings {
    /// The number of a measure in mm. What differs by less than a micrometre is one setting.
    pub(super) fn of_mm(&mut self, kind: ElementKind, mm: f64, lanes: u32) -> u32 {
        let setting = ((mm * 1000.0).round() as i64, lanes);
        let known = &mut self.known[kind as usize];
        let number = known.iter().position(|&other| other == setting);
        number.unwrap_or_else(|| {
            known.push(setting);
            known.len() - 1
        }) as u32
            + 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_settings_share_a_number() {
        let mut settings = Settings::default();
        let mut numbers = Vec::new();
        for tenth in 0..1000 {
            for lanes in 1..4 {
                numbers.push(settings.of_mm(ElementKind::Knives, f64::from(tenth) / 10.0, lanes));
            }
        }
        let met = numbers.len();
        numbers.sort_unstable();
        numbers.dedup();
        assert_eq!(numbers.len(), met);
        // 5.25 in are 133.35 mm, however that was reckoned.
        let inch = settings.of_mm(ElementKind::Width, 5.25 * 25.4, 0);
        assert_eq!(settings.of_mm(ElementKind::Width, 133.35, 0), inch);
    }
}
