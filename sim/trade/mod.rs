//! The arithmetic of the trade: from a pouch and its laminate to metres, rolls and minutes.
//!
//! What comes in: bare numbers with their unit in the name, and small structs of them.
//! What goes out: the same. No randomness, no files, no other module of the crate, so every
//! formula here can be checked with a pocket calculator.
//!
//! * [`geometry`]: developed width and pitch of a pouch, layout on a web.
//! * [`second_web`]: gusset and panel webs, area of laminate in a pouch.
//! * [`lanes`]: lanes across a web, web use, knives.
//! * [`laminate`]: caliper and grammage of a structure from its plies.
//! * [`roll`]: length, diameter and mass of a roll; rolls for a length; heating lag.
//! * [`chain`]: metres backward from good pouches to print, and forward again.
//! * [`runtime`]: minutes of a run that must speed up and slow down.
//! * [`slitting`]: setup, sets, doffs and minutes at the slitter.
//! * [`pouch_rate`]: cycles per minute of a pouch machine and what bounds them.
//! * [`changeover`]: minutes and metres of a changeover from what differs.
//! * [`packing`]: minutes and people at the packing table.
//! * [`rounding`]: whole metres and whole counts that forgive floating-point dust.
//!
//! Inputs are expected to be finite and not negative unless a function says otherwise. Nothing
//! here panics on other numbers, but what comes back then means nothing; the loader of a
//! scenario refuses such numbers with a message before they arrive here.

pub mod chain;
pub mod changeover;
pub mod geometry;
pub mod laminate;
pub mod lanes;
pub mod packing;
pub mod pouch_rate;
pub mod roll;
pub mod rounding;
pub mod runtime;
pub mod second_web;
pub mod slitting;

pub use geometry::Format;

#[cfg(test)]
mod examples;
