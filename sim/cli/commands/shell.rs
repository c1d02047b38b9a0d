//! `completions` and `man`: what a shell and a system's manual want of a program, made from its arguments.
//!
//! In: the name of a shell or of a command. Out: text on stdout, for a file of the system.

use clap::CommandFactory;

use super::super::args::{Arguments, Completions, ManPage};
use super::super::console;
use super::super::exit::{Exit, Failure};
use crate::scenario::nearest;

/// Prints the completions of a shell.
///
/// # Errors
/// [`Exit::Output`] where stdout cannot be written.
pub fn completions(asked: &Completions) -> Result<Exit, Failure> {
    let mut command = Arguments::command();
    let name = command.get_name().to_owned();
    let mut text = Vec::new();
    clap_complete::generate(asked.shell, &mut command, name, &mut text);
    console::data(&String::from_utf8_lossy(&text))?;
    Ok(Exit::Done)
}

/// Prints a manual page.
///
/// # Errors
/// [`Exit::Usage`] where there is no such command, [`Exit::Output`] where stdout cannot be written.
pub fn man(asked: &ManPage) -> Result<Exit, Failure> {
    let mut program = Arguments::command();
    // Names of the commands' pages, `pouchcast-run`, are made with the program's.
    program.build();
    let page = match &asked.command {
        None => program,
        Some(name) => match program.find_subcommand(name) {
            Some(command) => command.clone(),
            None => {
                let known: Vec<&str> = program.get_subcommands().map(|c| c.get_name()).collect();
                let near = nearest(name, known.iter().copied());
                let near =
                    near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
                return Err(Failure::new(
                    Exit::Usage,
                    format!(
                        "error: there is no command `{name}`\nhelp: there are {}{near}",
                        known.join(", ")
                    ),
                ));
            }
        },
    };
    let mut text = Vec::new();
    clap_mangen::Man::new(page)
        .render(&mut text)
        .map_err(|error| Failure::new(Exit::Output, format!("error: {error}")))?;
    console::data(&String::from_utf8_lossy(&text))?;
    Ok(Exit::Done)
}
