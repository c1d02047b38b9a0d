//! A variant of a scenario as the cell.
//!
//! In: the name of a file, perhaps that of a variant in it. Out: a scenario whose plant is that of the variant,
//! with what its results must carry: its name in the title and among what was asked for, what differs from
//! today, a fingerprint of its own. Chances go by names, so the figures are those that `compare` has for it.

use std::path::Path;

use sha2::{Digest, Sha256};

use crate::report::words::clean;
use crate::scenario::{Difference, Loaded, Study, nearest};

use super::exit::{Exit, Failure};
use super::load::{Scenario, StudyFile, load_study_with_book, load_with_book, warn};

/// Longest part of a variant's name in that of a folder, characters.
const FOLDER_MAX: usize = 40;

/// The variant that is the cell.
#[derive(Debug, Clone)]
pub struct Chosen {
    /// Its name.
    pub name: String,
    /// The file the cell stands in and its bytes, where variants have a file of their own.
    pub base_file: Option<(String, Vec<u8>)>,
}

/// Reads a scenario with one of its variants as the cell; `None`: as it stands.
///
/// # Errors
/// As [`load_with_book`]; [`Exit::Usage`] where there is no such variant.
pub fn load_cell(
    file: &Path,
    variant: Option<&str>,
    book: Option<&Path>,
    quiet: bool,
) -> Result<Scenario, Failure> {
    let Some(wanted) = variant else {
        return load_with_book(file, book, quiet);
    };
    let StudyFile { study, bytes, name } = load_study_with_book(file, book, true)?;
    let chosen = place(&study, wanted)?;
    if !quiet {
        warn(&study);
    }
    let mut plant = study.with_settings(chosen, &[]).map_err(|report| {
        let (colour, columns) = (super::console::colour(), super::console::columns());
        Failure::new(Exit::Scenario, report.render(colour, columns))
    })?;
    let variant = &study.variants[chosen];
    if chosen > 0 {
        plant.name = format!("Variant \"{}\": {}", variant.name, study.name);
        plant.note = note(&variant.note, &variant.differences, &study.note);
    }
    let told = Chosen {
        name: variant.name.clone(),
        base_file: study.base_file,
    };
    let loaded = Loaded {
        plant,
        text: study.text,
        ..study.base
    };
    Ok(Scenario {
        loaded,
        bytes,
        name,
        variant: Some(told),
    })
}

/// What the variant stands for, what differs, what the cell is.
fn note(own: &str, differences: &[Difference], cell: &str) -> String {
    let changed: Vec<String> = differences
        .iter()
        .map(|d| format!("{}: {} -> {}", d.path, d.was, d.becomes))
        .collect();
    let changed = format!("Differs from today's cell in {}.", changed.join("; "));
    let all = [own, changed.as_str(), cell];
    let told: Vec<&str> = all.into_iter().filter(|text| !text.is_empty()).collect();
    told.join(" ")
}

/// The place of a variant among those of a study.
///
/// # Errors
/// [`Exit::Usage`] where there is none of that name.
pub fn place(study: &Study, name: &str) -> Result<usize, Failure> {
    let found = study.variants.iter().position(|v| v.name == name);
    found.ok_or_else(|| unknown(name, study.variants.iter().map(|v| v.name.as_str())))
}

/// There is no variant of that name; `known`: those that there are.
pub fn unknown<'a>(name: &str, known: impl Iterator<Item = &'a str> + Clone) -> Failure {
    let near = match nearest(name, known.clone()) {
        Some(near) => format!("did you mean `{near}`? "),
        None => String::new(),
    };
    let names: Vec<&str> = known.collect();
    Failure::new(
        Exit::Usage,
        format!(
            "error: there is no variant `{name}`\nhelp: {near}there is {}",
            names.join(", ")
        ),
    )
}

/// SHA-256 of the scenario, the base it may name, its order book, and the name of the variant that is the cell.
pub fn fingerprint(scenario: &[u8], loaded: &Loaded, chosen: Option<&Chosen>) -> String {
    let base = chosen.and_then(|chosen| chosen.base_file.as_ref());
    let mut hash = Sha256::new();
    hash.update(scenario);
    hash.update(base.map_or(&[][..], |base| &base.1));
    hash.update(loaded.book.as_ref().map_or(&[][..], |book| &book.1));
    if let Some(chosen) = chosen {
        hash.update(b"\nvariant: ");
        hash.update(chosen.name.as_bytes());
    }
    let bytes = hash.finalize();
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The files beside the scenario that the results come from, for the results folder.
pub fn inputs(book: Option<(String, Vec<u8>)>, chosen: Option<&Chosen>) -> Vec<(String, Vec<u8>)> {
    let base = chosen.and_then(|chosen| chosen.base_file.clone());
    let base = base.map(|(name, bytes)| (format!("base/{name}"), bytes));
    // In a folder of its own: the results have an `orders.csv` too.
    let book = book.map(|(name, bytes)| (format!("book/{name}"), bytes));
    base.into_iter().chain(book).collect()
}

/// What the command line says of the variant.
pub fn said(chosen: Option<&Chosen>) -> Option<String> {
    chosen.map(|chosen| format!("--variant \"{}\"", chosen.name))
}

/// The line above a text that has no title of its own; nothing for the cell as it stands.
pub fn heading(chosen: Option<&Chosen>) -> String {
    let name = |chosen: &Chosen| clean(&chosen.name);
    chosen.map_or_else(String::new, |chosen| {
        format!("Variant \"{}\"\n\n", name(chosen))
    })
}

/// A part of a folder's name: `variant-second-pouch-machine`; nothing for the cell as it stands. `command`
/// goes before it.
pub fn folder_part(command: &str, chosen: Option<&Chosen>) -> String {
    let Some(chosen) = chosen else {
        return command.to_owned();
    };
    let plain: String = chosen
        .name
        .chars()
        .take(FOLDER_MAX)
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .collect();
    let words: Vec<&str> = plain.split('-').filter(|word| !word.is_empty()).collect();
    let parts = [command, "variant", &words.join("-")];
    let told: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    told.join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chosen(name: &str) -> Chosen {
        Chosen {
            name: name.to_owned(),
            base_file: None,
        }
    }

    #[test]
    fn folders_are_named_after_the_variant() {
        let part = |command: &str, name: &str| folder_part(command, Some(&chosen(name)));
        assert_eq!(
            part("", "Second machine, 2/3"),
            "variant-Second-machine-2-3"
        );
        assert_eq!(part("promise", "../.."), "promise-variant");
        assert_eq!(folder_part("", None), "");
    }

    #[test]
    fn each_variant_has_a_fingerprint_of_its_own() {
        let loaded = crate::scenario::read("a", crate::scenario::starter().as_bytes()).unwrap();
        let of = |chosen: Option<&Chosen>| fingerprint(b"x", &loaded, chosen);
        // `printf x | sha256sum`.
        assert!(of(None).starts_with("2d711642b726b044"));
        assert_ne!(of(None), of(Some(&chosen("a"))));
        assert_ne!(of(Some(&chosen("b"))), of(Some(&chosen("a"))));
    }

    #[test]
    fn a_slip_in_the_name_is_told_with_the_nearest() {
        let told = unknown("nigth shift", ["today", "night shift"].into_iter());
        assert_eq!(
            told.message(),
            "error: there is no variant `nigth shift`\nhelp: did you mean `night shift`? there is today, night shift"
        );
        assert_eq!(told.exit(), Exit::Usage);
    }
}
