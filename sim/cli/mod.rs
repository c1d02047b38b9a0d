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
mod ask;
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

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::process::ExitCode;

use clap::Parser;

use crate::replicate::Broken;
use crate::units::{duration, minutes_from_ticks};

use args::{Arguments, Command};

use exit::Failure;

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
    let followed = catch_unwind(AssertUnwindSafe(|| follow(arguments.command)));
    match followed.unwrap_or_else(broken) {
        Ok(exit) => exit.into(),
        Err(failure) => {
            console::say(failure.message());
            failure.exit().into()
        }
    }
}

/// Does what a command asks.
fn follow(command: Command) -> Result<Exit, Failure> {
    match command {
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
        Command::Renew(asked) => commands::renew::renew(&asked),
        Command::Schema => commands::keys::schema(),
        Command::Keys(asked) => commands::keys::keys(&asked),
        Command::Explain(asked) => commands::explain::explain(&asked),
        Command::Story(asked) => commands::story::story(&asked),
        Command::Verify(asked) => commands::verify::verify(&asked),
        Command::Certify(asked) => commands::certify::certify(&asked),
        Command::Completions(asked) => commands::shell::completions(&asked),
        Command::Man(asked) => commands::shell::man(&asked),
    }
}

/// What unwound to here: a run whose audit was not kept. Anything else unwinds further.
fn broken(unwound: Box<dyn Any + Send>) -> Result<Exit, Failure> {
    let broken = *unwound
        .downcast::<Broken>()
        .unwrap_or_else(|other| resume_unwind(other));
    let breach = broken.breach;
    let order = breach
        .order
        .map_or_else(String::new, |order| format!("order {order}, "));
    let after = duration(minutes_from_ticks(breach.at));
    Err(Failure::new(
        Exit::Audit,
        format!(
            "error: a run broke a rule of its audit, so no result is given\n  rule: {}\n  where: {order}replication {} of \
             seed {}, {after} after the clock's start: found {}, expected {}\n  This is a fault of this program, not of the \
             scenario. Please keep the scenario with its books and report both with this message.",
            breach.rule.words(),
            broken.replication,
            broken.seed,
            breach.found,
            breach.expected,
        ),
    ))
}
