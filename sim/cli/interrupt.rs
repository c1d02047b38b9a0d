//! Ctrl-C: the first press asks for a clean end, the second ends the program at once.
//!
//! In: the operating system's signal (also a request to terminate). Out: a flag that the work looks at. While results
//! are being written nothing ends the program: that takes a moment, and half of them would be worth nothing.

use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use tempfile::TempDir;

use super::console;

/// What a shell gives a program ended by Ctrl-C.
const KILLED: i32 = 130;

/// Writers at work.
static WRITING: AtomicUsize = AtomicUsize::new(0);

/// Results are being written as long as it lives.
pub struct Writing(());

impl Drop for Writing {
    fn drop(&mut self) {
        WRITING.fetch_sub(1, Ordering::SeqCst);
    }
}

/// Says that results are being written.
pub fn writing() -> Writing {
    // Without a handler the system ends the program at the first signal.
    flag();
    WRITING.fetch_add(1, Ordering::SeqCst);
    Writing(())
}

/// Hidden folders whose content is worth nothing before it is complete.
static UNFINISHED: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

fn unfinished() -> MutexGuard<'static, Vec<PathBuf>> {
    UNFINISHED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A hidden folder in the making is removed when the program gives up, as long as this lives.
pub struct Unfinished(PathBuf);

impl Drop for Unfinished {
    fn drop(&mut self) {
        unfinished().retain(|path| *path != self.0);
    }
}

/// Makes a hidden folder for what takes a while; it never outlives a program that gives up at the second Ctrl-C.
///
/// Let go of the [`Unfinished`] once [`writing`] has begun: from then on the folder may hold what was there before.
///
/// # Errors
/// What `make` says.
pub fn hidden(
    make: impl FnOnce() -> std::io::Result<TempDir>,
) -> std::io::Result<(TempDir, Unfinished)> {
    flag();
    // Locked while it is made, so that it is never there without being known.
    let mut all = unfinished();
    let folder = make()?;
    all.push(folder.path().to_owned());
    let known = Unfinished(folder.path().to_owned());
    Ok((folder, known))
}

/// A flag that becomes true at the first Ctrl-C.
///
/// Where the system lets no handler be set, Ctrl-C simply ends the program.
pub fn flag() -> Arc<AtomicBool> {
    static FLAG: OnceLock<Arc<AtomicBool>> = OnceLock::new();
    Arc::clone(FLAG.get_or_init(|| {
        let flag = Arc::new(AtomicBool::new(false));
        set(Arc::clone(&flag));
        flag
    }))
}

fn set(raised: Arc<AtomicBool>) {
    let set = ctrlc::set_handler(move || {
        let again = raised.swap(true, Ordering::SeqCst);
        if WRITING.load(Ordering::SeqCst) > 0 {
            console::say("\nWriting the results, a moment.");
            return;
        }
        if again {
            let all = unfinished();
            for folder in all.iter() {
                let _ = std::fs::remove_dir_all(folder);
            }
            // Still locked: no other is made any more.
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
}
