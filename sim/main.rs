//! The `pouchcast` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    pouchcast::cli::main()
}
