//! page
use super::{charts::Chart, context::Context};
use crate::observe::Trace;
/// page
pub fn render(_: &Context<'_>, _: &Trace, _: &[Chart]) -> String {
    String::new()
}
