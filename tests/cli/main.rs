//! The command as its users meet it: what is printed where, which codes come back, what is written.

#[path = "../common/mod.rs"]
mod common;

mod asking;
mod renew;
mod running;

use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use tempfile::TempDir;

/// A folder with a small scenario in it.
struct Bench {
    dir: TempDir,
}

impl Bench {
    /// The starter scenario, cut down to run in a moment.
    fn new() -> Self {
        let bench = Self {
            dir: TempDir::new().unwrap(),
        };
        let text = pouchcast::scenario::starter()
            .replace("replications: 100", "replications: 6")
            .replace("warm_up: 4 weeks", "warm_up: 1 week")
            .replace("measure: 26 weeks", "measure: 3 weeks");
        fs::write(bench.path("cell.yaml"), text).unwrap();
        bench
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// Output of a command that must end with `code`.
    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        common::ends(self.dir.path(), code, arguments)
    }

    /// Every file under the folder, by its path, with its bytes.
    fn files(&self, under: &str) -> BTreeMap<String, Vec<u8>> {
        common::files(&self.path(under))
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}
