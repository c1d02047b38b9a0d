//! Chance: keyed streams of random bits and the distributions drawn from them.
//!
//! In: a seed, a replication number and keys that name one chance event; text that describes a
//! distribution. Out: [`Stream`]s of bits that depend on nothing but their keys, and [`Dist`]s
//! that can be drawn, asked for mean, variance and quantiles, and written back as text.

mod bounded;
mod build;
mod build_listed;
mod describe;
mod dist;
mod error;
mod forms;
#[cfg(test)]
mod language;
mod moments;
mod parts;
#[cfg(test)]
mod reference;
mod sample;
mod special;
mod stream;
mod text;
mod words;

pub use describe::describe;
pub use dist::Dist;
pub use error::DistError;
pub use forms::{COUNTS, FORMS, Form, section};
pub use parts::{
    Bounded, Discrete, Empirical, GammaShape, Geometric, Hyperexponential, PoissonCount,
    ScaledBeta, TruncatedNormal,
};
pub use stream::{Chances, Source, Stream, Streams};
pub use text::parse_dist;
