//! How far the work is: a bar on a terminal, a line now and then where stderr is a file or a pipe.
//!
//! In: replications as they are done. Out: on stderr, unless it is to be quiet. The lines are far apart, so that the log
//! of a night has some dozens: the first after half a minute, each further one when half as much time again has passed,
//! at most half an hour.

use std::io::IsTerminal;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

use crate::units::duration;

use super::console;

/// The first line.
const FIRST: Duration = Duration::from_secs(30);
/// Longest time between two lines.
const LONGEST: Duration = Duration::from_secs(1800);

/// Progress of one piece of work.
pub struct Progress {
    bar: ProgressBar,
    log: Option<Mutex<Log>>,
}

impl Progress {
    /// So many replications are to be done.
    pub fn new(quiet: bool, count: u64) -> Self {
        let template = "{bar:32} {pos}/{len} replications{msg}, {eta} left";
        Self::with(quiet, Some(count), ProgressBar::new(count), template)
    }

    /// Nobody knows how many replications are to be done.
    pub fn open_ended(quiet: bool) -> Self {
        let template = "{spinner} {pos} replications, {elapsed}";
        Self::with(quiet, None, ProgressBar::no_length(), template)
    }

    fn with(quiet: bool, count: Option<u64>, bar: ProgressBar, template: &str) -> Self {
        let terminal = std::io::stderr().is_terminal();
        let bar = match quiet || !terminal {
            true => ProgressBar::hidden(),
            false => bar,
        };
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style);
        }
        let log = (!quiet && !terminal).then(|| Mutex::new(Log::new(count)));
        Self { bar, log }
    }

    /// So many more are to be done.
    pub fn more(&self, count: u64) {
        self.bar.inc_length(count);
        self.with_log(|log| log.count = log.count.map(|all| all + count));
    }

    /// Where all that were to be done are done, the work goes on: to so many, and why.
    pub fn beyond(&self, count: u64, why: &'static str) {
        if self
            .bar
            .length()
            .is_some_and(|all| self.bar.position() >= all)
        {
            self.bar.set_length(count);
            self.bar.set_message(why);
        }
        self.with_log(|log| {
            if log.count.is_some_and(|all| log.done >= all) {
                log.count = Some(count);
            }
        });
    }

    /// So many more are done.
    pub fn done(&self, count: u64) {
        self.bar.inc(count);
        self.with_log(|log| {
            if let Some(line) = log.done(count, log.begun.elapsed()) {
                console::say(&line);
            }
        });
    }

    /// Takes the bar away.
    pub fn end(&self) {
        self.bar.finish_and_clear();
    }

    fn with_log(&self, f: impl FnOnce(&mut Log)) {
        // A thread that panicked has left the counts as they were; they are only told.
        if let Some(Ok(mut log)) = self.log.as_ref().map(Mutex::lock) {
            f(&mut log);
        }
    }
}

/// Lines now and then.
struct Log {
    begun: Instant,
    /// To be done, where that is known.
    count: Option<u64>,
    done: u64,
    /// When the next line is due, from the beginning.
    next: Duration,
}

impl Log {
    fn new(count: Option<u64>) -> Self {
        Self {
            begun: Instant::now(),
            count,
            done: 0,
            next: FIRST,
        }
    }

    /// Notes that more is done at a time since the beginning; the line that is due.
    fn done(&mut self, count: u64, since: Duration) -> Option<String> {
        self.done += count;
        if since < self.next {
            return None;
        }
        self.next = since + (since / 2).clamp(FIRST, LONGEST);
        let minutes = since.as_secs_f64() / 60.0;
        let after = duration(minutes);
        let Some(count) = self.count else {
            return Some(format!("{} replications after {after}", self.done));
        };
        let left = minutes / self.done.max(1) as f64 * count.saturating_sub(self.done) as f64;
        Some(format!(
            "{} of {} replications after {after}, about {} left",
            self.done,
            count.max(self.done),
            duration(left)
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_come_far_apart_and_say_how_long_it_takes() {
        let mut log = Log::new(Some(1_000));
        let mut lines = Vec::new();
        // A replication every ten seconds, for nearly three hours.
        for number in 1..=1_000 {
            lines.extend(log.done(1, Duration::from_secs(10 * number)));
        }
        assert!((8..=20).contains(&lines.len()), "{lines:?}");
        assert_eq!(
            lines[0],
            "3 of 1000 replications after 30 s, about 2.8 h left"
        );
        let last = lines.last().map_or("", String::as_str);
        assert!(last.contains(" of 1000 replications after "), "{last}");
    }

    #[test]
    fn short_runs_say_nothing() {
        let mut log = Log::new(Some(100));
        let said = (0..100).find_map(|second| log.done(1, Duration::from_millis(290 * second)));
        assert_eq!(said, None);
    }
}
