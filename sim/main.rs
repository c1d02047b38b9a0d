//! The `pouchcast` command.
fn main() {}
