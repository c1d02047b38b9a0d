//! Ctrl-C: the first press asks for a clean end, the second ends the program at once.
//!
//! In: the operating system's signal (also a request to terminate). Out: a flag that the work looks at.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::console;

/// What a shell gives a program ended by Ctrl-C.
const KILLED: i32 = 130;

/// A flag that becomes true at the first Ctrl-C. To be asked for once.
///
/// Where the system lets no handler be set, Ctrl-C simply ends the program.
pub fn flag() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let raised = Arc::clone(&flag);
    let set = ctrlc::set_handler(move || {
        if raised.swap(true, Ordering::Relaxed) {
            std::process::exit(KILLED);
        }
        console::say(
            "\nStopping after the replications in progress. Press Ctrl-C again to give up at once.",
        );
    });
    if let Err(error) = set {
        console::say(&format!(
            "note: Ctrl-C will end the program without partial results ({error})"
        ));
    }
    flag
}
