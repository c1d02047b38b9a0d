//! What the commands that run replications are asked for alike: cores, and how many replications at most.
//!
//! In: arguments. Out: threads; a number.

use rayon::ThreadPool;

use super::exit::{Exit, Failure};

/// As many threads as asked for, or one for each core.
///
/// # Errors
/// [`Exit::Usage`] where the system gives none.
pub fn threads(asked: Option<u16>) -> Result<ThreadPool, Failure> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(asked.unwrap_or(0)))
        .build()
        .map_err(|error| {
            Failure::new(
                Exit::Usage,
                format!("error: the threads cannot be started: {error}\nhelp: ask for fewer with --threads"),
            )
        })
}

/// Most replications where a few bad stretches ask for more than are `planned`: as `--at-most` says; no more where
/// `--replications` asks for so many; the `usual` ones otherwise. One replication was planned to look at it, and not
/// for its intervals.
pub fn at_most(asked: Option<u32>, replications: Option<u32>, planned: u32, usual: u32) -> u32 {
    match (asked, replications) {
        (Some(most), _) => most.max(planned),
        (None, Some(_)) => planned,
        (None, None) if planned < 2 => planned,
        (None, None) => usual.max(planned),
    }
}

#[cfg(test)]
mod tests {
    use super::at_most;

    #[test]
    fn what_is_said_counts_before_what_is_usual() {
        assert_eq!(at_most(None, None, 100, 400), 400);
        assert_eq!(at_most(None, None, 500, 400), 500);
        assert_eq!(at_most(None, None, 1, 400), 1);
        assert_eq!(at_most(None, Some(30), 30, 400), 30);
        assert_eq!(at_most(Some(60), Some(30), 30, 400), 60);
        assert_eq!(at_most(Some(9), None, 30, 400), 30);
    }
}
