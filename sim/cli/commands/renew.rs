//! `renew`: a scenario file of an older format, rewritten as one of the present format.
//!
//! In: a file. Out: what changes, value by value, on stdout; with `--out` a new file, never over another.

use crate::scenario::{self, Renewed};

use super::super::args::Renew;
use super::super::console;
use super::super::exit::{Exit, Failure};
use super::super::load::bytes;
use super::new::put;

/// Rewrites a file, or tells what would be rewritten.
///
/// # Errors
/// As reading a scenario; [`Exit::Output`] where the new file is there already or cannot be written.
pub fn renew(asked: &Renew) -> Result<Exit, Failure> {
    let name = asked.file.display().to_string();
    let renewed = scenario::renew(&name, &bytes(&asked.file, &name)?).map_err(|report| {
        let text = report.render(console::colour(), console::columns());
        Failure::new(Exit::Scenario, text)
    })?;
    console::data(&told(&name, &renewed))?;
    match &asked.out {
        Some(out) => {
            put(out, &renewed.text, || {
                format!(
                    "error: `{}` is there already, and is not touched\nhelp: choose another name",
                    out.display()
                )
            })?;
            console::say(&format!("Written: {}", out.display()));
            console::say(&format!("Next: pouchcast check {}", out.display()));
        }
        None if renewed.changes.is_empty() => {}
        None => console::say(&format!(
            "Nothing is written. To write it: pouchcast renew {} --out NEW.yaml",
            asked.file.display()
        )),
    }
    Ok(Exit::Done)
}

/// The changes, each with its line, its value before and after, and why.
fn told(name: &str, renewed: &Renewed) -> String {
    if renewed.changes.is_empty() {
        return format!("{name}: already of format {}", scenario::FORMAT);
    }
    let mut text = format!("{name}: to format {}", scenario::FORMAT);
    for change in &renewed.changes {
        text += &format!(
            "\n  line {}: {}: {} -> {}\n      {}",
            change.line, change.path, change.before, change.after, change.why
        );
    }
    if !renewed.moves.is_empty() {
        text += "\nFigures of this cell move besides, with no change of the file:";
        for why in &renewed.moves {
            text += &format!("\n  {why}");
        }
    }
    text
}
