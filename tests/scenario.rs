//! The reader of scenarios as its users meet it: good files, bad files and their messages, noise.

use pouchcast::scenario;

#[test]
fn the_starter_reads_without_warnings() {
    match scenario::read("starter.yaml", scenario::starter().as_bytes()) {
        Ok(loaded) => assert!(loaded.warnings.is_empty(), "{}", loaded.warnings.render(false, 100)),
        Err(report) => panic!("{}", report.render(false, 100)),
    }
}
