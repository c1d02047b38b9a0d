//! The command line: the only part of the program that reads files, writes files, prints and
//! starts threads.
//!
//! In: the arguments. Out: data on stdout, talk on stderr, a results folder where one is asked for,
//! and an [`Exit`] code.
//!
//! * `args`: what may be written on the command line.
//! * `commands`: one file for each command.
//! * `load`: a scenario file from disk, its problems drawn.
//! * `variant`: one of its variants as the cell.
//! * `deliver`: what a command found, to its folder and to stdout.
//! * `effort`: what a run will cost, and the refusal of what no machine can do.
//! * `progress`: how far the work is.
//! * `write`: the results folder, all of it or nothing, and nothing of anybody else's touched.
//! * `interrupt`: Ctrl-C.
//! * `console`: stdout and stderr.
//! * [`exit`]: the exit codes and what they mean.

mod args;
mod commands;
mod console;
mod deliver;
mod effort;
pub mod exit;
mod interrupt;
mod load;
mod progress;
mod variant;
mod write;

use std::process::ExitCode;

use clap::Parser;

use args::{Arguments, Command};

pub use exit::Exit;

/// Reads the arguments and does what they ask.
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(answer) => {
            // Help and version come this way too. When nobody reads them any more, that is no error.
            let _ = answer.print();
            return if answer.use_stderr() {
                Exit::Usage.into()
            } else {
                Exit::Done.into()
            };
        }
    };
    let ended = match arguments.command {
        Command::Run(asked) => commands::run::run(&asked),
        Command::Choose(asked) => commands::choose::choose(&asked),
        Command::Promise(asked) => commands::promise::promise(&asked),
        Command::Merge(asked) => commands::merge::merge(&asked),
        Command::Compare(asked) => commands::compare::compare(&asked),
        Command::Limit(asked) => commands::limit::limit(&asked),
        Command::Sensitivity(asked) => commands::sensitivity::sensitivity(&asked),
        Command::Sweep(asked) => commands::sweep::sweep(&asked),
        Command::Check(asked) => commands::check::check(&asked),
        Command::New(asked) => commands::new::new(&asked),
        Command::Schema => commands::keys::schema(),
        Command::Keys(asked) => commands::keys::keys(&asked),
        Command::Explain(asked) => commands::explain::explain(&asked),
        Command::Story(asked) => commands::story::story(&asked),
        Command::Verify(asked) => commands::verify::verify(&asked),
        Command::Completions(asked) => commands::shell::completions(&asked),
        Command::Man(asked) => commands::shell::man(&asked),
    };
    match ended {
        Ok(exit) => exit.into(),
        Err(failure) => {
            console::say(failure.message());
            failure.exit().into()
        }
    }
}
