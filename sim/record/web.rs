//! Which web a listener is told of, and why some of it is lost.
//!
//! In: nothing. Out: plain data.

/// Which web is spoken of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WebOf {
    /// Its part in the model.
    pub part: usize,
    /// Step of its way at which it stands.
    pub step: usize,
    /// It is of an order that came in within the measured time: what is handed over and what is lost of it belong
    /// together, whenever they happen.
    pub measured: bool,
}

/// Why web or pouches are lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lost {
    /// At a start.
    Start,
    /// At stops: changes of rolls and reels, breaks, wash-ups.
    Stop,
    /// While running.
    Running,
    /// Pouches and pieces that are rejected.
    Reject,
    /// Rolls that the laboratory does not release, or that have waited too long: printed again.
    Again,
}
