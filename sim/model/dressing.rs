//! What a machine is dressed for, and which changeover elements a next job asks.
//!
//! In: small identity numbers made by the compiler (equal number, equal setting).
//! Out: for two dressings, each element kind that differs and how many times it counts.

use crate::plant::{Changeover, ELEMENT_KINDS, ElementKind};
use crate::random::Dist;
use crate::trade::changeover::overlap;

use super::{Job, MachineModel};

/// Settings of a machine for one product.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dressing {
    /// Identity of the setting by element kind; 0 where the kind does not matter on this machine.
    pub setting: [u32; ELEMENT_KINDS],
    /// How often an element counts when it differs (knives), by kind; 1 for most.
    pub times: [u8; ELEMENT_KINDS],
    /// Punches, holes and corners in use, one bit each.
    pub punches: u64,
    /// The format is flat-bottom.
    pub flat_bottom: bool,
}

impl Dressing {
    /// The settings of a family agree; `kinds` has a bit per element kind, 0 asks for all of the dressing.
    pub fn same_family(&self, other: &Self, kinds: u32) -> bool {
        if kinds == 0 {
            return self == other;
        }
        (0..ELEMENT_KINDS)
            .filter(|kind| kinds >> kind & 1 == 1)
            .all(|kind| {
                if kind == ElementKind::Punch as usize {
                    self.punches == other.punches
                } else {
                    self.setting[kind] == other.setting[kind]
                }
            })
    }

    /// Gives a kind its setting.
    pub fn set(&mut self, kind: ElementKind, value: u32) {
        self.setting[kind as usize] = value;
    }
}

/// How often `kind` counts when a machine dressed as `from` (`None`: undressed) gets ready for `to`.
pub fn differing(kind: ElementKind, from: Option<&Dressing>, to: &Dressing) -> u32 {
    let slot = kind as usize;
    let times = u32::from(to.times[slot].max(1));
    match kind {
        ElementKind::Job => 1,
        ElementKind::Punch => match from {
            Some(from) => (from.punches ^ to.punches).count_ones(),
            None => to.punches.count_ones(),
        },
        ElementKind::Treater => {
            // 0: all that comes here is treated alike, which nobody cleans for.
            let bits = |setting: u32| setting.saturating_sub(1);
            let was = from.map_or(0, |from| bits(from.setting[slot]));
            (was ^ bits(to.setting[slot])).count_ones()
        }
        ElementKind::FlatBottom => match from {
            Some(from) => u32::from(from.flat_bottom != to.flat_bottom),
            None => u32::from(to.flat_bottom),
        },
        // Another film on top brings its finish with it.
        ElementKind::Finish if differs(ElementKind::Film, from, to) => 0,
        // A change of process has its own element, which cleans the adhesive out, too.
        ElementKind::Adhesive if differs(ElementKind::Process, from, to) => 0,
        ElementKind::Format => match from {
            // A change to or from flat-bottom is counted by its own element.
            Some(from) => u32::from(
                from.setting[slot] != to.setting[slot] && from.flat_bottom == to.flat_bottom,
            ),
            None => u32::from(to.setting[slot] != 0 && !to.flat_bottom),
        },
        _ => match from {
            Some(from) => u32::from(from.setting[slot] != to.setting[slot]) * times,
            None => u32::from(to.setting[slot] != 0) * times,
        },
    }
}

/// The setting of a kind is another one.
fn differs(kind: ElementKind, from: Option<&Dressing>, to: &Dressing) -> bool {
    let setting = to.setting[kind as usize];
    from.map_or(setting != 0, |from| from.setting[kind as usize] != setting)
}

/// Web that the start of `job` loses, mm, on a machine that last made product `last` (`None`: nothing yet) and is
/// dressed as `from`.
pub fn start_waste_mm(
    changeover: &Changeover,
    job: &Job,
    last: Option<usize>,
    from: Option<&Dressing>,
) -> f64 {
    let planned = job.start_waste_mm as f64;
    if let Some(table) = &changeover.table {
        let row = last.unwrap_or(job.product);
        let line = table.index[row][job.product] as usize;
        return table.wastes_m[line].map_or(planned, |metres| metres * 1000.0);
    }
    if !changeover.loses_by_element {
        return planned;
    }
    let lost = changeover.elements.iter().map(|element| {
        f64::from(differing(element.kind, from, &job.dressing)) * element.waste_m * 1000.0
    });
    overlap(lost, changeover.rest_share)
}

/// Minutes of a changeover by elements from one dressing (`None`: undressed) to another; `time` gives the
/// minutes of an element by its number.
#[inline]
pub fn element_minutes(
    changeover: &Changeover,
    from: Option<&Dressing>,
    to: &Dressing,
    time: impl Fn(&Dist, usize) -> f64,
) -> f64 {
    let parts =
        changeover
            .elements
            .iter()
            .enumerate()
            .filter_map(|(index, element)| match differing(element.kind, from, to) {
                0 => None,
                count => Some(f64::from(count) * time(&element.time, index)),
            });
    changeover.at_least_locked(overlap(parts, changeover.rest_share))
}

/// Most entries of [`MeanMinutes`]; beyond it means are worked out when they are asked for.
const MOST_MEANS: usize = 1 << 20;

/// Mean changeovers of one machine between all its dressings, minutes.
#[derive(Debug, Clone, Default)]
pub struct MeanMinutes {
    dressings: usize,
    minutes: Vec<f64>,
}

impl MeanMinutes {
    /// Between each two of `dressings`, and from undressed to each.
    pub(super) fn new(changeover: &Changeover, dressings: &[Dressing]) -> Self {
        let count = dressings.len();
        if count * (count + 1) > MOST_MEANS {
            return Self::default();
        }
        let from = std::iter::once(None).chain(dressings.iter().map(Some));
        Self {
            dressings: count,
            minutes: from
                .flat_map(|from| {
                    dressings
                        .iter()
                        .map(move |to| element_minutes(changeover, from, to, |d, _| d.mean()))
                })
                .collect(),
        }
    }

    /// Mean minutes from dressing `from` (0 undressed, else number + 1) to dressing number `to`; `None` where the
    /// table would be too large.
    #[inline]
    pub fn get(&self, from: u32, to: u32) -> Option<f64> {
        self.minutes
            .get(from as usize * self.dressings + to as usize)
            .copied()
    }
}

impl MachineModel {
    /// Mean changeover from a job to another by the `changeover` of the machine, minutes.
    pub fn mean_change(&self, changeover: &Changeover, from: &Job, to: &Job) -> f64 {
        if let Some(table) = &changeover.table {
            return self.table_means[table.index[from.product][to.product] as usize];
        }
        self.mean_changeover
            .get(from.dress + 1, to.dress)
            .unwrap_or_else(|| {
                element_minutes(changeover, Some(&from.dressing), &to.dressing, |dist, _| {
                    dist.mean()
                })
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dressing(width: u32, format: u32, punches: u64) -> Dressing {
        let mut d = Dressing {
            punches,
            flat_bottom: format == 9,
            ..Dressing::default()
        };
        d.setting[ElementKind::Width as usize] = width;
        d.setting[ElementKind::Format as usize] = format;
        d
    }

    #[test]
    fn only_what_differs_counts() {
        let (a, b) = (dressing(1, 2, 0b011), dressing(3, 2, 0b110));
        assert_eq!(differing(ElementKind::Job, Some(&a), &a), 1);
        assert_eq!(differing(ElementKind::Width, Some(&a), &a), 0);
        assert_eq!(differing(ElementKind::Width, Some(&a), &b), 1);
        assert_eq!(differing(ElementKind::Format, Some(&a), &b), 0);
        assert_eq!(differing(ElementKind::Punch, Some(&a), &b), 2);
        assert_eq!(differing(ElementKind::Punch, None, &b), 2);
    }

    #[test]
    fn flat_bottom_replaces_the_format_element() {
        let (plain, flat) = (dressing(1, 2, 0), dressing(1, 9, 0));
        assert_eq!(differing(ElementKind::Format, Some(&plain), &flat), 0);
        assert_eq!(differing(ElementKind::FlatBottom, Some(&plain), &flat), 1);
        assert_eq!(differing(ElementKind::FlatBottom, Some(&flat), &plain), 1);
    }
}
