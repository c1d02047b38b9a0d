//! Least and longest waits of laminates before their laminations.
//!
//! In: the key as written. Out: minutes; errors where a web would be too old before it may go on.

use crate::plant::{Adhesive, Laminate};
use crate::units::{Dimension, duration};

use super::super::file;
use super::super::problem::Problem;
use super::{At, Checker};

/// Longest waits to the first pass and between passes, minutes; infinite where none is told.
pub(super) fn waits(check: &mut Checker, at: &At, written: &file::Longest) -> [f64; 2] {
    let told = [
        ("to_lamination", &written.to_lamination),
        ("between_passes", &written.between_passes),
    ];
    told.map(|(key, text)| {
        let text = text.as_ref();
        text.map_or(f64::INFINITY, |text| {
            check.above_zero(
                &at.key(key),
                &text.0,
                Dimension::Duration,
                525_600.0,
                "1 year",
            )
        })
    })
}

/// Time until print is dry, minutes; it must be over before the web is too old.
pub(super) fn dry(check: &mut Checker, at: &At, written: &file::Duration, longest: f64) -> f64 {
    let dry = check.above_zero(at, &written.0, Dimension::Duration, 43_200.0, "30 days");
    if dry >= longest {
        check.push(
            Problem::error(
                at.value(),
                format!(
                    "print is dry after {}, and after {} the web is too old for lamination (`longest`)",
                    duration(dry),
                    duration(longest)
                ),
            )
            .expected(format!("less than {}", duration(longest))),
        );
    }
    dry
}

/// No web may be too old for its next pass before its hold lets it go there.
pub(super) fn holds_within(check: &mut Checker, adhesives: &[Adhesive], laminates: &[Laminate]) {
    for laminate in laminates {
        let [_, longest] = laminate.longest_min;
        let before = laminate.passes.len().saturating_sub(1);
        let held = laminate.passes[..before].iter().filter_map(|pass| {
            let adhesive = adhesives.get(pass.adhesive)?;
            Some((adhesive, adhesive.ambient.second_pass.support().0))
        });
        for (adhesive, hold) in held.filter(|held| held.1 >= longest) {
            let at = At::block("laminates").key(&laminate.name).key("longest");
            check.push(
                Problem::error(
                    at.key("between_passes").value(),
                    format!(
                        "`{}` holds the web for {} before the next pass, and after {} it is too old for it",
                        adhesive.name,
                        duration(hold),
                        duration(longest)
                    ),
                )
                .expected(format!("more than {}", duration(hold))),
            );
        }
    }
}
