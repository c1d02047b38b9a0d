//! charts
use super::context::Context;
use crate::observe::Trace;
/// A chart.
#[derive(Debug, Clone)]
pub struct Chart {
    /// File stem.
    pub key: &'static str,
    /// SVG.
    pub svg: String,
}
/// all
pub fn all(_: &Context<'_>, _: &Trace) -> Vec<Chart> {
    Vec::new()
}
